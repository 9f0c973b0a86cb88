//! A quote only moves forward, and each act has its day.

use hod_domain::quote::{QuoteAct, QuoteStanding, QuoteState};

use crate::sample::day;

use QuoteAct::{Accept, Decline, Expire, Supersede};

/// Issued on 2026-03-01, valid until 2026-03-31.
fn quote() -> QuoteStanding {
    QuoteStanding::issued(day("2026-03-01"), day("2026-03-31"))
}

fn after(acts: &[(QuoteAct, &str)]) -> QuoteStanding {
    let act = |standing: QuoteStanding, (act, date): &(QuoteAct, &str)| {
        standing
            .after(*act, day(date), day("2026-12-31"))
            .expect("it may")
    };
    acts.iter().fold(quote(), act)
}

fn reasons(standing: QuoteStanding, act: QuoteAct, date: &str, today: &str) -> Vec<&'static str> {
    let faults = standing
        .after(act, day(date), day(today))
        .expect_err("refused");
    faults.iter().map(|fault| fault.reason).collect()
}

#[test]
fn each_state_is_left_only_forward() {
    let table = [
        ("issued", vec![], vec![Accept, Decline, Expire, Supersede]),
        ("accepted", vec![(Accept, "2026-03-10")], vec![]),
        ("declined", vec![(Decline, "2026-03-10")], vec![Supersede]),
        ("expired", vec![(Expire, "2026-03-10")], vec![Supersede]),
        ("superseded", vec![(Supersede, "2026-03-10")], vec![]),
        (
            "declined, then superseded",
            vec![(Decline, "2026-03-10"), (Supersede, "2026-03-12")],
            vec![],
        ),
    ];
    for (what, acts, onward) in table {
        let standing = after(&acts);
        for act in [Accept, Decline, Expire, Supersede] {
            let moved = standing.after(act, day("2026-03-20"), day("2026-03-20"));
            match moved {
                Ok(moved) => {
                    assert!(onward.contains(&act), "{what}, {act:?}");
                    assert_eq!(
                        (moved.state, moved.since),
                        (act.leads_to(), day("2026-03-20"))
                    );
                }
                Err(faults) => {
                    assert!(!onward.contains(&act), "{what}, {act:?}");
                    assert_eq!(faults[0].reason, "QUOTE_STATE_UNFIT");
                }
            }
        }
    }
}

#[test]
fn it_is_accepted_within_its_validity_only() {
    let table = [
        ("2026-02-28", vec!["DATE_BEFORE_ISSUE"]),
        ("2026-03-01", vec![]),
        ("2026-03-31", vec![]),
        ("2026-04-01", vec!["QUOTE_EXPIRED"]),
    ];
    for (date, expected) in table {
        let moved = quote().after(Accept, day(date), day("2026-04-02"));
        let reasons = moved.err().unwrap_or_default();
        let reasons: Vec<&str> = reasons.iter().map(|fault| fault.reason).collect();
        assert_eq!(reasons, expected, "{date}");
    }
}

#[test]
fn nothing_is_kept_of_a_day_that_has_not_come() {
    assert_eq!(
        reasons(quote(), Accept, "2026-03-10", "2026-03-09"),
        ["DATE_AFTER_TODAY"]
    );
    assert_eq!(
        reasons(quote(), Decline, "2026-04-10", "2026-03-09"),
        ["QUOTE_EXPIRED", "DATE_AFTER_TODAY"]
    );
}

#[test]
fn nothing_happens_before_what_happened_last() {
    let declined = after(&[(Decline, "2026-03-10")]);
    assert_eq!(
        reasons(declined, Supersede, "2026-03-09", "2026-03-20"),
        ["DATE_BEFORE_LAST_EVENT"]
    );
}

#[test]
fn one_past_its_days_has_expired_without_an_act_and_may_still_be_revised() {
    assert_eq!(quote().on(day("2026-04-01")), QuoteState::Expired);
    assert_eq!(
        reasons(quote(), Expire, "2026-04-01", "2026-04-01"),
        ["QUOTE_EXPIRED"]
    );
    let revised = quote().after(Supersede, day("2026-05-01"), day("2026-05-01"));
    assert_eq!(
        revised.map(|standing| standing.state),
        Ok(QuoteState::Superseded)
    );
}

#[test]
fn what_was_accepted_or_declined_stays_so_whatever_the_day() {
    for (act, state) in [
        (Accept, QuoteState::Accepted),
        (Decline, QuoteState::Declined),
    ] {
        assert_eq!(after(&[(act, "2026-03-10")]).on(day("2027-01-01")), state);
    }
}

#[test]
fn a_refusal_says_what_to_do_instead() {
    let accepted = after(&[(Accept, "2026-03-10")]);
    let faults = accepted
        .after(Decline, day("2026-03-20"), day("2026-03-20"))
        .expect_err("refused");
    assert_eq!(
        faults[0].message,
        "it is accepted since 2026-03-10 and cannot be declined; agree a variation under it instead"
    );
}
