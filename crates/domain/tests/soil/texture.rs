//! The texture triangle: exactly one class for every point.

use hod_domain::soil::{SoilShares, Texture};
use hod_units::{Decimal, Share};

/// The class at tenths of a per cent of silt and clay.
fn class(silt: u32, clay: u32) -> Texture {
    let percent = |tenths: u32| Share::from_percent(Decimal::new(tenths.into(), 1));
    Texture::of(SoilShares {
        sand: percent(1000 - silt - clay),
        silt: percent(silt),
        clay: percent(clay),
    })
}

/// The rules as they are published, each by itself, in twentieths of a per cent where half of a tenth is needed.
fn rule(of: Texture, sand: u32, silt: u32, clay: u32) -> bool {
    let less_than = |value: u32, limit: u32| value < limit;
    match of {
        // silt + 1.5 clay < 15
        Texture::Sand => less_than(2 * silt + 3 * clay, 300),
        // silt + 1.5 clay >= 15 and silt + 2 clay < 30
        Texture::LoamySand => 300 <= 2 * silt + 3 * clay && silt + 2 * clay < 300,
        // (7 <= clay < 20 and sand > 52 and silt + 2 clay >= 30) or (clay < 7 and silt < 50 and silt + 2 clay >= 30)
        Texture::SandyLoam => {
            let enough = 300 <= silt + 2 * clay;
            ((70..200).contains(&clay) && 520 < sand && enough)
                || (clay < 70 && silt < 500 && enough)
        }
        // 7 <= clay < 27 and 28 <= silt < 50 and sand <= 52
        Texture::Loam => (70..270).contains(&clay) && (280..500).contains(&silt) && sand <= 520,
        // (silt >= 50 and 12 <= clay < 27) or (50 <= silt < 80 and clay < 12)
        Texture::SiltLoam => {
            (500 <= silt && (120..270).contains(&clay))
                || ((500..800).contains(&silt) && clay < 120)
        }
        // silt >= 80 and clay < 12
        Texture::Silt => 800 <= silt && clay < 120,
        // 20 <= clay < 35 and silt < 28 and sand > 45
        Texture::SandyClayLoam => (200..350).contains(&clay) && silt < 280 && 450 < sand,
        // 27 <= clay < 40 and 20 < sand <= 45
        Texture::ClayLoam => (270..400).contains(&clay) && 200 < sand && sand <= 450,
        // 27 <= clay < 40 and sand <= 20
        Texture::SiltyClayLoam => (270..400).contains(&clay) && sand <= 200,
        // clay >= 35 and sand > 45
        Texture::SandyClay => 350 <= clay && 450 < sand,
        // clay >= 40 and silt >= 40
        Texture::SiltyClay => 400 <= clay && 400 <= silt,
        // clay >= 40 and sand <= 45 and silt < 40
        Texture::Clay => 400 <= clay && sand <= 450 && silt < 400,
    }
}

#[test]
fn every_point_of_a_grid_of_a_tenth_of_a_per_cent_has_exactly_one_class() {
    let mut points = 0;
    for clay in 0..=1000 {
        for silt in 0..=1000 - clay {
            let sand = 1000 - silt - clay;
            let mut holding = Texture::ALL
                .into_iter()
                .filter(|of| rule(*of, sand, silt, clay));
            let found = (holding.next(), holding.next());
            assert_eq!(
                found,
                (Some(class(silt, clay)), None),
                "sand {sand}, silt {silt}, clay {clay} tenths"
            );
            points += 1;
        }
    }
    // 1001 + 1000 + ... + 1 = 1001 x 1002 / 2.
    assert_eq!(points, 501_501);
}

#[test]
fn soils_have_the_class_of_the_triangle() {
    // Sand, silt, clay. Loam at 40/35/25 is the worked one of agricultureengineering.softecks.in/235.
    let table = [
        ([40, 35, 25], Texture::Loam),
        ([92, 5, 3], Texture::Sand),
        ([82, 12, 6], Texture::LoamySand),
        ([65, 25, 10], Texture::SandyLoam),
        ([60, 10, 30], Texture::SandyClayLoam),
        ([33, 34, 33], Texture::ClayLoam),
        ([10, 57, 33], Texture::SiltyClayLoam),
        ([20, 65, 15], Texture::SiltLoam),
        ([7, 87, 6], Texture::Silt),
        ([52, 6, 42], Texture::SandyClay),
        ([7, 47, 46], Texture::SiltyClay),
        ([22, 20, 58], Texture::Clay),
        // On a line between two classes, where the rules decide.
        ([52, 41, 7], Texture::Loam),
        ([43, 50, 7], Texture::SiltLoam),
        ([45, 28, 27], Texture::ClayLoam),
        ([85, 15, 0], Texture::LoamySand),
        // The corners.
        ([100, 0, 0], Texture::Sand),
        ([0, 100, 0], Texture::Silt),
        ([0, 0, 100], Texture::Clay),
    ];
    for ([_, silt, clay], expected) in table {
        assert_eq!(
            class(10 * silt, 10 * clay),
            expected,
            "silt {silt}, clay {clay}"
        );
    }
}

#[test]
fn every_class_has_words_of_its_own() {
    let mut words: Vec<&str> = Texture::ALL.into_iter().map(Texture::words).collect();
    words.sort_unstable();
    words.dedup();
    assert_eq!(words.len(), 12);
}
