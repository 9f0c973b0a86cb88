//! What a client gets: a quote as a page to be read, without a word of how its cost is made up.

use hod_wire::v1::{Offer, OfferLine, Quote, QuoteEvent, QuoteState, Stage};

use super::estimate::{daywork_table, scope_table};
use super::figure::{is_zero, measure, sum};
use super::shown;
use super::table::{Side, Table, list_item, paragraph};
use crate::text::{counted, plain};
use crate::word;

/// The page.
pub(super) fn page(quote: &Quote) -> String {
    let offer = quote.offer.clone().unwrap_or_default();
    let sections = [
        Some(heading(&offer, quote)),
        provisional(&offer),
        Some(price(&offer)),
        variations(quote, &offer),
        Some(measured(&offer)),
        scope_table(&offer.scope).map(|table| table.to_string()),
        listed("Not in the price:", &offer.exclusions),
        listed("What the price rests on:", &offer.assumptions),
        Some(payments(&offer)),
        daywork_table(&offer.daywork_rates, &offer.currency_code, false)
            .map(|table| table.to_string()),
        terms(&offer),
    ];
    let sections: Vec<String> = sections.into_iter().flatten().collect();
    sections.join("\n")
}

/// What it is, for whom, and how long it holds.
fn heading(offer: &Offer, quote: &Quote) -> String {
    let title = match offer.number {
        0 => "Quote, not issued yet".to_owned(),
        number => format!("Quote {number}"),
    };
    let issued = format!("{}, valid to {}", offer.issue_date, offer.valid_until_date);
    let prices = format!("of {}, in {}", offer.price_date, offer.currency_code);
    let replaced = match offer.revised_number {
        0 => String::new(),
        number => format!("quote {number}"),
    };
    let rows = [
        ("For", &offer.client),
        ("Works", &offer.display_name),
        ("Site", &offer.site_display_name),
        ("Issued", &issued),
        ("Prices", &prices),
        ("Replaces", &replaced),
        ("State", &state(quote)),
    ];
    let rows = rows
        .into_iter()
        .filter(|(_, text)| !text.is_empty())
        .map(|(name, text)| format!("{name:<10}{}\n", plain(text)));
    format!("{title}\n\n{}", rows.collect::<String>())
}

/// `accepted on 2026-05-10`; nothing while it is with the client.
fn state(quote: &Quote) -> String {
    if matches!(quote.state(), QuoteState::Unspecified | QuoteState::Issued) {
        return String::new();
    }
    let word = word::of::<QuoteState>(quote.state);
    let came = |event: &&QuoteEvent| event.state == quote.state;
    match quote.events.iter().rev().find(came) {
        Some(event) => format!("{word} on {}", event.date),
        None => word.to_owned(),
    }
}

fn provisional(offer: &Offer) -> Option<String> {
    if !offer.is_provisional {
        return None;
    }
    let reasons = offer.provisional_reasons.iter().map(|matter| {
        let what = match matter.reason.as_str() {
            "WAGE_ZERO" => "some of the work is reckoned without a wage",
            "CONTINGENCY_ZERO" => "nothing is set aside for what cannot be foreseen",
            "MIX_NOT_TESTED" => "the earth mix is not tested yet",
            other => other,
        };
        list_item(&format!("{what}: {}", matter.explanation)) + "\n"
    });
    Some(format!(
        "This quote is provisional.\n{}",
        reasons.collect::<String>()
    ))
}

fn price(offer: &Offer) -> String {
    let amount = format!("Amount {}", plain(&offer.currency_code));
    let mut table = Table::new(&[("Price", Side::Left), (&amount, Side::Right)]);
    for line in offer.lines.iter().chain(&offer.adjustments) {
        table.row([&line_name(line), &line.amount]);
    }
    table
        .rule()
        .row(["Price before tax", &offer.price_before_tax]);
    for tax in &offer.taxes {
        let name = format!("{}, {} % of {}", tax.label, tax.percent, tax.base_amount);
        table.row([&name, &tax.amount]);
    }
    table.rule().row(["Total", &offer.total]);
    let has_sums = offer.lines.iter().any(|line| line.is_provisional);
    let told = if has_sums {
        "A provisional sum is for what cannot be measured yet: you pay what it comes to.\n"
    } else {
        ""
    };
    format!("{table}{told}")
}

fn line_name(line: &OfferLine) -> String {
    if line.is_provisional {
        format!("{} (provisional sum)", line.item)
    } else {
        line.item.clone()
    }
}

/// The contract as it stands, once something was agreed after acceptance.
fn variations(quote: &Quote, offer: &Offer) -> Option<String> {
    if is_zero(&quote.variations_total) && quote.variation_days == 0 {
        return None;
    }
    let amount = format!("Amount {}", plain(&offer.currency_code));
    let mut table = Table::new(&[("Agreed since", Side::Left), (&amount, Side::Right)]);
    table
        .row(["This quote, with tax", &offer.total])
        .row(["Variations, with tax", &quote.variations_total])
        .rule()
        .row(["Together", &quote.contract_total]);
    let days = days(quote.variation_days);
    let days = days.map_or(String::new(), |days| {
        format!("The variations take {days}.\n")
    });
    Some(format!("{table}{days}"))
}

/// `3 days more`, `1 day less`; nothing for none.
pub(super) fn days(days: i32) -> Option<String> {
    let way = if 0 < days { "more" } else { "less" };
    let count = usize::try_from(days.unsigned_abs()).unwrap_or(0);
    (count != 0).then(|| format!("{} {way}", counted(count, "day", "days")))
}

fn measured(offer: &Offer) -> String {
    let takeoff = offer.takeoff.clone().unwrap_or_default();
    let told = format!(
        "Measured: walls {} m long on the centre line, {} m3 finished; inner faces {} m2, outer faces {} m2, reveals {} m2.",
        measure(&takeoff.length_m),
        shown::net(&takeoff),
        measure(&takeoff.inner_face_m2),
        measure(&takeoff.outer_face_m2),
        measure(&takeoff.reveal_m2),
    );
    paragraph(&told) + "\n"
}

/// A heading with a line to each sentence; nothing when there are none.
fn listed(heading: &str, sentences: &[String]) -> Option<String> {
    let lines: String = sentences
        .iter()
        .map(|sentence| list_item(sentence) + "\n")
        .collect();
    (!lines.is_empty()).then(|| format!("{heading}\n{lines}"))
}

fn payments(offer: &Offer) -> String {
    if offer.stages.is_empty() {
        return format!(
            "Payment: {} {} when all is done.\n",
            plain(&offer.total),
            plain(&offer.currency_code)
        );
    }
    if is_zero(&offer.retention_amount) {
        return stage_table(offer, &[("To be paid", |stage| &stage.amount)]);
    }
    let table = stage_table(
        offer,
        &[
            ("Amount", |stage| &stage.amount),
            ("Held back", |stage| &stage.retained),
            ("To be paid", |stage| &stage.due),
        ],
    );
    let months = usize::try_from(offer.retention_months).unwrap_or(0);
    let when = match months {
        0 => "on completion".to_owned(),
        months => format!("{} after completion", counted(months, "month", "months")),
    };
    format!(
        "{table}The {} {} held back, {} % of each payment but the deposit, is paid {when}.\n",
        plain(&offer.retention_amount),
        plain(&offer.currency_code),
        plain(&offer.retention_percent),
    )
}

/// A figure of a payment under its heading.
type Paid = (&'static str, fn(&Stage) -> &String);

fn stage_table(offer: &Offer, figures: &[Paid]) -> String {
    let headings: Vec<String> = figures
        .iter()
        .map(|(heading, _)| format!("{heading} {}", plain(&offer.currency_code)))
        .collect();
    let mut columns = vec![("Payment", Side::Left), ("%", Side::Right)];
    columns.extend(
        headings
            .iter()
            .map(|heading| (heading.as_str(), Side::Right)),
    );
    let mut table = Table::new(&columns);
    for stage in &offer.stages {
        let mut cells = vec![stage.description.clone(), stage.percent.clone()];
        cells.extend(figures.iter().map(|(_, figure)| figure(stage).clone()));
        table.row(cells);
    }
    let all = |figure: fn(&Stage) -> &String| {
        sum(offer.stages.iter().map(|stage| figure(stage).as_str())).unwrap_or_default()
    };
    let mut total = vec!["Total".to_owned(), all(|stage| &stage.percent)];
    total.extend(figures.iter().map(|(_, figure)| all(*figure)));
    table.rule().row(total);
    table.to_string()
}

/// As they were written, each paragraph broken into lines that can be read.
fn terms(offer: &Offer) -> Option<String> {
    let lines = offer.terms.trim().lines();
    let terms: String = lines.map(|line| paragraph(line) + "\n").collect();
    (!terms.is_empty()).then(|| format!("Terms\n{terms}"))
}
