//! Which user the private cluster runs as: an ordinary user as itself, root as somebody else, and a cluster
//! stays with the user it was made for.
#![allow(clippy::unwrap_used, clippy::expect_used)]

mod cluster_support;

use std::fs;
use std::os::unix::fs::MetadataExt;
use std::process::{Command, Stdio};

use cluster_support::*;
use hod_store::cluster::Cluster;
use sqlx::Connection;

fn owner_of(pid: i32) -> u32 {
    fs::metadata(format!("/proc/{pid}")).unwrap().uid()
}

#[tokio::test]
async fn started_by_root_postgres_runs_as_an_unprivileged_user_without_other_groups() {
    if !is_root() {
        return skip("only root steps down to another user");
    }
    let data = data_folder();
    let cluster = Cluster::start(&settings(data.path())).await.unwrap();
    let postgres = postmaster(data.path());
    assert_ne!(owner_of(postgres), 0);
    let status = fs::read_to_string(format!("/proc/{postgres}/status")).unwrap();
    let groups = status
        .lines()
        .find_map(|line| line.strip_prefix("Groups:"))
        .unwrap();
    assert_eq!(groups.trim(), "");
    cluster.stop().await.unwrap();
}

#[tokio::test]
async fn on_a_machine_without_a_postgres_user_root_steps_down_to_nobody() {
    let (data, elsewhere) = (data_folder(), data_folder());
    let users = fs::read_to_string("/etc/passwd").unwrap();
    let others: String = users
        .lines()
        .filter(|line| !line.starts_with("postgres:"))
        .flat_map(|line| [line, "\n"])
        .collect();
    let list = elsewhere.path().join("passwd");
    fs::write(&list, others).unwrap();
    // In a mount namespace of its own the holder sees our list of users.
    let holder = Holder::command(data.path());
    let mut apart = Command::new("unshare");
    apart
        .args([
            "--mount",
            "sh",
            "-c",
            "mount --bind \"$0\" /etc/passwd && exec \"$@\"",
        ])
        .arg(&list)
        .arg(holder.get_program())
        .args(holder.get_args())
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped());
    match Holder::run(apart) {
        Ok(holder) => {
            assert_eq!(owner_of(postmaster(data.path())), NOBODY);
            holder.stop();
        }
        Err(said) if said.contains("unshare:") || said.contains("mount:") => {
            skip("this user may not make a mount namespace");
        }
        Err(said) => panic!("{said}"),
    }
}

#[tokio::test]
async fn an_ordinary_user_runs_its_own_cluster_as_itself() {
    if !is_root() {
        return skip("every other test here runs as an ordinary user already");
    }
    let data = data_folder_of_nobody();
    let holder = Holder::start_as_nobody(data.path()).unwrap();
    assert_eq!(owner_of(postmaster(data.path())), NOBODY);
    holder.connect().await.ping().await.unwrap();
    holder.stop();
    let again = Holder::start_as_nobody(data.path()).unwrap();
    again.kill();
    Holder::start_as_nobody(data.path()).unwrap().stop();
}

#[tokio::test]
async fn a_users_cluster_started_by_root_stays_that_users() {
    if !is_root() {
        return skip("it takes root and another user");
    }
    let data = data_folder_of_nobody();
    Holder::start_as_nobody(data.path()).unwrap().stop();
    let cluster = Cluster::start(&settings(data.path())).await.unwrap();
    assert_eq!(owner_of(postmaster(data.path())), NOBODY);
    cluster.stop().await.unwrap();
    for entry in fs::read_dir(data.path()).unwrap().flatten() {
        assert_eq!(
            entry.metadata().unwrap().uid(),
            NOBODY,
            "{}",
            entry.path().display()
        );
    }
    Holder::start_as_nobody(data.path()).unwrap().stop();
}

#[tokio::test]
async fn another_users_cluster_is_refused_by_the_number_of_its_owner() {
    if !is_root() {
        return skip("it takes root and another user");
    }
    let data = data_folder();
    Cluster::start(&settings(data.path()))
        .await
        .unwrap()
        .stop()
        .await
        .unwrap();
    let owner = fs::metadata(data.path().join("cluster")).unwrap().uid();
    std::os::unix::fs::chown(data.path(), Some(NOBODY), Some(NOBODY)).unwrap();
    std::os::unix::fs::chown(data.path().join("cluster.lock"), Some(NOBODY), Some(NOBODY)).unwrap();
    let said = Holder::start_as_nobody(data.path())
        .err()
        .expect("it is refused");
    assert!(
        said.contains(&format!(
            "belongs to user id {owner}, and this process is user id {NOBODY}"
        )),
        "{said}"
    );
}
