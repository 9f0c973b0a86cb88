//! Rule packs, and the verdicts of their rules.

use hod_domain::rules::{Rule, RuleKind, RulePack, RuleStanding};
use hod_store::Stored;
use hod_units::canonical;
use hod_wire::v1 as wire;

use super::stamp::timestamp;
use crate::name::{Collection, RulePacks};

/// A rule pack.
pub fn rule_pack(stored: &Stored<RulePack>) -> wire::RulePack {
    let pack = &stored.value;
    wire::RulePack {
        name: RulePacks::name(&pack.id),
        display_name: pack.display_name.clone(),
        jurisdiction: pack.jurisdiction.clone(),
        rules: pack.rules.iter().map(rule).collect(),
        create_time: Some(timestamp(stored.created)),
    }
}

/// One rule.
pub fn rule(rule: &Rule) -> wire::Rule {
    wire::Rule {
        kind: kind(rule.kind).into(),
        limit: canonical(rule.limit),
        section: rule.section.clone(),
        standing: standing(rule.standing).into(),
    }
}

fn kind(kind: RuleKind) -> wire::RuleKind {
    match kind {
        RuleKind::ShrinkagePercentMax => wire::RuleKind::ShrinkagePercentMax,
        RuleKind::CompressionKpaMin => wire::RuleKind::CompressionKpaMin,
        RuleKind::CompressionBracingKpaMin => wire::RuleKind::CompressionBracingKpaMin,
        RuleKind::RuptureKpaMin => wire::RuleKind::RuptureKpaMin,
        RuleKind::MasonryVoidM2Max => wire::RuleKind::MasonryVoidM2Max,
        RuleKind::PlasterVoidM2Max => wire::RuleKind::PlasterVoidM2Max,
        RuleKind::PlasterOneFaceVoidM2Max => wire::RuleKind::PlasterOneFaceVoidM2Max,
        RuleKind::BoundaryVoidDeducted => wire::RuleKind::BoundaryVoidDeducted,
    }
}

fn standing(standing: RuleStanding) -> wire::RuleStanding {
    match standing {
        RuleStanding::Read => wire::RuleStanding::Read,
        RuleStanding::Reported => wire::RuleStanding::Reported,
        RuleStanding::FromMemory => wire::RuleStanding::FromMemory,
    }
}
