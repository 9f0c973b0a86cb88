//! `hod mix`.

use clap::{Args, Subcommand};
use hod_wire::v1::{
    CreateMixRequest, GetMixRequest, Ingredient, ListMixesRequest, Mix, UpdateMixRequest,
};

use super::Context;
use super::page::{PAGE_SIZE, all_pages};
use super::write::{Create, Mask, Update, Which, fill, number, number_or_none, pair};
use crate::fault::Failure;
use crate::name::{
    collection::{MATERIALS, MIXES},
    full, full_if_given, short,
};

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
    /// What the bucket in use holds, as it is filled, l.
    #[arg(long, value_name = "NUMBER", value_parser = number, allow_negative_numbers = true)]
    bucket_l: Option<String>,
    /// Buckets to a part in one batch.
    #[arg(long, value_name = "NUMBER", value_parser = number, allow_negative_numbers = true)]
    buckets_per_part: Option<String>,
    /// Dry density in place, kg/m3.
    #[arg(long, value_name = "NUMBER", value_parser = number, allow_negative_numbers = true)]
    density_dry_kg_m3: Option<String>,
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
    /// Where the recipe comes from.
    #[arg(long, value_name = "TEXT")]
    source: Option<String>,
}

impl MixFields {
    fn fill(self, mix: &mut Mix) -> Mask {
        let mut mask = Mask::default();
        fill!(mask, "", mix from self {
            display_name, bucket_l, buckets_per_part, density_dry_kg_m3, batch_yield_l,
            straw_kg_per_m3, water_percent, waste_percent, source,
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

impl MixCommand {
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

async fn show(which: Which, mut context: Context<'_>) -> Result<(), Failure> {
    let mut stub = context.connect().await?.mixes();
    let name = full(MIXES, &which.id);
    let mix = stub.get_mix(GetMixRequest { name }).await?;
    context.output.one(&mix.into_inner())
}

async fn create(create: Create<MixFields>, mut context: Context<'_>) -> Result<(), Failure> {
    let mut stub = context.connect().await?.mixes();
    let mut mix = Mix::default();
    create.fields.fill(&mut mix);
    let request = CreateMixRequest {
        mix_id: create.id,
        mix: Some(mix),
        request_id: create.writing.request_id(),
        validate_only: create.writing.dry_run,
    };
    let mix = stub.create_mix(request).await?.into_inner();
    let next = format!(
        "hod takeoff FILE, with mix = \"{}\" in it",
        short(&mix.name)
    );
    context
        .output
        .written(&mix, &create.writing.done("made"), &next)
}

async fn update(update: Update<MixFields>, mut context: Context<'_>) -> Result<(), Failure> {
    let mut stub = context.connect().await?.mixes();
    let mut mix = Mix {
        name: full(MIXES, &update.id),
        etag: update.etag.unwrap_or_default(),
        ..Mix::default()
    };
    let update_mask = update.fields.fill(&mut mix).named()?;
    let request = UpdateMixRequest {
        mix: Some(mix),
        update_mask,
        request_id: update.writing.request_id(),
        validate_only: update.writing.dry_run,
    };
    let mix = stub.update_mix(request).await?.into_inner();
    let next = format!("hod mix show {}", short(&mix.name));
    context
        .output
        .written(&mix, &update.writing.done("changed"), &next)
}

fn ingredient((material, parts): (String, String)) -> Ingredient {
    Ingredient {
        material: full(MATERIALS, &material),
        parts,
    }
}
