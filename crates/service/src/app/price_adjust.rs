//! Prices that stand changed by a rule, a percentage or an index, in one act.

use std::sync::Arc;

use hod_domain::price::{Adjustment, Price, PriceRow, adjust};
use hod_domain::region::Region;
use hod_store::price_changes::{Applied, PriceChanges, RowFault};
use hod_store::price_walk::{Walk, WalkFilter, lock_list};
use hod_store::{Session, Stored, region};
use hod_units::{DateRange, canonical};
use hod_wire::v1 as wire;
use tokio::sync::mpsc;

use super::App;
use super::price_act::{Done, Events, ROWS_AT_ONCE, Sender, WAITING_MAX, finish, plain};
use super::price_fault::row_fault;
use super::store_fault::refusal;
use super::write::answered;
use crate::call::Call;
use crate::decode::{Act, AdjustAsked, Decoder, SOURCE_CHARACTERS_MAX};
use crate::refusal::Refusal;

/// So many prices that cannot be kept are told in one refusal.
const FAULTS_SAID_MAX: usize = 20;

/// Changes prices that stand by a rule.
pub fn adjust_prices(
    app: Arc<App>,
    call: Call,
    decoder: Decoder<'_>,
    how: Option<Act>,
    asked: Option<AdjustAsked>,
) -> Result<Events, Refusal> {
    let (Some(how), Some(asked), true) = (how, asked, decoder.is_clean()) else {
        return Err(Refusal::Fields(decoder.violations()));
    };
    let (sender, events) = mpsc::channel(WAITING_MAX);
    tokio::spawn(async move {
        let done = adjust_all(&app, &call, &how, &asked, &sender).await;
        finish(&sender, done).await;
    });
    Ok(events)
}

async fn adjust_all(
    app: &App,
    call: &Call,
    how: &Act,
    asked: &AdjustAsked,
    sender: &Sender,
) -> Result<wire::PriceChangesSummary, Refusal> {
    let named = |fault| {
        refusal(fault, |noun| {
            if noun == "material" {
                "materials"
            } else {
                "parent"
            }
        })
    };
    let mut session = app.long_session(call).await?;
    if let Some(summary) = answered(&mut session, how).await? {
        return Ok(summary);
    }
    lock_list(&mut session, &asked.region, asked.read)
        .await
        .map_err(named)?;
    let region = region::get(&mut session, &asked.region)
        .await
        .map_err(named)?
        .value;
    let filter = filter(asked);
    let mut walk = Walk::begin(&mut session, &filter).await.map_err(named)?;
    let gathered = gather(&mut session, &mut walk, asked, &region).await?;
    match gathered.apply(&mut session, None).await.map_err(plain)? {
        Applied::Done(summary) => {
            let done = Done {
                summary,
                has_rows: false,
                effect: asked.effect,
            };
            done.told(session, how, sender).await
        }
        Applied::Faulty(faults, _) => Err(out_of_range(&faults)),
    }
}

/// What the rule is to change.
fn filter(asked: &AdjustAsked) -> WalkFilter {
    WalkFilter {
        region: Some(asked.region.clone()),
        from: Some(asked.start),
        group: asked.group.clone(),
        materials: asked.materials.clone(),
        supplier: (!asked.supplier.is_empty()).then(|| asked.supplier.clone()),
        ..WalkFilter::default()
    }
}

/// Every price of the walk as the rule makes it.
async fn gather(
    session: &mut Session,
    walk: &mut Walk,
    asked: &AdjustAsked,
    region: &Region,
) -> Result<PriceChanges, Refusal> {
    let places = asked.places.unwrap_or(region.currency.minor_units());
    let mut gathered = PriceChanges::begin(session).await.map_err(plain)?;
    loop {
        let standing = walk.next(session, ROWS_AT_ONCE).await.map_err(plain)?;
        if standing.is_empty() {
            break;
        }
        let rows = standing
            .into_iter()
            .map(|(_, Stored { value, .. })| {
                let price = adjust(&value, &asked.change, places, region.rounding);
                price
                    .map(|price| adjusted(asked, price))
                    .ok_or_else(|| too_large(&value))
            })
            .collect::<Result<Vec<PriceRow>, Refusal>>()?;
        gathered.add(session, &rows).await.map_err(plain)?;
    }
    Ok(gathered)
}

/// The new prices that cannot be kept, the first of them.
fn out_of_range(faults: &[RowFault]) -> Refusal {
    let words = |fault: &RowFault| row_fault(fault, &[]).message;
    let said: Vec<String> = faults.iter().take(FAULTS_SAID_MAX).map(words).collect();
    Refusal::field("percent", "PRICE_OUT_OF_RANGE", said.join("; "))
}

/// The row of a price that was changed by a rule: from the first day of the change on, or from its own where that is
/// later, to the end that it has.
fn adjusted(asked: &AdjustAsked, price: Price) -> PriceRow {
    let from = asked.start.max(price.in_force.from());
    PriceRow {
        row: 0,
        region: asked.region.clone(),
        id: None,
        source: source(asked, &price.source),
        material: price.material,
        supplier: price.supplier,
        unit_price: price.unit_price,
        unit: price.unit,
        in_force: DateRange::new(from, price.in_force.to()).unwrap_or(price.in_force),
        terms: price.terms,
    }
}

/// Where a price that was changed by a rule comes from: the index and its figures, or the percentage, before what was
/// there; as much of that as a source may hold.
fn source(asked: &AdjustAsked, before: &str) -> String {
    let rule = match &asked.change {
        Adjustment::Percent(percent) => format!("{} % on the price before", canonical(*percent)),
        Adjustment::Index {
            series,
            base,
            current,
        } => format!("{series}, {} to {}", canonical(*base), canonical(*current)),
    };
    if before.is_empty() {
        return rule;
    }
    [rule.as_str(), ": ", before]
        .concat()
        .chars()
        .take(SOURCE_CHARACTERS_MAX)
        .collect()
}

fn too_large(price: &Price) -> Refusal {
    Refusal::field(
        "percent",
        "OVERFLOW",
        format!(
            "price {} would become too large to be reckoned with; change it by less",
            price.id
        ),
    )
}
