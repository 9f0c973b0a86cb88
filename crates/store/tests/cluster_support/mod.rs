//! What the tests of the private cluster share: data folders, a killable holder process, a look at `/proc`.
#![allow(clippy::unwrap_used, clippy::expect_used, dead_code)]

use std::fs;
use std::io::{BufRead, BufReader, Read};
use std::os::unix::fs::{PermissionsExt, chown};
use std::os::unix::process::CommandExt;
use std::path::{Path, PathBuf};
use std::process::{Child, ChildStdin, Command, Stdio};

use hod_store::cluster::Settings;
use rustix::process::{Pid, Signal, geteuid, kill_process};
use sqlx::postgres::{PgConnectOptions, PgConnection};
use sqlx::{ConnectOptions, Connection};
use tempfile::TempDir;

/// The user `nobody`, who exists on every machine that these tests run on as root.
pub const NOBODY: u32 = 65534;

/// An empty data folder that every user may pass through.
pub fn data_folder() -> TempDir {
    let folder = tempfile::Builder::new()
        .prefix("hod-cluster-test-")
        .tempdir()
        .unwrap();
    fs::set_permissions(folder.path(), fs::Permissions::from_mode(0o711)).unwrap();
    folder
}

/// An empty data folder of `nobody`.
pub fn data_folder_of_nobody() -> TempDir {
    let folder = data_folder();
    chown(folder.path(), Some(NOBODY), Some(NOBODY)).unwrap();
    folder
}

pub fn settings(data: &Path) -> Settings {
    Settings {
        data: data.to_path_buf(),
        postgres_bin: None,
    }
}

pub fn is_root() -> bool {
    geteuid().is_root()
}

/// Says on standard error, where the runner shows it, that a check could not be made here.
pub fn skip(reason: &str) {
    use std::io::Write;
    let _ = writeln!(std::io::stderr(), "SKIPPED: {reason}");
}

/// A process of its own that holds a cluster.
pub struct Holder {
    pub process: Child,
    pub url: String,
    stdin: Option<ChildStdin>,
}

impl Holder {
    /// The command that holds the cluster of `data`; the example is built with the tests.
    pub fn command(data: &Path) -> Command {
        let beside = std::env::current_exe().unwrap();
        let program = beside
            .parent()
            .unwrap()
            .parent()
            .unwrap()
            .join("examples/cluster_holder");
        assert!(
            program.exists(),
            "build it first: cargo build -p hod-store --example cluster_holder"
        );
        let mut command = Command::new(program);
        command
            .arg(data)
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .stderr(Stdio::piped());
        command
    }

    /// Starts it and waits until the cluster is ready.
    pub fn start(data: &Path) -> Holder {
        Holder::run(Holder::command(data))
            .unwrap_or_else(|said| panic!("the holder did not start: {said}"))
    }

    pub fn start_as_nobody(data: &Path) -> Result<Holder, String> {
        let mut command = Holder::command(data);
        command.uid(NOBODY).gid(NOBODY).current_dir("/");
        Holder::run(command)
    }

    /// What it printed on standard error when it does not become ready.
    pub fn run(mut command: Command) -> Result<Holder, String> {
        let mut process = command.spawn().unwrap();
        let stdin = process.stdin.take();
        let mut line = String::new();
        BufReader::new(process.stdout.take().unwrap())
            .read_line(&mut line)
            .unwrap();
        if line.is_empty() {
            let mut said = String::new();
            process
                .stderr
                .take()
                .unwrap()
                .read_to_string(&mut said)
                .unwrap();
            process.wait().unwrap();
            return Err(said);
        }
        Ok(Holder {
            process,
            url: line.trim().to_owned(),
            stdin,
        })
    }

    pub async fn connect(&self) -> PgConnection {
        connect(&self.url).await
    }

    /// SIGKILL, as the machine's memory guard or an impatient person sends it.
    pub fn kill(mut self) {
        self.process.kill().unwrap();
        self.process.wait().unwrap();
    }

    /// Closes its standard input and waits for an orderly end.
    pub fn stop(mut self) {
        drop(self.stdin.take());
        assert!(
            self.process.wait().unwrap().success(),
            "the holder did not stop in order"
        );
    }
}

pub async fn connect(url: &str) -> PgConnection {
    let options: PgConnectOptions = url.parse().unwrap();
    PgConnection::connect_with(&options).await.unwrap()
}

pub async fn login(options: PgConnectOptions) -> PgConnection {
    options.connect().await.unwrap()
}

/// Every Postgres process whose working folder is the cluster of `data`.
pub fn postgres_processes(data: &Path) -> Vec<i32> {
    let cluster = data.join("cluster");
    fs::read_dir("/proc")
        .unwrap()
        .flatten()
        .filter_map(|entry| entry.file_name().to_str()?.parse().ok())
        .filter(|pid: &i32| {
            fs::read_link(format!("/proc/{pid}/cwd")).is_ok_and(|cwd| cwd == cluster)
        })
        .collect()
}

/// The server process that `postmaster.pid` names.
pub fn postmaster(data: &Path) -> i32 {
    let text = fs::read_to_string(data.join("cluster/postmaster.pid")).unwrap();
    text.lines().next().unwrap().trim().parse().unwrap()
}

pub fn signal(pid: i32, signal: Signal) {
    kill_process(Pid::from_raw(pid).unwrap(), signal).unwrap();
}

/// Fields of `/proc/PID/stat` after the name: state, parent, group...
pub fn stat_fields(pid: i32) -> Vec<String> {
    let text = fs::read_to_string(format!("/proc/{pid}/stat")).unwrap();
    let (_, rest) = text.rsplit_once(')').unwrap();
    rest.split_whitespace().map(str::to_owned).collect()
}

/// Every path under `folder` with its length, mode and time of change.
pub fn fingerprint(folder: &Path) -> Vec<(PathBuf, u64, u32, std::time::SystemTime)> {
    let mut found = Vec::new();
    let mut ahead = vec![folder.to_path_buf()];
    while let Some(path) = ahead.pop() {
        let about = fs::symlink_metadata(&path).unwrap();
        if about.is_dir() {
            ahead.extend(
                fs::read_dir(&path)
                    .unwrap()
                    .flatten()
                    .map(|entry| entry.path()),
            );
        }
        found.push((
            path,
            about.len(),
            about.permissions().mode(),
            about.modified().unwrap(),
        ));
    }
    found.sort();
    found
}
