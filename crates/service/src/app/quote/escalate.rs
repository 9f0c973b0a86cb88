//! The price of an old quote adjusted by published indices. Nothing is kept.

use hod_domain::escalation::Formula;
use hod_units::{Currency, Money, parse_decimal};
use hod_wire::v1 as wire;

use super::{against, fetched, priced, read};
use crate::app::App;
use crate::call::Call;
use crate::decode::{Decoder, formula};
use crate::encode;
use crate::name::{Collection, Quotes};
use crate::refusal::Refusal;

/// Adjusts the price before tax of a quote, which itself stays as it is.
pub async fn escalate_quote(
    app: &App,
    call: &Call,
    request: &wire::EscalateQuoteRequest,
) -> Result<wire::Escalation, Refusal> {
    let mut decoder = Decoder::new();
    let id = decoder.name::<Quotes>("name", &request.name);
    let formula: Option<Formula> = formula(&mut decoder, request);
    if let Some(formula) = &formula {
        for fault in formula.faults() {
            decoder.also(&fault.field, fault.reason, fault.message);
        }
    }
    let (Some(id), Some(formula), true) = (id, formula, decoder.is_clean()) else {
        return Err(Refusal::Fields(decoder.violations()));
    };
    let mut session = app.session(call).await?;
    let quote = fetched(&mut session, "name", &id).await?.value;
    let offer: wire::Offer = read(&quote.offer)?;
    let rounding = priced(&mut session, &id).await?.rounding;
    let currency = Currency::parse(&offer.currency_code).map_err(Refusal::internal)?;
    let price = parse_decimal(&offer.price_before_tax).map_err(Refusal::internal)?;
    let escalated = formula
        .escalate(Money::new(price, currency), rounding)
        .map_err(|faults| against(&request.name, faults))?;
    Ok(encode::escalation(&escalated, Quotes::name(&id)))
}
