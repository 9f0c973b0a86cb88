//! Holds a private cluster until standard input closes: `cluster_holder DATA [POSTGRES_BIN]`.
//! It prints the owner's URL when ready, for a look by hand with `psql`; the tests kill it in many ways.

use std::io::{self, Read, Write};
use std::path::PathBuf;
use std::process::ExitCode;

use hod_store::cluster::{Cluster, ClusterFault, Settings};
use sqlx::ConnectOptions;

#[tokio::main]
async fn main() -> ExitCode {
    let mut arguments = std::env::args_os().skip(1).map(PathBuf::from);
    let Some(data) = arguments.next() else {
        return say(&"usage: cluster_holder DATA [POSTGRES_BIN]");
    };
    match hold(&Settings {
        data,
        postgres_bin: arguments.next(),
    })
    .await
    {
        Ok(()) => ExitCode::SUCCESS,
        Err(fault) => say(&fault),
    }
}

async fn hold(settings: &Settings) -> Result<(), ClusterFault> {
    let cluster = Cluster::start(settings).await?;
    let url = cluster.owner_options().to_url_lossy();
    if writeln!(io::stdout(), "{url}").is_ok() {
        // Nobody is listening any more when this ends, whatever it ends with.
        let _ = tokio::task::spawn_blocking(|| io::stdin().read_to_end(&mut Vec::new())).await;
    }
    cluster.stop().await
}

fn say(problem: &dyn std::fmt::Display) -> ExitCode {
    let _ = writeln!(io::stderr(), "{problem}");
    ExitCode::FAILURE
}
