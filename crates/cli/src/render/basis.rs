//! A basis put into words: `6.20 m length x 2.40 m height - 0.7725 m3 openings, rounded to 0.01`.
//! A basis is worked strictly from left to right, and a term that starts anew adds what it begins to what stands before
//! it; brackets are written where a reader's rules of arithmetic would work it otherwise.

use hod_wire::v1::{Basis, BasisTerm, Joint, Unit};

use crate::word;

/// The words of a basis; `currency` is what money in it is counted in.
pub fn words(basis: Option<&Basis>, currency: &str) -> String {
    let Some(basis) = basis else {
        return String::new();
    };
    let mut products: Vec<Product> = Vec::new();
    for term in &basis.terms {
        match products.last_mut() {
            Some(product) if term.joint() != Joint::Start => product.join(term, currency),
            _ => products.push(Product::start(told(term, currency))),
        }
    }
    let worked = match products.as_slice() {
        [one] => one.text.clone(),
        several => {
            let bracketed: Vec<String> = several.iter().map(Product::bracketed).collect();
            bracketed.join(" + ")
        }
    };
    match basis.rounding.as_str() {
        "" => worked,
        rounding => format!("{worked}, rounded {rounding}"),
    }
}

/// What stands from one start to the next, so far.
struct Product {
    text: String,
    /// Whether its last step binds looser than a multiplication would.
    is_additive: bool,
}

impl Product {
    fn start(text: String) -> Self {
        Self {
            text,
            is_additive: false,
        }
    }

    fn bracketed(&self) -> String {
        if self.is_additive {
            format!("({})", self.text)
        } else {
            self.text.clone()
        }
    }

    fn join(&mut self, term: &BasisTerm, currency: &str) {
        let (sign, is_additive) = match term.joint() {
            Joint::Unspecified | Joint::Start | Joint::Plus | Joint::PlusPercent => ("+", true),
            Joint::Less => ("-", true),
            Joint::Times | Joint::PercentOf => ("x", false),
            Joint::Over => ("/", false),
        };
        // A percentage is of all that stands before it, so it needs the brackets as a factor does.
        let needs_brackets = !is_additive || term.joint() == Joint::PlusPercent;
        let before = if needs_brackets {
            self.bracketed()
        } else {
            self.text.clone()
        };
        self.text = format!("{before} {sign} {}", told(term, currency));
        self.is_additive = is_additive;
    }
}

/// `2.40 m height (mixes/house-cob)`. A label that starts with a figure of its own stands in brackets.
fn told(term: &BasisTerm, currency: &str) -> String {
    let mut told = term.value.clone();
    let unit = unit(term, currency);
    if !unit.is_empty() {
        told.push_str(&format!(" {unit}"));
    }
    match term.label.as_str() {
        "" => {}
        label if label.starts_with(|c: char| c.is_ascii_digit()) => {
            told.push_str(&format!(" ({label})"));
        }
        label => told.push_str(&format!(" {label}")),
    }
    if !term.source.is_empty() {
        told.push_str(&format!(" ({})", term.source));
    }
    told
}

/// What a number is counted in, left out where its label says it: 268 batches, not 268 batch batches.
fn unit<'text>(term: &BasisTerm, currency: &'text str) -> &'text str {
    match term.unit() {
        Unit::Unspecified | Unit::Number => "",
        Unit::Percent => "%",
        Unit::Money => currency,
        Unit::KgPerM3 => "kg/m3",
        Unit::Each if !term.label.is_empty() => "",
        Unit::H if term.label.starts_with("hours") => "",
        unit => {
            let word = word::of::<Unit>(unit.into());
            let is_said = 2 < word.len() && term.label.starts_with(word);
            if is_said { "" } else { word }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn term(joint: Joint, value: &str, unit: Unit, label: &str, source: &str) -> BasisTerm {
        BasisTerm {
            joint: joint.into(),
            value: value.to_owned(),
            unit: unit.into(),
            label: label.to_owned(),
            source: source.to_owned(),
        }
    }

    fn told(terms: Vec<BasisTerm>, rounding: &str) -> String {
        let basis = Basis {
            terms,
            rounding: rounding.to_owned(),
        };
        words(Some(&basis), "EUR")
    }

    #[test]
    fn a_basis_reads_as_the_sum_it_is() {
        assert_eq!(
            told(
                vec![
                    term(Joint::Start, "6.20", Unit::M, "length", ""),
                    term(Joint::Times, "2.40", Unit::M, "height", ""),
                    term(Joint::Times, "0.425", Unit::M, "mean thickness", ""),
                    term(Joint::Less, "0.7725", Unit::M3, "openings", ""),
                ],
                ""
            ),
            "6.20 m length x 2.40 m height x 0.425 m mean thickness - 0.7725 m3 openings"
        );
    }

    #[test]
    fn brackets_stand_where_left_to_right_is_not_how_a_reader_would_work_it() {
        assert_eq!(
            told(
                vec![
                    term(Joint::Start, "20.5", Unit::M3, "placed volume", ""),
                    term(
                        Joint::PlusPercent,
                        "5",
                        Unit::Percent,
                        "waste",
                        "mixes/house-cob"
                    ),
                    term(Joint::Over, "42.5", Unit::L, "yield", "mixes/house-cob"),
                ],
                "up to a whole batch"
            ),
            "(20.5 m3 placed volume + 5 % waste (mixes/house-cob)) / 42.5 l yield (mixes/house-cob), rounded up to a whole batch"
        );
        assert_eq!(
            told(
                vec![
                    term(Joint::Start, "100.00", Unit::Money, "materials", ""),
                    term(Joint::Plus, "50.00", Unit::Money, "labour", ""),
                    term(
                        Joint::PercentOf,
                        "8",
                        Unit::Percent,
                        "site overhead",
                        "regions/west"
                    ),
                ],
                "to 0.01"
            ),
            "(100.00 EUR materials + 50.00 EUR labour) x 8 % site overhead (regions/west), rounded to 0.01"
        );
        assert_eq!(
            told(
                vec![
                    term(Joint::Start, "1", Unit::Number, "", ""),
                    term(Joint::Less, "2", Unit::Number, "", ""),
                    term(Joint::Plus, "3", Unit::Number, "", ""),
                    term(Joint::PlusPercent, "4", Unit::Percent, "", ""),
                ],
                ""
            ),
            "(1 - 2 + 3) + 4 %"
        );
    }

    #[test]
    fn what_is_begun_anew_is_added() {
        assert_eq!(
            told(
                vec![
                    term(Joint::Start, "2", Unit::Each, "doors", ""),
                    term(Joint::Start, "3", Unit::Each, "windows", ""),
                    term(Joint::Times, "1.5", Unit::H, "", ""),
                ],
                ""
            ),
            "2 doors + 3 windows x 1.5 h"
        );
        // (6 + 10 %) + (20 + 10 %) = 28.6, which without brackets nobody could tell.
        let ten_percent = || term(Joint::PlusPercent, "10", Unit::Percent, "", "");
        assert_eq!(
            told(
                vec![
                    term(Joint::Start, "6", Unit::M2, "", ""),
                    ten_percent(),
                    term(Joint::Start, "20", Unit::M2, "", ""),
                    ten_percent(),
                ],
                ""
            ),
            "(6 m2 + 10 %) + (20 m2 + 10 %)"
        );
        assert_eq!(words(None, "EUR"), "");
    }
}
