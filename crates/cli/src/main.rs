//! The program `hod`: takes what the environment says, once, and hands it on.

use std::path::PathBuf;
use std::process::ExitCode;

use hod_cli::connect::{Access, TlsFiles, default_data};
use hod_cli::printer::Printer;

fn main() -> ExitCode {
    let access = Access {
        server: String::new(),
        token: std::env::var("HOD_TOKEN")
            .ok()
            .filter(|token| !token.is_empty()),
        data: file("HOD_DATA").unwrap_or_else(|| {
            let is_root = rustix::process::geteuid().is_root();
            default_data(is_root, file("XDG_DATA_HOME"), file("HOME"))
        }),
        tls: TlsFiles {
            ca: file("HOD_TLS_CA"),
            client_certificate: file("HOD_TLS_CLIENT_CERT"),
            client_key: file("HOD_TLS_CLIENT_KEY"),
        },
    };
    ExitCode::from(hod_cli::run(
        std::env::args_os(),
        access,
        &mut Printer::to_process(),
    ))
}

/// A file or folder that the environment names; an empty name is none.
fn file(variable: &str) -> Option<PathBuf> {
    std::env::var_os(variable)
        .filter(|value| !value.is_empty())
        .map(PathBuf::from)
}
