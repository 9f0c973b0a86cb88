//! The folder of the database's Unix socket: short, because a socket path over 107 bytes fails, and private.
//! It stands in the machine's runtime folder or else in the temporary folder, under a name that the data
//! folder remembers, so that it is the same one on every start.

use std::fs::{self, DirBuilder};
use std::io;
use std::os::unix::fs::{DirBuilderExt, MetadataExt};
use std::path::{Path, PathBuf};

use super::access::random_hex;
use super::account::Account;
use super::fault::ClusterFault;
use super::leftovers::remove_if_there;

/// `sun_path` of Linux holds 108 bytes with the closing zero.
const SOCKET_PATH_BYTES_MAX: usize = 107;

/// Part of the socket's file name only: there is no TCP.
pub(super) const PORT: u16 = 5432;

/// The folder while the cluster runs; taken away, when empty, once it has stopped.
#[derive(Debug)]
pub(super) struct SocketFolder {
    path: PathBuf,
}

impl SocketFolder {
    /// The remembered folder if it is still ours or can be made again, else a new one.
    pub(super) fn open(
        remembered: Option<&Path>,
        account: &Account,
    ) -> Result<SocketFolder, ClusterFault> {
        if let Some(path) = remembered.filter(|path| fits(path)) {
            if is_private(path, account) {
                remove_stale_files(path)?;
                return Ok(SocketFolder {
                    path: path.to_path_buf(),
                });
            }
            if make(path, account).is_ok() {
                return Ok(SocketFolder {
                    path: path.to_path_buf(),
                });
            }
        }
        let mut last = io::Error::from(io::ErrorKind::NotFound);
        let bases = bases(account);
        for base in &bases {
            let path = Path::new(base).join(format!("hod-{}", random_hex::<4>()));
            match make(&path, account) {
                Ok(()) => return Ok(SocketFolder { path }),
                Err(refusal) => last = refusal,
            }
        }
        Err(ClusterFault::NoSocketFolder {
            tried: bases.join(" or "),
            source: last,
        })
    }

    /// Where it stands.
    pub(super) fn path(&self) -> &Path {
        &self.path
    }
}

impl Drop for SocketFolder {
    fn drop(&mut self) {
        if let Err(refusal) = fs::remove_dir(&self.path) {
            tracing::debug!(%refusal, folder = %self.path.display(), "the socket's folder was left behind");
        }
    }
}

/// Removes the socket and its lock file that a killed server left; the caller knows that none is alive.
pub(super) fn remove_stale_files(folder: &Path) -> Result<(), ClusterFault> {
    let socket = socket_file(folder);
    remove_if_there(&socket)?;
    remove_if_there(&socket.with_added_extension("lock"))
}

fn socket_file(folder: &Path) -> PathBuf {
    folder.join(format!(".s.PGSQL.{PORT}"))
}

fn bases(account: &Account) -> [String; 2] {
    let runtime = if account.steps_down {
        "/run".to_owned()
    } else {
        format!("/run/user/{}", account.uid)
    };
    [runtime, "/tmp".to_owned()]
}

fn make(path: &Path, account: &Account) -> Result<(), io::Error> {
    DirBuilder::new().mode(0o700).create(path)?;
    account.give(path)
}

/// Anyone can put a folder of this name into the temporary folder; only the right owner and mode make it ours.
fn is_private(path: &Path, account: &Account) -> bool {
    fs::symlink_metadata(path).is_ok_and(|found| {
        found.is_dir() && found.uid() == account.uid && found.mode() & 0o077 == 0
    })
}

fn fits(folder: &Path) -> bool {
    folder.is_absolute() && socket_file(folder).as_os_str().len() <= SOCKET_PATH_BYTES_MAX
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_socket_path_of_107_bytes_fits_and_one_of_108_does_not() {
        // "/.s.PGSQL.5432" takes 14 bytes of the 107.
        assert!(fits(Path::new(&format!("/{}", "a".repeat(92)))));
        assert!(!fits(Path::new(&format!("/{}", "a".repeat(93)))));
    }

    #[test]
    fn a_path_that_depends_on_where_the_server_was_started_does_not_fit() {
        assert!(!fits(Path::new("")));
        assert!(!fits(Path::new("run/hod")));
    }
}
