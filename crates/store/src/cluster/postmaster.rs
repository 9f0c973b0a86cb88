//! Runs the Postgres server process: starts it, knows when it is ready, starts it again if it is killed,
//! stops it in order. One thread of its own keeps it for as long as it lives, because the kernel ties the
//! parent-death signal to the thread that started the child.

use std::fs::{self, File};
use std::io::{self, Read, Seek, SeekFrom};
use std::path::{Path, PathBuf};
use std::process::{Child, Command};
use std::sync::{Arc, Condvar, Mutex, MutexGuard, PoisonError};
use std::thread::{self, JoinHandle};
use std::time::Duration;

use rustix::process::{
    Pid, Signal, WaitId, WaitIdOptions, kill_process, kill_process_group, waitid,
};

use super::account::Account;
use super::fault::ClusterFault;
use super::folder::open_private;
use super::leftovers::{self, PostmasterFile};
use super::socket::{self, PORT};

/// Recovery after a crash may have a good deal of log to read.
const START_LIMIT: Duration = Duration::from_secs(300);
/// Fast stop, then immediate stop, then SIGKILL.
const STOP_LIMITS: [(Signal, Duration); 3] = [
    (Signal::INT, Duration::from_secs(30)),
    (Signal::QUIT, Duration::from_secs(5)),
    (Signal::KILL, Duration::from_secs(5)),
];
/// Before the next try when Postgres died again without having become ready.
const PAUSE_AFTER_FAILURE: Duration = Duration::from_secs(5);
const LOOK_FOR_READY: Duration = Duration::from_millis(5);

/// What it takes to start the server process.
#[derive(Debug, Clone)]
pub(super) struct Launch {
    pub(super) postgres: PathBuf,
    pub(super) account: Account,
    pub(super) cluster: PathBuf,
    pub(super) socket: PathBuf,
    pub(super) log: PathBuf,
}

/// A running server and the thread that keeps it.
#[derive(Debug)]
pub(super) struct Postmaster {
    shared: Arc<Shared>,
    keeper: Option<JoinHandle<()>>,
    log: PathBuf,
}

#[derive(Debug, Default)]
struct Shared {
    state: Mutex<State>,
    changed: Condvar,
}

#[derive(Debug, Default)]
struct State {
    /// Set while the process exists and has not been reaped, so that its pid cannot have been reused.
    pid: Option<Pid>,
    is_ready: bool,
    is_stopping: bool,
    ended: Option<Ending>,
}

/// How the keeper's work ended for good.
#[derive(Debug, Clone)]
enum Ending {
    InOrder,
    Badly(String),
}

impl Postmaster {
    /// Starts the server and waits until it takes connections.
    pub(super) fn start(launch: Launch) -> Result<Postmaster, ClusterFault> {
        let log = launch.log.clone();
        let log_start = fs::metadata(&log).map_or(0, |found| found.len());
        let shared = Arc::new(Shared::default());
        let keeper = thread::Builder::new()
            .name("hod-postmaster".to_owned())
            .spawn({
                let shared = Arc::clone(&shared);
                move || keep(&launch, &shared)
            })
            .map_err(|_| ClusterFault::Broken)?;
        let mut postmaster = Postmaster {
            shared,
            keeper: Some(keeper),
            log,
        };
        match postmaster.shared.wait_for_start() {
            Some(None) => Ok(postmaster),
            Some(Some(said)) => Err(ClusterFault::StartFailed {
                said: end_of_log(&postmaster.log, log_start).unwrap_or(said),
                log: postmaster.log.clone(),
            }),
            None => {
                let seconds = START_LIMIT.as_secs();
                let log = postmaster.log.clone();
                postmaster.stop()?;
                Err(ClusterFault::StartTooSlow { seconds, log })
            }
        }
    }

    /// Stops the server in order, or by force when it will not; does nothing the second time.
    pub(super) fn stop(&mut self) -> Result<(), ClusterFault> {
        let Some(keeper) = self.keeper.take() else {
            return Ok(());
        };
        let ending = self.shared.stop();
        if ending.is_some() && keeper.join().is_err() {
            return Err(ClusterFault::Broken);
        }
        match ending {
            Some(Ending::InOrder) => Ok(()),
            _ => Err(ClusterFault::StopForced {
                log: self.log.clone(),
            }),
        }
    }
}

impl Drop for Postmaster {
    fn drop(&mut self) {
        if let Err(fault) = self.stop() {
            tracing::warn!(%fault, "the private cluster");
        }
    }
}

impl Shared {
    /// A panic while the lock was held would be a bug; the state itself is whole at every step.
    fn lock(&self) -> MutexGuard<'_, State> {
        self.state.lock().unwrap_or_else(PoisonError::into_inner)
    }

    fn change(&self, change: impl FnOnce(&mut State)) {
        change(&mut self.lock());
        self.changed.notify_all();
    }

    /// Nothing when the time is up, else what went wrong, if anything.
    fn wait_for_start(&self) -> Option<Option<String>> {
        let waiting = |state: &mut State| !state.is_ready && state.ended.is_none();
        let (state, time) = self
            .changed
            .wait_timeout_while(self.lock(), START_LIMIT, waiting)
            .unwrap_or_else(PoisonError::into_inner);
        match &state.ended {
            Some(Ending::Badly(said)) => Some(Some(said.clone())),
            Some(Ending::InOrder) => Some(Some("it was stopped while starting".to_owned())),
            None if time.timed_out() => None,
            None => Some(None),
        }
    }

    /// Sends one signal after another, each time waiting for the end. Forced endings are bad ones.
    fn stop(&self) -> Option<Ending> {
        self.change(|state| state.is_stopping = true);
        for (signal, limit) in STOP_LIMITS {
            self.send(signal);
            let (state, _) = self
                .changed
                .wait_timeout_while(self.lock(), limit, |state| state.ended.is_none())
                .unwrap_or_else(PoisonError::into_inner);
            if let Some(ending) = &state.ended {
                return Some(ending.clone());
            }
        }
        None
    }

    fn send(&self, signal: Signal) {
        let state = self.lock();
        let Some(pid) = state.pid else { return };
        let sent = if signal == Signal::KILL {
            kill_process_group(pid, signal)
        } else {
            kill_process(pid, signal)
        };
        if let Err(refusal) = sent {
            tracing::warn!(%refusal, ?signal, "Postgres could not be signalled");
        }
    }

    /// Starts the process unless we are stopping. Under the lock, so that a stop cannot slip in between.
    fn launch(&self, launch: &Launch) -> io::Result<Option<Child>> {
        let mut state = self.lock();
        if state.is_stopping {
            return Ok(None);
        }
        let child = launch.command()?.spawn()?;
        state.pid = pid_of(&child);
        state.is_ready = false;
        Ok(Some(child))
    }

    /// Takes the dead child's status. Under the lock, so that no signal goes to a pid already reused.
    fn reap(&self, child: &mut Child) -> Ending {
        let mut state = self.lock();
        state.pid = None;
        match child.wait() {
            Ok(status) if status.success() => Ending::InOrder,
            Ok(status) => Ending::Badly(status.to_string()),
            Err(refusal) => Ending::Badly(refusal.to_string()),
        }
    }

    /// Waits unless told to stop.
    fn pause(&self, limit: Duration) {
        let waited = self
            .changed
            .wait_timeout_while(self.lock(), limit, |state| !state.is_stopping);
        drop(waited);
    }
}

impl Launch {
    fn command(&self) -> io::Result<Command> {
        let log = open_private(&self.log)?;
        let errors = log.try_clone()?;
        // SIGINT is the fast stop: SIGTERM would wait for clients, SIGQUIT would leave work for recovery.
        let mut command = self.account.command(&self.postgres, Signal::INT);
        command
            .arg("-D")
            .arg(&self.cluster)
            .arg("-k")
            .arg(&self.socket)
            .args(["-p", &PORT.to_string()]);
        for setting in [
            "listen_addresses=",
            "max_connections=200",
            "unix_socket_permissions=0700",
            "fsync=on",
            "synchronous_commit=on",
            "full_page_writes=on",
            "logging_collector=off",
            // A refused statement is the caller's to log; the text of one may name a client.
            "log_min_messages=log",
            "log_checkpoints=off",
            "timezone=UTC",
        ] {
            command.args(["-c", setting]);
        }
        command.stdout(log).stderr(errors);
        Ok(command)
    }
}

/// The keeper's thread: runs the server until it is told to stop, again and again if it is killed.
fn keep(launch: &Launch, shared: &Shared) {
    let mut was_ever_ready = false;
    loop {
        let (became_ready, ending) = run_once(launch, shared);
        was_ever_ready |= became_ready;
        if shared.lock().is_stopping || !was_ever_ready {
            return shared.change(|state| state.ended = Some(ending));
        }
        tracing::error!(?ending, log = %launch.log.display(), "Postgres ended by itself: starting it again");
        if !became_ready {
            shared.pause(PAUSE_AFTER_FAILURE);
        }
        let cleared = leftovers::clear(&launch.cluster, Some(&launch.socket))
            .and_then(|()| socket::remove_stale_files(&launch.socket));
        if let Err(fault) = cleared {
            tracing::error!(%fault, "what the ended Postgres left could not be cleared");
        }
    }
}

/// One life of the server: whether it became ready, and how it ended.
fn run_once(launch: &Launch, shared: &Shared) -> (bool, Ending) {
    match shared.launch(launch) {
        Err(refusal) => (false, Ending::Badly(refusal.to_string())),
        Ok(None) => (false, Ending::InOrder),
        Ok(Some(mut child)) => {
            let became_ready = watch(&child, launch, shared);
            (became_ready, shared.reap(&mut child))
        }
    }
}

/// Follows the child to its end, without reaping it, and says whether it ever became ready.
fn watch(child: &Child, launch: &Launch, shared: &Shared) -> bool {
    let Some(pid) = pid_of(child) else {
        return false;
    };
    while !has_ended(pid, WaitIdOptions::NOHANG) {
        if is_ready(&launch.cluster, pid) {
            shared.change(|state| state.is_ready = true);
            has_ended(pid, WaitIdOptions::empty());
            return true;
        }
        thread::sleep(LOOK_FOR_READY);
    }
    false
}

fn is_ready(cluster: &Path, pid: Pid) -> bool {
    PostmasterFile::read(cluster).is_some_and(|file| file.pid == pid.as_raw_pid() && file.is_ready)
}

fn has_ended(pid: Pid, how: WaitIdOptions) -> bool {
    loop {
        match waitid(
            WaitId::Pid(pid),
            WaitIdOptions::EXITED | WaitIdOptions::NOWAIT | how,
        ) {
            Err(rustix::io::Errno::INTR) => {}
            Ok(found) => return found.is_some(),
            // It cannot be waited for, so it is no longer there.
            Err(_) => return true,
        }
    }
}

fn pid_of(child: &Child) -> Option<Pid> {
    i32::try_from(child.id()).ok().and_then(Pid::from_raw)
}

/// The last lines that Postgres logged since `start`.
fn end_of_log(log: &Path, start: u64) -> Option<String> {
    let mut file = File::open(log).ok()?;
    file.seek(SeekFrom::Start(start)).ok()?;
    let mut bytes = Vec::new();
    file.read_to_end(&mut bytes).ok()?;
    let text = String::from_utf8_lossy(&bytes);
    let lines: Vec<&str> = text
        .lines()
        .map(str::trim)
        .filter(|line| !line.is_empty())
        .collect();
    let last = lines.get(lines.len().saturating_sub(4)..)?;
    (!last.is_empty()).then(|| last.join("; "))
}
