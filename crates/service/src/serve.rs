//! The running server: its limits, its services, and how it ends. Everything that a call meets before and after its
//! own service is put around it here, so that a benchmark of other services meets the same.

use std::future::Future;
use std::time::Duration;

use tokio::net::TcpListener;
use tokio_rustls::TlsAcceptor;
use tonic::codec::CompressionEncoding;
use tonic::service::Routes;
use tonic::transport::Server;
use tonic_health::ServingStatus;
use tonic_health::server::HealthReporter;

use crate::envelope::Envelope;
use crate::limits::{
    ALIVE_EVERY, ALIVE_WITHIN, CONNECTION_AGE_MAX, DRAIN_TIME_MAX, HEADER_BYTES_MAX,
    MESSAGE_BYTES_MAX, STREAMS_MAX,
};
use crate::listen::connections;
use crate::rpc::Api;

/// How long those who watch the health have to see that no more calls are wanted.
const NOTICE: Duration = Duration::from_millis(200);

/// What a server is made of.
pub struct Parts {
    /// Where it listens; bound already, so that a port in use is told at once.
    pub listener: TcpListener,
    /// TLS, when it is wanted.
    pub tls: Option<TlsAcceptor>,
    /// Most connections at once.
    pub connections_max: usize,
    /// What surrounds every call.
    pub envelope: Envelope,
    /// The services.
    pub routes: Routes,
    /// Who is told that it serves, and that it does so no more.
    pub health: HealthReporter,
}

/// Serves until `shutdown` is done; then finishes what is in flight. Returns whether all of it was finished.
pub async fn serve(
    parts: Parts,
    shutdown: impl Future<Output = ()>,
) -> Result<bool, tonic::transport::Error> {
    let (close, closing) = tokio::sync::oneshot::channel::<()>();
    let incoming = connections(parts.listener, parts.tls, parts.connections_max);
    let server = Server::builder()
        .max_concurrent_streams(STREAMS_MAX)
        .http2_keepalive_interval(Some(ALIVE_EVERY))
        .http2_keepalive_timeout(Some(ALIVE_WITHIN))
        .http2_max_header_list_size(HEADER_BYTES_MAX)
        .max_connection_age(CONNECTION_AGE_MAX)
        .layer(parts.envelope)
        .add_routes(parts.routes)
        .serve_with_incoming_shutdown(incoming, async {
            closing.await.ok();
        });
    tokio::pin!(server);
    tokio::select! {
        ended = &mut server => return ended.map(|()| true),
        () = shutdown => {}
    }
    tracing::info!("no more calls are taken; those in flight are finished");
    let drained = tokio::time::timeout(DRAIN_TIME_MAX, async {
        let mut health = parts.health;
        stop_watching(&mut health, async {
            tokio::select! {
                ended = &mut server => Some(ended),
                () = tokio::time::sleep(NOTICE) => None,
            }
        })
        .await;
        close.send(()).ok();
        server.await
    });
    match drained.await {
        Ok(ended) => ended.map(|()| true),
        Err(_) => {
            tracing::warn!(
                "calls were still in flight after {} s and are cut off",
                DRAIN_TIME_MAX.as_secs()
            );
            Ok(false)
        }
    }
}

/// The names under which health is told: the server as a whole, and each service.
pub const HEALTH_NAMES: [&str; 15] = [
    "",
    "hod.v1.CrewService",
    "hod.v1.EstimationService",
    "hod.v1.JobService",
    "hod.v1.LabourConstantService",
    "hod.v1.LabourRateService",
    "hod.v1.MaterialService",
    "hod.v1.MixService",
    "hod.v1.MixTrialService",
    "hod.v1.PriceService",
    "hod.v1.QuoteService",
    "hod.v1.RegionService",
    "hod.v1.RulePackService",
    "hod.v1.SiteService",
    "hod.v1.SoilTestService",
];

/// Tells the health of every service.
pub async fn tell_health(health: &HealthReporter, status: ServingStatus) {
    for name in HEALTH_NAMES {
        health.set_service_status(name, status).await;
    }
}

/// Tells that no more calls are wanted, gives notice, and then ends the streams on which health is watched: they
/// would never end by themselves and would hold up the drain.
async fn stop_watching<T>(health: &mut HealthReporter, notice: impl Future<Output = T>) -> T {
    tell_health(health, ServingStatus::NotServing).await;
    let noticed = notice.await;
    for name in HEALTH_NAMES {
        health.clear_service_status(name).await;
    }
    noticed
}

/// All services of the project, with health and reflection beside them.
pub fn routes(api: Api) -> Result<(Routes, HealthReporter), tonic_reflection::server::Error> {
    let (health, health_service) = tonic_health::server::health_reporter();
    let reflection = || {
        tonic_reflection::server::Builder::configure()
            .register_encoded_file_descriptor_set(hod_wire::DESCRIPTORS)
            .register_encoded_file_descriptor_set(tonic_health::pb::FILE_DESCRIPTOR_SET)
    };
    let mut routes = Routes::builder();
    routes
        .add_service(health_service)
        .add_service(reflection().build_v1()?)
        .add_service(reflection().build_v1alpha()?);
    macro_rules! add {
        ($($server:ident in $module:ident;)*) => {$(
            routes.add_service(
                hod_wire::v1::$module::$server::new(api.clone())
                    .accept_compressed(CompressionEncoding::Gzip)
                    .send_compressed(CompressionEncoding::Gzip)
                    .max_decoding_message_size(MESSAGE_BYTES_MAX)
                    .max_encoding_message_size(MESSAGE_BYTES_MAX),
            );
        )*};
    }
    add! {
        CrewServiceServer in crew_service_server;
        EstimationServiceServer in estimation_service_server;
        JobServiceServer in job_service_server;
        LabourConstantServiceServer in labour_constant_service_server;
        LabourRateServiceServer in labour_rate_service_server;
        MaterialServiceServer in material_service_server;
        MixServiceServer in mix_service_server;
        MixTrialServiceServer in mix_trial_service_server;
        PriceServiceServer in price_service_server;
        QuoteServiceServer in quote_service_server;
        RegionServiceServer in region_service_server;
        RulePackServiceServer in rule_pack_service_server;
        SiteServiceServer in site_service_server;
        SoilTestServiceServer in soil_test_service_server;
    }
    Ok((routes.routes(), health))
}
