//! A quote that is only provisional goes out with a written reason, or not at all.

use hod_domain::estimate::{ProvisionalCause, ProvisionalMatter};
use hod_domain::quote::{ProvisionalReason, provisional_reasons};

fn matter(reason: ProvisionalCause, subject: &str) -> ProvisionalMatter {
    ProvisionalMatter {
        reason,
        subject: subject.to_owned(),
        description: "told by the estimate".to_owned(),
    }
}

fn reason(of: &str, explanation: &str) -> ProvisionalReason {
    ProvisionalReason {
        reason: of.to_owned(),
        explanation: explanation.to_owned(),
    }
}

fn faults(
    matters: &[ProvisionalMatter],
    given: &[ProvisionalReason],
) -> Vec<(String, &'static str)> {
    let faults = provisional_reasons(matters, given).expect_err("refused");
    let place = |field: String, subject| if field.is_empty() { subject } else { field };
    faults
        .into_iter()
        .map(|fault| (place(fault.field, fault.subject), fault.reason))
        .collect()
}

#[test]
fn every_matter_without_a_reason_is_named() {
    let matters = [
        matter(
            ProvisionalCause::WageZero,
            "regions/coast/labourRates/volunteer",
        ),
        matter(ProvisionalCause::ContingencyZero, ""),
        matter(ProvisionalCause::MixNotTested, "mixes/house-cob"),
    ];
    let given = [reason(
        "CONTINGENCY_ZERO",
        "the client carries all of the risk",
    )];
    assert_eq!(
        faults(&matters, &given),
        [
            (
                "regions/coast/labourRates/volunteer".to_owned(),
                "PROVISIONAL_WITHOUT_REASON"
            ),
            ("mixes/house-cob".to_owned(), "PROVISIONAL_WITHOUT_REASON"),
        ]
    );
}

#[test]
fn one_reason_answers_for_all_matters_of_its_kind() {
    let matters = [
        matter(ProvisionalCause::MixNotTested, "mixes/house-cob"),
        matter(ProvisionalCause::MixNotTested, "mixes/mortar"),
    ];
    let given = [reason("MIX_NOT_TESTED", "the pit is opened in April")];
    assert_eq!(provisional_reasons(&matters, &given), Ok(given.to_vec()));
}

#[test]
fn a_reason_has_ten_characters_and_at_most_four_hundred() {
    let matters = [matter(ProvisionalCause::ContingencyZero, "")];
    let table = [
        ("", false),
        ("because it", true),
        ("because i", false),
        // Spaces around it explain nothing.
        ("     ok     ", false),
        // Ten letters of more than one byte each.
        ("öööööööööö", true),
        ("ööööööööö", false),
    ];
    for (explanation, holds) in table {
        let given = [reason("CONTINGENCY_ZERO", explanation)];
        assert_eq!(
            provisional_reasons(&matters, &given).is_ok(),
            holds,
            "{explanation:?}"
        );
    }
    let long = "x".repeat(401);
    assert_eq!(
        faults(&matters, &[reason("CONTINGENCY_ZERO", &long)]),
        [(
            "provisional_reasons[0].explanation".to_owned(),
            "EXPLANATION_LENGTH"
        )]
    );
}

#[test]
fn a_reason_for_a_matter_that_is_not_there_is_refused() {
    let table = ["WAGE_ZERO", "IT_RAINED", ""];
    let matters = [matter(ProvisionalCause::ContingencyZero, "")];
    for of in table {
        let given = [
            reason("CONTINGENCY_ZERO", "the client carries all of the risk"),
            reason(of, "nobody asked for this one"),
        ];
        assert_eq!(
            faults(&matters, &given),
            [(
                "provisional_reasons[1].reason".to_owned(),
                "PROVISIONAL_REASON_FOR_NOTHING"
            )],
            "{of:?}"
        );
    }
}

#[test]
fn a_matter_is_explained_once() {
    let matters = [matter(ProvisionalCause::ContingencyZero, "")];
    let given = [
        reason("CONTINGENCY_ZERO", "the client carries all of the risk"),
        reason("CONTINGENCY_ZERO", "the work is small and well known"),
    ];
    assert_eq!(
        faults(&matters, &given),
        [(
            "provisional_reasons[1].reason".to_owned(),
            "PROVISIONAL_REASON_TWICE"
        )]
    );
}

#[test]
fn what_is_not_provisional_needs_no_reason() {
    assert_eq!(provisional_reasons(&[], &[]), Ok(Vec::new()));
}
