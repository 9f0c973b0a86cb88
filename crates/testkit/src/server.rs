//! The real `hod-server` as a process: started on a free port, on a data folder of its own or on a test's database,
//! told its address and token, and ended in order or by SIGKILL. Calls on it are the caller's, through `hod_wire`.

use std::fs::{self, File, Permissions};
use std::io::{BufRead, BufReader};
use std::net::SocketAddr;
use std::os::unix::fs::PermissionsExt;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, ExitStatus, Stdio};
use std::sync::mpsc;
use std::time::{Duration, Instant};

use hod_store::{FirmId, Store, firm, library};
use rand::Rng;
use sha2::{Digest, Sha256};
use tempfile::TempDir;

use crate::database::TestDatabase;

/// The variable that names the program to start; without it the one that was built beside the test is taken.
pub const PROGRAM_VARIABLE: &str = "HOD_SERVER_BIN";

/// How long a start may take: a first one makes a cluster, on a machine that runs other tests too.
const START_TIME_MAX: Duration = Duration::from_secs(60);

/// How long an end in order may take: the drain, and stopping the cluster.
const END_TIME_MAX: Duration = Duration::from_secs(40);

/// A data folder that outlives the servers started on it, and goes when dropped.
#[derive(Debug)]
pub struct DataFolder(TempDir);

impl DataFolder {
    /// A new, empty one that the user whom Postgres runs as can reach.
    #[must_use]
    pub fn new() -> Self {
        let folder = tempfile::Builder::new()
            .prefix("hod-server-test-")
            .tempdir()
            .expect("a temporary folder");
        fs::set_permissions(folder.path(), Permissions::from_mode(0o711))
            .expect("a folder of our own");
        Self(folder)
    }

    /// What `HOD_DATA` is set to.
    #[must_use]
    pub fn data(&self) -> PathBuf {
        self.0.path().join("data")
    }
}

impl Default for DataFolder {
    fn default() -> Self {
        Self::new()
    }
}

/// A firm of a test's database, with its owner's token.
#[derive(Debug, Clone)]
pub struct TestFirm {
    /// Its number.
    pub id: FirmId,
    /// Its owner's token.
    pub token: String,
}

impl TestFirm {
    /// The first firm of a database, with nothing in it.
    pub async fn empty(database: &TestDatabase) -> Self {
        let token = new_token();
        let sha256: [u8; 32] = Sha256::digest(&token).into();
        let id = firm::create_first(database.owner_options(), "Firm of the test", &sha256)
            .await
            .expect("a firm")
            .expect("the first of its database");
        Self { id, token }
    }

    /// The first firm of a database, with the starting library in it.
    pub async fn with_library(database: &TestDatabase) -> Self {
        let made = Self::empty(database).await;
        let store = Store::connect(database.app_options(), 2)
            .await
            .expect("the database");
        let mut session = store.begin(made.id).await.expect("a session");
        library::load(&mut session).await.expect("the library");
        session.commit().await.expect("the library, kept");
        store.close().await;
        made
    }
}

fn new_token() -> String {
    const DIGITS: &[u8; 64] = b"ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789-_";
    let mut random = rand::rng();
    let digits = (0..43).map(|_| char::from(DIGITS[random.random_range(0..64)]));
    std::iter::once("hod_".to_owned())
        .chain(digits.map(String::from))
        .collect()
}

/// A running server. Dropping it kills it.
#[derive(Debug)]
pub struct RunningServer {
    process: Child,
    address: SocketAddr,
    data: PathBuf,
    log: PathBuf,
    _folder: Option<TempDir>,
}

impl RunningServer {
    /// Starts one on a private cluster in this data folder.
    #[must_use]
    pub fn on_data(folder: &DataFolder) -> Self {
        Self::start(&folder.data(), None, &[])
    }

    /// Starts one on a private cluster in this data folder, with further settings.
    #[must_use]
    pub fn on_data_with(folder: &DataFolder, settings: &[(&str, &str)]) -> Self {
        Self::start(&folder.data(), None, settings)
    }

    /// Starts one on a database that is ready.
    #[must_use]
    pub fn on_database(database: &TestDatabase) -> Self {
        Self::on_database_with(database, &[])
    }

    /// Starts one on a database that is ready, with further settings.
    #[must_use]
    pub fn on_database_with(database: &TestDatabase, settings: &[(&str, &str)]) -> Self {
        let folder = tempfile::tempdir().expect("a temporary folder");
        let url = database.app_url();
        let all: Vec<(&str, &str)> = settings
            .iter()
            .copied()
            .chain([("HOD_DATABASE_URL", url.as_str())])
            .collect();
        Self::start(&folder.path().join("data"), Some(folder), &all)
    }

    /// Starts one on the database of an application role's URL, which is ready.
    #[must_use]
    pub fn on_url(url: &str) -> Self {
        let folder = tempfile::tempdir().expect("a temporary folder");
        let data = folder.path().join("data");
        Self::start(&data, Some(folder), &[("HOD_DATABASE_URL", url)])
    }

    fn start(data: &Path, folder: Option<TempDir>, settings: &[(&str, &str)]) -> Self {
        let log = data.with_extension("log");
        let stderr = File::options()
            .create(true)
            .append(true)
            .open(&log)
            .expect("a log file");
        let mut command = Command::new(program());
        for (variable, _) in std::env::vars_os() {
            if variable.to_string_lossy().starts_with("HOD_") && variable != "HOD_POSTGRES_BIN" {
                command.env_remove(variable);
            }
        }
        let mut process = command
            .env("HOD_LISTEN", "127.0.0.1:0")
            .env("HOD_DATA", data)
            .envs(settings.iter().copied())
            .stdin(Stdio::null())
            .stdout(Stdio::piped())
            .stderr(stderr)
            .spawn()
            .expect("the server is built: cargo build -p hod-service");
        let Some(address) = ready(&mut process) else {
            process.kill().ok();
            process.wait().ok();
            panic!(
                "the server did not start: {}",
                fs::read_to_string(&log).unwrap_or_default()
            );
        };
        Self {
            process,
            address,
            data: data.to_owned(),
            log,
            _folder: folder,
        }
    }

    /// Where it listens.
    #[must_use]
    pub fn address(&self) -> SocketAddr {
        self.address
    }

    /// Where a client connects.
    #[must_use]
    pub fn url(&self) -> String {
        format!("http://{}", self.address)
    }

    /// The owner's token, which a server on a private cluster has written down.
    #[must_use]
    pub fn token(&self) -> String {
        let file = self.data.join("owner-token");
        let text = fs::read_to_string(file).expect("the owner's token is written down");
        text.trim_end().to_owned()
    }

    /// All that it has logged so far, and its predecessors on the same data folder.
    #[must_use]
    pub fn log(&self) -> String {
        fs::read_to_string(&self.log).unwrap_or_default()
    }

    /// Its process.
    #[must_use]
    pub fn process_id(&self) -> u32 {
        self.process.id()
    }

    /// Tells it to end and does not wait.
    pub fn terminate(&self) {
        self.signal(rustix::process::Signal::TERM);
    }

    /// Tells it to end, waits until it has, and says how.
    pub fn stop(mut self) -> ExitStatus {
        self.terminate();
        self.ended()
    }

    /// Waits until it has ended, and says how.
    pub fn ended(&mut self) -> ExitStatus {
        let begun = Instant::now();
        loop {
            if let Some(status) = self.process.try_wait().expect("a child of ours") {
                return status;
            }
            assert!(
                begun.elapsed() < END_TIME_MAX,
                "the server does not end: {}",
                self.log()
            );
            std::thread::sleep(Duration::from_millis(10));
        }
    }

    /// Kills it where it stands.
    pub fn kill(mut self) {
        self.signal(rustix::process::Signal::KILL);
        self.process.wait().expect("a child of ours");
    }

    fn signal(&self, signal: rustix::process::Signal) {
        let process = i32::try_from(self.process.id())
            .ok()
            .and_then(rustix::process::Pid::from_raw)
            .expect("the number of a process");
        // It may have ended by itself.
        rustix::process::kill_process(process, signal).ok();
    }
}

impl Drop for RunningServer {
    fn drop(&mut self) {
        self.process.kill().ok();
        self.process.wait().ok();
    }
}

/// The address of the one line that is printed when it is ready; `None` when it ends or takes too long.
fn ready(process: &mut Child) -> Option<SocketAddr> {
    let stdout = process.stdout.take()?;
    let (sender, receiver) = mpsc::channel();
    std::thread::spawn(move || {
        let mut line = String::new();
        if BufReader::new(stdout).read_line(&mut line).is_ok() {
            sender.send(line).ok();
        }
    });
    let line = receiver.recv_timeout(START_TIME_MAX).ok()?;
    line.trim_end()
        .strip_prefix("hod-server ready on ")?
        .parse()
        .ok()
}

/// The program: named, or built beside the test, whose own program is in `target/PROFILE/deps`.
fn program() -> PathBuf {
    if let Some(named) = std::env::var_os(PROGRAM_VARIABLE) {
        return named.into();
    }
    let own = std::env::current_exe().expect("a program has a path");
    let profile = own.ancestors().nth(2).expect("target/PROFILE/deps/TEST");
    profile.join("hod-server")
}
