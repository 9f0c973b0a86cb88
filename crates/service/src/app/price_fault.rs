//! A row of prices that the store cannot put in force, told as a fault of its file: where, what was found, what to do.

use hod_domain::price::PriceRow;
use hod_sheet::{Column, FileFault};
use hod_store::price_changes::{RowFault, RowFaultReason};

/// The fault, with what the row says; `rows` are in the order of the file.
pub fn row_fault(fault: &RowFault, rows: &[PriceRow]) -> FileFault {
    let found = rows.binary_search_by_key(&fault.row, |row| row.row);
    let row = found.ok().and_then(|place| rows.get(place));
    let said = |what: fn(&PriceRow) -> String| row.map(what).unwrap_or_default();
    let cell =
        |column, reason, message: String| FileFault::of_cell(fault.row, column, reason, message);
    match &fault.reason {
        RowFaultReason::UnknownRegion => {
            let region = said(|row| row.region.to_string());
            cell(
                Column::Region,
                "REGION_NOT_FOUND",
                format!("there is no region {region}; make it first, or name another"),
            )
        }
        RowFaultReason::UnknownMaterial => {
            let material = said(|row| row.material.to_string());
            cell(
                Column::Material,
                "MATERIAL_NOT_FOUND",
                format!("there is no material {material}; make it first, or name another"),
            )
        }
        RowFaultReason::FromSite => {
            let material = said(|row| row.material.to_string());
            cell(
                Column::Material,
                "MATERIAL_FROM_SITE",
                format!(
                    "{material} comes from the site, at no price; give a material that is bought, or change its supply first"
                ),
            )
        }
        RowFaultReason::OtherUnit(unit) => {
            let (found, wanted) = (said(|row| row.unit.word().to_owned()), unit.word());
            cell(
                Column::Unit,
                "NOT_THE_MATERIALS_UNIT",
                format!(
                    "the price is for one {found}, and the material is ordered by the {wanted}; give the price of one {wanted}"
                ),
            )
        }
        RowFaultReason::Twice { of } => FileFault::of_row(
            fault.row,
            "DUPLICATE_ROW",
            format!(
                "row {of} is for the same region, material, supplier and first day; leave one of them out"
            ),
        ),
        RowFaultReason::Overlaps { with } => cell(
            Column::StartDate,
            "OVERLAPPING_DATES",
            format!(
                "row {with} still holds on this day for the same region, material and supplier; let it end the day before"
            ),
        ),
        RowFaultReason::IdTaken => {
            let id = said(|row| row.id.as_ref().map(ToString::to_string).unwrap_or_default());
            cell(
                Column::Price,
                "PRICE_ID_TAKEN",
                format!(
                    "{id} is the id of a price of another material or supplier, or of another row; give another, or none"
                ),
            )
        }
        RowFaultReason::Number(message) => {
            FileFault::of_row(fault.row, "NUMBER_OUT_OF_RANGE", message.clone())
        }
    }
}
