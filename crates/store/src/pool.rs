//! The pool of connections, and a watchdog over it. A connection whose other end has fallen silent in the middle of a
//! statement is never given back, and a pool that has lost all of its connections so would let everybody wait for ever.
//! So when one wait for a connection after another ends in vain, and none in between has ended well, a new pool takes the
//! place of the old.

use std::sync::{Mutex, PoisonError};
use std::time::Duration;

use sqlx::postgres::{PgConnectOptions, PgPool, PgPoolOptions};

/// How long a request waits for a connection before the database counts as overloaded.
const ACQUIRE_TIME_MAX: Duration = Duration::from_secs(5);

/// So many waits in vain, one after another, and the pool is taken for lost.
const WAITS_IN_VAIN_MAX: u32 = 3;

/// A pool that can be replaced.
#[derive(Debug)]
pub(crate) struct Pool {
    options: PgConnectOptions,
    size: u32,
    now: Mutex<Now>,
}

/// The pool in use, and how many waits for a connection of it ended in vain since one last ended well.
#[derive(Debug)]
struct Now {
    pool: PgPool,
    waits_in_vain: u32,
}

impl Pool {
    /// A pool of at most `size` connections; refused when there is none to be had.
    pub async fn connect(options: PgConnectOptions, size: u32) -> Result<Self, sqlx::Error> {
        let pool = pool_options(size).connect_with(options.clone()).await?;
        let now = Mutex::new(Now {
            pool,
            waits_in_vain: 0,
        });
        Ok(Self { options, size, now })
    }

    /// The pool in use.
    pub fn now(&self) -> PgPool {
        self.state().pool.clone()
    }

    /// Takes note of how asking this pool ended, and hands it on.
    pub fn note<T>(&self, asked: &PgPool, ended: Result<T, sqlx::Error>) -> Result<T, sqlx::Error> {
        let mut now = self.state();
        match &ended {
            Ok(_) => now.waits_in_vain = 0,
            // What is still waiting for a pool that was replaced tells nothing of the new one.
            Err(sqlx::Error::PoolTimedOut) if !asked.is_closed() => {
                now.waits_in_vain += 1;
                if WAITS_IN_VAIN_MAX <= now.waits_in_vain {
                    self.replace(&mut now);
                }
            }
            Err(_) => {}
        }
        ended
    }

    fn replace(&self, now: &mut Now) {
        tracing::warn!(
            waits = now.waits_in_vain,
            "no connection was to be had, one wait after another; the pool is replaced"
        );
        let new = pool_options(self.size).connect_lazy_with(self.options.clone());
        let old = std::mem::replace(&mut now.pool, new);
        now.waits_in_vain = 0;
        // It is closed at once to whoever comes; what it waits for afterwards may never come back.
        tokio::spawn(async move { old.close().await });
    }

    /// What the lock holds is whole between any two statements, so a panic elsewhere does not spoil it.
    fn state(&self) -> std::sync::MutexGuard<'_, Now> {
        self.now.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

fn pool_options(size: u32) -> PgPoolOptions {
    PgPoolOptions::new()
        .max_connections(size)
        .acquire_timeout(ACQUIRE_TIME_MAX)
}
