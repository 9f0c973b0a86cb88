//! The one way of acting: once for each request id, wholly or not at all, and on trial without keeping anything.

use futures::future::BoxFuture;
use hod_store::{Session, request};
use prost::Message;

use super::App;
use super::store_fault::refusal;
use crate::call::Call;
use crate::decode::Act;
use crate::refusal::Refusal;

/// Does what `run` does, in one transaction with the keeping of its answer. The same request sent again gets that
/// answer; the same request sent twice at once waits for the first.
pub async fn act<R, F>(app: &App, call: &Call, act: &Act, run: F) -> Result<R, Refusal>
where
    R: Message + Default,
    F: for<'s> FnOnce(&'s mut Session) -> BoxFuture<'s, Result<R, Refusal>> + Send,
{
    let mut session = app.session(call).await?;
    if let Some(answer) = answered(&mut session, act).await? {
        return Ok(answer);
    }
    let answer = run(&mut session).await?;
    end(session, act, &answer).await?;
    Ok(answer)
}

/// Ends what was done: keeps it for sure together with its answer, or undoes it when it was a trial.
pub async fn end(mut session: Session, act: &Act, answer: &impl Message) -> Result<(), Refusal> {
    // What could never be sent back is not kept either.
    Refusal::too_large_to_send(answer)?;
    let nothing = |fault| refusal(fault, |_| "");
    if act.validate_only {
        return session.rollback().await.map_err(nothing);
    }
    if let Some(id) = act.request_id {
        let bytes = answer.encode_to_vec();
        request::keep(&mut session, id, act.method, &act.digest, &bytes)
            .await
            .map_err(nothing)?;
    }
    session.commit().await.map_err(nothing)
}

/// The answer that this request was given before.
pub async fn answered<R: Message + Default>(
    session: &mut Session,
    act: &Act,
) -> Result<Option<R>, Refusal> {
    let Some(id) = act.request_id else {
        return Ok(None);
    };
    let kept = request::find(session, id, act.method, &act.digest)
        .await
        .map_err(|fault| refusal(fault, |_| ""))?;
    kept.map(|bytes| R::decode(bytes.as_slice()).map_err(Refusal::internal))
        .transpose()
}
