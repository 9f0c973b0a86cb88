//! The closed lists of the middle as the words that stand for them in the database.

use hod_domain::material::Supply;
use hod_domain::mix::{DensityEvidence, PartMeasure, Purpose};
use hod_domain::price::BreakRule;
use hod_domain::quote::QuoteState;
use hod_domain::region::{PricePart, TaxBasis};
use hod_domain::rules::{RuleKind, RuleStanding};
use hod_domain::soil::SoilObservation;
use hod_domain::trial::TrialOutcome;
use hod_domain::unit::Unit;
use hod_domain::work::{Driver, Task};
use hod_units::Rounding;
use sqlx::error::BoxDynError;

/// A closed list whose members have words.
pub(crate) trait Word: Copy + 'static {
    /// Every member and its word.
    const ALL: &'static [(Self, &'static str)];

    /// The word that is kept for this one. Some of these lists have a `word` of their own, for messages.
    fn kept_word(self) -> &'static str;

    /// The member of a word that the database holds.
    fn read(word: &str) -> Result<Self, BoxDynError> {
        let found = Self::ALL.iter().find(|(_, each)| *each == word);
        found
            .map(|(member, _)| *member)
            .ok_or_else(|| format!("{word:?} is not a word of its list").into())
    }
}

macro_rules! words {
    ($($list:ident { $($member:ident = $word:literal,)* })*) => {$(
        impl Word for $list {
            const ALL: &'static [(Self, &'static str)] = &[$((Self::$member, $word),)*];

            // A match, so that a new member does not compile until it has a word.
            fn kept_word(self) -> &'static str {
                match self {
                    $(Self::$member => $word,)*
                }
            }
        }
    )*};
}
pub(crate) use words;

words! {
    Supply {
        Bought = "bought",
        Site = "site",
    }
    Rounding {
        HalfAwayFromZero = "half-away-from-zero",
        HalfToEven = "half-to-even",
        Down = "down",
    }
    QuoteState {
        Issued = "issued",
        Accepted = "accepted",
        Declined = "declined",
        Expired = "expired",
        Superseded = "superseded",
    }
    TaxBasis {
        Line = "line",
        Invoice = "invoice",
    }
    PricePart {
        Material = "material",
        Labour = "labour",
        Equipment = "equipment",
        Subcontract = "subcontract",
        Fee = "fee",
        Travel = "travel",
        ProvisionalSum = "provisional-sum",
        Other = "other",
        OnCost = "on-cost",
    }
    BreakRule {
        AllUnits = "all-units",
        Incremental = "incremental",
    }
    Unit {
        M = "m",
        M2 = "m2",
        M3 = "m3",
        L = "l",
        Kg = "kg",
        T = "t",
        H = "h",
        Bale = "bale",
        Bag = "bag",
        Roll = "roll",
        Each = "each",
        Batch = "batch",
        Lift = "lift",
        Percent = "percent",
        Money = "money",
        Number = "number",
        KgPerM3 = "kg-per-m3",
        Mm = "mm",
        Load = "load",
        Km = "km",
        Day = "day",
        Week = "week",
        Trip = "trip",
        Visit = "visit",
        Night = "night",
        PersonDay = "person-day",
        Sum = "sum",
    }
    Task {
        SetUp = "set-up",
        Strip = "strip",
        Trench = "trench",
        FillTrench = "fill-trench",
        LayStem = "lay-stem",
        Dig = "dig",
        Screen = "screen",
        Haul = "haul",
        Mix = "mix",
        Mould = "mould",
        SetForm = "set-form",
        Place = "place",
        Ram = "ram",
        Tamp = "tamp",
        Stack = "stack",
        Trim = "trim",
        Lay = "lay",
        Weave = "weave",
        Daub = "daub",
        Pare = "pare",
        SetOpening = "set-opening",
        FormArch = "form-arch",
        Bury = "bury",
        Cover = "cover",
        Plaster = "plaster",
        Wash = "wash",
        LayFloor = "lay-floor",
        BuildOven = "build-oven",
        Tip = "tip",
        CleanUp = "clean-up",
    }
    Driver {
        Batch = "batch",
        M3Placed = "m3-placed",
        M3Mixed = "m3-mixed",
        M3Bank = "m3-bank",
        M3Loose = "m3-loose",
        M3Loose25m = "m3-loose-25m",
        M2Face = "m2-face",
        Lift = "lift",
        Opening = "opening",
        Job = "job",
        Piece = "piece",
        M2Panel = "m2-panel",
        M2Coat = "m2-coat",
    }
    Purpose {
        Structural = "structural",
        Insulating = "insulating",
        HeatStoring = "heat-storing",
        BasePlaster = "base-plaster",
        FinishPlaster = "finish-plaster",
        Wash = "wash",
        Mortar = "mortar",
        Floor = "floor",
        Fill = "fill",
    }
    PartMeasure {
        Bucket = "bucket",
        Wheelbarrow = "wheelbarrow",
        TractorLoad = "tractor-load",
        MixerDrum = "mixer-drum",
    }
    DensityEvidence {
        Assumed = "assumed",
        Measured = "measured",
    }
    SoilObservation {
        Topsoil = "topsoil",
        Salts = "salts",
        Contamination = "contamination",
        SwellingClay = "swelling-clay",
    }
    TrialOutcome {
        Open = "open",
        Taken = "taken",
        TurnedDown = "turned-down",
    }
    RuleKind {
        ShrinkagePercentMax = "shrinkage-percent-max",
        CompressionKpaMin = "compression-kpa-min",
        CompressionBracingKpaMin = "compression-bracing-kpa-min",
        RuptureKpaMin = "rupture-kpa-min",
        MasonryVoidM2Max = "masonry-void-m2-max",
        PlasterVoidM2Max = "plaster-void-m2-max",
        PlasterOneFaceVoidM2Max = "plaster-one-face-void-m2-max",
        BoundaryVoidDeducted = "boundary-void-deducted",
    }
    RuleStanding {
        Read = "read",
        Reported = "reported",
        FromMemory = "from-memory",
    }
}
