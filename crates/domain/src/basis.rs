//! How a figure came about: its numbers in order, each with its unit and source.
//!
//! A basis is worked strictly from left to right and can be worked again by anyone; it is put into words only where
//! it is shown.

use hod_units::Decimal;

use crate::unit::Unit;

/// How a term joins what stands before it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Joint {
    /// The first term.
    Start,
    /// Added.
    Plus,
    /// Taken away.
    Less,
    /// Multiplied.
    Times,
    /// Divided.
    Over,
    /// Increased by this percentage of itself.
    PlusPercent,
    /// This percentage of what stands before.
    PercentOf,
}

/// One number of a basis.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Term {
    /// How it joins the terms before it.
    pub joint: Joint,
    /// The number.
    pub value: Decimal,
    /// What it is counted in.
    pub unit: Unit,
    /// What it is: `placed volume`, `waste`.
    pub label: String,
    /// Where it came from; empty when it follows from the drawing.
    pub source: String,
}

/// How a figure came about.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Basis {
    /// The terms, from left to right.
    pub terms: Vec<Term>,
    /// How the result was brought to the quantity shown; empty when it was not.
    pub rounding: String,
}
