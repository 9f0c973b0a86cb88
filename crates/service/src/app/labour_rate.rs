//! How labour rates are kept: each under its region, in the same list as the region's prices.

use hod_domain::fault::Fault;
use hod_domain::id::{PriceId, RegionId};
use hod_domain::price::LabourRate;
use hod_store::labour_rate::LabourRateFilter;
use hod_store::{Session, StoreFault, labour_rate as kept, region};
use hod_units::Date;
use hod_wire::v1 as wire;

use super::resource::{Listed, Resource};
use crate::decode::{self, Decoder};
use crate::encode;
use crate::name::{Collection, LabourRates, Regions};

impl Resource for LabourRates {
    type Key = (RegionId, PriceId);
    type Scope = (RegionId, LabourRateFilter);
    type Value = LabourRate;
    type Wire = wire::LabourRate;

    const FIELD: &'static str = "labour_rate";

    fn key(decoder: &mut Decoder<'_>, field: &'static str, name: &str) -> Option<Self::Key> {
        decoder.child_name::<Regions, LabourRates>(field, name)
    }

    fn name(wire: &wire::LabourRate) -> &str {
        &wire.name
    }

    fn decode<'a>(
        decoder: &mut Decoder<'a>,
        wire: &'a wire::LabourRate,
        key: Option<&Self::Key>,
    ) -> Option<LabourRate> {
        decode::labour_rate(decoder, wire, key.map(|(_, id)| id))
    }

    fn faults(value: &LabourRate) -> Vec<Fault> {
        value.faults()
    }

    fn field_of(_: &str) -> &'static str {
        "parent"
    }

    async fn fetch(
        session: &mut Session,
        (region, id): &Self::Key,
    ) -> Result<wire::LabourRate, StoreFault> {
        let rate = kept::get(session, region, id).await?;
        let region = region::get(session, region).await?.value;
        Ok(encode::labour_rate(&rate, &region))
    }

    async fn page(
        session: &mut Session,
        (region, filter): &Self::Scope,
        after: Option<&str>,
        limit: u32,
    ) -> Result<Vec<wire::LabourRate>, StoreFault> {
        let after = after.and_then(|after| LabourRates::id(after).ok());
        let paying = region::get(session, region).await?.value;
        let found = kept::list(session, region, filter, after.as_ref(), limit).await?;
        Ok(found
            .iter()
            .map(|rate| encode::labour_rate(rate, &paying))
            .collect())
    }

    async fn insert(
        session: &mut Session,
        key: &Self::Key,
        value: &LabourRate,
    ) -> Result<wire::LabourRate, StoreFault> {
        Self::insert_since(session, key, value, None).await
    }
}

impl Listed for LabourRates {
    async fn insert_since(
        session: &mut Session,
        (region, _): &Self::Key,
        value: &LabourRate,
        read: Option<i64>,
    ) -> Result<wire::LabourRate, StoreFault> {
        let rate = kept::insert(session, region, value, read).await?;
        let region = region::get(session, region).await?.value;
        Ok(encode::labour_rate(&rate, &region))
    }

    async fn close_since(
        session: &mut Session,
        (region, id): &Self::Key,
        last_day: Date,
        read: Option<i64>,
    ) -> Result<wire::LabourRate, StoreFault> {
        let rate = kept::close(session, region, id, last_day, read).await?;
        let region = region::get(session, region).await?.value;
        Ok(encode::labour_rate(&rate, &region))
    }
}
