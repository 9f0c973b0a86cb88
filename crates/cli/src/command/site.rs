//! `hod site`.

use clap::{Args, Subcommand};
use hod_wire::v1::{CreateSiteRequest, GetSiteRequest, ListSitesRequest, Site, UpdateSiteRequest};

use super::Context;
use super::kept::{Fields, create, kept, show, update};
use super::page::{PAGE_SIZE, all_pages};
use super::write::{Create, Mask, Update, Which, fill, number};
use crate::fault::Failure;
use crate::name::{
    collection::{REGIONS, SITES},
    full_if_given,
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

impl Fields<Site> for SiteFields {
    fn fill(self, site: &mut Site) -> Mask {
        let mut mask = Mask::default();
        fill!(mask, "", site from self { display_name, haul_distance_m });
        let region = full_if_given(REGIONS, self.region);
        mask.set("region", &mut site.region, region);
        mask
    }
}

kept! {
    Site in SITES, "site": sites,
    get_site(GetSiteRequest),
    create_site(CreateSiteRequest { site_id, site }),
    update_site(UpdateSiteRequest { site }),
    next |id| format!("hod soil create {id} ...")
}

impl SiteCommand {
    pub(super) async fn run(self, context: Context<'_>) -> Result<(), Failure> {
        match self {
            Self::List => list(context).await,
            Self::Show(which) => show::<Site>(which, context).await,
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
