//! What a client gets, and what is agreed afterwards.

use hod_wire::v1::{
    DayworkRate, Escalation, Joint, Milestone, Offer, OfferLine, OfferTax, ProvisionalReason,
    Quote, QuoteEvent, QuoteState, ScopeHolder, ScopeLine, Stage, Unit, Variation, VariationLine,
};

use super::{basis, term, totals};

fn offer(number: i32) -> Offer {
    let line = |item: &str, amount: &str, is_provisional| OfferLine {
        item: item.into(),
        amount: amount.into(),
        is_provisional,
    };
    let stage = |milestone: Milestone, description: &str, figures: [&str; 4]| Stage {
        milestone: milestone.into(),
        description: description.into(),
        percent: figures[0].into(),
        amount: figures[1].into(),
        retained: figures[2].into(),
        due: figures[3].into(),
    };
    Offer {
        number,
        display_name: "Kept studio".into(),
        client: "A. Client".into(),
        site_display_name: "Long Acre".into(),
        issue_date: "2026-05-04".into(),
        valid_until_date: "2026-06-03".into(),
        price_date: "2026-05-01".into(),
        currency_code: "EUR".into(),
        revised_number: 12,
        lines: vec![
            line("Walls and works as measured", "9000.00", false),
            line("Rock, should any be met", "1100.00", true),
        ],
        adjustments: vec![line("Discount", "-100.00", false)],
        price_before_tax: "10000.00".into(),
        taxes: vec![OfferTax {
            label: "Value added tax".into(),
            percent: "20".into(),
            base_amount: "10000.00".into(),
            amount: "2000.00".into(),
        }],
        total: "12000.00".into(),
        takeoff: Some(totals(Some(268))),
        scope: vec![
            ScopeLine {
                part: "roof".into(),
                display_name: "Reed roof".into(),
                holder: ScopeHolder::ByOthers.into(),
                note: "with its battens".into(),
            },
            ScopeLine {
                part: "engineer".into(),
                holder: ScopeHolder::Ours.into(),
                ..ScopeLine::default()
            },
        ],
        exclusions: vec![
            "Reed roof: by others.".into(),
            "Curtains, furniture and planting.".into(),
        ],
        assumptions: vec!["Lorries of 18 t can reach the site.".into()],
        terms: "Work begins within eight weeks of acceptance.\nWater on the site is the client's to provide.".into(),
        stages: vec![
            stage(
                Milestone::Acceptance,
                "on acceptance",
                ["20", "2400.00", "0.00", "2400.00"],
            ),
            stage(
                Milestone::Lifts,
                "when 3 of 5 lifts are finished",
                ["50", "6000.00", "300.00", "5700.00"],
            ),
            stage(
                Milestone::Completion,
                "on completion",
                ["30", "3600.00", "180.00", "3420.00"],
            ),
        ],
        retention_percent: "5".into(),
        retention_amount: "480.00".into(),
        retention_months: 6,
        daywork_rates: vec![DayworkRate {
            grade: "practised".into(),
            rate_per_hour: "32.45".into(),
            basis: None,
        }],
        is_provisional: true,
        provisional_reasons: vec![ProvisionalReason {
            reason: "MIX_NOT_TESTED".into(),
            explanation: "the trial is in the second week of May".into(),
        }],
    }
}

pub fn quote(number: i32, state: QuoteState) -> Quote {
    let event = |state: QuoteState, date: &str, note: &str| QuoteEvent {
        state: state.into(),
        date: date.into(),
        note: note.into(),
        create_time: None,
    };
    let mut events = vec![event(QuoteState::Issued, "2026-05-04", "")];
    if state != QuoteState::Issued {
        events.push(event(state, "2026-05-10", "by letter"));
    }
    let is_accepted = state == QuoteState::Accepted;
    Quote {
        name: format!("quotes/q{number}"),
        job: "jobs/studio".into(),
        estimate: "jobs/studio/estimates/e1".into(),
        state: state.into(),
        events,
        revised_quote: "quotes/q12".into(),
        offer: Some(offer(number)),
        digest: "5f2c".into(),
        variations_total: if is_accepted { "223.20" } else { "0.00" }.into(),
        contract_total: if is_accepted { "12223.20" } else { "12000.00" }.into(),
        variation_days: is_accepted.into(),
        etag: "\"3\"".into(),
        ..Quote::default()
    }
}

/// 6 h at 38.50 less a shelf of 45.00 is 186.00, with tax of 20 % 223.20.
pub fn variation(number: i32) -> Variation {
    let line = |item: &str, quantity: &str, unit: Unit, price: &str, amount: &str| VariationLine {
        item: item.into(),
        quantity: quantity.into(),
        unit: unit.into(),
        unit_price: price.into(),
        amount: amount.into(),
    };
    Variation {
        name: format!("quotes/q17/variations/v{number}"),
        number,
        title: "A niche beside the door".into(),
        reason: "Asked for by the client on the site".into(),
        agreed_date: "2026-06-12".into(),
        days: 1,
        lines: vec![
            line("Form the niche", "6", Unit::H, "38.5", "231.00"),
            line("Shelf that falls away", "-1", Unit::Each, "45", "-45.00"),
        ],
        price_before_tax: "186.00".into(),
        taxes: vec![OfferTax {
            label: "Value added tax".into(),
            percent: "20".into(),
            base_amount: "186.00".into(),
            amount: "37.20".into(),
        }],
        total: "223.20".into(),
        currency_code: "EUR".into(),
        ..Variation::default()
    }
}

/// Half of 10000.00 follows an index that rose by 4 %: 10200.00.
pub fn escalation(quote: &str) -> Escalation {
    Escalation {
        quote: quote.into(),
        currency_code: "EUR".into(),
        price_before_tax: "10000.00".into(),
        factor: "1.02".into(),
        adjusted_price_before_tax: "10200.00".into(),
        difference: "200.00".into(),
        percent: "2.00".into(),
        basis: basis(
            vec![
                term(
                    Joint::Start,
                    "10000.00",
                    Unit::Money,
                    "price before tax",
                    "",
                ),
                term(Joint::Times, "1.02", Unit::Number, "factor", ""),
            ],
            "to 0.01",
        ),
    }
}
