//! The program `hod-server`: reads its settings, brings up the database, serves, and ends in order when told to.

use std::io::{IsTerminal, Write};
use std::process::ExitCode;
use std::time::Duration;

use clap::Parser;
use hod_service::access::Access;
use hod_service::app::App;
use hod_service::envelope::Envelope;
use hod_service::renewal::{self, Renewed};
use hod_service::rpc::Api;
use hod_service::serve::{self, Parts};
use hod_service::settings::{Act, CommandLine, InitSettings, RenewTokenSettings, Settings};
use hod_service::{log, startup, status, tls};
use hod_store::Store;
use tokio::net::TcpListener;
use tokio::signal::unix::{Signal, SignalKind, signal};
use tonic_health::ServingStatus;
use tonic_health::server::HealthReporter;

#[global_allocator]
static ALLOCATOR: hod_service::Allocator = hod_service::Allocator;

/// Whatever stops the program.
type Fault = Box<dyn std::error::Error + Send + Sync>;

/// How often the database is asked whether it is there, for those who watch the health.
const PING_EVERY: Duration = Duration::from_secs(5);

/// How long it may take to say so.
const PING_WITHIN: Duration = Duration::from_secs(3);

/// How long sessions may take to end once no call is in flight any more.
const CLOSE_TIME_MAX: Duration = Duration::from_secs(5);

fn main() -> ExitCode {
    let line = CommandLine::parse();
    if let Err(fault) = log::begin(&line.settings.log) {
        return complain(&status::chain(&fault));
    }
    let runtime = tokio::runtime::Builder::new_multi_thread()
        .enable_all()
        .build();
    let done = match runtime {
        Ok(runtime) => runtime.block_on(run(line)),
        Err(fault) => Err(fault.into()),
    };
    match done {
        Ok(()) => ExitCode::SUCCESS,
        Err(fault) => {
            let chain = status::chain(fault.as_ref());
            if std::io::stderr().is_terminal() {
                return complain(&chain);
            }
            tracing::error!(cause = chain, "hod-server cannot go on");
            ExitCode::FAILURE
        }
    }
}

/// Says in a sentence what stopped the program, to a person, or where there is no log to say it in.
fn complain(chain: &str) -> ExitCode {
    // There is nowhere left to say that stderr is gone.
    writeln!(std::io::stderr(), "error: {chain}").ok();
    ExitCode::FAILURE
}

async fn run(line: CommandLine) -> Result<(), Fault> {
    match line.act {
        Some(Act::Init(settings)) => init(&settings).await,
        Some(Act::RenewToken(renewal)) => renew_token(&line.settings, &renewal).await,
        None => serve(&line.settings).await,
    }
}

async fn init(settings: &InitSettings) -> Result<(), Fault> {
    let said = match startup::init(settings).await? {
        Some(token) => format!(
            "{}\nThe database is ready. This is the owner's token; it is kept nowhere and not shown again.\n",
            token.reveal()
        ),
        None => "The database is ready. It has a firm already, so no token was made.\n".to_owned(),
    };
    std::io::stdout().write_all(said.as_bytes())?;
    Ok(())
}

async fn renew_token(settings: &Settings, renewal: &RenewTokenSettings) -> Result<(), Fault> {
    let said = match renewal::renew_token(settings, renewal).await? {
        Renewed::Told(token) => format!(
            "{}\nThis is the owner's new token; it is kept nowhere and not shown again. No earlier token is good any more.\n",
            token.reveal()
        ),
        Renewed::Written(file) => format!(
            "The owner's new token is in {}. No earlier token is good any more.\n",
            file.display()
        ),
        Renewed::NoFirm => "There is no firm yet, so there is no token to renew.\n".to_owned(),
    };
    std::io::stdout().write_all(said.as_bytes())?;
    Ok(())
}

async fn serve(settings: &Settings) -> Result<(), Fault> {
    settings.check()?;
    let tls = settings
        .tls()
        .map(|files| tls::acceptor(&files))
        .transpose()?;
    // Before the database, so that a signal during a first start is heard and a port in use is told at once.
    let (mut terminate, mut interrupt) = (
        signal(SignalKind::terminate())?,
        signal(SignalKind::interrupt())?,
    );
    let listener = TcpListener::bind(settings.listen)
        .await
        .map_err(|fault| format!("{} cannot be listened on: {fault}", settings.listen))?;
    let address = listener.local_addr()?;
    let database = startup::database(settings).await?;
    let api = Api::new(App::new(database.store.clone()));
    let (routes, health) = serve::routes(api)?;
    serve::tell_health(&health, ServingStatus::Serving).await;
    let watch = tokio::spawn(watch(database.store.clone(), health.clone()));
    let parts = Parts {
        listener,
        tls,
        connections_max: settings.connections_max,
        envelope: Envelope::new(Access::new(database.store.clone()), settings.calls_max),
        routes,
        health,
    };
    writeln!(std::io::stdout(), "hod-server ready on {address}")?;
    let stop = async {
        told(&mut terminate, &mut interrupt).await;
        watch.abort();
    };
    let ended = serve::serve(parts, stop).await;
    if tokio::time::timeout(CLOSE_TIME_MAX, database.store.close())
        .await
        .is_err()
    {
        tracing::warn!("sessions were still open and are cut off");
    }
    if let Some(cluster) = database.cluster {
        cluster.stop().await?;
    }
    ended?;
    tracing::info!("ended in order");
    Ok(())
}

/// Until somebody wants the server to end.
async fn told(terminate: &mut Signal, interrupt: &mut Signal) {
    tokio::select! {
        _ = terminate.recv() => {}
        _ = interrupt.recv() => {}
    }
}

/// Tells those who watch the health when the database goes and comes back.
async fn watch(store: Store, health: HealthReporter) {
    let mut is_there = true;
    loop {
        tokio::time::sleep(PING_EVERY).await;
        let answered = matches!(
            tokio::time::timeout(PING_WITHIN, store.ping()).await,
            Ok(Ok(()))
        );
        if answered != is_there {
            is_there = answered;
            tracing::warn!(is_there, "whether the database answers has changed");
            let status = if answered {
                ServingStatus::Serving
            } else {
                ServingStatus::NotServing
            };
            serve::tell_health(&health, status).await;
        }
    }
}
