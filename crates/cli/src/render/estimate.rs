//! A priced takeoff as it is shown: the lines by kind, the hours by task, the totals, then what was measured.
//! Amounts, quantities and hours keep every digit, so that they multiply out and add up.

mod hours;
mod scope;
mod totals;

use hod_wire::v1::{
    DayworkRate, Driver, Estimate, EstimateLine, EstimateTotals, LabourLine, LineKind,
    ProvisionalMatter, Rounding, Task, Unit, WorkLine,
};

use super::basis;
use super::figure::{measure, money, quantity, sum};
use super::purchase;
use super::record::{Record, Value};
use super::shown;
use super::table::{Side, Table, paragraph};
use super::wall::totals_record;
use super::{caution, mix, part, unit_symbol};
use crate::name::short;
use crate::noun::job::scope_line;
use crate::noun::region::build_up_record;
use crate::output::Answer;
use crate::text::{counted, plain};
use crate::word;

pub use scope::not_in_any_price;
pub(super) use scope::table as scope_table;
pub(super) use totals::heading_of;

/// An estimate and how much of it is asked for.
pub struct EstimateAnswer {
    /// The estimate.
    pub estimate: Estimate,
    /// How each line came about.
    pub with_basis: bool,
    /// What is bought, and what was not taken.
    pub with_purchases: bool,
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
            .many("labour", &estimate.labour, hours::labour_record)
            .field("totals", Value::One(totals::record(&self.totals())))
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
            .many("purchases", &estimate.purchases, |bought| {
                purchase::record(bought, currency)
            })
            .many("works", &estimate.works, work_record)
            .many("scope", &estimate.scope, scope_line)
            .one_if_there("build_up", estimate.build_up.as_ref(), build_up_record)
            .word::<Rounding>("rounding", estimate.rounding)
            .many("daywork_rates", &estimate.daywork_rates, |rate| {
                daywork_record(rate, currency)
            })
            .many("provisional", &estimate.provisional, provisional_record)
            .count("lift_count", estimate.lift_count)
    }

    fn header(&self) -> Vec<String> {
        if self.with_purchases {
            return purchase::header();
        }
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
            "part",
        ]
        .map(str::to_owned)
        .to_vec()
    }

    fn rows(&self) -> Vec<Vec<String>> {
        let currency = &self.estimate.currency_code;
        if self.with_purchases {
            let bought = self.estimate.purchases.iter();
            return bought
                .map(|bought| purchase::row(bought, &self.estimate.display_name, currency))
                .collect();
        }
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
                line.part.clone(),
            ]
        };
        self.estimate.lines.iter().map(row).collect()
    }

    fn table(&self) -> String {
        let estimate = &self.estimate;
        let currency = &estimate.currency_code;
        let mixes = mix::table(&estimate.mixes, self.with_basis);
        let payment = part::payment_table(&[], &estimate.payment, currency, self.with_basis);
        let bought = if self.with_purchases {
            let table = purchase::table(&estimate.purchases, currency, self.with_basis);
            table.map(|table| table.to_string())
        } else {
            purchase::hints(&estimate.purchases, currency)
        };
        let sections = [
            Some(self.heading()),
            caution::paragraphs(&estimate.cautions),
            provisional_paragraphs(&estimate.provisional),
            Some(self.line_table().to_string()),
            bought,
            Some(hours::hours_table(&estimate.labour, currency).to_string()),
            Some(totals::table(&self.totals(), currency).to_string()),
            daywork_table(&estimate.daywork_rates, currency, self.with_basis)
                .map(|table| table.to_string()),
            scope::table(&estimate.scope).map(|table| table.to_string()),
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
        let provisional = self.estimate.provisional.iter().map(provisional_words);
        let cautions = caution::lines(&self.estimate.cautions).into_iter();
        cautions.chain(provisional).collect()
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
            scope::not_in_the_price(estimate),
            plain(&lists.join(", ")),
            plain(&estimate.engine_version),
        )
    }
}

/// `1 batch`, `268 batches`.
fn batches(count: i32) -> String {
    counted(usize::try_from(count).unwrap_or(0), "batch", "batches")
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
        .text("part", &line.part)
}

fn work_record(work: &WorkLine) -> Record {
    Record::new()
        .word::<Task>("task", work.task)
        .text("method", &work.method)
        .text("labour_constant", &work.labour_constant)
        .word::<Driver>("driver", work.driver)
        .text("quantity", &work.quantity)
        .text("hours_per_unit", &work.hours_per_unit)
        .text("hours", &work.hours)
}

/// A row to each grade; nothing when there are none.
pub(super) fn daywork_table(
    rates: &[DayworkRate],
    currency_code: &str,
    with_basis: bool,
) -> Option<Table> {
    let rate_heading = format!("{} an hour before tax", plain(currency_code));
    let mut table = Table::new(&[
        ("Work paid by the hour", Side::Left),
        (&rate_heading, Side::Right),
    ]);
    for rate in rates {
        table.row([&rate.grade, &money(&rate.rate_per_hour, currency_code)]);
        let words = basis::words(rate.basis.as_ref(), currency_code);
        if with_basis && !words.is_empty() {
            table.note(&format!("= {words}"));
        }
    }
    (!rates.is_empty()).then_some(table)
}

pub(crate) fn daywork_record(rate: &DayworkRate, currency_code: &str) -> Record {
    Record::new()
        .text("grade", &rate.grade)
        .text("rate_per_hour", &rate.rate_per_hour)
        .text("basis", &basis::words(rate.basis.as_ref(), currency_code))
}

fn provisional_record(matter: &ProvisionalMatter) -> Record {
    Record::new()
        .text("reason", &matter.reason)
        .text("subject", &matter.subject)
        .text("description", &matter.description)
}

/// `Provisional: house-cob: no trial has justified it`; a sentence that names what it is about needs it no second time.
fn provisional_words(matter: &ProvisionalMatter) -> String {
    let subject = short(&matter.subject);
    if subject.is_empty() || matter.description.contains(&subject) {
        format!("Provisional: {}", matter.description)
    } else {
        format!("Provisional: {subject}: {}", matter.description)
    }
}

/// One to a paragraph; nothing when there are none.
fn provisional_paragraphs(matters: &[ProvisionalMatter]) -> Option<String> {
    let all = matters
        .iter()
        .map(|matter| format!("{}\n", paragraph(&provisional_words(matter))));
    Some(all.collect::<String>()).filter(|text| !text.is_empty())
}
