//! Labour rates as they are shown.

use hod_wire::v1::{Burden, LabourRate};

use super::{Column, Noun, figures, words};
use crate::name::short;
use crate::render::basis;
use crate::render::figure::money;
use crate::render::record::Record;

impl Noun for LabourRate {
    const COLUMNS: &'static [Column<Self>] = &[
        words("Labour rate", |rate| short(&rate.name)),
        words("Grade", |rate| rate.grade.clone()),
        figures("Wage per h", |rate| {
            money(&rate.wage_per_hour, &rate.currency_code)
        }),
        words("On top", on_top),
        words("Paid for productive h", |rate| {
            match (&rate.paid_hours, &rate.productive_hours) {
                (paid, productive) if !paid.is_empty() => format!("{paid} for {productive}"),
                _ => String::new(),
            }
        }),
        figures("Loaded per h", |rate| {
            money(&rate.loaded_rate_per_hour, &rate.currency_code)
        }),
        words("Currency", |rate| rate.currency_code.clone()),
        words("From", |rate| rate.start_date.clone()),
        words("To", |rate| rate.end_date.clone()),
    ];

    fn record(&self) -> Record {
        Record::new()
            .text("name", &self.name)
            .text("grade", &self.grade)
            .text("wage_per_hour", &self.wage_per_hour)
            .text("burden_percent", &self.burden_percent)
            .many("burdens", &self.burdens, burden)
            .text("paid_hours", &self.paid_hours)
            .text("productive_hours", &self.productive_hours)
            .text("loaded_rate_per_hour", &self.loaded_rate_per_hour)
            .text(
                "basis",
                &basis::words(self.basis.as_ref(), &self.currency_code),
            )
            .text("currency_code", &self.currency_code)
            .text("start_date", &self.start_date)
            .text("end_date", &self.end_date)
            .text("source", &self.source)
            .text("note", &self.note)
            .count("list_version", self.list_version)
            .time("create_time", self.create_time.as_ref())
    }

    fn name(&self) -> &str {
        &self.name
    }
}

fn burden(burden: &Burden) -> Record {
    Record::new()
        .text("label", &burden.label)
        .text("percent", &burden.percent)
        .text("amount_per_hour", &burden.amount_per_hour)
}

/// `28 %, holiday pay 8.33 %, tools 0.60`.
fn on_top(rate: &LabourRate) -> String {
    let plain = Some(&rate.burden_percent).filter(|percent| !matches!(percent.as_str(), "" | "0"));
    let named = rate.burdens.iter().map(|burden| {
        if burden.percent.is_empty() {
            let amount = money(&burden.amount_per_hour, &rate.currency_code);
            format!("{} {amount}", burden.label)
        } else {
            format!("{} {} %", burden.label, burden.percent)
        }
    });
    let all = plain.map(|percent| format!("{percent} %")).into_iter();
    all.chain(named).collect::<Vec<_>>().join(", ")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_comes_on_top_of_a_wage_is_listed_in_order() {
        let burden = |label: &str, percent: &str, amount: &str| Burden {
            label: label.to_owned(),
            percent: percent.to_owned(),
            amount_per_hour: amount.to_owned(),
        };
        let rate = LabourRate {
            burden_percent: "28".to_owned(),
            burdens: vec![
                burden("holiday pay", "8.33", ""),
                burden("tools", "", "0.6"),
            ],
            currency_code: "EUR".to_owned(),
            ..LabourRate::default()
        };
        assert_eq!(on_top(&rate), "28 %, holiday pay 8.33 %, tools 0.60");
        assert_eq!(on_top(&LabourRate::default()), "");
    }
}
