//! What stands between the levels of a wall's lifts: the solid integrated piece by piece, and its voids taken out.
//! Volumes and faces only, in floating point; what becomes of them is for `measure`.

use super::displaced::Void;
use super::quadrature::{Triple, less, plus};
use super::section::Side;
use super::solid::Solid;

/// What stands between two levels.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Band {
    /// m3
    pub(super) gross: f64,
    /// Without openings and niches: earth (m3), and the left and right face on their true slope (m2).
    pub(super) net: Triple,
}

/// The bands between these levels, of a solid whose section changes its law at these breaks.
pub(super) fn bands(
    solid: &Solid,
    levels: &[f64],
    breaks: &[f64],
    voids: &[Void],
    into: &mut Vec<Band>,
) {
    whole(solid, levels, breaks, into);
    let slopes = [
        1.0,
        solid.faces.slope(Side::Left),
        solid.faces.slope(Side::Right),
    ];
    for band in into.iter_mut() {
        band.net = [0, 1, 2].map(|i| band.net[i] * slopes[i]);
    }
    for void in voids {
        take_out(void, solid, levels, into);
    }
}

/// Integrates each piece between two breaks, level by level.
fn whole(solid: &Solid, levels: &[f64], breaks: &[f64], into: &mut Vec<Band>) {
    into.clear();
    let mut upper = levels[1..].iter().copied();
    let mut sum = [0.0; 3];
    let mut next = upper.next();
    for piece in breaks.windows(2) {
        let law = solid.law(piece[0], piece[1]);
        let mut from = piece[0];
        while let Some(level) = next.filter(|_| from < piece[1]) {
            let to = level.min(piece[1]);
            sum = plus(sum, law.between(from, to));
            from = to;
            if level <= to {
                into.push(Band {
                    gross: sum[0],
                    net: sum,
                });
                sum = [0.0; 3];
                next = upper.next();
            }
        }
    }
}

/// Takes a void out of the bands that it crosses.
fn take_out(void: &Void, solid: &Solid, levels: &[f64], bands: &mut [Band]) {
    let taken = void.taken(&solid.faces);
    let (bottom, top) = (void.elevation.bottom(), void.elevation.top);
    let mut below = void.elevation.below(bottom);
    for (&level, band) in levels[1..].iter().zip(bands) {
        if level <= bottom {
            continue;
        }
        let here = void.elevation.below(level);
        let taken = taken.of(less(here, below));
        band.net = less(band.net, taken);
        below = here;
        if top <= level {
            break;
        }
    }
}
