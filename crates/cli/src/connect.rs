//! The way to the server: where it is, the token that opens it, and a stub for each of its services.
//! Nothing is asked of anybody: what is missing is told, with how to give it.

use std::io;
use std::net::IpAddr;
use std::path::{Path, PathBuf};
use std::time::Duration;

use hod_wire::v1::crew_service_client::CrewServiceClient;
use hod_wire::v1::estimation_service_client::EstimationServiceClient;
use hod_wire::v1::job_service_client::JobServiceClient;
use hod_wire::v1::labour_constant_service_client::LabourConstantServiceClient;
use hod_wire::v1::labour_rate_service_client::LabourRateServiceClient;
use hod_wire::v1::material_service_client::MaterialServiceClient;
use hod_wire::v1::mix_service_client::MixServiceClient;
use hod_wire::v1::mix_trial_service_client::MixTrialServiceClient;
use hod_wire::v1::price_service_client::PriceServiceClient;
use hod_wire::v1::quote_service_client::QuoteServiceClient;
use hod_wire::v1::region_service_client::RegionServiceClient;
use hod_wire::v1::rule_pack_service_client::RulePackServiceClient;
use hod_wire::v1::site_service_client::SiteServiceClient;
use hod_wire::v1::soil_test_service_client::SoilTestServiceClient;
use tonic::metadata::{Ascii, MetadataValue};
use tonic::service::Interceptor;
use tonic::service::interceptor::InterceptedService;
use tonic::transport::{Certificate, Channel, ClientTlsConfig, Endpoint, Identity};
use tonic::{Request, Status};
use tonic_health::pb::health_client::HealthClient;

use crate::exit;
use crate::fault::Failure;

/// How long the server may take to open its door.
const CONNECT_TIME_MAX: Duration = Duration::from_secs(5);

/// How long one answer may take. A stream of answers has no such limit.
const ANSWER_TIME_MAX: Duration = Duration::from_secs(60);

/// How long the first answer to a whole file of prices, or to pricing all open jobs again, may take.
const LONG_WORK_TIME_MAX: Duration = Duration::from_secs(60 * 60);

/// The largest answer that is read: a takeoff of 5,000 walls with all their lifts is about a tenth of it.
const ANSWER_BYTES_MAX: usize = 64 * 1024 * 1024;

/// The name of the owner's token below the data folder.
const OWNER_TOKEN: &str = "owner-token";

/// Where the server is and how it is entered, as the environment says.
#[derive(Debug, Clone)]
pub struct Access {
    /// `HOST:PORT`, or `https://HOST:PORT`.
    pub server: String,
    /// `HOD_TOKEN`, when set.
    pub token: Option<String>,
    /// `HOD_DATA`, or what stands for it.
    pub data: PathBuf,
    /// The files of an encrypted way.
    pub tls: TlsFiles,
}

/// What an encrypted way is trusted by. PEM files.
#[derive(Debug, Clone, Default)]
pub struct TlsFiles {
    /// `HOD_TLS_CA`: what signs the server's certificate.
    pub ca: Option<PathBuf>,
    /// `HOD_TLS_CLIENT_CERT`: our own certificate, where the server asks for one.
    pub client_certificate: Option<PathBuf>,
    /// `HOD_TLS_CLIENT_KEY`: its key.
    pub client_key: Option<PathBuf>,
}

/// The data folder when `HOD_DATA` names none: that of the server's own default.
pub fn default_data(is_root: bool, data_home: Option<PathBuf>, home: Option<PathBuf>) -> PathBuf {
    if is_root {
        return PathBuf::from("/var/lib/hod");
    }
    data_home
        .filter(|folder| !folder.as_os_str().is_empty())
        .or_else(|| home.map(|home| home.join(".local/share")))
        .unwrap_or_default()
        .join("hod")
}

/// A stub for a service that is entered with a token.
type Entered = InterceptedService<Channel, Pass>;

/// Shows the token with every call.
#[derive(Clone)]
pub struct Pass(MetadataValue<Ascii>);

impl Interceptor for Pass {
    fn call(&mut self, mut request: Request<()>) -> Result<Request<()>, Status> {
        request
            .metadata_mut()
            .insert("authorization", self.0.clone());
        Ok(request)
    }
}

/// An open way to the server.
pub struct Connection {
    channel: Channel,
    pass: Pass,
}

/// One stub for each service.
macro_rules! services {
    ($($(#[$doc:meta])* $name:ident: $client:ident;)*) => {
        impl Connection {
            $($(#[$doc])*
            pub fn $name(&self) -> $client<Entered> {
                $client::with_interceptor(self.channel.clone(), self.pass.clone())
                    .max_decoding_message_size(ANSWER_BYTES_MAX)
            })*
        }
    };
}

services! {
    /// Regions.
    regions: RegionServiceClient;
    /// Sites.
    sites: SiteServiceClient;
    /// Soil tests.
    soil_tests: SoilTestServiceClient;
    /// Materials.
    materials: MaterialServiceClient;
    /// Mixes.
    mixes: MixServiceClient;
    /// Mix trials.
    mix_trials: MixTrialServiceClient;
    /// Rule packs.
    rule_packs: RulePackServiceClient;
    /// Crews.
    crews: CrewServiceClient;
    /// Labour constants.
    labour_constants: LabourConstantServiceClient;
    /// Prices.
    prices: PriceServiceClient;
    /// Labour rates.
    labour_rates: LabourRateServiceClient;
    /// Jobs.
    jobs: JobServiceClient;
    /// Takeoffs and estimates.
    estimation: EstimationServiceClient;
    /// Quotes and their variations.
    quotes: QuoteServiceClient;
}

/// Opens the way: the server first, then the token, so that who has neither is told of the server.
pub async fn connect(access: &Access) -> Result<Connection, Failure> {
    open(access, ANSWER_TIME_MAX).await
}

/// Opens the way for work that takes long.
pub async fn connect_for_long_work(access: &Access) -> Result<Connection, Failure> {
    open(access, LONG_WORK_TIME_MAX).await
}

async fn open(access: &Access, answer_time_max: Duration) -> Result<Connection, Failure> {
    let channel = reach(access, answer_time_max).await?;
    let pass = pass(access)?;
    Ok(Connection { channel, pass })
}

/// The server's own word on how it is; needs no token.
pub async fn health(access: &Access) -> Result<HealthClient<Channel>, Failure> {
    let channel = reach(access, ANSWER_TIME_MAX).await?;
    Ok(HealthClient::new(channel))
}

async fn reach(access: &Access, answer_time_max: Duration) -> Result<Channel, Failure> {
    let server = &access.server;
    let endpoint = endpoint(server, &access.tls)?.timeout(answer_time_max);
    endpoint.connect().await.map_err(|_| {
        Failure::plain(exit::NO_SERVER, format!("no server answers at {server}"))
            .hinting("start one with `hod-server`, or say where it is with HOD_SERVER")
    })
}

fn endpoint(server: &str, tls: &TlsFiles) -> Result<Endpoint, Failure> {
    let usage = |what: String| Failure::plain(exit::USAGE, what);
    let not_an_address = || {
        usage(format!(
            "{server} is not an address; write HOST:PORT, such as 127.0.0.1:7370"
        ))
    };
    let (is_encrypted, address) = match server.strip_prefix("https://") {
        Some(address) => (true, address),
        None => (false, server.strip_prefix("http://").unwrap_or(server)),
    };
    if address.contains('/') {
        return Err(not_an_address());
    }
    if !is_encrypted && !is_this_machine(address) {
        return Err(usage(format!(
            "{server} is another machine, and the token would travel to it in the clear; write https://{address}"
        )));
    }
    let scheme = if is_encrypted { "https" } else { "http" };
    let endpoint =
        Endpoint::from_shared(format!("{scheme}://{address}")).map_err(|_| not_an_address())?;
    let endpoint = if is_encrypted {
        endpoint
            .tls_config(tls_config(tls)?)
            .map_err(|refusal| usage(format!("the TLS files cannot be used: {refusal}")))?
    } else {
        endpoint
    };
    Ok(endpoint.connect_timeout(CONNECT_TIME_MAX).tcp_nodelay(true))
}

fn tls_config(files: &TlsFiles) -> Result<ClientTlsConfig, Failure> {
    let Some(ca) = &files.ca else {
        return Err(Failure::plain(
            exit::USAGE,
            "an encrypted way needs the certificate that signs the server's",
        )
        .hinting("set HOD_TLS_CA to its PEM file"));
    };
    let config = ClientTlsConfig::new().ca_certificate(Certificate::from_pem(pem(ca)?));
    match (&files.client_certificate, &files.client_key) {
        (Some(certificate), Some(key)) => {
            Ok(config.identity(Identity::from_pem(pem(certificate)?, pem(key)?)))
        }
        (None, None) => Ok(config),
        _ => Err(Failure::plain(
            exit::USAGE,
            "HOD_TLS_CLIENT_CERT and HOD_TLS_CLIENT_KEY go together; one of them is not set",
        )),
    }
}

fn pem(file: &Path) -> Result<Vec<u8>, Failure> {
    std::fs::read(file).map_err(|refusal| {
        Failure::plain(
            exit::MISSING,
            format!("{} cannot be read: {refusal}", file.display()),
        )
    })
}

/// Whether an address is of the loopback.
fn is_this_machine(address: &str) -> bool {
    let host = address.rsplit_once(':').map_or(address, |(host, _)| host);
    let host = host.trim_start_matches('[').trim_end_matches(']');
    host == "localhost" || host.parse::<IpAddr>().is_ok_and(|ip| ip.is_loopback())
}

fn pass(access: &Access) -> Result<Pass, Failure> {
    let token = match &access.token {
        Some(token) => token.clone(),
        None => owner_token(&access.data.join(OWNER_TOKEN))?,
    };
    let mut value: MetadataValue<Ascii> =
        format!("Bearer {}", token.trim()).parse().map_err(|_| {
            Failure::plain(
                exit::NO_SERVER,
                "the token has characters that no token has",
            )
            .hinting("set HOD_TOKEN to the token alone")
        })?;
    value.set_sensitive(true);
    Ok(Pass(value))
}

fn owner_token(file: &Path) -> Result<String, Failure> {
    std::fs::read_to_string(file).map_err(|refusal| {
        let shown = file.display();
        let what = match refusal.kind() {
            io::ErrorKind::NotFound => {
                format!("there is no token: HOD_TOKEN is not set and {shown} is not there")
            }
            io::ErrorKind::PermissionDenied => {
                format!("the owner's token in {shown} is not yours to read")
            }
            _ => format!("{shown} cannot be read: {refusal}"),
        };
        Failure::plain(exit::NO_SERVER, what)
            .hinting("set HOD_TOKEN, or HOD_DATA to the data folder of the server")
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_data_folder_is_the_servers_own_default() {
        let folder = |is_root, data_home: Option<&str>, home: Option<&str>| {
            default_data(
                is_root,
                data_home.map(PathBuf::from),
                home.map(PathBuf::from),
            )
        };
        assert_eq!(
            folder(true, Some("/x"), Some("/root")),
            Path::new("/var/lib/hod")
        );
        assert_eq!(
            folder(false, Some("/x"), Some("/home/ann")),
            Path::new("/x/hod")
        );
        assert_eq!(
            folder(false, None, Some("/home/ann")),
            Path::new("/home/ann/.local/share/hod")
        );
        assert_eq!(
            folder(false, Some(""), Some("/home/ann")),
            Path::new("/home/ann/.local/share/hod")
        );
    }

    #[test]
    fn a_token_is_sent_to_this_machine_alone_unless_the_way_is_encrypted() {
        let refused = |server: &str, files: &TlsFiles| {
            let failure = endpoint(server, files).err()?;
            assert_eq!(failure.code, exit::USAGE);
            failure.faults.first().map(ToString::to_string)
        };
        let open = TlsFiles::default();
        for server in [
            "127.0.0.1:7370",
            "localhost:1",
            "[::1]:7370",
            "http://127.0.0.1:7370",
        ] {
            assert_eq!(refused(server, &open), None, "{server}");
        }
        for server in [
            "192.0.2.1:7370",
            "example.com:7370",
            "http://example.com:7370",
            "127.0.0.1.example.com:1",
        ] {
            let told = refused(server, &open).unwrap_or_default();
            assert!(told.contains("is another machine"), "{server}: {told}");
        }
        assert_eq!(
            refused("https://example.com:7370", &open).as_deref(),
            Some("an encrypted way needs the certificate that signs the server's")
        );
        assert_eq!(
            refused("ftp://127.0.0.1:7370", &open).as_deref(),
            Some("ftp://127.0.0.1:7370 is not an address; write HOST:PORT, such as 127.0.0.1:7370")
        );
        let half = TlsFiles {
            ca: Some(PathBuf::from("/dev/null")),
            client_key: Some(PathBuf::from("key.pem")),
            ..TlsFiles::default()
        };
        assert_eq!(
            refused("https://example.com:7370", &half).as_deref(),
            Some("HOD_TLS_CLIENT_CERT and HOD_TLS_CLIENT_KEY go together; one of them is not set")
        );
    }

    #[test]
    fn a_token_is_trimmed_and_never_shown() {
        let access = Access {
            server: String::new(),
            token: Some("hod_secret\n".to_owned()),
            data: PathBuf::new(),
            tls: TlsFiles::default(),
        };
        let pass = pass(&access).ok();
        let value = pass.as_ref().map(|pass| pass.0.as_bytes());
        assert_eq!(value, Some(&b"Bearer hod_secret"[..]));
        assert_eq!(
            pass.map(|pass| format!("{:?}", pass.0)),
            Some("Sensitive".to_owned())
        );
    }
}
