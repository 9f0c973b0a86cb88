//! `hod material`.

use clap::{Args, Subcommand};
use hod_wire::v1::{
    CreateMaterialRequest, GetMaterialRequest, ListMaterialsRequest, Material, Supply,
    UpdateMaterialRequest,
};

use super::Context;
use super::page::{PAGE_SIZE, all_pages};
use super::write::{
    Create, Mask, Update, Which, fill, number, number_or_none, purchase_units, words,
};
use crate::fault::Failure;
use crate::name::{collection::MATERIALS, full, short};

/// What can be done with materials.
#[derive(Debug, Subcommand)]
pub enum MaterialCommand {
    /// List all materials.
    List,
    /// Show a material in full.
    Show(Which),
    /// Make a material.
    #[command(
        before_help = "Example: hod material create sharp-sand --display-name \"Sharp sand\" --supply bought --purchase-unit t --density-loose-kg-m3 1500 --source \"weighed at the yard\""
    )]
    Create(Create<MaterialFields>),
    /// Change what is given of a material and leave the rest.
    #[command(before_help = "Example: hod material update sharp-sand --moisture-percent 4")]
    Update(Update<MaterialFields>),
}

/// What a material is.
#[derive(Debug, Args)]
pub struct MaterialFields {
    /// What people call it.
    #[arg(long, value_name = "TEXT")]
    display_name: Option<String>,
    /// Whether it is bought, or dug on the site.
    #[arg(long, value_name = "WORD", value_parser = words::<Supply>())]
    supply: Option<i32>,
    /// What it is ordered in.
    #[arg(long, value_name = "WORD", value_parser = purchase_units())]
    purchase_unit: Option<i32>,
    /// Dry mass of a cubic metre of it, loose and dry, kg/m3; `none` takes it away.
    #[arg(long, value_name = "NUMBER", value_parser = number_or_none, allow_negative_numbers = true)]
    density_loose_kg_m3: Option<String>,
    /// How much the damp heap stands above the same mass dry, percent of the dry volume.
    #[arg(long, value_name = "NUMBER", value_parser = number, allow_negative_numbers = true)]
    bulking_percent: Option<String>,
    /// How much it grows from the bank to loose, percent of the bank volume.
    #[arg(long, value_name = "NUMBER", value_parser = number, allow_negative_numbers = true)]
    swell_percent: Option<String>,
    /// Water it holds when used, percent of its dry mass.
    #[arg(long, value_name = "NUMBER", value_parser = number, allow_negative_numbers = true)]
    moisture_percent: Option<String>,
    /// Mass of one bale, bag, roll or piece, kg; `none` takes it away.
    #[arg(long, value_name = "NUMBER", value_parser = number_or_none, allow_negative_numbers = true)]
    mass_per_unit_kg: Option<String>,
    /// Where these figures come from.
    #[arg(long, value_name = "TEXT")]
    source: Option<String>,
}

impl MaterialFields {
    fn fill(self, material: &mut Material) -> Mask {
        let mut mask = Mask::default();
        fill!(mask, "", material from self {
            display_name, supply, purchase_unit, density_loose_kg_m3, bulking_percent,
            swell_percent, moisture_percent, mass_per_unit_kg, source,
        });
        mask
    }
}

impl MaterialCommand {
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
    let mut stub = context.connect().await?.materials();
    let all = all_pages(async |page_token| {
        let page_size = PAGE_SIZE;
        let request = ListMaterialsRequest {
            page_size,
            page_token,
        };
        let page = stub.list_materials(request).await?.into_inner();
        Ok((page.materials, page.next_page_token))
    });
    context.output.list(&all.await?)
}

async fn show(which: Which, mut context: Context<'_>) -> Result<(), Failure> {
    let mut stub = context.connect().await?.materials();
    let name = full(MATERIALS, &which.id);
    let material = stub.get_material(GetMaterialRequest { name }).await?;
    context.output.one(&material.into_inner())
}

async fn create(create: Create<MaterialFields>, mut context: Context<'_>) -> Result<(), Failure> {
    let mut stub = context.connect().await?.materials();
    let mut material = Material::default();
    create.fields.fill(&mut material);
    let request = CreateMaterialRequest {
        material_id: create.id,
        material: Some(material),
        request_id: create.writing.request_id(),
        validate_only: create.writing.dry_run,
    };
    let material = stub.create_material(request).await?.into_inner();
    let next = format!("hod price set REGION {} ...", short(&material.name));
    context
        .output
        .written(&material, &create.writing.done("made"), &next)
}

async fn update(update: Update<MaterialFields>, mut context: Context<'_>) -> Result<(), Failure> {
    let mut stub = context.connect().await?.materials();
    let mut material = Material {
        name: full(MATERIALS, &update.id),
        etag: update.etag.unwrap_or_default(),
        ..Material::default()
    };
    let update_mask = update.fields.fill(&mut material).named()?;
    let request = UpdateMaterialRequest {
        material: Some(material),
        update_mask,
        request_id: update.writing.request_id(),
        validate_only: update.writing.dry_run,
    };
    let material = stub.update_material(request).await?.into_inner();
    let next = format!("hod material show {}", short(&material.name));
    context
        .output
        .written(&material, &update.writing.done("changed"), &next)
}
