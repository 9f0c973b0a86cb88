//! Rule packs as they are shown.

use hod_wire::v1::{Rule, RuleKind, RulePack, RuleStanding};

use super::{Column, Noun, words};
use crate::name::short;
use crate::render::record::Record;
use crate::word;

impl Noun for RulePack {
    const COLUMNS: &'static [Column<Self>] = &[
        words("Rule pack", |pack| short(&pack.name)),
        words("Name", |pack| pack.display_name.clone()),
        words("Where it holds", |pack| pack.jurisdiction.clone()),
        words("Limits", |pack| {
            let limits: Vec<String> = pack.rules.iter().map(limit).collect();
            limits.join(", ")
        }),
    ];

    fn record(&self) -> Record {
        Record::new()
            .text("name", &self.name)
            .text("display_name", &self.display_name)
            .text("jurisdiction", &self.jurisdiction)
            .many("rules", &self.rules, rule_record)
            .time("create_time", self.create_time.as_ref())
    }

    fn name(&self) -> &str {
        &self.name
    }
}

/// `shrinkage-percent-max 4.17`.
fn limit(rule: &Rule) -> String {
    format!("{} {}", word::of::<RuleKind>(rule.kind), rule.limit)
}

/// One rule.
pub(super) fn rule_record(rule: &Rule) -> Record {
    Record::new()
        .word::<RuleKind>("kind", rule.kind)
        .text("limit", &rule.limit)
        .text("section", &rule.section)
        .word::<RuleStanding>("standing", rule.standing)
}
