//! Soil tests, with the shares that a jar's heights come to.

use hod_domain::id::SiteId;
use hod_domain::soil::{SoilEvidence, SoilShares, SoilTest};
use hod_store::Stored;
use hod_units::{Length, Share, canonical};
use hod_wire::v1 as wire;

use super::number_if_any;
use super::stamp::timestamp;
use crate::name::{Sites, SoilTests, child_name};

/// A soil test of a site.
pub fn soil_test(stored: &Stored<SoilTest>, site: &SiteId) -> wire::SoilTest {
    let test = &stored.value;
    let percent = |share: Share| canonical(share.percent());
    let (method, heights) = match &test.evidence {
        SoilEvidence::Jar { sand, silt, clay } => (
            wire::SoilTestMethod::Jar,
            [*sand, *silt, *clay].map(|height: Length| canonical(height.mm())),
        ),
        SoilEvidence::Laboratory(_) => (wire::SoilTestMethod::Laboratory, Default::default()),
    };
    let [sand_mm, silt_mm, clay_mm] = heights;
    // What is kept has passed the rules, and then the shares can be told.
    let shares = test.shares().ok();
    wire::SoilTest {
        name: child_name::<Sites, SoilTests>(site, &test.id),
        method: method.into(),
        sample_date: test.sampled.to_string(),
        depth_m: number_if_any(test.depth.map(Length::metres)),
        sand_mm,
        silt_mm,
        clay_mm,
        sand_percent: shares
            .map(|shares: SoilShares| percent(shares.sand))
            .unwrap_or_default(),
        silt_percent: shares
            .map(|shares: SoilShares| percent(shares.silt))
            .unwrap_or_default(),
        clay_percent: shares
            .map(|shares: SoilShares| percent(shares.clay))
            .unwrap_or_default(),
        note: test.note.clone(),
        create_time: Some(timestamp(stored.created)),
    }
}
