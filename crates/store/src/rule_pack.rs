//! Rule packs: limits that a code or a standard sets. Append-only: an edition that says otherwise is a new pack. Its rules
//! are rows of their own, written and read with it.

use hod_domain::id::RulePackId;
use hod_domain::rules::{Rule, RuleKind, RulePack, RuleStanding};
use hod_units::Decimal;
use sqlx::error::BoxDynError;

use crate::exact::Exact;
use crate::fault::{DISPLAY_NAME, FIRM, ID, Rules, StoreFault, broken};
use crate::row::{Fields, FromRecord, Record, once, values};
use crate::session::Session;
use crate::stored::{Stamp, Stored};
use crate::thing::Thing;
use crate::words::Word;

pub(crate) const RULES: Rules = &[
    ("rule_pack_firm_exists", FIRM),
    ("rule_pack_id_well_formed", ID),
    ("rule_pack_display_name_length", DISPLAY_NAME),
    (
        "rule_pack_jurisdiction_length",
        "Where a rule pack holds is told in 1 to 120 characters.",
    ),
    (
        "rule_pack_rule_pack_exists",
        "A rule belongs to a rule pack that exists.",
    ),
    (
        "rule_pack_rule_kind_once",
        "A rule pack limits each kind once.",
    ),
    (
        "rule_pack_rule_at_most_50",
        "A rule pack has 1 to 50 rules.",
    ),
    (
        "rule_pack_rule_kind_known",
        "A rule is of one of the kinds that are listed in the contract.",
    ),
    (
        "rule_pack_rule_limit_in_range",
        "A limit is 0 to 1000000, in the unit that its kind names.",
    ),
    (
        "rule_pack_rule_claim_is_yes_or_no",
        "Openings at the edge of the measured face are always deducted, 1, or not, 0.",
    ),
    (
        "rule_pack_rule_section_length",
        "Where a rule stands is told in 1 to 400 characters.",
    ),
    (
        "rule_pack_rule_standing_known",
        "A rule was read, was reported or is from memory.",
    ),
];

/// The columns of a rule pack and its rules, as [`FromRecord`] reads them.
macro_rules! rule_pack_fields {
    () => {
        "row(rule_pack.rule_pack_id, rule_pack.display_name, rule_pack.jurisdiction, \
         array(select row(rule_pack_rule.kind, rule_pack_rule.rule_limit, rule_pack_rule.section, \
             rule_pack_rule.standing) from rule_pack_rule where rule_pack_rule.firm_id = rule_pack.firm_id \
             and rule_pack_rule.rule_pack_id = rule_pack.rule_pack_id order by rule_pack_rule.position), \
         rule_pack.created_at)"
    };
}
pub(crate) use rule_pack_fields;

impl FromRecord for Stored<RulePack> {
    fn read(fields: &mut Fields<'_>) -> Result<Self, BoxDynError> {
        let pack = RulePack {
            id: fields.id(RulePackId::parse)?,
            display_name: fields.take()?,
            jurisdiction: fields.take()?,
            rules: read_rules(fields)?,
        };
        once(fields, 1, pack)
    }
}

fn read_rules(fields: &mut Fields<'_>) -> Result<Vec<Rule>, BoxDynError> {
    let rows: Vec<(String, Decimal, String, String)> = fields.take()?;
    let rule = |(kind, limit, section, standing): (String, Decimal, String, String)| {
        Ok(Rule {
            kind: RuleKind::read(&kind)?,
            limit,
            section,
            standing: RuleStanding::read(&standing)?,
        })
    };
    rows.into_iter().map(rule).collect()
}

/// Reads one.
pub async fn get(session: &mut Session, id: &RulePackId) -> Result<Stored<RulePack>, StoreFault> {
    let found: Option<Record<Stored<RulePack>>> = sqlx::query_scalar(concat!(
        "select ",
        rule_pack_fields!(),
        " from rule_pack where firm_id = $1 and rule_pack_id = $2"
    ))
    .bind(session.firm_uuid())
    .bind(id.as_str())
    .fetch_optional(session.connection())
    .await?;
    found
        .map(|record| record.0)
        .ok_or_else(|| StoreFault::not_found(id.into()))
}

/// Reads at most `limit` by id, those after `after`.
pub async fn list(
    session: &mut Session,
    after: Option<&RulePackId>,
    limit: u32,
) -> Result<Vec<Stored<RulePack>>, StoreFault> {
    let found: Vec<Record<Stored<RulePack>>> = sqlx::query_scalar(concat!(
        "select ",
        rule_pack_fields!(),
        " from rule_pack where firm_id = $1 and $2 < rule_pack_id order by rule_pack_id limit $3"
    ))
    .bind(session.firm_uuid())
    .bind(after.map_or("", RulePackId::as_str))
    .bind(i64::from(limit))
    .fetch_all(session.connection())
    .await?;
    Ok(values(found))
}

/// Keeps a new one.
pub async fn insert(
    session: &mut Session,
    pack: &RulePack,
) -> Result<Stored<RulePack>, StoreFault> {
    let mut exact = Exact::default();
    let limit =
        |(at, rule): (usize, &Rule)| exact.number(&format!("rules[{at}].limit"), rule.limit);
    let limits: Vec<Decimal> = pack.rules.iter().enumerate().map(limit).collect();
    exact.check()?;
    let created = sqlx::query_scalar(
        "insert into rule_pack (firm_id, rule_pack_id, display_name, jurisdiction) values ($1, $2, $3, $4) \
         returning created_at",
    )
    .bind(session.firm_uuid())
    .bind(pack.id.as_str())
    .bind(&pack.display_name)
    .bind(&pack.jurisdiction)
    .fetch_one(session.connection())
    .await
    .map_err(|error| refusal(error, pack))?;
    insert_rules(session, pack, &limits).await?;
    Ok(Stamp::once(1, created).on(pack.clone()))
}

async fn insert_rules(
    session: &mut Session,
    pack: &RulePack,
    limits: &[Decimal],
) -> Result<(), StoreFault> {
    let words = |of: fn(&Rule) -> &str| -> Vec<&str> { pack.rules.iter().map(of).collect() };
    sqlx::query(
        "insert into rule_pack_rule (firm_id, rule_pack_id, position, kind, rule_limit, section, standing) \
         select $1, $2, position, kind, rule_limit, section, standing \
         from unnest($3::text[], $4::numeric[], $5::text[], $6::text[]) \
         with ordinality as rule (kind, rule_limit, section, standing, position)",
    )
    .bind(session.firm_uuid())
    .bind(pack.id.as_str())
    .bind(words(|rule| rule.kind.kept_word()))
    .bind(limits)
    .bind(words(|rule| &rule.section))
    .bind(words(|rule| rule.standing.kept_word()))
    .execute(session.connection())
    .await
    .map_err(|error| refusal(error, pack))?;
    Ok(())
}

fn refusal(error: sqlx::Error, pack: &RulePack) -> StoreFault {
    broken(error, RULES, |rule| match rule {
        "rule_pack_key" => Some(StoreFault::Taken(Thing::from(&pack.id))),
        _ => None,
    })
}
