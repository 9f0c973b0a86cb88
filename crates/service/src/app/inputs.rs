//! What jobs are priced with, ready to use and remembered. Remembered inputs are used only where the database shows
//! the very same committed rows as when they were loaded, which it is asked before every use: never stale, and one
//! small question instead of many rows. Calls that come while that question is on its way share the next one.

use std::collections::HashMap;
use std::sync::{Arc, Mutex, PoisonError};
use std::time::Duration;

use hod_domain::estimate::Inputs;
use hod_domain::fault::Fault;
use hod_domain::id::RegionId;
use hod_store::inputs::{LoadedInputs, Names};
use hod_store::{FirmId, Store, StoreFault, Watch};
use tokio::sync::oneshot;

use super::library::library;

/// What a job is priced with.
#[derive(Debug)]
pub struct Prepared {
    /// For the engine.
    pub inputs: Inputs,
    /// Which versions these are, lists apart.
    pub tags: Vec<String>,
    /// Which versions of the lists, the site's own region first.
    pub lists: Vec<(RegionId, i64)>,
    /// What makes no recipe, and is therefore not in the library.
    pub faults: Vec<Fault>,
}

impl Prepared {
    /// Puts loaded inputs together.
    pub fn of(loaded: LoadedInputs, names: &Names) -> Self {
        let lists = loaded
            .lists
            .iter()
            .map(|list| (list.region.clone(), list.version))
            .collect();
        let (library, faults) = library(loaded.library, &names.library);
        let inputs = Inputs {
            on: names.on,
            site: loaded.site,
            regions: loaded.regions,
            lists: loaded.lists,
            library,
            crew: loaded.crew,
            constants: loaded.constants,
        };
        Self {
            inputs,
            tags: loaded.tags,
            lists,
            faults,
        }
    }
}

/// How long the database has to say in which state it is, before whoever waits for it loads for itself.
const ANSWER_TIME_MAX: Duration = Duration::from_secs(6);

/// How many inputs are remembered at once.
const REMEMBERED_MAX: usize = 256;

/// Remembers what jobs are priced with.
#[derive(Default)]
pub struct Cache {
    remembered: Mutex<Remembered>,
    asking: Arc<Mutex<Asking>>,
}

/// Inputs, and the state of the database in which all of them are right; at first none, in no state.
struct Remembered {
    state: Arc<str>,
    inputs: HashMap<(FirmId, Arc<Names>), Arc<Prepared>>,
}

impl Default for Remembered {
    fn default() -> Self {
        Self {
            state: "".into(),
            inputs: HashMap::new(),
        }
    }
}

/// Who waits for the next answer of the database.
#[derive(Default)]
struct Asking {
    is_on_its_way: bool,
    waiting: Vec<oneshot::Sender<Arc<str>>>,
}

/// What the cache has for a call.
pub enum Found {
    /// The very inputs.
    Inputs(Arc<Prepared>),
    /// Nothing yet; what is loaded from here on may be remembered if this state still holds afterwards.
    Nothing(Option<Arc<str>>),
}

impl Cache {
    /// The inputs, where they are remembered and still right.
    pub async fn find(&self, store: &Store, firm: FirmId, names: &Arc<Names>) -> Found {
        let Some(state) = self.state(store).await else {
            return Found::Nothing(None);
        };
        let remembered = lock(&self.remembered);
        let inputs = remembered.inputs.get(&(firm, Arc::clone(names)));
        match inputs {
            Some(inputs) if remembered.state == state => Found::Inputs(Arc::clone(inputs)),
            _ => Found::Nothing(Some(state)),
        }
    }

    /// Remembers inputs that were loaded since the database was in `before`, if it still is.
    pub async fn keep(
        &self,
        store: &Store,
        firm: FirmId,
        names: &Arc<Names>,
        inputs: &Arc<Prepared>,
        before: Arc<str>,
    ) {
        if self.state(store).await.as_ref() != Some(&before) {
            return;
        }
        let mut remembered = lock(&self.remembered);
        if remembered.state != before || REMEMBERED_MAX <= remembered.inputs.len() {
            remembered.inputs.clear();
            remembered.state = before;
        }
        remembered
            .inputs
            .insert((firm, Arc::clone(names)), Arc::clone(inputs));
    }

    /// Which rows the database shows, asked after this was called; `None` when it does not answer.
    async fn state(&self, store: &Store) -> Option<Arc<str>> {
        let (sender, receiver) = oneshot::channel();
        let is_first = {
            let mut asking = lock(&self.asking);
            asking.waiting.push(sender);
            !std::mem::replace(&mut asking.is_on_its_way, true)
        };
        if is_first {
            tokio::spawn(ask(Arc::clone(&self.asking), store.clone()));
        }
        receiver.await.ok()
    }
}

/// Asks for as long as anybody waits, on one connection. Whoever comes while a question is on its way waits for the
/// next, since the answer to that one may be older than the caller's own last write.
async fn ask(asking: Arc<Mutex<Asking>>, store: Store) {
    let mut watch = None;
    loop {
        // Those who are about to wait come first, and share the question.
        tokio::task::yield_now().await;
        let waiting = {
            let mut asking = lock(&asking);
            if asking.waiting.is_empty() {
                asking.is_on_its_way = false;
                return;
            }
            std::mem::take(&mut asking.waiting)
        };
        // Without an answer the senders are dropped, and those who wait load for themselves and are told why not.
        match state_in_time(&store, &mut watch).await {
            Ok(state) => waiting.into_iter().for_each(|sender| {
                sender.send(state.clone()).ok();
            }),
            Err(fault) => {
                tracing::debug!(cause = %fault, "what is remembered could not be checked");
                watch = None;
            }
        }
    }
}

async fn state(store: &Store, watch: &mut Option<Watch>) -> Result<Arc<str>, StoreFault> {
    let watch = match watch {
        Some(watch) => watch,
        none => none.insert(store.watch().await?),
    };
    Ok(watch.visible().await?.into())
}

/// The state, from a database that does not keep everybody waiting for it: a connection can fall silent.
async fn state_in_time(store: &Store, watch: &mut Option<Watch>) -> Result<Arc<str>, Untold> {
    match tokio::time::timeout(ANSWER_TIME_MAX, state(store, watch)).await {
        Ok(told) => told.map_err(Untold::Refused),
        Err(_) => Err(Untold::Silent),
    }
}

/// Why the state is not known.
#[derive(Debug, thiserror::Error)]
enum Untold {
    #[error("the database refused")]
    Refused(#[source] StoreFault),
    #[error("the database said nothing for {} s", ANSWER_TIME_MAX.as_secs())]
    Silent,
}

/// What these locks hold is whole between any two statements, so a panic elsewhere does not spoil it.
fn lock<T>(mutex: &Mutex<T>) -> std::sync::MutexGuard<'_, T> {
    mutex.lock().unwrap_or_else(PoisonError::into_inner)
}
