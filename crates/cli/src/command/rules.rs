//! `hod rules`: packs of limits that codes and standards set. A pack is never changed; another edition is another pack.

use clap::{Args, Subcommand};
use hod_wire::v1::{CreateRulePackRequest, GetRulePackRequest, ListRulePacksRequest};

use super::Context;
use super::page::{PAGE_SIZE, all_pages};
use super::write::{Which, Writing};
use crate::fault::Failure;
use crate::name::{collection::RULE_PACKS, full, short};
use crate::rule_file;

/// What can be done with rule packs.
#[derive(Debug, Subcommand)]
pub enum RulesCommand {
    /// List all rule packs.
    List,
    /// Show a rule pack in full.
    #[command(before_help = "Example: hod rules show cob")]
    Show(Which),
    /// Make a rule pack of a file.
    #[command(
        before_help = "Example: hod rules create valley --file valley.toml",
        after_long_help = example()
    )]
    Create(CreateRules),
}

/// A rule file, for the help.
fn example() -> String {
    let set_in: String = rule_file::EXAMPLE
        .lines()
        .map(|line| format!("  {line}").trim_end().to_owned() + "\n")
        .collect();
    format!(
        "A rule file is TOML. Limits keep their digits; the unit of a limit is in its kind. `standing` says whether the\n\
         rule was read where it stands, is reported by another text, or is from memory.\n\n{set_in}"
    )
}

/// A rule pack to be made.
#[derive(Debug, Args)]
pub struct CreateRules {
    /// Its id: lower-case letters, digits and hyphens, starting with a letter.
    #[arg(value_name = "ID")]
    id: String,
    /// The rule file.
    #[arg(long, value_name = "FILE")]
    file: String,
    /// How it is written.
    #[command(flatten)]
    writing: Writing,
}

impl RulesCommand {
    pub(super) async fn run(self, context: Context<'_>) -> Result<(), Failure> {
        match self {
            Self::List => list(context).await,
            Self::Show(which) => show(which, context).await,
            Self::Create(given) => create(given, context).await,
        }
    }
}

async fn list(mut context: Context<'_>) -> Result<(), Failure> {
    let mut stub = context.connect().await?.rule_packs();
    let all = all_pages(async |page_token| {
        let page_size = PAGE_SIZE;
        let request = ListRulePacksRequest {
            page_size,
            page_token,
        };
        let page = stub.list_rule_packs(request).await?.into_inner();
        Ok((page.rule_packs, page.next_page_token))
    });
    context.output.list(&all.await?)
}

async fn show(which: Which, mut context: Context<'_>) -> Result<(), Failure> {
    let mut stub = context.connect().await?.rule_packs();
    let name = full(RULE_PACKS, &which.id);
    let pack = stub.get_rule_pack(GetRulePackRequest { name }).await?;
    context.output.one(&pack.into_inner())
}

async fn create(create: CreateRules, mut context: Context<'_>) -> Result<(), Failure> {
    let rule_pack = rule_file::read(&create.file)?;
    let mut stub = context.connect().await?.rule_packs();
    let done = create.writing.done("made");
    let request = CreateRulePackRequest {
        rule_pack_id: create.id,
        rule_pack: Some(rule_pack),
        request_id: create.writing.request_id(),
        validate_only: create.writing.dry_run,
    };
    let pack = stub.create_rule_pack(request).await?.into_inner();
    let next = format!("hod rules show {}", short(&pack.name));
    context.output.written(&pack, &done, &next)
}
