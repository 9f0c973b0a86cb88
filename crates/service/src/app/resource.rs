//! The one way in which every noun is read, listed, made and changed. A noun says what is its own: how its name and
//! message are read, which of its fields may change, and how the store keeps it.

use std::future::Future;

use futures::FutureExt;
use hod_domain::fault::Fault;
use hod_store::{Session, StoreFault, past_version};
use hod_units::Date;
use prost::Message;
use prost_types::FieldMask;

use super::App;
use super::meanwhile;
use super::store_fault::refusal;
use super::write::act;
use crate::call::Call;
use crate::decode::{
    Act, Decoder, MaskedFields, Page as AskedPage, list_version, merge, next_page_token, tag,
};
use crate::limits::MESSAGE_BYTES_MAX;
use crate::refusal::{Refusal, Violation};

/// A noun that can be read, listed and made.
pub trait Resource: 'static {
    /// What tells one from another: an id, or the id of what it hangs on and its own.
    type Key: Clone + Send + Sync + 'static;
    /// What a list of it is of: what they hang on, and filters.
    type Scope: Send + Sync + 'static;
    /// Its value.
    type Value: Send + Sync + 'static;
    /// Its message.
    type Wire: Message + Default + Clone + 'static;

    /// How many are read from the store at once: few of what may be large.
    const READ_AT_ONCE: u32 = 1001;

    /// The field that holds it in a request.
    const FIELD: &'static str;

    /// Reads its name.
    fn key(decoder: &mut Decoder<'_>, field: &'static str, name: &str) -> Option<Self::Key>;

    /// Its name, as its message has it.
    fn name(wire: &Self::Wire) -> &str;

    /// Reads its value; without a key whatever else is wrong is found all the same.
    fn decode<'a>(
        decoder: &mut Decoder<'a>,
        wire: &'a Self::Wire,
        key: Option<&Self::Key>,
    ) -> Option<Self::Value>;

    /// What does not hold across the fields of a value.
    fn faults(value: &Self::Value) -> Vec<Fault>;

    /// Which field of a request to make or change one names a thing of this noun.
    fn field_of(noun: &str) -> &'static str;

    /// The refusal of a value that has something wrong with it.
    fn refuse(violations: Vec<Violation>) -> Refusal {
        Refusal::Fields(violations)
    }

    /// Reads one.
    fn fetch(
        session: &mut Session,
        key: &Self::Key,
    ) -> impl Future<Output = Result<Self::Wire, StoreFault>> + Send;

    /// Reads at most `limit` in their order, those after the id `after`.
    fn page(
        session: &mut Session,
        scope: &Self::Scope,
        after: Option<&str>,
        limit: u32,
    ) -> impl Future<Output = Result<Vec<Self::Wire>, StoreFault>> + Send;

    /// Keeps a new one.
    fn insert(
        session: &mut Session,
        key: &Self::Key,
        value: &Self::Value,
    ) -> impl Future<Output = Result<Self::Wire, StoreFault>> + Send;
}

/// A noun that stands in a region's list, which a caller may have read at some version.
pub trait Listed: Resource {
    /// Keeps a new one, unless what it stands beside has changed since the version `read` of the list.
    fn insert_since(
        session: &mut Session,
        key: &Self::Key,
        value: &Self::Value,
        read: Option<i64>,
    ) -> impl Future<Output = Result<Self::Wire, StoreFault>> + Send;

    /// Ends one on a day with nothing in its place, under the same condition.
    fn close_since(
        session: &mut Session,
        key: &Self::Key,
        last_day: Date,
        read: Option<i64>,
    ) -> impl Future<Output = Result<Self::Wire, StoreFault>> + Send;
}

/// A noun that can be changed.
pub trait Changeable: Resource {
    /// The full name of its message: `hod.v1.Region`.
    const MESSAGE: &'static str;

    /// The fields that an update may name.
    const MASKED: MaskedFields<Self::Wire>;

    /// Where its name stands in an update.
    const NAME_FIELD: &'static str;

    /// The etag of a message.
    fn etag(wire: &Self::Wire) -> &str;

    /// Puts a new value in the place of the version `expected`.
    fn replace(
        session: &mut Session,
        key: &Self::Key,
        value: &Self::Value,
        expected: Option<i64>,
    ) -> impl Future<Output = Result<Self::Wire, StoreFault>> + Send;
}

/// Reads one by its name.
pub async fn get<R: Resource>(app: &App, call: &Call, name: &str) -> Result<R::Wire, Refusal> {
    let mut decoder = Decoder::new();
    let key = R::key(&mut decoder, "name", name);
    let Some(key) = key else {
        return Err(Refusal::Fields(decoder.violations()));
    };
    let mut session = app.session(call).await?;
    R::fetch(&mut session, &key)
        .await
        .map_err(|fault| refusal(fault, |_| "name"))
}

/// A page of a list, and the token of the next.
pub type Page<T> = (Vec<T>, String);

/// Lists them.
pub async fn list<R: Resource>(
    app: &App,
    call: &Call,
    decoder: Decoder<'_>,
    page: Option<AskedPage>,
    scope: Option<R::Scope>,
) -> Result<Page<R::Wire>, Refusal> {
    let (Some(page), Some(scope), true) = (page, scope, decoder.is_clean()) else {
        return Err(Refusal::Fields(decoder.violations()));
    };
    let mut session = app.session(call).await?;
    let found = fill::<R>(&mut session, &page, &scope)
        .await
        .map_err(|fault| refusal(fault, |_| "parent"))?;
    Ok(cut(found, &page, R::name))
}

/// Most bytes of a page: what is beyond goes to the next, so that a page fits in a message with room to spare.
const PAGE_BYTES_MAX: usize = MESSAGE_BYTES_MAX / 4 * 3;

/// Reads a page and one more, which tells whether there is a next one; less where large things fill it before.
async fn fill<R: Resource>(
    session: &mut Session,
    page: &AskedPage,
    scope: &R::Scope,
) -> Result<Vec<R::Wire>, StoreFault> {
    let wanted = page.size + 1;
    let mut found: Vec<R::Wire> = Vec::new();
    let mut bytes = 0;
    let mut after = page.after.clone();
    loop {
        let have = u32::try_from(found.len()).unwrap_or(u32::MAX);
        let limit = wanted.saturating_sub(have).min(R::READ_AT_ONCE);
        let more = R::page(session, scope, after.as_deref(), limit).await?;
        let is_end = more.len() < limit as usize;
        bytes += more.iter().map(Message::encoded_len).sum::<usize>();
        found.extend(more);
        after = found.last().map(|last| id_of(R::name(last)).to_owned());
        if is_end || PAGE_BYTES_MAX < bytes || wanted as usize <= found.len() {
            return Ok(found);
        }
    }
}

/// Cuts what was found down to the page, and makes the token of the next where there is more.
pub fn cut<T: Message>(mut found: Vec<T>, page: &AskedPage, name: impl Fn(&T) -> &str) -> Page<T> {
    let mut bytes = 0;
    let fits = |one: &T| {
        bytes += one.encoded_len();
        bytes <= PAGE_BYTES_MAX
    };
    // One at least, so that a list of large things comes to its end.
    let fitting = found
        .iter()
        .map(fits)
        .take_while(|fits| *fits)
        .count()
        .max(1);
    let size = fitting.min(page.size as usize);
    if found.len() <= size {
        return (found, String::new());
    }
    found.truncate(size);
    let last = found.last().map(name).unwrap_or_default();
    let token = next_page_token(page, id_of(last));
    (found, token)
}

/// The last part of a name.
fn id_of(name: &str) -> &str {
    name.rsplit('/').next().unwrap_or_default()
}

/// What a request to make one says.
pub struct Creation<'a, R: Resource> {
    /// How it is to be done.
    pub act: Option<Act>,
    /// Its key.
    pub key: Option<R::Key>,
    /// Its message.
    pub wire: Option<&'a R::Wire>,
}

/// Makes one.
pub async fn create<R: Resource>(
    app: &App,
    call: &Call,
    decoder: Decoder<'_>,
    creation: Creation<'_, R>,
) -> Result<R::Wire, Refusal> {
    let (key, value, how) = to_create(decoder, creation)?;
    act(app, call, &how, |session| {
        async move {
            R::insert(session, &key, &value)
                .await
                .map_err(|fault| refusal(fault, R::field_of))
        }
        .boxed()
    })
    .await
}

/// What is to be made and how, or everything that is wrong with it.
fn to_create<'a, R: Resource>(
    mut decoder: Decoder<'a>,
    creation: Creation<'a, R>,
) -> Result<(R::Key, R::Value, Act), Refusal> {
    let value = match creation.wire {
        Some(wire) => decoder.within(R::FIELD, |decoder| {
            R::decode(decoder, wire, creation.key.as_ref())
        }),
        None => {
            decoder.refuse(
                R::FIELD,
                "MISSING",
                format!("{} is needed and missing", R::FIELD),
            );
            None
        }
    };
    let value = checked::<R>(value, decoder)?;
    let (Some(key), Some(how)) = (creation.key, creation.act) else {
        return Err(Refusal::internal("a request without a fault lacks its key"));
    };
    Ok((key, value, how))
}

/// Makes one in a list that the caller has read at this version.
pub async fn create_listed<R: Listed>(
    app: &App,
    call: &Call,
    mut decoder: Decoder<'_>,
    creation: Creation<'_, R>,
    read: i64,
) -> Result<R::Wire, Refusal> {
    let read = list_version(&mut decoder, read);
    let (key, value, how) = to_create(decoder, creation)?;
    act(app, call, &how, |session| {
        async move {
            R::insert_since(session, &key, &value, read.flatten())
                .await
                .map_err(|fault| refusal(fault, R::field_of))
        }
        .boxed()
    })
    .await
}

/// Ends one in a list that the caller has read at this version.
pub async fn close_listed<R: Listed>(
    app: &App,
    call: &Call,
    mut decoder: Decoder<'_>,
    how: Option<Act>,
    name: &str,
    end_date: &str,
    read: i64,
) -> Result<R::Wire, Refusal> {
    let key = R::key(&mut decoder, "name", name);
    let last_day = decoder.date("end_date", end_date);
    let read = list_version(&mut decoder, read);
    let (Some(key), Some(last_day), Some(how), true) = (key, last_day, how, decoder.is_clean())
    else {
        return Err(Refusal::Fields(decoder.violations()));
    };
    act(app, call, &how, |session| {
        async move {
            R::close_since(session, &key, last_day, read.flatten())
                .await
                .map_err(|fault| refusal(fault, |_| "name"))
        }
        .boxed()
    })
    .await
}

/// Changes one: the fields that the mask names, or without one those that are set.
pub async fn update<R: Changeable>(
    app: &App,
    call: &Call,
    mut decoder: Decoder<'_>,
    how: Option<Act>,
    given: Option<R::Wire>,
    mask: Option<FieldMask>,
) -> Result<R::Wire, Refusal> {
    let Some(given) = given else {
        decoder.refuse(
            R::FIELD,
            "MISSING",
            format!("{} is needed and missing", R::FIELD),
        );
        return Err(Refusal::Fields(decoder.violations()));
    };
    let key = decoder.within(R::FIELD, |decoder| R::key(decoder, "name", R::name(&given)));
    let (Some(key), Some(how), true) = (key, how, decoder.is_clean()) else {
        return Err(Refusal::Fields(decoder.violations()));
    };
    act(app, call, &how, |session| {
        change::<R>(session, key, given, mask).boxed()
    })
    .await
}

/// How often a change is tried again that another one came before, when the caller did not ask to be told.
const CHANGE_TRIES: u32 = 5;

async fn change<R: Changeable>(
    session: &mut Session,
    key: R::Key,
    given: R::Wire,
    mask: Option<FieldMask>,
) -> Result<R::Wire, Refusal> {
    let field_of = |noun: &str| {
        if R::field_of(noun).is_empty() {
            R::NAME_FIELD
        } else {
            R::field_of(noun)
        }
    };
    let asked = tag(R::etag(&given));
    let mut tries = 0;
    loop {
        tries += 1;
        let kept = R::fetch(session, &key)
            .await
            .map_err(|fault| refusal(fault, |_| R::NAME_FIELD))?;
        let current = tag(R::etag(&kept));
        if asked.is_some() && asked != current {
            return Err(stale_since::<R>(session, asked, &kept).await?);
        }
        let value = merged::<R>(&key, kept.clone(), given.clone(), mask.as_ref())?;
        // The version just read is the one to replace: what another changed in between is not written over.
        match R::replace(session, &key, &value, current).await {
            Ok(now) => {
                keep_past::<R>(session, &kept).await?;
                return Ok(now);
            }
            Err(StoreFault::Stale(_)) if tries < CHANGE_TRIES => {}
            Err(fault) => return Err(refusal(fault, field_of)),
        }
    }
}

/// Keeps a thing as it was before a change, so that whoever read it then can be told what has changed since.
async fn keep_past<R: Changeable>(session: &mut Session, past: &R::Wire) -> Result<(), Refusal> {
    let Some(version) = tag(R::etag(past)) else {
        return Ok(());
    };
    past_version::insert(session, R::name(past), version, &past.encode_to_vec())
        .await
        .map_err(|fault| refusal(fault, |_| ""))
}

/// The refusal of a change to a thing that has changed since the caller read it: what of it is otherwise now. Of a
/// version that was never there nothing can be told.
pub async fn stale_since<R: Changeable>(
    session: &mut Session,
    read: Option<i64>,
    now: &R::Wire,
) -> Result<Refusal, Refusal> {
    let name = R::name(now).to_owned();
    let past = match read {
        Some(version) => past_version::get(session, &name, version)
            .await
            .map_err(|fault| refusal(fault, |_| ""))?,
        None => None,
    };
    let past = past.and_then(|past| R::Wire::decode(past.body.as_slice()).ok());
    let changes = past.map(|past| meanwhile::changes(R::MESSAGE, &past, now));
    Ok(Refusal::Stale {
        name,
        changes: changes.unwrap_or_default(),
    })
}

/// The value that what is kept becomes.
fn merged<R: Changeable>(
    key: &R::Key,
    kept: R::Wire,
    given: R::Wire,
    mask: Option<&FieldMask>,
) -> Result<R::Value, Refusal> {
    let mut wire = kept;
    let mut decoder = Decoder::new();
    merge(&mut decoder, mask, R::MASKED, &mut wire, given);
    let value = decoder.within(R::FIELD, |decoder| R::decode(decoder, &wire, Some(key)));
    checked::<R>(value, decoder)
}

/// The value, if neither its fields nor what holds across them have a fault; else all of those.
fn checked<R: Resource>(
    value: Option<R::Value>,
    mut decoder: Decoder<'_>,
) -> Result<R::Value, Refusal> {
    if let Some(value) = &value {
        decoder.within(R::FIELD, |decoder| {
            for fault in R::faults(value) {
                decoder.also(&fault.field, fault.reason, fault.message);
            }
        });
    }
    match value {
        Some(value) if decoder.is_clean() => Ok(value),
        _ => Err(R::refuse(decoder.violations())),
    }
}
