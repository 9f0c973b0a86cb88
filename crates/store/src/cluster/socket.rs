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
    pub(super) fn open(remembered: &Path, account: &Account) -> Result<SocketFolder, ClusterFault> {
        if fits(remembered)
            && (is_private(remembered, account) || make(remembered, account).is_ok())
        {
            return Ok(SocketFolder {
                path: remembered.to_path_buf(),
            });
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

/// The socket of a server in `folder`.
pub(super) fn socket_file(folder: &Path) -> PathBuf {
    folder.join(format!(".s.PGSQL.{PORT}"))
}

/// The lock file that Postgres keeps beside it.
pub(super) fn socket_lock_file(folder: &Path) -> PathBuf {
    folder.join(format!(".s.PGSQL.{PORT}.lock"))
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
    fn a_folder_not_yet_remembered_does_not_fit() {
        assert!(!fits(Path::new("")));
    }
}
