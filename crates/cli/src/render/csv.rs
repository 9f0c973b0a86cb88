//! Comma-separated values: one header, a row for each thing, and no cell that a spreadsheet would take for a formula.
//! Quoted as RFC 4180 has it; lines end with a line feed alone.

use hod_units::parse_decimal;

/// Rows as they are; the first is the header.
pub fn row(cells: impl IntoIterator<Item = impl AsRef<str>>) -> String {
    let cells: Vec<String> = cells.into_iter().map(|text| cell(text.as_ref())).collect();
    let mut line = cells.join(",");
    line.push('\n');
    line
}

fn cell(text: &str) -> String {
    let text = defused(text);
    if text.contains(['"', ',', '\n', '\r']) {
        format!("\"{}\"", text.replace('"', "\"\""))
    } else {
        text
    }
}

/// A spreadsheet runs a text that starts with one of these signs; an apostrophe in front makes it a text again.
/// A number stays one: `-0.30` starts with a sign too.
fn defused(text: &str) -> String {
    let is_dangerous = text.starts_with(['=', '+', '-', '@', '\t', '\r']);
    if is_dangerous && parse_decimal(text).is_err() {
        format!("'{text}")
    } else {
        text.to_owned()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_cell_that_a_spreadsheet_would_run_is_defused_and_a_number_is_not() {
        for (text, cell) in [
            ("=1+1", "'=1+1"),
            ("+49 30", "'+49 30"),
            ("-cmd", "'-cmd"),
            ("@sum", "'@sum"),
            ("\tx", "'\tx"),
            ("-0.30", "-0.30"),
            ("6.20", "6.20"),
            ("Loam, sharp", "\"Loam, sharp\""),
            ("20'4\"", "\"20'4\"\"\""),
            ("=\"a\",b", "\"'=\"\"a\"\",b\""),
            ("two\nlines", "\"two\nlines\""),
            ("", ""),
        ] {
            assert_eq!(row([text]), format!("{cell}\n"));
        }
    }
}
