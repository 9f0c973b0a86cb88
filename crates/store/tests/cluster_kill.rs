//! The private cluster under SIGKILL: whatever dies, the next start works and every acknowledged row is there.
#![allow(clippy::unwrap_used, clippy::expect_used)]

mod cluster_support;

use std::fs;
use std::os::unix::process::CommandExt;
use std::process::{Child, Command, Stdio};
use std::sync::{Arc, Mutex};
use std::thread;
use std::time::{Duration, Instant};

use cluster_support::*;
use hod_store::cluster::{Cluster, ClusterFault};
use rustix::process::Signal;
use sqlx::postgres::PgConnection;
use sqlx::{ConnectOptions, Connection};

async fn add(connection: &mut PgConnection, n: i64) -> Result<(), sqlx::Error> {
    sqlx::query("insert into entry values ($1)")
        .bind(n)
        .execute(connection)
        .await
        .map(|_| ())
}

async fn make_table(connection: &mut PgConnection) {
    sqlx::query("create table if not exists entry (n bigint primary key)")
        .execute(connection)
        .await
        .unwrap();
}

async fn rows(cluster: &Cluster) -> Vec<i64> {
    let mut owner = login(cluster.owner_options()).await;
    sqlx::query_scalar("select n from entry order by n")
        .fetch_all(&mut owner)
        .await
        .unwrap()
}

#[tokio::test]
async fn a_killed_server_leaves_no_orphan_and_its_rows_are_there_at_once() {
    let data = data_folder();
    let holder = Holder::start(data.path());
    let mut connection = holder.connect().await;
    make_table(&mut connection).await;
    add(&mut connection, 1).await.unwrap();
    holder.kill();

    let begun = Instant::now();
    let cluster = Cluster::start(&settings(data.path())).await.unwrap();
    assert!(
        begun.elapsed() < Duration::from_secs(5),
        "took {:?}",
        begun.elapsed()
    );
    assert_eq!(rows(&cluster).await, [1]);
    cluster.stop().await.unwrap();
}

#[tokio::test]
async fn the_parent_death_signal_alone_stops_the_postgres_of_a_killed_server() {
    let data = data_folder();
    let holder = Holder::start(data.path());
    assert!(!postgres_processes(data.path()).is_empty());
    holder.kill();
    let mut looks = 0;
    while !postgres_processes(data.path()).is_empty() {
        assert!(
            looks < 500,
            "still running after five seconds: {:?}",
            postgres_processes(data.path())
        );
        looks += 1;
        thread::sleep(Duration::from_millis(10));
    }
    assert!(
        !data.path().join("cluster/postmaster.pid").exists(),
        "it stopped in order"
    );
    Cluster::start(&settings(data.path()))
        .await
        .unwrap()
        .stop()
        .await
        .unwrap();
}

#[tokio::test]
async fn a_server_and_its_postgres_killed_together_start_again() {
    let data = data_folder();
    let holder = Holder::start(data.path());
    let mut connection = holder.connect().await;
    make_table(&mut connection).await;
    add(&mut connection, 1).await.unwrap();
    // Postgres first: stopped, it cannot answer to its parent's death in order.
    signal(postmaster(data.path()), Signal::STOP);
    let postgres = postmaster(data.path());
    holder.kill();
    signal(postgres, Signal::KILL);

    let cluster = Cluster::start(&settings(data.path())).await.unwrap();
    assert_eq!(rows(&cluster).await, [1]);
    cluster.stop().await.unwrap();
}

#[tokio::test]
async fn a_postgres_killed_under_a_living_server_is_started_again_by_itself() {
    let data = data_folder();
    let cluster = Cluster::start(&settings(data.path())).await.unwrap();
    let mut connection = login(cluster.owner_options()).await;
    make_table(&mut connection).await;
    add(&mut connection, 1).await.unwrap();
    let killed = postmaster(data.path());
    signal(killed, Signal::KILL);

    let mut looks = 0;
    let mut again = loop {
        match cluster.owner_options().connect().await {
            Ok(connection) if postmaster(data.path()) != killed => break connection,
            _ => {}
        }
        assert!(looks < 500, "not back after ten seconds");
        looks += 1;
        tokio::time::sleep(Duration::from_millis(20)).await;
    };
    add(&mut again, 2).await.unwrap();
    assert_eq!(rows(&cluster).await, [1, 2]);
    cluster.stop().await.unwrap();
    assert_eq!(postgres_processes(data.path()), [0_i32; 0]);
}

#[tokio::test]
async fn a_ctrl_c_in_the_terminal_does_not_reach_postgres() {
    let data = data_folder();
    let cluster = Cluster::start(&settings(data.path())).await.unwrap();
    let group = |pid: i32| stat_fields(pid)[2].clone();
    let postgres = postmaster(data.path());
    assert_eq!(
        group(postgres),
        postgres.to_string(),
        "it leads a group of its own"
    );
    assert_ne!(
        group(postgres),
        group(i32::try_from(std::process::id()).unwrap())
    );
    cluster.stop().await.unwrap();
}

#[tokio::test]
async fn stale_lock_files_that_name_a_living_stranger_are_not_believed() {
    let data = data_folder();
    let socket = start_and_stop(data.path()).await;
    make_socket_folder(&socket, data.path());
    let cluster_folder = data.path().join("cluster");
    let mut stranger = stranger_of_the_same_user(&cluster_folder);
    let (pid, folder, socket_folder) = (stranger.id(), cluster_folder.display(), socket.display());
    let stale = format!("{pid}\n{folder}\n1795600000\n5432\n{socket_folder}\n\n  1  1\nready\n");
    fs::write(cluster_folder.join("postmaster.pid"), &stale).unwrap();
    fs::write(socket.join(".s.PGSQL.5432.lock"), &stale).unwrap();

    let started = Cluster::start(&settings(data.path())).await;
    let unharmed = stranger.try_wait().unwrap().is_none();
    stranger.kill().unwrap();
    stranger.wait().unwrap();
    started.unwrap().stop().await.unwrap();
    assert!(unharmed, "the stranger was left alone");
}

/// The folder of the socket, which the data folder remembers.
async fn start_and_stop(data: &std::path::Path) -> std::path::PathBuf {
    let cluster = Cluster::start(&settings(data)).await.unwrap();
    let socket = cluster.owner_options().get_socket().cloned().unwrap();
    cluster.stop().await.unwrap();
    socket
}

/// Plain Postgres would take this process for a server of its own: it exists and has the same user.
fn stranger_of_the_same_user(cluster: &std::path::Path) -> Child {
    use std::os::unix::fs::MetadataExt;
    let owner = fs::metadata(cluster).unwrap();
    let mut command = Command::new("sleep");
    command.arg("60").current_dir("/");
    if is_root() {
        command.uid(owner.uid()).gid(owner.gid());
    }
    command.spawn().unwrap()
}

#[tokio::test]
async fn a_first_start_killed_at_any_moment_can_be_begun_again() {
    let data = data_folder();
    for milliseconds in [60, 200, 350, 500] {
        let mut command = Holder::command(data.path());
        let mut process = command
            .stdout(Stdio::null())
            .stderr(Stdio::null())
            .spawn()
            .unwrap();
        thread::sleep(Duration::from_millis(milliseconds));
        process.kill().unwrap();
        process.wait().unwrap();
    }
    let cluster = Cluster::start(&settings(data.path())).await.unwrap();
    login(cluster.app_options()).await.ping().await.unwrap();
    cluster.stop().await.unwrap();
    let left: Vec<String> = fs::read_dir(data.path())
        .unwrap()
        .flatten()
        .map(|entry| entry.file_name().into_string().unwrap())
        .filter(|name| name.contains("in-the-making"))
        .collect();
    assert_eq!(left, [""; 0], "what the interrupted starts began is gone");
}

#[tokio::test]
async fn every_acknowledged_row_survives_eight_kills() {
    let data = data_folder();
    let acknowledged = Arc::new(Mutex::new(Vec::new()));
    for round in 0..8 {
        let holder = Holder::start(data.path());
        make_table(&mut holder.connect().await).await;
        let writers: Vec<_> = (0..4)
            .map(|writer| {
                tokio::spawn(write_until_cut_off(
                    holder.url.clone(),
                    round * 4 + writer,
                    acknowledged.clone(),
                ))
            })
            .collect();
        tokio::time::sleep(Duration::from_millis(200)).await;
        // Even rounds: the server alone. Odd rounds: Postgres with all its processes too.
        let postgres = postgres_processes(data.path());
        if round % 2 == 1 {
            postgres
                .iter()
                .for_each(|pid| signal_if_there(*pid, Signal::KILL));
        }
        holder.kill();
        for writer in writers {
            let cut_off = tokio::time::timeout(Duration::from_secs(10), writer).await;
            cut_off
                .expect("a writer still has its connection after the kill")
                .unwrap();
        }
    }
    let cluster = Cluster::start(&settings(data.path())).await.unwrap();
    let present = rows(&cluster).await;
    cluster.stop().await.unwrap();
    let acknowledged = acknowledged.lock().unwrap();
    let lost: Vec<i64> = acknowledged
        .iter()
        .copied()
        .filter(|n| present.binary_search(n).is_err())
        .collect();
    assert_eq!(lost, [0_i64; 0]);
    assert!(
        acknowledged.len() > 100,
        "only {} commits were acknowledged",
        acknowledged.len()
    );
}

fn signal_if_there(pid: i32, signal: Signal) {
    let _ = rustix::process::kill_process(rustix::process::Pid::from_raw(pid).unwrap(), signal);
}

async fn write_until_cut_off(url: String, writer: i64, acknowledged: Arc<Mutex<Vec<i64>>>) {
    let mut connection = connect(&url).await;
    for n in 0.. {
        let row = writer * 1_000_000 + n;
        match add(&mut connection, row).await {
            Ok(()) => acknowledged.lock().unwrap().push(row),
            Err(_) => return,
        }
    }
}

/// Starts Postgres on the cluster behind our back, as a person with `pg_ctl` would.
fn by_hand(data: &std::path::Path, socket: &std::path::Path) -> Child {
    use std::os::unix::fs::MetadataExt;
    let newest = Command::new("pg_config")
        .arg("--bindir")
        .output()
        .unwrap()
        .stdout;
    let program = format!("{}/postgres", String::from_utf8(newest).unwrap().trim());
    let cluster = data.join("cluster");
    let owner = fs::metadata(&cluster).unwrap();
    let mut command = Command::new(program);
    command
        .arg("-D")
        .arg(&cluster)
        .arg("-k")
        .arg(socket)
        .args(["-c", "listen_addresses="]);
    command
        .current_dir("/")
        .stdout(Stdio::null())
        .stderr(Stdio::null());
    if is_root() {
        command.uid(owner.uid()).gid(owner.gid());
    }
    let process = command.spawn().unwrap();
    wait_until_ready(&cluster);
    process
}

fn wait_until_ready(cluster: &std::path::Path) {
    let mut looks = 0;
    while !fs::read_to_string(cluster.join("postmaster.pid"))
        .is_ok_and(|text| text.contains("ready"))
    {
        assert!(looks < 500, "Postgres by hand did not become ready");
        looks += 1;
        thread::sleep(Duration::from_millis(10));
    }
}

#[tokio::test]
async fn a_postgres_left_alive_on_our_socket_is_taken_over() {
    let data = data_folder();
    let socket = start_and_stop(data.path()).await;
    make_socket_folder(&socket, data.path());
    let mut orphan = by_hand(data.path(), &socket);

    let cluster = Cluster::start(&settings(data.path())).await.unwrap();
    assert!(
        orphan.wait().unwrap().success(),
        "the orphan was stopped in order"
    );
    login(cluster.app_options()).await.ping().await.unwrap();
    cluster.stop().await.unwrap();
}

#[tokio::test]
async fn a_postgres_that_somebody_started_elsewhere_is_named_and_left_alone() {
    let data = data_folder();
    Cluster::start(&settings(data.path()))
        .await
        .unwrap()
        .stop()
        .await
        .unwrap();
    let elsewhere = data_folder();
    let socket = elsewhere.path().join("socket");
    make_socket_folder(&socket, data.path());
    let mut theirs = by_hand(data.path(), &socket);

    let fault = Cluster::start(&settings(data.path())).await.unwrap_err();
    let still_running = theirs.try_wait().unwrap().is_none();
    signal(i32::try_from(theirs.id()).unwrap(), Signal::INT);
    theirs.wait().unwrap();
    assert!(still_running);
    let ClusterFault::RunByAnother { pid, .. } = &fault else {
        panic!("{fault:?}")
    };
    assert_eq!(*pid, i32::try_from(theirs.id()).unwrap());
    assert!(fault.to_string().contains("kill -INT"), "{fault}");
}

fn make_socket_folder(socket: &std::path::Path, data: &std::path::Path) {
    use std::os::unix::fs::{MetadataExt, PermissionsExt, chown};
    let owner = fs::metadata(data.join("cluster")).unwrap();
    fs::create_dir(socket).unwrap();
    fs::set_permissions(socket, fs::Permissions::from_mode(0o700)).unwrap();
    if is_root() {
        chown(socket, Some(owner.uid()), Some(owner.gid())).unwrap();
    }
}
