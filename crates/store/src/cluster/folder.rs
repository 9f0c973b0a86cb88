//! The data folder on disk: what stands where, who may use it, and how its private files are written.
//! One process holds it at a time, by a lock that the kernel lets go when that process dies.
//! What is inside the cluster's own folder is Postgres's business and is left to it.

use std::fs::{self, DirBuilder, File, OpenOptions, Permissions, TryLockError};
use std::io::{Read, Write};
use std::os::unix::fs::{DirBuilderExt, MetadataExt, OpenOptionsExt, PermissionsExt, chown};
use std::path::{Path, PathBuf};

use rustix::fs::OFlags;
use rustix::process::geteuid;

use super::access::random_hex;
use super::fault::{ClusterFault, file_fault};

/// A log longer than this is set aside at the next start.
const LOG_BYTES_MAX: u64 = 8 * 1024 * 1024;

/// The data folder while this process holds it.
#[derive(Debug)]
pub(super) struct DataFolder {
    root: PathBuf,
    lock: File,
}

impl DataFolder {
    /// Makes the folder when it is missing and takes the lock on it, or says who has it.
    pub(super) fn claim(data: &Path) -> Result<DataFolder, ClusterFault> {
        let root = make(data)?;
        let path = root.join("cluster.lock");
        let lock = open_private(&path).map_err(file_fault("open", &path))?;
        match lock.try_lock() {
            Ok(()) => {}
            Err(TryLockError::WouldBlock) => {
                return Err(ClusterFault::InUse {
                    data: root,
                    holder: holder(lock),
                });
            }
            Err(TryLockError::Error(refusal)) => return Err(file_fault("lock", &path)(refusal)),
        }
        let folder = DataFolder { root, lock };
        folder.sign_lock().map_err(file_fault("write", &path))?;
        folder.keep_owner(&path)?;
        Ok(folder)
    }

    /// The folder itself.
    pub(super) fn root(&self) -> &Path {
        &self.root
    }

    /// Postgres's own folder.
    pub(super) fn cluster(&self) -> PathBuf {
        self.root.join("cluster")
    }

    /// The file of passwords.
    pub(super) fn access_file(&self) -> PathBuf {
        self.root.join("cluster-access.toml")
    }

    /// What Postgres says.
    pub(super) fn log_file(&self) -> PathBuf {
        self.root.join("cluster.log")
    }

    /// A new name for a cluster in the making.
    pub(super) fn new_staging(&self) -> PathBuf {
        self.root.join(format!("{STAGING}{}", random_hex::<4>()))
    }

    /// What interrupted first starts left behind.
    pub(super) fn old_stagings(&self) -> Result<Vec<PathBuf>, ClusterFault> {
        let entries = fs::read_dir(&self.root).map_err(file_fault("list", &self.root))?;
        Ok(entries
            .flatten()
            .filter(|entry| entry.file_name().to_string_lossy().starts_with(STAGING))
            .map(|entry| entry.path())
            .collect())
    }

    /// Writes a file that its owner alone can read: beside it first, then renamed over it.
    pub(super) fn write_private(&self, file: &Path, text: &str) -> Result<(), ClusterFault> {
        let beside = file.with_extension(random_hex::<4>());
        let written = create_private(&beside).and_then(|mut new| {
            new.write_all(text.as_bytes())?;
            new.sync_all()
        });
        written.map_err(file_fault("write", &beside))?;
        self.keep_owner(&beside)?;
        fs::rename(&beside, file).map_err(file_fault("write", file))?;
        self.sync()
    }

    /// Makes the log that Postgres will append to; an overlong one is set aside first.
    pub(super) fn prepare_log(&self) -> Result<(), ClusterFault> {
        let log = self.log_file();
        if fs::metadata(&log).is_ok_and(|found| found.len() > LOG_BYTES_MAX) {
            fs::rename(&log, log.with_extension("log.1")).map_err(file_fault("set aside", &log))?;
        }
        open_private(&log).map_err(file_fault("open", &log))?;
        self.keep_owner(&log)
    }

    /// Makes renames in the folder last through a power cut.
    pub(super) fn sync(&self) -> Result<(), ClusterFault> {
        File::open(&self.root)
            .and_then(|folder| folder.sync_all())
            .map_err(file_fault("write", &self.root))
    }

    fn sign_lock(&self) -> std::io::Result<()> {
        let name = fs::read_to_string("/proc/self/comm").unwrap_or_default();
        self.lock.set_len(0)?;
        (&self.lock)
            .write_all(format!("process {} ({})", std::process::id(), name.trim()).as_bytes())
    }

    /// Started by root in an ordinary user's data folder, we leave no file there that the user could not use.
    fn keep_owner(&self, path: &Path) -> Result<(), ClusterFault> {
        if !geteuid().is_root() {
            return Ok(());
        }
        let owner = fs::metadata(&self.root).map_err(file_fault("read", &self.root))?;
        chown(path, Some(owner.uid()), Some(owner.gid()))
            .map_err(file_fault("change the owner of", path))
    }
}

impl Drop for DataFolder {
    /// A lock file that nobody holds should not name a process that is gone.
    fn drop(&mut self) {
        if let Err(refusal) = self.lock.set_len(0) {
            tracing::warn!(%refusal, "the lock file could not be emptied");
        }
    }
}

const STAGING: &str = "cluster-in-the-making-";

/// Root's data folder may be passed through, so that the user of Postgres gets to the cluster, but not listed;
/// an ordinary user's folder is closed to all others.
fn make(data: &Path) -> Result<PathBuf, ClusterFault> {
    let mode = if geteuid().is_root() { 0o711 } else { 0o700 };
    DirBuilder::new()
        .recursive(true)
        .mode(mode)
        .create(data)
        .map_err(file_fault("make", data))?;
    let root = data.canonicalize().map_err(file_fault("find", data))?;
    let found = fs::metadata(&root).map_err(file_fault("read", &root))?;
    if geteuid().is_root() && found.uid() == 0 && found.mode() & 0o001 == 0 {
        let passable = Permissions::from_mode(found.mode() & 0o7777 | 0o001);
        fs::set_permissions(&root, passable).map_err(file_fault("open a way through", &root))?;
    }
    Ok(root)
}

/// Never follows a link: in a folder of another user a link could lead root anywhere.
pub(super) fn open_private(path: &Path) -> std::io::Result<File> {
    OpenOptions::new()
        .create(true)
        .read(true)
        .append(true)
        .mode(0o600)
        .custom_flags(OFlags::NOFOLLOW.bits().cast_signed())
        .open(path)
}

/// Makes a file that was not there before and that its owner alone can read.
pub(super) fn create_private(path: &Path) -> std::io::Result<File> {
    OpenOptions::new()
        .create_new(true)
        .write(true)
        .mode(0o600)
        .open(path)
}

fn holder(mut lock: File) -> String {
    let mut text = String::new();
    match lock.read_to_string(&mut text) {
        Ok(_) if !text.trim().is_empty() => text.trim().to_owned(),
        _ => "another process that is just starting".to_owned(),
    }
}
