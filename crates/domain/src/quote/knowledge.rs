//! What a client is told of an offer besides its price: what is not in it, and what it rests on without its being known.
//! Both are drawn from the scope and from the cautions of the estimate, in sentences for people who do not build.

use hod_units::Date;

use super::priced::{PricedCaution, PricedEstimate};
use crate::job::{ScopeHolder, ScopeLine};

/// The parts of which every job is asked, in the order of the work.
pub const ASKED_PARTS: [&str; 5] = ["drainage", "damp-proofing", "plate", "roof", "engineer"];

/// Asked-about parts of which the job itself measures something: the part, what is measured as which item, and how the
/// client is told of it.
const MEASURED: [(&str, &str, &str, &str); 2] = [
    ("drainage", "trench", "drain", "the drain in the trench"),
    (
        "damp-proofing",
        "stem wall",
        "damp-proof course",
        "the damp-proof course over the stem wall",
    ),
];

/// Cautions that mean that something was not counted, and what the client is told.
const NOT_COUNTED: [(&str, &str); 2] = [
    (
        "STEM_WALL_NOT_COUNTED",
        "stem wall: nothing was said of what it is built of; it is not in this price",
    ),
    (
        "WATTLE_NOT_COUNTED",
        "wattle: staves or rods that nobody named are taken as standing already; they are not in this price",
    ),
];

/// Cautions that mean that something was not known, and what the client is told. Cautions of how to build and of what hurts
/// people at work are the builder's, and are not among them.
const NOT_KNOWN: [(&str, &str); 18] = [
    (
        "MIX_NOT_TESTED",
        "The mix of the earth was not tried with the soil of this site yet; trials may change it, and with it the price.",
    ),
    (
        "MIX_DIFFERS_FROM_TRIAL",
        "The mix was changed after it was tried; trying it again may change it once more, and with it the price.",
    ),
    (
        "TRIAL_UNKNOWN",
        "There is no record of a trial of the mix; trials may change it, and with it the price.",
    ),
    (
        "TRIAL_TURNED_DOWN",
        "A trial of the mix was turned down; another mix may be needed, at another price.",
    ),
    (
        "TRIAL_OPEN",
        "A trial of the mix is not decided yet; what it shows may change the mix, and with it the price.",
    ),
    (
        "MIX_TESTED_ELSEWHERE",
        "The mix was tried with the soil of another place; the soil here may ask for another mix, at another price.",
    ),
    (
        "TRIAL_BREAKS_RULE",
        "A trial of the mix does not keep a rule that it was measured by; an authority or an engineer may ask for another mix.",
    ),
    (
        "TRIAL_MEASURED_NOTHING",
        "The mix was tried by eye and hand only, and nothing was measured on it.",
    ),
    (
        "DENSITY_ASSUMED",
        "How dense the dried earth is was assumed and not measured; the materials and the work follow from it.",
    ),
    (
        "RULE_FROM_MEMORY",
        "Rules of measurement for payment were not looked up in their published text.",
    ),
    (
        "GROUND_HALF_SAID",
        "Whether the soil of the site reaches for all of the work is not known; it is taken that it does.",
    ),
    (
        "SOIL_SHORT",
        "The soil that can be dug where it was shown does not reach; it is taken that more can be dug close by.",
    ),
    (
        "SPOIL_SWELL_NOT_GIVEN",
        "How much dug earth grows when it is loose is not known; it is taken away as if it did not.",
    ),
    (
        "SOIL_SWELLS",
        "The soil may swell and shrink with water; how much is not known.",
    ),
    (
        "STRAW_CLAY_SOIL_TOO_LEAN",
        "Whether the soil holds enough clay for straw-clay is in doubt; clay may have to be brought in, which is not reckoned.",
    ),
    (
        "STRAW_CLAY_STRAW_OFF_TABLE",
        "The straw-clay is of another mix than the published table has; an authority or an engineer may ask for another.",
    ),
    (
        "WALL_WIDER_THAN_BALE",
        "Walls are drawn wider than their bales; one bale across is reckoned, and no fill beside it.",
    ),
    (
        "BALE_LESS_DENSE_THAN_RULE",
        "The bales are lighter than a published rule asks for; denser ones may be needed, at another price.",
    ),
];

/// What is not in the price, one sentence each: the parts that are not ours, those that nothing was said of, what was not
/// counted, and the firm's own.
pub(super) fn exclusions(estimate: &PricedEstimate, own: &[String]) -> Vec<String> {
    let mut told = Sentences::default();
    for line in &estimate.scope {
        told.extend(not_ours(line));
    }
    let is_named = |part: &&str| {
        estimate
            .scope
            .iter()
            .any(|line| line.part.as_str() == *part)
    };
    for part in ASKED_PARTS.iter().filter(|part| !is_named(part)) {
        told.extend([not_named(part, estimate)]);
    }
    told.extend(drawn(&estimate.cautions, &NOT_COUNTED));
    told.extend(own.iter().cloned());
    told.0
}

/// What the price rests on without its being known, one sentence each, and the firm's own.
pub(super) fn assumptions(
    estimate: &PricedEstimate,
    valid_until: Date,
    own: &[String],
) -> Vec<String> {
    let mut told = Sentences::default();
    told.extend(drawn(&estimate.cautions, &NOT_KNOWN));
    told.extend([
        format!(
            "Prices and wages are those of {}; the price holds for an acceptance by {valid_until}.",
            estimate.price_date
        ),
        "Earth dries as the weather lets it: no day of finishing is promised.".to_owned(),
    ]);
    told.extend(own.iter().cloned());
    told.0
}

/// `roof: done by others, not in this price; a green roof is planned`; nothing of what is ours.
fn not_ours(line: &ScopeLine) -> Option<String> {
    let why = match line.holder {
        ScopeHolder::Ours => return None,
        ScopeHolder::ByOthers => "done by others; it is not in this price",
        ScopeHolder::Excluded => "not part of the works; it is not in this price",
    };
    let name = if line.display_name.is_empty() {
        line.part.as_str()
    } else {
        line.display_name.as_str()
    };
    let note = match line.note.trim() {
        "" => String::new(),
        note => format!(" ({note})"),
    };
    Some(format!("{name}: {why}{note}"))
}

/// A part that no line of the scope names: not in the price, or only as far as it was measured.
fn not_named(part: &str, estimate: &PricedEstimate) -> String {
    let is_measured = |of: &str, item: &str| {
        let mut measured = estimate.measured.iter();
        measured.any(|measured| measured.part == of && measured.item == item)
    };
    let mut known = MEASURED.iter();
    let found = known.find(|(asked, of, item, _)| *asked == part && is_measured(of, item));
    match found {
        Some((_, _, _, words)) => format!("{part}: nothing but {words} is in this price"),
        None => format!("{part}: nothing was said about it; it is not in this price"),
    }
}

/// The sentences for cautions, in the order of the cautions.
fn drawn(cautions: &[PricedCaution], sentences: &[(&str, &str)]) -> Vec<String> {
    let sentence = |caution: &PricedCaution| {
        let mut sentences = sentences.iter();
        let (_, sentence) = sentences.find(|(reason, _)| *reason == caution.reason)?;
        Some((*sentence).to_owned())
    };
    cautions.iter().filter_map(sentence).collect()
}

/// Sentences, each once: two mixes that nobody tried are one thing to a client.
#[derive(Default)]
struct Sentences(Vec<String>);

impl Sentences {
    fn extend(&mut self, more: impl IntoIterator<Item = String>) {
        for sentence in more {
            if !self.0.contains(&sentence) {
                self.0.push(sentence);
            }
        }
    }
}
