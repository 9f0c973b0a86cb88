//! Rule packs: limits that a code or a standard sets.

use hod_domain::id::RulePackId;
use hod_domain::rules::{Rule, RuleKind, RulePack, RuleStanding};
use hod_wire::v1 as wire;
use rust_decimal::dec;

use super::{Bounds, Decoder, NAME_CHARACTERS_MAX, SOURCE_CHARACTERS_MAX};

const LIMIT: Bounds = Bounds::of(dec!(0), dec!(1000000), "");

/// Most rules of a pack.
const RULES_MAX: usize = 50;

/// Reads a rule pack; its id comes from the request.
pub fn rule_pack<'a>(
    decoder: &mut Decoder<'a>,
    wire: &'a wire::RulePack,
    id: Option<&RulePackId>,
) -> Option<RulePack> {
    let display_name = decoder.text("display_name", &wire.display_name, NAME_CHARACTERS_MAX);
    let jurisdiction = decoder.text("jurisdiction", &wire.jurisdiction, NAME_CHARACTERS_MAX);
    let items = decoder.list("rules", &wire.rules, 1, RULES_MAX);
    let rules = decoder.each("rules", items, rule);
    Some(RulePack {
        id: id?.clone(),
        display_name: display_name?,
        jurisdiction: jurisdiction?,
        rules: rules?,
    })
}

fn rule<'a>(decoder: &mut Decoder<'a>, wire: &'a wire::Rule) -> Option<Rule> {
    let kind = decoder.choice("kind", wire.kind, rule_kind);
    let limit = decoder.number("limit", &wire.limit, &LIMIT);
    let section = decoder.text("section", &wire.section, SOURCE_CHARACTERS_MAX);
    let standing = decoder.choice("standing", wire.standing, standing);
    Some(Rule {
        kind: kind?,
        limit: limit?,
        section: section?,
        standing: standing?,
    })
}

fn rule_kind(number: i32) -> Option<RuleKind> {
    match wire::RuleKind::try_from(number).ok()? {
        wire::RuleKind::Unspecified => None,
        wire::RuleKind::ShrinkagePercentMax => Some(RuleKind::ShrinkagePercentMax),
        wire::RuleKind::CompressionKpaMin => Some(RuleKind::CompressionKpaMin),
        wire::RuleKind::CompressionBracingKpaMin => Some(RuleKind::CompressionBracingKpaMin),
        wire::RuleKind::RuptureKpaMin => Some(RuleKind::RuptureKpaMin),
        wire::RuleKind::MasonryVoidM2Max => Some(RuleKind::MasonryVoidM2Max),
        wire::RuleKind::PlasterVoidM2Max => Some(RuleKind::PlasterVoidM2Max),
        wire::RuleKind::PlasterOneFaceVoidM2Max => Some(RuleKind::PlasterOneFaceVoidM2Max),
        wire::RuleKind::BoundaryVoidDeducted => Some(RuleKind::BoundaryVoidDeducted),
    }
}

fn standing(number: i32) -> Option<RuleStanding> {
    match wire::RuleStanding::try_from(number).ok()? {
        wire::RuleStanding::Unspecified => None,
        wire::RuleStanding::Read => Some(RuleStanding::Read),
        wire::RuleStanding::Reported => Some(RuleStanding::Reported),
        wire::RuleStanding::FromMemory => Some(RuleStanding::FromMemory),
    }
}
