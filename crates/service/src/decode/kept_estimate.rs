//! A kept estimate as quotes and comparisons read it. What is kept was written here, perhaps by an earlier engine that
//! said less: what it did not say is taken from its lines, and nothing is guessed.

use hod_domain::estimate::{LabourLine, LineKind, ProvisionalCause, ProvisionalMatter, WorkLine};
use hod_domain::id::{Grade, ScopePart};
use hod_domain::job::ScopeLine;
use hod_domain::quote::{HourRate, MeasuredItem, PricedCaution, PricedEstimate, PricedLine};
use hod_domain::region::{BuildUp, Tax};
use hod_units::{Currency, Decimal, Hours, Money, Share};
use hod_wire::v1 as wire;

use super::build_up::build_up;
use super::commerce::scope_line;
use super::labour_constant::method_if_any;
use super::{Decoder, choice};
use crate::name::LabourConstants;

/// Reads a kept estimate; refused, with what is wrong, where it cannot be read.
pub fn kept_estimate(wire: &wire::Estimate) -> Result<PricedEstimate, String> {
    let mut decoder = Decoder::new();
    let read = estimate(&mut decoder, wire);
    match read {
        Some(estimate) if decoder.is_clean() => Ok(estimate),
        _ => {
            let told = decoder.violations().into_iter().next();
            let told = told.map(|fault| format!("{}: {}", fault.field, fault.description));
            Err(format!(
                "a kept estimate cannot be read: {}",
                told.unwrap_or_default()
            ))
        }
    }
}

fn estimate<'a>(decoder: &mut Decoder<'a>, wire: &'a wire::Estimate) -> Option<PricedEstimate> {
    let currency = Currency::parse(&wire.currency_code);
    let currency = decoder.read("currency_code", "NOT_A_CURRENCY", currency)?;
    let rounding = choice::rounding(decoder, "rounding", wire.rounding);
    let price_date = decoder.date("price_date", &wire.price_date);
    let lines = decoder.each("lines", &wire.lines, |decoder, sent| {
        line(decoder, sent, currency)
    })?;
    let labour = decoder.each("labour", &wire.labour, |decoder, sent| {
        labour_line(decoder, sent, currency)
    });
    let works = decoder.each("works", &wire.works, work_line);
    let scope: Option<Vec<ScopeLine>> = decoder.each("scope", &wire.scope, scope_line);
    let said = decoder.part("build_up", wire.build_up.as_ref(), build_up);
    let build_up = said?.unwrap_or_else(|| of_lines(&lines));
    let daywork_rates = decoder.each("daywork_rates", &wire.daywork_rates, |decoder, sent| {
        hour_rate(decoder, sent, currency)
    });
    let provisional = decoder.each("provisional", &wire.provisional, matter);
    Some(PricedEstimate {
        display_name: wire.display_name.clone(),
        currency,
        rounding: rounding?,
        price_date: price_date?,
        lines,
        labour: labour?,
        works: works?,
        scope: scope?,
        measured: wire.measured.iter().map(measured).collect(),
        build_up,
        daywork_rates: daywork_rates?,
        cautions: wire.cautions.iter().map(caution).collect(),
        provisional: provisional?,
        lift_count: u32::try_from(wire.lift_count).unwrap_or(0),
    })
}

/// The build-up of an estimate that does not say it, as far as its quote needs it: the taxes of its lines.
fn of_lines(lines: &[PricedLine]) -> BuildUp {
    let taxes = lines.iter().filter(|line| line.kind == LineKind::Tax);
    let mut of_lines = BuildUp::default();
    of_lines.taxes.each = taxes
        .map(|line| Tax {
            label: line.item.clone(),
            share: Share::from_percent(line.quantity),
            parts: Vec::new(),
        })
        .collect();
    of_lines
}

fn money(
    decoder: &mut Decoder<'_>,
    field: &'static str,
    text: &str,
    currency: Currency,
) -> Option<Money> {
    let amount = decoder.any_number(field, text)?;
    Some(Money::new(amount, currency))
}

fn line(
    decoder: &mut Decoder<'_>,
    wire: &wire::EstimateLine,
    currency: Currency,
) -> Option<PricedLine> {
    Some(PricedLine {
        kind: choice::line_kind(decoder, "kind", wire.kind)?,
        item: wire.item.clone(),
        quantity: decoder.any_number("quantity", &wire.quantity)?,
        unit: choice::unit(decoder, "unit", wire.unit)?,
        unit_price: any_decimal(&wire.unit_price)?,
        amount: money(decoder, "amount", &wire.amount, currency)?,
        part: part_if_any(decoder, &wire.part)?,
    })
}

/// A number that may be missing, of as many places as it was told with: an index can leave a unit price with more
/// than a request may have.
fn any_decimal(text: &str) -> Option<Option<Decimal>> {
    if text.is_empty() {
        return Some(None);
    }
    Decimal::from_str_exact(text).ok().map(Some)
}

fn part_if_any(decoder: &mut Decoder<'_>, text: &str) -> Option<Option<ScopePart>> {
    if text.is_empty() {
        return Some(None);
    }
    decoder
        .read("part", "NOT_AN_ID", ScopePart::parse(text))
        .map(Some)
}

fn labour_line(
    decoder: &mut Decoder<'_>,
    wire: &wire::LabourLine,
    currency: Currency,
) -> Option<LabourLine> {
    Some(LabourLine {
        task: choice::task(decoder, "task", wire.task)?,
        grade: decoder.read("grade", "NOT_AN_ID", Grade::parse(&wire.grade))?,
        hours: Hours::from_hours(decoder.any_number("hours", &wire.hours)?),
        amount: money(decoder, "amount", &wire.amount, currency)?,
    })
}

fn work_line(decoder: &mut Decoder<'_>, wire: &wire::WorkLine) -> Option<WorkLine> {
    let constant = decoder.name::<LabourConstants>("labour_constant", &wire.labour_constant);
    Some(WorkLine {
        task: choice::task(decoder, "task", wire.task)?,
        method: method_if_any(decoder, "method", &wire.method)?,
        labour_constant: constant?,
        driver: choice::driver(decoder, "driver", wire.driver)?,
        quantity: decoder.any_number("quantity", &wire.quantity)?,
        hours_per_unit: decoder.any_number("hours_per_unit", &wire.hours_per_unit)?,
        hours: decoder.any_number("hours", &wire.hours)?,
    })
}

fn hour_rate(
    decoder: &mut Decoder<'_>,
    wire: &wire::DayworkRate,
    currency: Currency,
) -> Option<HourRate> {
    Some(HourRate {
        grade: decoder.read("grade", "NOT_AN_ID", Grade::parse(&wire.grade))?,
        rate: money(decoder, "rate_per_hour", &wire.rate_per_hour, currency)?,
    })
}

fn matter(decoder: &mut Decoder<'_>, wire: &wire::ProvisionalMatter) -> Option<ProvisionalMatter> {
    let known = [
        ProvisionalCause::WageZero,
        ProvisionalCause::ContingencyZero,
        ProvisionalCause::MixNotTested,
    ];
    let reason = known
        .into_iter()
        .find(|cause| cause.reason() == wire.reason);
    let reason = reason.ok_or("it is no matter for which a quote is provisional");
    Some(ProvisionalMatter {
        reason: decoder.read("reason", "UNKNOWN_CHOICE", reason)?,
        subject: wire.subject.clone(),
        description: wire.description.clone(),
    })
}

fn measured(wire: &wire::TakeoffLine) -> MeasuredItem {
    MeasuredItem {
        part: wire.part.clone(),
        item: wire.item.clone(),
    }
}

fn caution(wire: &wire::Caution) -> PricedCaution {
    PricedCaution {
        reason: wire.reason.clone(),
        subject: wire.subject.clone(),
        description: wire.description.clone(),
    }
}

#[cfg(test)]
mod tests {
    use rust_decimal::dec;

    use super::*;

    fn tax_line() -> wire::EstimateLine {
        wire::EstimateLine {
            kind: wire::LineKind::Tax.into(),
            item: "VAT".into(),
            quantity: "20".into(),
            unit: wire::Unit::Percent.into(),
            amount: "4.00".into(),
            ..Default::default()
        }
    }

    fn kept() -> wire::Estimate {
        wire::Estimate {
            display_name: "Studio".into(),
            currency_code: "EUR".into(),
            price_date: "2026-05-01".into(),
            lines: vec![tax_line()],
            ..Default::default()
        }
    }

    #[test]
    fn an_estimate_that_an_earlier_engine_kept_has_the_taxes_of_its_lines() {
        let read = kept_estimate(&kept()).expect("an estimate");
        let taxes = &read.build_up.taxes.each;
        assert_eq!(taxes.len(), 1);
        assert_eq!(
            (taxes[0].label.as_str(), taxes[0].share.percent()),
            ("VAT", dec!(20))
        );
        assert_eq!(read.lines[0].unit_price, None);
    }

    #[test]
    fn what_cannot_be_read_is_told_with_its_place() {
        let mut wire = kept();
        wire.lines[0].amount = "4,00".into();
        let told = kept_estimate(&wire).expect_err("a comma");
        assert!(told.contains("lines[0].amount"), "{told}");
    }
}
