//! Tables for people: figures to the right and point under point, a rule under the headings, and every row on one
//! line, however wide.
//! What stands in them is for the caller; units and currency belong in the headings.

use comfy_table::{CellAlignment, ContentArrangement, LineStyle, Row, TableStyle};
use hod_units::parse_decimal;

use crate::text::plain;

/// Headings ruled off, nothing else drawn: it reads on every terminal and prints well.
const RULED: TableStyle = TableStyle::new()
    .header_separator(LineStyle::none().fill('-'))
    .bottom_border(LineStyle::none());

/// To which side a column's cells stand.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Side {
    /// Words.
    Left,
    /// Figures.
    Right,
}

/// A table, row by row.
pub struct Table {
    headings: Vec<(String, Side)>,
    rows: Vec<Vec<String>>,
    /// Under which row, counted from 0, a line of text stands that belongs to no column.
    notes: Vec<(usize, String)>,
    /// Rows above which a rule is drawn.
    rules: Vec<usize>,
}

impl Table {
    /// With headings and the side of each column.
    pub fn new(headings: &[(&str, Side)]) -> Self {
        Self {
            headings: headings
                .iter()
                .map(|(heading, side)| ((*heading).to_owned(), *side))
                .collect(),
            rows: Vec::new(),
            notes: Vec::new(),
            rules: Vec::new(),
        }
    }

    /// A row of cells; those left out at the end stay empty.
    pub fn row(&mut self, cells: impl IntoIterator<Item = impl AsRef<str>>) -> &mut Self {
        let cells = cells.into_iter().map(|cell| plain(cell.as_ref()));
        let padded = cells
            .chain(std::iter::repeat(String::new()))
            .take(self.headings.len());
        self.rows.push(padded.collect());
        self
    }

    /// A rule above the next row: what follows is a sum.
    pub fn rule(&mut self) -> &mut Self {
        self.rules.push(self.rows.len());
        self
    }

    /// A text under the row just added, across all columns, set in and broken into lines that can be read.
    pub fn note(&mut self, text: &str) -> &mut Self {
        self.notes
            .push((self.rows.len().saturating_sub(1), note(text)));
        self
    }

    /// As it is drawn: figures with their points under one another.
    fn drawn(&self) -> comfy_table::Table {
        let mut table = comfy_table::Table::new();
        table
            .load_style(RULED)
            .set_content_arrangement(ContentArrangement::Disabled)
            .set_header(self.headings.iter().map(|(heading, _)| heading));
        for (index, (_, side)) in self.headings.iter().enumerate() {
            if let Some(column) = table.column_mut(index) {
                column.set_padding((0, 2));
                column.set_cell_alignment(match side {
                    Side::Left => CellAlignment::Left,
                    Side::Right => CellAlignment::Right,
                });
            }
        }
        let tails: Vec<usize> = (0..self.headings.len())
            .map(|column| self.longest_tail(column))
            .collect();
        for row in &self.rows {
            let cells = row
                .iter()
                .zip(&tails)
                .map(|(cell, tail)| match tail_of(cell) {
                    Some(own) => format!("{cell}{}", " ".repeat(tail.saturating_sub(own))),
                    None => cell.clone(),
                });
            table.add_row(Row::from(cells.collect::<Vec<_>>()));
        }
        table
    }

    /// How much of a column's figures stands behind the last digit before the point, at the most.
    fn longest_tail(&self, column: usize) -> usize {
        match self.headings.get(column) {
            Some((_, Side::Right)) => self
                .rows
                .iter()
                .filter_map(|row| tail_of(row.get(column)?))
                .max()
                .unwrap_or(0),
            Some((_, Side::Left)) | None => 0,
        }
    }
}

/// How many characters of a figure stand behind its whole digits; nothing for what is no figure.
fn tail_of(cell: &str) -> Option<usize> {
    parse_decimal(cell).ok()?;
    Some(cell.find('.').map_or(0, |point| cell.len() - point))
}

/// How far a note is set in; its further lines are so twice.
const NOTE_INDENT: &str = "      ";

/// Where the lines of a note end.
const NOTE_COLUMNS: usize = 100;

/// A note broken into lines at its blanks, without a line feed at its end.
pub fn note(text: &str) -> String {
    broken(text, NOTE_INDENT, &NOTE_INDENT.repeat(2))
}

/// A sentence of a list, broken likewise.
pub fn list_item(text: &str) -> String {
    broken(&format!("- {text}"), "  ", "    ")
}

/// A paragraph broken likewise, its further lines set in.
pub fn paragraph(text: &str) -> String {
    broken(text, "", NOTE_INDENT)
}

fn broken(text: &str, first_indent: &str, further_indent: &str) -> String {
    let mut lines: Vec<String> = Vec::new();
    let mut line = first_indent.to_owned();
    for word in plain(text).split(' ') {
        let has_words = line.trim() != "";
        if has_words && NOTE_COLUMNS < line.chars().count() + word.chars().count() {
            lines.push(line.trim_end().to_owned());
            line = further_indent.to_owned();
        }
        line.push_str(word);
        line.push(' ');
    }
    lines.push(line.trim_end().to_owned());
    lines.join("\n")
}

/// Each line trimmed, with a line feed at its end.
impl std::fmt::Display for Table {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        // Headings and the rule below them come first; every row is one line.
        let table = self.drawn();
        let mut lines = table.lines();
        let (heading, rule) = (
            lines.next().unwrap_or_default(),
            lines.next().unwrap_or_default(),
        );
        let width = lines_width(&heading, &rule);
        let rule = "-".repeat(width);
        writeln!(f, "{}\n{rule}", heading.trim_end())?;
        for (index, line) in lines.enumerate() {
            if self.rules.contains(&index) {
                writeln!(f, "{rule}")?;
            }
            writeln!(f, "{}", line.trim_end())?;
            for (_, note) in self.notes.iter().filter(|(under, _)| *under == index) {
                writeln!(f, "{note}")?;
            }
        }
        Ok(())
    }
}

/// The rule is as long as the table is wide, without the blanks that pad its last column.
fn lines_width(heading: &str, rule: &str) -> usize {
    rule.chars()
        .count()
        .saturating_sub(2)
        .max(heading.trim_end().chars().count())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn figures_stand_to_the_right_and_a_note_under_its_row() {
        let mut table = Table::new(&[("Wall", Side::Left), ("Net m3", Side::Right)]);
        table
            .row(["south", "5.55"])
            .note("6.20 m x 2.40 m")
            .row(["a long name", "12.00"])
            .rule()
            .row(["Total", "17.55"]);
        assert_eq!(
            table.to_string(),
            "Wall         Net m3\n\
             -------------------\n\
             south          5.55\n      6.20 m x 2.40 m\n\
             a long name   12.00\n\
             -------------------\n\
             Total         17.55\n"
        );
    }

    #[test]
    fn figures_stand_point_under_point_however_many_places_they_have() {
        let mut table = Table::new(&[
            ("Item", Side::Left),
            ("Quantity", Side::Right),
            ("Price", Side::Right),
        ]);
        table
            .row(["earth", "15.71", "3.60"])
            .row(["bales", "24", "0.0125"])
            .row(["tax", "", "none"])
            .row(["8", "-8.5", "7"]);
        assert_eq!(
            table.to_string(),
            "Item   Quantity   Price\n\
             -----------------------\n\
             earth     15.71  3.60\n\
             bales     24     0.0125\n\
             tax                none\n\
             8         -8.5   7\n"
        );
    }

    #[test]
    fn a_long_note_is_broken_at_its_blanks() {
        let text = "0123456789 ".repeat(12);
        assert_eq!(
            note(text.trim_end()),
            format!(
                "      {}\n            {}",
                "0123456789 ".repeat(8).trim_end(),
                "0123456789 ".repeat(4).trim_end()
            )
        );
        let endless = "x".repeat(150);
        assert_eq!(note(&endless), format!("      {endless}"));
    }

    #[test]
    fn a_cell_stays_on_its_line() {
        let mut table = Table::new(&[("Note", Side::Left)]);
        table.row(["two\nlines"]);
        assert_eq!(table.to_string(), "Note\n----------\ntwo\\nlines\n");
    }
}
