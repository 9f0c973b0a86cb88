//! Why a quote of an estimate would be only provisional: somebody works for nothing, nothing is put by, or a mix rests on no
//! trial. What is to be done about it is for whoever issues the quote.

use super::price_chain::LoadedRate;
use super::{ProvisionalCause, ProvisionalMatter};
use crate::region::BuildUp;
use crate::takeoff::Caution;

/// The cautions by which a mix rests on no trial: none was made, or the one that is named is not there, is not decided, was
/// turned down or was of another recipe.
const NO_TRIAL: [&str; 5] = [
    "MIX_NOT_TESTED",
    "MIX_DIFFERS_FROM_TRIAL",
    "TRIAL_UNKNOWN",
    "TRIAL_OPEN",
    "TRIAL_TURNED_DOWN",
];

/// All of them: wages, then contingency, then mixes.
pub(super) fn matters<'a>(
    rates: impl Iterator<Item = &'a LoadedRate>,
    build_up: &BuildUp,
    cautions: &[Caution],
) -> Vec<ProvisionalMatter> {
    let mut matters: Vec<ProvisionalMatter> = rates.filter_map(wage_zero).collect();
    if build_up.contingency.is_zero() {
        matters.push(ProvisionalMatter {
            reason: ProvisionalCause::ContingencyZero,
            subject: String::new(),
            description: "the contingency is 0 %: nothing is put by for what goes wrong".to_owned(),
        });
    }
    let untested = cautions
        .iter()
        .filter(|caution| NO_TRIAL.contains(&caution.reason));
    matters.extend(untested.map(|caution| ProvisionalMatter {
        reason: ProvisionalCause::MixNotTested,
        subject: caution.subject.to_string(),
        description: caution.description.to_string(),
    }));
    matters
}

fn wage_zero(rate: &LoadedRate) -> Option<ProvisionalMatter> {
    rate.wage.is_zero().then(|| ProvisionalMatter {
        reason: ProvisionalCause::WageZero,
        subject: rate.name.clone(),
        description: format!(
            "the wage of {} is 0: the price holds only as long as somebody works for nothing",
            rate.grade
        ),
    })
}
