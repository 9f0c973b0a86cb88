//! What must hold across the fields of a price and of a labour rate. Whether a single field is written as it must be is for
//! whoever reads it.

use hod_units::{Decimal, canonical};

use super::{Breaks, BurdenAmount, Delivery, LabourRate, PaidYear, Price};
use crate::fault::Fault;

impl Price {
    /// What does not hold across its fields. A charge for each kilometre without a distance is none: a job may say its own,
    /// so that it is told where the price is used.
    pub fn faults(&self) -> Vec<Fault> {
        let terms = &self.terms;
        let mut faults = Vec::new();
        faults.extend(below_zero("unit_price", self.unit_price));
        faults.extend(
            terms
                .pack_size
                .and_then(|size| not_positive("pack_size", size)),
        );
        let minimum = terms.minimum_order;
        faults.extend(minimum.and_then(|least| not_positive("minimum_order", least)));
        faults.extend(terms.breaks.iter().flat_map(Breaks::faults));
        faults.extend(terms.delivery.iter().flat_map(Delivery::faults));
        faults
    }
}

impl Breaks {
    /// Each starts higher than the one before. Their prices may fall or rise: a merchant may ask more for what a second
    /// lorry must fetch.
    fn faults(&self) -> Vec<Fault> {
        if self.steps.is_empty() {
            return vec![Fault::of_field(
                "breaks",
                "BREAKS_MISSING",
                "it is said what quantity breaks lower, and there are none; give one at least, or leave the rule out",
            )];
        }
        let mut faults = Vec::new();
        let mut before = Decimal::ZERO;
        for (at, step) in self.steps.iter().enumerate() {
            let path = |field: &str| format!("breaks[{at}].{field}");
            let from = path("from_quantity");
            if let Some(fault) = not_positive(&from, step.from) {
                faults.push(fault);
            } else if step.from <= before {
                let (from, before) = (canonical(step.from), canonical(before));
                faults.push(Fault::of_field(
                    path("from_quantity"),
                    "BREAKS_NOT_RISING",
                    format!(
                        "a break from {from} follows one from {before}; give each a higher quantity than the one before"
                    ),
                ));
            }
            before = before.max(step.from);
            faults.extend(below_zero(&path("unit_price"), step.unit_price));
        }
        faults
    }
}

impl Delivery {
    fn faults(&self) -> Vec<Fault> {
        let limits = [
            ("load_m3", self.load_volume.map(|most| most.cubic_metres())),
            ("load_t", self.load_mass.map(|most| most.tonnes())),
            ("load_quantity", self.load_quantity),
        ];
        let mut faults = Vec::new();
        if limits.iter().all(|(_, most)| most.is_none()) {
            faults.push(Fault::of_field(
                "delivery",
                "DELIVERY_WITHOUT_LIMIT",
                "nothing says how much a load takes, so that loads cannot be counted; give load_m3, load_t or load_quantity",
            ));
        }
        for (field, most) in limits {
            let path = format!("delivery.{field}");
            faults.extend(most.and_then(|most| not_positive(&path, most)));
        }
        let charges = [
            ("delivery.charge_per_load", Some(self.per_load)),
            ("delivery.charge_per_km", Some(self.per_km)),
            ("delivery.distance_km", self.distance_km),
        ];
        for (path, value) in charges {
            faults.extend(value.and_then(|value| below_zero(path, value)));
        }
        faults
    }
}

impl LabourRate {
    /// What does not hold across its fields.
    pub fn faults(&self) -> Vec<Fault> {
        let mut faults = Vec::new();
        faults.extend(below_zero("wage_per_hour", self.wage));
        faults.extend(below_zero("burden_percent", self.burden.percent()));
        for (at, burden) in self.burdens.iter().enumerate() {
            let path = |field: &str| format!("burdens[{at}].{field}");
            faults.extend(match burden.amount {
                BurdenAmount::OfWage(share) => below_zero(&path("percent"), share.percent()),
                BurdenAmount::PerHour(amount) => below_zero(&path("amount_per_hour"), amount),
            });
        }
        faults.extend(self.year.iter().flat_map(PaidYear::faults));
        faults
    }
}

impl PaidYear {
    fn faults(&self) -> Vec<Fault> {
        let (paid, productive) = (self.paid.hours(), self.productive.hours());
        let mut faults = Vec::new();
        faults.extend(not_positive("paid_hours", paid));
        faults.extend(not_positive("productive_hours", productive));
        if faults.is_empty() && paid < productive {
            faults.push(Fault::of_field(
                "productive_hours",
                "PRODUCTIVE_ABOVE_PAID",
                format!(
                    "{} h are productive of {} h paid; no more can be worked than is paid: give the hours left when leave, \
                     sickness, weather and the yard are taken off",
                    canonical(productive),
                    canonical(paid)
                ),
            ));
        }
        faults
    }
}

fn not_positive(field: &str, value: Decimal) -> Option<Fault> {
    (value <= Decimal::ZERO).then(|| {
        let message = format!(
            "{field} is {}; give more than 0, or leave it out",
            canonical(value)
        );
        Fault::of_field(field, "NOT_POSITIVE", message)
    })
}

fn below_zero(field: &str, value: Decimal) -> Option<Fault> {
    (value < Decimal::ZERO).then(|| {
        let message = format!("{field} is {}; give 0 or more", canonical(value));
        Fault::of_field(field, "NEGATIVE", message)
    })
}
