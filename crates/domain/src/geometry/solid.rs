//! A wall as a solid: its centre line, top, faces and cuts together, and its level section at a height.
//! Openings are not taken out here.

use super::cut::{Cut, Shape};
use super::overlap::{Overlap, WallEnd};
use super::path::CentreLine;
use super::profile::Top;
use super::quadrature::{Care, Cubic, Series, Triple, gauss_kronrod, less, plus};
use super::section::{Faces, Linear, Side};

/// A wall between its faces, cuts and top.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Solid {
    pub(super) centre: CentreLine,
    pub(super) top: Top,
    pub(super) faces: Faces,
    /// At the start and at the far end.
    pub(super) cuts: [Cut; 2],
    /// With the wall at the same end, where both rise above their corner.
    pub(super) overlaps: [Option<Box<Overlap>>; 2],
}

/// How the section of a solid changes between two heights with no break in between.
pub(super) enum Law<'s> {
    /// As a cubic at most.
    Even(Cubic),
    /// Smoothly.
    Smooth(Box<Series>),
    /// In no simple way.
    Hard(&'s Solid),
    /// In some way, less what neighbours have of the corners.
    Shared(Box<Law<'s>>, &'s Solid),
}

/// An overlap is nothing over much of the height that it is looked for in, and has kinks where its sides change.
const OVERLAP: Care = Care {
    tolerance: 1e-11,
    halvings: 1,
};

impl Law<'_> {
    /// Integral of the section between two heights: volume (m3), and the two faces as they look from the side (m2),
    /// without their slope.
    pub(super) fn between(&self, from: f64, to: f64) -> Triple {
        match self {
            Self::Even(cubic) => cubic.between(from, to),
            Self::Smooth(series) => series.between(from, to),
            Self::Hard(solid) => {
                gauss_kronrod(from, to, Care::USUAL, &|z| solid.section_of_cuts(z))
            }
            Self::Shared(whole, solid) => {
                let taken = gauss_kronrod(from, to, OVERLAP, &|z| solid.taken(z));
                less(whole.between(from, to), taken)
            }
        }
    }
}

impl Solid {
    /// Plan area at a height (m2) and the lengths of the left and right face there (m).
    pub(super) fn section(&self, z: f64) -> Triple {
        less(self.section_of_cuts(z), self.taken(z))
    }

    /// What neighbours have of it above its corners, at a height.
    fn taken(&self, z: f64) -> Triple {
        let overlaps = self.overlaps.iter().flatten();
        overlaps
            .filter(|overlap| overlap.from < z && z < overlap.to)
            .fold([0.0; 3], |sum, overlap| plus(sum, overlap.taken(z)))
    }

    /// As [`Self::section`], before anything is shared with a neighbour above a corner.
    ///
    /// On every lane along the wall it reaches from the start's cut to the far end's, both kept within the reach of
    /// the top at this height. So each end has its own part in the area, and the centre line's length the rest.
    fn section_of_cuts(&self, z: f64) -> Triple {
        let length = self.centre.length;
        let (from, to) = self.top.reach(z);
        let start = self.cuts[0].part(&self.faces, z, from, to);
        let end = self.cuts[1].part(&self.faces, z, from - length, to - length);
        let area = self.faces.swept(z) * length + end.area - start.area;
        let along =
            |side, start: f64, end: f64| (length + end - start) * self.faces.stretch(side).at(z);
        [
            area,
            along(Side::Left, start.left, end.left),
            along(Side::Right, start.right, end.right),
        ]
    }

    /// The law of the section between two heights with no break in between.
    pub(super) fn law(&self, from: f64, to: f64) -> Law<'_> {
        let middle = 0.5 * (from + to);
        let whole = self.law_of_cuts(from, to);
        let shares = |overlap: &Overlap| overlap.from < middle && middle < overlap.to;
        if self
            .overlaps
            .iter()
            .flatten()
            .any(|overlap| shares(overlap))
        {
            Law::Shared(Box::new(whole), self)
        } else {
            whole
        }
    }

    fn law_of_cuts(&self, from: f64, to: f64) -> Law<'_> {
        let section = |z| self.section_of_cuts(z);
        if self.is_even(0.5 * (from + to)) {
            Law::Even(Cubic::through(from, to, section))
        } else {
            let smooth = Series::through(from, to, &section);
            smooth.map_or(Law::Hard(self), |series| Law::Smooth(Box::new(series)))
        }
    }

    /// Whether the section is a cubic of the height around one: the thickness times the mean radius is a quadratic, and
    /// the length between square cuts, even cuts and slopes changes evenly.
    fn is_even(&self, z: f64) -> bool {
        let (from, to) = self.top.reach(z);
        let length = self.centre.length;
        self.cuts[0].is_even(z, from, to) && self.cuts[1].is_even(z, from - length, to - length)
    }

    /// The heights at which the section changes its law, in order, from 0 to the top.
    pub(super) fn breaks(&self, into: &mut Vec<f64>) {
        into.clear();
        let peak = self.top.peak;
        into.extend([0.0, peak]);
        let mut add = |z: f64| {
            if 0.0 < z && z < peak {
                into.push(z);
            }
        };
        if !self.top.is_level() {
            add(self.top.start);
            add(self.top.end);
        }
        for end in WallEnd::BOTH {
            let cut = &self.cuts[end.index()];
            add(cut.below);
            if !self.top.is_level() {
                self.slope_crossings(cut, end)
                    .into_iter()
                    .for_each(&mut add);
            }
        }
        for overlap in self.overlaps.iter().flatten() {
            add(overlap.from);
            add(overlap.to);
            overlap.withdrawals.into_iter().for_each(&mut add);
        }
        into.sort_by(f64::total_cmp);
        into.dedup();
    }

    /// The heights at which a slope of the top passes a cut: up to there the cut holds, from there on the slope. Not
    /// finite where there is none.
    fn slope_crossings(&self, cut: &Cut, end: WallEnd) -> [f64; 4] {
        let position = end.position(self.centre.length);
        match &cut.shape {
            Shape::Square => [f64::NAN; 4],
            Shape::Even { left, right } => {
                let (up, down) = self.top.slopes();
                let crossing = |slope: Linear, face: &Linear| {
                    (face.base + position - slope.base) / (slope.per_metre - face.per_metre)
                };
                [
                    crossing(up, left),
                    crossing(up, right),
                    crossing(down, left),
                    crossing(down, right),
                ]
            }
            Shape::Met(_) => self.slope_crossings_nearly(cut, position),
        }
    }

    /// As [`Self::slope_crossings`], of a cut that is not even: on the left face, on the right and midway.
    ///
    /// The height of the top above the cut, where the cut is at that height, by going round a few times: a cut moves so
    /// much less along the wall than the height that it moves with. It need not be exact, for it only keeps the stretch
    /// where the slope curtails the cut from being lost between a few points of a long one.
    fn slope_crossings_nearly(&self, cut: &Cut, position: f64) -> [f64; 4] {
        let mut heights = [cut.below.min(self.top.peak); 3];
        for _ in 0..4 {
            for (lane, height) in heights.iter_mut().enumerate() {
                let (left, right) = cut.positions(&self.faces, *height);
                let middle = cut.middle(&self.faces, *height);
                *height = self.top.height(position + [left, right, middle][lane]);
            }
        }
        [heights[0], heights[1], heights[2], f64::NAN]
    }
}
