//! The way in: a pool of connections, and sessions on it. A session is one connection and one transaction held to one
//! firm by row-level security; everything of a firm is reached through one and nothing without.

use std::fmt;
use std::sync::Arc;
use std::time::Duration;

use chrono::{DateTime, TimeDelta, Utc};
use hod_units::Date;
use sqlx::migrate::Migrator;
use sqlx::pool::PoolConnection;
use sqlx::postgres::{PgConnectOptions, PgPool};
use sqlx::{ConnectOptions, Connection, PgConnection, Postgres, Transaction};
use uuid::Uuid;

use crate::fault::StoreFault;
use crate::pool::Pool;

/// How long a statement may take when the caller sets no limit of its own.
const STATEMENT_TIME_MAX: Duration = Duration::from_secs(30);
/// How long a session may do nothing before the database ends it, so that a lost caller holds no lock.
const IDLE_TIME_MAX: Duration = Duration::from_secs(60);

/// How far any clock runs ahead of universal time.
const AHEAD_MAX_HOURS: i64 = 14;

static MIGRATIONS: Migrator = sqlx::migrate!("../../migrations");

/// Whose data it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct FirmId(Uuid);

impl FirmId {
    /// The firm of this number.
    pub const fn new(id: Uuid) -> Self {
        Self(id)
    }

    /// Its number.
    pub const fn uuid(self) -> Uuid {
        self.0
    }
}

impl fmt::Display for FirmId {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.fmt(f)
    }
}

/// The database, as the application role sees it. Clones share one pool.
#[derive(Debug, Clone)]
pub struct Store {
    pool: Arc<Pool>,
}

impl Store {
    /// Connects as the application role, with at most `pool_size` connections at once.
    ///
    /// # Errors
    /// [`StoreFault::Refused`] when the role could pass row-level security or owns the tables, or when there are no
    /// tables yet; [`StoreFault::Unavailable`] when there is no connection to be had.
    pub async fn connect(options: PgConnectOptions, pool_size: u32) -> Result<Self, StoreFault> {
        let pool = Pool::connect(options, pool_size).await?;
        check_role(&pool.now()).await?;
        Ok(Self {
            pool: Arc::new(pool),
        })
    }

    /// Brings the database to this program's tables; `owner` owns it. Does nothing when it is there already.
    ///
    /// # Errors
    /// [`StoreFault::Internal`] when a migration fails, or when the database is of a newer or another program.
    pub async fn migrate(owner: PgConnectOptions) -> Result<(), StoreFault> {
        let mut connection = owner.connect().await?;
        MIGRATIONS
            .run(&mut connection)
            .await
            .map_err(|fault| StoreFault::Internal(fault.into()))?;
        Ok(connection.close().await?)
    }

    /// Opens a session of a firm.
    pub async fn begin(&self, firm: FirmId) -> Result<Session, StoreFault> {
        let pool = self.pool.now();
        let mut transaction = self.pool.note(&pool, pool.begin().await)?;
        let (now, ..): (DateTime<Utc>, String, String, String) = sqlx::query_as(
            "select now(), set_config('hod.firm', $1, true), set_config('statement_timeout', $2, true), \
             set_config('idle_in_transaction_session_timeout', $3, true)",
        )
        .bind(firm.to_string())
        .bind(milliseconds(STATEMENT_TIME_MAX))
        .bind(milliseconds(IDLE_TIME_MAX))
        .fetch_one(&mut *transaction)
        .await?;
        Ok(Session {
            transaction,
            firm,
            now,
        })
    }

    /// Whether the database answers.
    pub async fn ping(&self) -> Result<(), StoreFault> {
        let mut connection = self.acquire().await?;
        Ok(connection.ping().await?)
    }

    /// A connection on which to ask, again and again, which committed work a query sees.
    pub async fn watch(&self) -> Result<Watch, StoreFault> {
        Ok(Watch(self.acquire().await?))
    }

    /// Closes every connection, waiting for sessions that are open.
    pub async fn close(&self) {
        self.pool.now().close().await;
    }

    /// A connection of its own.
    pub(crate) async fn acquire(&self) -> Result<PoolConnection<Postgres>, sqlx::Error> {
        let pool = self.pool.now();
        self.pool.note(&pool, pool.acquire().await)
    }
}

/// A connection of its own, outside all firms, that sees which work is committed and no row of it.
#[derive(Debug)]
pub struct Watch(PoolConnection<Postgres>);

impl Watch {
    /// Which committed work a query sees now. For as long as this reads the same, every query brings the same rows:
    /// it names all transactions that have ended, in the whole server.
    pub async fn visible(&mut self) -> Result<String, StoreFault> {
        let snapshot = sqlx::query_scalar("select pg_current_snapshot()::text");
        Ok(snapshot.fetch_one(&mut *self.0).await?)
    }
}

/// One transaction of one firm. What it wrote is undone unless it is committed.
#[derive(Debug)]
pub struct Session {
    transaction: Transaction<'static, Postgres>,
    firm: FirmId,
    now: DateTime<Utc>,
}

impl Session {
    /// Keeps all that was written. Only when this returns `Ok` is it kept for sure.
    pub async fn commit(self) -> Result<(), StoreFault> {
        Ok(self.transaction.commit().await?)
    }

    /// Undoes all that was written.
    pub async fn rollback(self) -> Result<(), StoreFault> {
        Ok(self.transaction.rollback().await?)
    }

    /// Gives each statement from now on at most this long, at least a millisecond: what is left of a caller's deadline.
    pub async fn limit_statement_time(&mut self, limit: Duration) -> Result<(), StoreFault> {
        sqlx::query("select set_config('statement_timeout', $1, true)")
            .bind(milliseconds(limit))
            .execute(self.connection())
            .await?;
        Ok(())
    }

    /// When the transaction began, by the database's clock: the time that all it writes is stamped with.
    pub fn now(&self) -> DateTime<Utc> {
        self.now
    }

    /// The latest date that it is anywhere by then. Clocks run up to 14 hours ahead of universal time, so what bears this
    /// date need not lie ahead for whoever wrote it.
    pub fn latest_date(&self) -> Date {
        let ahead = TimeDelta::hours(AHEAD_MAX_HOURS);
        self.now
            .checked_add_signed(ahead)
            .unwrap_or(self.now)
            .date_naive()
    }

    /// Refuses a date on which nothing can have been done yet.
    pub(crate) fn check_not_ahead(
        &self,
        rule: &'static str,
        what: &str,
        date: Date,
    ) -> Result<(), StoreFault> {
        if date <= self.latest_date() {
            return Ok(());
        }
        Err(StoreFault::refused(
            rule,
            format!("{what} on {date}, which lies ahead; give the day on which it was"),
        ))
    }

    /// Whose session it is.
    pub fn firm(&self) -> FirmId {
        self.firm
    }

    pub(crate) fn firm_uuid(&self) -> Uuid {
        self.firm.uuid()
    }

    pub(crate) fn connection(&mut self) -> &mut PgConnection {
        &mut self.transaction
    }
}

/// Never 0, which Postgres takes for no limit at all.
fn milliseconds(time: Duration) -> String {
    time.as_millis().clamp(1, i32::MAX as u128).to_string()
}

/// Refuses a role that row-level security and the append-only grants would not hold.
async fn check_role(pool: &PgPool) -> Result<(), StoreFault> {
    let (has_tables, is_held): (bool, bool) = sqlx::query_as(
        "select to_regclass('firm') is not null, \
         not (rolsuper or rolbypassrls) and not coalesce(pg_has_role(relowner, 'usage'), false) \
         from pg_roles left join pg_class on pg_class.oid = to_regclass('firm') where rolname = current_user",
    )
    .fetch_one(pool)
    .await?;
    if !has_tables {
        return Err(StoreFault::refused(
            "database_has_tables",
            "The database has no tables of this program yet: run `hod-server init` on it first.",
        ));
    }
    if !is_held {
        return Err(StoreFault::refused(
            "application_role_owns_nothing",
            "The database role owns the tables or can pass row-level security: connect as hod_app, which `hod-server init` makes.",
        ));
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use hod_testkit::database::TestDatabase;

    use super::*;

    #[tokio::test]
    async fn nothing_of_a_session_stays_on_its_connection() {
        let database = TestDatabase::new().await;
        let store = Store::connect(database.app_options(), 1)
            .await
            .expect("a connection");
        for keep in [true, false] {
            let mut session = store
                .begin(FirmId::new(Uuid::nil()))
                .await
                .expect("a session");
            session
                .limit_statement_time(Duration::from_millis(1500))
                .await
                .expect("a limit");
            let ended = if keep {
                session.commit().await
            } else {
                session.rollback().await
            };
            ended.expect("an end");
            let left: (Option<String>, String) = sqlx::query_as(
                "select current_setting('hod.firm', true), current_setting('statement_timeout')",
            )
            .fetch_one(&mut *store.acquire().await.expect("a connection"))
            .await
            .expect("the same connection, for there is one");
            assert_eq!(left, (Some(String::new()), "0".to_owned()));
        }
    }
}
