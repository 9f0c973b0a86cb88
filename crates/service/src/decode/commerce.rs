//! What a job says beside its walls: who does which part of the building, what else it costs, how long the crew is
//! there, and where materials are bought.

use hod_domain::id::ScopePart;
use hod_domain::job::{Cost, CostDriver, ScopeLine, SiteTime, Source};
use hod_domain::unit::Unit;
use hod_units::Decimal;
use hod_wire::v1 as wire;
use rust_decimal::dec;

use super::{Bounds, Decoder, NAME_CHARACTERS_MAX, SOURCE_CHARACTERS_MAX, choice};
use crate::name::Materials;

/// Most scope lines of a job.
const SCOPE_MAX: usize = 100;

/// Most costs of a job.
const COSTS_MAX: usize = 500;

/// Most materials of which a job says where they are bought.
const SOURCES_MAX: usize = 500;

/// Most characters of a note.
const NOTE_CHARACTERS_MAX: usize = 400;

const QUANTITY: Bounds = Bounds {
    places: 6,
    ..Bounds::of(dec!(0.000001), dec!(1000000), "")
};

const UNIT_PRICE: Bounds = Bounds {
    places: 6,
    ..Bounds::of(dec!(0), dec!(999999999), "")
};

const WEEKS: Bounds = Bounds::of(dec!(0.01), dec!(520), "weeks");

const DAYS: Bounds = Bounds::of(dec!(0.01), dec!(3650), "days");

/// Most journeys, and most visits.
const COMINGS_MAX: u32 = 10_000;

const DISTANCE: Bounds = Bounds {
    places: 6,
    ..Bounds::of(dec!(0), dec!(5000), "km")
};

/// What a cost may be counted in.
const COST_UNITS: [Unit; 14] = [
    Unit::M,
    Unit::M2,
    Unit::M3,
    Unit::T,
    Unit::H,
    Unit::Km,
    Unit::Day,
    Unit::Week,
    Unit::Trip,
    Unit::Visit,
    Unit::Night,
    Unit::PersonDay,
    Unit::Each,
    Unit::Sum,
];

/// What a job says beside its walls.
pub struct Commerce {
    /// Who does which part.
    pub scope: Vec<ScopeLine>,
    /// What else it costs.
    pub costs: Vec<Cost>,
    /// How long the crew is there.
    pub site_time: SiteTime,
    /// Where materials are bought.
    pub sources: Vec<Source>,
}

/// Reads it. What does not hold across it, such as a cost for a part that is not ours, is for the middle to say.
pub fn commerce<'a>(decoder: &mut Decoder<'a>, wire: &'a wire::Job) -> Option<Commerce> {
    let sent = decoder.list("scope", &wire.scope, 0, SCOPE_MAX);
    let scope = decoder.each("scope", sent, scope_line);
    let sent = decoder.list("costs", &wire.costs, 0, COSTS_MAX);
    let costs = decoder.each("costs", sent, cost);
    let site_time = decoder.part("site_time", wire.site_time.as_ref(), site_time);
    let sent = decoder.list("sources", &wire.sources, 0, SOURCES_MAX);
    let sources = decoder.each("sources", sent, source);
    Some(Commerce {
        scope: scope?,
        costs: costs?,
        site_time: site_time?.unwrap_or_default(),
        sources: sources?,
    })
}

/// A part of the building and who does it.
pub fn scope_line(decoder: &mut Decoder<'_>, wire: &wire::ScopeLine) -> Option<ScopeLine> {
    let part = decoder.read("part", "NOT_AN_ID", ScopePart::parse(&wire.part));
    let display_name = decoder.text_if_any("display_name", &wire.display_name, NAME_CHARACTERS_MAX);
    let holder = choice::scope_holder(decoder, "holder", wire.holder);
    let note = decoder.text_if_any("note", &wire.note, NOTE_CHARACTERS_MAX);
    Some(ScopeLine {
        part: part?,
        display_name: display_name?,
        holder: holder?,
        note: note?,
    })
}

fn cost(decoder: &mut Decoder<'_>, wire: &wire::Cost) -> Option<Cost> {
    let item = decoder.text("item", &wire.item, NAME_CHARACTERS_MAX);
    let kind = choice::cost_kind(decoder, "kind", wire.kind);
    let quantity = decoder.number_if_any("quantity", &wire.quantity, &QUANTITY);
    let unit = cost_unit(decoder, wire.unit);
    let unit_price = decoder.number("unit_price", &wire.unit_price, &UNIT_PRICE);
    let driver = choice::cost_driver(decoder, "driver", wire.driver);
    let part = part(decoder, &wire.part);
    let source = decoder.text_if_any("source", &wire.source, SOURCE_CHARACTERS_MAX);
    let kind = kind?;
    Some(Cost {
        item: item?,
        kind,
        quantity: quantity?.unwrap_or(Decimal::ONE),
        unit: unit?,
        unit_price: unit_price?,
        driver: driver.unwrap_or(CostDriver::Once),
        part: part?,
        source: source?,
    })
}

fn cost_unit(decoder: &mut Decoder<'_>, number: i32) -> Option<Unit> {
    if number == 0 {
        return Some(Unit::Sum);
    }
    let unit = choice::unit(decoder, "unit", number)?;
    if COST_UNITS.contains(&unit) {
        return Some(unit);
    }
    let known: Vec<&str> = COST_UNITS.iter().map(|unit| unit.word()).collect();
    decoder.refuse(
        "unit",
        "WRONG_UNIT",
        format!(
            "a cost is not counted in {}; count it in {}",
            unit.word(),
            known.join(", ")
        ),
    );
    None
}

/// The part of the scope that a cost is for: one that the job names, and of which it says that it is ours.
fn part(decoder: &mut Decoder<'_>, text: &str) -> Option<Option<ScopePart>> {
    if text.is_empty() {
        return Some(None);
    }
    decoder
        .read("part", "NOT_AN_ID", ScopePart::parse(text))
        .map(Some)
}

fn site_time(decoder: &mut Decoder<'_>, wire: &wire::SiteTime) -> Option<SiteTime> {
    let weeks = decoder.number_if_any("weeks", &wire.weeks, &WEEKS);
    let days = decoder.number_if_any("days", &wire.days, &DAYS);
    let trips = decoder.whole("trips", wire.trips, 0, COMINGS_MAX);
    let visits = decoder.whole("visits", wire.visits, 0, COMINGS_MAX);
    let said = |count: u32| Some(count).filter(|count| 0 < *count);
    Some(SiteTime {
        weeks: weeks?,
        days: days?,
        trips: said(trips?),
        visits: said(visits?),
    })
}

fn source(decoder: &mut Decoder<'_>, wire: &wire::Source) -> Option<Source> {
    let material = decoder.name_needed::<Materials>("material", &wire.material);
    let supplier = decoder.text_if_any("supplier", &wire.supplier, NAME_CHARACTERS_MAX);
    let distance_km = decoder.number_if_any("distance_km", &wire.distance_km, &DISTANCE);
    Some(Source {
        material: material?,
        supplier: Some(supplier?).filter(|supplier| !supplier.is_empty()),
        distance_km: distance_km?,
    })
}

#[cfg(test)]
mod tests {
    use hod_domain::job::ScopeHolder;

    use super::*;

    fn job(holder: wire::ScopeHolder, cost: wire::Cost) -> wire::Job {
        let line = wire::ScopeLine {
            part: "roof".into(),
            holder: holder.into(),
            ..Default::default()
        };
        wire::Job {
            scope: vec![line],
            costs: vec![cost],
            ..Default::default()
        }
    }

    fn roof_cost() -> wire::Cost {
        wire::Cost {
            item: "rafters".into(),
            kind: wire::CostKind::Subcontract.into(),
            unit_price: "1200".into(),
            part: "roof".into(),
            ..Default::default()
        }
    }

    fn refused(wire: &wire::Job) -> Vec<(String, &'static str)> {
        let mut decoder = Decoder::new();
        commerce(&mut decoder, wire);
        let told = decoder.violations().into_iter();
        told.map(|fault| (fault.field, fault.reason)).collect()
    }

    #[test]
    fn a_cost_that_says_no_more_is_one_sum_once() {
        let wire = job(wire::ScopeHolder::Ours, roof_cost());
        let read = commerce(&mut Decoder::new(), &wire).expect("a job that reads well");
        let cost = &read.costs[0];
        assert_eq!(
            (cost.quantity, cost.unit, cost.driver),
            (dec!(1), Unit::Sum, CostDriver::Once)
        );
        assert_eq!(read.scope[0].holder, ScopeHolder::Ours);
    }

    #[test]
    fn everything_that_is_wrong_beside_the_walls_is_told_at_its_field() {
        let mut wire = job(wire::ScopeHolder::Ours, roof_cost());
        wire.costs[0] = wire::Cost {
            item: String::new(),
            quantity: "0".into(),
            unit: wire::Unit::Bale.into(),
            unit_price: "1.0000001".into(),
            ..Default::default()
        };
        wire.site_time = Some(wire::SiteTime {
            weeks: "-1".into(),
            trips: -3,
            ..Default::default()
        });
        wire.sources = vec![wire::Source::default()];
        let told = refused(&wire);
        let told: Vec<(&str, &str)> = told.iter().map(|(f, r)| (f.as_str(), *r)).collect();
        assert_eq!(
            told,
            [
                ("costs[0].item", "MISSING"),
                ("costs[0].kind", "MISSING"),
                ("costs[0].quantity", "OUT_OF_RANGE"),
                ("costs[0].unit", "WRONG_UNIT"),
                ("costs[0].unit_price", "TOO_MANY_DECIMALS"),
                ("site_time.weeks", "OUT_OF_RANGE"),
                ("site_time.trips", "OUT_OF_RANGE"),
                ("sources[0].material", "MISSING"),
            ]
        );
    }
}
