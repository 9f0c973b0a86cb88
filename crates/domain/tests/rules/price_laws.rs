//! What holds for every build-up, currency and rounding rule: the lines shown add up to the totals shown, and the price is
//! what a second reckoning makes it that shares nothing with the first but the rules.

use hod_domain::estimate::{Estimate, Inputs, Line, LineKind, estimate};
use hod_domain::job::{Cost, CostDriver, CostKind, Job};
use hod_domain::region::{
    Allowance, AllowanceAmount, BuildUp, Discount, PricePart, Profit, Tax, TaxBasis, Taxes,
};
use hod_domain::unit::Unit;
use hod_units::{Decimal, Rounding, Share, round};
use proptest::prelude::*;
use rust_decimal::dec;

use crate::commerce_sample::{cost, job_with};
use crate::sample::*;

fn decimal(units: std::ops::Range<i64>, places: u32) -> impl Strategy<Value = Decimal> {
    units.prop_map(move |units| Decimal::new(units, places))
}

fn share() -> impl Strategy<Value = Share> {
    decimal(0..6_000, 2).prop_map(Share::from_percent)
}

fn parts(of: &'static [PricePart]) -> impl Strategy<Value = Vec<PricePart>> {
    prop::collection::vec(prop::sample::select(of), 0..4)
}

fn allowance() -> impl Strategy<Value = Allowance> {
    let direct = &PricePart::ALL[..8];
    let amount = prop_oneof![
        (share(), parts(direct)).prop_map(|(share, parts)| AllowanceAmount::Of(share, parts)),
        decimal(0..99_999, 2).prop_map(AllowanceAmount::Fixed),
    ];
    amount.prop_map(|amount| Allowance {
        label: "allowance".to_owned(),
        amount,
    })
}

fn tax_of_some() -> impl Strategy<Value = Tax> {
    (share(), parts(&PricePart::ALL)).prop_map(|(share, parts)| Tax {
        label: "tax".to_owned(),
        share,
        parts,
    })
}

/// Any build-up whose discount the price of the sample can bear.
fn build_up() -> impl Strategy<Value = BuildUp> {
    let shares = [(); 5].map(|()| share());
    let discount = prop_oneof![
        Just(Discount::None),
        share().prop_map(Discount::Of),
        decimal(0..99_999, 2).prop_map(Discount::Fixed),
    ];
    let taxes = (
        prop::collection::vec(tax_of_some(), 0..4),
        prop_oneof![Just(TaxBasis::Line), Just(TaxBasis::Invoice)],
    );
    let adjustments = (
        discount,
        prop::option::of(decimal(0..9_999_999, 2)),
        prop::option::of(prop_oneof![
            decimal(1..9_999, 2),
            Just(dec!(0.05)),
            Just(dec!(10)),
            Just(dec!(500))
        ]),
    );
    let allowances = prop::collection::vec(allowance(), 0..3);
    (shares, any::<bool>(), taxes, adjustments, allowances).prop_map(
        |(shares, is_margin, (each, basis), adjustments, allowances)| {
            let [site_overhead, firm_overhead, contingency, profit, daywork] = shares;
            let (discount, minimum_charge, round_price_to) = adjustments;
            BuildUp {
                site_overhead,
                firm_overhead,
                contingency,
                profit: if is_margin {
                    Profit::MarginOnPrice(profit)
                } else {
                    Profit::MarkupOnCost(profit)
                },
                taxes: Taxes { each, basis },
                allowances,
                discount,
                minimum_charge,
                round_price_to,
                daywork,
            }
        },
    )
}

const KINDS: [CostKind; 10] = [
    CostKind::Subcontract,
    CostKind::Fee,
    CostKind::Hire,
    CostKind::Travel,
    CostKind::Lodging,
    CostKind::WeatherCover,
    CostKind::ProvisionalSum,
    CostKind::Keep,
    CostKind::WorkshopIncome,
    CostKind::Other,
];

const DRIVERS: [CostDriver; 5] = [
    CostDriver::Once,
    CostDriver::PerWeek,
    CostDriver::PerDay,
    CostDriver::PerTrip,
    CostDriver::PerVisit,
];

fn any_cost() -> impl Strategy<Value = Cost> {
    let kind = prop::sample::select(&KINDS);
    let driver = prop::sample::select(&DRIVERS);
    (kind, driver, decimal(1..3_000, 3), decimal(0..99_999, 4)).prop_map(
        |(kind, driver, quantity, unit_price)| Cost {
            quantity,
            unit: Unit::Each,
            driver,
            // Workshops bring in less than the work costs, or the job is refused.
            unit_price: if kind == CostKind::WorkshopIncome {
                unit_price * dec!(0.1)
            } else {
                unit_price
            },
            ..cost("cost", kind, Decimal::ZERO)
        },
    )
}

/// The sample's job and inputs with a build-up, costs, currency and rounding of any kind, the build-up the region's or
/// the job's.
fn any_price() -> impl Strategy<Value = (Job, Inputs)> {
    let currency = prop_oneof![Just("EUR"), Just("JPY"), Just("TND")];
    let rounding = prop_oneof![
        Just(Rounding::HalfAwayFromZero),
        Just(Rounding::HalfToEven),
        Just(Rounding::Down)
    ];
    let costs = prop::collection::vec(any_cost(), 0..6);
    (currency, rounding, build_up(), costs).prop_map(|(currency, rounding, build_up, costs)| {
        let mut inputs = inputs();
        inputs.regions = vec![
            region("coast", Some("county"), currency),
            region("county", None, currency),
        ];
        inputs.regions[0].rounding = rounding;
        inputs.regions[0].build_up = build_up;
        (job_with(costs), inputs)
    })
}

/// Rounding written out again: the whole units of the last place, and what is over, against a half.
fn to_minor(exact: Decimal, places: u32, rule: Rounding) -> Decimal {
    let unit = Decimal::new(1, places);
    let over = exact.abs() % unit;
    let whole = exact.abs() - over;
    let half = unit * dec!(0.5);
    let is_odd = !((whole / unit) % dec!(2)).is_zero();
    let is_up = match rule {
        Rounding::Down => false,
        Rounding::HalfAwayFromZero => half <= over,
        Rounding::HalfToEven => half < over || (half == over && is_odd),
    };
    let size = if is_up { whole + unit } else { whole };
    if exact.is_sign_negative() {
        -size
    } else {
        size
    }
}

/// Largest remainder written out again: a unit at a time to whoever is furthest below what is due.
fn dealt(total: Decimal, weights: &[Decimal], places: u32) -> Vec<Decimal> {
    let whole: Decimal = weights.iter().sum();
    let unit = Decimal::new(1, places);
    let size = total.abs();
    let due: Vec<Decimal> = weights.iter().map(|weight| size * weight / whole).collect();
    let mut got: Vec<Decimal> = due.iter().map(|due| due - due % unit).collect();
    while got.iter().sum::<Decimal>() < size {
        let mut neediest = 0;
        for at in 1..got.len() {
            if got[neediest] - due[neediest] > got[at] - due[at] {
                neediest = at;
            }
        }
        got[neediest] += unit;
    }
    let signed = |share: Decimal| {
        if total.is_sign_negative() {
            -share
        } else {
            share
        }
    };
    got.into_iter().map(signed).collect()
}

/// The naive reckoning of a price from the lines of direct cost and income that the estimate shows.
struct Naive<'a> {
    build_up: &'a BuildUp,
    places: u32,
    rounding: Rounding,
    /// What there is to tax: the part, or none for an adjustment, and the amount.
    lines: Vec<(Option<PricePart>, Decimal)>,
}

impl<'a> Naive<'a> {
    fn round(&self, exact: Decimal) -> Decimal {
        to_minor(exact, self.places, self.rounding)
    }

    fn sum(&self) -> Decimal {
        self.lines.iter().map(|(_, amount)| amount).sum()
    }

    fn part(&self, part: PricePart) -> Decimal {
        let of_part = self.lines.iter().filter(|(of, _)| *of == Some(part));
        of_part.map(|(_, amount)| amount).sum()
    }

    fn add(&mut self, part: Option<PricePart>, exact: Decimal) {
        let amount = self.round(exact);
        self.lines.push((part, amount));
    }

    /// Before tax.
    fn price(estimate: &Estimate, build_up: &'a BuildUp, rounding: Rounding) -> Self {
        let given = |line: &&Line| line.unit_price.is_some();
        let of = |line: &Line| (line.kind.part(), line.amount.amount());
        let (income, direct): (Vec<&Line>, Vec<&Line>) = estimate
            .lines
            .iter()
            .filter(given)
            .partition(|line| line.kind == LineKind::Income);
        let mut naive = Self {
            build_up,
            places: estimate.currency.minor_units(),
            rounding,
            lines: direct.into_iter().map(of).collect(),
        };
        naive.allow();
        let fraction = |share: Share| share.fraction();
        for share in [
            build_up.site_overhead,
            build_up.firm_overhead,
            build_up.contingency,
        ] {
            naive.add(Some(PricePart::OnCost), naive.sum() * fraction(share));
        }
        let cost = naive.sum();
        let profit = match build_up.profit {
            Profit::MarkupOnCost(share) => cost * fraction(share),
            Profit::MarginOnPrice(share) => cost / (Decimal::ONE - fraction(share)) - cost,
        };
        naive.add(Some(PricePart::OnCost), profit);
        naive.lines.extend(income.into_iter().map(of));
        naive.adjust();
        naive
    }

    fn allow(&mut self) {
        let of = |parts: &[PricePart]| -> Decimal {
            let all = PricePart::ALL.iter();
            if parts.is_empty() {
                return self.sum();
            }
            all.filter(|part| parts.contains(part))
                .map(|part| self.part(*part))
                .sum()
        };
        let amounts: Vec<Decimal> = self
            .build_up
            .allowances
            .iter()
            .map(|allowance| match &allowance.amount {
                AllowanceAmount::Fixed(amount) => *amount,
                AllowanceAmount::Of(share, parts) => of(parts) * share.fraction(),
            })
            .collect();
        for amount in amounts {
            self.add(Some(PricePart::Other), amount);
        }
    }

    fn adjust(&mut self) {
        let price = self.sum();
        match self.build_up.discount {
            Discount::None => {}
            Discount::Of(share) => self.add(None, -price * share.fraction()),
            Discount::Fixed(amount) => self.add(None, -amount),
        }
        let least = self.build_up.minimum_charge.unwrap_or_default();
        if self.sum() < least {
            self.add(None, least - self.sum());
        }
        if let Some(step) = self.build_up.round_price_to {
            let price = self.sum();
            let mut target = to_minor(price / step, 0, self.rounding) * step;
            if target < least && least <= price {
                target += step;
            }
            self.add(None, target - price);
        }
    }

    /// What a tax is on: on all of it the lines as they are; on parts their lines, and their shares of the others.
    fn taxed(&self, tax: &Tax) -> Vec<Decimal> {
        if tax.parts.is_empty() {
            return self.lines.iter().map(|(_, amount)| *amount).collect();
        }
        let weights: Vec<Decimal> = PricePart::ALL.map(|part| self.part(part)).to_vec();
        let mut bases = Vec::new();
        for (part, amount) in &self.lines {
            match part {
                Some(part) if tax.parts.contains(part) => bases.push(*amount),
                Some(_) => {}
                None => {
                    let shares = dealt(*amount, &weights, self.places);
                    let of = PricePart::ALL.iter().zip(shares);
                    let own = of.filter(|(part, _)| tax.parts.contains(part));
                    bases.extend(own.map(|(_, share)| share));
                }
            }
        }
        bases
    }

    fn tax(&self, tax: &Tax) -> Decimal {
        let (bases, share) = (self.taxed(tax), tax.share.fraction());
        match self.build_up.taxes.basis {
            TaxBasis::Invoice => self.round(bases.iter().sum::<Decimal>() * share),
            TaxBasis::Line => bases.iter().map(|base| self.round(base * share)).sum(),
        }
    }
}

/// Every kind of line with what the totals say it comes to.
fn totals(estimate: &Estimate) -> [(LineKind, Decimal); 16] {
    let totals = estimate.totals;
    [
        (LineKind::Material, totals.material),
        (LineKind::Labour, totals.labour),
        (LineKind::Equipment, totals.equipment),
        (LineKind::Subcontract, totals.subcontract),
        (LineKind::Fee, totals.fee),
        (LineKind::Travel, totals.travel),
        (LineKind::ProvisionalSum, totals.provisional_sum),
        (LineKind::Other, totals.other),
        (LineKind::Overhead, totals.overhead),
        (LineKind::Contingency, totals.contingency),
        (LineKind::Profit, totals.profit),
        (LineKind::Income, totals.income),
        (LineKind::Discount, totals.discount),
        (LineKind::MinimumCharge, totals.minimum_charge),
        (LineKind::Rounding, totals.rounding),
        (LineKind::Tax, totals.tax),
    ]
    .map(|(kind, money)| (kind, money.amount()))
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 512, ..ProptestConfig::default() })]

    #[test]
    fn lines_shown_add_up_to_totals_shown((job, inputs) in any_price()) {
        let estimate = estimate(&job, &inputs).expect("the price bears it");
        let mut whole = Decimal::ZERO;
        for (kind, total) in totals(&estimate) {
            let lines = estimate.lines.iter().filter(|line| line.kind == kind);
            let sum: Decimal = lines.map(|line| line.amount.amount()).sum();
            prop_assert_eq!(sum, total, "{:?}", kind);
            whole += sum;
        }
        prop_assert_eq!(whole, estimate.totals.total.amount());
        prop_assert!(estimate.lines.iter().all(|line| line.amount.is_rounded()));
        prop_assert!(estimate.lines.is_sorted_by_key(|line| line.kind.place()));
    }

    #[test]
    fn every_line_comes_out_of_what_it_shows((job, inputs) in any_price()) {
        let estimate = estimate(&job, &inputs).expect("the price bears it");
        let (places, rounding) = (estimate.currency.minor_units(), estimate.rounding);
        for line in &estimate.lines {
            let exact = match line.unit_price {
                Some(unit_price) => line.quantity * unit_price,
                None => line.basis.work().expect("small"),
            };
            prop_assert_eq!(round(exact, places, rounding), line.amount.amount(), "{}: {:?}", &*line.item, line.basis);
        }
    }

    #[test]
    fn a_price_is_what_a_second_reckoning_makes_it((job, inputs) in any_price()) {
        let region = &inputs.regions[0];
        let estimate = estimate(&job, &inputs).expect("the price bears it");
        let naive = Naive::price(&estimate, &region.build_up, region.rounding);
        let shown = estimate.lines.iter().filter(|line| line.kind != LineKind::Tax);
        let price: Decimal = shown.map(|line| line.amount.amount()).sum();
        prop_assert_eq!(naive.sum(), price);
        let lines = estimate.lines.iter().filter(|line| line.kind == LineKind::Tax);
        let shown: Vec<Decimal> = lines.map(|line| line.amount.amount()).collect();
        let mut taxes: Vec<Decimal> = region.build_up.taxes.each.iter().map(|tax| naive.tax(tax)).collect();
        if taxes.is_empty() {
            taxes.push(Decimal::ZERO);
        }
        prop_assert_eq!(shown, taxes);
    }

    #[test]
    fn a_build_up_of_the_job_s_is_worth_what_the_region_s_is((job, inputs) in any_price()) {
        let of_region = estimate(&job, &inputs).expect("the price bears it");
        let region = &inputs.regions[0];
        let build_up = &region.build_up;
        let own = Job {
            rounding: Some(region.rounding),
            build_up: hod_domain::job::BuildUpChange {
                site_overhead: Some(build_up.site_overhead),
                firm_overhead: Some(build_up.firm_overhead),
                contingency: Some(build_up.contingency),
                profit: Some(build_up.profit),
                taxes: Some(build_up.taxes.each.clone()),
                tax_basis: Some(build_up.taxes.basis),
                allowances: Some(build_up.allowances.clone()),
                discount: Some(build_up.discount),
                minimum_charge: build_up.minimum_charge,
                round_price_to: build_up.round_price_to,
                daywork: Some(build_up.daywork),
            },
            ..job
        };
        let mut plain = inputs.clone();
        plain.regions[0].build_up = BuildUp::default();
        plain.regions[0].rounding = Rounding::default();
        let of_job = estimate(&own, &plain).expect("the price bears it");
        prop_assert_eq!(&of_job.build_up, &of_region.build_up);
        prop_assert_eq!(of_job.totals, of_region.totals);
        let amounts = |estimate: &Estimate| -> Vec<_> {
            estimate.lines.iter().map(|line| (line.kind, line.amount)).collect()
        };
        prop_assert_eq!(amounts(&of_job), amounts(&of_region));
    }
}
