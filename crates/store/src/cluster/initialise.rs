//! Makes the cluster on the first start: beside its place, then renamed into it.
//! A folder called `cluster` is therefore always whole; what an interruption leaves is thrown away next time.

use std::fs::{self, DirBuilder};
use std::io::Write;
use std::os::unix::fs::DirBuilderExt;
use std::path::Path;
use std::process::Output;

use rustix::process::Signal;

use super::account::Account;
use super::binaries::Binaries;
use super::fault::{ClusterFault, file_fault};
use super::folder::{DataFolder, create_private};
use super::leftovers;
use super::roles::SUPERUSER;

/// The major version that an existing cluster was made by; none when there is no cluster yet.
pub(super) fn made_by(cluster: &Path) -> Result<Option<u32>, ClusterFault> {
    if !cluster.exists() {
        return Ok(None);
    }
    let text = fs::read_to_string(cluster.join("PG_VERSION")).map_err(|refusal| {
        not_a_cluster(cluster, &format!("PG_VERSION cannot be read: {refusal}"))
    })?;
    match text.trim().parse() {
        Ok(version) => Ok(Some(version)),
        Err(_) => Err(not_a_cluster(
            cluster,
            &format!("PG_VERSION says `{}`", text.trim()),
        )),
    }
}

/// Makes the cluster with its superuser's password.
pub(super) fn initialise(
    data: &DataFolder,
    account: &Account,
    binaries: &Binaries,
    password: &str,
) -> Result<(), ClusterFault> {
    let staging = data.new_staging();
    DirBuilder::new()
        .mode(0o700)
        .create(&staging)
        .map_err(file_fault("make", &staging))?;
    account
        .give(&staging)
        .map_err(file_fault("change the owner of", &staging))?;
    let made = run_initdb(&staging, account, binaries, password)
        .and_then(|()| {
            fs::rename(staging.join("cluster"), data.cluster())
                .map_err(file_fault("rename", &staging))
        })
        .and_then(|()| data.sync());
    throw_away(&staging)?;
    made
}

/// Removes what interrupted first starts left, after ending what still works in there.
pub(super) fn clear_interrupted(data: &DataFolder) -> Result<(), ClusterFault> {
    for staging in data.old_stagings()? {
        tracing::info!(folder = %staging.display(), "removing what an interrupted first start left");
        leftovers::kill_all(&staging.join("cluster"))?;
        throw_away(&staging)?;
    }
    Ok(())
}

fn run_initdb(
    staging: &Path,
    account: &Account,
    binaries: &Binaries,
    password: &str,
) -> Result<(), ClusterFault> {
    let password_file = staging.join("password");
    create_private(&password_file)
        .and_then(|mut file| file.write_all(password.as_bytes()))
        .and_then(|()| account.give(&password_file))
        .map_err(file_fault("write", &password_file))?;
    let answer = account
        .command(binaries.initdb(), Signal::KILL)
        .arg("--pgdata")
        .arg(staging.join("cluster"))
        .arg("--pwfile")
        .arg(&password_file)
        .args(["--username", SUPERUSER])
        .args(["--auth-local=scram-sha-256", "--auth-host=scram-sha-256"])
        .args(["--encoding=UTF8", "--locale=C.UTF-8"])
        .args(["--data-checksums", "--no-instructions"])
        .output()
        .map_err(|refusal| ClusterFault::InitialiseFailed {
            said: refusal.to_string(),
        })?;
    if answer.status.success() {
        Ok(())
    } else {
        Err(ClusterFault::InitialiseFailed {
            said: said(&answer),
        })
    }
}

fn said(answer: &Output) -> String {
    let errors = String::from_utf8_lossy(&answer.stderr);
    let lines: Vec<&str> = errors
        .lines()
        .map(str::trim)
        .filter(|line| !line.is_empty())
        .collect();
    if lines.is_empty() {
        answer.status.to_string()
    } else {
        lines.join("; ")
    }
}

fn throw_away(staging: &Path) -> Result<(), ClusterFault> {
    fs::remove_dir_all(staging).map_err(file_fault("remove", staging))
}

fn not_a_cluster(cluster: &Path, problem: &str) -> ClusterFault {
    ClusterFault::NotACluster {
        folder: cluster.to_path_buf(),
        problem: problem.to_owned(),
    }
}
