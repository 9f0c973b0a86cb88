//! What was integrated over a wall's lifts, told in decimals: of the wall, its zones and its lifts, so that the figures of
//! each sum exactly to those of the whole. Integrates nothing.

use std::ops::Range;

use hod_units::Length;

use super::bands::Band;
use super::drawing::{Path, WallDrawing};
use super::figure::{self, area_of_steps, area_steps, metres, volume_of_steps, volume_steps};
use super::lift::{Levels, Shares, Sharing, share_out};
use super::measured::{Lift, OpeningMeasure, WallMeasure, ZoneMeasure};
use super::quadrature::{Triple, plus};
use super::section::Side;
use super::solid::Solid;
use super::working;

/// Rows that are filled anew for each wall.
#[derive(Default)]
pub(super) struct Telling {
    zones: Vec<Zone>,
    lifts: Sharing<4>,
    displaced: Sharing<1>,
}

/// What of a lift is shared out, by its place in the row: what is placed, what of that is pared off, the inner face and
/// the outer.
const PLACED: usize = 0;
const PARED: usize = 1;
const INNER: usize = 2;
const OUTER: usize = 3;

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
        let pared = volume_steps(pared)?;
        let placed = net.checked_add(pared)?;
        let inner_first = |[left, right]: [f64; 2]| match solid.faces.inner {
            Side::Left => [left, right],
            Side::Right => [right, left],
        };
        let [inner, outer] = inner_first([left, right]);
        let (inner_face, outer_face) = (area_steps(inner)?, area_steps(outer)?);
        let [inner_covered, outer_covered] = inner_first(sums.rest.covered);
        self.share_out(solid, share, bands, [placed, pared, inner_face, outer_face])?;
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
        totals: Shares<4>,
    ) -> Option<()> {
        let (inner, outer) = match solid.faces.inner {
            Side::Left => (1, 2),
            Side::Right => (2, 1),
        };
        let figures = self.zones.iter().flat_map(|zone| {
            let paring = zone.paring;
            bands[zone.lifts.clone()]
                .iter()
                .map(move |Band { net, .. }| {
                    let pared = paring * (net[1] + net[2]);
                    [net[0] * share + pared, pared, net[inner], net[outer]]
                })
        });
        share_out(figures, totals, &mut self.lifts)
    }

    fn lifts(&self, levels: &Levels) -> Vec<Lift> {
        // Just as many as there are: of a long job the room that a growing row leaves would be half of it all.
        let mut lifts = Vec::with_capacity(levels.zones.len());
        let zones = levels.zones.iter().zip(&self.lifts.steps);
        for (index, (zone, shares)) in zones.enumerate() {
            lifts.push(Lift {
                number: index as u32 + 1,
                from: levels.all[index],
                to: levels.all[index + 1],
                zone: *zone,
                volume: volume_of_steps(shares[PLACED]),
                net: volume_of_steps(shares[PLACED] - shares[PARED]),
                inner_face: area_of_steps(shares[INNER]),
                outer_face: area_of_steps(shares[OUTER]),
            });
        }
        lifts
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
            .map(|zone| [zone.gross - zone.net[0] * share]);
        share_out(lacks, [displaced], &mut self.displaced)?;
        let mut zones = Vec::with_capacity(self.zones.len());
        for (zone, [displaced]) in self.zones.iter().zip(&self.displaced.steps) {
            zones.push(self.zone(zone, *displaced, solid, levels)?);
        }
        Some(zones)
    }

    fn zone(
        &self,
        zone: &Zone,
        displaced: i64,
        solid: &Solid,
        levels: &Levels,
    ) -> Option<ZoneMeasure> {
        let lifts = zone.lifts.clone();
        let mut sum = [0; 4];
        for shares in &self.lifts.steps[lifts.clone()] {
            sum = [0, 1, 2, 3].map(|figure| sum[figure] + shares[figure]);
        }
        let (from, to) = (levels.all[lifts.start], levels.all[lifts.end]);
        let (low, high) = (levels.heights[lifts.start], levels.heights[lifts.end]);
        let thickness = solid.faces.thickness();
        let upright = (high - low) * thickness.at(0.5 * (low + high));
        let net = sum[PLACED] - sum[PARED];
        Some(ZoneMeasure {
            from,
            to,
            gross: volume_of_steps(net.checked_add(displaced)?),
            displaced: volume_of_steps(displaced),
            net: volume_of_steps(net),
            placed: volume_of_steps(sum[PLACED]),
            inner_face: area_of_steps(sum[INNER]),
            outer_face: area_of_steps(sum[OUTER]),
            mean_length: figure::length(zone.gross / upright)?,
            thickness_from: figure::length(thickness.at(low))?,
            thickness_to: figure::length(thickness.at(high))?,
            lifts,
        })
    }
}

fn drawn_length(wall: &WallDrawing, solid: &Solid) -> Option<Length> {
    match wall.path {
        Path::Straight { length } => Some(length),
        Path::Arc { .. } => figure::length(solid.centre.length),
    }
}
