//! The application role on a server that is not our own, stood in for by a cluster whose superuser we may be.

use std::fs::{self, Permissions};
use std::os::unix::fs::PermissionsExt;

use hod_store::application_role::prepare;
use hod_store::cluster::{Cluster, Settings};
use hod_store::firm::create_first;
use hod_store::{Store, StoreFault};
use sqlx::postgres::PgConnectOptions;
use sqlx::{ConnectOptions, Connection};
use tempfile::TempDir;

/// A server with a superuser, without the role `hod_app`, and with a database of somebody's who may make roles.
struct Given {
    superuser: PgConnectOptions,
    owner: PgConnectOptions,
    cluster: Cluster,
    _folder: TempDir,
}

async fn given() -> Given {
    let folder = tempfile::Builder::new()
        .prefix("hod-given-")
        .tempdir()
        .unwrap();
    fs::set_permissions(folder.path(), Permissions::from_mode(0o711)).unwrap();
    let settings = Settings {
        data: folder.path().to_path_buf(),
        postgres_bin: None,
    };
    let cluster = Cluster::start(&settings).await.unwrap();
    let access = fs::read_to_string(folder.path().join("cluster-access.toml")).unwrap();
    let access: toml::Table = access.parse().unwrap();
    let password = access["superuser_password"].as_str().unwrap();
    let superuser = cluster
        .owner_options()
        .username("hod_superuser")
        .password(password);
    run(&superuser, "drop owned by hod_app; drop role hod_app; create role somebody login createrole password 'p'").await;
    run(&superuser, "create database theirs owner somebody").await;
    let owner = superuser
        .clone()
        .username("somebody")
        .password("p")
        .database("theirs");
    Given {
        superuser,
        owner,
        cluster,
        _folder: folder,
    }
}

async fn run(options: &PgConnectOptions, statements: &'static str) {
    let mut connection = options.connect().await.unwrap();
    sqlx::raw_sql(statements)
        .execute(&mut connection)
        .await
        .unwrap();
    connection.close().await.unwrap();
}

impl Given {
    fn app(&self, password: &str) -> PgConnectOptions {
        self.owner.clone().username("hod_app").password(password)
    }

    async fn lets_in(&self, password: &str) -> bool {
        self.app(password).connect().await.is_ok()
    }
}

#[tokio::test]
async fn a_given_server_is_made_ready_from_the_url_of_one_who_may_make_roles() {
    let given = given().await;
    let awkward = r#"it's "a" \pass$$word"#;
    prepare(given.owner.clone(), awkward).await.unwrap();
    assert!(given.lets_in(awkward).await);
    assert!(!given.lets_in("something else").await);

    Store::migrate(given.owner.clone()).await.unwrap();
    let firm = create_first(given.owner.clone(), "Barrow Down Walls", &[5; 32])
        .await
        .unwrap()
        .unwrap();
    let store = Store::connect(given.app(awkward), 1).await.unwrap();
    assert_eq!(
        store.token_firm(&[5; 32]).await.unwrap().unwrap().firm,
        firm
    );
    store.close().await;

    prepare(given.owner.clone(), "a new one").await.unwrap();
    assert!(given.lets_in("a new one").await);
    assert!(!given.lets_in(awkward).await, "the last one set holds");
    given.cluster.stop().await.unwrap();
}

#[tokio::test]
async fn a_role_of_that_name_loses_its_power_over_row_level_security() {
    let given = given().await;
    run(&given.superuser, "create role hod_app superuser bypassrls").await;
    let fault = prepare(given.owner.clone(), "p").await.unwrap_err();
    assert!(
        matches!(
            fault,
            StoreFault::Refused {
                rule: "owner_may_make_roles",
                ..
            }
        ),
        "{fault:?}"
    );
    Store::migrate(given.owner.clone()).await.unwrap();
    run(&given.superuser, "alter role hod_app login password 'p'").await;
    let fault = Store::connect(given.app("p"), 1).await.unwrap_err();
    assert!(
        matches!(
            fault,
            StoreFault::Refused {
                rule: "application_role_owns_nothing",
                ..
            }
        ),
        "{fault:?}"
    );

    prepare(given.superuser.clone(), "p").await.unwrap();
    Store::connect(given.app("p"), 1)
        .await
        .unwrap()
        .close()
        .await;
    given.cluster.stop().await.unwrap();
}
