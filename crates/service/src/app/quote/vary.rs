//! Variations: work agreed under an accepted quote, at its currency, rounding and taxes, under the quote's next number.

use futures::FutureExt;
use hod_domain::id::QuoteId;
use hod_domain::quote::{VariedQuote, variation};
use hod_store::Session;
use hod_store::variation::{self as kept, StoredVariation};
use hod_wire::v1 as wire;
use prost::Message;

use super::{against, fetched, hold, priced, read};
use crate::app::App;
use crate::app::resource::{Page, cut};
use crate::app::store_fault::refusal;
use crate::app::write::act;
use crate::call::Call;
use crate::decode::{self, Act, AgreedVariation, Decoder, Page as AskedPage};
use crate::encode::{self, VariationWords, timestamp};
use crate::name::{Collection, Quotes, Variations, child_name};
use crate::refusal::Refusal;

/// Keeps a variation.
pub async fn create_variation(
    app: &App,
    call: &Call,
    mut decoder: Decoder<'_>,
    how: Option<Act>,
    request: &wire::CreateVariationRequest,
) -> Result<wire::Variation, Refusal> {
    let quote = decoder.name::<Quotes>("parent", &request.parent);
    let agreed = match &request.variation {
        Some(sent) => decoder.within("variation", |decoder| decode::variation(decoder, sent)),
        None => {
            decoder.refuse("variation", "MISSING", "variation is needed and missing");
            None
        }
    };
    let (Some(quote), Some(agreed), Some(how), true) = (quote, agreed, how, decoder.is_clean())
    else {
        return Err(Refusal::Fields(decoder.violations()));
    };
    act(app, call, &how, |session| {
        varied(session, quote, agreed).boxed()
    })
    .await
}

/// Its number is taken while the quote is held, so that there are no gaps and no repeats.
async fn varied(
    session: &mut Session,
    quote: QuoteId,
    agreed: AgreedVariation,
) -> Result<wire::Variation, Refusal> {
    hold(session, "parent", &quote).await?;
    let stored = fetched(session, "parent", &quote).await?.value;
    let estimate = priced(session, &quote).await?;
    let varied = VariedQuote {
        currency: estimate.currency,
        rounding: estimate.rounding,
        taxes: estimate.build_up.taxes,
        accepted_on: stored.accepted_on(),
    };
    let reckoned = variation(&varied, &agreed.terms, session.latest_date())
        .map_err(|faults| against(&Quotes::name(&quote), faults))?;
    let id = kept::next_number(session, &quote)
        .await
        .map_err(|fault| refusal(fault, |_| "parent"))?;
    let AgreedVariation {
        title,
        reason,
        terms,
    } = agreed;
    let words = VariationWords { title, reason };
    let answer = wire::Variation {
        name: child_name::<Quotes, Variations>(&quote, &id),
        create_time: Some(timestamp(session.now())),
        ..encode::variation(&reckoned, &terms, &words, varied.currency, id.number())
    };
    let new = StoredVariation {
        quote,
        id,
        agreed_date: terms.agreed_date,
        days: terms.days,
        total: reckoned.total.amount(),
        body: answer.encode_to_vec(),
    };
    kept::insert(session, &new)
        .await
        .map_err(|fault| refusal(fault, |_| "parent"))?;
    Ok(answer)
}

/// Reads a variation.
pub async fn get_variation(app: &App, call: &Call, name: &str) -> Result<wire::Variation, Refusal> {
    let mut decoder = Decoder::new();
    let Some((quote, id)) = decoder.child_name::<Quotes, Variations>("name", name) else {
        return Err(Refusal::Fields(decoder.violations()));
    };
    let mut session = app.session(call).await?;
    let stored = kept::get(&mut session, &quote, &id)
        .await
        .map_err(|fault| refusal(fault, |_| "name"))?;
    read(&stored.value.body)
}

/// Lists the variations of a quote by number.
pub async fn list_variations(
    app: &App,
    call: &Call,
    mut decoder: Decoder<'_>,
    page: Option<AskedPage>,
    parent: &str,
) -> Result<Page<wire::Variation>, Refusal> {
    let quote = decoder.name::<Quotes>("parent", parent);
    let (Some(page), Some(quote), true) = (page, quote, decoder.is_clean()) else {
        return Err(Refusal::Fields(decoder.violations()));
    };
    let mut session = app.session(call).await?;
    let after = page
        .after
        .as_deref()
        .and_then(|after| Variations::id(after).ok());
    let found = kept::list(&mut session, &quote, after.as_ref(), page.size + 1)
        .await
        .map_err(|fault| refusal(fault, |_| "parent"))?;
    let all: Result<Vec<wire::Variation>, Refusal> = found
        .iter()
        .map(|stored| read(&stored.value.body))
        .collect();
    Ok(cut(all?, &page, |variation| &variation.name))
}
