//! Rule packs over the wire: each method once as it should be and once refused.

use hod_wire::v1::{
    CreateRulePackRequest, GetRulePackRequest, ListRulePacksRequest, Rule, RuleKind, RulePack,
    RuleStanding,
};
use tonic::Code;

use crate::support::{Ground, assert_fields, assert_refused};

fn rule(kind: RuleKind, limit: &str, standing: RuleStanding) -> Rule {
    Rule {
        kind: kind.into(),
        limit: limit.into(),
        section: "made up".into(),
        standing: standing.into(),
    }
}

fn valley() -> CreateRulePackRequest {
    CreateRulePackRequest {
        rule_pack_id: "valley".into(),
        rule_pack: Some(RulePack {
            display_name: "Valley rules".into(),
            jurisdiction: "the valley".into(),
            rules: vec![
                rule(RuleKind::RuptureKpaMin, "344.740", RuleStanding::FromMemory),
                rule(RuleKind::ShrinkagePercentMax, "4.17", RuleStanding::Read),
            ],
            ..Default::default()
        }),
        ..Default::default()
    }
}

#[tokio::test]
async fn rule_packs_are_made_read_and_listed_and_a_firm_begins_with_those_of_the_library() {
    let ground = Ground::with_library().await;
    let mut packs = ground.client.rule_packs();
    let made = packs
        .create_rule_pack(valley())
        .await
        .expect("made")
        .into_inner();
    assert_eq!(made.name, "rulePacks/valley");
    assert_eq!(
        made.rules,
        [
            rule(RuleKind::RuptureKpaMin, "344.74", RuleStanding::FromMemory),
            rule(RuleKind::ShrinkagePercentMax, "4.17", RuleStanding::Read),
        ]
    );
    let got = packs
        .get_rule_pack(GetRulePackRequest {
            name: made.name.clone(),
        })
        .await
        .expect("got");
    assert_eq!(got.into_inner(), made);
    let listed = packs
        .list_rule_packs(ListRulePacksRequest::default())
        .await
        .expect("listed");
    let listed = listed.into_inner().rule_packs;
    let names: Vec<&str> = listed.iter().map(|pack| pack.name.as_str()).collect();
    assert_eq!(
        names,
        [
            "rulePacks/adobe-new-mexico",
            "rulePacks/boundary-voids",
            "rulePacks/cob",
            "rulePacks/is-1200",
            "rulePacks/valley",
        ]
    );
    assert_eq!(listed[4], made);
}

#[tokio::test]
async fn every_kind_and_every_standing_comes_back_as_it_went_in() {
    let ground = Ground::with_library().await;
    let mut sent = valley();
    let pack = sent.rule_pack.as_mut().expect("a pack");
    // Every number of the lists, until there is none.
    let kinds = (1..).map_while(|number| RuleKind::try_from(number).ok());
    pack.rules = kinds
        .map(|kind| rule(kind, "1", RuleStanding::Reported))
        .collect();
    assert_eq!(pack.rules.len(), 8);
    for (rule, standing) in pack.rules.iter_mut().zip([1, 2, 3].into_iter().cycle()) {
        rule.standing = standing;
    }
    assert!(RuleStanding::try_from(4).is_err());
    let expected = pack.rules.clone();
    let made = ground
        .client
        .rule_packs()
        .create_rule_pack(sent)
        .await
        .expect("made");
    assert_eq!(made.into_inner().rules, expected);
}

#[tokio::test]
async fn a_rule_pack_is_refused_with_every_fault_at_once() {
    let ground = Ground::with_library().await;
    let mut packs = ground.client.rule_packs();
    let mut bad = valley();
    bad.rule_pack_id = "Valley".into();
    let pack = bad.rule_pack.as_mut().expect("a pack");
    pack.jurisdiction = String::new();
    pack.rules[0] = Rule::default();
    pack.rules[1].limit = "1000000.1".into();
    assert_fields(
        &packs.create_rule_pack(bad).await.expect_err("refused"),
        &[
            ("rule_pack_id", "NOT_AN_ID"),
            ("rule_pack.jurisdiction", "MISSING"),
            ("rule_pack.rules[0].kind", "MISSING"),
            ("rule_pack.rules[0].limit", "MISSING"),
            ("rule_pack.rules[0].section", "MISSING"),
            ("rule_pack.rules[0].standing", "MISSING"),
            ("rule_pack.rules[1].limit", "OUT_OF_RANGE"),
        ],
    );
    let mut twice = valley();
    let pack = twice.rule_pack.as_mut().expect("a pack");
    pack.rules[1].kind = RuleKind::RuptureKpaMin.into();
    pack.rules.push(rule(
        RuleKind::BoundaryVoidDeducted,
        "2",
        RuleStanding::Read,
    ));
    assert_fields(
        &packs.create_rule_pack(twice).await.expect_err("refused"),
        &[
            ("rule_pack.rules[1].kind", "RULE_TWICE"),
            ("rule_pack.rules[2].limit", "RULE_IS_YES_OR_NO"),
        ],
    );
    let mut none = valley();
    none.rule_pack.as_mut().expect("a pack").rules = Vec::new();
    let refused = packs.create_rule_pack(none).await.expect_err("refused");
    assert_fields(&refused, &[("rule_pack.rules", "WRONG_COUNT")]);
    packs.create_rule_pack(valley()).await.expect("made");
    let taken = packs.create_rule_pack(valley()).await.expect_err("taken");
    assert_refused(
        &taken,
        Code::AlreadyExists,
        "ALREADY_EXISTS",
        "rulePacks/valley",
    );
    let name = "rulePacks/none".into();
    let missing = packs
        .get_rule_pack(GetRulePackRequest { name })
        .await
        .expect_err("missing");
    assert_refused(&missing, Code::NotFound, "NOT_FOUND", "rulePacks/none");
    let page_size = -1;
    let ask = ListRulePacksRequest {
        page_size,
        ..Default::default()
    };
    let refused = packs.list_rule_packs(ask).await.expect_err("refused");
    assert_fields(&refused, &[("page_size", "OUT_OF_RANGE")]);
}
