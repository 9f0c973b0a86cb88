//! The terms of a price as columns: packs, least orders, breaks, delivery.

use hod_domain::price::{BreakRule, BreakStep, Breaks, Delivery, Terms};
use hod_units::{Decimal, Mass, Volume};
use sqlx::error::BoxDynError;

use crate::exact::{Exact, UNIT_PRICE_PLACES_MAX};
use crate::fault::StoreFault;
use crate::row::Fields;
use crate::words::Word;

/// What a price says in numbers, as they go in.
#[derive(Debug, Clone)]
pub(crate) struct Columns {
    pub(crate) unit_price: Decimal,
    pub(crate) pack_size: Option<Decimal>,
    pub(crate) minimum_order: Option<Decimal>,
    pub(crate) break_rule: Option<&'static str>,
    pub(crate) break_from: Vec<Decimal>,
    pub(crate) break_price: Vec<Decimal>,
    pub(crate) load_m3: Option<Decimal>,
    pub(crate) load_t: Option<Decimal>,
    pub(crate) load_quantity: Option<Decimal>,
    pub(crate) charge_per_load: Option<Decimal>,
    pub(crate) charge_per_km: Option<Decimal>,
    pub(crate) distance_km: Option<Decimal>,
    pub(crate) lead_days: i32,
}

impl Columns {
    /// The columns of a price, or every number of it that does not fit.
    pub(crate) fn of(unit_price: Decimal, terms: &Terms) -> Result<Self, StoreFault> {
        let mut exact = Exact::default();
        let delivery = terms.delivery.as_ref();
        let steps = terms.breaks.iter().flat_map(|breaks| &breaks.steps);
        let tonnes = |delivery: &Delivery| delivery.load_mass.map(Mass::tonnes);
        let cubic_metres = |delivery: &Delivery| delivery.load_volume.map(Volume::cubic_metres);
        let mut fine =
            |column: &str, value: Decimal| exact.places(column, value, UNIT_PRICE_PLACES_MAX);
        let columns = Self {
            unit_price: fine("unit_price", unit_price),
            pack_size: terms.pack_size.map(|size| fine("pack_size", size)),
            minimum_order: terms
                .minimum_order
                .map(|least| fine("minimum_order", least)),
            break_rule: terms.breaks.as_ref().map(|breaks| breaks.rule.kept_word()),
            break_from: steps
                .clone()
                .map(|step| fine("from_quantity", step.from))
                .collect(),
            break_price: steps
                .map(|step| fine("unit_price of a break", step.unit_price))
                .collect(),
            load_quantity: delivery
                .and_then(|each| each.load_quantity)
                .map(|most| fine("load_quantity", most)),
            charge_per_load: delivery.map(|each| fine("charge_per_load", each.per_load)),
            charge_per_km: delivery.map(|each| fine("charge_per_km", each.per_km)),
            load_m3: exact.optional("load_m3", delivery.and_then(cubic_metres)),
            load_t: exact.optional("load_t", delivery.and_then(tonnes)),
            distance_km: exact.optional("distance_km", delivery.and_then(|each| each.distance_km)),
            // What is past the range stays past it, for the rule to refuse.
            lead_days: i32::try_from(terms.lead_days).unwrap_or(i32::MAX),
        };
        exact.check()?;
        Ok(columns)
    }
}

/// The next 13 fields.
pub(crate) fn read(fields: &mut Fields<'_>) -> Result<Terms, BoxDynError> {
    Ok(Terms {
        pack_size: fields.take()?,
        minimum_order: fields.take()?,
        breaks: read_breaks(fields)?,
        delivery: read_delivery(fields)?,
        lead_days: u32::try_from(fields.take::<i32>()?)?,
        note: fields.take()?,
    })
}

fn read_breaks(fields: &mut Fields<'_>) -> Result<Option<Breaks>, BoxDynError> {
    let rule: Option<String> = fields.take()?;
    let from: Vec<Decimal> = fields.take()?;
    let unit_price: Vec<Decimal> = fields.take()?;
    let Some(rule) = rule else {
        return Ok(None);
    };
    let steps = from.into_iter().zip(unit_price);
    Ok(Some(Breaks {
        rule: BreakRule::read(&rule)?,
        steps: steps
            .map(|(from, unit_price)| BreakStep { from, unit_price })
            .collect(),
    }))
}

fn read_delivery(fields: &mut Fields<'_>) -> Result<Option<Delivery>, BoxDynError> {
    let load_volume = fields.optional_number(Volume::from_cubic_metres)?;
    let tonnes: Option<Decimal> = fields.take()?;
    let load_quantity = fields.take()?;
    let per_load: Option<Decimal> = fields.take()?;
    let per_km: Option<Decimal> = fields.take()?;
    let distance_km = fields.take()?;
    let Some((per_load, per_km)) = per_load.zip(per_km) else {
        return Ok(None);
    };
    let mass = |tonnes| Mass::from_tonnes(tonnes).ok_or("a load of too many tonnes");
    Ok(Some(Delivery {
        load_volume,
        load_mass: tonnes.map(mass).transpose()?,
        load_quantity,
        per_load,
        per_km,
        distance_km,
    }))
}
