//! The text of a number: what is accepted at the door, and how a decimal is printed.
//! One grammar for job files, flags, proto fields and imports, stricter than the decimal library's own,
//! which takes `1_000` and `1e3` and shortens 40 digits without a word.
//! Units are read in `quantity`; rounding is in `round`.

use rust_decimal::Decimal;
use thiserror::Error;

/// Most digits before the point. With `PLACES_MAX` behind it a number has 27 digits, one fewer than a decimal can
/// hold exactly whatever those digits are.
const WHOLE_DIGITS_MAX: usize = 15;

/// Most digits after the point.
const PLACES_MAX: usize = 12;

/// Most characters of a bad number that a message repeats.
const FOUND_CHARACTERS_MAX: usize = 24;

/// Why a text is not a number here. Each message says what was found and what is accepted.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum NumberFault {
    /// No text at all.
    #[error("nothing was given where a number is needed, such as 6.20")]
    Empty,
    /// A blank before, after or inside the number.
    #[error("{found} has a blank in it; write the number without blanks, such as 1200.5")]
    Blank {
        /// The text, quoted and shortened.
        found: String,
    },
    /// An underscore between digits.
    #[error("{found} has an underscore in it; write the digits without separators, such as 1000")]
    Underscore {
        /// The text, quoted and shortened.
        found: String,
    },
    /// A comma, whether meant for thousands or for decimals.
    #[error(
        "{found} has a comma in it; write no thousands separator, and a point before the decimals, such as 1000.50"
    )]
    Comma {
        /// The text, quoted and shortened.
        found: String,
    },
    /// A plus sign in front.
    #[error("{found} has a plus sign; write a positive number without a sign, such as 6.20")]
    PlusSign {
        /// The text, quoted and shortened.
        found: String,
    },
    /// A power of ten.
    #[error("{found} has an exponent; write all the digits, such as 1500 for 1.5e3")]
    Exponent {
        /// The text, quoted and shortened.
        found: String,
    },
    /// Anything that is not ASCII digits with at most one point and one leading minus: `NaN`, words, other scripts' digits.
    #[error(
        "{found} is not a number; write digits 0 to 9 with a point before the decimals, such as 6.20"
    )]
    NotANumber {
        /// The text, quoted and shortened.
        found: String,
    },
    /// A point with no digit on one of its sides.
    #[error("{found} needs a digit on each side of its point, such as 0.5 or 5.0")]
    BarePoint {
        /// The text, quoted and shortened.
        found: String,
    },
    /// More digits before the point than are accepted.
    #[error("{found} has {digits} digits before its point; at most 15 are accepted")]
    TooLong {
        /// The text, quoted and shortened.
        found: String,
        /// How many digits stand before the point.
        digits: usize,
    },
    /// More digits after the point than are accepted.
    #[error("{found} has {places} decimals; at most 12 are accepted")]
    TooManyPlaces {
        /// The text, quoted and shortened.
        found: String,
        /// How many digits stand after the point.
        places: usize,
    },
}

/// Reads a number of the form `-?[0-9]{1,15}(\.[0-9]{1,12})?`, exactly and with its digits as written.
///
/// ```
/// use hod_units::{NumberFault, canonical, fixed, parse_decimal};
///
/// let length = parse_decimal("6.20")?;
/// assert_eq!(length.to_string(), "6.20"); // the digits as written
/// assert_eq!(canonical(length), "6.2");
///
/// let refused = parse_decimal("1_000").unwrap_err();
/// assert_eq!(
///     refused.to_string(),
///     "\"1_000\" has an underscore in it; write the digits without separators, such as 1000"
/// );
/// # Ok::<(), NumberFault>(())
/// ```
pub fn parse_decimal(text: &str) -> Result<Decimal, NumberFault> {
    // Right numbers are the rule and come by the hundred in a request, so only a wrong one pays for its diagnosis.
    if !is_number(text) {
        return Err(fault_of(text));
    }
    Decimal::from_str_exact(text)
        .map(unsigned_zero)
        .map_err(|_| fault_of(text))
}

/// Whether the text is of the accepted form.
fn is_number(text: &str) -> bool {
    let holds = |part: &str, most: usize| (1..=most).contains(&part.len()) && is_digits(part);
    let digits = text.strip_prefix('-').unwrap_or(text);
    match digits.split_once('.') {
        Some((whole, places)) => holds(whole, WHOLE_DIGITS_MAX) && holds(places, PLACES_MAX),
        None => holds(digits, WHOLE_DIGITS_MAX),
    }
}

fn is_digits(part: &str) -> bool {
    part.bytes().all(|byte| byte.is_ascii_digit())
}

/// What is wrong with a text that is no number. The order is that of the checks: a text with two faults is told the
/// first. The ways of writing that people and programs bring from elsewhere come before what is merely not a number.
fn fault_of(text: &str) -> NumberFault {
    if text.is_empty() {
        return NumberFault::Empty;
    }
    let found = quoted(text);
    if !text.contains(|c: char| c.is_ascii_digit()) {
        NumberFault::NotANumber { found }
    } else if text.contains(char::is_whitespace) {
        NumberFault::Blank { found }
    } else if text.contains('_') {
        NumberFault::Underscore { found }
    } else if text.contains(',') {
        NumberFault::Comma { found }
    } else if has_exponent(text) {
        NumberFault::Exponent { found }
    } else if text.starts_with('+') {
        NumberFault::PlusSign { found }
    } else {
        fault_of_digits(text, found)
    }
}

/// What is wrong with a text that has only its sign, its point and its digits left to be wrong.
fn fault_of_digits(text: &str, found: String) -> NumberFault {
    let digits = text.strip_prefix('-').unwrap_or(text);
    let (whole, places) = digits.split_once('.').unwrap_or((digits, "0"));
    if !is_digits(whole) || !is_digits(places) {
        NumberFault::NotANumber { found }
    } else if whole.is_empty() || places.is_empty() {
        NumberFault::BarePoint { found }
    } else if WHOLE_DIGITS_MAX < whole.len() {
        NumberFault::TooLong {
            found,
            digits: whole.len(),
        }
    } else {
        NumberFault::TooManyPlaces {
            found,
            places: places.len(),
        }
    }
}

/// Whether the text is written with a power of ten (`1e3`, `-2.5E-4`), and not a word that happens to hold an `e`.
fn has_exponent(text: &str) -> bool {
    let is_numeric = |part: &str| {
        part.contains(|c: char| c.is_ascii_digit())
            && part
                .chars()
                .all(|c| c.is_ascii_digit() || matches!(c, '+' | '-' | '.'))
    };
    text.split_once(['e', 'E'])
        .is_some_and(|(digits, power)| is_numeric(digits) && is_numeric(power))
}

/// Prints a decimal in its one canonical form: no exponent, no trailing zeros after the point, never `-0`.
///
/// Equal numbers print alike: `1.0` and `1.00` are equal decimals that the decimal library prints differently.
pub fn canonical(value: Decimal) -> String {
    unsigned_zero(value.normalize()).to_string()
}

/// Prints a decimal with at least `places` digits after its point, padding with zeros: `1234.5` at 2 is `1234.50`.
///
/// The value must have been rounded by [`crate::round`] already. This pads and never rounds: a value with more
/// digits than `places` prints them all, so that a missed rounding shows instead of hiding a cent.
///
/// ```
/// use hod_units::{NumberFault, fixed, parse_decimal};
///
/// assert_eq!(fixed(parse_decimal("1234.5")?, 2), "1234.50");
/// assert_eq!(fixed(parse_decimal("0.125")?, 2), "0.125"); // not rounded: say so, do not hide it
/// # Ok::<(), NumberFault>(())
/// ```
pub fn fixed(value: Decimal, places: u32) -> String {
    let mut text = canonical(value);
    let shown = text
        .split_once('.')
        .map_or(0, |(_, decimals)| decimals.len());
    let wanted = places as usize;
    if shown == 0 && 0 < wanted {
        text.push('.');
    }
    text.extend(std::iter::repeat_n('0', wanted.saturating_sub(shown)));
    text
}

/// The same value, with the sign of zero taken away: the library keeps `-0` apart in print, and people do not.
pub(crate) fn unsigned_zero(mut value: Decimal) -> Decimal {
    if value.is_zero() {
        value.set_sign_positive(true);
    }
    value
}

/// The text in double quotes for a message: shortened when long, with unprintable characters escaped so that
/// nothing typed can rewrite a terminal or a log.
pub(crate) fn quoted(text: &str) -> String {
    let mut quoted = String::from('"');
    for character in text.chars().take(FOUND_CHARACTERS_MAX) {
        match character {
            '"' | '\'' | '\\' => quoted.push(character),
            other => quoted.extend(other.escape_debug()),
        }
    }
    if text.chars().nth(FOUND_CHARACTERS_MAX).is_some() {
        quoted.push_str("...");
    }
    quoted.push('"');
    quoted
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn refusal(text: &str) -> NumberFault {
        parse_decimal(text).expect_err(text)
    }

    #[test]
    fn numbers_keep_the_digits_that_were_written() {
        for (text, canonical_text) in [
            ("6.20", "6.2"),
            ("0", "0"),
            ("-1.5", "-1.5"),
            ("007", "7"),
            ("450", "450"),
            ("1000", "1000"),
            ("0.000000000001", "0.000000000001"),
            (
                "999999999999999.999999999999",
                "999999999999999.999999999999",
            ),
            ("-999999999999999", "-999999999999999"),
        ] {
            let value = parse_decimal(text).expect(text);
            assert_eq!(canonical(value), canonical_text);
            assert_eq!(
                value.scale() as usize,
                text.split_once('.').map_or(0, |(_, places)| places.len())
            );
        }
    }

    #[test]
    fn every_other_way_of_writing_a_number_is_refused_by_its_name() {
        let found = |text: &str| format!("\"{text}\"");
        for (text, fault) in [
            ("", NumberFault::Empty),
            (
                " 6.2",
                NumberFault::Blank {
                    found: found(" 6.2"),
                },
            ),
            (
                "6.2 ",
                NumberFault::Blank {
                    found: found("6.2 "),
                },
            ),
            (
                "1 000",
                NumberFault::Blank {
                    found: found("1 000"),
                },
            ),
            (
                "1_000",
                NumberFault::Underscore {
                    found: found("1_000"),
                },
            ),
            (
                "1,000",
                NumberFault::Comma {
                    found: found("1,000"),
                },
            ),
            (
                "6,20",
                NumberFault::Comma {
                    found: found("6,20"),
                },
            ),
            (
                "+6.2",
                NumberFault::PlusSign {
                    found: found("+6.2"),
                },
            ),
            (
                "1e3",
                NumberFault::Exponent {
                    found: found("1e3"),
                },
            ),
            (
                "1E+3",
                NumberFault::Exponent {
                    found: found("1E+3"),
                },
            ),
            (
                "-2.5e-4",
                NumberFault::Exponent {
                    found: found("-2.5e-4"),
                },
            ),
            (
                "NaN",
                NumberFault::NotANumber {
                    found: found("NaN"),
                },
            ),
            (
                "inf",
                NumberFault::NotANumber {
                    found: found("inf"),
                },
            ),
            ("-", NumberFault::NotANumber { found: found("-") }),
            (".", NumberFault::NotANumber { found: found(".") }),
            (
                "--1",
                NumberFault::NotANumber {
                    found: found("--1"),
                },
            ),
            ("1-", NumberFault::NotANumber { found: found("1-") }),
            (
                "1.2.3",
                NumberFault::NotANumber {
                    found: found("1.2.3"),
                },
            ),
            (
                "0x1F",
                NumberFault::NotANumber {
                    found: found("0x1F"),
                },
            ),
            (
                "six",
                NumberFault::NotANumber {
                    found: found("six"),
                },
            ),
            (
                "1six",
                NumberFault::NotANumber {
                    found: found("1six"),
                },
            ),
            ("٣", NumberFault::NotANumber { found: found("٣") }),
            (
                "1٣",
                NumberFault::NotANumber {
                    found: found("1٣")
                },
            ),
            (
                "６",
                NumberFault::NotANumber {
                    found: found("６")
                },
            ),
            (
                "−1",
                NumberFault::NotANumber {
                    found: found("−1")
                },
            ),
            (".5", NumberFault::BarePoint { found: found(".5") }),
            ("5.", NumberFault::BarePoint { found: found("5.") }),
            (
                "-.5",
                NumberFault::BarePoint {
                    found: found("-.5"),
                },
            ),
            (
                "1234567890123456",
                NumberFault::TooLong {
                    found: found("1234567890123456"),
                    digits: 16,
                },
            ),
            (
                "0.1234567890123",
                NumberFault::TooManyPlaces {
                    found: found("0.1234567890123"),
                    places: 13,
                },
            ),
        ] {
            assert_eq!(refusal(text), fault, "{text}");
        }
    }

    #[test]
    fn a_number_with_several_faults_is_told_the_first_in_order() {
        assert!(matches!(refusal("1 0_0,0"), NumberFault::Blank { .. }));
        assert!(matches!(refusal("1_0,0e3"), NumberFault::Underscore { .. }));
        assert!(matches!(refusal("+1,0e3"), NumberFault::Comma { .. }));
        assert!(matches!(refusal("+1e3"), NumberFault::Exponent { .. }));
        assert!(matches!(
            refusal("+1234567890123456"),
            NumberFault::PlusSign { .. }
        ));
        assert!(matches!(
            refusal("1234567890123456.1234567890123"),
            NumberFault::TooLong { .. }
        ));
    }

    #[test]
    fn forty_digits_are_refused_and_not_shortened() {
        let text = "1234567890123456789012345678901234567890";
        assert_eq!(
            refusal(text).to_string(),
            "\"123456789012345678901234...\" has 40 digits before its point; at most 15 are accepted"
        );
    }

    #[test]
    fn a_message_repeats_no_control_characters() {
        assert_eq!(
            refusal("1\u{1b}[2J\u{202e}").to_string(),
            "\"1\\u{1b}[2J\\u{202e}\" is not a number; write digits 0 to 9 with a point before the decimals, such as 6.20"
        );
    }

    #[test]
    fn messages_name_the_limits_that_are_kept() {
        assert!(
            refusal("1234567890123456")
                .to_string()
                .contains(&format!("at most {WHOLE_DIGITS_MAX} "))
        );
        assert!(
            refusal("0.1234567890123")
                .to_string()
                .contains(&format!("at most {PLACES_MAX} "))
        );
    }

    #[test]
    fn zero_has_no_sign() {
        for text in ["-0", "-0.00", "0.00"] {
            let zero = parse_decimal(text).expect(text);
            assert_eq!(canonical(zero), "0");
            assert_eq!(fixed(zero, 2), "0.00");
            assert!(zero.is_sign_positive());
        }
        let mut negative_zero = Decimal::ZERO;
        negative_zero.set_sign_negative(true);
        assert_eq!(canonical(negative_zero), "0");
        assert_eq!(fixed(negative_zero, 2), "0.00");
    }

    #[test]
    fn fixed_pads_and_never_rounds() {
        for (text, places, expected) in [
            ("1234.5", 2, "1234.50"),
            ("1234.5", 0, "1234.5"),
            ("1234", 0, "1234"),
            ("1234", 3, "1234.000"),
            ("-0.5", 2, "-0.50"),
            ("0.125", 2, "0.125"),
            ("1.500", 2, "1.50"),
        ] {
            assert_eq!(fixed(parse_decimal(text).expect(text), places), expected);
        }
    }

    /// The grammar again, walked a character at a time, so that the parser is not judged by itself.
    fn is_in_the_grammar(text: &str) -> bool {
        let mut rest = text.chars().peekable();
        let mut digits = 0;
        rest.next_if_eq(&'-');
        while rest.next_if(|c| "0123456789".contains(*c)).is_some() {
            digits += 1;
        }
        if !(1..=15).contains(&digits) || rest.next_if_eq(&'.').is_none() {
            return (1..=15).contains(&digits) && rest.next().is_none();
        }
        let places: Vec<char> = rest.collect();
        (1..=12).contains(&places.len()) && places.iter().all(|c| "0123456789".contains(*c))
    }

    proptest! {
        #[test]
        fn printing_and_reading_give_the_same_number(text in "-?[0-9]{1,15}(\\.[0-9]{1,12})?") {
            let value = parse_decimal(&text).expect(&text);
            prop_assert_eq!(parse_decimal(&canonical(value)), Ok(value));
            prop_assert_eq!(parse_decimal(&fixed(value, 12)), Ok(value));
            prop_assert_eq!(canonical(parse_decimal(&canonical(value)).expect("canonical")), canonical(value));
        }

        #[test]
        fn exactly_the_grammar_is_accepted(text in "[-+]?[0-9]{0,17}[.,_ eE٣]?[-0-9.]{0,14}") {
            prop_assert_eq!(parse_decimal(&text).is_ok(), is_in_the_grammar(&text));
        }

        #[test]
        fn no_text_whatever_makes_it_panic(text in "\\PC*") {
            prop_assert_eq!(parse_decimal(&text).is_ok(), is_in_the_grammar(&text));
        }
    }
}
