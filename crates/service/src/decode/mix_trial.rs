//! Mix trials: what a trial mix was made of and what was measured of it. What follows from that is told by the server and
//! not read.

use hod_domain::id::{MixTrialId, SiteId, SoilTestId};
use hod_domain::trial::{BrokenSpecimen, CrushedSpecimen, MixTrial, ShrinkageBar, TrialOutcome};
use hod_units::{Density, Length};
use hod_wire::v1 as wire;
use rust_decimal::dec;

use super::mix::{DENSITY_DRY, INGREDIENTS_MAX, STRAW, ingredient};
use super::soil_test::NOTE_CHARACTERS_MAX;
use super::{Bounds, Decoder};
use crate::name::{RulePacks, Sites, SoilTests};

const BAR_WET: Bounds = Bounds::of(dec!(50), dec!(2000), "mm");
const BAR_DRY: Bounds = Bounds::of(dec!(1), dec!(2000), "mm");
const CRUSHING_LOAD: Bounds = Bounds::of(dec!(0.01), dec!(10000), "kN");
const BREAKING_LOAD: Bounds = Bounds::of(dec!(0.001), dec!(1000), "kN");
const SIDE: Bounds = Bounds::of(dec!(10), dec!(1000), "mm");
const SPAN: Bounds = Bounds::of(dec!(10), dec!(2000), "mm");

/// Most specimens crushed, and most broken.
const SPECIMENS_MAX: usize = 50;

/// Reads a trial; its site and its id come from the request or from the server.
pub fn mix_trial<'a>(
    decoder: &mut Decoder<'a>,
    wire: &'a wire::MixTrial,
    key: Option<&(SiteId, MixTrialId)>,
) -> Option<MixTrial> {
    let made = decoder.date("made_date", &wire.made_date);
    let soil_test = soil_test(decoder, &wire.soil_test, key.map(|(site, _)| site));
    let items = decoder.list("ingredients", &wire.ingredients, 1, INGREDIENTS_MAX);
    let ingredients = decoder.each("ingredients", items, ingredient);
    let straw = decoder.number_or_zero("straw_kg_per_m3", &wire.straw_kg_per_m3, &STRAW);
    let shrinkage = bar(decoder, wire);
    let items = decoder.list("crushed", &wire.crushed, 0, SPECIMENS_MAX);
    let crushed = decoder.each("crushed", items, crushed);
    let items = decoder.list("broken", &wire.broken, 0, SPECIMENS_MAX);
    let broken = decoder.each("broken", items, broken);
    let density = decoder.number_if_any("density_dry_kg_m3", &wire.density_dry_kg_m3, &DENSITY_DRY);
    let rule_pack = decoder.name_if_any::<RulePacks>("rule_pack", &wire.rule_pack);
    let outcome = decoder.choice("outcome", wire.outcome, outcome);
    let note = decoder.lines_if_any("note", &wire.note, NOTE_CHARACTERS_MAX);
    let (site, id) = key?.clone();
    Some(MixTrial {
        site,
        id,
        made: made?,
        soil_test: soil_test?,
        ingredients: ingredients?,
        straw_per_placed: Density::from_kg_per_cubic_metre(straw?),
        shrinkage: shrinkage?,
        crushed: crushed?,
        broken: broken?,
        density_dry: density?.map(Density::from_kg_per_cubic_metre),
        rule_pack: rule_pack?,
        outcome: outcome?,
        note: note?,
    })
}

/// The test of its soil, which is of the same site.
fn soil_test(
    decoder: &mut Decoder<'_>,
    name: &str,
    site: Option<&SiteId>,
) -> Option<Option<SoilTestId>> {
    if name.is_empty() {
        return Some(None);
    }
    let (of, test) = decoder.child_name::<Sites, SoilTests>("soil_test", name)?;
    if site.is_some_and(|site| *site != of) {
        decoder.refuse(
            "soil_test",
            "OF_ANOTHER_SITE",
            format!(
                "{name} is of another site than the trial; a trial is of the soil of its own site"
            ),
        );
        return None;
    }
    Some(Some(test))
}

/// A bar is measured as moulded and when dry, or not at all.
fn bar(decoder: &mut Decoder<'_>, wire: &wire::MixTrial) -> Option<Option<ShrinkageBar>> {
    if wire.shrinkage_wet_mm.is_empty() && wire.shrinkage_dry_mm.is_empty() {
        return Some(None);
    }
    let wet = decoder.number("shrinkage_wet_mm", &wire.shrinkage_wet_mm, &BAR_WET);
    let dry = decoder.number("shrinkage_dry_mm", &wire.shrinkage_dry_mm, &BAR_DRY);
    Some(Some(ShrinkageBar {
        wet: Length::from_mm(wet?),
        dry: Length::from_mm(dry?),
    }))
}

fn crushed<'a>(
    decoder: &mut Decoder<'a>,
    wire: &'a wire::CrushedSpecimen,
) -> Option<CrushedSpecimen> {
    let load = decoder.number("load_kn", &wire.load_kn, &CRUSHING_LOAD);
    let width = decoder.number("width_mm", &wire.width_mm, &SIDE);
    let depth = decoder.number("depth_mm", &wire.depth_mm, &SIDE);
    Some(CrushedSpecimen {
        load_kn: load?,
        width: Length::from_mm(width?),
        depth: Length::from_mm(depth?),
    })
}

fn broken<'a>(decoder: &mut Decoder<'a>, wire: &'a wire::BrokenSpecimen) -> Option<BrokenSpecimen> {
    let load = decoder.number("load_kn", &wire.load_kn, &BREAKING_LOAD);
    let span = decoder.number("span_mm", &wire.span_mm, &SPAN);
    let width = decoder.number("width_mm", &wire.width_mm, &SIDE);
    let height = decoder.number("height_mm", &wire.height_mm, &SIDE);
    Some(BrokenSpecimen {
        load_kn: load?,
        span: Length::from_mm(span?),
        width: Length::from_mm(width?),
        height: Length::from_mm(height?),
    })
}

fn outcome(number: i32) -> Option<TrialOutcome> {
    match wire::TrialOutcome::try_from(number).ok()? {
        wire::TrialOutcome::Unspecified => None,
        wire::TrialOutcome::Open => Some(TrialOutcome::Open),
        wire::TrialOutcome::Taken => Some(TrialOutcome::Taken),
        wire::TrialOutcome::TurnedDown => Some(TrialOutcome::TurnedDown),
    }
}
