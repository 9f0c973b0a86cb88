//! Soil tests: shares from a jar and from a laboratory, and what was seen of the soil.

use hod_domain::id::SoilTestId;
use hod_domain::soil::{JarProtocol, SoilEvidence, SoilObservation, SoilShares, SoilTest, Texture};
use hod_units::{Decimal, Length, Share, parse_date};
use rust_decimal::dec;

pub fn test(evidence: SoilEvidence) -> SoilTest {
    SoilTest {
        id: SoilTestId::parse("pit-1").expect("an id"),
        evidence,
        sampled: parse_date("2026-04-02").expect("a date"),
        depth: None,
        protocol: None,
        ribbon: None,
        drop_note: String::new(),
        observations: Vec::new(),
        note: String::new(),
    }
}

pub fn jar(mm: [Decimal; 3]) -> SoilTest {
    let [sand, silt, clay] = mm.map(Length::from_mm);
    test(SoilEvidence::Jar { sand, silt, clay })
}

pub fn laboratory(shares: [Decimal; 3]) -> SoilTest {
    let [sand, silt, clay] = shares.map(Share::from_percent);
    test(SoilEvidence::Laboratory(SoilShares { sand, silt, clay }))
}

fn percents(test: &SoilTest) -> Option<[Decimal; 3]> {
    let shares = test.shares().ok()??;
    Some([shares.sand, shares.silt, shares.clay].map(Share::percent))
}

#[test]
fn a_jar_gives_shares_of_the_settled_height_that_total_one() {
    let table = [
        (
            [dec!(60), dec!(15), dec!(45)],
            [dec!(50), dec!(12.5), dec!(37.5)],
        ),
        // 58 / 112 = 51.786, 17 / 112 = 15.179, 37 / 112 = 33.036: cut to 51.7 + 15.1 + 33.0 = 99.8; the two steps
        // left over go to the largest remainders, 0.086 and 0.079.
        (
            [dec!(58), dec!(17), dec!(37)],
            [dec!(51.8), dec!(15.2), dec!(33.0)],
        ),
        // Thirds: the step left over goes to the first.
        (
            [dec!(10), dec!(10), dec!(10)],
            [dec!(33.4), dec!(33.3), dec!(33.3)],
        ),
        ([dec!(80), dec!(0), dec!(0)], [dec!(100), dec!(0), dec!(0)]),
    ];
    for (heights, expected) in table {
        assert_eq!(percents(&jar(heights)), Some(expected), "{heights:?}");
    }
}

#[test]
fn a_jar_without_layers_gives_no_shares() {
    for heights in [[dec!(0); 3], [dec!(50), dec!(-1), dec!(20)]] {
        let faults = jar(heights).faults();
        assert_eq!(
            faults.iter().map(|fault| fault.reason).collect::<Vec<_>>(),
            ["JAR_SHOWS_NO_LAYERS"]
        );
    }
    assert_eq!(
        jar([dec!(0); 3]).faults()[0].message,
        "settled heights of 0 mm sand, 0 mm silt and 0 mm clay give no shares; measure each layer alone, from its own \
         bottom to its own top"
    );
}

#[test]
fn laboratory_shares_must_total_one_within_a_tenth_of_a_per_cent() {
    for good in [
        [dec!(50), dec!(30), dec!(20)],
        [dec!(33.3); 3],
        [dec!(33.4), dec!(33.4), dec!(33.3)],
    ] {
        assert_eq!(percents(&laboratory(good)), Some(good));
    }
    for bad in [
        [dec!(50), dec!(30), dec!(19.89)],
        [dec!(50), dec!(30), dec!(20.2)],
        [dec!(0); 3],
    ] {
        let reasons: Vec<_> = laboratory(bad)
            .faults()
            .iter()
            .map(|fault| fault.reason)
            .collect();
        assert_eq!(reasons, ["SOIL_SHARES_MUST_TOTAL_ONE"], "{bad:?}");
    }
    assert_eq!(
        laboratory([dec!(50), dec!(30), dec!(30)]).faults()[0].message,
        "sand 50 %, silt 30 % and clay 30 % add up to 110 %; they must add up to 100 %, within 0.1 %"
    );
}

fn reasons(test: &SoilTest) -> Vec<(String, &'static str)> {
    let faults = test.faults();
    faults
        .into_iter()
        .map(|fault| (fault.field, fault.reason))
        .collect()
}

#[test]
fn a_quarter_inch_of_sand_in_two_inches_is_an_eighth() {
    // 0.25 in of 2 in in total, the worked jar of outdoorguide.com/1915897/repurpose-mason-jar-test-garden-soil:
    // 6.35 mm of 50.8 mm is 12.5 %.
    let shares = percents(&jar([dec!(6.35), dec!(19.05), dec!(25.4)]));
    assert_eq!(shares, Some([dec!(12.5), dec!(37.5), dec!(50)]));
}

#[test]
fn a_soil_tried_by_hand_has_no_shares_and_no_fault() {
    let by_hand = test(SoilEvidence::ByHand);
    assert_eq!(by_hand.shares(), Ok(None));
    assert_eq!(by_hand.texture(), None);
    assert_eq!(by_hand.uncertainty(), None);
    assert_eq!(by_hand.faults(), []);
}

#[test]
fn a_laboratory_that_rounds_to_99_9_is_kept_as_given_and_classed() {
    let rounded = laboratory([dec!(48.5), dec!(25.2), dec!(26.2)]);
    assert_eq!(
        percents(&rounded),
        Some([dec!(48.5), dec!(25.2), dec!(26.2)])
    );
    // 26.2 clay and 25.2 silt leave 48.6 sand: 20 <= clay < 35, silt < 28, sand > 45.
    assert_eq!(rounded.texture(), Some(Texture::SandyClayLoam));
}

/// Marked as one of the published instructions says: a minute, two hours, two days.
pub fn protocol() -> JarProtocol {
    JarProtocol {
        sand_mark_s: dec!(60),
        silt_mark_min: dec!(120),
        clay_mark_h: Some(dec!(48)),
        water_height: Length::from_mm(dec!(100)),
        water_celsius: dec!(20),
    }
}

#[test]
fn layers_are_marked_one_after_the_other() {
    let with = |change: fn(&mut JarProtocol)| {
        let mut told = protocol();
        change(&mut told);
        let mut test = jar([dec!(50), dec!(12.5), dec!(37.5)]);
        test.protocol = Some(told);
        reasons(&test)
    };
    let fault = |field: &str| (format!("jar_protocol.{field}"), "JAR_MARKS_OUT_OF_ORDER");
    assert_eq!(with(|_| ()), []);
    assert_eq!(
        with(|told| told.silt_mark_min = dec!(1)),
        [fault("silt_mark_min")]
    );
    assert_eq!(
        with(|told| told.clay_mark_h = Some(dec!(2))),
        [fault("clay_mark_h")]
    );
    assert_eq!(with(|told| told.clay_mark_h = None), []);
    let both = with(|told| {
        told.sand_mark_s = dec!(7200);
        told.clay_mark_h = Some(dec!(1));
    });
    assert_eq!(both, [fault("silt_mark_min"), fault("clay_mark_h")]);
}

#[test]
fn a_protocol_belongs_to_a_jar() {
    let mut test = laboratory([dec!(50), dec!(30), dec!(20)]);
    test.protocol = Some(protocol());
    assert_eq!(
        reasons(&test),
        [("jar_protocol".to_owned(), "NOT_OF_THIS_METHOD")]
    );
}

#[test]
fn topsoil_salts_and_contamination_refuse_a_soil_and_a_swelling_clay_cautions() {
    let mut test = test(SoilEvidence::ByHand);
    assert_eq!(test.refusals(), []);
    test.observations = vec![
        SoilObservation::Topsoil,
        SoilObservation::Salts,
        SoilObservation::SwellingClay,
        SoilObservation::Contamination,
    ];
    assert_eq!(test.faults(), []);
    let refusals = test.refusals();
    assert_eq!(refusals.len(), 3);
    assert!(refusals.iter().all(|fault| fault.reason == "SOIL_REFUSED"));
    assert_eq!(
        refusals[0].message,
        "the soil of test pit-1 is topsoil: what is alive or rots in it leaves hollows and draws damp; set it aside and \
         dig below it"
    );
    assert_eq!(
        test.warnings(),
        [
            "the soil of test pit-1 has a clay that swells, of which texture says nothing: let the shrinkage bar and a \
          weathered trial piece decide"
        ]
    );
    test.observations.push(SoilObservation::Salts);
    assert_eq!(
        reasons(&test),
        [("observations[4]".to_owned(), "OBSERVATION_TWICE")]
    );
}

#[test]
fn layers_do_not_stand_above_the_water_that_they_settled_in() {
    let protocol = |water_mm| JarProtocol {
        sand_mark_s: dec!(60),
        silt_mark_min: dec!(120),
        clay_mark_h: None,
        water_height: Length::from_mm(water_mm),
        water_celsius: dec!(20),
    };
    let faults = |water_mm| {
        let mut test = jar([dec!(40), dec!(24), dec!(36)]);
        test.protocol = Some(protocol(water_mm));
        test.faults()
    };
    assert_eq!(faults(dec!(100)), []);
    let [fault] = faults(dec!(99.5)).try_into().expect("one fault");
    assert_eq!(
        (fault.field.as_str(), fault.reason),
        ("jar_protocol.water_height_mm", "JAR_WATER_BELOW_SOIL")
    );
    assert!(
        fault.message.contains("100 mm high in 99.5 mm"),
        "{fault:?}"
    );
}
