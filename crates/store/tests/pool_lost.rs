//! What becomes of the pool when the network between it and the database falls silent: connections stay open, and
//! nothing comes of them. A proxy between the two, which can be told to carry nothing more on the connections that there
//! are, stands in for such a network.

#![allow(clippy::unwrap_used)]

use std::path::PathBuf;
use std::sync::Arc;
use std::sync::atomic::{AtomicU32, Ordering};
use std::time::{Duration, Instant};

use hod_store::{FirmId, Store, StoreFault};
use hod_testkit::database::TestDatabase;
use sqlx::ConnectOptions;
use sqlx::postgres::PgConnectOptions;
use tokio::io::{AsyncReadExt, AsyncWriteExt};
use tokio::net::{TcpListener, UnixStream};
use uuid::Uuid;

/// Carries bytes between clients and the socket of a database.
struct Proxy {
    port: u16,
    /// Connections made before this was last raised are silent.
    silenced: Arc<AtomicU32>,
}

impl Proxy {
    async fn before(options: &PgConnectOptions) -> Self {
        let socket = options.get_socket().expect("a socket");
        let file = PathBuf::from(socket).join(format!(".s.PGSQL.{}", options.get_port()));
        let listener = TcpListener::bind("127.0.0.1:0").await.expect("a port");
        let port = listener.local_addr().expect("an address").port();
        let silenced = Arc::new(AtomicU32::new(0));
        let all = Arc::clone(&silenced);
        tokio::spawn(async move {
            while let Ok((client, _)) = listener.accept().await {
                let server = UnixStream::connect(&file).await.expect("the database");
                let (from_client, to_client) = client.into_split();
                let (from_server, to_server) = server.into_split();
                let since = all.load(Ordering::SeqCst);
                tokio::spawn(carry(from_client, to_server, Arc::clone(&all), since));
                tokio::spawn(carry(from_server, to_client, Arc::clone(&all), since));
            }
        });
        Self { port, silenced }
    }

    /// From here on nothing comes through on the connections that there are; new ones are as good as ever.
    fn silence(&self) {
        self.silenced.fetch_add(1, Ordering::SeqCst);
    }
}

/// Carries bytes one way until its connection is silenced, and then holds it open and carries nothing.
async fn carry(
    mut from: impl AsyncReadExt + Unpin,
    mut to: impl AsyncWriteExt + Unpin,
    silenced: Arc<AtomicU32>,
    since: u32,
) {
    let mut bytes = [0; 4096];
    while let Ok(count) = from.read(&mut bytes).await {
        if silenced.load(Ordering::SeqCst) != since {
            std::future::pending::<()>().await;
        }
        if count == 0 || to.write_all(&bytes[..count]).await.is_err() {
            return;
        }
    }
}

/// The application's way in, by this port.
fn through(options: &PgConnectOptions, port: u16) -> PgConnectOptions {
    let mut url = options.to_url_lossy();
    url.query_pairs_mut().clear();
    url.set_host(Some("127.0.0.1")).expect("a host");
    url.set_port(Some(port)).expect("a port");
    url.as_str().parse().expect("a url")
}

#[tokio::test]
async fn a_pool_whose_connections_have_all_fallen_silent_is_replaced() {
    let database = TestDatabase::new().await;
    let options = database.app_options();
    let proxy = Proxy::before(&options).await;
    let store = Store::connect(through(&options, proxy.port), 2)
        .await
        .expect("a connection");
    let firm = FirmId::new(Uuid::nil());

    // Both connections are caught in the middle of a statement, and their callers give up.
    let mut caught = Vec::new();
    for _ in 0..2 {
        caught.push(store.begin(firm).await.expect("a session"));
    }
    proxy.silence();
    for mut session in caught {
        let limit = session.limit_statement_time(Duration::from_secs(1));
        let given_up = tokio::time::timeout(Duration::from_millis(200), limit).await;
        assert!(given_up.is_err(), "nothing comes through");
    }

    // Waits for a connection end in vain until the pool is replaced, however many there are, and then end well.
    let begun = Instant::now();
    let waits = (0..3).map(|_| {
        let store = store.clone();
        tokio::spawn(async move { store.begin(firm).await.map(drop) })
    });
    let mut in_vain = 0;
    for wait in waits.collect::<Vec<_>>() {
        match wait.await.expect("a task") {
            Err(StoreFault::Unavailable(_)) => in_vain += 1,
            other => panic!("{other:?}"),
        }
    }
    assert_eq!(in_vain, 3);
    let session = tokio::time::timeout(Duration::from_secs(3), store.begin(firm)).await;
    session
        .expect("at once")
        .expect("a session on a new connection");
    assert!(
        begun.elapsed() < Duration::from_secs(15),
        "{:?}",
        begun.elapsed()
    );
    store.ping().await.expect("an answer");
}
