//! `hod server`: how the server is.

use clap::Subcommand;
use hod_wire::v1::ListRegionsRequest;
use tonic_health::pb::HealthCheckRequest;
use tonic_health::pb::health_check_response::ServingStatus;

use super::Context;
use crate::connect;
use crate::exit;
use crate::fault::Failure;
use crate::render::record::Record;

/// What can be asked of the server itself.
#[derive(Debug, Subcommand)]
pub enum ServerCommand {
    /// Say whether the server answers, and whether it lets us in.
    Status,
}

impl ServerCommand {
    pub(super) async fn run(self, mut context: Context<'_>) -> Result<(), Failure> {
        let Self::Status = self;
        let mut health = connect::health(context.access).await?;
        let answer = health.check(HealthCheckRequest::default()).await?;
        let serving = match answer.into_inner().status() {
            ServingStatus::Serving => "serving",
            ServingStatus::NotServing | ServingStatus::Unknown | ServingStatus::ServiceUnknown => {
                "not serving"
            }
        };
        let entry = enter(&context).await;
        let record = Record::new()
            .text("server", &context.access.server)
            .text("status", serving)
            .text("access", if entry.is_ok() { "granted" } else { "refused" });
        context.output.record(&record)?;
        if serving != "serving" {
            return Err(
                Failure::plain(exit::NO_SERVER, "the server answers and is not serving")
                    .hinting("see its log for what it waits for"),
            );
        }
        entry
    }
}

/// Asks for the least there is, to see whether the token is taken.
async fn enter(context: &Context<'_>) -> Result<(), Failure> {
    let request = ListRegionsRequest {
        page_size: 1,
        ..ListRegionsRequest::default()
    };
    context
        .connect()
        .await?
        .regions()
        .list_regions(request)
        .await?;
    Ok(())
}
