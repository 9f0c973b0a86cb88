//! `hod job`: job files and stored jobs.

use clap::{Args, Subcommand};
use hod_wire::v1::{
    CreateJobRequest, DeleteJobRequest, GetJobRequest, Job, ListJobsRequest, UpdateJobRequest, Wall,
};
use prost_types::FieldMask;

use super::Context;
use super::page::{PAGE_SIZE, all_pages};
use super::subject::first_failure;
use super::write::{Which, Writing};
use crate::fault::Failure;
use crate::job_file::{self, JobFile};
use crate::name::{
    collection::{JOBS, SITES},
    full, full_if_given, short,
};
use crate::output::{Answer, Format};
use crate::render::record::Record;
use crate::text::counted;

/// A job file, for the help.
pub(super) const EXAMPLE: &str = "A job file is TOML. Numbers keep their digits; a length may also be text with its unit, such as \"20'4\\\"\".
Things of the firm's are named by their ids. Sections may stand in any order below the keys of the job itself.

  name = \"Garden room\"
  site = \"long-acre\"          # for an estimate
  system = \"cob\"              # adobe, rammed-earth, light-straw-clay, straw-bale, wattle-and-daub
  mix = \"house-cob\"           # for batches, and for an estimate
  mixing = \"tarp\"             # for an estimate, where the mix names none
  crew = \"practised\"          # for an estimate
  paring_mm = 25              # parings_reused_percent, waste_percent, stem_height_m, lift_height_m likewise
  measurement = \"is-1200\"     # rules that payment follows; orders never do

  [[wall]]
  id = \"south\"
  length_m = 6.20             # on the centre line; or radius_m and bend_deg
  height_m = 2.40             # height_end_m, or peak_m and peak_at_m, when not level
  thickness_mm = 450          # thickness_top_mm and batter = both, outer or inner
  ends = \"corner:east\"        # free, corner:ID or into:ID; starts likewise
  turn_deg = 90               # into_at_m, start_turn_deg and start_into_at_m likewise
  build = \"bales\"             # or only a system, when it is not the job's own

  [[wall.above]]              # from a height up it is built of something else
  from_m = 1.20
  build = \"adobes\"

  [[wall.opening]]
  id = \"door\"
  shape = \"rectangle\"         # segmental (with rise_m), semicircular, pointed, circle
  width_m = 0.90
  height_m = 2.00
  sill_m = 0.00               # negative goes down into the stem wall
  at_m = 1.10
  splay_mm = 0
  lintel_material = \"oak-lintel\"  # with bearing_mm and lintel_count; sill_, frame_, arch_form_material

  [[wall.niche]]              # as an opening, with depth_mm and face = inner or outer
  [[wall.inclusion]]          # id, count, volume_l
  [[wall.buried]]             # id, height_m, count, material: told with its lift
  [[wall.finish]]             # or [[finish]], for every wall that has none on that face
  face = \"inner\"
  coats = [\"clay-base:12\", \"clay-finish:3\"]  # MIX:MM from the wall outward; levelling_mm, reveal_percent

  [[build]]                   # id, system, mix, mixing, lift_height_m, paring_mm, breakage_percent
  id = \"adobes\"               # adobe: piece_material, mortar_mix, joint_mm
  system = \"adobe\"            # bales: piece_material, bale_lay, settling_percent, tie_material, ties_per_piece
  piece_material = \"adobe\"    # wattle: stave_ and rod_material, stave_ and rod_spacing_mm, wattle_percent
  mortar_mix = \"mud-mortar\"   # rammed earth, straw-clay: form_material, form_use_count
  joint_mm = 15

  [stem_wall]                 # system = stone-in-mortar (stone_material, mortar_mix, mortar_percent)
                              # or bags (bag_material, fill_mix); thickness_mm, damp_course_material
  [trench]                    # width_mm, depth_mm, fill_mix; drain_material, fabric_material
  [[floor]]                   # id, layers as coats, area_m2 or length_m and width_m or inside = a wall's id;
                              # sheet_material, lap_percent
  [[oven]]                    # id, inner_diameter_m, door_width_m, layers from the inside out; dome_height_m,
                              # door_height_m, base_layers, form_mix
  [ground]                    # dig_area_m2, topsoil_mm, subsoil_mm, soil_test, tip_material, swell_percent";

/// What can be done with jobs.
#[derive(Debug, Subcommand)]
pub enum JobCommand {
    /// Check how job files are written; asks no server.
    #[command(before_help = "Example: hod job check studio.toml")]
    Check(CheckJob),
    /// List the stored jobs.
    List {
        /// Only at this site.
        #[arg(long, value_name = "ID")]
        site: Option<String>,
    },
    /// Show a stored job in full.
    #[command(before_help = "Example: hod job show long-acre-studio --format json")]
    Show(Which),
    /// Store the job of a file.
    #[command(before_help = "Example: hod job add studio.toml --id long-acre-studio")]
    Add(AddJob),
    /// Put the job of a file in the place of a stored one.
    #[command(before_help = "Example: hod job update long-acre-studio studio.toml")]
    Update(UpdateJob),
    /// Delete a stored job.
    #[command(before_help = "Example: hod job delete long-acre-studio")]
    Delete(DeleteJob),
}

/// Files to be checked.
#[derive(Debug, Args)]
pub struct CheckJob {
    /// Job files, or `-` for standard input.
    #[arg(value_name = "FILE", required = true)]
    files: Vec<String>,
}

/// A job to be stored.
#[derive(Debug, Args)]
pub struct AddJob {
    /// The job file, or `-` for standard input.
    file: String,
    /// The id to store it under: lower-case letters, digits and hyphens, starting with a letter.
    #[arg(long, value_name = "ID")]
    id: String,
    /// How it is written.
    #[command(flatten)]
    writing: Writing,
}

/// A stored job to be replaced.
#[derive(Debug, Args)]
pub struct UpdateJob {
    /// The stored job.
    #[arg(value_name = "ID")]
    id: String,
    /// The job file, or `-` for standard input.
    file: String,
    /// The tag of the version you read; refused when it has changed since.
    #[arg(long, value_name = "TAG")]
    etag: Option<String>,
    /// How it is written.
    #[command(flatten)]
    writing: Writing,
}

/// A stored job to be deleted.
#[derive(Debug, Args)]
pub struct DeleteJob {
    /// The stored job.
    #[arg(value_name = "ID")]
    id: String,
    /// The tag of the version you read; refused when it has changed since.
    #[arg(long, value_name = "TAG")]
    etag: Option<String>,
    /// How it is written.
    #[command(flatten)]
    writing: Writing,
}

impl CheckJob {
    pub(super) fn run(self, context: Context<'_>) -> Result<(), Failure> {
        let mut answers = context.output.answers(1 < self.files.len());
        let mut codes = Vec::new();
        for file in &self.files {
            match job_file::read(file) {
                Ok(read) => answers.answer(&Checked(read))?,
                Err(failure) => {
                    codes.push(failure.code);
                    answers.failed(file, &failure)?;
                }
            }
        }
        answers.close()?;
        first_failure(&codes)
    }
}

impl JobCommand {
    pub(super) async fn run(self, context: Context<'_>) -> Result<(), Failure> {
        match self {
            Self::Check(check) => check.run(context),
            Self::List { site } => list(site, context).await,
            Self::Show(which) => show(which, context).await,
            Self::Add(add) => add.run(context).await,
            Self::Update(update) => update.run(context).await,
            Self::Delete(delete) => delete.run(context).await,
        }
    }
}

async fn list(site: Option<String>, mut context: Context<'_>) -> Result<(), Failure> {
    let mut stub = context.connect().await?.jobs();
    let site = full_if_given(SITES, site).unwrap_or_default();
    let all = all_pages(async |page_token| {
        let request = ListJobsRequest {
            page_size: PAGE_SIZE,
            page_token,
            site: site.clone(),
        };
        let page = stub.list_jobs(request).await?.into_inner();
        Ok((page.jobs, page.next_page_token))
    });
    context.output.list(&all.await?)
}

async fn show(which: Which, mut context: Context<'_>) -> Result<(), Failure> {
    let name = full(JOBS, &which.id);
    let mut stub = context.connect().await?.jobs();
    let job = stub.get_job(GetJobRequest { name }).await?;
    context.output.one(&job.into_inner())
}

impl AddJob {
    async fn run(self, mut context: Context<'_>) -> Result<(), Failure> {
        let JobFile { job, places, .. } = job_file::read(&self.file)?;
        let mut stub = context.connect().await?.jobs();
        let request = CreateJobRequest {
            job_id: self.id,
            job: Some(job),
            request_id: self.writing.request_id(),
            validate_only: self.writing.dry_run,
        };
        let stored = stub.create_job(request).await;
        let job = stored.map_err(|status| Failure::from(status).placed(&places))?;
        let job = job.into_inner();
        let next = format!("hod estimate {} --on DATE", short(&job.name));
        context
            .output
            .written(&job, &self.writing.done("stored"), &next)
    }
}

impl UpdateJob {
    async fn run(self, mut context: Context<'_>) -> Result<(), Failure> {
        let JobFile { job, places, .. } = job_file::read(&self.file)?;
        let mut stub = context.connect().await?.jobs();
        let job = Job {
            name: full(JOBS, &self.id),
            etag: self.etag.unwrap_or_default(),
            ..job
        };
        let request = UpdateJobRequest {
            job: Some(job),
            // A file is a whole job: a key taken out of it is taken out of what is stored.
            update_mask: Some(FieldMask {
                paths: vec!["*".to_owned()],
            }),
            request_id: self.writing.request_id(),
            validate_only: self.writing.dry_run,
        };
        let stored = stub.update_job(request).await;
        let job = stored.map_err(|status| Failure::from(status).placed(&places))?;
        let job = job.into_inner();
        let next = format!("hod estimate {} --on DATE", short(&job.name));
        context
            .output
            .written(&job, &self.writing.done("changed"), &next)
    }
}

impl DeleteJob {
    async fn run(self, mut context: Context<'_>) -> Result<(), Failure> {
        let mut stub = context.connect().await?.jobs();
        let name = full(JOBS, &self.id);
        let request = DeleteJobRequest {
            name: name.clone(),
            etag: self.etag.unwrap_or_default(),
            request_id: self.writing.request_id(),
            validate_only: self.writing.dry_run,
        };
        stub.delete_job(request).await?;
        let deleted = Job {
            name,
            ..Job::default()
        };
        if context.output.format() == Format::Table {
            let done = self.writing.done("deleted");
            return context.output.written(&deleted, &done, "hod job list");
        }
        context
            .output
            .record(&Record::new().text("name", &deleted.name))
    }
}

/// A file with nothing wrong in how it is written.
struct Checked(JobFile);

impl Checked {
    fn counts(&self) -> [(&'static str, usize); 7] {
        let job = &self.0.job;
        let on_walls = |count: fn(&Wall) -> usize| job.walls.iter().map(count).sum();
        [
            ("wall_count", job.walls.len()),
            ("opening_count", on_walls(|wall| wall.openings.len())),
            ("niche_count", on_walls(|wall| wall.niches.len())),
            ("inclusion_count", on_walls(|wall| wall.inclusions.len())),
            ("build_count", job.builds.len()),
            ("floor_count", job.floors.len()),
            ("oven_count", job.ovens.len()),
        ]
    }
}

impl Answer for Checked {
    fn record(&self) -> Record {
        let record = Record::new()
            .text("input", &self.0.file)
            .text("display_name", &self.0.job.display_name);
        self.counts()
            .into_iter()
            .fold(record, |record, (name, count)| {
                record.count(name, i64::try_from(count).unwrap_or(i64::MAX))
            })
    }

    fn header(&self) -> Vec<String> {
        self.record()
            .flat()
            .into_iter()
            .map(|(name, _)| name)
            .collect()
    }

    fn rows(&self) -> Vec<Vec<String>> {
        vec![
            self.record()
                .flat()
                .into_iter()
                .map(|(_, value)| value)
                .collect(),
        ]
    }

    fn table(&self) -> String {
        let counts: Vec<String> = self
            .counts()
            .into_iter()
            .filter(|(name, count)| 0 < *count || *name == "wall_count")
            .map(|(name, count)| {
                let one = name.trim_end_matches("_count");
                counted(count, one, &format!("{one}s"))
            })
            .collect();
        format!("{}: well written, {}\n", self.0.file, counts.join(", "))
    }
}
