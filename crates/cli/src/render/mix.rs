//! What is taken of each mix: volumes, batches, and where the dry mass goes.

use hod_wire::v1::{MassBalance, MixTakeoff};

use super::basis;
use super::figure::measure;
use super::record::Record;
use super::shown;
use super::table::{Side, Table};
use crate::name::short;

/// A row to each mix; nothing when there is none.
pub(super) fn table(mixes: &[MixTakeoff], with_basis: bool) -> Option<Table> {
    let mut table = Table::new(&[
        ("Mix", Side::Left),
        ("Mixing", Side::Left),
        ("Finished m3", Side::Right),
        ("Placed m3", Side::Right),
        ("Mixed m3", Side::Right),
        ("Batches", Side::Right),
    ]);
    for mix in mixes {
        table.row([
            short(&mix.mix),
            mix.mixing.clone(),
            measure(&mix.net_volume_m3),
            measure(&mix.placed_volume_m3),
            measure(&mix.mixed_volume_m3),
            mix.batch_count.to_string(),
        ]);
        let words = basis::words(mix.basis.as_ref(), "");
        if with_basis && !words.is_empty() {
            table.note(&format!("batches = {words}"));
        }
    }
    (!mixes.is_empty()).then_some(table)
}

/// The batches of all mixes that are mixed in a batch; what is only put in place or brushed on is not among them, and
/// that is said where the job has such.
pub(super) fn batches(count: i32, mixes: &[MixTakeoff]) -> String {
    let of_each: i64 = mixes.iter().map(|mix| i64::from(mix.batch_count)).sum();
    let left_out = if of_each == i64::from(count) {
        ""
    } else {
        " (fills and washes left out)"
    };
    format!("Batches: {count}{left_out}\n")
}

/// Where the mass of each mix goes, for those whose masses are known; nothing when none is. What a row shows adds up.
pub(super) fn mass_table(mixes: &[MixTakeoff]) -> Option<Table> {
    let mut table = Table::new(&[
        ("Dry mass", Side::Left),
        ("Goes in kg", Side::Right),
        ("Stands kg", Side::Right),
        ("Pared kg", Side::Right),
        ("Wasted kg", Side::Right),
        ("Left over kg", Side::Right),
        ("Water kg", Side::Right),
    ]);
    let weighed = || {
        mixes
            .iter()
            .filter_map(|mix| Some((mix, mix.masses.as_ref()?)))
    };
    for (mix, masses) in weighed() {
        let name = std::iter::once(short(&mix.mix));
        table.row(name.chain(shown::masses(masses)));
    }
    weighed().next().is_some().then_some(table)
}

pub(super) fn record(mix: &MixTakeoff) -> Record {
    volumes(mix).one_if_there("masses", mix.masses.as_ref(), masses)
}

/// As [`record`], with a column to each mass.
pub(super) fn row(mix: &MixTakeoff) -> Record {
    let masses = masses(&mix.masses.clone().unwrap_or_default());
    volumes(mix).field("masses", super::record::Value::One(masses))
}

fn volumes(mix: &MixTakeoff) -> Record {
    Record::new()
        .text("mix", &mix.mix)
        .text("mixing", &mix.mixing)
        .text("net_volume_m3", &mix.net_volume_m3)
        .text("placed_volume_m3", &mix.placed_volume_m3)
        .text("mixed_volume_m3", &mix.mixed_volume_m3)
        .count("batch_count", mix.batch_count)
        .text("basis", &basis::words(mix.basis.as_ref(), ""))
}

fn masses(masses: &MassBalance) -> Record {
    Record::new()
        .text("dry_in_kg", &masses.dry_in_kg)
        .text("standing_kg", &masses.standing_kg)
        .text("pared_kg", &masses.pared_kg)
        .text("wasted_kg", &masses.wasted_kg)
        .text("left_over_kg", &masses.left_over_kg)
        .text("water_kg", &masses.water_kg)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn batches_that_are_not_mixed_in_one_are_told_to_be_left_out() {
        let mix = |batch_count| MixTakeoff {
            batch_count,
            ..MixTakeoff::default()
        };
        assert_eq!(batches(29, &[mix(20), mix(9)]), "Batches: 29\n");
        assert_eq!(
            batches(20, &[mix(20), mix(9)]),
            "Batches: 20 (fills and washes left out)\n"
        );
    }
}
