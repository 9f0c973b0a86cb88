//! Texts that a spreadsheet would take for a formula. A program that opens a file runs a cell beginning with `=`, `+`,
//! `-` or `@`, so such a text is written with an apostrophe before it, and reading takes that apostrophe off again.
//!
//! The rule goes both ways without loss: a text of any number of apostrophes (none too) followed by one of the four gets
//! one more when it is written; a cell that has one at least, followed so, loses one when it is read. Every other text,
//! `'s Hertog` among them, is written and read as it stands.

/// What begins a formula.
const BEGINNINGS: [char; 4] = ['=', '+', '-', '@'];

/// The text as it is written in a cell.
///
/// ```
/// use hod_sheet::text::{defused, undone};
///
/// assert_eq!(defused("=1+1"), "'=1+1");
/// assert_eq!(defused("'=1+1"), "''=1+1");
/// assert_eq!(defused("'s Hertog"), "'s Hertog");
/// assert_eq!(undone("'=1+1"), "=1+1");
/// assert_eq!(undone("'s Hertog"), "'s Hertog");
/// ```
pub fn defused(text: &str) -> String {
    if begins_a_formula(text.trim_start_matches('\'')) {
        format!("'{text}")
    } else {
        text.to_owned()
    }
}

/// The text that a cell stands for.
pub fn undone(cell: &str) -> &str {
    match cell.strip_prefix('\'') {
        Some(text) if begins_a_formula(text.trim_start_matches('\'')) => text,
        _ => cell,
    }
}

fn begins_a_formula(text: &str) -> bool {
    text.starts_with(BEGINNINGS)
}
