//! The short lower-case words that stand for the closed lists of the contract: on the command line, in job files, in
//! tables and in JSON. What each value means is said in the protos.

use hod_wire::v1::{
    BaleLay, Batter, BreakRule, CostDriver, CostKind, DensityEvidence, Driver, Face, LineKind,
    Milestone, MixPurpose, OpeningShape, PartMeasure, PriceChangeKind, PriceFileFormat, PricePart,
    ProfitBasis, QuoteState, Rounding, RuleKind, RuleStanding, ScopeHolder, SoilObservation,
    SoilTestMethod, SoilTexture, StemSystem, Supply, Task, TaxBasis, TrialOutcome, Unit,
    WallSystem,
};

/// A closed list whose values have words.
pub trait Word: Copy + Into<i32> + Send + Sync + 'static {
    /// Every value but the unspecified one, with its word, in the order of the contract.
    const WORDS: &'static [(&'static str, Self)];
}

/// The words of a list, in the order of the contract.
pub fn all<W: Word>() -> Vec<&'static str> {
    W::WORDS.iter().map(|(word, _)| *word).collect()
}

/// The value of a word, when there is one.
pub fn read<W: Word>(text: &str) -> Option<W> {
    W::WORDS
        .iter()
        .find(|(word, _)| *word == text)
        .map(|(_, value)| *value)
}

/// The word of a number from the wire: empty for the unspecified value, `unknown` for one that this program is too
/// old to know.
pub fn of<W: Word>(number: i32) -> &'static str {
    if number == 0 {
        return "";
    }
    W::WORDS
        .iter()
        .find(|(_, value)| (*value).into() == number)
        .map_or("unknown", |(word, _)| word)
}

/// A closed list and its words.
macro_rules! words {
    ($($list:ident { $($word:literal => $value:ident),* $(,)? })*) => {
        $(impl Word for $list {
            const WORDS: &'static [(&'static str, Self)] = &[$(($word, $list::$value)),*];
        })*
    };
}

words! {
    BaleLay { "flat" => Flat, "edge" => Edge }
    Batter { "both" => Both, "outer" => Outer, "inner" => Inner }
    BreakRule { "all-units" => AllUnits, "incremental" => Incremental }
    CostDriver {
        "once" => Once, "per-week" => PerWeek, "per-day" => PerDay, "per-trip" => PerTrip, "per-visit" => PerVisit,
    }
    CostKind {
        "subcontract" => Subcontract, "fee" => Fee, "hire" => Hire, "travel" => Travel, "lodging" => Lodging,
        "weather-cover" => WeatherCover, "provisional-sum" => ProvisionalSum, "keep" => Keep,
        "workshop-income" => WorkshopIncome, "other" => Other,
    }
    DensityEvidence { "assumed" => Assumed, "measured" => Measured }
    Driver {
        "batch" => Batch, "m3-placed" => M3Placed, "m3-mixed" => M3Mixed, "m3-bank" => M3Bank, "m3-loose" => M3Loose,
        "m3-loose-25m" => M3Loose25m, "m2-face" => M2Face, "lift" => Lift, "opening" => Opening, "job" => Job,
        "piece" => Piece, "m2-panel" => M2Panel, "m2-coat" => M2Coat,
    }
    Face { "inner" => Inner, "outer" => Outer }
    LineKind {
        "material" => Material, "labour" => Labour, "equipment" => Equipment, "other" => Other,
        "overhead" => Overhead, "contingency" => Contingency, "profit" => Profit, "tax" => Tax,
        "subcontract" => Subcontract, "fee" => Fee, "travel" => Travel, "provisional-sum" => ProvisionalSum,
        "income" => Income, "discount" => Discount, "minimum-charge" => MinimumCharge, "rounding" => Rounding,
    }
    Milestone {
        "acceptance" => Acceptance, "start" => Start, "lifts" => Lifts, "wall-plate" => WallPlate, "roofed" => Roofed,
        "plastered" => Plastered, "completion" => Completion,
    }
    MixPurpose {
        "structural" => Structural, "insulating" => Insulating, "heat-storing" => HeatStoring,
        "base-plaster" => BasePlaster, "finish-plaster" => FinishPlaster, "wash" => Wash, "mortar" => Mortar,
        "floor" => Floor, "fill" => Fill,
    }
    OpeningShape {
        "rectangle" => Rectangle, "segmental" => Segmental, "semicircular" => Semicircular,
        "pointed" => Pointed, "circle" => Circle,
    }
    PartMeasure {
        "bucket" => Bucket, "wheelbarrow" => Wheelbarrow, "tractor-load" => TractorLoad, "mixer-drum" => MixerDrum,
    }
    PriceChangeKind {
        "new" => New, "raised" => Raised, "lowered" => Lowered, "same" => Same, "closed" => Closed, "altered" => Altered,
    }
    PriceFileFormat { "csv" => Csv, "xlsx" => Xlsx }
    PricePart {
        "material" => Material, "labour" => Labour, "equipment" => Equipment, "subcontract" => Subcontract, "fee" => Fee,
        "travel" => Travel, "provisional-sum" => ProvisionalSum, "other" => Other, "on-cost" => OnCost,
    }
    ProfitBasis { "markup-on-cost" => MarkupOnCost, "margin-on-price" => MarginOnPrice }
    QuoteState {
        "issued" => Issued, "accepted" => Accepted, "declined" => Declined, "expired" => Expired,
        "superseded" => Superseded,
    }
    Rounding { "half-away-from-zero" => HalfAwayFromZero, "half-to-even" => HalfToEven }
    RuleKind {
        "shrinkage-percent-max" => ShrinkagePercentMax, "compression-kpa-min" => CompressionKpaMin,
        "compression-bracing-kpa-min" => CompressionBracingKpaMin, "rupture-kpa-min" => RuptureKpaMin,
        "masonry-void-m2-max" => MasonryVoidM2Max, "plaster-void-m2-max" => PlasterVoidM2Max,
        "plaster-one-face-void-m2-max" => PlasterOneFaceVoidM2Max, "boundary-void-deducted" => BoundaryVoidDeducted,
    }
    RuleStanding { "read" => Read, "reported" => Reported, "from-memory" => FromMemory }
    ScopeHolder { "ours" => Ours, "by-others" => ByOthers, "excluded" => Excluded }
    SoilObservation {
        "topsoil" => Topsoil, "salts" => Salts, "contamination" => Contamination, "swelling-clay" => SwellingClay,
    }
    SoilTestMethod { "by-hand" => ByHand, "jar" => Jar, "laboratory" => Laboratory }
    SoilTexture {
        "sand" => Sand, "loamy-sand" => LoamySand, "sandy-loam" => SandyLoam, "loam" => Loam, "silt-loam" => SiltLoam,
        "silt" => Silt, "sandy-clay-loam" => SandyClayLoam, "clay-loam" => ClayLoam, "silty-clay-loam" => SiltyClayLoam,
        "sandy-clay" => SandyClay, "silty-clay" => SiltyClay, "clay" => Clay,
    }
    StemSystem { "stone-in-mortar" => StoneInMortar, "bags" => Bags }
    Supply { "bought" => Bought, "site" => Site }
    Task {
        "set-up" => SetUp, "dig" => Dig, "screen" => Screen, "haul" => Haul, "mix" => Mix, "place" => Place,
        "pare" => Pare, "set-opening" => SetOpening, "cover" => Cover, "clean-up" => CleanUp,
        "strip" => Strip, "trench" => Trench, "fill-trench" => FillTrench, "lay-stem" => LayStem, "mould" => Mould,
        "set-form" => SetForm, "ram" => Ram, "tamp" => Tamp, "stack" => Stack, "trim" => Trim, "lay" => Lay,
        "weave" => Weave, "daub" => Daub, "form-arch" => FormArch, "bury" => Bury, "plaster" => Plaster, "wash" => Wash,
        "lay-floor" => LayFloor, "build-oven" => BuildOven, "tip" => Tip,
    }
    TaxBasis { "line" => Line, "invoice" => Invoice }
    TrialOutcome { "open" => Open, "taken" => Taken, "turned-down" => TurnedDown }
    Unit {
        "m" => M, "m2" => M2, "m3" => M3, "l" => L, "kg" => Kg, "t" => T, "h" => H, "bale" => Bale, "bag" => Bag,
        "roll" => Roll, "each" => Each, "batch" => Batch, "lift" => Lift, "percent" => Percent, "money" => Money,
        "number" => Number, "kg-per-m3" => KgPerM3, "mm" => Mm, "load" => Load, "km" => Km, "day" => Day,
        "week" => Week, "trip" => Trip, "visit" => Visit, "night" => Night, "person-day" => PersonDay, "sum" => Sum,
    }
    WallSystem {
        "cob" => Cob, "adobe" => Adobe, "rammed-earth" => RammedEarth, "light-straw-clay" => LightStrawClay,
        "straw-bale" => StrawBale, "wattle-and-daub" => WattleAndDaub,
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    /// Every value of the list has the word that its name in the contract gives, and no value is left out.
    fn words_follow_the_contract<W: Word + TryFrom<i32>>(
        prefix: &str,
        name_of: fn(&W) -> &'static str,
    ) {
        let in_contract = (1..).map_while(|number| W::try_from(number).ok()).count();
        assert_eq!(
            W::WORDS.len(),
            in_contract,
            "a value of {prefix} has no word"
        );
        for (word, value) in W::WORDS {
            let number = (*value).into();
            let name = name_of(value).strip_prefix(prefix).unwrap();
            assert_eq!(*word, name.to_lowercase().replace('_', "-"));
            assert_eq!(of::<W>(number), *word);
            assert_eq!(read::<W>(word).map(Into::into), Some(number));
        }
    }

    #[test]
    fn every_value_of_the_contract_has_its_word() {
        words_follow_the_contract::<BaleLay>("BALE_LAY_", BaleLay::as_str_name);
        words_follow_the_contract::<Batter>("BATTER_", Batter::as_str_name);
        words_follow_the_contract::<BreakRule>("BREAK_RULE_", BreakRule::as_str_name);
        words_follow_the_contract::<CostDriver>("COST_DRIVER_", CostDriver::as_str_name);
        words_follow_the_contract::<CostKind>("COST_KIND_", CostKind::as_str_name);
        words_follow_the_contract::<Milestone>("MILESTONE_", Milestone::as_str_name);
        words_follow_the_contract::<PriceChangeKind>(
            "PRICE_CHANGE_KIND_",
            PriceChangeKind::as_str_name,
        );
        words_follow_the_contract::<PriceFileFormat>(
            "PRICE_FILE_FORMAT_",
            PriceFileFormat::as_str_name,
        );
        words_follow_the_contract::<PricePart>("PRICE_PART_", PricePart::as_str_name);
        words_follow_the_contract::<QuoteState>("QUOTE_STATE_", QuoteState::as_str_name);
        words_follow_the_contract::<ScopeHolder>("SCOPE_HOLDER_", ScopeHolder::as_str_name);
        words_follow_the_contract::<DensityEvidence>(
            "DENSITY_EVIDENCE_",
            DensityEvidence::as_str_name,
        );
        words_follow_the_contract::<Driver>("DRIVER_", Driver::as_str_name);
        words_follow_the_contract::<Face>("FACE_", Face::as_str_name);
        words_follow_the_contract::<LineKind>("LINE_KIND_", LineKind::as_str_name);
        words_follow_the_contract::<MixPurpose>("MIX_PURPOSE_", MixPurpose::as_str_name);
        words_follow_the_contract::<OpeningShape>("OPENING_SHAPE_", OpeningShape::as_str_name);
        words_follow_the_contract::<PartMeasure>("PART_MEASURE_", PartMeasure::as_str_name);
        words_follow_the_contract::<ProfitBasis>("PROFIT_BASIS_", ProfitBasis::as_str_name);
        words_follow_the_contract::<Rounding>("ROUNDING_", Rounding::as_str_name);
        words_follow_the_contract::<RuleKind>("RULE_KIND_", RuleKind::as_str_name);
        words_follow_the_contract::<RuleStanding>("RULE_STANDING_", RuleStanding::as_str_name);
        words_follow_the_contract::<SoilObservation>(
            "SOIL_OBSERVATION_",
            SoilObservation::as_str_name,
        );
        words_follow_the_contract::<SoilTexture>("SOIL_TEXTURE_", SoilTexture::as_str_name);
        words_follow_the_contract::<TrialOutcome>("TRIAL_OUTCOME_", TrialOutcome::as_str_name);
        words_follow_the_contract::<SoilTestMethod>(
            "SOIL_TEST_METHOD_",
            SoilTestMethod::as_str_name,
        );
        words_follow_the_contract::<StemSystem>("STEM_SYSTEM_", StemSystem::as_str_name);
        words_follow_the_contract::<Supply>("SUPPLY_", Supply::as_str_name);
        words_follow_the_contract::<Task>("TASK_", Task::as_str_name);
        words_follow_the_contract::<TaxBasis>("TAX_BASIS_", TaxBasis::as_str_name);
        words_follow_the_contract::<Unit>("UNIT_", Unit::as_str_name);
        words_follow_the_contract::<WallSystem>("WALL_SYSTEM_", WallSystem::as_str_name);
    }

    #[test]
    fn the_unspecified_value_has_no_word_and_a_newer_one_says_so() {
        assert_eq!(of::<Unit>(0), "");
        assert_eq!(of::<Unit>(999), "unknown");
    }
}
