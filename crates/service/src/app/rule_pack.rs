//! How rule packs are kept: never changed.

use hod_domain::fault::Fault;
use hod_domain::rules::RulePack;
use hod_store::{Session, StoreFault, rule_pack as kept};
use hod_wire::v1 as wire;

use super::resource::Resource;
use crate::decode::{self, Decoder};
use crate::encode;
use crate::name::{Collection, RulePacks};

impl Resource for RulePacks {
    type Key = <RulePacks as Collection>::Id;
    type Scope = ();
    type Value = RulePack;
    type Wire = wire::RulePack;

    const FIELD: &'static str = "rule_pack";

    fn key(decoder: &mut Decoder<'_>, field: &'static str, name: &str) -> Option<Self::Key> {
        decoder.name::<RulePacks>(field, name)
    }

    fn name(wire: &wire::RulePack) -> &str {
        &wire.name
    }

    fn decode<'a>(
        decoder: &mut Decoder<'a>,
        wire: &'a wire::RulePack,
        key: Option<&Self::Key>,
    ) -> Option<RulePack> {
        decode::rule_pack(decoder, wire, key)
    }

    fn faults(value: &RulePack) -> Vec<Fault> {
        value.faults()
    }

    fn field_of(_: &str) -> &'static str {
        ""
    }

    async fn fetch(session: &mut Session, key: &Self::Key) -> Result<wire::RulePack, StoreFault> {
        Ok(encode::rule_pack(&kept::get(session, key).await?))
    }

    async fn page(
        session: &mut Session,
        (): &(),
        after: Option<&str>,
        limit: u32,
    ) -> Result<Vec<wire::RulePack>, StoreFault> {
        let after = after.and_then(|after| RulePacks::id(after).ok());
        let found = kept::list(session, after.as_ref(), limit).await?;
        Ok(found.iter().map(encode::rule_pack).collect())
    }

    async fn insert(
        session: &mut Session,
        _: &Self::Key,
        value: &RulePack,
    ) -> Result<wire::RulePack, StoreFault> {
        Ok(encode::rule_pack(&kept::insert(session, value).await?))
    }
}
