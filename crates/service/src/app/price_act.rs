//! What every change of many prices has in common, wherever it comes from: what is told while nothing is kept yet, the
//! summary once everything is, and the open jobs priced again in between.

use hod_store::price_changes as changes;
use hod_store::{Session, StoreFault};
use hod_units::Date;
use hod_wire::v1 as wire;
use hod_wire::v1::price_changes_response::Event;
use tokio::sync::mpsc;

use super::again::{Again, Listener, movements};
use super::store_fault::refusal;
use super::write::end;
use crate::decode::Act;
use crate::encode::{self, event, number};
use crate::name::{Collection, Regions};
use crate::refusal::Refusal;

/// So many events wait for a caller that reads slowly; then the work waits too.
pub const WAITING_MAX: usize = 256;

/// So many rows go to the store, and come from it, at once.
pub const ROWS_AT_ONCE: u32 = 5000;

/// What a change of many prices sends.
pub type Events = mpsc::Receiver<Result<wire::PriceChangesResponse, Refusal>>;

/// Where it sends them.
pub type Sender = mpsc::Sender<Result<wire::PriceChangesResponse, Refusal>>;

/// Sends the end. Nobody is there to be told when the caller has gone.
pub async fn finish(sender: &Sender, done: Result<wire::PriceChangesSummary, Refusal>) {
    let end = done.map(|summary| event(Event::Summary(summary)));
    sender.send(end).await.ok();
}

/// Sends an event. Nobody being there any more ends the work.
pub async fn send(sender: &Sender, told: Event) -> Result<(), Refusal> {
    let is_heard = sender.send(Ok(event(told))).await;
    is_heard.map_err(|_| Refusal::Interrupted("nobody listens any more".into()))
}

/// What the store has against changes that no field is to blame for.
pub fn plain(fault: StoreFault) -> Refusal {
    refusal(fault, |_| "")
}

/// Changes that are made in the session and not kept yet.
pub struct Done {
    /// What they come to.
    pub summary: changes::Summary,
    /// Whether the changes came by the rows of a file.
    pub has_rows: bool,
    /// Open jobs are priced again on this day.
    pub effect: Option<Date>,
}

impl Done {
    /// Tells every change and what they do to open jobs, then keeps them for sure, or undoes them when it was a trial.
    pub async fn told(
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
