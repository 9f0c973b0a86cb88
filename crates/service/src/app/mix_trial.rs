//! How mix trials are kept: each under its site, never changed. A trial is told with the rules that it names beside it,
//! which are never changed either.

use hod_domain::fault::Fault;
use hod_domain::id::{MixTrialId, SiteId};
use hod_domain::rules::RulePack;
use hod_domain::trial::MixTrial;
use hod_store::{Session, StoreFault, Stored, mix_trial as kept, rule_pack};
use hod_wire::v1 as wire;

use super::resource::Resource;
use crate::decode::{self, Decoder};
use crate::encode;
use crate::name::{Collection, MixTrials, Sites};

impl Resource for MixTrials {
    type Key = (SiteId, MixTrialId);
    type Scope = SiteId;
    type Value = MixTrial;
    type Wire = wire::MixTrial;

    const FIELD: &'static str = "mix_trial";

    fn key(decoder: &mut Decoder<'_>, field: &'static str, name: &str) -> Option<Self::Key> {
        decoder.child_name::<Sites, MixTrials>(field, name)
    }

    fn name(wire: &wire::MixTrial) -> &str {
        &wire.name
    }

    fn decode<'a>(
        decoder: &mut Decoder<'a>,
        wire: &'a wire::MixTrial,
        key: Option<&Self::Key>,
    ) -> Option<MixTrial> {
        decode::mix_trial(decoder, wire, key)
    }

    fn faults(value: &MixTrial) -> Vec<Fault> {
        value.faults()
    }

    fn field_of(noun: &str) -> &'static str {
        match noun {
            "soil test" => "mix_trial.soil_test",
            "rule pack" => "mix_trial.rule_pack",
            "material" => "mix_trial.ingredients",
            _ => "parent",
        }
    }

    async fn fetch(
        session: &mut Session,
        (site, id): &Self::Key,
    ) -> Result<wire::MixTrial, StoreFault> {
        let trial = kept::get(session, site, id).await?;
        told(session, &trial, &mut Vec::new()).await
    }

    async fn page(
        session: &mut Session,
        site: &SiteId,
        after: Option<&str>,
        limit: u32,
    ) -> Result<Vec<wire::MixTrial>, StoreFault> {
        let after = after.and_then(|after| MixTrials::id(after).ok());
        let found = kept::list(session, site, after.as_ref(), limit).await?;
        let mut packs = Vec::new();
        let mut page = Vec::with_capacity(found.len());
        for trial in &found {
            page.push(told(session, trial, &mut packs).await?);
        }
        Ok(page)
    }

    async fn insert(
        session: &mut Session,
        _: &Self::Key,
        value: &MixTrial,
    ) -> Result<wire::MixTrial, StoreFault> {
        let trial = kept::insert(session, value).await?;
        told(session, &trial, &mut Vec::new()).await
    }
}

/// A trial with the verdicts of its rules. Packs that were read before are taken from `packs`.
async fn told(
    session: &mut Session,
    trial: &Stored<MixTrial>,
    packs: &mut Vec<RulePack>,
) -> Result<wire::MixTrial, StoreFault> {
    let Some(id) = &trial.value.rule_pack else {
        return Ok(encode::mix_trial(trial, None));
    };
    if !packs.iter().any(|pack| pack.id == *id) {
        packs.push(rule_pack::get(session, id).await?.value);
    }
    let pack = packs.iter().find(|pack| pack.id == *id);
    Ok(encode::mix_trial(trial, pack))
}
