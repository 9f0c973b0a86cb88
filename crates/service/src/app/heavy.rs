//! Long computing: kept off the threads that answer calls, so that one large job does not hold up a hundred small ones.

use futures::{StreamExt, TryStreamExt, stream};

use crate::limits::WALLS_OFF_THREAD;
use crate::refusal::Refusal;

/// Computes over so many walls, here when that is quick, else where it holds nobody up.
pub fn compute<T>(walls: usize, work: impl FnOnce() -> T) -> T {
    if walls < WALLS_OFF_THREAD {
        work()
    } else {
        tokio::task::block_in_place(work)
    }
}

/// Computes over each of many, on all cores, and gives the results in their order. A panic in one is a fault of the
/// program and costs all of them.
pub async fn compute_each<T, R>(
    items: Vec<T>,
    work: impl Fn(T) -> R + Clone + Send + 'static,
) -> Result<Vec<R>, Refusal>
where
    T: Send + 'static,
    R: Send + 'static,
{
    let cores = std::thread::available_parallelism().map_or(1, usize::from);
    let results = stream::iter(items)
        .map(|item| {
            let work = work.clone();
            tokio::task::spawn_blocking(move || work(item))
        })
        .buffered(cores);
    results.map_err(Refusal::internal).try_collect().await
}
