//! The Postgres that tests work on: the server named by `HOD_TEST_DATABASE_URL`, or else a private cluster in a
//! temporary folder that is gone with the last test of this process that uses it.
//!
//! `cargo xtask test` runs the example `hold_cluster` of this crate, which prints such a URL, and so shares one
//! cluster among all test processes. A single test needs no preparation: it starts a cluster of its own in a second.
//! Any other server does too, if the URL's role may create databases and there is a role `hod_app` that logs in
//! with the password [`APP_PASSWORD`]. Give no server that holds anything of worth.

use std::env;
use std::fs::{Permissions, set_permissions};
use std::os::unix::fs::PermissionsExt;
use std::sync::{Arc, Weak};

use hod_store::cluster::{APP, Cluster, Settings};
use sqlx::postgres::PgConnectOptions;
use sqlx::{AssertSqlSafe, ConnectOptions, Connection};
use tempfile::TempDir;
use tokio::sync::Mutex;

/// The variable that names the server to attach to, with an owner's URL.
pub const URL_VARIABLE: &str = "HOD_TEST_DATABASE_URL";

/// The password of `hod_app` on every server for tests: an owner's URL says nothing of it.
pub const APP_PASSWORD: &str = "of-the-application-role-in-tests";

/// A server for tests.
#[derive(Debug)]
pub struct TestCluster {
    owner: PgConnectOptions,
    app: PgConnectOptions,
    own: Option<OwnCluster>,
}

/// Dropped in this order: the server stops before its folder goes.
#[derive(Debug)]
struct OwnCluster {
    _cluster: Cluster,
    _folder: TempDir,
}

impl TestCluster {
    /// The one server of this process: attached to when one is named, else started.
    pub async fn shared() -> Arc<TestCluster> {
        // Weak, because what is static is never dropped, and the cluster and its folder should be.
        static SHARED: Mutex<Weak<TestCluster>> = Mutex::const_new(Weak::new());
        let mut shared = SHARED.lock().await;
        if let Some(running) = shared.upgrade() {
            return running;
        }
        let cluster = Arc::new(match env::var(URL_VARIABLE) {
            Ok(url) => TestCluster::attach(&url),
            Err(_) => TestCluster::start().await,
        });
        *shared = Arc::downgrade(&cluster);
        cluster
    }

    /// The server that an owner's URL names.
    #[must_use]
    pub fn attach(owner_url: &str) -> TestCluster {
        let owner: PgConnectOptions = owner_url
            .parse()
            .expect("HOD_TEST_DATABASE_URL is a Postgres URL");
        let app = owner.clone().username(APP).password(APP_PASSWORD);
        TestCluster {
            owner,
            app,
            own: None,
        }
    }

    /// A private cluster in a temporary folder, which stops and goes when this value is dropped.
    pub async fn start() -> TestCluster {
        let folder = tempfile::Builder::new()
            .prefix("hod-test-")
            .tempdir()
            .expect("a temporary folder");
        // Started by root, Postgres runs as another user, who has to get in.
        set_permissions(folder.path(), Permissions::from_mode(0o711)).expect("a folder of our own");
        let settings = Settings {
            data: folder.path().to_path_buf(),
            postgres_bin: None,
        };
        let cluster = Cluster::start(&settings)
            .await
            .unwrap_or_else(|fault| panic!("{fault}"));
        set_app_password(&cluster)
            .await
            .expect("a role may change its own password");
        let url = plain_url(&cluster.owner_options());
        TestCluster {
            own: Some(OwnCluster {
                _cluster: cluster,
                _folder: folder,
            }),
            ..TestCluster::attach(&url)
        }
    }

    /// An owner's URL, for [`URL_VARIABLE`].
    #[must_use]
    pub fn url(&self) -> String {
        plain_url(&self.owner)
    }

    /// How the owner logs in to a database of this server.
    pub(crate) fn owner(&self, database: &str) -> PgConnectOptions {
        self.owner.clone().database(database)
    }

    /// How the application role logs in to a database of this server.
    pub(crate) fn app(&self, database: &str) -> PgConnectOptions {
        self.app.clone().database(database)
    }

    /// The owner in the database of the URL, where databases are made and dropped from.
    pub(crate) fn maintenance(&self) -> &PgConnectOptions {
        &self.owner
    }

    /// The application role in the database of the URL.
    pub(crate) fn app_maintenance(&self) -> &PgConnectOptions {
        &self.app
    }

    /// Whether the server goes with this process, and its databases with it.
    pub(crate) fn is_own(&self) -> bool {
        self.own.is_some()
    }
}

async fn set_app_password(cluster: &Cluster) -> Result<(), sqlx::Error> {
    let mut app = cluster.app_options().connect().await?;
    let statement = format!("alter role {APP} password '{APP_PASSWORD}'");
    sqlx::query(AssertSqlSafe(statement))
        .execute(&mut app)
        .await?;
    app.close().await
}

/// The URL without what only this driver understands, so that `psql` and other programs can read it.
pub(crate) fn plain_url(options: &PgConnectOptions) -> String {
    let mut url = options.to_url_lossy();
    let kept: Vec<(String, String)> = url
        .query_pairs()
        .filter(|(key, _)| key != "statement-cache-capacity")
        .map(|(k, v)| (k.into(), v.into()))
        .collect();
    url.query_pairs_mut().clear().extend_pairs(kept);
    url.into()
}
