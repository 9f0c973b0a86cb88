//! The ground at the site: what can be dug there against what the mixes need, topsoil set aside, and the spoil of trenches.
//! Comes after the mixes are summed, since only then it is known what they need. Earth that is shovelled is told in the
//! bank, as it lies, and loose, as it is carried.

use hod_units::{Area, Decimal, Length, Rounding, Volume};

use crate::basis::{Basis, Joint, Term};
use crate::fault::too_large;
use crate::job::Ground;
use crate::takeoff::tally::{Tally, drawn};
use crate::takeoff::{Amounts, MixTakeoff};
use crate::text::Text;
use crate::unit::Unit;
use crate::work::{Driver, Task};

use super::stock::material_in;

const PART: &str = "ground";

/// Volumes in a caution are told to this many places.
const TOLD_PLACES: u32 = 2;

pub(crate) fn put_down(mixes: &[MixTakeoff], tally: &mut Tally) {
    let Some(ground) = &tally.job.ground else {
        return;
    };
    let needed = needed(mixes, tally);
    half_said(ground, tally);
    strip(ground, &needed, tally);
    dig(ground, &needed, tally);
    spoil(ground, tally);
    if !needed.terms.is_empty() {
        judge_soil(ground, tally);
    }
}

/// Soil that all batches take, m3 in the bank; without terms where none is dug.
fn needed(mixes: &[MixTakeoff], tally: &Tally) -> Basis {
    let of_mix = |mix: &MixTakeoff| {
        let recipe = tally.library.recipe(&mix.mix)?;
        Some(recipe.dug_bank().times_over(&mix.batches()))
    };
    Basis::sum(mixes.iter().filter_map(of_mix))
}

/// A caution where of the area and the depth that can be dug only one is said.
fn half_said(ground: &Ground, tally: &mut Tally) {
    let (said, missing) = match (ground.dig_area, ground.subsoil) {
        (Some(_), None) => ("dig_area_m2", "subsoil_mm"),
        (None, Some(_)) => ("subsoil_mm", "dig_area_m2"),
        _ => return,
    };
    tally.caution(
        "GROUND_HALF_SAID",
        PART,
        format!("the ground has {said} and no {missing}: whether its soil reaches is not known; give both"),
    );
}

/// `area dug x topsoil`: 40 m2 of 250 mm are 10 m3 in the bank; with a swell of 25 %, 12.5 m3 loose.
fn strip(ground: &Ground, needed: &Basis, tally: &mut Tally) {
    let Some(area) = area_dug(ground, needed).filter(|_| ground.topsoil.is_positive()) else {
        return;
    };
    let topsoil = Term::new(
        Joint::Times,
        ground.topsoil.metres(),
        Unit::M,
        "topsoil",
        "",
    );
    let in_bank = area.carried_on(&[topsoil]);
    tally.line(
        PART,
        "topsoil set aside where soil is dug, in the bank",
        Unit::M3,
        in_bank.clone(),
    );
    let amounts = Amounts::of_job()
        .with_basis(Driver::M3Loose, loose(&in_bank, ground))
        .with_basis(Driver::M3Bank, in_bank);
    tally.work(Task::Strip, tally.job.mixing.clone().as_ref(), amounts);
}

/// Where topsoil comes off, m2: as much as the soil takes, `soil needed / subsoil`, and at most where it may be dug. All of
/// that where nobody said how deep the subsoil is. `None` where nothing is dug, or on overflow.
///
/// 2.272 m3 from 0.40 m of subsoil are dug on 5.68 m2.
fn area_dug(ground: &Ground, needed: &Basis) -> Option<Basis> {
    let all = ground.dig_area?.square_metres();
    let whole = drawn(all, Unit::M2, "where soil may be dug");
    let Some(subsoil) = ground.subsoil else {
        return Some(whole);
    };
    if needed.terms.is_empty() {
        return None;
    }
    let there = all.checked_mul(subsoil.metres())?;
    if there <= needed.work()? {
        return Some(whole);
    }
    let depth = Term::new(Joint::Over, subsoil.metres(), Unit::M, "subsoil", "");
    Some(needed.carried_on(&[depth]))
}

/// What the mixes need, and `area x subsoil` that can be dug: 40 m2 of 600 mm are 24 m3 in the bank.
fn dig(ground: &Ground, needed: &Basis, tally: &mut Tally) {
    if !needed.terms.is_empty() {
        tally.line(PART, "soil needed, in the bank", Unit::M3, needed.clone());
    }
    let (Some(area), Some(subsoil)) = (ground.dig_area, ground.subsoil) else {
        return;
    };
    let there = deep(area, subsoil, "subsoil");
    tally.line(
        PART,
        "soil that can be dug, in the bank",
        Unit::M3,
        there.clone(),
    );
    match needed.work().zip(there.work()) {
        Some((needed, there)) if there < needed => caution_short(needed, there, tally),
        Some(_) => {}
        None => tally.faults.push(too_large("the soil that is needed")),
    }
}

fn caution_short(needed: Decimal, there: Decimal, tally: &mut Tally) {
    let told =
        |volume| Volume::from_cubic_metres(volume).rounded(TOLD_PLACES, Rounding::HalfAwayFromZero);
    let short = needed.saturating_sub(there);
    tally.caution(
        "SOIL_SHORT",
        PART,
        format!(
            "the mixes need {} of soil in the bank and {} can be dug: {} are short; dig elsewhere, or buy soil and blend it",
            told(needed),
            told(there),
            told(short)
        ),
    );
}

/// What was dug out of trenches; taken away where a material says what that costs, and loose then:
/// `loose = bank x (1 + swell)`. 42.90 m3 in the bank with 25 % are 53.625 m3 loose.
fn spoil(ground: &Ground, tally: &mut Tally) {
    if !tally.dug_out.is_positive() {
        return;
    }
    let in_bank = drawn(
        tally.dug_out.cubic_metres(),
        Unit::M3,
        "dug out of the trench",
    );
    let loose = loose(&in_bank, ground);
    let Some(tip) = &ground.tip else {
        tally.line(PART, "spoil that stays, loose", Unit::M3, loose);
        return;
    };
    if ground.swell.is_zero() {
        swell_not_given(tally);
    }
    tally.line(PART, "spoil taken away, loose", Unit::M3, loose.clone());
    if material_in("ground.tip_material", tip, &[Unit::M3], tally).is_some() {
        tally.need(tip, loose.clone());
    }
    let amounts = Amounts::of_job()
        .with_basis(Driver::M3Loose, loose)
        .with_basis(Driver::M3Bank, in_bank);
    tally.work(Task::Tip, tally.job.mixing.clone().as_ref(), amounts);
}

fn swell_not_given(tally: &mut Tally) {
    tally.caution(
        "SPOIL_SWELL_NOT_GIVEN",
        PART,
        "spoil is taken away by the m3 loose, and nothing is said of how it swells: it is counted as it lies in the bank, and \
         loose it is more; give the ground its swell_percent",
    );
}

fn deep(area: Area, depth: Length, label: &'static str) -> Basis {
    Basis::of([
        Term::new(
            Joint::Start,
            area.square_metres(),
            Unit::M2,
            "where soil is dug",
            "",
        ),
        Term::new(Joint::Times, depth.metres(), Unit::M, label, ""),
    ])
}

fn loose(in_bank: &Basis, ground: &Ground) -> Basis {
    let percent = ground.swell.percent();
    let swell = Term::new(Joint::PlusPercent, percent, Unit::Percent, "swell", "job");
    in_bank.carried_on(&[swell])
}

/// Soil of this ground goes into a mix: what was seen of it may refuse it, or must be kept in mind.
fn judge_soil(ground: &Ground, tally: &mut Tally) {
    let Some((site, id)) = &ground.soil_test else {
        return;
    };
    let name = format!("sites/{site}/soilTests/{id}");
    let found = tally
        .library
        .soil_test
        .as_ref()
        .filter(|test| test.id == *id);
    let Some(test) = found else {
        tally.refuse(
            "ground.soil_test",
            "SOIL_TEST_UNKNOWN",
            format!("ground.soil_test is {name}, which is not among the soil tests; add it, or name another"),
        );
        return;
    };
    for fault in test.refusals() {
        tally.refuse("ground.soil_test", fault.reason, fault.message);
    }
    for warning in test.warnings() {
        tally.caution("SOIL_SWELLS", Text::from(name.clone()), warning);
    }
}
