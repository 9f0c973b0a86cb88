//! How sites are kept.

use hod_domain::fault::Fault;
use hod_domain::site::Site;
use hod_store::{Session, StoreFault, site as kept};
use hod_wire::v1 as wire;

use super::resource::{Changeable, Resource};
use crate::decode::{self, Decoder, MaskedFields, masked};
use crate::encode;
use crate::name::{Collection, Sites};

impl Resource for Sites {
    type Key = <Sites as Collection>::Id;
    type Scope = ();
    type Value = Site;
    type Wire = wire::Site;

    const FIELD: &'static str = "site";

    fn key(decoder: &mut Decoder<'_>, field: &'static str, name: &str) -> Option<Self::Key> {
        decoder.name::<Sites>(field, name)
    }

    fn name(wire: &wire::Site) -> &str {
        &wire.name
    }

    fn decode<'a>(
        decoder: &mut Decoder<'a>,
        wire: &'a wire::Site,
        key: Option<&Self::Key>,
    ) -> Option<Site> {
        decode::site(decoder, wire, key)
    }

    fn faults(_: &Site) -> Vec<Fault> {
        Vec::new()
    }

    fn field_of(noun: &str) -> &'static str {
        if noun == "region" { "site.region" } else { "" }
    }

    async fn fetch(session: &mut Session, key: &Self::Key) -> Result<wire::Site, StoreFault> {
        Ok(encode::site(&kept::get(session, key).await?))
    }

    async fn page(
        session: &mut Session,
        (): &(),
        after: Option<&str>,
        limit: u32,
    ) -> Result<Vec<wire::Site>, StoreFault> {
        let after = after.and_then(|after| Sites::id(after).ok());
        let found = kept::list(session, after.as_ref(), limit).await?;
        Ok(found.iter().map(encode::site).collect())
    }

    async fn insert(
        session: &mut Session,
        _: &Self::Key,
        value: &Site,
    ) -> Result<wire::Site, StoreFault> {
        Ok(encode::site(&kept::insert(session, value).await?))
    }
}

impl Changeable for Sites {
    const MESSAGE: &'static str = "hod.v1.Site";
    const MASKED: MaskedFields<wire::Site> = masked!(wire::Site {
        display_name,
        region,
        haul_distance_m,
    });
    const NAME_FIELD: &'static str = "site.name";

    fn etag(wire: &wire::Site) -> &str {
        &wire.etag
    }

    async fn replace(
        session: &mut Session,
        _: &Self::Key,
        value: &Site,
        expected: Option<i64>,
    ) -> Result<wire::Site, StoreFault> {
        Ok(encode::site(&kept::update(session, value, expected).await?))
    }
}
