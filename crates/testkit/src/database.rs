//! A database for each test: fresh, migrated, and gone afterwards, so that tests neither wait for one another
//! nor see each other's rows. It is copied from a template that the first test to come makes from the
//! migrations, one for each state of the migrations folder.

use std::path::Path;
use std::sync::Arc;
use std::time::Duration;

use hod_store::cluster::admit_application;
use rand::Rng;
use sqlx::migrate::Migrator;
use sqlx::postgres::{PgConnectOptions, PgConnection, PgPoolOptions};
use sqlx::{AssertSqlSafe, ConnectOptions, Connection, PgPool};

use crate::cluster::{TestCluster, plain_url};

/// Read when the test runs, so that the newest migrations are used without building anything again.
const MIGRATIONS: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/../../migrations");

/// Guards the making of templates; any number will do that nothing else locks.
const TEMPLATE_LOCK: i64 = 7_370_001;

/// As many connections as a test needs; the server has 200 for all that run at once.
const POOL_CONNECTIONS_MAX: u32 = 4;

/// How Postgres names the refusal to end a session of another role: insufficient privilege.
const NOT_THE_OWNERS_TO_END: &str = "42501";

/// How often a drop is tried, and the pause before the next: 10 s in all.
const DROP_TRIES_MAX: u32 = 100;
const DROP_PAUSE: Duration = Duration::from_millis(100);

/// A database of the test's own. Keep it until the test ends: it goes when dropped.
#[derive(Debug)]
pub struct TestDatabase {
    name: String,
    cluster: Arc<TestCluster>,
}

impl TestDatabase {
    /// A migrated database on the shared server, without a row in it.
    pub async fn new() -> TestDatabase {
        TestDatabase::on(TestCluster::shared().await).await
    }

    /// A database on the shared server that no migration has touched.
    pub async fn unmigrated() -> TestDatabase {
        TestDatabase::create(TestCluster::shared().await, "template1").await
    }

    /// A migrated database on a server of the test's choice.
    pub async fn on(cluster: Arc<TestCluster>) -> TestDatabase {
        let template = template(&cluster).await;
        TestDatabase::create(cluster, &template).await
    }

    async fn create(cluster: Arc<TestCluster>, template: &str) -> TestDatabase {
        let name = format!("hod_test_{:016x}", rand::rng().random::<u64>());
        let mut owner = login(cluster.maintenance()).await;
        run(
            &mut owner,
            format!("create database {name} template {template}"),
        )
        .await;
        admit_application(&mut owner, &name)
            .await
            .expect("the owner lets the application role in");
        owner.close().await.expect("logging out");
        TestDatabase { name, cluster }
    }

    /// The owner's URL of this database.
    #[must_use]
    pub fn owner_url(&self) -> String {
        plain_url(&self.owner_options())
    }

    /// The application role's URL of this database.
    #[must_use]
    pub fn app_url(&self) -> String {
        plain_url(&self.app_options())
    }

    /// How the owner logs in. No superuser: row-level security is forced on it too.
    #[must_use]
    pub fn owner_options(&self) -> PgConnectOptions {
        self.cluster.owner(&self.name)
    }

    /// How the application role logs in.
    #[must_use]
    pub fn app_options(&self) -> PgConnectOptions {
        self.cluster.app(&self.name)
    }

    /// A pool of the owner's connections.
    pub async fn owner_pool(&self) -> PgPool {
        pool(self.owner_options()).await
    }

    /// A pool of the application role's connections.
    pub async fn app_pool(&self) -> PgPool {
        pool(self.app_options()).await
    }
}

impl Drop for TestDatabase {
    /// On a server of our own there is nothing to do: it goes as a whole.
    fn drop(&mut self) {
        if self.cluster.is_own() {
            return;
        }
        let (cluster, name) = (Arc::clone(&self.cluster), self.name.clone());
        // A thread and a runtime of its own, because a test's runtime cannot be waited on from here.
        let dropped = std::thread::spawn(move || {
            tokio::runtime::Builder::new_current_thread()
                .enable_all()
                .build()?
                .block_on(drop_database(&cluster, &name))
        });
        match dropped.join() {
            Ok(Ok(())) => {}
            // A test that fails already should fail for its own reason.
            _ if std::thread::panicking() => {}
            Ok(Err(problem)) => panic!(
                "the test's database {} could not be dropped: {problem}",
                self.name
            ),
            Err(_) => panic!("the test's database {} could not be dropped", self.name),
        }
    }
}

/// Tries again while a pool that is still closing logs in between the sending away and the drop.
async fn drop_database(cluster: &TestCluster, name: &str) -> Result<(), sqlx::Error> {
    let mut tries = 1;
    loop {
        match try_drop(cluster, name).await {
            Err(sqlx::Error::Database(refusal))
                if refusal.code().as_deref() == Some(NOT_THE_OWNERS_TO_END)
                    && tries < DROP_TRIES_MAX =>
            {
                tokio::time::sleep(DROP_PAUSE).await;
                tries += 1;
            }
            done => return done,
        }
    }
}

/// A role may end its own sessions but not another's: so the application role sends its own away first.
async fn try_drop(cluster: &TestCluster, name: &str) -> Result<(), sqlx::Error> {
    let mut app = cluster.app_maintenance().connect().await?;
    // It waits until each has gone: one that is still going would be the owner's to end, who may not.
    sqlx::query("select pg_terminate_backend(pid, 5000) from pg_stat_activity where datname = $1 and usename = current_user")
        .bind(name)
        .execute(&mut app)
        .await?;
    app.close().await?;
    let mut owner = cluster.maintenance().connect().await?;
    sqlx::query(AssertSqlSafe(format!("drop database {name} with (force)")))
        .execute(&mut owner)
        .await?;
    owner.close().await
}

/// The name of a database as the migrations make it; made first when it is not there yet.
async fn template(cluster: &TestCluster) -> String {
    let migrator = Migrator::new(Path::new(MIGRATIONS))
        .await
        .expect("the migrations folder is in order");
    let name = format!("hod_template_{}", digest(&migrator));
    let mut owner = login(cluster.maintenance()).await;
    // Several test processes may come at once; the lock is let go with the connection.
    sqlx::query("select pg_advisory_lock($1)")
        .bind(TEMPLATE_LOCK)
        .execute(&mut owner)
        .await
        .expect("the lock");
    if !exists(&mut owner, &name).await {
        make_template(cluster, &mut owner, &migrator, &name).await;
    }
    owner.close().await.expect("logging out");
    name
}

/// Made under another name and renamed, so that a template of the right name is always whole.
async fn make_template(
    cluster: &TestCluster,
    owner: &mut PgConnection,
    migrator: &Migrator,
    name: &str,
) {
    let making = format!("{name}_in_the_making");
    run(owner, format!("drop database if exists {making}")).await;
    run(owner, format!("create database {making}")).await;
    let mut inside = login(&cluster.owner(&making)).await;
    migrator
        .run(&mut inside)
        .await
        .unwrap_or_else(|fault| panic!("the migrations do not run: {fault}"));
    inside.close().await.expect("logging out");
    run(owner, format!("alter database {making} rename to {name}")).await;
}

async fn exists(owner: &mut PgConnection, database: &str) -> bool {
    sqlx::query_scalar("select exists (select from pg_database where datname = $1)")
        .bind(database)
        .fetch_one(owner)
        .await
        .expect("the list of databases")
}

/// Differs whenever a migration is added or edited: FNV-1a over the checksums of all of them.
fn digest(migrator: &Migrator) -> String {
    let bytes = migrator
        .iter()
        .flat_map(|migration| migration.checksum.iter());
    let hash = bytes.fold(0xcbf2_9ce4_8422_2325_u64, |hash, byte| {
        (hash ^ u64::from(*byte)).wrapping_mul(0x100_0000_01b3)
    });
    format!("{hash:016x}")
}

async fn login(options: &PgConnectOptions) -> PgConnection {
    options
        .connect()
        .await
        .unwrap_or_else(|fault| panic!("the server for tests does not answer: {fault}"))
}

async fn pool(options: PgConnectOptions) -> PgPool {
    PgPoolOptions::new()
        .max_connections(POOL_CONNECTIONS_MAX)
        .connect_with(options)
        .await
        .unwrap_or_else(|fault| panic!("the test's database does not answer: {fault}"))
}

async fn run(connection: &mut PgConnection, statement: String) {
    let done = sqlx::query(AssertSqlSafe(statement.clone()))
        .execute(connection)
        .await;
    done.unwrap_or_else(|fault| panic!("{statement}: {fault}"));
}
