//! How regions are kept.

use hod_domain::fault::Fault;
use hod_domain::id::RegionId;
use hod_domain::region::Region;
use hod_store::{Session, StoreFault, Stored, region as kept};
use hod_wire::v1 as wire;

use super::resource::{Changeable, Resource};
use crate::decode::{self, Decoder, MaskedFields, masked};
use crate::encode;
use crate::name::{Collection, Regions};

impl Resource for Regions {
    type Key = <Regions as Collection>::Id;
    type Scope = ();
    type Value = Region;
    type Wire = wire::Region;

    const FIELD: &'static str = "region";

    fn key(decoder: &mut Decoder<'_>, field: &'static str, name: &str) -> Option<Self::Key> {
        decoder.name::<Regions>(field, name)
    }

    fn name(wire: &wire::Region) -> &str {
        &wire.name
    }

    fn decode<'a>(
        decoder: &mut Decoder<'a>,
        wire: &'a wire::Region,
        key: Option<&Self::Key>,
    ) -> Option<Region> {
        decode::region(decoder, wire, key)
    }

    fn faults(value: &Region) -> Vec<Fault> {
        value.faults()
    }

    fn field_of(_: &str) -> &'static str {
        "region.parent_region"
    }

    async fn fetch(session: &mut Session, key: &Self::Key) -> Result<wire::Region, StoreFault> {
        let region = kept::get(session, key).await?;
        told(session, &region).await
    }

    async fn page(
        session: &mut Session,
        (): &(),
        after: Option<&str>,
        limit: u32,
    ) -> Result<Vec<wire::Region>, StoreFault> {
        let after = after.and_then(|after| Regions::id(after).ok());
        let found = kept::list(session, after.as_ref(), limit).await?;
        let ids: Vec<RegionId> = found.iter().map(|region| region.value.id.clone()).collect();
        let versions = kept::list_versions(session, &ids).await?;
        let told = |(region, version): (&Stored<Region>, i64)| encode::region(region, version);
        Ok(found.iter().zip(versions).map(told).collect())
    }

    async fn insert(
        session: &mut Session,
        _: &Self::Key,
        value: &Region,
    ) -> Result<wire::Region, StoreFault> {
        let region = kept::insert(session, value).await?;
        told(session, &region).await
    }
}

impl Changeable for Regions {
    const MESSAGE: &'static str = "hod.v1.Region";
    const MASKED: MaskedFields<wire::Region> = masked!(wire::Region {
        display_name, parent_region, currency_code, rounding, build_up { site_overhead_percent, firm_overhead_percent, contingency_percent, profit_percent, profit_basis, tax_label, tax_percent, tax_basis, allowances, taxes, discount_percent, discount_amount, minimum_charge, round_price_to, daywork_percent },
    });
    const NAME_FIELD: &'static str = "region.name";

    fn etag(wire: &wire::Region) -> &str {
        &wire.etag
    }

    async fn replace(
        session: &mut Session,
        _: &Self::Key,
        value: &Region,
        expected: Option<i64>,
    ) -> Result<wire::Region, StoreFault> {
        let region = kept::update(session, value, expected).await?;
        told(session, &region).await
    }
}

/// A region with the version that its list has reached.
async fn told(session: &mut Session, region: &Stored<Region>) -> Result<wire::Region, StoreFault> {
    let version = kept::list_version(session, &region.value.id).await?;
    Ok(encode::region(region, version))
}
