//! `hod crew`.

use clap::{Args, Subcommand};
use hod_wire::v1::{
    CreateCrewRequest, Crew, GetCrewRequest, GradeShare, ListCrewsRequest, UpdateCrewRequest,
};

use super::Context;
use super::kept::{Fields, create, kept, show, update};
use super::page::{PAGE_SIZE, all_pages};
use super::write::{Create, Mask, Update, Which, fill, number, pair};
use crate::fault::Failure;
use crate::name::collection::CREWS;

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

impl Fields<Crew> for CrewFields {
    fn fill(self, crew: &mut Crew) -> Mask {
        let mut mask = Mask::default();
        fill!(mask, "", crew from self { display_name, hours_factor, source });
        let make_up = self.make_up.into_iter().map(share).collect();
        mask.replace("make_up", &mut crew.make_up, make_up);
        mask
    }
}

kept! {
    Crew in CREWS, "crew": crews,
    get_crew(GetCrewRequest),
    create_crew(CreateCrewRequest { crew_id, crew }),
    update_crew(UpdateCrewRequest { crew }),
    next |id| format!("hod labour-rate list REGION, to see that each grade of {id} has a rate")
}

impl CrewCommand {
    pub(super) async fn run(self, context: Context<'_>) -> Result<(), Failure> {
        match self {
            Self::List => list(context).await,
            Self::Show(which) => show::<Crew>(which, context).await,
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

/// A grade with its share of the hours.
pub(super) fn share((grade, share_percent): (String, String)) -> GradeShare {
    GradeShare {
        grade,
        share_percent,
    }
}
