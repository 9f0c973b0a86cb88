//! `hod region`.

use clap::{Args, Subcommand};
use hod_wire::v1::{
    Allowance, BuildUp, CreateRegionRequest, GetRegionRequest, ListRegionsRequest, ProfitBasis,
    Region, Rounding, Tax, TaxBasis, UpdateRegionRequest,
};

use super::Context;
use super::kept::{Fields, create, kept, show, update};
use super::page::{PAGE_SIZE, all_pages};
use super::write::{
    Create, Mask, OnParts, Update, Which, fill, number, number_or_none, on_parts, words,
};
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
    Create(Box<Create<RegionFields>>),
    /// Change what is given of a region and leave the rest.
    #[command(before_help = "Example: hod region update west --profit-percent 12")]
    Update(Box<Update<RegionFields>>),
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
    /// One of several taxes, or one that is not on all of the price, as "VAT=20%" or "VAT on works=5%:material,labour"; may be
    /// given several times; `none` takes them away.
    #[arg(long = "tax", value_name = "LABEL=VALUE[:PARTS]", value_parser = tax)]
    taxes: Vec<Option<OnParts>>,
    /// What is allowed for within direct cost, as "small tools=1.5%:labour" or "skip=120"; may be given several times; `none`
    /// takes them away.
    #[arg(long = "allowance", value_name = "LABEL=VALUE[:PARTS]", value_parser = on_parts)]
    allowances: Vec<Option<OnParts>>,
    /// Discount, percent of the price after profit and before tax; this or an amount; `none` takes it away.
    #[arg(long, value_name = "NUMBER", value_parser = number_or_none, allow_negative_numbers = true)]
    discount_percent: Option<String>,
    /// Discount, money; `none` takes it away.
    #[arg(long, value_name = "NUMBER", value_parser = number_or_none, allow_negative_numbers = true)]
    discount_amount: Option<String>,
    /// The least that is charged before tax; `none` takes it away.
    #[arg(long, value_name = "NUMBER", value_parser = number_or_none, allow_negative_numbers = true)]
    minimum_charge: Option<String>,
    /// The price before tax is brought to the nearest multiple of this, such as 10; `none` takes it away.
    #[arg(long, value_name = "NUMBER", value_parser = number_or_none, allow_negative_numbers = true)]
    round_price_to: Option<String>,
    /// What is added to the loaded rate of an hour for work paid by the hour, percent.
    #[arg(long, value_name = "NUMBER", value_parser = number, allow_negative_numbers = true)]
    daywork_percent: Option<String>,
}

/// Reads a tax, which is a percentage and never an amount.
fn tax(text: &str) -> Result<Option<OnParts>, String> {
    match on_parts(text)? {
        Some(OnParts { labelled, .. }) if labelled.percent.is_empty() => Err(format!(
            "a tax is a percentage; write {}={}%",
            labelled.label, labelled.amount
        )),
        read => Ok(read),
    }
}

fn taxes(given: Vec<Option<OnParts>>) -> Vec<Option<Tax>> {
    let tax = |given: OnParts| Tax {
        label: given.labelled.label,
        percent: given.labelled.percent,
        parts: given.parts,
    };
    given.into_iter().map(|given| given.map(tax)).collect()
}

fn allowances(given: Vec<Option<OnParts>>) -> Vec<Option<Allowance>> {
    let allowance = |given: OnParts| Allowance {
        label: given.labelled.label,
        percent: given.labelled.percent,
        parts: given.parts,
        amount: given.labelled.amount,
    };
    let given = given.into_iter();
    given.map(|given| given.map(allowance)).collect()
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
            profit_basis, tax_label, tax_percent, tax_basis, discount_percent, discount_amount,
            minimum_charge, round_price_to, daywork_percent,
        });
        mask.replace_or_clear("build_up.taxes", &mut build.taxes, taxes(self.taxes));
        let allowances = allowances(self.allowances);
        mask.replace_or_clear("build_up.allowances", &mut build.allowances, allowances);
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
            Self::Create(given) => create(*given, context).await,
            Self::Update(given) => update(*given, context).await,
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
