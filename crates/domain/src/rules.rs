//! Rule packs: limits that a code or a standard sets, as data, each with where it stands and whether it was read there.
//!
//! A pack judges nothing by itself: a trial is held against it in [`trial`](crate::trial), and what is paid for a wall
//! is measured by it in the takeoff. A breach is a caution that names the rule; only the authority and a licensed
//! engineer can judge.

use hod_units::{Decimal, canonical};

use crate::fault::Fault;
use crate::id::RulePackId;

/// What a rule limits. A closed list; the unit of the limit is in the name.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum RuleKind {
    /// Shrinkage of a bar, percent of its length as moulded, at the most.
    ShrinkagePercentMax,
    /// Compressive strength, kPa, at the least.
    CompressionKpaMin,
    /// Compressive strength of a wall that braces, kPa, at the least.
    CompressionBracingKpaMin,
    /// Modulus of rupture, kPa, at the least.
    RuptureKpaMin,
    /// Masonry: an opening up to this area, m2, is not deducted.
    MasonryVoidM2Max,
    /// Plaster: an opening up to this area, m2, is not deducted, and its reveals are not measured.
    PlasterVoidM2Max,
    /// Plaster: a larger opening up to this area, m2, is deducted on one face, and its reveals are not measured; one
    /// larger still is deducted on both, and its reveals are measured.
    PlasterOneFaceVoidM2Max,
    /// An opening at the edge of the measured face is always deducted: 1; else 0.
    BoundaryVoidDeducted,
}

impl RuleKind {
    /// How a message names it.
    pub const fn words(self) -> &'static str {
        match self {
            Self::ShrinkagePercentMax => "shrinkage",
            Self::CompressionKpaMin => "compressive strength",
            Self::CompressionBracingKpaMin => "compressive strength of a wall that braces",
            Self::RuptureKpaMin => "modulus of rupture",
            Self::MasonryVoidM2Max => "masonry openings that are not deducted",
            Self::PlasterVoidM2Max => "plaster openings that are not deducted",
            Self::PlasterOneFaceVoidM2Max => "plaster openings that are deducted on one face",
            Self::BoundaryVoidDeducted => "openings at the edge of the measured face",
        }
    }
}

/// Whether a rule was read where it stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum RuleStanding {
    /// Read in the document itself or in a copy of its text.
    Read,
    /// Read in a text that reports it.
    Reported,
    /// From memory: look it up before relying on it.
    FromMemory,
}

impl RuleStanding {
    /// How a message says it.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Read => "read",
            Self::Reported => "as reported",
            Self::FromMemory => "from memory",
        }
    }
}

/// One rule.
#[derive(Debug, Clone, PartialEq)]
pub struct Rule {
    /// What it limits.
    pub kind: RuleKind,
    /// The limit, in the unit that the kind names.
    pub limit: Decimal,
    /// Where it stands.
    pub section: String,
    /// Whether it was read there.
    pub standing: RuleStanding,
}

/// A set of rules.
#[derive(Debug, Clone, PartialEq)]
pub struct RulePack {
    /// Its id.
    pub id: RulePackId,
    /// What people call it.
    pub display_name: String,
    /// Where it holds.
    pub jurisdiction: String,
    /// The rules, each kind once.
    pub rules: Vec<Rule>,
}

impl RulePack {
    /// The rule of a kind; `None` when the pack says nothing of it, and then nothing is limited.
    ///
    /// ```
    /// use hod_domain::id::RulePackId;
    /// use hod_domain::rules::{Rule, RuleKind, RulePack, RuleStanding};
    /// use rust_decimal::dec;
    ///
    /// let cob = RulePack {
    ///     id: RulePackId::parse("cob").expect("an id"),
    ///     display_name: "Cob".to_owned(),
    ///     jurisdiction: "where the 2021 appendix is adopted".to_owned(),
    ///     rules: vec![Rule {
    ///         kind: RuleKind::ShrinkagePercentMax,
    ///         limit: dec!(4.17),
    ///         section: "AU103.4.1".to_owned(),
    ///         standing: RuleStanding::Read,
    ///     }],
    /// };
    /// assert_eq!(cob.limit(RuleKind::ShrinkagePercentMax).map(|rule| rule.limit), Some(dec!(4.17)));
    /// assert_eq!(cob.limit(RuleKind::RuptureKpaMin), None);
    /// ```
    pub fn limit(&self, kind: RuleKind) -> Option<&Rule> {
        self.rules.iter().find(|rule| rule.kind == kind)
    }

    /// What does not hold across its fields.
    pub fn faults(&self) -> Vec<Fault> {
        let mut faults = Vec::new();
        if self.rules.is_empty() {
            faults.push(Fault::of_field(
                "rules",
                "RULE_PACK_HAS_NO_RULE",
                format!("rule pack {} has no rules; give at least one", self.id),
            ));
        }
        for (at, rule) in self.rules.iter().enumerate() {
            if self.rules[..at]
                .iter()
                .any(|earlier| earlier.kind == rule.kind)
            {
                faults.push(Fault::of_field(
                    format!("rules[{at}].kind"),
                    "RULE_TWICE",
                    format!(
                        "rule pack {} limits {} twice; give each kind once, the one that holds",
                        self.id,
                        rule.kind.words()
                    ),
                ));
            }
            faults.extend(neither_yes_nor_no(at, rule));
        }
        faults.extend(self.plaster_out_of_order());
        faults
    }

    /// An opening that is deducted on one face is larger than one that is not deducted.
    fn plaster_out_of_order(&self) -> Option<Fault> {
        let least = self.limit(RuleKind::PlasterVoidM2Max)?.limit;
        let at = |rule: &Rule| rule.kind == RuleKind::PlasterOneFaceVoidM2Max;
        let at = self.rules.iter().position(at)?;
        let most = self.rules[at].limit;
        (most < least).then(|| {
            Fault::of_field(
                format!("rules[{at}].limit"),
                "PLASTER_RULES_OUT_OF_ORDER",
                format!(
                    "rule pack {} deducts plaster openings up to {} m2 on one face and none up to {} m2; the first must \
                     not be the lower",
                    self.id,
                    canonical(most),
                    canonical(least)
                ),
            )
        })
    }
}

/// A claim is 1 or 0.
fn neither_yes_nor_no(at: usize, rule: &Rule) -> Option<Fault> {
    let is_claim = rule.kind == RuleKind::BoundaryVoidDeducted;
    (is_claim && rule.limit != Decimal::ONE && !rule.limit.is_zero()).then(|| {
        Fault::of_field(
            format!("rules[{at}].limit"),
            "RULE_IS_YES_OR_NO",
            format!(
                "{} have the limit {}; give 1 when they are always deducted, else 0",
                rule.kind.words(),
                canonical(rule.limit)
            ),
        )
    })
}
