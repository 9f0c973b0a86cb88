//! From the cells of a row to a price: every column is read, and every fault is told. What spans columns and is a rule
//! of prices anywhere is asked of the domain and told under the column to blame.

use hod_domain::fault::Fault;
use hod_domain::id::{MaterialId, PriceId, RegionId};
use hod_domain::price::{BreakRule, BreakStep, Breaks, Delivery, PriceRow, Terms};
use hod_domain::unit::Unit;
use hod_units::{Date, DateRange, Decimal, Mass, Volume};
use rust_decimal::dec;

use super::cells::Cells;
use super::number::{Bounds, Least};
use super::raw::RawRow;
use crate::column::{Column, Header};
use crate::fault::{FileFault, quoted};
use crate::unit::{purchase_unit, purchase_units};

const SUPPLIER_CHARACTERS_MAX: usize = 120;
const SOURCE_CHARACTERS_MAX: usize = 400;
const NOTE_CHARACTERS_MAX: usize = 400;
const BREAKS_MAX: usize = 20;

const MOST: Decimal = dec!(999999999);
const MONEY: Bounds = Bounds {
    least: Least::From(Decimal::ZERO),
    most: MOST,
    places: 6,
};
const QUANTITY: Bounds = Bounds {
    least: Least::AboveZero,
    most: MOST,
    places: 6,
};
/// Cubic metres or tonnes of a load.
const LOAD: Bounds = Bounds {
    least: Least::From(dec!(0.01)),
    most: dec!(1000),
    places: 6,
};
const DISTANCE: Bounds = Bounds {
    least: Least::From(Decimal::ZERO),
    most: dec!(5000),
    places: 6,
};
const DAYS: Bounds = Bounds {
    least: Least::From(Decimal::ZERO),
    most: dec!(1000),
    places: 0,
};

/// The price of a row, or all that is wrong with it.
pub(crate) fn price_row(header: &Header, raw: &RawRow) -> Result<PriceRow, Vec<FileFault>> {
    let mut cells = Cells::new(header, raw);
    match read(&mut cells, raw.row) {
        Some(row) => judged(cells, row),
        None => Err(cells.into_faults()),
    }
}

fn read(cells: &mut Cells<'_>, row: u32) -> Option<PriceRow> {
    let region = cells.id(Column::Region, RegionId::parse);
    let material = cells.id(Column::Material, MaterialId::parse);
    let supplier = cells.text(Column::Supplier, SUPPLIER_CHARACTERS_MAX);
    let unit = unit(cells);
    let unit_price = cells.number(Column::UnitPrice, &MONEY);
    let in_force = in_force(cells);
    let terms = terms(cells);
    let source = cells.text(Column::Source, SOURCE_CHARACTERS_MAX);
    let id = cells.id_if_any(Column::Price, PriceId::parse);
    Some(PriceRow {
        row,
        region: region?,
        id: id?,
        material: material?,
        unit_price: unit_price?,
        unit: unit?,
        in_force: in_force?,
        supplier: supplier?,
        source: source?,
        terms: terms?,
    })
}

fn unit(cells: &mut Cells<'_>) -> Option<Unit> {
    let word = cells.word_needed(Column::Unit)?;
    let unit = purchase_unit(word);
    if unit.is_none() {
        let message = format!(
            "{} is not a unit in which materials are bought; write one of {}",
            quoted(word),
            purchase_units()
        );
        cells.blame(Column::Unit, "UNKNOWN_UNIT", message);
    }
    unit
}

fn in_force(cells: &mut Cells<'_>) -> Option<DateRange> {
    let start = cells.date(Column::StartDate);
    let end = cells.date_if_any(Column::EndDate);
    let (start, end) = (start?, end?);
    if let Some(end) = end
        && end < start
    {
        let message = format!(
            "the last day {end} is before the first, {start}; give a later one, or leave it empty while the price is open"
        );
        cells.blame(Column::EndDate, "END_BEFORE_START", message);
        return None;
    }
    let after = end.and_then(|end| Date::succ_opt(&end));
    DateRange::new(start, after)
        .map_err(|fault| cells.blame(Column::EndDate, "END_BEFORE_START", fault.to_string()))
        .ok()
}

fn terms(cells: &mut Cells<'_>) -> Option<Terms> {
    let pack_size = cells.number_if_any(Column::PackSize, &QUANTITY);
    let minimum_order = cells.number_if_any(Column::MinimumOrder, &QUANTITY);
    let breaks = breaks(cells);
    let delivery = delivery(cells);
    let lead_days = cells.number_if_any(Column::LeadDays, &DAYS);
    let note = cells.text(Column::Note, NOTE_CHARACTERS_MAX);
    Some(Terms {
        pack_size: pack_size?,
        minimum_order: minimum_order?,
        breaks: breaks?,
        delivery: delivery?,
        lead_days: u32::try_from(lead_days?.unwrap_or_default()).ok()?,
        note: note?,
    })
}

fn breaks(cells: &mut Cells<'_>) -> Option<Option<Breaks>> {
    let rule = cells.word(Column::BreakRule);
    let steps = cells
        .word(Column::Breaks)
        .and_then(|steps| break_steps(cells, steps));
    let rule = rule.and_then(|word| break_rule(cells, word));
    match (rule?, steps?) {
        (None, steps) if steps.is_empty() => Some(None),
        (Some(rule), steps) if !steps.is_empty() => Some(Some(Breaks { rule, steps })),
        (None, _) => {
            cells.blame(
                Column::BreakRule,
                "BREAK_RULE_MISSING",
                "there are breaks, and not what they lower; write all-units or incremental",
            );
            None
        }
        (Some(_), _) => {
            cells.blame(
                Column::Breaks,
                "BREAKS_MISSING",
                "there is a rule for breaks, and no break; write them as 10:4.80 20:4.50, or empty both cells",
            );
            None
        }
    }
}

fn break_rule(cells: &mut Cells<'_>, word: &str) -> Option<Option<BreakRule>> {
    match word {
        "" => Some(None),
        "all-units" => Some(Some(BreakRule::AllUnits)),
        "incremental" => Some(Some(BreakRule::Incremental)),
        _ => {
            let message = format!(
                "{} is not a rule for breaks; write all-units or incremental",
                quoted(word)
            );
            cells.blame(Column::BreakRule, "UNKNOWN_BREAK_RULE", message);
            None
        }
    }
}

fn break_steps(cells: &mut Cells<'_>, text: &str) -> Option<Vec<BreakStep>> {
    let count = text.split_whitespace().count();
    if BREAKS_MAX < count {
        let message = format!("there are {count} breaks; at most {BREAKS_MAX} are kept");
        cells.blame(Column::Breaks, "TOO_MANY_BREAKS", message);
        return None;
    }
    text.split_whitespace()
        .map(|step| break_step(cells, step))
        .collect()
}

fn break_step(cells: &mut Cells<'_>, text: &str) -> Option<BreakStep> {
    let Some((from, unit_price)) = text.split_once(':') else {
        let message = format!(
            "{} is not a break; write a quantity, a colon and its unit price, with a blank before the next, \
             such as 10:4.80 20:4.50",
            quoted(text)
        );
        cells.blame(Column::Breaks, "BREAKS_MALFORMED", message);
        return None;
    };
    let from = cells.keep_number(Column::Breaks, from, &QUANTITY);
    let unit_price = cells.keep_number(Column::Breaks, unit_price, &MONEY);
    Some(BreakStep {
        from: from?,
        unit_price: unit_price?,
    })
}

fn delivery(cells: &mut Cells<'_>) -> Option<Option<Delivery>> {
    let load_volume = cells.number_if_any(Column::LoadVolume, &LOAD);
    let load_mass = cells.number_if_any(Column::LoadMass, &LOAD);
    let load_quantity = cells.number_if_any(Column::LoadQuantity, &QUANTITY);
    let per_load = cells.number_if_any(Column::ChargePerLoad, &MONEY);
    let per_km = cells.number_if_any(Column::ChargePerKm, &MONEY);
    let distance_km = cells.number_if_any(Column::Distance, &DISTANCE);
    let (load_volume, load_mass, load_quantity) = (load_volume?, load_mass?, load_quantity?);
    let (per_load, per_km, distance_km) = (per_load?, per_km?, distance_km?);
    let limits = [load_volume, load_mass, load_quantity];
    let charges = [per_load, per_km, distance_km];
    let is_given = limits.iter().chain(&charges).any(Option::is_some);
    Some(is_given.then(|| Delivery {
        load_volume: load_volume.map(Volume::from_cubic_metres),
        load_mass: load_mass.and_then(Mass::from_tonnes),
        load_quantity,
        per_load: per_load.unwrap_or_default(),
        per_km: per_km.unwrap_or_default(),
        distance_km,
    }))
}

/// The row, if it keeps to the rules of prices.
fn judged(mut cells: Cells<'_>, row: PriceRow) -> Result<PriceRow, Vec<FileFault>> {
    for fault in row.faults() {
        cells.blame(column_of(&fault), fault.reason, fault.message);
    }
    let faults = cells.into_faults();
    if faults.is_empty() {
        Ok(row)
    } else {
        Err(faults)
    }
}

/// The column that holds the field to blame: `delivery.load_m3`, `breaks[1].from_quantity`.
fn column_of(fault: &Fault) -> Column {
    let named = |name: &str| {
        Column::ALL
            .iter()
            .copied()
            .find(|column| column.name() == name)
    };
    let field = fault.field.as_str();
    let last = field.rsplit('.').next().unwrap_or_default();
    let first = field.split(['.', '[']).next().unwrap_or_default();
    named(first).or_else(|| named(last)).unwrap_or(match first {
        "delivery" => Column::LoadVolume,
        _ => Column::UnitPrice,
    })
}
