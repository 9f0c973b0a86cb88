//! `hod trial`: what trial mixes did on the bench. A trial is never changed; a better one is a new trial.

use clap::{Args, Subcommand};
use hod_wire::v1::{
    BrokenSpecimen, CreateMixTrialRequest, CrushedSpecimen, GetMixTrialRequest, Ingredient,
    ListMixTrialsRequest, MixTrial, TrialOutcome,
};

use super::Context;
use super::page::{PAGE_SIZE, all_pages};
use super::write::{Writing, date, number, pair, words};
use crate::exit;
use crate::fault::Failure;
use crate::name::collection::{MATERIALS, MIX_TRIALS, RULE_PACKS, SITES, SOIL_TESTS};
use crate::name::{full, full_below, full_if_given, short};

/// What can be done with trials.
#[derive(Debug, Subcommand)]
pub enum TrialCommand {
    /// List the trials of a site.
    List {
        /// The site.
        site: String,
    },
    /// Show a trial in full, with how it stands against its rules.
    #[command(before_help = "Example: hod trial show long-acre/half-and-half")]
    Show {
        /// The site and the trial, as SITE/ID.
        #[arg(value_name = "SITE/ID")]
        trial: String,
    },
    /// Record a trial.
    #[command(
        before_help = "Example: hod trial create long-acre --id half-and-half --made-date 2026-04-20 --part site-subsoil=1 --part sharp-sand=1 --shrinkage-wet-mm 609.6 --shrinkage-dry-mm 590 --crushed 6.2=102x102 --rule-pack cob --outcome taken"
    )]
    Create(Box<CreateTrial>),
}

/// A trial to be recorded.
#[derive(Debug, Args)]
pub struct CreateTrial {
    /// The site.
    site: String,
    /// Its id; made by the server when left out.
    #[arg(long, value_name = "ID")]
    id: Option<String>,
    /// The day it was made, as 2026-04-20.
    #[arg(long, value_name = "DATE", value_parser = date)]
    made_date: String,
    /// The test of its soil, of the same site.
    #[arg(long, value_name = "ID")]
    soil_test: Option<String>,
    /// A material and its parts by loose volume; once for each.
    #[arg(long = "part", value_name = "MATERIAL=PARTS", value_parser = pair)]
    ingredients: Vec<(String, String)>,
    /// Straw, kg to a placed m3.
    #[arg(long, value_name = "NUMBER", value_parser = number, allow_negative_numbers = true)]
    straw_kg_per_m3: Option<String>,
    /// Shrinkage bar: its length as moulded, mm.
    #[arg(long, value_name = "NUMBER", value_parser = number, allow_negative_numbers = true)]
    shrinkage_wet_mm: Option<String>,
    /// The same bar when dry, its cracks closed, mm.
    #[arg(long, value_name = "NUMBER", value_parser = number, allow_negative_numbers = true)]
    shrinkage_dry_mm: Option<String>,
    /// A specimen crushed: the load that it bore, kN, and its width and depth under it, mm; once for each.
    #[arg(long, value_name = "KN=MMxMM", value_parser = crushed)]
    crushed: Vec<CrushedSpecimen>,
    /// A specimen broken: the load, kN, and its span, width and height, mm; once for each.
    #[arg(long, value_name = "KN=MMxMMxMM", value_parser = broken)]
    broken: Vec<BrokenSpecimen>,
    /// Dry density of a specimen as weighed and sized, kg/m3.
    #[arg(long, value_name = "NUMBER", value_parser = number, allow_negative_numbers = true)]
    density_dry_kg_m3: Option<String>,
    /// The rules that it is held against.
    #[arg(long, value_name = "ID")]
    rule_pack: Option<String>,
    /// What the builder made of it.
    #[arg(long, value_name = "WORD", value_parser = words::<TrialOutcome>())]
    outcome: i32,
    /// What was seen: cracks, dusting, water needed.
    #[arg(long, value_name = "TEXT")]
    note: Option<String>,
    /// How it is written.
    #[command(flatten)]
    writing: Writing,
}

impl CreateTrial {
    fn request(self) -> CreateMixTrialRequest {
        let parent = full(SITES, &self.site);
        let soil_test = |test: &str| {
            full_below(SITES, SOIL_TESTS, test)
                .unwrap_or_else(|| format!("{parent}/{SOIL_TESTS}/{test}"))
        };
        CreateMixTrialRequest {
            mix_trial_id: self.id.unwrap_or_default(),
            request_id: self.writing.request_id(),
            validate_only: self.writing.dry_run,
            mix_trial: Some(MixTrial {
                made_date: self.made_date,
                soil_test: self.soil_test.as_deref().map(soil_test).unwrap_or_default(),
                ingredients: self.ingredients.into_iter().map(ingredient).collect(),
                straw_kg_per_m3: self.straw_kg_per_m3.unwrap_or_default(),
                shrinkage_wet_mm: self.shrinkage_wet_mm.unwrap_or_default(),
                shrinkage_dry_mm: self.shrinkage_dry_mm.unwrap_or_default(),
                crushed: self.crushed,
                broken: self.broken,
                density_dry_kg_m3: self.density_dry_kg_m3.unwrap_or_default(),
                rule_pack: full_if_given(RULE_PACKS, self.rule_pack).unwrap_or_default(),
                outcome: self.outcome,
                note: self.note.unwrap_or_default(),
                ..MixTrial::default()
            }),
            parent,
        }
    }
}

impl TrialCommand {
    pub(super) async fn run(self, context: Context<'_>) -> Result<(), Failure> {
        match self {
            Self::List { site } => list(site, context).await,
            Self::Show { trial } => show(trial, context).await,
            Self::Create(given) => create(*given, context).await,
        }
    }
}

async fn list(site: String, mut context: Context<'_>) -> Result<(), Failure> {
    let mut stub = context.connect().await?.mix_trials();
    let parent = full(SITES, &site);
    let all = all_pages(async |page_token| {
        let request = ListMixTrialsRequest {
            parent: parent.clone(),
            page_size: PAGE_SIZE,
            page_token,
        };
        let page = stub.list_mix_trials(request).await?.into_inner();
        Ok((page.mix_trials, page.next_page_token))
    });
    context.output.list(&all.await?)
}

async fn show(trial: String, mut context: Context<'_>) -> Result<(), Failure> {
    let mut stub = context.connect().await?.mix_trials();
    let name = full_below(SITES, MIX_TRIALS, &trial).ok_or_else(|| {
        Failure::plain(
            exit::USAGE,
            format!("{trial} is not a trial; write SITE/ID"),
        )
    })?;
    let trial = stub.get_mix_trial(GetMixTrialRequest { name }).await?;
    context.output.one(&trial.into_inner())
}

async fn create(create: CreateTrial, mut context: Context<'_>) -> Result<(), Failure> {
    let mut stub = context.connect().await?.mix_trials();
    let done = create.writing.done("recorded");
    let trial = stub.create_mix_trial(create.request()).await?.into_inner();
    let next = format!("hod trial show {}", short(&trial.name));
    context.output.written(&trial, &done, &next)
}

fn ingredient((material, parts): (String, String)) -> Ingredient {
    Ingredient {
        material: full(MATERIALS, &material),
        parts,
    }
}

/// Reads `6.2=102x102`; whether these are numbers the server says.
fn crushed(text: &str) -> Result<CrushedSpecimen, String> {
    match sizes(text).as_deref() {
        Some([load, width, depth]) => Ok(CrushedSpecimen {
            load_kn: (*load).to_owned(),
            width_mm: (*width).to_owned(),
            depth_mm: (*depth).to_owned(),
        }),
        _ => Err("write the load, kN, and width x depth, mm, such as 6.2=102x102".to_owned()),
    }
}

/// Reads `2.4=254x254x102`; whether these are numbers the server says.
fn broken(text: &str) -> Result<BrokenSpecimen, String> {
    match sizes(text).as_deref() {
        Some([load, span, width, height]) => Ok(BrokenSpecimen {
            load_kn: (*load).to_owned(),
            span_mm: (*span).to_owned(),
            width_mm: (*width).to_owned(),
            height_mm: (*height).to_owned(),
        }),
        _ => Err(
            "write the load, kN, and span x width x height, mm, such as 2.4=254x254x102".to_owned(),
        ),
    }
}

/// A load and the sizes behind it.
fn sizes(text: &str) -> Option<Vec<&str>> {
    let (load, sizes) = text.split_once('=')?;
    let all: Vec<&str> = std::iter::once(load)
        .chain(sizes.split('x'))
        .map(str::trim)
        .collect();
    all.iter().all(|part| !part.is_empty()).then_some(all)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_specimen_is_a_load_and_its_sizes() {
        let found = crushed("6.2=102x101.6").ok();
        let expected = CrushedSpecimen {
            load_kn: "6.2".to_owned(),
            width_mm: "102".to_owned(),
            depth_mm: "101.6".to_owned(),
        };
        assert_eq!(found, Some(expected));
        let found = broken("2.4=254x250x102").ok();
        let expected = BrokenSpecimen {
            load_kn: "2.4".to_owned(),
            span_mm: "254".to_owned(),
            width_mm: "250".to_owned(),
            height_mm: "102".to_owned(),
        };
        assert_eq!(found, Some(expected));
        for text in ["6.2", "6.2=102", "6.2=102x", "=102x102", "6.2=1x2x3x4", ""] {
            assert!(crushed(text).is_err() && broken(text).is_err(), "{text}");
        }
        assert!(crushed("6.2=1x2x3").is_err() && broken("6.2=1x2").is_err());
    }
}
