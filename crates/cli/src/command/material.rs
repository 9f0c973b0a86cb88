//! `hod material`.

use clap::{Args, Subcommand};
use hod_wire::v1::{
    CreateMaterialRequest, GetMaterialRequest, ListMaterialsRequest, Material, Supply,
    UpdateMaterialRequest,
};

use super::Context;
use super::kept::{Fields, create, kept, show, update};
use super::page::{PAGE_SIZE, all_pages};
use super::write::{
    Create, Mask, Update, Which, fill, number, number_or_none, purchase_units, words,
};
use crate::fault::Failure;
use crate::name::collection::MATERIALS;

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
    /// Length of one piece, mm, for what is laid piece by piece; `none` takes it away.
    #[arg(long, value_name = "NUMBER", value_parser = number_or_none, allow_negative_numbers = true)]
    length_mm: Option<String>,
    /// Width of one piece, mm; `none` takes it away.
    #[arg(long, value_name = "NUMBER", value_parser = number_or_none, allow_negative_numbers = true)]
    width_mm: Option<String>,
    /// Height of one piece, mm; `none` takes it away.
    #[arg(long, value_name = "NUMBER", value_parser = number_or_none, allow_negative_numbers = true)]
    height_mm: Option<String>,
    /// Orders go up to a whole multiple of this, in what it is ordered in; `none` takes it away.
    #[arg(long, value_name = "NUMBER", value_parser = number_or_none, allow_negative_numbers = true)]
    order_step: Option<String>,
    /// Clay in an added sand that is not clean, percent of its dry mass.
    #[arg(long, value_name = "NUMBER", value_parser = number, allow_negative_numbers = true)]
    clay_percent: Option<String>,
    /// The group that it is priced with, such as lime; prices of a group can be changed in one act.
    #[arg(long, value_name = "GROUP")]
    group: Option<String>,
    /// Where these figures come from.
    #[arg(long, value_name = "TEXT")]
    source: Option<String>,
}

impl Fields<Material> for MaterialFields {
    fn fill(self, material: &mut Material) -> Mask {
        let mut mask = Mask::default();
        fill!(mask, "", material from self {
            display_name, supply, purchase_unit, density_loose_kg_m3, bulking_percent,
            swell_percent, moisture_percent, mass_per_unit_kg, length_mm, width_mm, height_mm,
            order_step, clay_percent, group, source,
        });
        mask
    }
}

kept! {
    Material in MATERIALS, "material": materials,
    get_material(GetMaterialRequest),
    create_material(CreateMaterialRequest { material_id, material }),
    update_material(UpdateMaterialRequest { material }),
    next |id| format!("hod price set REGION {id} ...")
}

impl MaterialCommand {
    pub(super) async fn run(self, context: Context<'_>) -> Result<(), Failure> {
        match self {
            Self::List => list(context).await,
            Self::Show(which) => show::<Material>(which, context).await,
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
