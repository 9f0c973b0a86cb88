//! TLS: the server's certificate and key, and, when asked for, which clients may connect at all.

use std::path::{Path, PathBuf};
use std::sync::Arc;

use tokio_rustls::TlsAcceptor;
use tokio_rustls::rustls::pki_types::pem::PemObject;
use tokio_rustls::rustls::pki_types::{CertificateDer, PrivateKeyDer};
use tokio_rustls::rustls::server::WebPkiClientVerifier;
use tokio_rustls::rustls::{RootCertStore, ServerConfig};

use crate::settings::TlsFiles;

/// Why the TLS files cannot be used.
#[derive(Debug, thiserror::Error)]
pub enum TlsFault {
    /// A file that cannot be read, or has not in it what it should.
    #[error("{} cannot be used as {what}; give a PEM file (HOD_TLS_CERT, HOD_TLS_KEY, HOD_TLS_CLIENT_CA)", file.display())]
    File {
        /// The file.
        file: PathBuf,
        /// What it should hold.
        what: &'static str,
        /// Why it does not.
        #[source]
        cause: Box<dyn std::error::Error + Send + Sync>,
    },
    /// A certificate and a key that do not belong together, or that are of a kind not supported.
    #[error("the certificate and key of HOD_TLS_CERT and HOD_TLS_KEY cannot be used together")]
    Unusable(#[source] Box<dyn std::error::Error + Send + Sync>),
}

/// Reads the files and makes ready to speak TLS 1.2 or 1.3, HTTP/2 within.
pub fn acceptor(files: &TlsFiles) -> Result<TlsAcceptor, TlsFault> {
    let chain = certificates(&files.certificate, "the server's certificate chain")?;
    let key = PrivateKeyDer::from_pem_file(&files.key)
        .map_err(|cause| unreadable(&files.key, "the server's private key", cause))?;
    let config = ServerConfig::builder();
    let config = match &files.client_ca {
        None => config.with_no_client_auth(),
        Some(file) => {
            let what = "the certificate that signs clients";
            let mut roots = RootCertStore::empty();
            for certificate in certificates(file, what)? {
                roots
                    .add(certificate)
                    .map_err(|cause| unreadable(file, what, cause))?;
            }
            let verifier = WebPkiClientVerifier::builder(Arc::new(roots))
                .build()
                .map_err(|cause| unreadable(file, what, cause))?;
            config.with_client_cert_verifier(verifier)
        }
    };
    let mut config = config
        .with_single_cert(chain, key)
        .map_err(|cause| TlsFault::Unusable(Box::new(cause)))?;
    config.alpn_protocols.push(b"h2".to_vec());
    Ok(TlsAcceptor::from(Arc::new(config)))
}

fn certificates(file: &Path, what: &'static str) -> Result<Vec<CertificateDer<'static>>, TlsFault> {
    let all = CertificateDer::pem_file_iter(file)
        .and_then(Iterator::collect::<Result<Vec<_>, _>>)
        .map_err(|cause| unreadable(file, what, cause))?;
    if all.is_empty() {
        return Err(unreadable(file, what, "it holds no certificate"));
    }
    Ok(all)
}

fn unreadable(
    file: &Path,
    what: &'static str,
    cause: impl Into<Box<dyn std::error::Error + Send + Sync>>,
) -> TlsFault {
    TlsFault::File {
        file: file.to_owned(),
        what,
        cause: cause.into(),
    }
}
