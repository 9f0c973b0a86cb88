//! `hod soil`: soil tests. A test is never changed; a better one is a new test.

use clap::{Args, Subcommand};
use hod_wire::v1::{
    CreateSoilTestRequest, GetSoilTestRequest, ListSoilTestsRequest, SoilTest, SoilTestMethod,
};

use super::Context;
use super::page::{PAGE_SIZE, all_pages};
use super::write::{Writing, date, number, words};
use crate::exit;
use crate::fault::Failure;
use crate::name::collection::{SITES, SOIL_TESTS};
use crate::name::{full, full_below};

/// What can be done with soil tests.
#[derive(Debug, Subcommand)]
pub enum SoilCommand {
    /// List the soil tests of a site.
    List {
        /// The site.
        site: String,
    },
    /// Show a soil test in full.
    #[command(before_help = "Example: hod soil show long-acre/pit-1")]
    Show {
        /// The site and the test, as SITE/ID.
        #[arg(value_name = "SITE/ID")]
        test: String,
    },
    /// Record a soil test.
    #[command(
        before_help = "Example: hod soil create long-acre --method jar --sample-date 2026-04-11 --depth-m 0.6 --sand-mm 48 --silt-mm 21 --clay-mm 12"
    )]
    Create(Box<CreateSoil>),
}

/// A soil test to be recorded.
#[derive(Debug, Args)]
pub struct CreateSoil {
    /// The site.
    site: String,
    /// Its id; made by the server when left out.
    #[arg(long, value_name = "ID")]
    id: Option<String>,
    /// How the shares were found.
    #[arg(long, value_name = "WORD", value_parser = words::<SoilTestMethod>())]
    method: i32,
    /// The day the sample was taken, as 2026-04-11.
    #[arg(long, value_name = "DATE", value_parser = date)]
    sample_date: String,
    /// Depth below ground, m.
    #[arg(long, value_name = "NUMBER", value_parser = number, allow_negative_numbers = true)]
    depth_m: Option<String>,
    /// Jar: settled height of the sand alone, mm.
    #[arg(long, value_name = "NUMBER", value_parser = number, allow_negative_numbers = true)]
    sand_mm: Option<String>,
    /// Jar: settled height of the silt alone, mm.
    #[arg(long, value_name = "NUMBER", value_parser = number, allow_negative_numbers = true)]
    silt_mm: Option<String>,
    /// Jar: settled height of the clay alone, mm.
    #[arg(long, value_name = "NUMBER", value_parser = number, allow_negative_numbers = true)]
    clay_mm: Option<String>,
    /// Laboratory: percent sand; the three add up to 100.
    #[arg(long, value_name = "NUMBER", value_parser = number, allow_negative_numbers = true)]
    sand_percent: Option<String>,
    /// Laboratory: percent silt.
    #[arg(long, value_name = "NUMBER", value_parser = number, allow_negative_numbers = true)]
    silt_percent: Option<String>,
    /// Laboratory: percent clay.
    #[arg(long, value_name = "NUMBER", value_parser = number, allow_negative_numbers = true)]
    clay_percent: Option<String>,
    /// What was seen and smelt.
    #[arg(long, value_name = "TEXT")]
    note: Option<String>,
    /// How it is written.
    #[command(flatten)]
    writing: Writing,
}

impl CreateSoil {
    fn request(self) -> CreateSoilTestRequest {
        CreateSoilTestRequest {
            parent: full(SITES, &self.site),
            soil_test_id: self.id.unwrap_or_default(),
            request_id: self.writing.request_id(),
            validate_only: self.writing.dry_run,
            soil_test: Some(SoilTest {
                method: self.method,
                sample_date: self.sample_date,
                depth_m: self.depth_m.unwrap_or_default(),
                sand_mm: self.sand_mm.unwrap_or_default(),
                silt_mm: self.silt_mm.unwrap_or_default(),
                clay_mm: self.clay_mm.unwrap_or_default(),
                sand_percent: self.sand_percent.unwrap_or_default(),
                silt_percent: self.silt_percent.unwrap_or_default(),
                clay_percent: self.clay_percent.unwrap_or_default(),
                note: self.note.unwrap_or_default(),
                ..SoilTest::default()
            }),
        }
    }
}

impl SoilCommand {
    pub(super) async fn run(self, context: Context<'_>) -> Result<(), Failure> {
        match self {
            Self::List { site } => list(site, context).await,
            Self::Show { test } => show(test, context).await,
            Self::Create(given) => create(*given, context).await,
        }
    }
}

async fn list(site: String, mut context: Context<'_>) -> Result<(), Failure> {
    let mut stub = context.connect().await?.soil_tests();
    let parent = full(SITES, &site);
    let all = all_pages(async |page_token| {
        let request = ListSoilTestsRequest {
            parent: parent.clone(),
            page_size: PAGE_SIZE,
            page_token,
        };
        let page = stub.list_soil_tests(request).await?.into_inner();
        Ok((page.soil_tests, page.next_page_token))
    });
    context.output.list(&all.await?)
}

async fn show(test: String, mut context: Context<'_>) -> Result<(), Failure> {
    let mut stub = context.connect().await?.soil_tests();
    let name = full_below(SITES, SOIL_TESTS, &test).ok_or_else(|| {
        Failure::plain(
            exit::USAGE,
            format!("{test} is not a soil test; write SITE/ID"),
        )
    })?;
    let test = stub.get_soil_test(GetSoilTestRequest { name }).await?;
    context.output.one(&test.into_inner())
}

async fn create(create: CreateSoil, mut context: Context<'_>) -> Result<(), Failure> {
    let mut stub = context.connect().await?.soil_tests();
    let done = create.writing.done("recorded");
    let next = format!("hod soil list {}", create.site);
    let test = stub.create_soil_test(create.request()).await?;
    context.output.written(&test.into_inner(), &done, &next)
}
