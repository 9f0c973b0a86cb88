//! How materials are kept.

use hod_domain::fault::Fault;
use hod_domain::material::Material;
use hod_store::{Session, StoreFault, material as kept};
use hod_wire::v1 as wire;

use super::resource::{Changeable, Resource};
use crate::decode::{self, Decoder, MaskedFields, masked};
use crate::encode;
use crate::name::{Collection, Materials};

impl Resource for Materials {
    type Key = <Materials as Collection>::Id;
    type Scope = ();
    type Value = Material;
    type Wire = wire::Material;

    const FIELD: &'static str = "material";

    fn key(decoder: &mut Decoder<'_>, field: &'static str, name: &str) -> Option<Self::Key> {
        decoder.name::<Materials>(field, name)
    }

    fn name(wire: &wire::Material) -> &str {
        &wire.name
    }

    fn decode<'a>(
        decoder: &mut Decoder<'a>,
        wire: &'a wire::Material,
        key: Option<&Self::Key>,
    ) -> Option<Material> {
        decode::material(decoder, wire, key)
    }

    fn faults(value: &Material) -> Vec<Fault> {
        value.faults()
    }

    fn field_of(_: &str) -> &'static str {
        ""
    }

    async fn fetch(session: &mut Session, key: &Self::Key) -> Result<wire::Material, StoreFault> {
        Ok(encode::material(&kept::get(session, key).await?))
    }

    async fn page(
        session: &mut Session,
        (): &(),
        after: Option<&str>,
        limit: u32,
    ) -> Result<Vec<wire::Material>, StoreFault> {
        let after = after.and_then(|after| Materials::id(after).ok());
        let found = kept::list(session, after.as_ref(), limit).await?;
        Ok(found.iter().map(encode::material).collect())
    }

    async fn insert(
        session: &mut Session,
        _: &Self::Key,
        value: &Material,
    ) -> Result<wire::Material, StoreFault> {
        Ok(encode::material(&kept::insert(session, value).await?))
    }
}

impl Changeable for Materials {
    const MESSAGE: &'static str = "hod.v1.Material";
    const MASKED: MaskedFields<wire::Material> = masked!(wire::Material {
        display_name,
        supply,
        purchase_unit,
        density_loose_kg_m3,
        bulking_percent,
        swell_percent,
        moisture_percent,
        mass_per_unit_kg,
        length_mm,
        width_mm,
        height_mm,
        order_step,
        clay_percent,
        source,
        group,
    });
    const NAME_FIELD: &'static str = "material.name";

    fn etag(wire: &wire::Material) -> &str {
        &wire.etag
    }

    async fn replace(
        session: &mut Session,
        _: &Self::Key,
        value: &Material,
        expected: Option<i64>,
    ) -> Result<wire::Material, StoreFault> {
        Ok(encode::material(
            &kept::update(session, value, expected).await?,
        ))
    }
}
