//! An oven's dome: half an ellipsoid of revolution standing on its widest circle, in layers, with a door straight through
//! all of them on one side. Only sizes; of what the layers are is for others.

use hod_units::{Area, Length, Volume};

use super::figure::{self, metres};
use super::quadrature::{Care, gauss_kronrod};

/// A dome as drawn.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct DomeDrawing {
    /// Of the inside at its foot.
    pub radius: Length,
    /// Of the inside.
    pub height: Length,
    /// Of the door, the same from its sill to its head.
    pub door_width: Length,
    /// Of the door, from the foot of the dome.
    pub door_height: Length,
    /// How thick each layer is, from the inside out.
    pub layers: Vec<Length>,
}

/// A dome measured, to 1e-6 m3 and 1e-6 m2.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct DomeMeasure {
    /// What the dome encloses: what it is built over.
    pub inside: Volume,
    /// Its layers, from the inside out.
    pub layers: Vec<DomeLayer>,
    /// The circle of its outside at its foot.
    pub base: Area,
}

/// A layer of a dome.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct DomeLayer {
    /// The whole shell.
    pub shell: Volume,
    /// What the door takes out of it.
    pub door: Volume,
}

/// Measures a dome. `None` when a figure is not finite, or too large.
///
/// ```text
/// within radius a and height h        V(a, h) = 2/3 pi a^2 h
/// a layer of thickness t over a, h    V(a + t, h + t) - V(a, h)
/// the door, w wide and d high         integral over |y| <= w/2, 0 <= z <= d of x_outer(y, z) - x_inner(y, z),
///                                     x(y, z) = a sqrt(1 - (y/a)^2 - (z/h)^2), and 0 where the root has none
/// ```
///
/// A hemisphere of 420 mm inside and a layer of 75 mm: 98.9 l of shell over 155.2 l of sand.
///
/// ```
/// use hod_domain::geometry::{DomeDrawing, measure_dome};
/// use hod_units::Length;
///
/// let [radius, layer, door] = [420, 75, 300].map(|mm| Length::from_mm(mm.into()));
/// let dome = DomeDrawing { radius, height: radius, door_width: door, door_height: door, layers: vec![layer] };
/// let dome = measure_dome(&dome).expect("sizes of an oven");
/// assert_eq!(dome.inside.to_string(), "0.15517 m3");
/// assert_eq!(dome.layers[0].shell.to_string(), "0.098854 m3");
/// assert_eq!(dome.base.to_string(), "0.769769 m2");
/// ```
pub fn measure_dome(drawing: &DomeDrawing) -> Option<DomeMeasure> {
    let mut within = Dome {
        radius: metres(drawing.radius),
        height: metres(drawing.height),
    };
    let door = [metres(drawing.door_width), metres(drawing.door_height)];
    let inside = figure::volume(within.volume())?;
    let mut layers = Vec::with_capacity(drawing.layers.len());
    for thickness in &drawing.layers {
        let outside = within.grown(metres(*thickness));
        layers.push(DomeLayer {
            shell: figure::volume(outside.volume() - within.volume())?,
            door: figure::volume(outside.behind(door) - within.behind(door))?,
        });
        within = outside;
    }
    Some(DomeMeasure {
        inside,
        layers,
        base: figure::area(std::f64::consts::PI * within.radius * within.radius)?,
    })
}

/// Half an ellipsoid of revolution.
#[derive(Debug, Clone, Copy)]
struct Dome {
    radius: f64,
    height: f64,
}

impl Dome {
    fn grown(self, thickness: f64) -> Self {
        Self {
            radius: self.radius + thickness,
            height: self.height + thickness,
        }
    }

    fn volume(self) -> f64 {
        std::f64::consts::TAU / 3.0 * self.radius * self.radius * self.height
    }

    /// Between its upright middle plane and its surface, behind a door of that width and height. A layer of the height z
    /// is half a disc of radius c = a sqrt(1 - (z/h)^2), and of that the part within half the door's width b has the area
    /// b sqrt(c^2 - b^2) + c^2 asin(b / c).
    fn behind(self, [width, height]: [f64; 2]) -> f64 {
        let slice = |z: f64| {
            let rest = 1.0 - (z / self.height) * (z / self.height);
            let square = self.radius * self.radius * rest.max(0.0);
            let disc = square.sqrt();
            let half = (0.5 * width).min(disc);
            if disc <= 0.0 {
                return [0.0; 3];
            }
            // As a product, which is nothing where the door is as wide as the dome, and no root of what rounding leaves.
            let upright = ((disc - half) * (disc + half)).sqrt();
            [half * upright + square * libm::asin(half / disc), 0.0, 0.0]
        };
        let top = height.min(self.height);
        gauss_kronrod(0.0, top, Care::USUAL, &slice)[0]
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const HEMISPHERE: Dome = Dome {
        radius: 0.5,
        height: 0.5,
    };

    #[test]
    fn a_door_as_wide_and_high_as_the_dome_takes_half_of_it() {
        let flat = Dome {
            radius: 0.6,
            height: 0.4,
        };
        for dome in [HEMISPHERE, flat] {
            let half = dome.behind([2.0 * dome.radius, dome.height]);
            assert!((half - 0.5 * dome.volume()).abs() < 1e-12, "{dome:?}");
            // Beyond it there is nothing more to take.
            assert_eq!(dome.behind([9.0, 9.0]), half);
        }
    }

    #[test]
    fn a_door_as_wide_as_the_dome_takes_half_of_the_disc_at_every_height() {
        // Half of pi (r^2 d - d^3 / 3) for a hemisphere up to the height d.
        let up_to = 0.3;
        let expected = std::f64::consts::FRAC_PI_2 * (0.25 * up_to - up_to * up_to * up_to / 3.0);
        assert!((HEMISPHERE.behind([1.0, up_to]) - expected).abs() < 1e-12);
    }

    #[test]
    fn a_narrow_door_is_as_deep_as_the_dome_in_its_middle() {
        // A slit w wide and d high: w times the integral of sqrt(r^2 - z^2) from 0 to d,
        // which is (d sqrt(r^2 - d^2) + r^2 asin(d / r)) / 2.
        let (width, up_to) = (1e-6, 0.3_f64);
        let expected = width * 0.5 * (up_to * 0.4 + 0.25 * libm::asin(up_to / 0.5));
        assert!((HEMISPHERE.behind([width, up_to]) / expected - 1.0).abs() < 1e-9);
    }
}
