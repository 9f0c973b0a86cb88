//! Two estimates or quotes held against each other: what each line differs by, and why.
//! Lines that do not differ stand together in one row, so that the columns still add up.

use hod_wire::v1::{Comparison, ComparisonRow, Effects, LineKind, Unit};

use super::estimate::heading_of;
use super::figure::{is_zero, money, quantity, sum};
use super::order::counted_in;
use super::record::{Record, Value};
use super::table::{Side, Table};
use crate::name::short;
use crate::output::Answer;
use crate::text::{counted, plain};

/// A comparison and how much of it is asked for.
pub struct ComparisonAnswer {
    /// The comparison.
    pub comparison: Comparison,
    /// The lines that do not differ too, each by itself.
    pub with_all: bool,
}

/// An effect: its heading, and where it stands.
type Effect = (&'static str, fn(&Effects) -> &String);

const EFFECTS: [Effect; 6] = [
    ("Quantity", |effects| &effects.quantity),
    ("Price", |effects| &effects.price),
    ("Labour constants", |effects| &effects.labour_constant),
    ("Scope", |effects| &effects.scope),
    ("Carried along", |effects| &effects.carried),
    ("Build-up", |effects| &effects.build_up),
];

impl Answer for ComparisonAnswer {
    fn record(&self) -> Record {
        record(&self.comparison)
    }

    fn header(&self) -> Vec<String> {
        let flat = row_record(&ComparisonRow::default()).flat();
        let names = flat.into_iter().map(|(name, _)| name);
        names.chain(["currency_code".to_owned()]).collect()
    }

    fn rows(&self) -> Vec<Vec<String>> {
        let cells = |row: &ComparisonRow| {
            let flat = row_record(row).flat().into_iter().map(|(_, cell)| cell);
            let currency = self.comparison.currency_code.clone();
            flat.chain([currency]).collect()
        };
        let (rows, _) = self.parted();
        rows.into_iter().map(cells).collect()
    }

    fn table(&self) -> String {
        let comparison = &self.comparison;
        let heading = format!(
            "Before: {}; after: {}\n",
            called(&comparison.before),
            called(&comparison.after)
        );
        let (rows, alike) = self.parted();
        if rows.is_empty() {
            return format!(
                "{heading}\nNo line differs; both come to {} {}.\n",
                comparison.after_total,
                plain(&comparison.currency_code)
            );
        }
        format!("{heading}\n{}", self.row_table(&rows, &alike))
    }
}

impl ComparisonAnswer {
    /// The rows to be shown, and those that do not differ.
    fn parted(&self) -> (Vec<&ComparisonRow>, Vec<&ComparisonRow>) {
        let rows = self.comparison.rows.iter();
        rows.partition(|row| self.with_all || differs(row))
    }

    fn row_table(&self, rows: &[&ComparisonRow], alike: &[&ComparisonRow]) -> Table {
        let comparison = &self.comparison;
        let currency = plain(&comparison.currency_code);
        let total = comparison.effects.clone().unwrap_or_default();
        let shown: Vec<Effect> = EFFECTS
            .into_iter()
            .filter(|(_, figure)| {
                let of_rows = rows.iter().filter_map(|row| row.effects.as_ref());
                of_rows
                    .chain([&total])
                    .any(|effects| !is_zero(figure(effects)))
            })
            .collect();
        let before = format!("Before {currency}");
        let after = format!("After {currency}");
        let mut headings = vec![
            ("Item", Side::Left),
            (before.as_str(), Side::Right),
            (after.as_str(), Side::Right),
            ("Difference", Side::Right),
        ];
        headings.extend(shown.iter().map(|(heading, _)| (*heading, Side::Right)));
        let mut table = Table::new(&headings);
        for run in rows.chunk_by(|one, next| one.kind == next.kind) {
            table.row([run.first().map_or("", |row| heading_of(row.kind()))]);
            for row in run {
                table.row(cells(row, &shown));
                if let Some(note) = note(row, &comparison.currency_code) {
                    table.note(&note);
                }
            }
        }
        if !alike.is_empty() {
            table.row(alike_cells(alike));
        }
        let mut cells = vec![
            "Total".to_owned(),
            comparison.before_total.clone(),
            comparison.after_total.clone(),
            comparison.difference.clone(),
        ];
        cells.extend(shown.iter().map(|(_, figure)| unless_zero(figure(&total))));
        table.rule().row(cells);
        table
    }
}

/// `long-acre-studio/0192f`, `quote 17`.
fn called(name: &str) -> String {
    let id = plain(&short(name));
    match id.strip_prefix('q') {
        Some(number) if name.starts_with("quotes/") => format!("quote {number}"),
        _ => id,
    }
}

/// Whether a row differs in anything: what two effects make up for is still a difference.
fn differs(row: &ComparisonRow) -> bool {
    let effects = row.effects.clone().unwrap_or_default();
    row.before_quantity != row.after_quantity
        || !is_zero(&row.difference)
        || EFFECTS.iter().any(|(_, figure)| !is_zero(figure(&effects)))
}

fn cells(row: &ComparisonRow, shown: &[Effect]) -> Vec<String> {
    let effects = row.effects.clone().unwrap_or_default();
    let mut cells = vec![
        format!("  {}", row.item),
        row.before_amount.clone(),
        row.after_amount.clone(),
        row.difference.clone(),
    ];
    cells.extend(
        shown
            .iter()
            .map(|(_, figure)| unless_zero(figure(&effects))),
    );
    cells
}

fn alike_cells(alike: &[&ComparisonRow]) -> Vec<String> {
    let of = |figure: fn(&ComparisonRow) -> &String| {
        sum(alike.iter().map(|row| figure(row).as_str())).unwrap_or_default()
    };
    vec![
        format!("{} alike", counted(alike.len(), "line", "lines")),
        of(|row| &row.before_amount),
        of(|row| &row.after_amount),
        of(|row| &row.difference),
    ]
}

fn unless_zero(figure: &str) -> String {
    if is_zero(figure) {
        String::new()
    } else {
        figure.to_owned()
    }
}

/// What the amounts came from: `12.06 t at 26.40 before, 14.10 t at 28.00 after`; nothing where that is alike.
fn note(row: &ComparisonRow, currency_code: &str) -> Option<String> {
    let told = |figure: &str, unit_price: &str| {
        (!figure.is_empty()).then(|| {
            let unit = counted_in(figure, row.unit());
            let much = format!("{} {unit}", quantity(figure, row.unit()));
            let much = much.trim_end().to_owned();
            match unit_price {
                "" => much,
                price => format!("{much} at {}", money(price, currency_code)),
            }
        })
    };
    let before = told(&row.before_quantity, &row.before_unit_price);
    let after = told(&row.after_quantity, &row.after_unit_price);
    match (before, after) {
        (Some(before), Some(after)) if before != after => {
            Some(format!("{before} before, {after} after"))
        }
        (Some(before), None) => Some(format!("{before} before, not there after")),
        (None, Some(after)) => Some(format!("not there before, {after} after")),
        (Some(_), Some(_)) | (None, None) => None,
    }
}

/// All of it.
pub(crate) fn record(comparison: &Comparison) -> Record {
    Record::new()
        .text("before", &comparison.before)
        .text("after", &comparison.after)
        .text("currency_code", &comparison.currency_code)
        .many("rows", &comparison.rows, row_record)
        .text("before_total", &comparison.before_total)
        .text("after_total", &comparison.after_total)
        .text("difference", &comparison.difference)
        .field(
            "effects",
            Value::One(effects_record(
                &comparison.effects.clone().unwrap_or_default(),
            )),
        )
}

fn row_record(row: &ComparisonRow) -> Record {
    Record::new()
        .word::<LineKind>("kind", row.kind)
        .text("item", &row.item)
        .word::<Unit>("unit", row.unit)
        .text("before_quantity", &row.before_quantity)
        .text("after_quantity", &row.after_quantity)
        .text("before_unit_price", &row.before_unit_price)
        .text("after_unit_price", &row.after_unit_price)
        .text("before_amount", &row.before_amount)
        .text("after_amount", &row.after_amount)
        .text("difference", &row.difference)
        .field(
            "effects",
            Value::One(effects_record(&row.effects.clone().unwrap_or_default())),
        )
}

fn effects_record(effects: &Effects) -> Record {
    Record::new()
        .text("quantity", &effects.quantity)
        .text("price", &effects.price)
        .text("labour_constant", &effects.labour_constant)
        .text("scope", &effects.scope)
        .text("carried", &effects.carried)
        .text("build_up", &effects.build_up)
}
