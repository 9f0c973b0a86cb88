//! Which user Postgres runs as, and whether that user can get to the data.
//! Postgres and initdb refuse root, so a server started by root steps down for them alone.
//! An existing cluster keeps the user that it was made for.

use std::ffi::OsStr;
use std::fs;
use std::io;
use std::os::unix::fs::{MetadataExt, chown};
use std::os::unix::process::CommandExt;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

use rustix::process::{Signal, getegid, geteuid, getppid, set_parent_process_death_signal};

use super::fault::{ClusterFault, file_fault};

/// The user of the Postgres processes.
#[derive(Debug, Clone)]
pub(super) struct Account {
    pub(super) uid: u32,
    gid: u32,
    name: String,
    /// Whether we are root and have to step down to this user.
    pub(super) steps_down: bool,
}

impl Account {
    /// The owner of an existing cluster; else ourselves; else, for root, `postgres` or `nobody`.
    pub(super) fn choose(cluster: &Path) -> Result<Account, ClusterFault> {
        let ours = geteuid().as_raw();
        let owner = fs::metadata(cluster)
            .ok()
            .map(|found| (found.uid(), found.gid()));
        if ours != 0 {
            return match owner {
                Some((owner, _)) if owner != ours => Err(ClusterFault::BelongsToAnotherUser {
                    folder: cluster.to_path_buf(),
                    owner,
                    ours,
                }),
                _ => Ok(Account {
                    uid: ours,
                    gid: getegid().as_raw(),
                    name: format!("user {ours}"),
                    steps_down: false,
                }),
            };
        }
        let users = fs::read_to_string("/etc/passwd").unwrap_or_default();
        let (uid, gid, name) = match owner {
            Some((uid, gid)) if uid != 0 => (uid, gid, name_of(&users, uid)),
            _ => unprivileged(&users).ok_or(ClusterFault::NoUnprivilegedUser)?,
        };
        Ok(Account {
            uid,
            gid,
            name,
            steps_down: true,
        })
    }

    /// A command that runs as this user, in its own process group, with a known environment, and that
    /// gets `at_our_death` when the thread that spawned it ends.
    pub(super) fn command(&self, program: impl AsRef<OsStr>, at_our_death: Signal) -> Command {
        let mut command = Command::new(program);
        command
            .env_clear()
            .env("PATH", "/usr/local/bin:/usr/bin:/bin")
            .env("LC_ALL", "C.UTF-8")
            .env("TZ", "UTC")
            .current_dir("/")
            .stdin(Stdio::null())
            // A Ctrl-C in the terminal reaches the whole group; Postgres is stopped by us, in order.
            .process_group(0);
        if self.steps_down {
            command.uid(self.uid).gid(self.gid);
        }
        die_with_parent(&mut command, at_our_death);
        command
    }

    /// Hands a path that we made to this user.
    pub(super) fn give(&self, path: &Path) -> io::Result<()> {
        if self.steps_down {
            chown(path, Some(self.uid), Some(self.gid))?;
        }
        Ok(())
    }

    /// Tries, as this user, to stand in `folder` and run `program`; a home of mode 0700 cannot be passed through.
    pub(super) fn check_reach(&self, program: &Path, folder: &Path) -> Result<(), ClusterFault> {
        let attempt = self
            .command(program, Signal::KILL)
            .arg("--version")
            .current_dir(folder)
            .stdout(Stdio::null())
            .stderr(Stdio::null())
            .status();
        match attempt {
            Ok(_) => Ok(()),
            Err(refusal) if refusal.kind() == io::ErrorKind::PermissionDenied => {
                Err(ClusterFault::CannotReach {
                    account: self.name.clone(),
                    blocked: self.first_barrier(folder),
                    folder: folder.to_path_buf(),
                })
            }
            Err(refusal) => Err(file_fault("enter", folder)(refusal)),
        }
    }

    /// The topmost folder on the way whose mode does not let this user pass.
    fn first_barrier(&self, folder: &Path) -> PathBuf {
        let mut way: Vec<&Path> = folder.ancestors().collect();
        way.reverse();
        way.into_iter()
            .find(|step| fs::metadata(step).is_ok_and(|found| !self.may_pass(&found)))
            .unwrap_or(folder)
            .to_path_buf()
    }

    fn may_pass(&self, folder: &fs::Metadata) -> bool {
        let bit = if folder.uid() == self.uid {
            0o100
        } else if folder.gid() == self.gid {
            0o010
        } else {
            0o001
        };
        folder.mode() & bit != 0
    }
}

/// Asks the kernel to signal the child when the thread that spawns it ends, even by SIGKILL.
///
/// The signal is tied to the spawning *thread*: whoever spawns a lasting child does so from a lasting thread.
fn die_with_parent(command: &mut Command, signal: Signal) {
    let parent = i32::try_from(std::process::id()).ok();
    let ask = move || {
        set_parent_process_death_signal(Some(signal))?;
        // If the parent died between the fork and the line above, nobody is left to send the signal.
        if getppid().map(rustix::process::Pid::as_raw_pid) == parent {
            Ok(())
        } else {
            Err(rustix::io::Errno::SRCH.into())
        }
    };
    // SAFETY: the closure runs in the forked child before exec. It makes two system calls (prctl and getppid)
    // and builds its errors from an error number; it allocates nothing, takes no lock, and touches no state
    // of the parent, so it is async-signal-safe as pre_exec requires.
    #[allow(unsafe_code)]
    unsafe {
        command.pre_exec(ask);
    }
}

fn unprivileged(users: &str) -> Option<(u32, u32, String)> {
    ["postgres", "nobody"].iter().find_map(|wanted| {
        passwd_entries(users)
            .find(|(name, uid, _)| name == wanted && *uid != 0)
            .map(|(name, uid, gid)| (uid, gid, name.to_owned()))
    })
}

fn name_of(users: &str, wanted: u32) -> String {
    passwd_entries(users)
        .find(|(_, uid, _)| *uid == wanted)
        .map_or_else(|| format!("user {wanted}"), |(name, _, _)| name.to_owned())
}

/// Name, user id and group id of every line of `/etc/passwd` that has them.
fn passwd_entries(users: &str) -> impl Iterator<Item = (&str, u32, u32)> {
    users.lines().filter_map(|line| {
        let mut fields = line.split(':');
        let name = fields.next()?;
        let uid = fields.nth(1)?.parse().ok()?;
        let gid = fields.next()?.parse().ok()?;
        Some((name, uid, gid))
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    const USERS: &str = "root:x:0:0:root:/root:/bin/sh\n\
                         broken line\n\
                         nobody:x:65534:65533:nobody:/nonexistent:/usr/sbin/nologin\n";

    #[test]
    fn postgres_is_preferred_to_nobody() {
        let both = format!("{USERS}postgres:x:101:104::/var/lib/postgresql:/bin/sh\n");
        assert_eq!(unprivileged(&both), Some((101, 104, "postgres".to_owned())));
    }

    #[test]
    fn nobody_is_used_when_there_is_no_postgres_user() {
        assert_eq!(
            unprivileged(USERS),
            Some((65534, 65533, "nobody".to_owned()))
        );
    }

    #[test]
    fn a_user_called_postgres_with_the_id_of_root_is_passed_over() {
        let odd = format!("{USERS}postgres:x:0:0::/:/bin/sh\n");
        assert_eq!(
            unprivileged(&odd),
            Some((65534, 65533, "nobody".to_owned()))
        );
    }

    #[test]
    fn a_machine_without_either_user_has_nobody_to_step_down_to() {
        assert_eq!(unprivileged("root:x:0:0:root:/root:/bin/sh\n"), None);
    }

    #[test]
    fn an_owner_without_a_name_is_called_by_number() {
        assert_eq!(name_of(USERS, 65534), "nobody");
        assert_eq!(name_of(USERS, 4321), "user 4321");
    }
}
