//! Text from outside made fit for a terminal and a message: nothing typed or sent can move a cursor or forge a line, and
//! a slip of the pen is told with the word that was meant.

/// Most characters of a bad text that a message repeats.
const FOUND_CHARACTERS_MAX: usize = 40;

/// A longer word is no slip of a known one.
const NEAR_CHARACTERS_MAX: usize = 40;

/// Only a word that is more alike than this is named as the nearest, from 0 to 1.
const NEAR_LIKENESS_MIN: f64 = 0.75;

/// One line without control characters; those there are stand escaped.
pub fn plain(text: &str) -> String {
    let mut plain = String::with_capacity(text.len());
    for character in text.chars() {
        if character.is_control() || is_direction_mark(character) {
            plain.extend(character.escape_debug());
        } else {
            plain.push(character);
        }
    }
    plain
}

/// `1 wall`, `4 walls`.
pub fn counted(count: usize, one: &str, several: &str) -> String {
    format!("{count} {}", if count == 1 { one } else { several })
}

/// In double quotes for a message: plain, and shortened when long.
pub fn quoted(text: &str) -> String {
    let shown: String = text.chars().take(FOUND_CHARACTERS_MAX).collect();
    let more = if shown.len() < text.len() { "..." } else { "" };
    format!("\"{}{more}\"", plain(&shown))
}

/// The known word that is most like one that is not known, when one is like it at all.
pub fn nearest<'known>(text: &str, known: &[&'known str]) -> Option<&'known str> {
    if NEAR_CHARACTERS_MAX < text.len() {
        return None;
    }
    known
        .iter()
        .map(|known| {
            (
                strsim::normalized_damerau_levenshtein(text, known)
                    .max(strsim::jaro_winkler(text, known)),
                *known,
            )
        })
        .filter(|(likeness, _)| NEAR_LIKENESS_MIN < *likeness)
        .max_by(|(one, _), (other, _)| one.total_cmp(other))
        .map(|(_, known)| known)
}

/// Marks that turn the direction of writing and so could make a line read other than it is.
fn is_direction_mark(character: char) -> bool {
    matches!(character, '\u{200e}' | '\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}')
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nothing_sent_can_move_the_cursor() {
        assert_eq!(plain("a\u{1b}[2Jb\nc"), "a\\u{1b}[2Jb\\nc");
        assert_eq!(plain("Lehm, argile, cob"), "Lehm, argile, cob");
    }

    #[test]
    fn one_thing_is_not_several() {
        assert_eq!(counted(0, "batch", "batches"), "0 batches");
        assert_eq!(counted(1, "batch", "batches"), "1 batch");
        assert_eq!(counted(2, "batch", "batches"), "2 batches");
    }

    #[test]
    fn a_long_text_is_shortened_in_a_message() {
        assert_eq!(quoted("short"), "\"short\"");
        assert_eq!(
            quoted(&"x".repeat(50)),
            format!("\"{}...\"", "x".repeat(40))
        );
    }
}
