//! Stokes' law in a jar: 2650 kg/m3 in water, 9.81 m/s2.

use hod_domain::soil::{settled_grain, settling_seconds};
use hod_units::{Decimal, Length};
use rust_decimal::dec;

const TEN_CM: Length = Length::from_metres(dec!(0.1));

#[test]
fn grains_fall_ten_centimetres_in_the_times_of_stokes() {
    // 18 x 0.001002 x 0.1 / (9.81 x 1651.8) = 1.11305e-7 m2 s; over d2: 0.05 mm: 1.11305e-7 / 2.5e-9 = 44.5 s.
    let table = [
        (dec!(0.063), dec!(28.0)),
        (dec!(0.05), dec!(44.5)),
        (dec!(0.02), dec!(278.3)),
        // 7.73 h.
        (dec!(0.002), dec!(27826.2)),
    ];
    for (mm, seconds) in table {
        let found = settling_seconds(Length::from_mm(mm), TEN_CM, dec!(20));
        assert_eq!(found, Some(seconds), "{mm} mm");
    }
}

#[test]
fn the_marks_of_published_jar_tests_stand_for_these_grains() {
    let table = [
        (dec!(40), dec!(0.0528)),
        (dec!(60), dec!(0.0431)),
        (dec!(1800), dec!(0.0079)),
        (dec!(7200), dec!(0.0039)),
        (dec!(21600), dec!(0.0023)),
        (dec!(86400), dec!(0.0011)),
    ];
    for (seconds, mm) in table {
        let found = settled_grain(TEN_CM, seconds, dec!(20)).map(Length::mm);
        assert_eq!(found, Some(mm), "{seconds} s");
    }
}

#[test]
fn cold_water_holds_grains_up_longer() {
    // As the viscosity: 1.787 at 0 degrees, 1.307 at 10, 0.653 at 40, to 1.002 at 20; 44.522 s x 1.787 / 1.002 = 79.4 s.
    let at = |celsius: Decimal| settling_seconds(Length::from_mm(dec!(0.05)), TEN_CM, celsius);
    assert_eq!(at(dec!(0)), Some(dec!(79.4)));
    assert_eq!(at(dec!(10)), Some(dec!(58.1)));
    assert_eq!(at(dec!(40)), Some(dec!(29.0)));
    // Half-way between 10 and 20 the inverse is (1/1.307 + 1/1.002) / 2: 1.1344, 50.4 s; the books have 1.138.
    assert_eq!(at(dec!(15)), Some(dec!(50.4)));
}

#[test]
fn what_stokes_does_not_tell_is_not_told() {
    let grain = Length::from_mm(dec!(0.05));
    for celsius in [dec!(-0.1), dec!(40.1)] {
        assert_eq!(settling_seconds(grain, TEN_CM, celsius), None);
        assert_eq!(settled_grain(TEN_CM, dec!(40), celsius), None);
    }
    assert_eq!(settling_seconds(Length::ZERO, TEN_CM, dec!(20)), None);
    assert_eq!(settling_seconds(grain, Length::ZERO, dec!(20)), None);
    assert_eq!(settled_grain(Length::ZERO, dec!(40), dec!(20)), None);
    assert_eq!(settled_grain(TEN_CM, dec!(0), dec!(20)), None);
}
