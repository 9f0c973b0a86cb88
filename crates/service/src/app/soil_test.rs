//! How soil tests are kept: each under its site, never changed.

use hod_domain::fault::Fault;
use hod_domain::id::{SiteId, SoilTestId};
use hod_domain::soil::SoilTest;
use hod_store::{Session, StoreFault, soil_test as kept};
use hod_wire::v1 as wire;

use super::resource::Resource;
use crate::decode::{self, Decoder};
use crate::encode;
use crate::name::{Collection, Sites, SoilTests};

impl Resource for SoilTests {
    type Key = (SiteId, SoilTestId);
    type Scope = SiteId;
    type Value = SoilTest;
    type Wire = wire::SoilTest;

    const FIELD: &'static str = "soil_test";

    fn key(decoder: &mut Decoder<'_>, field: &'static str, name: &str) -> Option<Self::Key> {
        decoder.child_name::<Sites, SoilTests>(field, name)
    }

    fn name(wire: &wire::SoilTest) -> &str {
        &wire.name
    }

    fn decode<'a>(
        decoder: &mut Decoder<'a>,
        wire: &'a wire::SoilTest,
        key: Option<&Self::Key>,
    ) -> Option<SoilTest> {
        decode::soil_test(decoder, wire, key.map(|(_, id)| id))
    }

    fn faults(value: &SoilTest) -> Vec<Fault> {
        value.faults()
    }

    fn field_of(_: &str) -> &'static str {
        "parent"
    }

    async fn fetch(
        session: &mut Session,
        (site, id): &Self::Key,
    ) -> Result<wire::SoilTest, StoreFault> {
        let test = kept::get(session, site, id).await?;
        Ok(encode::soil_test(&test, site))
    }

    async fn page(
        session: &mut Session,
        site: &SiteId,
        after: Option<&str>,
        limit: u32,
    ) -> Result<Vec<wire::SoilTest>, StoreFault> {
        let after = after.and_then(|after| SoilTests::id(after).ok());
        let found = kept::list(session, site, after.as_ref(), limit).await?;
        Ok(found
            .iter()
            .map(|test| encode::soil_test(test, site))
            .collect())
    }

    async fn insert(
        session: &mut Session,
        (site, _): &Self::Key,
        value: &SoilTest,
    ) -> Result<wire::SoilTest, StoreFault> {
        let test = kept::insert(session, site, value).await?;
        Ok(encode::soil_test(&test, site))
    }
}
