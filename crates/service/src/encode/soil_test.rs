//! Soil tests, with the shares that a jar's heights come to, the class, and what a jar cannot tell.

use hod_domain::id::SiteId;
use hod_domain::soil::{
    JarProtocol, SoilEvidence, SoilObservation, SoilShares, SoilTest, Texture, Uncertainty,
};
use hod_store::Stored;
use hod_units::{Length, Share, canonical};
use hod_wire::v1 as wire;

use super::number_if_any;
use super::stamp::timestamp;
use crate::name::{Sites, SoilTests, child_name};

/// A soil test of a site.
pub fn soil_test(stored: &Stored<SoilTest>, site: &SiteId) -> wire::SoilTest {
    let test = &stored.value;
    let (method, [sand_mm, silt_mm, clay_mm]) = evidence(&test.evidence);
    // What is kept has passed the rules, and then the shares can be told.
    let shares = test.shares().ok().flatten();
    let share = |of: fn(SoilShares) -> Share| shares.map(of).map(percent).unwrap_or_default();
    let grain = |of: fn(&JarProtocol) -> Option<Length>| {
        number_if_any(test.protocol.as_ref().and_then(of).map(Length::mm))
    };
    let uncertainty = test.uncertainty();
    let bound = |of: fn(&Uncertainty) -> Share| {
        uncertainty
            .as_ref()
            .map(of)
            .map(percent)
            .unwrap_or_default()
    };
    wire::SoilTest {
        name: child_name::<Sites, SoilTests>(site, &test.id),
        method: method.into(),
        sample_date: test.sampled.to_string(),
        depth_m: number_if_any(test.depth.map(Length::metres)),
        sand_mm,
        silt_mm,
        clay_mm,
        sand_percent: share(|shares| shares.sand),
        silt_percent: share(|shares| shares.silt),
        clay_percent: share(|shares| shares.clay),
        note: test.note.clone(),
        create_time: Some(timestamp(stored.created)),
        jar_protocol: test.protocol.as_ref().map(protocol),
        ribbon_mm: number_if_any(test.ribbon.map(Length::mm)),
        drop_note: test.drop_note.clone(),
        observations: test
            .observations
            .iter()
            .map(|seen| observation(*seen).into())
            .collect(),
        texture: test
            .texture()
            .map_or(wire::SoilTexture::Unspecified, texture)
            .into(),
        sand_mark_grain_mm: grain(JarProtocol::sand_mark_grain),
        silt_mark_grain_mm: grain(JarProtocol::silt_mark_grain),
        clay_percent_low: bound(|found| found.clay_low),
        clay_percent_high: bound(|found| found.clay_high),
        textures_within: uncertainty
            .iter()
            .flat_map(|found| {
                found
                    .textures_within
                    .iter()
                    .map(|class| texture(*class).into())
            })
            .collect(),
    }
}

fn percent(share: Share) -> String {
    canonical(share.percent())
}

/// The method, and the heights of a jar.
fn evidence(evidence: &SoilEvidence) -> (wire::SoilTestMethod, [String; 3]) {
    match evidence {
        SoilEvidence::ByHand => (wire::SoilTestMethod::ByHand, Default::default()),
        SoilEvidence::Jar { sand, silt, clay } => (
            wire::SoilTestMethod::Jar,
            [*sand, *silt, *clay].map(|height| canonical(height.mm())),
        ),
        SoilEvidence::Laboratory(_) => (wire::SoilTestMethod::Laboratory, Default::default()),
    }
}

fn protocol(protocol: &JarProtocol) -> wire::JarProtocol {
    wire::JarProtocol {
        sand_mark_s: canonical(protocol.sand_mark_s),
        silt_mark_min: canonical(protocol.silt_mark_min),
        clay_mark_h: number_if_any(protocol.clay_mark_h),
        water_height_mm: canonical(protocol.water_height.mm()),
        water_celsius: canonical(protocol.water_celsius),
    }
}

fn observation(seen: SoilObservation) -> wire::SoilObservation {
    match seen {
        SoilObservation::Topsoil => wire::SoilObservation::Topsoil,
        SoilObservation::Salts => wire::SoilObservation::Salts,
        SoilObservation::Contamination => wire::SoilObservation::Contamination,
        SoilObservation::SwellingClay => wire::SoilObservation::SwellingClay,
    }
}

fn texture(class: Texture) -> wire::SoilTexture {
    match class {
        Texture::Sand => wire::SoilTexture::Sand,
        Texture::LoamySand => wire::SoilTexture::LoamySand,
        Texture::SandyLoam => wire::SoilTexture::SandyLoam,
        Texture::Loam => wire::SoilTexture::Loam,
        Texture::SiltLoam => wire::SoilTexture::SiltLoam,
        Texture::Silt => wire::SoilTexture::Silt,
        Texture::SandyClayLoam => wire::SoilTexture::SandyClayLoam,
        Texture::ClayLoam => wire::SoilTexture::ClayLoam,
        Texture::SiltyClayLoam => wire::SoilTexture::SiltyClayLoam,
        Texture::SandyClay => wire::SoilTexture::SandyClay,
        Texture::SiltyClay => wire::SoilTexture::SiltyClay,
        Texture::Clay => wire::SoilTexture::Clay,
    }
}
