//! The rule file: a TOML text of one pack of rules, read into the contract's [`RulePack`] with every limit's digits as
//! written. Whether a limit is one, and what is missing, the server says.

use std::fs;

use hod_wire::v1::{Rule, RuleKind, RulePack, RuleStanding};
use toml::Spanned;
use toml::de::{DeTable, DeValue};

use crate::exit;
use crate::fault::{Failure, Fault};
use crate::job_file::Place;
use crate::text::quoted;
use crate::word::{self, Word};

/// A rule file that can be read as it stands, for the help.
pub const EXAMPLE: &str = "\
display_name = \"Valley rules\"
jurisdiction = \"the valley\"

[[rules]]
kind = \"shrinkage-percent-max\"
limit = 4.170
section = \"section 3: one part in 24; read in the printed text\"
standing = \"read\"

[[rules]]
kind = \"rupture-kpa-min\"
limit = \"344.74\"
section = \"section 7: 50 psi; from memory\"
standing = \"from-memory\"
";

/// Reads a file.
pub fn read(file: &str) -> Result<RulePack, Failure> {
    let text = fs::read_to_string(file).map_err(|refusal| {
        let place = Some(Place::of_file(file));
        let description = format!("cannot be read: {refusal}");
        let fault = Fault {
            place,
            field: String::new(),
            description,
        };
        Failure::new(exit::MISSING, vec![fault])
    })?;
    parse(file, &text).map_err(|faults| Failure::new(exit::REFUSED, faults))
}

/// Reads a text; `file` is what to call it. Every fault in it is told, but on a text that is no TOML, where the first is.
fn parse(file: &str, text: &str) -> Result<RulePack, Vec<Fault>> {
    let mut reader = Reader {
        file,
        text,
        faults: Vec::new(),
    };
    let table = match DeTable::parse(text) {
        Ok(table) => table.into_inner(),
        Err(refusal) => {
            let at = refusal.span().map_or(0, |span| span.start);
            reader.fault(at, "", "", format!("not TOML: {}", refusal.message()));
            return Err(reader.faults);
        }
    };
    let pack = RulePack {
        display_name: reader.text(&table, "", "display_name"),
        jurisdiction: reader.text(&table, "", "jurisdiction"),
        rules: reader.rules(&table),
        ..RulePack::default()
    };
    reader.unknown(&table, "", &["display_name", "jurisdiction", "rules"]);
    if reader.faults.is_empty() {
        Ok(pack)
    } else {
        Err(reader.faults)
    }
}

/// What is read from, and all that is wrong with it.
struct Reader<'text> {
    file: &'text str,
    text: &'text str,
    faults: Vec<Fault>,
}

impl Reader<'_> {
    fn rules(&mut self, table: &DeTable<'_>) -> Vec<Rule> {
        let Some(found) = table.get("rules") else {
            return Vec::new();
        };
        let DeValue::Array(items) = found.get_ref() else {
            self.fault(
                found.span().start,
                "",
                "rules",
                "write each rule under [[rules]]".to_owned(),
            );
            return Vec::new();
        };
        let mut rules = Vec::new();
        for (index, item) in items.iter().enumerate() {
            let thing = format!("rule {}", index + 1);
            match item.get_ref() {
                DeValue::Table(table) => rules.push(self.rule(table, &thing)),
                _ => self.fault(
                    item.span().start,
                    &thing,
                    "",
                    "write each rule under [[rules]]".to_owned(),
                ),
            }
        }
        rules
    }

    fn rule(&mut self, table: &DeTable<'_>, thing: &str) -> Rule {
        self.unknown(table, thing, &["kind", "limit", "section", "standing"]);
        Rule {
            kind: self.word::<RuleKind>(table, thing, "kind"),
            limit: self.number(table, thing, "limit"),
            section: self.text(table, thing, "section"),
            standing: self.word::<RuleStanding>(table, thing, "standing"),
        }
    }

    /// A text; one that is missing stays empty, and the server says that it is needed.
    fn text(&mut self, table: &DeTable<'_>, thing: &str, key: &str) -> String {
        match table.get(key).map(|value| (value, value.get_ref())) {
            None => String::new(),
            Some((_, DeValue::String(text))) => text.to_string(),
            Some((value, _)) => {
                let written = self.written(value).to_owned();
                let description = format!("{} is not text; put it in quotes", quoted(&written));
                self.fault(value.span().start, thing, key, description);
                String::new()
            }
        }
    }

    /// A number with its digits as written, in quotes or without.
    fn number(&mut self, table: &DeTable<'_>, thing: &str, key: &str) -> String {
        match table.get(key).map(|value| (value, value.get_ref())) {
            None => String::new(),
            Some((_, DeValue::String(text))) => text.to_string(),
            Some((value, DeValue::Integer(_) | DeValue::Float(_))) => {
                self.written(value).to_owned()
            }
            Some((value, _)) => {
                let written = self.written(value).to_owned();
                let description = format!(
                    "{} is not a number; write one, such as 4.17",
                    quoted(&written)
                );
                self.fault(value.span().start, thing, key, description);
                String::new()
            }
        }
    }

    fn word<W: Word>(&mut self, table: &DeTable<'_>, thing: &str, key: &str) -> i32 {
        let text = self.text(table, thing, key);
        let found = word::read::<W>(&text).map_or(0, Into::into);
        if let Some(value) = table.get(key).filter(|_| found == 0 && !text.is_empty()) {
            let known = word::all::<W>().join(", ");
            let description = format!("{} is not one of {known}", quoted(&text));
            self.fault(value.span().start, thing, key, description);
        }
        found
    }

    fn unknown(&mut self, table: &DeTable<'_>, thing: &str, known: &[&str]) {
        for key in table
            .keys()
            .filter(|key| !known.contains(&key.get_ref().as_ref()))
        {
            let name = key.get_ref().to_string();
            let description = format!("this key is not known here; known are {}", known.join(", "));
            self.fault(key.span().start, thing, &name, description);
        }
    }

    fn written(&self, value: &Spanned<DeValue<'_>>) -> &str {
        self.text.get(value.span()).unwrap_or_default()
    }

    fn fault(&mut self, at: usize, thing: &str, key: &str, description: String) {
        let before = self.text.get(..at).unwrap_or(self.text);
        let line = before.matches('\n').count() + 1;
        self.faults.push(Fault {
            place: Some(Place {
                file: self.file.to_owned(),
                line: Some(line),
                thing: thing.to_owned(),
                key: key.to_owned(),
            }),
            field: String::new(),
            description,
        });
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_rule_file_of_the_help_is_read_with_its_digits() {
        let rule = |kind: RuleKind, limit: &str, section: &str, standing: RuleStanding| Rule {
            kind: kind.into(),
            limit: limit.to_owned(),
            section: section.to_owned(),
            standing: standing.into(),
        };
        let expected = RulePack {
            display_name: "Valley rules".to_owned(),
            jurisdiction: "the valley".to_owned(),
            rules: vec![
                rule(
                    RuleKind::ShrinkagePercentMax,
                    "4.170",
                    "section 3: one part in 24; read in the printed text",
                    RuleStanding::Read,
                ),
                rule(
                    RuleKind::RuptureKpaMin,
                    "344.74",
                    "section 7: 50 psi; from memory",
                    RuleStanding::FromMemory,
                ),
            ],
            ..RulePack::default()
        };
        assert_eq!(parse("valley.toml", EXAMPLE), Ok(expected));
    }

    fn told(text: &str) -> Vec<String> {
        let faults = parse("valley.toml", text).expect_err("faults");
        faults.iter().map(ToString::to_string).collect()
    }

    #[test]
    fn every_fault_of_a_rule_file_is_told_with_its_line() {
        let bad = EXAMPLE
            .replace("\"the valley\"", "7")
            .replace("limit = 4.170", "limit = true")
            .replace("\"read\"", "\"seen\"")
            .replace("section = \"section 7", "clause = \"section 7");
        assert_eq!(
            told(&bad),
            [
                "valley.toml:2: jurisdiction: \"7\" is not text; put it in quotes",
                "valley.toml:6: rule 1: limit: \"true\" is not a number; write one, such as 4.17",
                "valley.toml:8: rule 1: standing: \"seen\" is not one of read, reported, from-memory",
                "valley.toml:13: rule 2: clause: this key is not known here; known are kind, limit, section, standing",
            ]
        );
    }

    #[test]
    fn what_is_no_toml_is_told_at_its_line() {
        let told = told("display_name = \"Valley\"\nkind = = 3\n");
        assert_eq!(told.len(), 1);
        assert!(
            told[0].starts_with("valley.toml:2: not TOML: "),
            "{}",
            told[0]
        );
    }

    #[test]
    fn rules_stand_under_their_headers() {
        assert_eq!(
            told("rules = 3\n"),
            ["valley.toml:1: rules: write each rule under [[rules]]"]
        );
        assert_eq!(
            told("rules = [3]\n"),
            ["valley.toml:1: rule 1: write each rule under [[rules]]"]
        );
    }
}
