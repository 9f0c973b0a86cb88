//! A priced takeoff as it is shown: the lines by kind, the hours by task, the totals, then what was measured.
//! Amounts, quantities and hours keep every digit, so that they multiply out and add up.

use hod_wire::v1::{Estimate, EstimateLine, EstimateTotals, LabourLine, LineKind, Task, Unit};

use super::basis;
use super::figure::{hours, measure, money, quantity, sum};
use super::record::{Record, Value};
use super::shown;
use super::table::{Side, Table};
use super::wall::totals_record;
use super::{caution, mix, part, unit_symbol};
use crate::name::short;
use crate::output::Answer;
use crate::text::{counted, plain};
use crate::word;

/// What stands on no line of any estimate, so that nobody takes it for the price of a building.
const NEVER_IN_THE_PRICE: &str = "scaffold, machines and their hire, delivery, roof";

/// What the help says of it.
pub fn not_in_any_price() -> String {
    let parts: Vec<&str> = PARTS.iter().map(|part| part.name).collect();
    format!(
        "Not in any price: {NEVER_IN_THE_PRICE}. In it only where the job has them: {}.",
        parts.join(", ")
    )
}

/// A part of a building that is in a price when the job has it.
struct Part {
    name: &'static str,
    is_in: fn(&Estimate) -> bool,
}

const PARTS: [Part; 5] = [
    Part {
        name: "footings",
        is_in: |estimate| has_task(estimate, &[Task::Trench, Task::FillTrench]),
    },
    Part {
        name: "stem wall",
        is_in: |estimate| has_task(estimate, &[Task::LayStem]),
    },
    Part {
        name: "lintels and frames",
        is_in: |estimate| has_item(estimate, &["lintel, ", "lintel of ", "frame, "]),
    },
    Part {
        name: "plaster",
        is_in: |estimate| has_task(estimate, &[Task::Plaster, Task::Wash]),
    },
    Part {
        name: "floors",
        is_in: |estimate| has_task(estimate, &[Task::LayFloor]),
    },
];

fn has_task(estimate: &Estimate, tasks: &[Task]) -> bool {
    let mut labour = estimate.labour.iter();
    labour.any(|line| tasks.contains(&line.task()))
}

/// Whether something is measured whose name begins so.
fn has_item(estimate: &Estimate, beginnings: &[&str]) -> bool {
    let mut items = estimate.measured.iter().map(|line| &line.item);
    items.any(|item| beginnings.iter().any(|word| item.starts_with(word)))
}

/// An estimate and how much of it is asked for.
pub struct EstimateAnswer {
    /// The estimate.
    pub estimate: Estimate,
    /// How each line came about.
    pub with_basis: bool,
}

impl Answer for EstimateAnswer {
    fn record(&self) -> Record {
        let estimate = &self.estimate;
        let currency = &estimate.currency_code;
        Record::new()
            .text("name", &estimate.name)
            .text("job", &estimate.job)
            .text("display_name", &estimate.display_name)
            .text("site", &estimate.site)
            .text("region", &estimate.region)
            .text("price_date", &estimate.price_date)
            .text("currency_code", currency)
            .many("lines", &estimate.lines, |line| line_record(line, currency))
            .many("labour", &estimate.labour, labour_record)
            .field("totals", Value::One(money_record(&self.totals())))
            .count("batch_count", estimate.batch_count)
            .field(
                "takeoff",
                Value::One(totals_record(&estimate.takeoff.clone().unwrap_or_default())),
            )
            .many("list_versions", &estimate.list_versions, |list| {
                Record::new()
                    .text("region", &list.region)
                    .count("version", list.version)
            })
            .field("inputs", Value::Texts(estimate.inputs.clone()))
            .text("engine_version", &estimate.engine_version)
            .time("create_time", estimate.create_time.as_ref())
            .many("mixes", &estimate.mixes, mix::record)
            .many("measured", &estimate.measured, part::measured_record)
            .many("payment", &estimate.payment, part::payment_record)
            .many("cautions", &estimate.cautions, caution::record)
    }

    fn header(&self) -> Vec<String> {
        [
            "job",
            "kind",
            "item",
            "quantity",
            "unit",
            "unit_price",
            "amount",
            "currency_code",
            "basis",
            "price_source",
        ]
        .map(str::to_owned)
        .to_vec()
    }

    fn rows(&self) -> Vec<Vec<String>> {
        let currency = &self.estimate.currency_code;
        let row = |line: &EstimateLine| {
            vec![
                self.estimate.display_name.clone(),
                word::of::<LineKind>(line.kind).to_owned(),
                line.item.clone(),
                line.quantity.clone(),
                word::of::<Unit>(line.unit).to_owned(),
                line.unit_price.clone(),
                line.amount.clone(),
                currency.clone(),
                basis::words(line.basis.as_ref(), currency),
                line.price_source.clone(),
            ]
        };
        self.estimate.lines.iter().map(row).collect()
    }

    fn table(&self) -> String {
        let estimate = &self.estimate;
        let currency = &estimate.currency_code;
        let mixes = mix::table(&estimate.mixes, self.with_basis);
        let payment = part::payment_table(&[], &estimate.payment, currency, self.with_basis);
        let sections = [
            Some(self.heading()),
            caution::paragraphs(&estimate.cautions),
            Some(self.line_table().to_string()),
            Some(hours_table(&estimate.labour, currency).to_string()),
            Some(self.totals_table().to_string()),
            mixes.map(|table| table.to_string()),
            payment.map(|table| table.to_string()),
            Some(self.footing()),
        ];
        sections
            .into_iter()
            .flatten()
            .collect::<Vec<_>>()
            .join("\n")
    }

    fn beside_rows(&self) -> Vec<String> {
        caution::lines(&self.estimate.cautions)
    }
}

impl EstimateAnswer {
    fn totals(&self) -> EstimateTotals {
        self.estimate.totals.clone().unwrap_or_default()
    }

    /// What it is an estimate of, where and when.
    fn heading(&self) -> String {
        let estimate = &self.estimate;
        let mut heading = plain(&estimate.display_name);
        if !estimate.name.is_empty() {
            heading.push_str(&format!(" (kept as {})", plain(&short(&estimate.name))));
        }
        format!(
            "{heading}\nSite {}, region {}, prices of {}, {}\n",
            plain(&short(&estimate.site)),
            plain(&short(&estimate.region)),
            plain(&estimate.price_date),
            plain(&estimate.currency_code),
        )
    }

    fn line_table(&self) -> Table {
        let currency = plain(&self.estimate.currency_code);
        let price = format!("Unit price {currency}");
        let amount = format!("Amount {currency}");
        let mut table = Table::new(&[
            ("Item", Side::Left),
            ("Quantity", Side::Right),
            ("Unit", Side::Left),
            (&price, Side::Right),
            (&amount, Side::Right),
        ]);
        for (kind, lines) in by_kind(&self.estimate.lines) {
            table.row([kind]);
            for line in lines {
                self.line_row(&mut table, line);
            }
        }
        table
    }

    fn line_row(&self, table: &mut Table, line: &EstimateLine) {
        table.row([
            &format!("  {}", line.item),
            &quantity(&line.quantity, line.unit()),
            unit_symbol(line.unit()),
            &money(&line.unit_price, &self.estimate.currency_code),
            &line.amount,
        ]);
        if !self.with_basis {
            return;
        }
        let words = basis::words(line.basis.as_ref(), &self.estimate.currency_code);
        if !words.is_empty() {
            table.note(&format!("= {words}"));
        }
        if !line.price_source.is_empty() {
            table.note(&format!("at {}", line.price_source));
        }
    }

    fn totals_table(&self) -> Table {
        let totals = self.totals();
        let amount = plain(&self.estimate.currency_code);
        let mut table = Table::new(&[("Totals", Side::Left), (&amount, Side::Right)]);
        for (name, amount) in [
            ("Material", &totals.material),
            ("Labour", &totals.labour),
            ("Equipment", &totals.equipment),
            ("Other", &totals.other),
            ("Overhead", &totals.overhead),
            ("Contingency", &totals.contingency),
            ("Profit", &totals.profit),
            ("Tax", &totals.tax),
        ] {
            table.row([name, amount]);
        }
        table.rule().row(["Total", &totals.total]);
        table
    }

    /// What was measured, and what the figures rest on.
    fn footing(&self) -> String {
        let estimate = &self.estimate;
        let takeoff = estimate.takeoff.clone().unwrap_or_default();
        let lists: Vec<String> = estimate
            .list_versions
            .iter()
            .map(|list| format!("{} version {}", short(&list.region), list.version))
            .collect();
        format!(
            "{}, {} m3 placed, {} m3 finished\n{}\nPrices and rates: {}; engine {}\n",
            batches(estimate.batch_count),
            measure(&takeoff.placed_volume_m3),
            shown::net(&takeoff),
            self.not_in_the_price(),
            plain(&lists.join(", ")),
            plain(&estimate.engine_version),
        )
    }

    /// What a building needs besides, of which this job says nothing.
    fn not_in_the_price(&self) -> String {
        let missing = PARTS.iter().filter(|part| !(part.is_in)(&self.estimate));
        let parts: Vec<&str> = missing
            .map(|part| part.name)
            .chain([NEVER_IN_THE_PRICE])
            .collect();
        format!("Not in this price: {}.", parts.join(", "))
    }
}

/// `1 batch`, `268 batches`.
fn batches(count: i32) -> String {
    counted(usize::try_from(count).unwrap_or(0), "batch", "batches")
}

/// What a task is called in a sentence or a table: as the lines of the estimate call it.
fn task_name(task: i32) -> String {
    match Task::try_from(task) {
        Ok(Task::FillTrench) => "fill the trench".to_owned(),
        Ok(Task::LayStem) => "lay the stem wall".to_owned(),
        Ok(Task::SetForm) => "set forms".to_owned(),
        Ok(Task::SetOpening) => "set openings".to_owned(),
        Ok(Task::FormArch) => "form arches".to_owned(),
        Ok(Task::LayFloor) => "lay floors".to_owned(),
        Ok(Task::BuildOven) => "build ovens".to_owned(),
        _ => word::of::<Task>(task).replace('-', " "),
    }
}

/// All person-hours of an estimate.
pub(super) fn all_hours(labour: &[LabourLine]) -> Option<String> {
    sum(labour.iter().map(|line| line.hours.as_str()))
}

/// The lines in runs of one kind, each with its heading.
fn by_kind(lines: &[EstimateLine]) -> Vec<(&'static str, &[EstimateLine])> {
    lines
        .chunk_by(|one, next| one.kind == next.kind)
        .map(|run| (run.first().map_or("", |line| heading_of(line.kind())), run))
        .collect()
}

fn heading_of(kind: LineKind) -> &'static str {
    match kind {
        LineKind::Unspecified => "Lines",
        LineKind::Material => "Material",
        LineKind::Labour => "Labour",
        LineKind::Equipment => "Equipment",
        LineKind::Other => "Other",
        LineKind::Overhead => "Overhead",
        LineKind::Contingency => "Contingency",
        LineKind::Profit => "Profit",
        LineKind::Tax => "Tax",
    }
}

/// A row to each task in the order of the work, a column to each grade, hours and money at the end.
fn hours_table(labour: &[LabourLine], currency: &str) -> Table {
    let mut grades: Vec<&str> = Vec::new();
    for line in labour {
        if !grades.contains(&line.grade.as_str()) {
            grades.push(&line.grade);
        }
    }
    let amount = format!("Amount {}", plain(currency));
    let grade_headings: Vec<String> = grades
        .iter()
        .map(|grade| format!("{} h", plain(grade)))
        .collect();
    let mut headings = vec![("Hours by task", Side::Left)];
    headings.extend(
        grade_headings
            .iter()
            .map(|heading| (heading.as_str(), Side::Right)),
    );
    headings.extend([("All h", Side::Right), (amount.as_str(), Side::Right)]);

    let mut table = Table::new(&headings);
    for task in labour.chunk_by(|one, next| one.task == next.task) {
        let name = task
            .first()
            .map_or(String::new(), |line| task_name(line.task));
        table.row(hours_row(&name, task, &grades));
    }
    let all: Vec<&LabourLine> = labour.iter().collect();
    table.rule().row(hours_row_of("Total", &all, &grades));
    table
}

fn hours_row(name: &str, lines: &[LabourLine], grades: &[&str]) -> Vec<String> {
    hours_row_of(name, &lines.iter().collect::<Vec<_>>(), grades)
}

fn hours_row_of(name: &str, lines: &[&LabourLine], grades: &[&str]) -> Vec<String> {
    let of_grade = |grade: &str| -> Vec<&str> {
        lines
            .iter()
            .filter(|line| line.grade == grade)
            .map(|line| line.hours.as_str())
            .collect()
    };
    let mut cells = vec![name.to_owned()];
    for grade in grades {
        let figures = of_grade(grade);
        cells.push(if figures.is_empty() {
            String::new()
        } else {
            sum(figures).map(|sum| hours(&sum)).unwrap_or_default()
        });
    }
    let all_hours = sum(lines.iter().map(|line| line.hours.as_str()));
    cells.push(all_hours.map(|sum| hours(&sum)).unwrap_or_default());
    cells.push(sum(lines.iter().map(|line| line.amount.as_str())).unwrap_or_default());
    cells
}

fn line_record(line: &EstimateLine, currency: &str) -> Record {
    Record::new()
        .word::<LineKind>("kind", line.kind)
        .text("item", &line.item)
        .text("quantity", &line.quantity)
        .word::<Unit>("unit", line.unit)
        .text("unit_price", &line.unit_price)
        .text("amount", &line.amount)
        .text("basis", &basis::words(line.basis.as_ref(), currency))
        .text("price_source", &line.price_source)
}

fn labour_record(line: &LabourLine) -> Record {
    Record::new()
        .word::<Task>("task", line.task)
        .text("grade", &line.grade)
        .text("hours", &line.hours)
        .text("amount", &line.amount)
}

fn money_record(totals: &EstimateTotals) -> Record {
    Record::new()
        .text("material", &totals.material)
        .text("labour", &totals.labour)
        .text("equipment", &totals.equipment)
        .text("other", &totals.other)
        .text("overhead", &totals.overhead)
        .text("contingency", &totals.contingency)
        .text("profit", &totals.profit)
        .text("tax", &totals.tax)
        .text("total", &totals.total)
}
