//! `hod crew`.

use clap::{Args, Subcommand};
use hod_wire::v1::{
    CreateCrewRequest, Crew, GetCrewRequest, GradeShare, ListCrewsRequest, UpdateCrewRequest,
};

use super::Context;
use super::page::{PAGE_SIZE, all_pages};
use super::write::{Create, Mask, Update, Which, fill, number, pair};
use crate::fault::Failure;
use crate::name::{collection::CREWS, full, short};

/// What can be done with crews.
#[derive(Debug, Subcommand)]
pub enum CrewCommand {
    /// List all crews.
    List,
    /// Show a crew in full.
    Show(Which),
    /// Make a crew.
    #[command(
        before_help = "Example: hod crew create pair --display-name \"A pair\" --hours-factor 1 --grade lead=50 --grade practised=50 --source \"our own\""
    )]
    Create(Create<CrewFields>),
    /// Change what is given of a crew and leave the rest.
    #[command(before_help = "Example: hod crew update pair --hours-factor 1.1")]
    Update(Update<CrewFields>),
}

/// What a crew is.
#[derive(Debug, Args)]
pub struct CrewFields {
    /// What people call it.
    #[arg(long, value_name = "TEXT")]
    display_name: Option<String>,
    /// How many times the hours of a practised crew it takes.
    #[arg(long, value_name = "NUMBER", value_parser = number, allow_negative_numbers = true)]
    hours_factor: Option<String>,
    /// A grade and its percent of the hours; once for each, adding up to 100. On an update they replace all there are.
    #[arg(long = "grade", value_name = "GRADE=PERCENT", value_parser = pair)]
    make_up: Vec<(String, String)>,
    /// Where these figures come from.
    #[arg(long, value_name = "TEXT")]
    source: Option<String>,
}

impl CrewFields {
    fn fill(self, crew: &mut Crew) -> Mask {
        let mut mask = Mask::default();
        fill!(mask, "", crew from self { display_name, hours_factor, source });
        let make_up = self.make_up.into_iter().map(share).collect();
        mask.replace("make_up", &mut crew.make_up, make_up);
        mask
    }
}

impl CrewCommand {
    pub(super) async fn run(self, context: Context<'_>) -> Result<(), Failure> {
        match self {
            Self::List => list(context).await,
            Self::Show(which) => show(which, context).await,
            Self::Create(given) => create(given, context).await,
            Self::Update(given) => update(given, context).await,
        }
    }
}

async fn list(mut context: Context<'_>) -> Result<(), Failure> {
    let mut stub = context.connect().await?.crews();
    let all = all_pages(async |page_token| {
        let page_size = PAGE_SIZE;
        let request = ListCrewsRequest {
            page_size,
            page_token,
        };
        let page = stub.list_crews(request).await?.into_inner();
        Ok((page.crews, page.next_page_token))
    });
    context.output.list(&all.await?)
}

async fn show(which: Which, mut context: Context<'_>) -> Result<(), Failure> {
    let mut stub = context.connect().await?.crews();
    let name = full(CREWS, &which.id);
    let crew = stub.get_crew(GetCrewRequest { name }).await?;
    context.output.one(&crew.into_inner())
}

async fn create(create: Create<CrewFields>, mut context: Context<'_>) -> Result<(), Failure> {
    let mut stub = context.connect().await?.crews();
    let mut crew = Crew::default();
    create.fields.fill(&mut crew);
    let request = CreateCrewRequest {
        crew_id: create.id,
        crew: Some(crew),
        request_id: create.writing.request_id(),
        validate_only: create.writing.dry_run,
    };
    let crew = stub.create_crew(request).await?.into_inner();
    let next = format!(
        "hod labour-rate list REGION, to see that each grade of {} has a rate",
        short(&crew.name)
    );
    context
        .output
        .written(&crew, &create.writing.done("made"), &next)
}

async fn update(update: Update<CrewFields>, mut context: Context<'_>) -> Result<(), Failure> {
    let mut stub = context.connect().await?.crews();
    let mut crew = Crew {
        name: full(CREWS, &update.id),
        etag: update.etag.unwrap_or_default(),
        ..Crew::default()
    };
    let update_mask = update.fields.fill(&mut crew).named()?;
    let request = UpdateCrewRequest {
        crew: Some(crew),
        update_mask,
        request_id: update.writing.request_id(),
        validate_only: update.writing.dry_run,
    };
    let crew = stub.update_crew(request).await?.into_inner();
    let next = format!("hod crew show {}", short(&crew.name));
    context
        .output
        .written(&crew, &update.writing.done("changed"), &next)
}

/// A grade with its share of the hours.
pub(super) fn share((grade, share_percent): (String, String)) -> GradeShare {
    GradeShare {
        grade,
        share_percent,
    }
}
