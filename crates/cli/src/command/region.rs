//! `hod region`.

use clap::{Args, Subcommand};
use hod_wire::v1::{
    BuildUp, CreateRegionRequest, GetRegionRequest, ListRegionsRequest, ProfitBasis, Region,
    Rounding, TaxBasis, UpdateRegionRequest,
};

use super::Context;
use super::kept::{Fields, create, kept, show, update};
use super::page::{PAGE_SIZE, all_pages};
use super::write::{Create, Mask, Update, Which, fill, number, words};
use crate::fault::Failure;
use crate::name::{collection::REGIONS, full_if_given};

/// What can be done with regions.
#[derive(Debug, Subcommand)]
pub enum RegionCommand {
    /// List all regions.
    List,
    /// Show a region in full.
    Show(Which),
    /// Make a region.
    #[command(
        before_help = "Example: hod region create west --display-name \"The West\" --currency-code EUR --tax-percent 19"
    )]
    Create(Create<RegionFields>),
    /// Change what is given of a region and leave the rest.
    #[command(before_help = "Example: hod region update west --profit-percent 12")]
    Update(Update<RegionFields>),
}

/// What a region is.
#[derive(Debug, Args)]
pub struct RegionFields {
    /// What people call it.
    #[arg(long, value_name = "TEXT")]
    display_name: Option<String>,
    /// The region that answers when this one has no price in force.
    #[arg(long, value_name = "REGION")]
    parent_region: Option<String>,
    /// ISO 4217, such as EUR.
    #[arg(long, value_name = "CODE")]
    currency_code: Option<String>,
    /// How money is rounded.
    #[arg(long, value_name = "WORD", value_parser = words::<Rounding>())]
    rounding: Option<i32>,
    /// Percent of direct cost.
    #[arg(long, value_name = "NUMBER", value_parser = number, allow_negative_numbers = true)]
    site_overhead_percent: Option<String>,
    /// Percent of direct cost and site overhead.
    #[arg(long, value_name = "NUMBER", value_parser = number, allow_negative_numbers = true)]
    firm_overhead_percent: Option<String>,
    /// Percent of the cost so far.
    #[arg(long, value_name = "NUMBER", value_parser = number, allow_negative_numbers = true)]
    contingency_percent: Option<String>,
    /// Percent, of what `--profit-basis` says.
    #[arg(long, value_name = "NUMBER", value_parser = number, allow_negative_numbers = true)]
    profit_percent: Option<String>,
    /// What the profit is a percentage of.
    #[arg(long, value_name = "WORD", value_parser = words::<ProfitBasis>())]
    profit_basis: Option<i32>,
    /// What the tax is called on paper.
    #[arg(long, value_name = "TEXT")]
    tax_label: Option<String>,
    /// Percent of the price before tax.
    #[arg(long, value_name = "NUMBER", value_parser = number, allow_negative_numbers = true)]
    tax_percent: Option<String>,
    /// Whether tax is rounded line by line or once.
    #[arg(long, value_name = "WORD", value_parser = words::<TaxBasis>())]
    tax_basis: Option<i32>,
}

impl Fields<Region> for RegionFields {
    fn fill(self, region: &mut Region) -> Mask {
        let mut mask = Mask::default();
        fill!(mask, "", region from self { display_name, currency_code, rounding });
        let parent = full_if_given(REGIONS, self.parent_region);
        mask.set("parent_region", &mut region.parent_region, parent);
        let mut build = BuildUp::default();
        fill!(mask, "build_up.", build from self {
            site_overhead_percent, firm_overhead_percent, contingency_percent, profit_percent,
            profit_basis, tax_label, tax_percent, tax_basis,
        });
        region.build_up = Some(build);
        mask
    }
}

kept! {
    Region in REGIONS, "region": regions,
    get_region(GetRegionRequest),
    create_region(CreateRegionRequest { region_id, region }),
    update_region(UpdateRegionRequest { region }),
    next |id| format!("hod price set {id} MATERIAL ...")
}

impl RegionCommand {
    pub(super) async fn run(self, context: Context<'_>) -> Result<(), Failure> {
        match self {
            Self::List => list(context).await,
            Self::Show(which) => show::<Region>(which, context).await,
            Self::Create(given) => create(given, context).await,
            Self::Update(given) => update(given, context).await,
        }
    }
}

async fn list(mut context: Context<'_>) -> Result<(), Failure> {
    let mut stub = context.connect().await?.regions();
    let all = all_pages(async |page_token| {
        let page_size = PAGE_SIZE;
        let request = ListRegionsRequest {
            page_size,
            page_token,
        };
        let page = stub.list_regions(request).await?.into_inner();
        Ok((page.regions, page.next_page_token))
    });
    context.output.list(&all.await?)
}
