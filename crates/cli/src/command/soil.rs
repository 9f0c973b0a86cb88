//! `hod soil`: soil tests, and the trial mixes that they lead to. A test is never changed; a better one is a new test.

use clap::{Args, Subcommand};
use hod_wire::v1::propose_trial_mixes_request::Soil;
use hod_wire::v1::{
    CreateSoilTestRequest, GetSoilTestRequest, JarProtocol, ListSoilTestsRequest,
    ProposeTrialMixesRequest, SoilObservation, SoilTest, SoilTestMethod,
};

use super::Context;
use super::page::{PAGE_SIZE, all_pages};
use super::write::{Writing, date, number, words};
use crate::exit;
use crate::fault::Failure;
use crate::name::collection::{MATERIALS, SITES, SOIL_TESTS};
use crate::name::{full, full_below};
use crate::render::trial_mixes::TrialMixesAnswer;

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
    /// Tell how much sand a soil wants, and the trial mixes to make. Nothing is kept: the trial decides.
    #[command(
        before_help = "Example: hod soil propose long-acre/pit-1 --soil-material site-subsoil --sand-material sharp-sand --target-clay-percent 17.5"
    )]
    Propose(ProposeTrials),
}

/// Which trial mixes to propose.
#[derive(Debug, Args)]
pub struct ProposeTrials {
    /// A test of the soil that has shares, as SITE/ID.
    #[arg(value_name = "SITE/ID", required_unless_present = "clay_percent")]
    test: Option<String>,
    /// In the place of a test: the soil's clay, percent of its dry mass.
    #[arg(long, value_name = "NUMBER", value_parser = number, allow_negative_numbers = true, conflicts_with = "test")]
    clay_percent: Option<String>,
    /// The soil as it is measured, with its loose density.
    #[arg(long, value_name = "MATERIAL")]
    soil_material: String,
    /// The sand, with its loose density, its bulking and its own clay.
    #[arg(long, value_name = "MATERIAL")]
    sand_material: String,
    /// Clay aimed at, percent of the dry mineral mass; 17.5 when left out.
    #[arg(long, value_name = "NUMBER", value_parser = number, allow_negative_numbers = true)]
    target_clay_percent: Option<String>,
    /// Percentage points of clay from one trial to the next; 2.5 when left out.
    #[arg(long, value_name = "NUMBER", value_parser = number, allow_negative_numbers = true)]
    step_percent: Option<String>,
    /// Trials on either side of the target, 0 to 4; 2 when left out.
    #[arg(long, value_name = "COUNT", allow_negative_numbers = true)]
    step_count: Option<i32>,
    /// How each ratio came about, under it.
    #[arg(long)]
    basis: bool,
}

impl ProposeTrials {
    fn request(&self) -> Result<ProposeTrialMixesRequest, Failure> {
        let soil = match (&self.test, &self.clay_percent) {
            (Some(test), _) => Some(Soil::SoilTest(test_name(test)?)),
            (None, Some(percent)) => Some(Soil::ClayPercent(percent.clone())),
            (None, None) => None,
        };
        Ok(ProposeTrialMixesRequest {
            soil,
            soil_material: full(MATERIALS, &self.soil_material),
            sand_material: full(MATERIALS, &self.sand_material),
            target_clay_percent: self.target_clay_percent.clone().unwrap_or_default(),
            step_percent: self.step_percent.clone().unwrap_or_default(),
            step_count: self.step_count,
        })
    }
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
    /// Jar: after shaking, the sand was marked at so many seconds.
    #[arg(long, value_name = "NUMBER", value_parser = number, allow_negative_numbers = true)]
    sand_mark_s: Option<String>,
    /// Jar: the silt, at so many minutes.
    #[arg(long, value_name = "NUMBER", value_parser = number, allow_negative_numbers = true)]
    silt_mark_min: Option<String>,
    /// Jar: the clay, at so many hours.
    #[arg(long, value_name = "NUMBER", value_parser = number, allow_negative_numbers = true)]
    clay_mark_h: Option<String>,
    /// Jar: from the top of the water to the bottom, mm.
    #[arg(long, value_name = "NUMBER", value_parser = number, allow_negative_numbers = true)]
    water_height_mm: Option<String>,
    /// Jar: temperature of the water, degrees Celsius; 20 when left out.
    #[arg(long, value_name = "NUMBER", value_parser = number, allow_negative_numbers = true)]
    water_celsius: Option<String>,
    /// A damp ribbon pressed over the finger broke at so many mm.
    #[arg(long, value_name = "NUMBER", value_parser = number, allow_negative_numbers = true)]
    ribbon_mm: Option<String>,
    /// What a damp ball did that was dropped from shoulder height.
    #[arg(long, value_name = "TEXT")]
    drop_note: Option<String>,
    /// What was seen of it that it must not be built with, or only with care; once for each.
    #[arg(long = "observation", value_name = "WORD", value_parser = words::<SoilObservation>())]
    observations: Vec<i32>,
    /// What was seen and smelt.
    #[arg(long, value_name = "TEXT")]
    note: Option<String>,
    /// How it is written.
    #[command(flatten)]
    writing: Writing,
}

impl CreateSoil {
    /// How the jar was read, when any of it is told.
    fn protocol(&self) -> Result<Option<JarProtocol>, Failure> {
        let told = [
            &self.sand_mark_s,
            &self.silt_mark_min,
            &self.clay_mark_h,
            &self.water_height_mm,
            &self.water_celsius,
        ];
        if told.iter().all(|each| each.is_none()) {
            return Ok(None);
        }
        let needed = [
            ("--sand-mark-s", &self.sand_mark_s),
            ("--silt-mark-min", &self.silt_mark_min),
            ("--water-height-mm", &self.water_height_mm),
        ];
        let lacks = needed.iter().filter(|(_, given)| given.is_none());
        let lacks: Vec<&str> = lacks.map(|(flag, _)| *flag).collect();
        if !lacks.is_empty() {
            let found = format!(
                "how the jar was read is told without {}; it needs all three of --sand-mark-s, --silt-mark-min and --water-height-mm, or is left out",
                lacks.join(" and ")
            );
            return Err(Failure::plain(exit::USAGE, found));
        }
        let [
            sand_mark_s,
            silt_mark_min,
            clay_mark_h,
            water_height_mm,
            water_celsius,
        ] = told.map(|each| each.clone().unwrap_or_default());
        Ok(Some(JarProtocol {
            sand_mark_s,
            silt_mark_min,
            clay_mark_h,
            water_height_mm,
            water_celsius,
        }))
    }

    fn request(self) -> Result<CreateSoilTestRequest, Failure> {
        let jar_protocol = self.protocol()?;
        Ok(CreateSoilTestRequest {
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
                jar_protocol,
                ribbon_mm: self.ribbon_mm.unwrap_or_default(),
                drop_note: self.drop_note.unwrap_or_default(),
                observations: self.observations,
                note: self.note.unwrap_or_default(),
                ..SoilTest::default()
            }),
        })
    }
}

impl SoilCommand {
    pub(super) async fn run(self, context: Context<'_>) -> Result<(), Failure> {
        match self {
            Self::List { site } => list(site, context).await,
            Self::Show { test } => show(test, context).await,
            Self::Create(given) => create(*given, context).await,
            Self::Propose(asked) => propose(asked, context).await,
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
    let name = test_name(&test)?;
    let test = stub.get_soil_test(GetSoilTestRequest { name }).await?;
    context.output.one(&test.into_inner())
}

async fn create(create: CreateSoil, mut context: Context<'_>) -> Result<(), Failure> {
    let done = create.writing.done("recorded");
    let next = format!("hod soil list {}", create.site);
    let request = create.request()?;
    let mut stub = context.connect().await?.soil_tests();
    let test = stub.create_soil_test(request).await?;
    context.output.written(&test.into_inner(), &done, &next)
}

async fn propose(asked: ProposeTrials, context: Context<'_>) -> Result<(), Failure> {
    let request = asked.request()?;
    let mut stub = context.connect().await?.soil_tests();
    let proposal = stub.propose_trial_mixes(request).await?.into_inner();
    let mut answers = context.output.answers(false);
    answers.answer(&TrialMixesAnswer {
        proposal,
        with_basis: asked.basis,
    })?;
    answers.close()
}

/// The resource name of a test that is given as SITE/ID.
fn test_name(test: &str) -> Result<String, Failure> {
    full_below(SITES, SOIL_TESTS, test).ok_or_else(|| {
        Failure::plain(
            exit::USAGE,
            format!("{test} is not a soil test; write SITE/ID"),
        )
    })
}
