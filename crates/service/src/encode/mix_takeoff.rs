//! What a job takes of its mixes, and where their mass goes.

use hod_domain::takeoff::{MassBalance, MixTakeoff};
use hod_units::{Decimal, Mass, Rounding, Volume, canonical, round, split};
use hod_wire::v1 as wire;

use super::basis::basis;
use super::takeoff::count;
use crate::name::{Collection, Mixes};

/// Volumes are told to a cubic centimetre.
const VOLUME_PLACES: u32 = 6;

/// Masses are told to a gramme.
const MASS_PLACES: u32 = 3;

/// Shares of a mass are weighed to this many places, past which the last digit of a division stands.
const WEIGHT_PLACES: u32 = 12;

/// What is taken of each mix, in the order in which the job comes to them.
pub fn mixes(mixes: &[MixTakeoff]) -> Vec<wire::MixTakeoff> {
    mixes.iter().map(mix).collect()
}

fn mix(mix: &MixTakeoff) -> wire::MixTakeoff {
    let mixing = mix.mixing.as_ref().map(ToString::to_string);
    wire::MixTakeoff {
        mix: Mixes::name(&mix.mix),
        mixing: mixing.unwrap_or_default(),
        net_volume_m3: told(mix.net),
        placed_volume_m3: told(mix.placed),
        mixed_volume_m3: mix.mixed_volume().map(told).unwrap_or_default(),
        batch_count: count(mix.batch_count),
        basis: Some(basis(&mix.basis)),
        masses: mix.masses.as_ref().map(masses),
    }
}

/// A volume as the contract tells it: coats and layers have more places than a cubic centimetre.
fn told(volume: Volume) -> String {
    let metres = volume.cubic_metres();
    canonical(round(metres, VOLUME_PLACES, Rounding::HalfAwayFromZero))
}

/// The masses, rounded so that those which the dry mass goes to add up to it as shown.
fn masses(masses: &MassBalance) -> wire::MassBalance {
    let shown = |mass: Mass| round(mass.kg(), MASS_PLACES, Rounding::HalfAwayFromZero);
    let weight = |mass: Mass| round(mass.kg(), WEIGHT_PLACES, Rounding::HalfAwayFromZero);
    let MassBalance {
        dry_in,
        standing,
        pared,
        wasted,
        left_over,
        water,
    } = *masses;
    let goes_to = [standing, pared, wasted, left_over];
    let dry_in = shown(dry_in);
    let shares = split(dry_in, &goes_to.map(weight), MASS_PLACES);
    let shares: Vec<Decimal> = shares.unwrap_or_else(|| goes_to.map(shown).to_vec());
    let mut shares = shares.into_iter().map(canonical);
    let mut next = || shares.next().unwrap_or_default();
    wire::MassBalance {
        dry_in_kg: canonical(dry_in),
        standing_kg: next(),
        pared_kg: next(),
        wasted_kg: next(),
        left_over_kg: next(),
        water_kg: canonical(shown(water)),
    }
}

#[cfg(test)]
mod tests {
    use rust_decimal::dec;

    use super::*;

    #[test]
    fn the_masses_shown_add_up_to_what_goes_in_as_shown() {
        // Three thirds of 100 kg and nothing wasted: each alone would be 33.333, and a gramme would be lost.
        let third = Mass::from_kg(dec!(100) / dec!(3));
        let told = masses(&MassBalance {
            dry_in: Mass::from_kg(dec!(100)),
            standing: third,
            pared: third,
            wasted: Mass::ZERO,
            left_over: third,
            water: Mass::from_kg(dec!(12.3456)),
        });
        let told = [
            &told.standing_kg,
            &told.pared_kg,
            &told.wasted_kg,
            &told.left_over_kg,
            &told.dry_in_kg,
            &told.water_kg,
        ];
        assert_eq!(told, ["33.334", "33.333", "0", "33.333", "100", "12.346"]);
    }
}
