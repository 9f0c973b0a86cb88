//! `hod constant`.

use clap::{Args, Subcommand};
use hod_wire::v1::{
    CreateLabourConstantRequest, Driver, GetLabourConstantRequest, LabourConstant,
    ListLabourConstantsRequest, Task, UpdateLabourConstantRequest,
};

use super::Context;
use super::crew::share;
use super::kept::{Fields, create, kept, show, update};
use super::page::{PAGE_SIZE, all_pages};
use super::write::{Create, Mask, Update, Which, fill, number, pair, words};
use crate::fault::Failure;
use crate::name::collection::LABOUR_CONSTANTS;

/// What can be done with labour constants.
#[derive(Debug, Subcommand)]
pub enum ConstantCommand {
    /// List all labour constants, or those of a task.
    List {
        /// Only this task.
        #[arg(long, value_name = "WORD", value_parser = words::<Task>())]
        task: Option<i32>,
    },
    /// Show a labour constant in full.
    Show(Which),
    /// Make a labour constant.
    #[command(
        before_help = "Example: hod constant create mix-tarp --display-name \"Mix on a tarp\" --task mix --method tarp --driver batch --low-hours 0.4 --likely-hours 0.5 --high-hours 0.8 --source \"our own\""
    )]
    Create(Create<ConstantFields>),
    /// Change what is given of a labour constant and leave the rest.
    #[command(before_help = "Example: hod constant update mix-tarp --likely-hours 0.55")]
    Update(Update<ConstantFields>),
}

/// What a labour constant is.
#[derive(Debug, Args)]
pub struct ConstantFields {
    /// What people call it.
    #[arg(long, value_name = "TEXT")]
    display_name: Option<String>,
    /// What is done.
    #[arg(long, value_name = "WORD", value_parser = words::<Task>())]
    task: Option<i32>,
    /// The method of mixing it holds for, such as `tarp`; left out: any without one of its own.
    #[arg(long, value_name = "WORD")]
    method: Option<String>,
    /// What the hours are counted by.
    #[arg(long, value_name = "WORD", value_parser = words::<Driver>())]
    driver: Option<i32>,
    /// Person-hours to a unit for a practised crew, at the least.
    #[arg(long, value_name = "NUMBER", value_parser = number, allow_negative_numbers = true)]
    low_hours: Option<String>,
    /// The same, as a rule: what an estimate uses.
    #[arg(long, value_name = "NUMBER", value_parser = number, allow_negative_numbers = true)]
    likely_hours: Option<String>,
    /// The same, at the most.
    #[arg(long, value_name = "NUMBER", value_parser = number, allow_negative_numbers = true)]
    high_hours: Option<String>,
    /// A grade and its percent of the hours, where it is not the crew's own make-up.
    #[arg(long = "grade", value_name = "GRADE=PERCENT", value_parser = pair)]
    make_up: Vec<(String, String)>,
    /// Where the hours come from.
    #[arg(long, value_name = "TEXT")]
    source: Option<String>,
}

impl Fields<LabourConstant> for ConstantFields {
    fn fill(self, labour_constant: &mut LabourConstant) -> Mask {
        let mut mask = Mask::default();
        fill!(mask, "", labour_constant from self {
            display_name, task, method, driver, low_hours, likely_hours, high_hours, source,
        });
        let make_up = self.make_up.into_iter().map(share).collect();
        mask.replace("make_up", &mut labour_constant.make_up, make_up);
        mask
    }
}

kept! {
    LabourConstant in LABOUR_CONSTANTS, "constant": labour_constants,
    get_labour_constant(GetLabourConstantRequest),
    create_labour_constant(CreateLabourConstantRequest { labour_constant_id, labour_constant }),
    update_labour_constant(UpdateLabourConstantRequest { labour_constant }),
    next |id| format!("hod constant list, to see what else the work takes beside {id}")
}

impl ConstantCommand {
    pub(super) async fn run(self, context: Context<'_>) -> Result<(), Failure> {
        match self {
            Self::List { task } => list(task, context).await,
            Self::Show(which) => show::<LabourConstant>(which, context).await,
            Self::Create(given) => create(given, context).await,
            Self::Update(given) => update(given, context).await,
        }
    }
}

async fn list(task: Option<i32>, mut context: Context<'_>) -> Result<(), Failure> {
    let mut stub = context.connect().await?.labour_constants();
    let all = all_pages(async |page_token| {
        let page_size = PAGE_SIZE;
        let request = ListLabourConstantsRequest {
            page_size,
            page_token,
            task: task.unwrap_or_default(),
        };
        let page = stub.list_labour_constants(request).await?.into_inner();
        Ok((page.labour_constants, page.next_page_token))
    });
    context.output.list(&all.await?)
}
