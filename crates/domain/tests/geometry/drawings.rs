//! Drawings in few words, for the tests and the benchmark to vary. Numbers are texts, so that they stay as written.

use hod_units::{Area, Decimal, Length, Volume, parse_decimal};

use super::geometry::{
    Batter, End, Face, Fault, Inclusion, Niche, Opening, OpeningShape, Path, Profile, Taper,
    WallDrawing, WallMeasure, measure,
};

pub fn number(text: &str) -> Decimal {
    parse_decimal(text).expect("a number")
}

pub fn m(text: &str) -> Length {
    Length::from_metres(number(text))
}

/// A floating-point number as a drawing would give it: to a tenth of a millimetre.
pub fn drawn(value: f64) -> Length {
    Length::from_metres(Decimal::new((value * 1e4).round() as i64, 4))
}

/// A plumb straight wall with free ends: metres.
pub fn wall(id: &str, length: &str, height: &str, thickness: &str) -> WallDrawing {
    WallDrawing {
        id: id.to_owned(),
        path: Path::Straight { length: m(length) },
        profile: Profile::Level { height: m(height) },
        thickness: m(thickness),
        taper: None,
        start: End::Free,
        end: End::Free,
        turn_degrees: None,
        openings: Vec::new(),
        niches: Vec::new(),
        inclusions: Vec::new(),
        zones: Vec::new(),
        lift_height: None,
        stem_height: Length::ZERO,
        paring: Length::ZERO,
    }
}

pub fn arc(id: &str, radius: &str, bend: &str, height: &str, thickness: &str) -> WallDrawing {
    let path = Path::Arc {
        radius: m(radius),
        bend_degrees: number(bend),
    };
    WallDrawing {
        path,
        ..wall(id, "1", height, thickness)
    }
}

pub fn taper(top: &str, batter: Batter) -> Option<Taper> {
    Some(Taper {
        thickness_top: m(top),
        batter,
    })
}

pub fn corner(id: &str) -> End {
    End::Corner {
        wall: id.to_owned(),
    }
}

pub fn into(id: &str, at: &str, turn: &str) -> End {
    End::Into {
        wall: id.to_owned(),
        at: m(at),
        turn_degrees: number(turn),
    }
}

pub fn rectangle(height: &str) -> OpeningShape {
    OpeningShape::Rectangle { height: m(height) }
}

pub fn opening(id: &str, shape: OpeningShape, width: &str, sill: &str, at: &str) -> Opening {
    Opening {
        id: id.to_owned(),
        shape,
        width: m(width),
        sill: m(sill),
        at: m(at),
        splay: Length::ZERO,
    }
}

pub fn niche(
    id: &str,
    shape: OpeningShape,
    width: &str,
    sill: &str,
    at: &str,
    depth: &str,
) -> Niche {
    Niche {
        id: id.to_owned(),
        shape,
        width: m(width),
        sill: m(sill),
        at: m(at),
        depth: m(depth),
        face: Face::Inner,
    }
}

pub fn inclusion(id: &str, count: u32, litres: &str) -> Inclusion {
    Inclusion {
        id: id.to_owned(),
        count,
        volume: Volume::from_litres(number(litres)),
    }
}

/// Walls joined corner to corner into a closed run, each turning left by a right angle unless it says otherwise.
pub fn closed(mut walls: Vec<WallDrawing>) -> Vec<WallDrawing> {
    let ids: Vec<String> = walls.iter().map(|wall| wall.id.clone()).collect();
    for (index, wall) in walls.iter_mut().enumerate() {
        wall.end = corner(&ids[(index + 1) % ids.len()]);
    }
    walls
}

/// A rectangular room on the centre lines, of four walls each made by `make` from its id and length.
pub fn room(
    prefix: &str,
    along: &str,
    across: &str,
    make: impl Fn(&str, &str) -> WallDrawing,
) -> Vec<WallDrawing> {
    let sides = [
        ("south", along),
        ("east", across),
        ("north", along),
        ("west", across),
    ];
    closed(
        sides
            .map(|(id, length)| make(&format!("{prefix}{id}"), length))
            .to_vec(),
    )
}

pub fn measured(walls: &[WallDrawing]) -> Vec<WallMeasure> {
    match measure(walls) {
        Ok(measured) => measured,
        Err(faults) => panic!("{}", sentences(&faults).join("\n")),
    }
}

pub fn one(wall: WallDrawing) -> WallMeasure {
    measured(&[wall]).remove(0)
}

pub fn sentences(faults: &[Fault]) -> Vec<String> {
    faults.iter().map(Fault::to_string).collect()
}

pub fn faults(walls: &[WallDrawing]) -> Vec<Fault> {
    match measure(walls) {
        Ok(_) => panic!("measured without a fault"),
        Err(faults) => faults,
    }
}

/// A volume of so many cubic metres.
pub fn m3(text: &str) -> Volume {
    Volume::from_cubic_metres(number(text))
}

pub fn m2(text: &str) -> Area {
    Area::from_square_metres(number(text))
}

/// A decimal as a floating-point number.
pub fn float(value: Decimal) -> f64 {
    value.to_string().parse().expect("a number")
}

pub fn gross(measured: &[WallMeasure]) -> f64 {
    measured
        .iter()
        .map(|wall| float(wall.gross.cubic_metres()))
        .sum()
}
