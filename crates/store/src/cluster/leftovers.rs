//! Clears what an earlier run left on the cluster: live processes, a stale `postmaster.pid`.
//! A pid in a file proves nothing: it may be a zombie's or have been given to another program. So we look for
//! Postgres processes whose working folder is the cluster, and believe only those.
//! The caller holds the data folder's lock, so no server of ours is alive behind them.

use std::fs;
use std::io;
use std::os::unix::fs::MetadataExt;
use std::path::Path;
use std::thread;
use std::time::Duration;

use rustix::process::{Pid, Signal, kill_process};

use super::fault::{ClusterFault, file_fault};

/// How long a fast stop may take: it writes everything that is dirty to disk first.
const FAST_STOP: Duration = Duration::from_secs(30);
/// How long processes get to end by themselves once told to drop everything.
const IMMEDIATE_STOP: Duration = Duration::from_secs(5);
const LOOK_AGAIN: Duration = Duration::from_millis(10);

/// What the lines of `postmaster.pid` that matter say.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct PostmasterFile {
    pub(super) pid: i32,
    socket_folder: String,
    pub(super) is_ready: bool,
}

impl PostmasterFile {
    /// Reads the file in the cluster's folder, if it is there and whole.
    pub(super) fn read(cluster: &Path) -> Option<PostmasterFile> {
        Self::parse(&fs::read_to_string(cluster.join("postmaster.pid")).ok()?)
    }

    /// Line 1 is the pid, line 5 the first socket folder, line 8 the state (all since Postgres 10).
    fn parse(text: &str) -> Option<PostmasterFile> {
        let lines: Vec<&str> = text.lines().map(str::trim).collect();
        Some(PostmasterFile {
            pid: lines.first()?.parse().ok()?,
            socket_folder: lines.get(4).copied().unwrap_or_default().to_owned(),
            is_ready: lines.get(7).is_some_and(|state| *state == "ready"),
        })
    }
}

/// Stops what still runs on the cluster and removes the file that would keep a new server from starting.
pub(super) fn clear(cluster: &Path, remembered_socket: Option<&Path>) -> Result<(), ClusterFault> {
    stop_processes(cluster, remembered_socket)?;
    remove_if_there(&cluster.join("postmaster.pid"))
}

/// Ends the processes of an interrupted initdb, whose folder is thrown away next.
pub(super) fn kill_all(folder: &Path) -> Result<(), ClusterFault> {
    signal(&processes_in(folder), Signal::KILL);
    if none_left(folder, IMMEDIATE_STOP) {
        Ok(())
    } else {
        Err(will_not_end(folder))
    }
}

/// Fast stop, then immediate stop, then SIGKILL: each is recovered from, each only when the gentler one failed.
fn stop_processes(cluster: &Path, remembered_socket: Option<&Path>) -> Result<(), ClusterFault> {
    let running = processes_in(cluster);
    if running.is_empty() {
        return Ok(());
    }
    if let Some(postmaster) = live_postmaster(cluster, &running) {
        refuse_a_foreign_one(cluster, &postmaster, remembered_socket)?;
        tracing::info!(
            pid = postmaster.pid,
            "stopping the Postgres that an earlier run left behind"
        );
        signal(&[postmaster.pid], Signal::INT);
        if none_left(cluster, FAST_STOP) {
            return Ok(());
        }
        signal(&[postmaster.pid], Signal::QUIT);
    }
    // Without a postmaster the rest notice its death and leave, unless one is deep in a computation.
    if none_left(cluster, IMMEDIATE_STOP) {
        return Ok(());
    }
    kill_all(cluster)
}

fn live_postmaster(cluster: &Path, running: &[i32]) -> Option<PostmasterFile> {
    PostmasterFile::read(cluster).filter(|file| running.contains(&file.pid))
}

/// Somebody may have started the cluster by hand, for a dump or a repair: that one is not ours to stop.
fn refuse_a_foreign_one(
    cluster: &Path,
    postmaster: &PostmasterFile,
    remembered_socket: Option<&Path>,
) -> Result<(), ClusterFault> {
    // The line is empty while a server is only just starting.
    let socket = Path::new(&postmaster.socket_folder);
    if remembered_socket == Some(socket) || postmaster.socket_folder.is_empty() {
        return Ok(());
    }
    Err(ClusterFault::RunByAnother {
        folder: cluster.to_path_buf(),
        pid: postmaster.pid,
        socket: postmaster.socket_folder.clone(),
    })
}

/// The live Postgres processes whose working folder is this one.
fn processes_in(folder: &Path) -> Vec<i32> {
    let Ok(place) = fs::metadata(folder) else {
        return Vec::new();
    };
    fs::read_dir("/proc")
        .into_iter()
        .flatten()
        .flatten()
        .filter_map(|entry| entry.file_name().to_str()?.parse().ok())
        .filter(|pid| is_postgres(*pid) && works_in(*pid, &place) && is_alive(*pid))
        .collect()
}

fn is_postgres(pid: i32) -> bool {
    fs::read_to_string(format!("/proc/{pid}/comm")).is_ok_and(|name| name.trim() == "postgres")
}

/// Compared by device and inode, so that a renamed folder or another spelling of the path is the same place.
fn works_in(pid: i32, place: &fs::Metadata) -> bool {
    fs::metadata(format!("/proc/{pid}/cwd"))
        .is_ok_and(|cwd| cwd.dev() == place.dev() && cwd.ino() == place.ino())
}

fn is_alive(pid: i32) -> bool {
    fs::read_to_string(format!("/proc/{pid}/stat")).is_ok_and(|stat| state_is_alive(&stat))
}

/// A zombie still has a pid that can be signalled. Its state is the letter after the name, which may itself
/// hold spaces and brackets.
fn state_is_alive(stat: &str) -> bool {
    stat.rsplit_once(')')
        .and_then(|(_, rest)| rest.trim_start().chars().next())
        .is_some_and(|state| !matches!(state, 'Z' | 'X'))
}

fn signal(pids: &[i32], signal: Signal) {
    for pid in pids.iter().filter_map(|pid| Pid::from_raw(*pid)) {
        if let Err(refusal) = kill_process(pid, signal) {
            tracing::debug!(pid = pid.as_raw_pid(), %refusal, "a process of an earlier run could not be signalled");
        }
    }
}

fn none_left(folder: &Path, limit: Duration) -> bool {
    wait_until(limit, || processes_in(folder).is_empty())
}

/// Looks again every few milliseconds until `done`, or until about `limit` has gone by.
pub(super) fn wait_until(limit: Duration, mut done: impl FnMut() -> bool) -> bool {
    let looks = limit.as_millis() / LOOK_AGAIN.as_millis();
    for _ in 0..looks {
        if done() {
            return true;
        }
        thread::sleep(LOOK_AGAIN);
    }
    done()
}

fn will_not_end(folder: &Path) -> ClusterFault {
    let pids: Vec<String> = processes_in(folder).iter().map(i32::to_string).collect();
    ClusterFault::LeftoversWillNotEnd {
        folder: folder.to_path_buf(),
        pids: pids.join(", "),
    }
}

/// Removes a file that may well not be there.
pub(super) fn remove_if_there(file: &Path) -> Result<(), ClusterFault> {
    match fs::remove_file(file) {
        Err(refusal) if refusal.kind() != io::ErrorKind::NotFound => {
            Err(file_fault("remove", file)(refusal))
        }
        _ => Ok(()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const READY: &str = "4711\n/var/lib/hod/cluster\n1795600000\n5432\n/run/hod-1a2b3c4d\n\n  1234  5678\nready   \n";

    #[test]
    fn a_postmaster_is_ready_when_line_eight_says_so() {
        let file = PostmasterFile::parse(READY).expect("whole");
        assert_eq!(file.pid, 4711);
        assert_eq!(file.socket_folder, "/run/hod-1a2b3c4d");
        assert!(file.is_ready);
        let starting =
            PostmasterFile::parse(&READY.replace("ready   ", "starting")).expect("whole");
        assert!(!starting.is_ready);
    }

    #[test]
    fn a_file_only_begun_names_no_socket_and_is_not_ready() {
        let begun = PostmasterFile::parse("4711\n/var/lib/hod/cluster\n").expect("a pid");
        assert_eq!((begun.socket_folder.as_str(), begun.is_ready), ("", false));
        assert_eq!(PostmasterFile::parse(""), None);
    }

    #[test]
    fn a_zombie_is_not_alive_whatever_its_name() {
        assert!(state_is_alive("12 (postgres) S 1 12 12"));
        assert!(state_is_alive("12 (odd) Z name) R 1 12 12"));
        assert!(!state_is_alive("12 (postgres) Z 1 12 12"));
        assert!(!state_is_alive(""));
    }
}
