//! Rule packs: limits as data, each kind once.

use hod_domain::id::RulePackId;
use hod_domain::rules::{Rule, RuleKind, RulePack, RuleStanding};
use hod_units::Decimal;
use rust_decimal::dec;

pub fn rule(kind: RuleKind, limit: Decimal) -> Rule {
    Rule {
        kind,
        limit,
        section: "section 1".to_owned(),
        standing: RuleStanding::Read,
    }
}

pub fn pack(rules: Vec<Rule>) -> RulePack {
    RulePack {
        id: RulePackId::parse("valley").expect("an id"),
        display_name: "Valley rules".to_owned(),
        jurisdiction: "the valley".to_owned(),
        rules,
    }
}

fn reasons(rules: Vec<Rule>) -> Vec<(String, &'static str)> {
    let faults = pack(rules).faults();
    faults
        .into_iter()
        .map(|fault| (fault.field, fault.reason))
        .collect()
}

#[test]
fn a_pack_limits_what_it_says_and_nothing_else() {
    let pack = pack(vec![rule(RuleKind::RuptureKpaMin, dec!(344.74))]);
    assert_eq!(pack.faults(), []);
    assert_eq!(pack.limit(RuleKind::RuptureKpaMin), Some(&pack.rules[0]));
    assert_eq!(pack.limit(RuleKind::CompressionKpaMin), None);
}

#[test]
fn a_pack_without_rules_is_refused() {
    assert_eq!(
        reasons(Vec::new()),
        [("rules".to_owned(), "RULE_PACK_HAS_NO_RULE")]
    );
}

#[test]
fn all_faults_of_a_pack_are_told_at_once() {
    let found = reasons(vec![
        rule(RuleKind::PlasterVoidM2Max, dec!(3)),
        rule(RuleKind::PlasterOneFaceVoidM2Max, dec!(0.5)),
        rule(RuleKind::BoundaryVoidDeducted, dec!(2)),
        rule(RuleKind::PlasterVoidM2Max, dec!(0.4)),
    ]);
    assert_eq!(
        found,
        [
            ("rules[2].limit".to_owned(), "RULE_IS_YES_OR_NO"),
            ("rules[3].kind".to_owned(), "RULE_TWICE"),
            ("rules[1].limit".to_owned(), "PLASTER_RULES_OUT_OF_ORDER"),
        ]
    );
    for yes_or_no in [dec!(0), dec!(1), dec!(1.0)] {
        assert_eq!(
            reasons(vec![rule(RuleKind::BoundaryVoidDeducted, yes_or_no)]),
            []
        );
    }
}
