//! Cautions in the order of their weight: mixes that nobody tried, and trials that settle nothing; densities that are
//! assumed; rules that are from memory; what the parts of the building put down; and at the end what hurts people at work.
//! They approve nothing: what a builder, an authority or an engineer must judge is only named.

use hod_units::{Decimal, Density, Mass, Rounding, Volume, canonical, round};
use rust_decimal::dec;

use super::Caution;
use super::mixes::MixTakeoff;
use super::orders::Order;
use super::payment;
use super::tally::Tally;
use crate::id::MixId;
use crate::material::Material;
use crate::mix::{DensityEvidence, Ingredient, Mix, PartMeasure, Recipe, TrialName};
use crate::rules::RuleKind;
use crate::text::Text;
use crate::trial::{MixTrial, TrialOutcome};
use crate::unit::Unit;

/// The most that one person lifts under the best of conditions, kg: the load constant of the revised NIOSH lifting equation
/// (NIOSH 94-110, 1994).
const LIFT_MAX_KG: Decimal = dec!(23);

/// A bucket is told of from so much more on, kg (judgement, no source): less is within what a bucket holds more or less.
const LIFT_OVER_KG: Decimal = dec!(0.5);

/// All cautions of a job, the gravest first.
pub(super) fn sum_up(tally: &mut Tally, mixes: &[MixTakeoff], orders: &[Order]) -> Vec<Caution> {
    let of_parts = std::mem::take(&mut tally.cautions);
    let recipes: Vec<&Recipe> = mixes
        .iter()
        .filter_map(|mix| tally.library.recipe(&mix.mix))
        .collect();
    not_tested(&recipes, tally);
    for recipe in &recipes {
        differs_from_trial(recipe.mix(), tally);
    }
    for recipe in &recipes {
        of_trial(recipe.mix(), tally);
    }
    for recipe in &recipes {
        trial_breaks_rules(recipe.mix(), tally);
        trial_measured_nothing(recipe.mix(), tally);
    }
    density_assumed(&recipes, tally);
    rules_from_memory(tally);
    for caution in of_parts {
        tally.caution(caution.reason, caution.subject, caution.description);
    }
    lime(&recipes, tally);
    dust(&recipes, tally);
    heavy_buckets(&recipes, tally);
    heavy_pieces(orders, tally);
    std::mem::take(&mut tally.cautions)
}

/// Mixes that hold earth of the site or stand in walls, and that no trial justified: one caution for all of them.
fn not_tested(recipes: &[&Recipe], tally: &mut Tally) {
    let is_untested = |recipe: &&&Recipe| {
        let mix = recipe.mix();
        mix.trial.is_none()
            && (!recipe.dug_bank().terms.is_empty() || stands_in_walls(&mix.id, tally))
    };
    let untested: Vec<&Mix> = recipes
        .iter()
        .filter(is_untested)
        .map(|recipe| recipe.mix())
        .collect();
    if untested.is_empty() {
        return;
    }
    let description = format!(
        "no trial justifies {}: make a shrinkage bar and a trial piece of this soil before building with it, and let them \
         decide the mix",
        named(&untested)
    );
    tally.caution("MIX_NOT_TESTED", subject(&untested), description);
}

fn stands_in_walls(mix: &MixId, tally: &Tally) -> bool {
    let mut builds = tally.job.builds.iter();
    builds.any(|build| build.mix.as_ref() == Some(mix) || build.mortar.as_ref() == Some(mix))
}

/// A trial of other parts or other straw than the mix has now says nothing of the mix.
fn differs_from_trial(mix: &Mix, tally: &mut Tally) {
    let trial = tally.library.trial_of(mix);
    let Some(trial) = trial.filter(|trial| !trial.is_of(mix)) else {
        return;
    };
    let now = recipe_words(&mix.ingredients, mix.straw_per_placed());
    let tried = recipe_words(&trial.ingredients, trial.straw_per_placed);
    let description = format!(
        "mix {} is {now}, and its trial sites/{}/mixTrials/{} was {tried}: the mix as it is was never tried; try it, or \
         build with the mix that was tried",
        mix.id, trial.site, trial.id
    );
    tally.caution(
        "MIX_DIFFERS_FROM_TRIAL",
        format!("mixes/{}", mix.id),
        description,
    );
}

/// `1 of soil and 2 of sand with 8 kg/m3 of straw`.
fn recipe_words(ingredients: &[Ingredient], straw: Density) -> String {
    let parts: Vec<String> = ingredients
        .iter()
        .map(|each| format!("{} of {}", canonical(each.parts), each.material))
        .collect();
    let straw = match straw.kg_per_cubic_metre() {
        none if none.is_zero() => "no straw".to_owned(),
        some => format!("{} kg/m3 of straw", canonical(some)),
    };
    format!("{} with {straw}", parts.join(" and "))
}

/// What is wrong with the trial that a mix names, if anything is.
fn of_trial(mix: &Mix, tally: &mut Tally) {
    let Some(name) = &mix.trial else {
        return;
    };
    let subject = Text::from(format!("mixes/{}", mix.id));
    let (trial, site) = (trial_name(name), &tally.job.site);
    let is_elsewhere = site.as_ref().is_some_and(|site| *site != name.site);
    let (reason, words) = match tally.library.trial_of(mix).map(|trial| trial.outcome) {
        None => ("TRIAL_UNKNOWN", "is not there: nothing justifies the mix"),
        Some(TrialOutcome::TurnedDown) => (
            "TRIAL_TURNED_DOWN",
            "was turned down: take a mix that passed",
        ),
        Some(TrialOutcome::Open) => (
            "TRIAL_OPEN",
            "is not decided yet: decide it before building",
        ),
        Some(TrialOutcome::Taken) if is_elsewhere => (
            "MIX_TESTED_ELSEWHERE",
            "is of another site, and soil differs from pit to pit: try the mix with the soil of this one",
        ),
        Some(TrialOutcome::Taken) => return,
    };
    let description = format!("the trial of mix {}, {trial}, {words}", mix.id);
    tally.caution(reason, subject, description);
}

/// Every rule of its own pack that the trial of a mix does not keep.
fn trial_breaks_rules(mix: &Mix, tally: &mut Tally) {
    let library = tally.library;
    let trial = library.trial_of(mix);
    let Some((trial, pack)) = trial.and_then(|trial| Some((trial, library.pack_of(trial)?))) else {
        return;
    };
    let verdicts = trial.verdicts(pack);
    for verdict in verdicts.iter().filter(|verdict| !verdict.holds) {
        let kind = verdict.rule.kind;
        let (unit, bound) = match kind {
            RuleKind::ShrinkagePercentMax => ("%", "at the most"),
            _ => ("kPa", "at the least"),
        };
        let description = format!(
            "the trial of mix {}, sites/{}/mixTrials/{}, breaks a rule of rulePacks/{}: {} ({}), {} {unit} found, {} {unit} \
             {bound}; ask the authority and a licensed engineer",
            mix.id,
            trial.site,
            trial.id,
            pack.id,
            kind.words(),
            verdict.rule.section,
            canonical(verdict.found),
            canonical(verdict.rule.limit),
        );
        tally.caution(
            "TRIAL_BREAKS_RULE",
            format!("mixes/{}", mix.id),
            description,
        );
    }
}

/// A trial that was taken though nothing was measured on it: no bar and no specimen.
fn trial_measured_nothing(mix: &Mix, tally: &mut Tally) {
    let is_bare = |trial: &&MixTrial| {
        trial.outcome == TrialOutcome::Taken
            && trial.shrinkage.is_none()
            && trial.crushed.is_empty()
            && trial.broken.is_empty()
    };
    let Some(trial) = tally.library.trial_of(mix).filter(is_bare) else {
        return;
    };
    let description = format!(
        "the trial of mix {}, sites/{}/mixTrials/{}, was taken and nothing was measured on it: dry a shrinkage bar, or break \
         a specimen, before building with the mix",
        mix.id, trial.site, trial.id
    );
    tally.caution(
        "TRIAL_MEASURED_NOTHING",
        format!("mixes/{}", mix.id),
        description,
    );
}

fn trial_name(name: &TrialName) -> String {
    format!("sites/{}/mixTrials/{}", name.site, name.trial)
}

/// Mixes whose batches hang on a density that nobody measured: one caution for all of them.
fn density_assumed(recipes: &[&Recipe], tally: &mut Tally) {
    let is_assumed = |mix: &&Mix| {
        mix.density_evidence == DensityEvidence::Assumed && mix.batch_yield_measured.is_none()
    };
    let assumed: Vec<&Mix> = recipes
        .iter()
        .map(|recipe| recipe.mix())
        .filter(is_assumed)
        .collect();
    if assumed.is_empty() {
        return;
    }
    let description = format!(
        "the dry density of {} is assumed, and its batches, water and materials hang on it: weigh and size a dry piece, or \
         measure what a batch fills",
        named(&assumed)
    );
    tally.caution("DENSITY_ASSUMED", subject(&assumed), description);
}

/// Rules of measurement that payment went by.
fn rules_from_memory(tally: &mut Tally) {
    let Some(pack) = tally
        .library
        .rule_pack
        .as_ref()
        .filter(|_| tally.job.measurement.is_some())
    else {
        return;
    };
    let rules: Vec<String> = payment::from_memory(pack)
        .map(|rule| format!("{} ({})", rule.kind.words(), rule.section))
        .collect();
    if rules.is_empty() {
        return;
    }
    let description = format!(
        "rules that payment is measured by are from memory: {}; look them up before relying on them",
        rules.join(", ")
    );
    tally.caution(
        "RULE_FROM_MEMORY",
        format!("rulePacks/{}", pack.id),
        description,
    );
}

/// Lime burns (calcium hydroxide: eye and skin burns, OSHA chemical sampling information). A material is lime when one of the
/// words of its id is, as in `hydrated-lime`; limestone is none.
fn lime(recipes: &[&Recipe], tally: &mut Tally) {
    let has_lime = |recipe: &&&Recipe| recipe.materials().iter().any(is_lime);
    let mixes: Vec<&Mix> = recipes
        .iter()
        .filter(has_lime)
        .map(|recipe| recipe.mix())
        .collect();
    if mixes.is_empty() {
        return;
    }
    let description = format!(
        "lime in {} burns eyes and skin: wear goggles, gloves and long sleeves, have clean water at hand, and brush dry lime \
         off before rinsing",
        named(&mixes)
    );
    tally.caution("LIME_BURNS", subject(&mixes), description);
}

fn is_lime(material: &Material) -> bool {
    let mut words = material.id.as_str().split(['-', '_', '.']);
    words.any(|word| matches!(word, "lime" | "quicklime" | "limewash"))
}

/// Silica in dry sand and soil (29 CFR 1926.1153).
fn dust(recipes: &[&Recipe], tally: &mut Tally) {
    if recipes.is_empty() {
        return;
    }
    tally.caution(
        "SILICA_DUST",
        "",
        "dry sand, soil and rubble give off fine silica dust as they are screened, mixed and swept: damp them down, stand \
         upwind, wear a mask for fine dust, and do not sweep dry",
    );
}

/// The mix whose full bucket is the heaviest, where one person should not lift it.
fn heavy_buckets(recipes: &[&Recipe], tally: &mut Tally) {
    let by_bucket = recipes.iter().filter_map(|recipe| Bucket::of(recipe.mix()));
    let Some(bucket) = by_bucket.max_by_key(|bucket| bucket.mass) else {
        return;
    };
    let over = bucket.mass.saturating_sub(LIFT_MAX_KG);
    if over < LIFT_OVER_KG {
        return;
    }
    let whole = |value| canonical(round(value, 0, Rounding::HalfAwayFromZero));
    let description = format!(
        "a bucket of {} l of {} weighs about {} kg wet, and {LIFT_MAX_KG} kg is the most that one person should lift under \
         the best of conditions (revised NIOSH lifting equation): fill it to {} l, or lift it in pairs",
        canonical(bucket.volume.litres()),
        bucket.mix,
        whole(bucket.mass),
        canonical(round(bucket.fill, 0, Rounding::Down)),
    );
    tally.caution("HEAVY_BUCKET", format!("mixes/{}", bucket.mix), description);
}

/// A bucket full of a wet mix: `mass = volume x dry density x (1 + water share)`, shrinkage left out of account.
///
/// 18.927 l at 1650 kg/m3 and 22 % of water weigh 38.1 kg; 23 kg are 11.4 l.
struct Bucket<'a> {
    mix: &'a MixId,
    volume: Volume,
    /// kg.
    mass: Decimal,
    /// Litres that weigh as much as one person lifts.
    fill: Decimal,
}

impl<'a> Bucket<'a> {
    /// `None` of a mix that is not measured in buckets, or on overflow.
    fn of(mix: &'a Mix) -> Option<Self> {
        if mix.measure != PartMeasure::Bucket {
            return None;
        }
        let wet = mix.water_share.fraction().checked_add(Decimal::ONE)?;
        let density = mix.density_dry.kg_per_cubic_metre().checked_mul(wet)?;
        Some(Self {
            mix: &mix.id,
            volume: mix.bucket,
            mass: mix.bucket.cubic_metres().checked_mul(density)?,
            fill: LIFT_MAX_KG.checked_mul(dec!(1000))?.checked_div(density)?,
        })
    }
}

/// Bales, bags and pieces that one person should not lift.
fn heavy_pieces(orders: &[Order], tally: &mut Tally) {
    let heavy = |order: &Order| {
        let is_piece = matches!(order.unit, Unit::Bale | Unit::Bag | Unit::Each | Unit::Roll);
        let mass = tally.library.material(&order.material)?.mass_per_unit?;
        (is_piece && Mass::from_kg(LIFT_MAX_KG) < mass).then(|| format!("{} of {mass}", order.item))
    };
    let pieces: Vec<String> = orders.iter().filter_map(heavy).collect();
    if pieces.is_empty() {
        return;
    }
    let description = format!(
        "heavier than the {LIFT_MAX_KG} kg that one person should lift under the best of conditions (revised NIOSH lifting \
         equation): {}; lift them in pairs or with a barrow",
        pieces.join(", ")
    );
    tally.caution("HEAVY_PIECE", "", description);
}

/// `mixes a, b and c`, or `mix a`.
fn named(mixes: &[&Mix]) -> String {
    let ids: Vec<&str> = mixes.iter().map(|mix| mix.id.as_str()).collect();
    match ids.as_slice() {
        [only] => format!("mix {only}"),
        [many @ .., last] => format!("mixes {} and {last}", many.join(", ")),
        [] => String::new(),
    }
}

/// The mix, where there is one only.
fn subject(mixes: &[&Mix]) -> Text {
    match mixes {
        [only] => Text::from(format!("mixes/{}", only.id)),
        _ => Text::default(),
    }
}
