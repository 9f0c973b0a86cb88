//! The parts of a building and who does them.

use hod_domain::job::ScopeLine;
use hod_wire::v1 as wire;

use super::choice;

/// A part and who does it.
pub fn scope_line(line: &ScopeLine) -> wire::ScopeLine {
    wire::ScopeLine {
        part: line.part.as_str().to_owned(),
        display_name: line.display_name.clone(),
        holder: choice::scope_holder(line.holder),
        note: line.note.clone(),
    }
}
