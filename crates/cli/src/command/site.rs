//! `hod site`.

use clap::{Args, Subcommand};
use hod_wire::v1::{CreateSiteRequest, GetSiteRequest, ListSitesRequest, Site, UpdateSiteRequest};

use super::Context;
use super::page::{PAGE_SIZE, all_pages};
use super::write::{Create, Mask, Update, Which, fill, number};
use crate::fault::Failure;
use crate::name::{
    collection::{REGIONS, SITES},
    full, full_if_given, short,
};

/// What can be done with sites.
#[derive(Debug, Subcommand)]
pub enum SiteCommand {
    /// List all sites.
    List,
    /// Show a site in full.
    Show(Which),
    /// Make a site.
    #[command(
        before_help = "Example: hod site create long-acre --display-name \"Long Acre\" --region west --haul-distance-m 40"
    )]
    Create(Create<SiteFields>),
    /// Change what is given of a site and leave the rest.
    #[command(before_help = "Example: hod site update long-acre --haul-distance-m 60")]
    Update(Update<SiteFields>),
}

/// What a site is.
#[derive(Debug, Args)]
pub struct SiteFields {
    /// What people call it.
    #[arg(long, value_name = "TEXT")]
    display_name: Option<String>,
    /// The region whose prices and rates hold there.
    #[arg(long, value_name = "REGION")]
    region: Option<String>,
    /// How far the dug soil is carried to where it is mixed, m.
    #[arg(long, value_name = "NUMBER", value_parser = number, allow_negative_numbers = true)]
    haul_distance_m: Option<String>,
}

impl SiteFields {
    fn fill(self, site: &mut Site) -> Mask {
        let mut mask = Mask::default();
        fill!(mask, "", site from self { display_name, haul_distance_m });
        let region = full_if_given(REGIONS, self.region);
        mask.set("region", &mut site.region, region);
        mask
    }
}

impl SiteCommand {
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
    let mut stub = context.connect().await?.sites();
    let all = all_pages(async |page_token| {
        let page_size = PAGE_SIZE;
        let request = ListSitesRequest {
            page_size,
            page_token,
        };
        let page = stub.list_sites(request).await?.into_inner();
        Ok((page.sites, page.next_page_token))
    });
    context.output.list(&all.await?)
}

async fn show(which: Which, mut context: Context<'_>) -> Result<(), Failure> {
    let mut stub = context.connect().await?.sites();
    let name = full(SITES, &which.id);
    let site = stub.get_site(GetSiteRequest { name }).await?;
    context.output.one(&site.into_inner())
}

async fn create(create: Create<SiteFields>, mut context: Context<'_>) -> Result<(), Failure> {
    let mut stub = context.connect().await?.sites();
    let mut site = Site::default();
    create.fields.fill(&mut site);
    let request = CreateSiteRequest {
        site_id: create.id,
        site: Some(site),
        request_id: create.writing.request_id(),
        validate_only: create.writing.dry_run,
    };
    let site = stub.create_site(request).await?.into_inner();
    let next = format!("hod soil create {} ...", short(&site.name));
    context
        .output
        .written(&site, &create.writing.done("made"), &next)
}

async fn update(update: Update<SiteFields>, mut context: Context<'_>) -> Result<(), Failure> {
    let mut stub = context.connect().await?.sites();
    let mut site = Site {
        name: full(SITES, &update.id),
        etag: update.etag.unwrap_or_default(),
        ..Site::default()
    };
    let update_mask = update.fields.fill(&mut site).named()?;
    let request = UpdateSiteRequest {
        site: Some(site),
        update_mask,
        request_id: update.writing.request_id(),
        validate_only: update.writing.dry_run,
    };
    let site = stub.update_site(request).await?.into_inner();
    let next = format!("hod site show {}", short(&site.name));
    context
        .output
        .written(&site, &update.writing.done("changed"), &next)
}
