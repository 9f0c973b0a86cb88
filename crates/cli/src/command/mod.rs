//! The commands, a file to each noun: what they take, the call they make, the answer they print.
//! What they share is here and in `subject`, `write` and `page`.

mod completions;
mod constant;
mod crew;
mod estimate;
mod job;
mod kept;
mod labour_rate;
mod man;
mod material;
mod mix;
mod page;
mod price;
mod quote;
mod region;
mod rules;
mod server;
mod site;
mod soil;
mod subject;
mod takeoff;
mod trial;
mod write;

use clap::Subcommand;

use crate::connect::{self, Access, Connection};
use crate::exit;
use crate::fault::Failure;
use crate::output::Output;

/// What a command works with.
pub struct Context<'a> {
    /// The way to the server.
    pub access: &'a Access,
    /// The way out.
    pub output: Output<'a>,
}

impl Context<'_> {
    async fn connect(&self) -> Result<Connection, Failure> {
        connect::connect(self.access).await
    }

    async fn connect_for_long_work(&self) -> Result<Connection, Failure> {
        connect::connect_for_long_work(self.access).await
    }
}

/// What `hod` can do.
#[derive(Debug, Subcommand)]
pub enum Command {
    /// Measure jobs: volumes, faces, lifts and batches, without any money.
    #[command(before_help = "Example: hod takeoff studio.toml --lifts")]
    Takeoff(takeoff::TakeoffCommand),
    /// Price jobs on a date, and read the estimates that were kept.
    #[command(before_help = "Example: hod estimate studio.toml --on 2026-05-01 --basis")]
    Estimate(estimate::EstimateCommand),
    /// Jobs: check a job file, store it, read what is stored.
    #[command(before_help = "Example: hod job add studio.toml --id long-acre-studio", after_long_help = job::example())]
    #[command(subcommand)]
    Job(job::JobCommand),
    /// Regions: where a set of prices and labour rates holds.
    #[command(before_help = "Example: hod region list")]
    #[command(subcommand)]
    Region(region::RegionCommand),
    /// Sites: places where the firm builds.
    #[command(before_help = "Example: hod site show long-acre")]
    #[command(subcommand)]
    Site(site::SiteCommand),
    /// Soil tests: what the ground at a site is made of.
    #[command(before_help = "Example: hod soil list long-acre")]
    #[command(subcommand)]
    Soil(soil::SoilCommand),
    /// Mix trials: what trial mixes of a site's soil did on the bench.
    #[command(before_help = "Example: hod trial list long-acre")]
    #[command(subcommand)]
    Trial(trial::TrialCommand),
    /// Rule packs: limits that codes and standards set, each with where it stands.
    #[command(before_help = "Example: hod rules show cob")]
    #[command(subcommand)]
    Rules(rules::RulesCommand),
    /// Materials: what is bought or dug, and what it weighs.
    #[command(before_help = "Example: hod material list")]
    #[command(subcommand)]
    Material(material::MaterialCommand),
    /// Prices: what a material costs in a region from a date.
    #[command(before_help = "Example: hod price list west --on 2026-05-01")]
    #[command(subcommand)]
    Price(price::PriceCommand),
    /// Labour rates: what an hour of a grade costs in a region from a date.
    #[command(before_help = "Example: hod labour-rate list west --on 2026-05-01")]
    #[command(subcommand)]
    LabourRate(labour_rate::LabourRateCommand),
    /// Quotes: what is issued to clients and does not change.
    #[command(before_help = "Example: hod quote list --state issued")]
    #[command(subcommand)]
    Quote(quote::QuoteCommand),
    /// Mixes: recipes, in parts.
    #[command(before_help = "Example: hod mix show house-cob")]
    #[command(subcommand)]
    Mix(mix::MixCommand),
    /// Crews: who works, by grade.
    #[command(before_help = "Example: hod crew list")]
    #[command(subcommand)]
    Crew(crew::CrewCommand),
    /// Labour constants: hours to a unit of work.
    #[command(before_help = "Example: hod constant list --task mix")]
    #[command(subcommand)]
    Constant(constant::ConstantCommand),
    /// The server that does the work.
    #[command(before_help = "Example: hod server status")]
    #[command(subcommand)]
    Server(server::ServerCommand),
    /// Print what a shell needs to complete commands and flags.
    #[command(
        before_help = "Example: hod completions bash > ~/.local/share/bash-completion/completions/hod"
    )]
    Completions(completions::CompletionsCommand),
    /// Write the manual pages into a folder.
    #[command(before_help = "Example: hod man ~/.local/share/man/man1")]
    Man(man::ManCommand),
}

impl Command {
    /// Does it. A runtime is made only for what calls the server.
    pub fn run(self, context: Context<'_>) -> Result<(), Failure> {
        match self {
            Self::Completions(command) => command.run(context),
            Self::Man(command) => command.run(context),
            Self::Job(job::JobCommand::Check(command)) => command.run(context),
            calling => {
                let runtime = tokio::runtime::Builder::new_current_thread()
                    .enable_all()
                    .build()
                    .map_err(|refusal| Failure::plain(exit::UNEXPECTED, refusal.to_string()))?;
                runtime.block_on(calling.call(context))
            }
        }
    }

    async fn call(self, context: Context<'_>) -> Result<(), Failure> {
        match self {
            Self::Takeoff(command) => command.run(context).await,
            Self::Estimate(command) => command.run(context).await,
            Self::Job(command) => command.run(context).await,
            Self::Region(command) => command.run(context).await,
            Self::Site(command) => command.run(context).await,
            Self::Soil(command) => command.run(context).await,
            Self::Trial(command) => command.run(context).await,
            Self::Rules(command) => command.run(context).await,
            Self::Material(command) => command.run(context).await,
            Self::Price(command) => command.run(context).await,
            Self::LabourRate(command) => command.run(context).await,
            Self::Quote(command) => command.run(context).await,
            Self::Mix(command) => command.run(context).await,
            Self::Crew(command) => command.run(context).await,
            Self::Constant(command) => command.run(context).await,
            Self::Server(command) => command.run(context).await,
            Self::Completions(command) => command.run(context),
            Self::Man(command) => command.run(context),
        }
    }
}
