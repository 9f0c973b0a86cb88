//! Ids as people type them and resource names as the contract has them: `long-acre` and `sites/long-acre`,
//! `west/p1` and `regions/west/prices/p1`. Whether an id is well made is for the server to say.

/// The collections of things that hang on nothing else.
pub mod collection {
    /// Regions.
    pub const REGIONS: &str = "regions";
    /// Sites.
    pub const SITES: &str = "sites";
    /// Materials.
    pub const MATERIALS: &str = "materials";
    /// Mixes.
    pub const MIXES: &str = "mixes";
    /// Crews.
    pub const CREWS: &str = "crews";
    /// Labour constants.
    pub const LABOUR_CONSTANTS: &str = "labourConstants";
    /// Jobs.
    pub const JOBS: &str = "jobs";
    /// Prices of a region.
    pub const PRICES: &str = "prices";
    /// Labour rates of a region.
    pub const LABOUR_RATES: &str = "labourRates";
    /// Soil tests of a site.
    pub const SOIL_TESTS: &str = "soilTests";
    /// Mix trials of a site.
    pub const MIX_TRIALS: &str = "mixTrials";
    /// Packs of rules.
    pub const RULE_PACKS: &str = "rulePacks";
    /// Kept estimates of a job.
    pub const ESTIMATES: &str = "estimates";
    /// Quotes.
    pub const QUOTES: &str = "quotes";
    /// Variations under a quote.
    pub const VARIATIONS: &str = "variations";
}

/// The resource name of an id, or of a name given in full.
pub fn full(collection: &str, text: &str) -> String {
    if text.starts_with(collection) && text[collection.len()..].starts_with('/') {
        text.to_owned()
    } else {
        format!("{collection}/{text}")
    }
}

/// As [`full`], but nothing stays nothing.
pub fn full_if_given(collection: &str, text: Option<String>) -> Option<String> {
    text.map(|text| {
        if text.is_empty() {
            text
        } else {
            full(collection, &text)
        }
    })
}

/// The resource name of something below another: `west/p1` is `regions/west/prices/p1`. `None` when the text does
/// not name both.
pub fn full_below(parents: &str, collection: &str, text: &str) -> Option<String> {
    match text.split('/').collect::<Vec<_>>()[..] {
        [parent, id] => Some(format!("{parents}/{parent}/{collection}/{id}")),
        [above, _, below, _] if above == parents && below == collection => Some(text.to_owned()),
        _ => None,
    }
}

/// The ids of a resource name without its collections: `sites/long-acre` is `long-acre`,
/// `regions/west/prices/p1` is `west/p1`.
pub fn short(name: &str) -> String {
    let ids: Vec<&str> = name.split('/').skip(1).step_by(2).collect();
    if ids.is_empty() {
        name.to_owned()
    } else {
        ids.join("/")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_id_may_be_given_bare_or_in_full() {
        assert_eq!(full("sites", "long-acre"), "sites/long-acre");
        assert_eq!(full("sites", "sites/long-acre"), "sites/long-acre");
        // An id that begins like its collection is still an id.
        assert_eq!(full("sites", "sites-of-old"), "sites/sites-of-old");
        assert_eq!(
            full_if_given("regions", Some(String::new())),
            Some(String::new())
        );
    }

    #[test]
    fn a_name_below_another_needs_both_ids() {
        let price = Some("regions/west/prices/p1".to_owned());
        assert_eq!(full_below("regions", "prices", "west/p1"), price);
        assert_eq!(
            full_below("regions", "prices", "regions/west/prices/p1"),
            price
        );
        assert_eq!(full_below("regions", "prices", "p1"), None);
        assert_eq!(
            full_below("regions", "prices", "sites/west/prices/p1"),
            None
        );
    }

    #[test]
    fn a_name_is_shown_without_its_collections() {
        assert_eq!(short("sites/long-acre"), "long-acre");
        assert_eq!(short("regions/west/prices/p1"), "west/p1");
        assert_eq!(short("tarp"), "tarp");
    }
}
