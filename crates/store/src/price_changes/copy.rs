//! Rows as the text in which Postgres takes many at once, and the ids that are made for those that have none.

use std::fmt::{self, Write};

use hod_domain::id::MaterialId;
use hod_domain::price::PriceRow;
use hod_units::{Date, Decimal};
use sqlx::postgres::PgConnection;

use crate::fault::StoreFault;
use crate::price::terms::Columns;
use crate::session::Session;
use crate::words::Word;

const COPY: &str = "copy pg_temp.price_asked (place, file_row, region_id, asked_id, made_id, material_id, supplier, unit, \
     unit_price, source, pack_size, minimum_order, break_rule, break_from, break_price, load_m3, load_t, \
     load_quantity, charge_per_load, charge_per_km, distance_km, lead_days, note, starts, ends) from stdin";

/// What a row comes to as text, as a rule.
const ROW_BYTES: usize = 256;

/// The longest part of a made id that a material gives, and that a supplier gives. With the day they leave 14 of the 63
/// characters of an id for what tells it from others.
const MATERIAL_CHARACTERS_MAX: usize = 22;
const SUPPLIER_CHARACTERS_MAX: usize = 15;

/// Rows as text, one a line, with a tab between columns.
pub(super) struct Text(String);

impl Text {
    pub(super) fn with_rows(count: usize) -> Self {
        Self(String::with_capacity(count.saturating_mul(ROW_BYTES)))
    }

    /// Adds a row. `place` is its place among all.
    pub(super) fn push(&mut self, place: u64, row: &PriceRow, columns: &Columns) {
        self.first(place);
        self.next(row.row);
        self.next(&row.region);
        self.optional(row.id.as_ref());
        self.next(made_id(&row.material, &row.supplier, row.in_force.from()));
        self.next(&row.material);
        self.text(&row.supplier);
        self.next(row.unit.kept_word());
        self.next(columns.unit_price);
        self.text(&row.source);
        self.optional(columns.pack_size);
        self.optional(columns.minimum_order);
        self.optional(columns.break_rule);
        self.array(&columns.break_from);
        self.array(&columns.break_price);
        self.optional(columns.load_m3);
        self.optional(columns.load_t);
        self.optional(columns.load_quantity);
        self.optional(columns.charge_per_load);
        self.optional(columns.charge_per_km);
        self.optional(columns.distance_km);
        self.next(columns.lead_days);
        self.text(&row.terms.note);
        self.next(row.in_force.from());
        self.optional(row.in_force.to());
        self.0.push('\n');
    }

    fn first(&mut self, value: impl fmt::Display) {
        // Writing to a string does not fail.
        let _ = write!(self.0, "{value}");
    }

    fn next(&mut self, value: impl fmt::Display) {
        let _ = write!(self.0, "\t{value}");
    }

    fn optional(&mut self, value: Option<impl fmt::Display>) {
        match value {
            Some(value) => self.next(value),
            None => self.0.push_str("\t\\N"),
        }
    }

    fn array(&mut self, values: &[Decimal]) {
        self.0.push_str("\t{");
        for (place, value) in values.iter().enumerate() {
            let comma = if place == 0 { "" } else { "," };
            let _ = write!(self.0, "{comma}{value}");
        }
        self.0.push('}');
    }

    /// What people wrote, with what would end a column or a row escaped.
    fn text(&mut self, value: &str) {
        self.0.push('\t');
        for each in value.chars() {
            match each {
                '\\' => self.0.push_str("\\\\"),
                '\t' => self.0.push_str("\\t"),
                '\n' => self.0.push_str("\\n"),
                '\r' => self.0.push_str("\\r"),
                other => self.0.push(other),
            }
        }
    }
}

/// Sends rows to their table.
pub(super) async fn send(session: &mut Session, text: Text) -> Result<(), StoreFault> {
    if text.0.is_empty() {
        return Ok(());
    }
    let connection: &mut PgConnection = session.connection();
    let mut copy = connection.copy_in_raw(COPY).await?;
    copy.send(text.0.into_bytes()).await?;
    copy.finish().await?;
    Ok(())
}

/// An id that people can read: material, supplier, first day. Whether another has it is seen later.
fn made_id(material: &MaterialId, supplier: &str, start: Date) -> String {
    let mut id = shortened(material.as_str(), MATERIAL_CHARACTERS_MAX);
    let supplier = shortened(&plain(supplier), SUPPLIER_CHARACTERS_MAX);
    if !supplier.is_empty() {
        id.push('-');
        id.push_str(&supplier);
    }
    let _ = write!(id, "-{start}");
    id
}

/// Words of letters and digits, in lower case, with a hyphen between.
fn plain(text: &str) -> String {
    let lower = text.to_ascii_lowercase();
    let words = lower.split(|each: char| !each.is_ascii_alphanumeric());
    words
        .filter(|word| !word.is_empty())
        .collect::<Vec<_>>()
        .join("-")
}

/// So many characters at most, without a hyphen at the end.
fn shortened(text: &str, most: usize) -> String {
    let text: String = text.chars().take(most).collect();
    text.trim_end_matches('-').to_owned()
}

#[cfg(test)]
mod tests {
    use hod_domain::id::PriceId;
    use hod_units::parse_date;

    use super::*;

    #[test]
    fn a_made_id_is_readable_and_leaves_room_for_more() {
        let start = parse_date("2026-03-01").expect("a date");
        let long = "a".repeat(63);
        for (material, supplier, id) in [
            (
                "sharp-sand",
                "Pit at the Ford",
                "sharp-sand-pit-at-the-ford-2026-03-01",
            ),
            ("sharp-sand", "", "sharp-sand-2026-03-01"),
            (
                "sharp-sand",
                "\u{c4}\u{d6} & \u{dc}",
                "sharp-sand-2026-03-01",
            ),
            (
                "sharp-sand",
                "Pit at the long ford",
                "sharp-sand-pit-at-the-long-2026-03-01",
            ),
            (
                long.as_str(),
                long.as_str(),
                "aaaaaaaaaaaaaaaaaaaaaa-aaaaaaaaaaaaaaa-2026-03-01",
            ),
        ] {
            let material = MaterialId::parse(material).expect("an id");
            let made = made_id(&material, supplier, start);
            assert_eq!(made, id);
            PriceId::parse(&format!("{made}-99999999-9999"))
                .expect("an id with what tells it from others");
        }
    }
}
