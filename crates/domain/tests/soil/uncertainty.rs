//! What a jar cannot tell, worked by hand.

use hod_domain::soil::{JarProtocol, SoilTest, Texture};
use hod_units::{Decimal, Length};
use rust_decimal::dec;

use crate::jar::{jar, laboratory, protocol};

fn told(mm: [Decimal; 3], change: fn(&mut JarProtocol)) -> SoilTest {
    let mut protocol = protocol();
    change(&mut protocol);
    SoilTest {
        protocol: Some(protocol),
        ..jar(mm)
    }
}

fn clay(test: &SoilTest) -> Option<(Decimal, Decimal)> {
    let found = test.uncertainty()?;
    Some((found.clay_low.percent(), found.clay_high.percent()))
}

#[test]
fn a_millimetre_at_each_boundary_and_nothing_more_when_the_silt_was_marked_in_time() {
    // In 19.1 mm of water the grain of 0.002 mm falls in 0.191 x 27826 s = 88.6 min: marked then, no silt is missing. The
    // sand mark does not touch the clay. (24 - 2) / (100 - 1) = 22.22 -> 22.2; (24 + 2) / (100 + 1) = 25.74 -> 25.8.
    let in_time = told([dec!(40), dec!(36), dec!(24)], |told| {
        told.water_height = Length::from_mm(dec!(19.1));
        told.silt_mark_min = dec!(88.6);
    });
    assert_eq!(clay(&in_time), Some((dec!(22.2), dec!(25.8))));
}

#[test]
fn silt_that_had_not_settled_was_read_as_clay() {
    // Two hours in 10 cm at 20 degrees: 0.0039 mm. ln(0.0039 / 0.002) / ln(25) = 0.66783 / 3.21888 = 0.20747 of the silt
    // was missing, 0.20747 / 0.79253 = 0.26178 of what was read: 36 mm x 0.26178 = 9.424 mm.
    // (24 - 9.424 - 2) / 99 = 12.70 -> 12.7. At the most as before.
    let early = told([dec!(40), dec!(36), dec!(24)], |_| ());
    assert_eq!(clay(&early), Some((dec!(12.7), dec!(25.8))));
    // No more than there is: 40 mm of silt would leave less than nothing of 4 mm of clay.
    assert_eq!(
        clay(&told([dec!(56), dec!(40), dec!(4)], |_| ())),
        Some((dec!(0), dec!(6.0)))
    );
}

#[test]
fn clay_that_had_settled_was_read_as_silt() {
    // A day in 10 cm: 0.0011 mm. ln(0.002 / 0.0011) / ln(10) = 0.59784 / 2.30259 = 0.25964 of the clay had fallen,
    // 0.25964 / 0.74036 = 0.35069 of what was read: 24 mm x 0.35069 = 8.417 mm; (24 + 8.417 + 2) / 101 = 34.08 -> 34.1.
    let late = told([dec!(40), dec!(36), dec!(24)], |told| {
        told.silt_mark_min = dec!(1440)
    });
    assert_eq!(clay(&late), Some((dec!(22.2), dec!(34.1))));
}

#[test]
fn a_protocol_that_is_not_told_counts_as_the_earliest_in_use() {
    let heights = [dec!(40), dec!(36), dec!(24)];
    let early = told(heights, |told| {
        told.sand_mark_s = dec!(40);
        told.silt_mark_min = dec!(30);
        told.clay_mark_h = None;
    });
    let untold = jar(heights);
    assert_eq!(untold.uncertainty(), early.uncertainty());
    // 0.0079 mm: ln(3.95) / ln(25) = 0.42678; 0.42678 / 0.57322 x 36 = 26.8 mm, more than the 24 that were read.
    assert_eq!(clay(&untold), Some((dec!(0), dec!(25.8))));
}

#[test]
fn the_other_classes_within_reach_are_named_and_its_own_is_not() {
    // 40 / 36 / 24 is loam. Less clay stays loam down to 7; a mm more sand and 25.7 clay is still below the 27 of clay loam.
    let loam = told([dec!(40), dec!(36), dec!(24)], |_| ());
    assert_eq!(loam.texture(), Some(Texture::Loam));
    let within = loam.uncertainty().expect("a jar").textures_within;
    assert!(
        !within.contains(&Texture::Loam) && !within.contains(&Texture::ClayLoam),
        "{within:?}"
    );
    // 33 / 34 / 33: clay loam, and with clay down to (33 - 8.9 - 2) / 99 = 22.3 loam as well.
    let fat = told([dec!(33), dec!(34), dec!(33)], |_| ());
    assert_eq!(fat.texture(), Some(Texture::ClayLoam));
    let within = fat.uncertainty().expect("a jar").textures_within;
    assert!(within.contains(&Texture::Loam), "{within:?}");
}

#[test]
fn a_laboratory_leaves_nothing_of_this_open() {
    assert_eq!(
        laboratory([dec!(50), dec!(30), dec!(20)]).uncertainty(),
        None
    );
}

#[test]
fn a_jar_that_shows_no_layers_has_no_uncertainty_either() {
    assert_eq!(jar([dec!(0); 3]).uncertainty(), None);
    assert_eq!(
        clay(&jar([dec!(0.5), dec!(0), dec!(0)])).map(|(low, _)| low),
        Some(dec!(0))
    );
}
