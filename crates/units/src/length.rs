//! Length, in metres inside: of walls, openings, thicknesses and lifts. Reads metric and feet-and-inches.
//! What a length is of, and how large it may be, is for the thing that has it to say.

use rust_decimal::{Decimal, dec};

use crate::number::{parse_decimal, quoted};
use crate::quantity::{QuantityFault, Unit, quantity, read, to_base};

quantity! {
    /// A length. Base unit: metre (m). May be negative: a sill below the datum is.
    ///
    /// ```
    /// use hod_units::{Length, LengthUnit, QuantityFault, canonical};
    ///
    /// // A wall drawn as 20 feet 4 inches: 244 in x 0.0254 m/in = 6.1976 m.
    /// let wall = Length::parse("20'4\"", LengthUnit::Metre)?;
    /// assert_eq!(wall.to_string(), "6.1976 m");
    /// assert_eq!(canonical(wall.mm()), "6197.6");
    ///
    /// // A bare number is in the unit that the caller names.
    /// assert_eq!(Length::parse("450", LengthUnit::Millimetre)?, Length::parse("0.450 m", LengthUnit::Foot)?);
    /// # Ok::<(), QuantityFault>(())
    /// ```
    Length in LengthUnit, from_metres / metres, read by read_length, printed as metres in Metre
}

impl Length {
    /// From millimetres.
    pub fn from_mm(value: Decimal) -> Self {
        // Shrinking cannot overflow, and is exact up to 25 decimals.
        Self(value * dec!(0.001))
    }

    /// In millimetres. A length beyond 7.9e25 m, which no reader here lets in, stays at the largest decimal.
    pub fn mm(self) -> Decimal {
        self.0.saturating_mul(dec!(1000))
    }
}

/// The units of length. The foot is the international one, 0.3048 m exactly, of 12 inches of 0.0254 m;
/// a yard is 3 feet (definitions of 1959, in NIST Handbook 44, Appendix C: from memory, re-computed).
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum LengthUnit {
    /// m
    Metre,
    /// cm
    Centimetre,
    /// mm
    Millimetre,
    /// ft, 0.3048 m
    Foot,
    /// in, 0.0254 m
    Inch,
    /// yd, 0.9144 m
    Yard,
}

impl Unit for LengthUnit {
    const ACCEPTED: &'static str = "m, cm, mm, ft, in or yd, or feet and inches such as 20'4\"";

    fn named(name: &str) -> Option<Self> {
        match name {
            "m" | "metre" | "metres" | "meter" | "meters" => Some(Self::Metre),
            "cm" => Some(Self::Centimetre),
            "mm" => Some(Self::Millimetre),
            "ft" | "foot" | "feet" | "'" => Some(Self::Foot),
            "in" | "inch" | "inches" | "\"" => Some(Self::Inch),
            "yd" | "yard" | "yards" => Some(Self::Yard),
            _ => None,
        }
    }

    fn symbol(self) -> &'static str {
        match self {
            Self::Metre => "m",
            Self::Centimetre => "cm",
            Self::Millimetre => "mm",
            Self::Foot => "ft",
            Self::Inch => "in",
            Self::Yard => "yd",
        }
    }

    fn size(self) -> (Decimal, Decimal) {
        let metres = match self {
            Self::Metre => dec!(1),
            Self::Centimetre => dec!(0.01),
            Self::Millimetre => dec!(0.001),
            Self::Foot => dec!(0.3048),
            Self::Inch => dec!(0.0254),
            Self::Yard => dec!(0.9144),
        };
        (metres, Decimal::ONE)
    }
}

/// Reads `6.2 m`, `450 mm`, `20'4"`, `20' 4 1/2"`, `20 ft 4 in`, `244 in`, into metres.
fn read_length(text: &str, default_unit: LengthUnit) -> Result<Decimal, QuantityFault> {
    let text = text.trim();
    let plain = text.replace(['′', '’'], "'").replace(['″', '”'], "\"");
    match FeetAndInches::cut(&plain) {
        Some(parts) => {
            let inches = parts.inches(text)?;
            to_base(inches, LengthUnit::Inch).ok_or_else(|| QuantityFault::TooLarge {
                found: quoted(text),
            })
        }
        None => read(&plain, default_unit),
    }
}

/// The texts of a length in feet and inches, or in inches with a fraction, before either is known to be a number.
struct FeetAndInches<'text> {
    is_negative: bool,
    feet: Option<&'text str>,
    /// What follows the feet, with its inch mark if it has one.
    inches: &'text str,
}

impl<'text> FeetAndInches<'text> {
    /// Cuts after the mark of the feet. `None` for a length in a single unit without a fraction, which is read as
    /// any other quantity is.
    fn cut(text: &'text str) -> Option<Self> {
        let (is_negative, size) = match text.strip_prefix('-') {
            Some(size) => (true, size),
            None => (false, text),
        };
        let feet_end = ["'", "feet", "foot", "ft"].iter().find_map(|mark| {
            let (feet, inches) = size.split_once(mark)?;
            Some((feet.trim(), inches.trim()))
        });
        match feet_end {
            Some((_, "")) => None,
            Some((feet, inches)) => Some(Self {
                is_negative,
                feet: Some(feet),
                inches,
            }),
            None => size.contains('/').then_some(Self {
                is_negative,
                feet: None,
                inches: size.trim(),
            }),
        }
    }

    /// The whole in inches; `written` is the text to quote in a refusal.
    fn inches(&self, written: &str) -> Result<Decimal, QuantityFault> {
        let too_large = || QuantityFault::TooLarge {
            found: quoted(written),
        };
        let Some(number) = ["\"", "inches", "inch", "in"]
            .iter()
            .find_map(|mark| self.inches.strip_suffix(mark))
        else {
            return Err(QuantityFault::InchMarkMissing {
                found: quoted(written),
            });
        };
        let inches = inches_with_fraction(number.trim(), written)?;
        let inches = match self.feet {
            None => inches,
            Some(feet) => {
                if feet.contains('.') {
                    return Err(QuantityFault::FeetNotWhole {
                        found: quoted(written),
                    });
                }
                if dec!(12) <= inches {
                    return Err(QuantityFault::InchesMakeAFoot {
                        found: quoted(written),
                    });
                }
                let feet = unsigned(feet)?;
                feet.checked_mul(dec!(12))
                    .and_then(|feet| feet.checked_add(inches))
                    .ok_or_else(too_large)?
            }
        };
        Ok(if self.is_negative { -inches } else { inches })
    }
}

/// Reads `4`, `4.5`, `1/2`, `4 1/2` or `4-1/2`.
fn inches_with_fraction(number: &str, written: &str) -> Result<Decimal, QuantityFault> {
    let Some((before, denominator)) = number.split_once('/') else {
        return unsigned(number);
    };
    let (whole, numerator) = match before.rsplit_once([' ', '-']) {
        Some((whole, numerator)) => (unsigned(whole.trim_end())?, numerator),
        None => (Decimal::ZERO, before),
    };
    let refused = || QuantityFault::NotATapeFraction {
        found: quoted(written),
    };
    let numerator: u32 = numerator.parse().map_err(|_| refused())?;
    let denominator: u32 = denominator.parse().map_err(|_| refused())?;
    let is_on_a_tape =
        matches!(denominator, 2 | 4 | 8 | 16 | 32 | 64) && 0 < numerator && numerator < denominator;
    if !is_on_a_tape || !whole.is_integer() {
        return Err(refused());
    }
    // A power of two below 128 divides out in at most six decimals.
    let fraction = Decimal::from(numerator) / Decimal::from(denominator);
    whole
        .checked_add(fraction)
        .ok_or_else(|| QuantityFault::TooLarge {
            found: quoted(written),
        })
}

/// A number inside a length, where the sign stands once in front of the whole.
fn unsigned(text: &str) -> Result<Decimal, QuantityFault> {
    if text.starts_with('-') {
        return Err(QuantityFault::Number(crate::NumberFault::NotANumber {
            found: quoted(text),
        }));
    }
    parse_decimal(text).map_err(QuantityFault::Number)
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::NumberFault;
    use crate::number::canonical;

    fn metres(text: &str) -> String {
        canonical(Length::parse(text, LengthUnit::Metre).expect(text).metres())
    }

    fn refusal(text: &str) -> QuantityFault {
        Length::parse(text, LengthUnit::Metre).expect_err(text)
    }

    #[test]
    fn lengths_are_read_as_people_write_them() {
        // Feet are 0.3048 m and inches 0.0254 m: 20'4" is 20 x 12 + 4 = 244 in, x 0.0254 = 6.1976 m.
        for (text, expected) in [
            ("6.20", "6.2"),
            ("6.2 m", "6.2"),
            ("6.2m", "6.2"),
            (" 6.2 m ", "6.2"),
            ("450 mm", "0.45"),
            ("450MM", "0.45"),
            ("45 cm", "0.45"),
            ("2 metres", "2"),
            ("20'4\"", "6.1976"),
            ("20' 4\"", "6.1976"),
            ("20′ 4″", "6.1976"),
            ("20’ 4”", "6.1976"),
            ("20 ft 4 in", "6.1976"),
            ("20ft 4in", "6.1976"),
            ("20 feet 4 inches", "6.1976"),
            ("244 in", "6.1976"),
            ("244\"", "6.1976"),
            // 244.5 x 0.0254
            ("20' 4 1/2\"", "6.2103"),
            ("20' 4-1/2\"", "6.2103"),
            ("20' 4.5\"", "6.2103"),
            // 0.75 x 0.0254
            ("3/4\"", "0.01905"),
            ("3/4 in", "0.01905"),
            ("20'", "6.096"),
            ("20.5 ft", "6.2484"),
            ("10 yd", "9.144"),
            ("0' 11 63/64\"", "0.304403125"),
            ("-1'6\"", "-0.4572"),
            ("-0.3 m", "-0.3"),
        ] {
            assert_eq!(metres(text), expected, "{text}");
        }
    }

    #[test]
    fn a_bare_number_is_in_the_callers_unit() {
        for (unit, expected) in [
            (LengthUnit::Metre, "12"),
            (LengthUnit::Centimetre, "0.12"),
            (LengthUnit::Millimetre, "0.012"),
            (LengthUnit::Foot, "3.6576"),
            (LengthUnit::Inch, "0.3048"),
            (LengthUnit::Yard, "10.9728"),
        ] {
            assert_eq!(
                canonical(Length::parse("12", unit).expect("a number").metres()),
                expected
            );
        }
    }

    #[test]
    fn a_length_that_could_mean_two_things_is_refused() {
        let found = |text: &str| format!("\"{text}\"");
        for (text, fault) in [
            (
                "20.5' 4\"",
                QuantityFault::FeetNotWhole {
                    found: found("20.5' 4\""),
                },
            ),
            (
                "20' 12\"",
                QuantityFault::InchesMakeAFoot {
                    found: found("20' 12\""),
                },
            ),
            (
                "20'4",
                QuantityFault::InchMarkMissing {
                    found: found("20'4"),
                },
            ),
            (
                "3/4",
                QuantityFault::InchMarkMissing {
                    found: found("3/4"),
                },
            ),
            (
                "20' 4 1/3\"",
                QuantityFault::NotATapeFraction {
                    found: found("20' 4 1/3\""),
                },
            ),
            (
                "20' 4 3/2\"",
                QuantityFault::NotATapeFraction {
                    found: found("20' 4 3/2\""),
                },
            ),
            (
                "20' 4 2/2\"",
                QuantityFault::NotATapeFraction {
                    found: found("20' 4 2/2\""),
                },
            ),
            (
                "20' 4 0/2\"",
                QuantityFault::NotATapeFraction {
                    found: found("20' 4 0/2\""),
                },
            ),
            (
                "20' 4.5 1/2\"",
                QuantityFault::NotATapeFraction {
                    found: found("20' 4.5 1/2\""),
                },
            ),
            (
                "1/0\"",
                QuantityFault::NotATapeFraction {
                    found: found("1/0\""),
                },
            ),
            (
                "20 cubits",
                QuantityFault::UnknownUnit {
                    found: found("cubits"),
                    accepted: LengthUnit::ACCEPTED,
                },
            ),
            (
                "6 m 20",
                QuantityFault::UnknownUnit {
                    found: found("m 20"),
                    accepted: LengthUnit::ACCEPTED,
                },
            ),
        ] {
            assert_eq!(refusal(text), fault, "{text}");
        }
    }

    #[test]
    fn a_bad_number_inside_a_length_is_told_as_one() {
        let found = |text: &str| format!("\"{text}\"");
        for (text, fault) in [
            ("", NumberFault::Empty),
            ("m", NumberFault::NotANumber { found: found("m") }),
            (
                "1_000 mm",
                NumberFault::Underscore {
                    found: found("1_000"),
                },
            ),
            (
                "6,2 m",
                NumberFault::Comma {
                    found: found("6,2"),
                },
            ),
            (
                "1 000 mm",
                NumberFault::Blank {
                    found: found("1 000 mm"),
                },
            ),
            (
                "1e3 mm",
                NumberFault::Exponent {
                    found: found("1e3"),
                },
            ),
            (
                "NaN m",
                NumberFault::NotANumber {
                    found: found("NaN"),
                },
            ),
            ("20' -4\"", NumberFault::NotANumber { found: found("-4") }),
            (
                "--20' 4\"",
                NumberFault::NotANumber {
                    found: found("-20"),
                },
            ),
            ("'4\"", NumberFault::Empty),
            ("20'\"", NumberFault::Empty),
        ] {
            assert_eq!(refusal(text), QuantityFault::Number(fault), "{text}");
        }
    }

    #[test]
    fn millimetres_and_metres_are_the_same_length() {
        assert_eq!(Length::from_mm(dec!(450)), Length::from_metres(dec!(0.45)));
        assert_eq!(canonical(Length::from_metres(dec!(0.4505)).mm()), "450.5");
        assert_eq!(Length::from_metres(Decimal::MAX).mm(), Decimal::MAX);
    }

    proptest! {
        #[test]
        fn printing_and_reading_give_the_same_length(micrometres in any::<i32>()) {
            let length = Length::from_metres(Decimal::new(i64::from(micrometres), 6));
            prop_assert_eq!(Length::parse(&length.to_string(), LengthUnit::Inch), Ok(length));
        }

        #[test]
        fn feet_and_inches_are_twelve_inches_a_foot(feet in 0_u32..10_000, inches in 0_u32..12) {
            let in_both = Length::parse(&format!("{feet}' {inches}\""), LengthUnit::Metre);
            let in_inches = Length::parse(&format!("{} in", feet * 12 + inches), LengthUnit::Metre);
            prop_assert_eq!(in_both, in_inches);
        }

        #[test]
        fn no_text_whatever_makes_it_panic(text in "[-0-9'\"./ ftinm]{0,20}") {
            if let Ok(length) = Length::parse(&text, LengthUnit::Metre) {
                prop_assert_eq!(Length::parse(&length.to_string(), LengthUnit::Metre).map(|_| ()), Ok(()));
            }
        }
    }
}
