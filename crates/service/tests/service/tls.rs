//! TLS and mutual TLS, with certificates made for the test.

use std::path::{Path, PathBuf};

use hod_testkit::database::TestDatabase;
use hod_testkit::server::{RunningServer, TestFirm};
use hod_wire::v1::ListRegionsRequest;
use rcgen::{BasicConstraints, CertificateParams, CertifiedIssuer, IsCa, KeyPair};
use tempfile::TempDir;
use tonic::transport::{Certificate, ClientTlsConfig, Endpoint, Identity};

use crate::support::Client;

/// An authority, and what it has signed.
struct Papers {
    folder: TempDir,
    authority: CertifiedIssuer<'static, KeyPair>,
}

impl Papers {
    fn new() -> Self {
        let mut params = CertificateParams::new(Vec::new()).expect("params");
        params.is_ca = IsCa::Ca(BasicConstraints::Unconstrained);
        let key = KeyPair::generate().expect("a key");
        let authority = CertifiedIssuer::self_signed(params, key).expect("an authority");
        Self {
            folder: tempfile::tempdir().expect("a folder"),
            authority,
        }
    }

    /// A certificate and its key, PEM.
    fn sign(&self, name: &str) -> (String, String) {
        let key = KeyPair::generate().expect("a key");
        let params = CertificateParams::new(vec![name.to_owned()]).expect("params");
        let certificate = params.signed_by(&key, &self.authority).expect("signed");
        (certificate.pem(), key.serialize_pem())
    }

    fn write(&self, name: &str, text: &str) -> PathBuf {
        let file = self.folder.path().join(name);
        std::fs::write(&file, text).expect("a file");
        file
    }
}

fn text(path: &Path) -> &str {
    path.to_str().expect("a path in plain letters")
}

async fn list(config: ClientTlsConfig, server: &RunningServer, token: &str) -> Result<(), String> {
    let url = format!("https://localhost:{}", server.address().port());
    let endpoint = Endpoint::from_shared(url).and_then(|endpoint| endpoint.tls_config(config));
    let channel = endpoint
        .map_err(|fault| fault.to_string())?
        .connect()
        .await
        .map_err(|fault| fault.to_string())?;
    let client = Client::over(channel, token);
    let listed = client
        .regions()
        .list_regions(ListRegionsRequest::default())
        .await;
    listed.map(drop).map_err(|fault| fault.to_string())
}

#[tokio::test]
async fn with_a_certificate_the_server_speaks_tls_and_nothing_else() {
    let papers = Papers::new();
    let (certificate, key) = papers.sign("localhost");
    let (certificate, key) = (
        papers.write("cert.pem", &certificate),
        papers.write("key.pem", &key),
    );
    let database = TestDatabase::new().await;
    let firm = TestFirm::empty(&database).await;
    let server = RunningServer::on_database_with(
        &database,
        &[
            ("HOD_TLS_CERT", text(&certificate)),
            ("HOD_TLS_KEY", text(&key)),
        ],
    );
    let trusting =
        ClientTlsConfig::new().ca_certificate(Certificate::from_pem(papers.authority.pem()));
    list(trusting, &server, &firm.token).await.expect("served");

    let other =
        ClientTlsConfig::new().ca_certificate(Certificate::from_pem(Papers::new().authority.pem()));
    list(other, &server, &firm.token)
        .await
        .expect_err("a server that it does not know");
    let plain = Endpoint::from_shared(server.url())
        .expect("a url")
        .connect()
        .await;
    if let Ok(channel) = plain {
        let client = Client::over(channel, &firm.token);
        client
            .regions()
            .list_regions(ListRegionsRequest::default())
            .await
            .expect_err("in the open");
    }
}

#[tokio::test]
async fn with_an_authority_for_clients_only_those_it_has_signed_are_let_in() {
    let papers = Papers::new();
    let (certificate, key) = papers.sign("localhost");
    let (certificate, key) = (
        papers.write("cert.pem", &certificate),
        papers.write("key.pem", &key),
    );
    let authority = papers.write("ca.pem", &papers.authority.pem());
    let database = TestDatabase::new().await;
    let firm = TestFirm::empty(&database).await;
    let server = RunningServer::on_database_with(
        &database,
        &[
            ("HOD_TLS_CERT", text(&certificate)),
            ("HOD_TLS_KEY", text(&key)),
            ("HOD_TLS_CLIENT_CA", text(&authority)),
        ],
    );
    let trusting =
        || ClientTlsConfig::new().ca_certificate(Certificate::from_pem(papers.authority.pem()));
    let (certificate, key) = papers.sign("estimator");
    let known = trusting().identity(Identity::from_pem(certificate, key));
    list(known.clone(), &server, &firm.token)
        .await
        .expect("served");
    list(known, &server, "hod_nothing")
        .await
        .expect_err("a certificate is no token");
    list(trusting(), &server, &firm.token)
        .await
        .expect_err("without a certificate");
    let (certificate, key) = Papers::new().sign("estimator");
    let stranger = trusting().identity(Identity::from_pem(certificate, key));
    list(stranger, &server, &firm.token)
        .await
        .expect_err("signed by another");
}

#[test]
fn papers_that_cannot_be_used_are_named() {
    let papers = Papers::new();
    let (certificate, _) = papers.sign("localhost");
    let (_, other_key) = papers.sign("localhost");
    let (certificate, other_key) = (
        papers.write("cert.pem", &certificate),
        papers.write("key.pem", &other_key),
    );
    let empty = papers.write("empty.pem", "");
    let run = |cert: &Path, key: &Path| {
        let done = std::process::Command::new(env!("CARGO_BIN_EXE_hod-server"))
            .env("HOD_DATA", papers.folder.path().join("data"))
            .env("HOD_LISTEN", "127.0.0.1:0")
            .env("HOD_TLS_CERT", cert)
            .env("HOD_TLS_KEY", key)
            .output()
            .expect("a process");
        assert!(!done.status.success());
        String::from_utf8(done.stderr).expect("text")
    };
    let told = run(&empty, &other_key);
    assert!(
        told.contains("empty.pem") && told.contains("certificate"),
        "{told}"
    );
    let told = run(&certificate, &empty);
    assert!(
        told.contains("empty.pem") && told.contains("private key"),
        "{told}"
    );
    let told = run(&certificate, &other_key);
    assert!(told.contains("cannot be used together"), "{told}");
}
