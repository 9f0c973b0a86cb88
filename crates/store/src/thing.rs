//! What a fault speaks of: a noun and the name by which the caller knows it.

use std::fmt;

use hod_domain::id::{
    CrewId, EstimateId, JobId, LabourConstantId, MaterialId, MixId, MixTrialId, PriceId, QuoteId,
    RegionId, RulePackId, SiteId, SoilTestId, VariationId,
};

/// Something that is kept, or that is not there.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Thing {
    /// What kind of thing, in the trade's word: `site`, `labour rate`.
    pub noun: &'static str,
    /// Its full name within the firm: `sites/long-acre`.
    pub name: String,
}

/// Noun and name.
impl fmt::Display for Thing {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} {}", self.noun, self.name)
    }
}

impl Thing {
    /// A price of a region.
    pub fn price(region: &RegionId, price: &PriceId) -> Self {
        Self {
            noun: "price",
            name: format!("regions/{region}/prices/{price}"),
        }
    }

    /// A labour rate of a region.
    pub fn labour_rate(region: &RegionId, rate: &PriceId) -> Self {
        Self {
            noun: "labour rate",
            name: format!("regions/{region}/labourRates/{rate}"),
        }
    }

    /// A soil test of a site.
    pub fn soil_test(site: &SiteId, test: &SoilTestId) -> Self {
        Self {
            noun: "soil test",
            name: format!("sites/{site}/soilTests/{test}"),
        }
    }

    /// A mix trial of a site.
    pub fn mix_trial(site: &SiteId, trial: &MixTrialId) -> Self {
        Self {
            noun: "mix trial",
            name: format!("sites/{site}/mixTrials/{trial}"),
        }
    }

    /// A kept estimate of a job.
    pub fn estimate(job: &JobId, estimate: &EstimateId) -> Self {
        Self {
            noun: "estimate",
            name: format!("jobs/{job}/estimates/{estimate}"),
        }
    }

    /// A variation of a quote.
    pub fn variation(quote: &QuoteId, variation: &VariationId) -> Self {
        Self {
            noun: "variation",
            name: format!("quotes/{quote}/variations/{variation}"),
        }
    }

    /// The name and the version of it: `mixes/house-cob@3`.
    pub(crate) fn tag(&self, version: i64) -> String {
        format!("{}@{version}", self.name)
    }
}

macro_rules! things {
    ($($id:ident is $noun:literal in $collection:literal;)*) => {$(
        impl From<&$id> for Thing {
            fn from(id: &$id) -> Self {
                Self { noun: $noun, name: format!(concat!($collection, "/{}"), id) }
            }
        }
    )*};
}

things! {
    CrewId is "crew" in "crews";
    JobId is "job" in "jobs";
    LabourConstantId is "labour constant" in "labourConstants";
    MaterialId is "material" in "materials";
    MixId is "mix" in "mixes";
    QuoteId is "quote" in "quotes";
    RegionId is "region" in "regions";
    RulePackId is "rule pack" in "rulePacks";
    SiteId is "site" in "sites";
}
