//! `hod mix`: mixes, and what light straw-clay takes by its table.

use clap::{Args, Subcommand};
use hod_wire::v1::{
    CreateMixRequest, DensityEvidence, GetMixRequest, Ingredient, ListMixesRequest, Mix,
    MixPurpose, PartMeasure, ProportionStrawClayRequest, UpdateMixRequest,
};

use super::Context;
use super::kept::{Fields, create, kept, show, update};
use super::page::{PAGE_SIZE, all_pages};
use super::write::{
    Create, Mask, Update, Which, density, fill, number, number_or_none, pair, words,
};
use crate::fault::Failure;
use crate::name::{
    collection::{MATERIALS, MIX_TRIALS, MIXES, SITES},
    full, full_below, full_if_given,
};
use crate::output::Format;
use crate::render::straw_clay::StrawClayAnswer;

/// What can be done with mixes.
#[derive(Debug, Subcommand)]
pub enum MixCommand {
    /// List all mixes.
    List,
    /// Show a mix in full.
    Show(Which),
    /// Make a mix.
    #[command(
        before_help = "Example: hod mix create pit-cob --display-name \"Pit cob\" --part subsoil=2 --part sharp-sand=2 --bucket-l 15 --buckets-per-part 1 --density-dry-kg-m3 1600 --source \"trial of May\""
    )]
    Create(Create<MixFields>),
    /// Change what is given of a mix and leave the rest.
    #[command(before_help = "Example: hod mix update pit-cob --batch-yield-l 41")]
    Update(Update<MixFields>),
    /// Tell what a placed m3 of light straw-clay takes, by IRC 2018 Table AR103.2.3. Nothing is kept.
    #[command(before_help = "Example: hod mix straw-clay --density-kg-m3 240")]
    StrawClay(StrawClay),
}

/// Which light straw-clay.
#[derive(Debug, Args)]
pub struct StrawClay {
    /// Dry density in place, kg/m3, between 160 and 801; with its unit, as "15 pcf", it is taken to 0.01 kg/m3.
    #[arg(long, value_name = "NUMBER", value_parser = density, allow_negative_numbers = true)]
    density_kg_m3: String,
    /// How each figure came about, under it.
    #[arg(long)]
    basis: bool,
}

/// What a mix is.
#[derive(Debug, Args)]
pub struct MixFields {
    /// What people call it.
    #[arg(long, value_name = "TEXT")]
    display_name: Option<String>,
    /// A material and its parts by loose volume; once for each. On an update they replace all there are.
    #[arg(long = "part", value_name = "MATERIAL=PARTS", value_parser = pair)]
    ingredients: Vec<(String, String)>,
    /// What it is for.
    #[arg(long, value_name = "WORD", value_parser = words::<MixPurpose>())]
    purpose: Option<i32>,
    /// What its parts are measured in.
    #[arg(long, value_name = "WORD", value_parser = words::<PartMeasure>())]
    measure: Option<i32>,
    /// What the bucket in use, or whatever `--measure` says, holds as it is filled, l.
    #[arg(long, value_name = "NUMBER", value_parser = number, allow_negative_numbers = true)]
    bucket_l: Option<String>,
    /// Buckets, or whatever `--measure` says, to a part in one batch.
    #[arg(long, value_name = "NUMBER", value_parser = number, allow_negative_numbers = true)]
    buckets_per_part: Option<String>,
    /// Dry density in place, kg/m3.
    #[arg(long, value_name = "NUMBER", value_parser = number, allow_negative_numbers = true)]
    density_dry_kg_m3: Option<String>,
    /// Whether that density was measured or is assumed.
    #[arg(long, value_name = "WORD", value_parser = words::<DensityEvidence>())]
    density_evidence: Option<i32>,
    /// Placed volume of one batch as measured at a site, l; left out or `none`: by mass balance.
    #[arg(long, value_name = "NUMBER", value_parser = number_or_none, allow_negative_numbers = true)]
    batch_yield_l: Option<String>,
    /// The straw.
    #[arg(long, value_name = "MATERIAL")]
    straw_material: Option<String>,
    /// Straw, kg to a placed m3.
    #[arg(long, value_name = "NUMBER", value_parser = number, allow_negative_numbers = true)]
    straw_kg_per_m3: Option<String>,
    /// The water.
    #[arg(long, value_name = "MATERIAL")]
    water_material: Option<String>,
    /// Water in the mix when placed, percent of its dry mass.
    #[arg(long, value_name = "NUMBER", value_parser = number, allow_negative_numbers = true)]
    water_percent: Option<String>,
    /// Earth lost between the heap and the wall, percent of the placed volume.
    #[arg(long, value_name = "NUMBER", value_parser = number, allow_negative_numbers = true)]
    waste_percent: Option<String>,
    /// The method by which it is mixed as a rule, such as `tarp`; empty: the job's own.
    #[arg(long, value_name = "WORD")]
    mixing: Option<String>,
    /// The trial that justified it, as SITE/ID; empty: not tested, which an estimate says first.
    #[arg(long, value_name = "SITE/ID", value_parser = trial)]
    trial: Option<String>,
    /// Where the recipe comes from.
    #[arg(long, value_name = "TEXT")]
    source: Option<String>,
}

impl Fields<Mix> for MixFields {
    fn fill(self, mix: &mut Mix) -> Mask {
        let mut mask = Mask::default();
        fill!(mask, "", mix from self {
            display_name, purpose, measure, bucket_l, buckets_per_part, density_dry_kg_m3, density_evidence, batch_yield_l,
            straw_kg_per_m3, water_percent, waste_percent, mixing, trial, source,
        });
        let ingredients = self.ingredients.into_iter().map(ingredient).collect();
        mask.replace("ingredients", &mut mix.ingredients, ingredients);
        let straw_material = full_if_given(MATERIALS, self.straw_material);
        mask.set("straw_material", &mut mix.straw_material, straw_material);
        let water_material = full_if_given(MATERIALS, self.water_material);
        mask.set("water_material", &mut mix.water_material, water_material);
        mask
    }
}

kept! {
    Mix in MIXES, "mix": mixes,
    get_mix(GetMixRequest),
    create_mix(CreateMixRequest { mix_id, mix }),
    update_mix(UpdateMixRequest { mix }),
    next |id| format!("hod takeoff FILE, with mix = \"{id}\" in it")
}

impl MixCommand {
    pub(super) async fn run(self, context: Context<'_>) -> Result<(), Failure> {
        match self {
            Self::List => list(context).await,
            Self::Show(which) => show::<Mix>(which, context).await,
            Self::Create(given) => create(given, context).await,
            Self::Update(given) => update(given, context).await,
            Self::StrawClay(asked) => straw_clay(asked, context).await,
        }
    }
}

async fn list(mut context: Context<'_>) -> Result<(), Failure> {
    let mut stub = context.connect().await?.mixes();
    let all = all_pages(async |page_token| {
        let page_size = PAGE_SIZE;
        let request = ListMixesRequest {
            page_size,
            page_token,
        };
        let page = stub.list_mixes(request).await?.into_inner();
        Ok((page.mixes, page.next_page_token))
    });
    context.output.list(&all.await?)
}

async fn straw_clay(asked: StrawClay, context: Context<'_>) -> Result<(), Failure> {
    let mut stub = context.connect().await?.mixes();
    let StrawClay {
        density_kg_m3,
        basis: with_basis,
    } = asked;
    let request = ProportionStrawClayRequest { density_kg_m3 };
    let takes = stub.proportion_straw_clay(request).await?.into_inner();
    let is_for_people = context.output.format() == Format::Table;
    let mut answers = context.output.answers(false);
    let answer = StrawClayAnswer { takes, with_basis };
    answers.answer(&answer)?;
    if is_for_people {
        answers.printer().say(&format!("next: {}", answer.next()));
    }
    answers.close()
}

fn ingredient((material, parts): (String, String)) -> Ingredient {
    Ingredient {
        material: full(MATERIALS, &material),
        parts,
    }
}

/// Reads the name of a trial at a site; an empty one takes it away.
fn trial(text: &str) -> Result<String, String> {
    if text.is_empty() {
        return Ok(String::new());
    }
    full_below(SITES, MIX_TRIALS, text)
        .ok_or_else(|| "write SITE/ID, such as long-acre/april-2".to_owned())
}
