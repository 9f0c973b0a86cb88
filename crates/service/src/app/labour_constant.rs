//! How labour constants are kept.

use hod_domain::fault::Fault;
use hod_domain::work::{LabourConstant, Task};
use hod_store::{Session, StoreFault, labour_constant as kept};
use hod_wire::v1 as wire;

use super::resource::{Changeable, Resource};
use crate::decode::{self, Decoder, MaskedFields, masked};
use crate::encode;
use crate::name::{Collection, LabourConstants};

impl Resource for LabourConstants {
    type Key = <LabourConstants as Collection>::Id;
    type Scope = Option<Task>;
    type Value = LabourConstant;
    type Wire = wire::LabourConstant;

    const FIELD: &'static str = "labour_constant";

    fn key(decoder: &mut Decoder<'_>, field: &'static str, name: &str) -> Option<Self::Key> {
        decoder.name::<LabourConstants>(field, name)
    }

    fn name(wire: &wire::LabourConstant) -> &str {
        &wire.name
    }

    fn decode<'a>(
        decoder: &mut Decoder<'a>,
        wire: &'a wire::LabourConstant,
        key: Option<&Self::Key>,
    ) -> Option<LabourConstant> {
        decode::labour_constant(decoder, wire, key)
    }

    fn faults(value: &LabourConstant) -> Vec<Fault> {
        value.faults()
    }

    fn field_of(_: &str) -> &'static str {
        ""
    }

    async fn fetch(
        session: &mut Session,
        key: &Self::Key,
    ) -> Result<wire::LabourConstant, StoreFault> {
        Ok(encode::labour_constant(&kept::get(session, key).await?))
    }

    async fn page(
        session: &mut Session,
        task: &Option<Task>,
        after: Option<&str>,
        limit: u32,
    ) -> Result<Vec<wire::LabourConstant>, StoreFault> {
        let after = after.and_then(|after| LabourConstants::id(after).ok());
        let found = kept::list(session, *task, after.as_ref(), limit).await?;
        Ok(found.iter().map(encode::labour_constant).collect())
    }

    async fn insert(
        session: &mut Session,
        _: &Self::Key,
        value: &LabourConstant,
    ) -> Result<wire::LabourConstant, StoreFault> {
        Ok(encode::labour_constant(
            &kept::insert(session, value).await?,
        ))
    }
}

impl Changeable for LabourConstants {
    const MESSAGE: &'static str = "hod.v1.LabourConstant";
    const MASKED: MaskedFields<wire::LabourConstant> = masked!(wire::LabourConstant {
        display_name,
        task,
        method,
        driver,
        low_hours,
        likely_hours,
        high_hours,
        make_up,
        source,
    });
    const NAME_FIELD: &'static str = "labour_constant.name";

    fn etag(wire: &wire::LabourConstant) -> &str {
        &wire.etag
    }

    async fn replace(
        session: &mut Session,
        _: &Self::Key,
        value: &LabourConstant,
        expected: Option<i64>,
    ) -> Result<wire::LabourConstant, StoreFault> {
        Ok(encode::labour_constant(
            &kept::update(session, value, expected).await?,
        ))
    }
}
