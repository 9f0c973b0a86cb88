//! Cautions as they are shown: a paragraph to each, in the order in which the server gives them, which is that of their
//! weight.

use hod_wire::v1::Caution;

use super::record::Record;
use super::table::paragraph;
use crate::name::short;

/// `Caution: house-cob: no trial has justified this mix`; a sentence that names what it is about needs it no second time.
fn words(caution: &Caution) -> String {
    let subject = short(&caution.subject);
    let is_said = caution.description.contains(&subject);
    if is_said {
        format!("Caution: {}", caution.description)
    } else {
        format!("Caution: {subject}: {}", caution.description)
    }
}

/// One to a line, for talk beside an answer that has no room for them.
pub(super) fn lines(cautions: &[Caution]) -> Vec<String> {
    cautions.iter().map(words).collect()
}

/// One to a paragraph, broken into lines that can be read; nothing when there are none.
pub(super) fn paragraphs(cautions: &[Caution]) -> Option<String> {
    let all = cautions
        .iter()
        .map(|caution| format!("{}\n", paragraph(&words(caution))));
    Some(all.collect::<String>()).filter(|text| !text.is_empty())
}

pub(super) fn record(caution: &Caution) -> Record {
    Record::new()
        .text("reason", &caution.reason)
        .text("subject", &caution.subject)
        .text("description", &caution.description)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn caution(subject: &str, description: &str) -> Caution {
        Caution {
            reason: "MIX_NOT_TESTED".to_owned(),
            subject: subject.to_owned(),
            description: description.to_owned(),
        }
    }

    #[test]
    fn a_caution_names_what_it_is_about_once() {
        for (subject, description, told) in [
            (
                "mixes/house-cob",
                "no trial has justified this mix",
                "Caution: house-cob: no trial has justified this mix",
            ),
            (
                "wall south",
                "wall south stands alone",
                "Caution: wall south stands alone",
            ),
            (
                "",
                "spoil stays on the site",
                "Caution: spoil stays on the site",
            ),
        ] {
            assert_eq!(words(&caution(subject, description)), told);
        }
    }

    #[test]
    fn the_first_caution_comes_first_and_a_long_one_is_broken() {
        let long = "dust ".repeat(30);
        let told = paragraphs(&[caution("", "one"), caution("", long.trim_end())]);
        let told = told.unwrap_or_default();
        assert!(told.starts_with("Caution: one\nCaution: dust"), "{told}");
        assert!(told.lines().all(|line| line.len() <= 100), "{told}");
        assert_eq!(paragraphs(&[]), None);
    }
}
