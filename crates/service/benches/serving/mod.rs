//! A server for a benchmark, on a port of its own.

use std::net::SocketAddr;

use hod_service::access::Access;
use hod_service::envelope::Envelope;
use hod_service::serve::{Parts, serve};
use hod_store::Store;
use tokio::net::TcpListener;
use tonic::service::Routes;

/// Serves until the program ends.
pub async fn start(store: &Store, routes: Routes) -> SocketAddr {
    let listener = TcpListener::bind("127.0.0.1:0").await.expect("a port");
    let address = listener.local_addr().expect("an address");
    let (health, _) = tonic_health::server::health_reporter();
    let parts = Parts {
        listener,
        tls: None,
        connections_max: 64,
        envelope: Envelope::new(Access::new(store.clone()), 1024),
        routes,
        health,
    };
    tokio::spawn(serve(parts, std::future::pending()));
    address
}
