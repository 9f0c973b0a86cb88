//! The private cluster: a Postgres of the server's own, made from the installed programs on the first start.
//! It listens on a Unix socket only, asks for passwords, keeps checksums and `fsync` on, and starts and stops
//! with the server. Two starts at once, a killed server, a killed Postgres and an interrupted first start are
//! all met here. Linux only: it reads `/proc` and asks for the parent-death signal.
//! Tables belong to the migrations; when to use a given server instead is the caller's decision.
//!
//! In the data folder: `cluster/` (Postgres's own), `cluster-access.toml` (passwords, the socket's place),
//! `cluster.log`, `cluster.lock`.

mod access;
mod account;
mod binaries;
mod fault;
mod folder;
mod initialise;
mod leftovers;
mod postmaster;
mod roles;
mod socket;

use std::path::PathBuf;

use sqlx::postgres::PgConnectOptions;

use access::Access;
use account::Account;
use binaries::Binaries;
use folder::DataFolder;
use postmaster::{Launch, Postmaster};
use socket::SocketFolder;

pub use fault::ClusterFault;
pub use roles::{APP, DATABASE, OWNER, admit_application};

/// Where the cluster lives and which Postgres runs it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Settings {
    /// The data folder (`HOD_DATA`); made when missing. When started by root it must be reachable by the
    /// user that Postgres then runs as, so not inside a home of mode 0700.
    pub data: PathBuf,
    /// The folder of the Postgres programs (`HOD_POSTGRES_BIN`); when none, the installed ones are found.
    pub postgres_bin: Option<PathBuf>,
}

/// A running private cluster. Dropping it stops Postgres; [`Cluster::stop`] does so without blocking and
/// says whether it went well.
pub struct Cluster {
    // Dropped in this order: the server, its socket's folder, the lock on the data folder.
    postmaster: Postmaster,
    socket: SocketFolder,
    data: DataFolder,
    access: Access,
    version: u32,
}

impl Cluster {
    /// Starts the cluster of this data folder, making it first when there is none.
    ///
    /// What an earlier run left running or lying about is cleared; Postgres is started again by itself if it
    /// is killed. Nothing has to be running for it, and nothing is left running when this process ends,
    /// however it ends.
    ///
    /// # Errors
    /// Every [`ClusterFault`] says what to do. A folder made by another major version is never touched.
    pub async fn start(settings: &Settings) -> Result<Cluster, ClusterFault> {
        let settings = settings.clone();
        let cluster = off_the_runtime(move || Cluster::launch(&settings)).await?;
        match roles::set_up(&cluster.socket, &cluster.access).await {
            Ok(()) => Ok(cluster),
            Err(fault) => {
                if let Err(worse) = cluster.stop().await {
                    tracing::warn!(%worse, "after the private cluster could not be set up");
                }
                Err(fault)
            }
        }
    }

    /// Logs in as [`OWNER`], which owns the database and its schema and runs the migrations. No superuser:
    /// it is subject to row-level security where that is forced, as an owner on a given server may be.
    #[must_use]
    pub fn owner_options(&self) -> PgConnectOptions {
        roles::options(&self.socket, OWNER, &self.access.owner_password, DATABASE)
    }

    /// Logs in as [`APP`], which owns nothing and cannot pass row-level security.
    #[must_use]
    pub fn app_options(&self) -> PgConnectOptions {
        roles::options(&self.socket, APP, &self.access.app_password, DATABASE)
    }

    /// The major version of Postgres, 15 to 18.
    #[must_use]
    pub fn version(&self) -> u32 {
        self.version
    }

    /// Stops Postgres in order: clients are sent away, open transactions rolled back, all is written to disk.
    ///
    /// # Errors
    /// [`ClusterFault::StopForced`] when it had to be killed or ended badly; no committed row is lost even so.
    pub async fn stop(mut self) -> Result<(), ClusterFault> {
        off_the_runtime(move || self.postmaster.stop()).await
    }

    fn launch(settings: &Settings) -> Result<Cluster, ClusterFault> {
        let data = DataFolder::claim(&settings.data)?;
        let account = Account::choose(&data.cluster())?;
        let made_by = initialise::made_by(&data.cluster())?;
        let binaries = Binaries::find(
            settings.postgres_bin.as_deref(),
            &account,
            &data.cluster(),
            made_by,
        )?;
        account.check_reach(&binaries.postgres(), data.root())?;
        let mut access = Access::read_or_make(&data)?;
        initialise::clear_interrupted(&data)?;
        if made_by.is_none() {
            initialise::initialise(&data, &account, &binaries, &access.superuser_password)?;
        }
        leftovers::clear(&data.cluster(), access.socket_folder.as_deref())?;
        let socket = SocketFolder::open(access.socket_folder.as_deref(), &account)?;
        if access.socket_folder.as_deref() != Some(socket.path()) {
            access.socket_folder = Some(socket.path().to_path_buf());
            access.write(&data)?;
        }
        data.prepare_log()?;
        let postmaster = Postmaster::start(Launch {
            postgres: binaries.postgres(),
            account,
            cluster: data.cluster(),
            socket: socket.path().to_path_buf(),
            log: data.log_file(),
        })?;
        Ok(Cluster {
            postmaster,
            socket,
            data,
            access,
            version: binaries.version,
        })
    }
}

/// Passwords stay out of it.
impl std::fmt::Debug for Cluster {
    fn fmt(&self, formatter: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        formatter
            .debug_struct("Cluster")
            .field("data", &self.data.root())
            .field("socket", &self.socket.path())
            .field("version", &self.version)
            .finish_non_exhaustive()
    }
}

/// Starting and stopping wait on processes and files, which must not hold up other tasks.
async fn off_the_runtime<T: Send + 'static>(
    work: impl FnOnce() -> Result<T, ClusterFault> + Send + 'static,
) -> Result<T, ClusterFault> {
    tokio::task::spawn_blocking(work)
        .await
        .unwrap_or(Err(ClusterFault::Broken))
}
