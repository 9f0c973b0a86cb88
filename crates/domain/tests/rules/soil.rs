//! Soil shares from a jar and from a laboratory.

use hod_domain::id::SoilTestId;
use hod_domain::soil::{SoilEvidence, SoilShares, SoilTest};
use hod_units::{Decimal, Length, Share};
use rust_decimal::dec;

use crate::sample::*;

fn test(evidence: SoilEvidence) -> SoilTest {
    SoilTest {
        id: SoilTestId::parse("pit-1").expect("an id"),
        evidence,
        sampled: date("2026-04-02"),
        depth: None,
        protocol: None,
        ribbon: None,
        drop_note: String::new(),
        observations: Vec::new(),
        note: String::new(),
    }
}

fn jar(mm: [Decimal; 3]) -> SoilTest {
    let [sand, silt, clay] = mm.map(Length::from_mm);
    test(SoilEvidence::Jar { sand, silt, clay })
}

fn laboratory(shares: [Decimal; 3]) -> SoilTest {
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
