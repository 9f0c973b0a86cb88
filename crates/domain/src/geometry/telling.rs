//! What was integrated over a wall's lifts, told in decimals: of the wall, its zones and its lifts, so that the figures of
//! each sum exactly to those of the whole. Integrates nothing.

use std::ops::Range;

use hod_units::Length;

use super::bands::Band;
use super::drawing::{Path, WallDrawing};
use super::figure::{self, area_of_steps, area_steps, metres, volume_of_steps, volume_steps};
use super::lift::{Levels, Share, share_out};
use super::measured::{Lift, OpeningMeasure, WallMeasure, ZoneMeasure};
use super::quadrature::{Triple, plus};
use super::section::Side;
use super::solid::Solid;
use super::working;

/// Rows that are filled anew for each wall.
#[derive(Default)]
pub(super) struct Telling {
    zones: Vec<Zone>,
    placed: Vec<Share>,
    pared: Vec<Share>,
    inner: Vec<Share>,
    outer: Vec<Share>,
    displaced: Vec<Share>,
}

/// What the bands of a zone sum to.
struct Zone {
    gross: f64,
    net: Triple,
    /// Of each face, m.
    paring: f64,
    lifts: Range<usize>,
}

/// What the bands of a wall sum to.
pub(super) struct Sums {
    /// m3
    pub(super) gross: f64,
    /// Earth with what is built into it (m3), left face, right face (m2).
    pub(super) net: Triple,
    rest: Rest,
}

/// What is told of a wall besides its bands.
#[derive(Clone, Copy)]
pub(super) struct Rest {
    /// m3
    pub(super) inclusions: f64,
    /// m2
    pub(super) reveals: f64,
    /// Of the left and of the right face, m2.
    pub(super) covered: [f64; 2],
}

/// A wall's levels, what stands between them, and where its section changes its law.
pub(super) type Integrated<'i> = (&'i Levels, &'i [Band], &'i [f64]);

impl Telling {
    /// Sums a wall's bands, zone by zone.
    pub(super) fn sums(
        &mut self,
        wall: &WallDrawing,
        levels: &Levels,
        bands: &[Band],
        rest: Rest,
    ) -> Sums {
        self.zones.clear();
        let parings = wall.zones.iter().map(|zone| zone.paring);
        let mut first = 0;
        for (zone, paring) in (0_u32..).zip(std::iter::once(wall.paring).chain(parings)) {
            let own = levels.zones[first..].partition_point(|lift| *lift <= zone);
            let lifts = first..first + own;
            first = lifts.end;
            let (mut gross, mut net) = (0.0, [0.0; 3]);
            for band in &bands[lifts.clone()] {
                gross += band.gross;
                net = plus(net, band.net);
            }
            self.zones.push(Zone {
                gross,
                net,
                paring: metres(paring),
                lifts,
            });
        }
        let whole = Sums {
            gross: 0.0,
            net: [0.0; 3],
            rest,
        };
        self.zones.iter().fold(whole, |sum, zone| Sums {
            gross: sum.gross + zone.gross,
            net: plus(sum.net, zone.net),
            ..sum
        })
    }

    /// The wall in decimals. `None` when a figure is not finite.
    pub(super) fn told(
        &mut self,
        wall: &WallDrawing,
        solid: &Solid,
        sums: &Sums,
        openings: Vec<OpeningMeasure>,
        (levels, bands, breaks): Integrated,
    ) -> Option<WallMeasure> {
        let [earth, left, right] = sums.net;
        // What is built in is spread over the lifts in proportion to their earth.
        let share = 1.0 - sums.rest.inclusions / earth;
        let gross = volume_steps(sums.gross)?;
        let displaced = volume_steps(sums.gross - earth + sums.rest.inclusions)?;
        let net = gross.checked_sub(displaced)?;
        let pared = self
            .zones
            .iter()
            .map(|zone| zone.paring * (zone.net[1] + zone.net[2]))
            .sum();
        let placed = net.checked_add(volume_steps(pared)?)?;
        let inner_first = |[left, right]: [f64; 2]| match solid.faces.inner {
            Side::Left => [left, right],
            Side::Right => [right, left],
        };
        let [inner, outer] = inner_first([left, right]);
        let (inner_face, outer_face) = (area_steps(inner)?, area_steps(outer)?);
        let [inner_covered, outer_covered] = inner_first(sums.rest.covered);
        self.share_out(solid, share, bands, [placed, net, inner_face, outer_face])?;
        let plan_area = solid.section(0.0)[0];
        Some(WallMeasure {
            id: wall.id.clone(),
            gross: volume_of_steps(gross),
            displaced: volume_of_steps(displaced),
            net: volume_of_steps(net),
            placed: volume_of_steps(placed),
            inner_face: area_of_steps(inner_face),
            outer_face: area_of_steps(outer_face),
            inner_covered: area_of_steps(area_steps(inner_covered)?.min(inner_face)),
            outer_covered: area_of_steps(area_steps(outer_covered)?.min(outer_face)),
            reveal: figure::area(sums.rest.reveals)?,
            length: drawn_length(wall, solid)?,
            plan_area: figure::area(plan_area)?,
            lifts: self.lifts(levels),
            zones: self.zones(solid, levels, share, displaced)?,
            openings,
            working: working::of(solid, sums.gross, plan_area, breaks)?,
        })
    }

    /// Shares out among the lifts what is placed, what of that is pared off, and both faces. So no lift stands finished
    /// larger than it was placed.
    fn share_out(
        &mut self,
        solid: &Solid,
        share: f64,
        bands: &[Band],
        [placed, net, inner, outer]: [i64; 4],
    ) -> Option<()> {
        let (inner_side, outer_side) = match solid.faces.inner {
            Side::Left => (1, 2),
            Side::Right => (2, 1),
        };
        let zones = &self.zones;
        let pared = || {
            zones.iter().flat_map(|zone| {
                let pared = |band: &Band| zone.paring * (band.net[1] + band.net[2]);
                bands[zone.lifts.clone()].iter().map(pared)
            })
        };
        let nets = || bands.iter().map(|band| band.net);
        let earth = nets().map(|net| net[0] * share);
        let whole = earth.zip(pared()).map(|(earth, pared)| earth + pared);
        share_out(whole, placed, &mut self.placed)?;
        share_out(pared(), placed.checked_sub(net)?, &mut self.pared)?;
        share_out(nets().map(|net| net[inner_side]), inner, &mut self.inner)?;
        share_out(nets().map(|net| net[outer_side]), outer, &mut self.outer)
    }

    /// What is placed of a lift, and what is left of that when it is pared.
    fn placed_and_net(&self, lift: usize) -> (i64, i64) {
        let ((placed, _), (pared, _)) = (self.placed[lift], self.pared[lift]);
        (placed, placed - pared)
    }

    fn lifts(&self, levels: &Levels) -> Vec<Lift> {
        let pairs = levels.all.windows(2).zip(&levels.zones).zip(1..);
        let lift = |(index, ((pair, zone), number)): (usize, ((&[Length], &u32), u32))| {
            let (placed, net) = self.placed_and_net(index);
            Lift {
                number,
                from: pair[0],
                to: pair[1],
                zone: *zone,
                volume: volume_of_steps(placed),
                net: volume_of_steps(net),
                inner_face: area_of_steps(self.inner[index].0),
                outer_face: area_of_steps(self.outer[index].0),
            }
        };
        pairs.enumerate().map(lift).collect()
    }

    /// The zones: each the sum of its lifts, and what it lacks of the earth between its faces shared out likewise.
    fn zones(
        &mut self,
        solid: &Solid,
        levels: &Levels,
        share: f64,
        displaced: i64,
    ) -> Option<Vec<ZoneMeasure>> {
        let lacks = self
            .zones
            .iter()
            .map(|zone| zone.gross - zone.net[0] * share);
        share_out(lacks, displaced, &mut self.displaced)?;
        let steps = |shares: &[Share]| -> i64 { shares.iter().map(|(steps, _)| steps).sum() };
        let thickness = solid.faces.thickness();
        let measured = self.zones.iter().zip(&self.displaced);
        measured
            .map(|(zone, (displaced, _))| {
                let lifts = zone.lifts.clone();
                let (from, to) = (levels.all[lifts.start], levels.all[lifts.end]);
                let (low, high) = (metres(from), metres(to));
                let upright = (high - low) * thickness.at(0.5 * (low + high));
                let placed = steps(&self.placed[lifts.clone()]);
                let net = placed - steps(&self.pared[lifts.clone()]);
                Some(ZoneMeasure {
                    from,
                    to,
                    gross: volume_of_steps(net.checked_add(*displaced)?),
                    displaced: volume_of_steps(*displaced),
                    net: volume_of_steps(net),
                    placed: volume_of_steps(placed),
                    inner_face: area_of_steps(steps(&self.inner[lifts.clone()])),
                    outer_face: area_of_steps(steps(&self.outer[lifts.clone()])),
                    lifts,
                    mean_length: figure::length(zone.gross / upright)?,
                    thickness_from: figure::length(thickness.at(low))?,
                    thickness_to: figure::length(thickness.at(high))?,
                })
            })
            .collect()
    }
}

fn drawn_length(wall: &WallDrawing, solid: &Solid) -> Option<Length> {
    match wall.path {
        Path::Straight { length } => Some(length),
        Path::Arc { .. } => figure::length(solid.centre.length),
    }
}
