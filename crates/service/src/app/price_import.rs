//! Many prices changed in one act: by a file, or by a rule for those that stand. All of it or nothing, in one transaction
//! with the keeping of the summary; what changes is told while nothing is kept yet, the summary once everything is.

use std::sync::Arc;

use futures::{Stream, StreamExt};
use hod_domain::price::{Adjustment, Price, adjust};
use hod_sheet::{FileFault, PriceRow as SheetRow};
use hod_store::price_changes::{self as changes, Applied, PriceChanges, PriceRow};
use hod_store::price_walk::{Walk, WalkFilter, lock_list};
use hod_store::{Session, Stored, region};
use hod_units::{Date, DateRange, canonical};
use hod_wire::v1 as wire;
use hod_wire::v1::import_prices_request::Part;
use hod_wire::v1::price_changes_response::Event;
use prost::Message;
use tokio::sync::mpsc;

use super::App;
use super::again::{Again, Listener, movements};
use super::price_fault::row_fault;
use super::price_file::{Arrived, read, receive};
use super::store_fault::refusal;
use super::write::{answered, end};
use crate::call::Call;
use crate::decode::{Act, AdjustAsked, Decoder, ImportAsked, SOURCE_CHARACTERS_MAX, import_start};
use crate::encode::{self, event, file_fault, number};
use crate::name::{Collection, Regions};
use crate::refusal::{Refusal, Violation};

/// So many events wait for a caller that reads slowly; then the work waits too.
const WAITING_MAX: usize = 256;

/// So many rows go to the store, and come from it, at once.
const ROWS_AT_ONCE: u32 = 5000;

/// Most bytes of a piece of a file.
const PIECE_BYTES_MAX: usize = 1024 * 1024;

/// What a change of many prices sends.
pub type Events = mpsc::Receiver<Result<wire::PriceChangesResponse, Refusal>>;
type Sender = mpsc::Sender<Result<wire::PriceChangesResponse, Refusal>>;

/// Takes a file of prices: how first, then its pieces.
pub fn import_prices(
    app: Arc<App>,
    call: Call,
    parts: impl Stream<Item = Result<Option<Part>, Refusal>> + Send + 'static,
) -> Events {
    let (sender, events) = mpsc::channel(WAITING_MAX);
    tokio::spawn(async move {
        let done = import(&app, &call, parts, &sender).await;
        finish(&sender, done).await;
    });
    events
}

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

/// Sends the end. Nobody is there to be told when the caller has gone.
async fn finish(sender: &Sender, done: Result<wire::PriceChangesSummary, Refusal>) {
    let end = done.map(|summary| event(Event::Summary(summary)));
    sender.send(end).await.ok();
}

async fn import(
    app: &App,
    call: &Call,
    parts: impl Stream<Item = Result<Option<Part>, Refusal>> + Send,
    sender: &Sender,
) -> Result<wire::PriceChangesSummary, Refusal> {
    let mut parts = Box::pin(parts);
    let Some(Part::Start(start)) = parts.next().await.transpose()?.flatten() else {
        return Err(missing(
            "start",
            "an import begins with how the file is to be taken; send start first",
        ));
    };
    let (mut how, asked) = read_start(&start)?;
    let arrived = receive(asked.format, &start.encode_to_vec(), parts.map(piece)).await?;
    let (file, digest) = match arrived {
        Arrived::Whole(file, digest) => (file, digest),
        Arrived::TooLarge(fault) => return tell_faults(sender, vec![fault], 0, 1).await,
    };
    how.digest = digest;
    let sheet = read(file, asked.format).await?;
    if 0 < sheet.fault_count {
        return tell_faults(sender, sheet.faults, sheet.row_count, sheet.fault_count).await;
    }
    let mut session = app.long_session(&call.renewed()).await?;
    if let Some(summary) = answered(&mut session, &how).await? {
        return Ok(summary);
    }
    let mut gathered = begin(&mut session).await?;
    for rows in sheet.prices.chunks(ROWS_AT_ONCE as usize) {
        let rows: Vec<PriceRow> = rows.iter().cloned().map(of_sheet).collect();
        gathered.add(&mut session, &rows).await.map_err(plain)?;
    }
    let applied = gathered
        .apply(&mut session, asked.close_missing)
        .await
        .map_err(plain)?;
    match applied {
        Applied::Faulty(faults, count) => {
            let faults = faults
                .iter()
                .map(|fault| row_fault(fault, &sheet.prices))
                .collect();
            let count = u32::try_from(count).unwrap_or(u32::MAX);
            tell_faults(sender, faults, sheet.row_count, count).await
        }
        Applied::Done(summary) => {
            drop(sheet);
            let done = Done {
                summary,
                has_rows: true,
                effect: asked.effect,
            };
            done.told(session, &how, sender).await
        }
    }
}

fn missing(field: &str, description: &str) -> Refusal {
    Refusal::Fields(vec![Violation {
        field: field.to_owned(),
        reason: "MISSING",
        description: description.to_owned(),
    }])
}

fn plain(fault: hod_store::StoreFault) -> Refusal {
    refusal(fault, |_| "")
}

fn read_start(start: &wire::ImportStart) -> Result<(Act, ImportAsked), Refusal> {
    let mut decoder = Decoder::new();
    let read = decoder.within("start", |decoder| {
        let (id, is_trial) = (&start.request_id, start.validate_only);
        let how = Act::read(decoder, "PriceService/ImportPrices", start, id, is_trial);
        let asked = import_start(decoder, start);
        how.zip(asked)
    });
    match read {
        Some(read) if decoder.is_clean() => Ok(read),
        _ => Err(Refusal::Fields(decoder.violations())),
    }
}

/// A piece of the file.
fn piece(part: Result<Option<Part>, Refusal>) -> Result<Vec<u8>, Refusal> {
    match part? {
        Some(Part::Chunk(bytes)) if bytes.len() <= PIECE_BYTES_MAX => Ok(bytes),
        Some(Part::Chunk(bytes)) => Err(Refusal::Fields(vec![Violation {
            field: "chunk".to_owned(),
            reason: "TOO_LARGE",
            description: format!(
                "a piece of the file has {} bytes; send pieces of {PIECE_BYTES_MAX} bytes at most",
                bytes.len()
            ),
        }])),
        Some(Part::Start(_)) | None => Err(missing(
            "chunk",
            "after start come pieces of the file and nothing else; send chunk",
        )),
    }
}

fn of_sheet(row: SheetRow) -> PriceRow {
    PriceRow {
        row: row.row,
        region: row.region,
        id: row.id,
        material: row.material,
        supplier: row.supplier,
        unit_price: row.unit_price,
        unit: row.unit,
        in_force: row.in_force,
        source: row.source,
        terms: row.terms,
    }
}

/// Tells the faults of a file, of which nothing is kept.
async fn tell_faults(
    sender: &Sender,
    faults: Vec<FileFault>,
    row_count: u32,
    fault_count: u32,
) -> Result<wire::PriceChangesSummary, Refusal> {
    for fault in faults {
        send(sender, Event::Fault(file_fault(fault))).await?;
    }
    Ok(wire::PriceChangesSummary {
        row_count: number(row_count),
        fault_count: number(fault_count),
        ..Default::default()
    })
}

async fn send(sender: &Sender, told: Event) -> Result<(), Refusal> {
    let is_heard = sender.send(Ok(event(told))).await;
    is_heard.map_err(|_| Refusal::Interrupted("nobody listens any more".into()))
}

async fn begin(session: &mut Session) -> Result<PriceChanges, Refusal> {
    PriceChanges::begin(session).await.map_err(plain)
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
    let filter = WalkFilter {
        region: Some(asked.region.clone()),
        from: Some(asked.start),
        group: asked.group.clone(),
        materials: asked.materials.clone(),
        supplier: (!asked.supplier.is_empty()).then(|| asked.supplier.clone()),
        ..WalkFilter::default()
    };
    let mut walk = Walk::begin(&mut session, &filter).await.map_err(named)?;
    let places = asked.places.unwrap_or(region.currency.minor_units());
    let mut gathered = begin(&mut session).await?;
    loop {
        let standing = walk.next(&mut session, ROWS_AT_ONCE).await.map_err(plain)?;
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
        gathered.add(&mut session, &rows).await.map_err(plain)?;
    }
    match gathered.apply(&mut session, None).await.map_err(plain)? {
        Applied::Done(summary) => {
            let done = Done {
                summary,
                has_rows: false,
                effect: asked.effect,
            };
            done.told(session, how, sender).await
        }
        Applied::Faulty(faults, _) => {
            let words = |fault: &changes::RowFault| row_fault(fault, &[]).message;
            let said: Vec<String> = faults.iter().take(20).map(words).collect();
            Err(Refusal::Fields(vec![Violation {
                field: "percent".to_owned(),
                reason: "PRICE_OUT_OF_RANGE",
                description: said.join("; "),
            }]))
        }
    }
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
    Refusal::Fields(vec![Violation {
        field: "percent".to_owned(),
        reason: "OVERFLOW",
        description: format!(
            "price {} would become too large to be reckoned with; change it by less",
            price.id
        ),
    }])
}

/// Changes that are made in the session and not kept yet.
struct Done {
    summary: changes::Summary,
    /// Whether the changes came by the rows of a file.
    has_rows: bool,
    /// Open jobs are priced again on this day.
    effect: Option<Date>,
}

impl Done {
    /// Tells every change and what they do to open jobs, then keeps them for sure, or undoes them when it was a trial.
    async fn told(
        self,
        mut session: Session,
        how: &Act,
        sender: &Sender,
    ) -> Result<wire::PriceChangesSummary, Refusal> {
        let mut after = 0;
        loop {
            let page = changes::page(&mut session, after, ROWS_AT_ONCE)
                .await
                .map_err(plain)?;
            let Some(last) = page.last() else { break };
            after = last.place;
            for change in page {
                let told = encode::price_change(change, self.has_rows);
                send(sender, Event::Change(told)).await?;
            }
        }
        if let Some(on) = self.effect {
            let again = Again {
                on,
                region: None,
                keeps: false,
            };
            let listener = Listener {
                sender,
                event: |movement| event(Event::Movement(movement)),
            };
            movements(&mut session, &again, &listener).await?;
        }
        let summary = self.summary(!how.validate_only);
        end(session, how, &summary).await?;
        Ok(summary)
    }

    fn summary(self, kept: bool) -> wire::PriceChangesSummary {
        let changes::Summary {
            rows,
            new,
            raised,
            lowered,
            same,
            closed,
            altered,
            list_versions,
        } = self.summary;
        let count = |count: u64| number(u32::try_from(count).unwrap_or(u32::MAX));
        let list = |(region, version)| wire::MovedList {
            region: Regions::name(&region),
            version,
        };
        wire::PriceChangesSummary {
            row_count: count(if self.has_rows { rows } else { 0 }),
            fault_count: 0,
            new_count: count(new),
            raised_count: count(raised),
            lowered_count: count(lowered),
            same_count: count(same),
            closed_count: count(closed),
            altered_count: count(altered),
            list_versions: list_versions.into_iter().map(list).collect(),
            kept,
        }
    }
}
