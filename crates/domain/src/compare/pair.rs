//! Which line of the one estimate is which of the other. What a difference between them means is for `row`.

use std::collections::{HashMap, VecDeque};

use crate::estimate::LineKind;
use crate::id::ScopePart;
use crate::quote::{PricedEstimate, PricedLine};
use crate::unit::Unit;

/// A line that stands in both, or in one.
#[derive(Debug, Clone, Copy)]
pub(super) struct Pair<'a> {
    pub kind: LineKind,
    /// How many like it stand before it.
    pub nth: usize,
    pub before: Option<&'a PricedLine>,
    pub after: Option<&'a PricedLine>,
}

/// By what a line is known again. A step of the build-up is known by its kind, whatever it is called; a tax and an allowance
/// by their label, whatever they are a share of.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
struct Key<'a> {
    kind: LineKind,
    item: &'a str,
    unit: Option<Unit>,
}

impl<'a> Key<'a> {
    fn of(line: &'a PricedLine) -> Self {
        let (item, unit) = match line.kind {
            LineKind::Overhead
            | LineKind::Contingency
            | LineKind::Profit
            | LineKind::Discount
            | LineKind::MinimumCharge
            | LineKind::Rounding => ("", None),
            LineKind::Tax => (line.item.as_str(), None),
            _ => (line.item.as_str(), line.unit_price.map(|_| line.unit)),
        };
        Self {
            kind: line.kind,
            item,
            unit,
        }
    }
}

/// All lines of both, in the order of an estimate: first those that were there before, then those that are new.
pub(super) fn pairs<'a>(before: &'a PricedEstimate, after: &'a PricedEstimate) -> Vec<Pair<'a>> {
    let mut taken = vec![None; before.lines.len()];
    let mut free: Vec<bool> = vec![true; after.lines.len()];
    // Of two lines alike, the one for the same part of the scope is the same.
    match_up(&mut taken, &mut free, before, after, |line| {
        (Key::of(line), line.part.as_ref())
    });
    match_up(&mut taken, &mut free, before, after, |line| {
        (Key::of(line), None)
    });
    let mut pairs = Vec::with_capacity(before.lines.len());
    let mut counts: HashMap<Key, usize> = HashMap::new();
    let mut put = |before: Option<&'a PricedLine>, after: Option<&'a PricedLine>| {
        if let Some(line) = before.or(after) {
            let nth = counts.entry(Key::of(line)).or_default();
            pairs.push(Pair {
                kind: line.kind,
                nth: *nth,
                before,
                after,
            });
            *nth += 1;
        }
    };
    for (line, at) in before.lines.iter().zip(&taken) {
        put(Some(line), at.map(|at: usize| &after.lines[at]));
    }
    for (line, _) in after.lines.iter().zip(&free).filter(|(_, free)| **free) {
        put(None, Some(line));
    }
    pairs.sort_by_key(|pair| pair.kind.place());
    pairs
}

/// Gives every line of the one that has none yet the first free one of the other that is known by the same.
fn match_up<'a>(
    taken: &mut [Option<usize>],
    free: &mut [bool],
    before: &'a PricedEstimate,
    after: &'a PricedEstimate,
    known_by: impl Fn(&'a PricedLine) -> (Key<'a>, Option<&'a ScopePart>),
) {
    let mut waiting: HashMap<_, VecDeque<usize>> = HashMap::new();
    for (at, line) in after.lines.iter().enumerate().filter(|(at, _)| free[*at]) {
        waiting.entry(known_by(line)).or_default().push_back(at);
    }
    for (line, taken) in before
        .lines
        .iter()
        .zip(taken)
        .filter(|(_, taken)| taken.is_none())
    {
        let found = waiting
            .get_mut(&known_by(line))
            .and_then(VecDeque::pop_front);
        if let Some(at) = found {
            free[at] = false;
            *taken = Some(at);
        }
    }
}
