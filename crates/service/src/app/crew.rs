//! How crews are kept.

use hod_domain::fault::Fault;
use hod_domain::work::Crew;
use hod_store::{Session, StoreFault, crew as kept};
use hod_wire::v1 as wire;

use super::resource::{Changeable, Resource};
use crate::decode::{self, Decoder, MaskedFields, masked};
use crate::encode;
use crate::name::{Collection, Crews};

impl Resource for Crews {
    type Key = <Crews as Collection>::Id;
    type Scope = ();
    type Value = Crew;
    type Wire = wire::Crew;

    const FIELD: &'static str = "crew";

    fn key(decoder: &mut Decoder<'_>, field: &'static str, name: &str) -> Option<Self::Key> {
        decoder.name::<Crews>(field, name)
    }

    fn name(wire: &wire::Crew) -> &str {
        &wire.name
    }

    fn decode<'a>(
        decoder: &mut Decoder<'a>,
        wire: &'a wire::Crew,
        key: Option<&Self::Key>,
    ) -> Option<Crew> {
        decode::crew(decoder, wire, key)
    }

    fn faults(value: &Crew) -> Vec<Fault> {
        value.faults()
    }

    fn field_of(_: &str) -> &'static str {
        ""
    }

    async fn fetch(session: &mut Session, key: &Self::Key) -> Result<wire::Crew, StoreFault> {
        Ok(encode::crew(&kept::get(session, key).await?))
    }

    async fn page(
        session: &mut Session,
        (): &(),
        after: Option<&str>,
        limit: u32,
    ) -> Result<Vec<wire::Crew>, StoreFault> {
        let after = after.and_then(|after| Crews::id(after).ok());
        let found = kept::list(session, after.as_ref(), limit).await?;
        Ok(found.iter().map(encode::crew).collect())
    }

    async fn insert(
        session: &mut Session,
        _: &Self::Key,
        value: &Crew,
    ) -> Result<wire::Crew, StoreFault> {
        Ok(encode::crew(&kept::insert(session, value).await?))
    }
}

impl Changeable for Crews {
    const MESSAGE: &'static str = "hod.v1.Crew";
    const MASKED: MaskedFields<wire::Crew> = masked!(wire::Crew {
        display_name,
        hours_factor,
        make_up,
        source,
    });
    const NAME_FIELD: &'static str = "crew.name";

    fn etag(wire: &wire::Crew) -> &str {
        &wire.etag
    }

    async fn replace(
        session: &mut Session,
        _: &Self::Key,
        value: &Crew,
        expected: Option<i64>,
    ) -> Result<wire::Crew, StoreFault> {
        Ok(encode::crew(&kept::update(session, value, expected).await?))
    }
}
