//! Long computing: kept off the threads that answer calls, so that one large job does not hold up a hundred small ones.

use crate::limits::WALLS_OFF_THREAD;

/// Computes over so many walls, here when that is quick, else where it holds nobody up.
pub fn compute<T>(walls: usize, work: impl FnOnce() -> T) -> T {
    if walls < WALLS_OFF_THREAD {
        work()
    } else {
        tokio::task::block_in_place(work)
    }
}
