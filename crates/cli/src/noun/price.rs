//! Prices as they are shown, their terms in words in a list.

use hod_wire::v1::{BreakRule, Delivery, Price, PriceBreak, Unit};

use super::{Column, Noun, figures, words};
use crate::name::short;
use crate::render::figure::money;
use crate::render::record::Record;
use crate::text::counted;
use crate::word;

impl Noun for Price {
    const COLUMNS: &'static [Column<Self>] = &[
        words("Price", |price| short(&price.name)),
        words("Material", |price| short(&price.material)),
        words("Supplier", |price| price.supplier.clone()),
        figures("Unit price", |price| {
            money(&price.unit_price, &price.currency_code)
        }),
        words("Currency", |price| price.currency_code.clone()),
        words("Per", |price| word::of::<Unit>(price.unit).to_owned()),
        words("From", |price| price.start_date.clone()),
        words("To", |price| price.end_date.clone()),
        words("Terms", terms),
    ];

    fn record(&self) -> Record {
        Record::new()
            .text("name", &self.name)
            .text("material", &self.material)
            .text("unit_price", &self.unit_price)
            .word::<Unit>("unit", self.unit)
            .text("currency_code", &self.currency_code)
            .text("start_date", &self.start_date)
            .text("end_date", &self.end_date)
            .text("supplier", &self.supplier)
            .text("source", &self.source)
            .text("pack_size", &self.pack_size)
            .text("minimum_order", &self.minimum_order)
            .word::<BreakRule>("break_rule", self.break_rule)
            .many("breaks", &self.breaks, price_break)
            .one_if_there("delivery", self.delivery.as_ref(), delivery)
            .count_if_given("lead_days", self.lead_days)
            .text("note", &self.note)
            .count("list_version", self.list_version)
            .time("create_time", self.create_time.as_ref())
    }

    fn name(&self) -> &str {
        &self.name
    }
}

fn price_break(price_break: &PriceBreak) -> Record {
    Record::new()
        .text("from_quantity", &price_break.from_quantity)
        .text("unit_price", &price_break.unit_price)
}

fn delivery(delivery: &Delivery) -> Record {
    Record::new()
        .text("load_m3", &delivery.load_m3)
        .text("load_t", &delivery.load_t)
        .text("load_quantity", &delivery.load_quantity)
        .text("charge_per_load", &delivery.charge_per_load)
        .text("charge_per_km", &delivery.charge_per_km)
        .text("distance_km", &delivery.distance_km)
}

/// `packs of 25; at least 50; all at 4.80 from 10; 45.00 a load of 10 m3 or 15 t; 3 days`.
fn terms(price: &Price) -> String {
    let mut terms = Vec::new();
    if !price.pack_size.is_empty() {
        terms.push(format!("packs of {}", price.pack_size));
    }
    if !price.minimum_order.is_empty() {
        terms.push(format!("at least {}", price.minimum_order));
    }
    terms.extend(break_words(price));
    terms.extend(
        price
            .delivery
            .as_ref()
            .map(|delivery| delivery_words(delivery, price)),
    );
    if let Ok(days @ 1..) = usize::try_from(price.lead_days) {
        terms.push(counted(days, "day", "days"));
    }
    terms.join("; ")
}

/// `all at 4.80 from 10, at 4.50 from 20`; of breaks for what lies above them, `above 10 at 4.80, above 20 at 4.50`.
fn break_words(price: &Price) -> Option<String> {
    let is_incremental = price.break_rule() == BreakRule::Incremental;
    let words = price.breaks.iter().map(|price_break| {
        let from = &price_break.from_quantity;
        let unit_price = money(&price_break.unit_price, &price.currency_code);
        if is_incremental {
            format!("above {from} at {unit_price}")
        } else {
            format!("at {unit_price} from {from}")
        }
    });
    let words = words.collect::<Vec<_>>().join(", ");
    let all = if is_incremental { "" } else { "all " };
    (!words.is_empty()).then(|| format!("{all}{words}"))
}

/// `45.00 a load of 10 m3 or 15 t, 1.20 a km over 20 km`.
fn delivery_words(delivery: &Delivery, price: &Price) -> String {
    let unit = word::of::<Unit>(price.unit);
    let limits = [
        (&delivery.load_m3, "m3"),
        (&delivery.load_t, "t"),
        (&delivery.load_quantity, unit),
    ];
    let limits: Vec<String> = limits
        .iter()
        .filter(|(limit, _)| !limit.is_empty())
        .map(|(limit, unit)| format!("{limit} {unit}"))
        .collect();
    let charge = match delivery.charge_per_load.as_str() {
        "" | "0" => "loads".to_owned(),
        charge => format!("{} a load", money(charge, &price.currency_code)),
    };
    let mut words = format!("{charge} of {}", limits.join(" or "));
    if !matches!(delivery.charge_per_km.as_str(), "" | "0") {
        let per_km = money(&delivery.charge_per_km, &price.currency_code);
        words.push_str(&format!(", {per_km} a km"));
    }
    if !delivery.distance_km.is_empty() {
        words.push_str(&format!(" over {} km", delivery.distance_km));
    }
    words
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_terms_of_a_price_read_as_they_are_said() {
        let price_break = |from: &str, unit_price: &str| PriceBreak {
            from_quantity: from.to_owned(),
            unit_price: unit_price.to_owned(),
        };
        let price = Price {
            currency_code: "EUR".to_owned(),
            unit: Unit::T.into(),
            pack_size: "2".to_owned(),
            minimum_order: "6".to_owned(),
            break_rule: BreakRule::AllUnits.into(),
            breaks: vec![price_break("10", "24.5"), price_break("20", "23")],
            delivery: Some(Delivery {
                load_m3: "10".to_owned(),
                load_t: "15".to_owned(),
                charge_per_load: "45".to_owned(),
                charge_per_km: "1.2".to_owned(),
                distance_km: "20".to_owned(),
                ..Delivery::default()
            }),
            lead_days: 3,
            ..Price::default()
        };
        assert_eq!(
            terms(&price),
            "packs of 2; at least 6; all at 24.50 from 10, at 23.00 from 20; 45.00 a load of 10 m3 or 15 t, \
             1.20 a km over 20 km; 3 days"
        );
        let tiers = Price {
            break_rule: BreakRule::Incremental.into(),
            lead_days: 1,
            delivery: Some(Delivery {
                load_quantity: "8".to_owned(),
                ..Delivery::default()
            }),
            pack_size: String::new(),
            minimum_order: String::new(),
            ..price
        };
        assert_eq!(
            terms(&tiers),
            "above 10 at 24.50, above 20 at 23.00; loads of 8 t; 1 day"
        );
        assert_eq!(terms(&Price::default()), "");
    }
}
