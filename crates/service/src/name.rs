//! Resource names: `regions/north`, `regions/north/prices/clay-2026`. Which collections there are and how a name is
//! read and written. Whether anything of that name exists is for the store to say.

use hod_domain::id::{
    CrewId, EstimateId, IdFault, JobId, LabourConstantId, MaterialId, MixId, MixTrialId, PriceId,
    QuoteId, RegionId, RulePackId, SiteId, SoilTestId, VariationId,
};

/// A collection of things that have names.
pub trait Collection {
    /// What tells one of them from another.
    type Id: Clone + Send + Sync + 'static;
    /// Its word in a name: `regions`.
    const SEGMENT: &'static str;
    /// One of them, for a message: `region`.
    const NOUN: &'static str;

    /// Reads an id.
    fn id(text: &str) -> Result<Self::Id, IdFault>;

    /// The text of an id.
    fn text(id: &Self::Id) -> &str;

    /// The name of a thing that hangs on no other.
    fn name(id: &Self::Id) -> String {
        format!("{}/{}", Self::SEGMENT, Self::text(id))
    }
}

macro_rules! collections {
    ($($(#[$doc:meta])* $name:ident of $id:ident, $segment:literal, $noun:literal;)*) => {$(
        $(#[$doc])*
        pub struct $name;

        impl Collection for $name {
            type Id = $id;
            const SEGMENT: &'static str = $segment;
            const NOUN: &'static str = $noun;

            fn id(text: &str) -> Result<$id, IdFault> {
                $id::parse(text)
            }

            fn text(id: &$id) -> &str {
                id.as_str()
            }
        }
    )*};
}

collections! {
    /// Crews.
    Crews of CrewId, "crews", "crew";
    /// Kept estimates, each under its job.
    Estimates of EstimateId, "estimates", "estimate";
    /// Jobs.
    Jobs of JobId, "jobs", "job";
    /// Labour constants.
    LabourConstants of LabourConstantId, "labourConstants", "labour constant";
    /// Labour rates, each under its region.
    LabourRates of PriceId, "labourRates", "labour rate";
    /// Materials.
    Materials of MaterialId, "materials", "material";
    /// Mixes.
    Mixes of MixId, "mixes", "mix";
    /// Mix trials, each under its site.
    MixTrials of MixTrialId, "mixTrials", "mix trial";
    /// Prices, each under its region.
    Prices of PriceId, "prices", "price";
    /// Quotes.
    Quotes of QuoteId, "quotes", "quote";
    /// Regions.
    Regions of RegionId, "regions", "region";
    /// Rule packs.
    RulePacks of RulePackId, "rulePacks", "rule pack";
    /// Sites.
    Sites of SiteId, "sites", "site";
    /// Soil tests, each under its site.
    SoilTests of SoilTestId, "soilTests", "soil test";
    /// Variations, each under its quote.
    Variations of VariationId, "variations", "variation";
}

/// The name of a thing that hangs on another: `regions/north/prices/clay-2026`.
pub fn child_name<P: Collection, C: Collection>(parent: &P::Id, id: &C::Id) -> String {
    format!("{}/{}/{}", P::SEGMENT, P::text(parent), C::name(id))
}

/// Reads the name of a thing that hangs on no other; what is wrong with it comes as a sentence.
pub fn read_name<C: Collection>(text: &str) -> Result<C::Id, String> {
    let expected = || {
        format!(
            "{} is not the name of a {}; write {}/ID",
            quoted(text),
            C::NOUN,
            C::SEGMENT
        )
    };
    let (segment, id) = text.split_once('/').ok_or_else(expected)?;
    if segment != C::SEGMENT || id.contains('/') {
        return Err(expected());
    }
    C::id(id).map_err(|fault| fault.to_string())
}

/// Reads the name of a thing that hangs on another.
pub fn read_child_name<P: Collection, C: Collection>(text: &str) -> Result<(P::Id, C::Id), String> {
    let expected = || {
        format!(
            "{} is not the name of a {}; write {}/ID/{}/ID",
            quoted(text),
            C::NOUN,
            P::SEGMENT,
            C::SEGMENT
        )
    };
    let parts: Vec<&str> = text.split('/').collect();
    let [parents, parent, children, child] = parts[..] else {
        return Err(expected());
    };
    if parents != P::SEGMENT || children != C::SEGMENT {
        return Err(expected());
    }
    let parent = P::id(parent).map_err(|fault| fault.to_string())?;
    let child = C::id(child).map_err(|fault| fault.to_string())?;
    Ok((parent, child))
}

/// Most characters of a caller's text that a message repeats.
const REPEATED_CHARACTERS_MAX: usize = 80;

/// A caller's text in quotes, shortened, with what cannot be printed escaped.
pub fn quoted(text: &str) -> String {
    let short: String = text.chars().take(REPEATED_CHARACTERS_MAX).collect();
    if short.len() < text.len() {
        format!("{short:?}...")
    } else {
        format!("{short:?}")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_name_is_its_collection_and_its_id() {
        let id = read_name::<LabourConstants>("labourConstants/mix-tarp").expect("a name");
        assert_eq!(LabourConstants::name(&id), "labourConstants/mix-tarp");
        let (region, price) =
            read_child_name::<Regions, Prices>("regions/north/prices/sand-1").expect("a name");
        assert_eq!(
            child_name::<Regions, Prices>(&region, &price),
            "regions/north/prices/sand-1"
        );
    }

    #[test]
    fn what_is_not_a_name_is_told_what_a_name_looks_like() {
        for bad in [
            "",
            "north",
            "region/north",
            "regions/north/prices/x",
            "sites/north",
        ] {
            let told = read_name::<Regions>(bad).expect_err(bad);
            assert_eq!(
                told,
                format!("{bad:?} is not the name of a region; write regions/ID")
            );
        }
        let told = read_name::<Regions>("regions/North").expect_err("a capital");
        assert!(told.starts_with("\"North\" is not an id"), "{told}");
        let told = read_child_name::<Regions, Prices>("regions/north").expect_err("no price");
        assert_eq!(
            told,
            "\"regions/north\" is not the name of a price; write regions/ID/prices/ID"
        );
    }

    #[test]
    fn a_quote_and_its_variations_go_by_their_numbers_written_in_one_way() {
        let id = read_name::<Quotes>("quotes/q17").expect("a name");
        assert_eq!(
            (id.number(), Quotes::name(&id)),
            (17, "quotes/q17".to_owned())
        );
        let read = read_child_name::<Quotes, Variations>("quotes/q17/variations/v3");
        let (quote, variation) = read.expect("a name");
        assert_eq!((quote.number(), variation.number()), (17, 3));
        for bad in [
            "quotes/17",
            "quotes/q0",
            "quotes/q017",
            "quotes/q+1",
            "quotes/q2147483648",
        ] {
            assert!(read_name::<Quotes>(bad).is_err(), "{bad}");
        }
    }

    #[test]
    fn a_long_text_is_not_repeated_whole() {
        assert_eq!(
            quoted(&"a".repeat(81)),
            format!("\"{}\"...", "a".repeat(80))
        );
    }
}
