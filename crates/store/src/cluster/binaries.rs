//! Finds the Postgres programs that are installed and picks a set that fits the stored cluster.
//! In order: the folder asked for, `pg_config --bindir`, the system's versioned folders (newest first), PATH.
//! Versions 15 to 18 are accepted.

use std::env;
use std::fs;
use std::ops::RangeInclusive;
use std::path::{Path, PathBuf};
use std::process::Command;

use rustix::process::Signal;

use super::account::Account;
use super::fault::ClusterFault;

/// Older ones lack what the schema needs; newer ones have not been tried.
const ACCEPTED: RangeInclusive<u32> = 15..=18;

/// Debian's folder of versioned Postgres folders.
const SYSTEM: &str = "/usr/lib/postgresql";

/// A usable set of Postgres programs.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Binaries {
    folder: PathBuf,
    /// The major version.
    pub(super) version: u32,
}

impl Binaries {
    /// The set asked for, or the first installed one that suits the cluster made by `made_by` in `cluster`.
    pub(super) fn find(
        asked_for: Option<&Path>,
        account: &Account,
        cluster: &Path,
        made_by: Option<u32>,
    ) -> Result<Binaries, ClusterFault> {
        let usable = match asked_for {
            Some(folder) => vec![named(folder, account)?],
            None => installed(account)?,
        };
        let fitting = usable
            .iter()
            .find(|set| made_by.is_none_or(|version| set.version == version));
        match (fitting, made_by) {
            (Some(set), _) => Ok(set.clone()),
            (None, made_by) => Err(ClusterFault::MadeByAnotherVersion {
                folder: cluster.to_path_buf(),
                made_by: made_by.unwrap_or_default(),
                installed: versions(&usable),
            }),
        }
    }

    /// The server program.
    pub(super) fn postgres(&self) -> PathBuf {
        self.folder.join("postgres")
    }

    /// The program that makes a cluster.
    pub(super) fn initdb(&self) -> PathBuf {
        self.folder.join("initdb")
    }
}

/// The set in the folder asked for. Its path is made whole, because the programs run from another folder.
fn named(folder: &Path, account: &Account) -> Result<Binaries, ClusterFault> {
    let found = folder.canonicalize().map_err(|refusal| refusal.to_string());
    found
        .and_then(|whole| inspect(&whole, account))
        .map_err(|problem| ClusterFault::PostgresUnusable {
            folder: folder.to_path_buf(),
            problem,
        })
}

/// Every usable set, in order of preference; what was wrong with the rest when there is none.
fn installed(account: &Account) -> Result<Vec<Binaries>, ClusterFault> {
    let mut usable = Vec::new();
    let mut looked = Vec::new();
    for folder in candidates() {
        match inspect(&folder, account) {
            Ok(set) => usable.push(set),
            Err(problem) => looked.push(format!("{}: {problem}", folder.display())),
        }
    }
    if usable.is_empty() {
        looked.push(format!(
            "nothing more from pg_config, in {SYSTEM} or on PATH"
        ));
        return Err(ClusterFault::NoPostgresFound {
            looked: looked.join("; "),
        });
    }
    Ok(usable)
}

fn candidates() -> Vec<PathBuf> {
    let mut folders: Vec<PathBuf> = Vec::new();
    for folder in told_by_pg_config()
        .into_iter()
        .chain(of_the_system())
        .chain(on_path())
    {
        if !folders.contains(&folder) {
            folders.push(folder);
        }
    }
    folders
}

fn told_by_pg_config() -> Option<PathBuf> {
    let answer = Command::new("pg_config").arg("--bindir").output().ok()?;
    let folder = String::from_utf8(answer.stdout).ok()?;
    (answer.status.success() && !folder.trim().is_empty()).then(|| PathBuf::from(folder.trim()))
}

fn of_the_system() -> Vec<PathBuf> {
    let mut versioned: Vec<(u32, PathBuf)> = fs::read_dir(SYSTEM)
        .into_iter()
        .flatten()
        .flatten()
        .filter_map(|entry| {
            Some((
                entry.file_name().to_str()?.parse().ok()?,
                entry.path().join("bin"),
            ))
        })
        .collect();
    versioned.sort();
    versioned
        .into_iter()
        .rev()
        .map(|(_, folder)| folder)
        .collect()
}

/// Where the `postgres` programs on PATH really stand: initdb looks for its companions beside itself.
fn on_path() -> Vec<PathBuf> {
    let path = env::var_os("PATH").unwrap_or_default();
    env::split_paths(&path)
        .filter_map(|folder| {
            Some(
                folder
                    .join("postgres")
                    .canonicalize()
                    .ok()?
                    .parent()?
                    .to_path_buf(),
            )
        })
        .collect()
}

/// Reads the version by running the server program as the user that will run it later.
fn inspect(folder: &Path, account: &Account) -> Result<Binaries, String> {
    let set = Binaries {
        folder: folder.to_path_buf(),
        version: 0,
    };
    for program in [set.postgres(), set.initdb()] {
        if !program.is_file() {
            return Err(format!(
                "it has no {}",
                program.file_name().unwrap_or_default().display()
            ));
        }
    }
    let answer = account
        .command(set.postgres(), Signal::KILL)
        .arg("--version")
        .output()
        .map_err(|refusal| {
            format!("`postgres` cannot be run by the user it has to run as: {refusal}")
        })?;
    let said = String::from_utf8_lossy(&answer.stdout);
    match major_version(&said) {
        Some(version) if ACCEPTED.contains(&version) => Ok(Binaries { version, ..set }),
        Some(version) => Err(format!("it is version {version}")),
        None => Err(format!(
            "`postgres --version` said `{}{}`",
            said.trim(),
            String::from_utf8_lossy(&answer.stderr).trim()
        )),
    }
}

/// The 15 of `postgres (PostgreSQL) 15.18 (Debian 15.18-0+deb12u1)`, the 19 of `... 19beta1`.
fn major_version(said: &str) -> Option<u32> {
    let after = said.split("(PostgreSQL)").nth(1)?.trim_start();
    let digits = after
        .split(|letter: char| !letter.is_ascii_digit())
        .next()?;
    digits.parse().ok()
}

fn versions(sets: &[Binaries]) -> String {
    let versions: Vec<String> = sets.iter().map(|set| set.version.to_string()).collect();
    versions.join(" and ")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_major_version_is_read_from_what_postgres_says() {
        let table = [
            (
                "postgres (PostgreSQL) 15.18 (Debian 15.18-0+deb12u1)\n",
                Some(15),
            ),
            ("postgres (PostgreSQL) 18.6\n", Some(18)),
            ("postgres (PostgreSQL) 19beta1\n", Some(19)),
            ("postgres: error while loading shared libraries", None),
            ("", None),
        ];
        for (said, version) in table {
            assert_eq!(major_version(said), version, "{said}");
        }
    }
}
