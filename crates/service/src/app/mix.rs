//! How mixes are kept.

use hod_domain::fault::Fault;
use hod_domain::mix::Mix;
use hod_store::{Session, StoreFault, mix as kept};
use hod_wire::v1 as wire;

use super::resource::{Changeable, Resource};
use crate::decode::{self, Decoder, MaskedFields, masked};
use crate::encode;
use crate::name::{Collection, Mixes};

impl Resource for Mixes {
    type Key = <Mixes as Collection>::Id;
    type Scope = ();
    type Value = Mix;
    type Wire = wire::Mix;

    const FIELD: &'static str = "mix";

    fn key(decoder: &mut Decoder<'_>, field: &'static str, name: &str) -> Option<Self::Key> {
        decoder.name::<Mixes>(field, name)
    }

    fn name(wire: &wire::Mix) -> &str {
        &wire.name
    }

    fn decode<'a>(
        decoder: &mut Decoder<'a>,
        wire: &'a wire::Mix,
        key: Option<&Self::Key>,
    ) -> Option<Mix> {
        decode::mix(decoder, wire, key)
    }

    fn faults(value: &Mix) -> Vec<Fault> {
        value.faults()
    }

    fn field_of(noun: &str) -> &'static str {
        if noun == "material" { "mix" } else { "" }
    }

    async fn fetch(session: &mut Session, key: &Self::Key) -> Result<wire::Mix, StoreFault> {
        Ok(encode::mix(&kept::get(session, key).await?))
    }

    async fn page(
        session: &mut Session,
        (): &(),
        after: Option<&str>,
        limit: u32,
    ) -> Result<Vec<wire::Mix>, StoreFault> {
        let after = after.and_then(|after| Mixes::id(after).ok());
        let found = kept::list(session, after.as_ref(), limit).await?;
        Ok(found.iter().map(encode::mix).collect())
    }

    async fn insert(
        session: &mut Session,
        _: &Self::Key,
        value: &Mix,
    ) -> Result<wire::Mix, StoreFault> {
        Ok(encode::mix(&kept::insert(session, value).await?))
    }
}

impl Changeable for Mixes {
    const MESSAGE: &'static str = "hod.v1.Mix";
    const MASKED: MaskedFields<wire::Mix> = masked!(wire::Mix {
        display_name,
        ingredients,
        bucket_l,
        buckets_per_part,
        density_dry_kg_m3,
        batch_yield_l,
        straw_material,
        straw_kg_per_m3,
        water_material,
        water_percent,
        waste_percent,
        purpose,
        measure,
        mixing,
        density_evidence,
        trial,
        source,
    });
    const NAME_FIELD: &'static str = "mix.name";

    fn etag(wire: &wire::Mix) -> &str {
        &wire.etag
    }

    async fn replace(
        session: &mut Session,
        _: &Self::Key,
        value: &Mix,
        expected: Option<i64>,
    ) -> Result<wire::Mix, StoreFault> {
        Ok(encode::mix(&kept::update(session, value, expected).await?))
    }
}
