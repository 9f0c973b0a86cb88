//! How prices are kept: each under its region, in a list whose versions stay.

use hod_domain::fault::Fault;
use hod_domain::id::{PriceId, RegionId};
use hod_domain::price::Price;
use hod_store::price::PriceFilter;
use hod_store::{Session, StoreFault, price as kept, region};
use hod_units::Date;
use hod_wire::v1 as wire;

use super::resource::{Listed, Resource};
use crate::decode::{self, Decoder};
use crate::encode;
use crate::name::{Collection, Prices, Regions};

impl Resource for Prices {
    type Key = (RegionId, PriceId);
    type Scope = (RegionId, PriceFilter);
    type Value = Price;
    type Wire = wire::Price;

    const FIELD: &'static str = "price";

    fn key(decoder: &mut Decoder<'_>, field: &'static str, name: &str) -> Option<Self::Key> {
        decoder.child_name::<Regions, Prices>(field, name)
    }

    fn name(wire: &wire::Price) -> &str {
        &wire.name
    }

    fn decode<'a>(
        decoder: &mut Decoder<'a>,
        wire: &'a wire::Price,
        key: Option<&Self::Key>,
    ) -> Option<Price> {
        decode::price(decoder, wire, key.map(|(_, id)| id))
    }

    fn faults(value: &Price) -> Vec<Fault> {
        value.faults()
    }

    fn field_of(noun: &str) -> &'static str {
        if noun == "material" {
            "price.material"
        } else {
            "parent"
        }
    }

    async fn fetch(
        session: &mut Session,
        (region, id): &Self::Key,
    ) -> Result<wire::Price, StoreFault> {
        let price = kept::get(session, region, id).await?;
        let currency = region::get(session, region).await?.value.currency;
        Ok(encode::price(&price, region, currency))
    }

    async fn page(
        session: &mut Session,
        (region, filter): &Self::Scope,
        after: Option<&str>,
        limit: u32,
    ) -> Result<Vec<wire::Price>, StoreFault> {
        let after = after.and_then(|after| Prices::id(after).ok());
        let currency = region::get(session, region).await?.value.currency;
        let found = kept::list(session, region, filter, after.as_ref(), limit).await?;
        Ok(found
            .iter()
            .map(|price| encode::price(price, region, currency))
            .collect())
    }

    async fn insert(
        session: &mut Session,
        key: &Self::Key,
        value: &Price,
    ) -> Result<wire::Price, StoreFault> {
        Self::insert_since(session, key, value, None).await
    }
}

impl Listed for Prices {
    async fn insert_since(
        session: &mut Session,
        (region, _): &Self::Key,
        value: &Price,
        read: Option<i64>,
    ) -> Result<wire::Price, StoreFault> {
        let price = kept::insert(session, region, value, read).await?;
        let currency = region::get(session, region).await?.value.currency;
        Ok(encode::price(&price, region, currency))
    }

    async fn close_since(
        session: &mut Session,
        (region, id): &Self::Key,
        last_day: Date,
        read: Option<i64>,
    ) -> Result<wire::Price, StoreFault> {
        let price = kept::close(session, region, id, last_day, read).await?;
        let currency = region::get(session, region).await?.value.currency;
        Ok(encode::price(&price, region, currency))
    }
}
