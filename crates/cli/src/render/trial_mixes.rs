//! Trial mixes that are proposed, from the least clay to the most, and what must be kept in mind of them.

use hod_wire::v1::{ProposeTrialMixesResponse, ProposedMix};

use super::basis;
use super::record::{Record, Value};
use super::table::{Side, Table, paragraph};
use crate::output::Answer;

/// A proposal, and how much of it is shown.
pub struct TrialMixesAnswer {
    /// What the server answered.
    pub proposal: ProposeTrialMixesResponse,
    /// Whether the sums stand beside the figures.
    pub with_basis: bool,
}

impl Answer for TrialMixesAnswer {
    fn record(&self) -> Record {
        let notes = self.proposal.notes.clone();
        Record::new()
            .many("mixes", &self.proposal.mixes, mix)
            .field("notes", Value::Texts(notes))
    }

    fn header(&self) -> Vec<String> {
        flat(&ProposedMix::default())
            .into_iter()
            .map(|(name, _)| name)
            .collect()
    }

    fn rows(&self) -> Vec<Vec<String>> {
        let row = |mix: &ProposedMix| flat(mix).into_iter().map(|(_, value)| value).collect();
        self.proposal.mixes.iter().map(row).collect()
    }

    fn table(&self) -> String {
        let mut table = Table::new(&[
            ("Clay %", Side::Right),
            ("Sand to soil by mass", Side::Right),
            ("Parts of sand to one of soil", Side::Right),
            ("Buckets", Side::Left),
            ("Clay of those %", Side::Right),
        ]);
        for mix in &self.proposal.mixes {
            table.row([
                &mix.clay_percent,
                &mix.sand_to_soil_by_mass,
                &mix.sand_parts,
                &mix.buckets,
                &mix.buckets_clay_percent,
            ]);
            let words = basis::words(mix.basis.as_ref(), "");
            if self.with_basis && !words.is_empty() {
                table.note(&format!("= {words}"));
            }
        }
        let notes = self.beside_rows();
        let paragraphs: String = notes.iter().map(|note| paragraph(note) + "\n").collect();
        let table = table.to_string();
        if paragraphs.is_empty() {
            table
        } else {
            format!("{table}\n{paragraphs}")
        }
    }

    fn beside_rows(&self) -> Vec<String> {
        let note = |note: &String| format!("Note: {}", crate::text::plain(note));
        self.proposal.notes.iter().map(note).collect()
    }
}

fn flat(proposed: &ProposedMix) -> Vec<(String, String)> {
    mix(proposed).flat()
}

fn mix(mix: &ProposedMix) -> Record {
    Record::new()
        .text("clay_percent", &mix.clay_percent)
        .text("sand_to_soil_by_mass", &mix.sand_to_soil_by_mass)
        .text("sand_parts", &mix.sand_parts)
        .text("buckets", &mix.buckets)
        .text("buckets_clay_percent", &mix.buckets_clay_percent)
        .text("basis", &basis::words(mix.basis.as_ref(), ""))
}
