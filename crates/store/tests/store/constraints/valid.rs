//! Valid rows, one for each table, as SQL.

/// Table, columns and values of a row that is there before each bad one is tried. `FIRM` is a uuid.
#[rustfmt::skip]
pub(super) const STANDING: &[Row] = &[
    ("firm", &[("firm_id", FIRM), ("display_name", "'Barrow Down Walls'")]),
    ("access_token", &[("token_sha256", SHA), ("firm_id", FIRM), ("role", "'owner'")]),
    ("region", REGION),
    ("region_tax", REGION_TAX),
    ("region_allowance", REGION_ALLOWANCE),
    ("region_list", &[("firm_id", FIRM), ("region_id", "'old'"), ("currency_code", "'EUR'"), ("version", "2")]),
    ("material", MATERIAL),
    ("price", PRICE),
    ("labour_rate", LABOUR_RATE),
    ("site", SITE),
    ("soil_test", JAR),
    ("soil_observation", SOIL_OBSERVATION),
    ("rule_pack", RULE_PACK),
    ("rule_pack_rule", RULE_PACK_RULE),
    ("mix_trial", MIX_TRIAL),
    ("mix_trial_ingredient", MIX_TRIAL_INGREDIENT),
    ("mix_trial_crushed", MIX_TRIAL_CRUSHED),
    ("mix_trial_broken", MIX_TRIAL_BROKEN),
    ("mix", MIX),
    ("mix_ingredient", MIX_INGREDIENT),
    ("crew", CREW),
    ("crew_grade", CREW_GRADE),
    ("labour_constant", LABOUR_CONSTANT),
    ("labour_constant_grade", LABOUR_CONSTANT_GRADE),
    ("job", JOB),
    ("estimate", ESTIMATE),
    ("quote", QUOTE),
    ("quote_event", QUOTE_EVENT),
    ("quote_counter", &[("firm_id", FIRM), ("last_number", "3")]),
    ("variation", VARIATION),
    ("past_version", PAST_VERSION),
    ("request", REQUEST),
];

/// A table, and the columns and values of a row.
pub(super) type Row = (&'static str, &'static [(&'static str, &'static str)]);

pub(super) const FIRM: &str = "'00000000-0000-4000-8000-000000000001'";
pub(super) const SHA: &str = r"decode(repeat('0a', 32), 'hex')";

#[rustfmt::skip]
pub(super) const REGION: &[(&str, &str)] = &[
    ("firm_id", FIRM),
    ("region_id", "'old'"),
    ("display_name", "'Old'"),
    ("parent_region_id", "null"),
    ("currency_code", "'EUR'"),
    ("rounding", "'half-to-even'"),
    ("site_overhead_percent", "100"),
    ("firm_overhead_percent", "0"),
    ("contingency_percent", "0.000000000001"),
    ("profit_percent", "20"),
    ("profit_basis", "'margin-on-price'"),
    ("tax_basis", "'line'"),
    ("discount_percent", "null"),
    ("discount_amount", "999999999"),
    ("minimum_charge", "999999999"),
    ("round_price_to", "0.0001"),
    ("daywork_percent", "300"),
    ("version", "1"),
];

#[rustfmt::skip]
pub(super) const REGION_TAX: &[(&str, &str)] = &[
    ("firm_id", FIRM),
    ("region_id", "'old'"),
    ("position", "1"),
    ("label", "repeat('a', 40)"),
    ("percent", "100"),
    ("parts", "'{material,labour,equipment,subcontract,fee,travel,provisional-sum,other,on-cost}'"),
];

#[rustfmt::skip]
pub(super) const REGION_ALLOWANCE: &[(&str, &str)] = &[
    ("firm_id", FIRM),
    ("region_id", "'old'"),
    ("position", "1"),
    ("label", "repeat('a', 60)"),
    ("percent", "100"),
    ("parts", "'{material,labour,equipment,subcontract,fee,travel,provisional-sum,other}'"),
    ("amount", "null"),
];

#[rustfmt::skip]
pub(super) const MATERIAL: &[(&str, &str)] = &[
    ("firm_id", FIRM),
    ("material_id", "'old'"),
    ("display_name", "'Old'"),
    ("supply", "'bought'"),
    ("purchase_unit", "'m3'"),
    ("density_loose_kg_m3", "4000"),
    ("bulking_percent", "60"),
    ("swell_percent", "100"),
    ("moisture_percent", "60"),
    ("mass_per_unit_kg", "null"),
    ("length_mm", "20000"),
    ("width_mm", "1"),
    ("height_mm", "355.6"),
    ("order_step", "0.25"),
    ("clay_percent", "100"),
    ("material_group", "'lime'"),
    ("source", "'made up'"),
    ("version", "1"),
];

#[rustfmt::skip]
pub(super) const PRICE: &[(&str, &str)] = &[
    ("firm_id", FIRM),
    ("region_id", "'old'"),
    ("price_id", "'old'"),
    ("version_in", "1"),
    ("version_out", "null"),
    ("material_id", "'old'"),
    ("unit_price", "999999999"),
    ("unit", "'m3'"),
    ("in_force", "'[2026-01-01,2026-07-01)'"),
    ("supplier", "''"),
    ("source", "''"),
    ("pack_size", "0.000001"),
    ("minimum_order", "999999999"),
    ("break_rule", "'incremental'"),
    ("break_from", "'{0.000001,999999999}'"),
    ("break_price", "'{999999999,0}'"),
    ("load_m3", "0.01"),
    ("load_t", "1000"),
    ("load_quantity", "null"),
    ("charge_per_load", "999999999"),
    ("charge_per_km", "999999999"),
    ("distance_km", "5000"),
    ("lead_days", "1000"),
    ("note", "repeat('a', 400)"),
];

#[rustfmt::skip]
pub(super) const LABOUR_RATE: &[(&str, &str)] = &[
    ("firm_id", FIRM),
    ("region_id", "'old'"),
    ("labour_rate_id", "'old'"),
    ("version_in", "1"),
    ("version_out", "null"),
    ("grade", "'lead'"),
    ("wage_per_hour", "999999"),
    ("burden_percent", "300"),
    ("in_force", "'[2026-01-01,2026-07-01)'"),
    ("source", "''"),
    ("burden_label", "array['a', repeat('b', 60)]"),
    ("burden_percents", "'{300,null}'"),
    ("burden_per_hour", "'{null,999999}'"),
    ("paid_hours", "8784"),
    ("productive_hours", "8784"),
    ("note", "repeat('a', 400)"),
];

#[rustfmt::skip]
pub(super) const SITE: &[(&str, &str)] = &[
    ("firm_id", FIRM),
    ("site_id", "'old'"),
    ("display_name", "'Old'"),
    ("region_id", "'old'"),
    ("haul_distance_m", "2000"),
    ("version", "1"),
];

#[rustfmt::skip]
pub(super) const JAR: &[(&str, &str)] = &[
    ("firm_id", FIRM),
    ("site_id", "'old'"),
    ("soil_test_id", "'old'"),
    ("method", "'jar'"),
    ("sample_date", "'2199-12-31'"),
    ("depth_m", "20"),
    ("sand_mm", "1000"),
    ("silt_mm", "0"),
    ("clay_mm", "0"),
    ("sand_percent", "null"),
    ("silt_percent", "null"),
    ("clay_percent", "null"),
    ("note", "''"),
    ("jar_sand_mark_s", "59.999999999999"),
    ("jar_silt_mark_min", "1"),
    ("jar_clay_mark_h", "0.1"),
    ("jar_water_height_mm", "1000"),
    ("jar_water_celsius", "0"),
    ("ribbon_mm", "300"),
    ("drop_note", "repeat('a', 200)"),
];

#[rustfmt::skip]
pub(super) const SOIL_OBSERVATION: &[(&str, &str)] = &[
    ("firm_id", FIRM),
    ("site_id", "'old'"),
    ("soil_test_id", "'old'"),
    ("position", "1"),
    ("observation", "'swelling-clay'"),
];

#[rustfmt::skip]
pub(super) const RULE_PACK: &[(&str, &str)] = &[
    ("firm_id", FIRM),
    ("rule_pack_id", "'old'"),
    ("display_name", "'Old'"),
    ("jurisdiction", "'nowhere'"),
];

#[rustfmt::skip]
pub(super) const RULE_PACK_RULE: &[(&str, &str)] = &[
    ("firm_id", FIRM),
    ("rule_pack_id", "'old'"),
    ("position", "1"),
    ("kind", "'rupture-kpa-min'"),
    ("rule_limit", "1000000"),
    ("section", "'made up'"),
    ("standing", "'from-memory'"),
];

#[rustfmt::skip]
pub(super) const MIX_TRIAL: &[(&str, &str)] = &[
    ("firm_id", FIRM),
    ("site_id", "'old'"),
    ("mix_trial_id", "'old'"),
    ("made_date", "'1900-01-01'"),
    ("soil_test_id", "'old'"),
    ("straw_kg_per_m3", "200"),
    ("shrinkage_wet_mm", "2000"),
    ("shrinkage_dry_mm", "2000"),
    ("density_dry_kg_m3", "2800"),
    ("rule_pack_id", "'old'"),
    ("outcome", "'turned-down'"),
    ("note", "''"),
];

#[rustfmt::skip]
pub(super) const MIX_TRIAL_INGREDIENT: &[(&str, &str)] = &[
    ("firm_id", FIRM),
    ("site_id", "'old'"),
    ("mix_trial_id", "'old'"),
    ("position", "1"),
    ("material_id", "'old'"),
    ("parts", "100"),
];

#[rustfmt::skip]
pub(super) const MIX_TRIAL_CRUSHED: &[(&str, &str)] = &[
    ("firm_id", FIRM),
    ("site_id", "'old'"),
    ("mix_trial_id", "'old'"),
    ("position", "1"),
    ("load_kn", "10000"),
    ("width_mm", "10"),
    ("depth_mm", "1000"),
];

#[rustfmt::skip]
pub(super) const MIX_TRIAL_BROKEN: &[(&str, &str)] = &[
    ("firm_id", FIRM),
    ("site_id", "'old'"),
    ("mix_trial_id", "'old'"),
    ("position", "1"),
    ("load_kn", "0.001"),
    ("span_mm", "2000"),
    ("width_mm", "1000"),
    ("height_mm", "10"),
];

#[rustfmt::skip]
pub(super) const MIX: &[(&str, &str)] = &[
    ("firm_id", FIRM),
    ("mix_id", "'old'"),
    ("display_name", "'Old'"),
    ("bucket_l", "5000"),
    ("buckets_per_part", "0.1"),
    ("density_dry_kg_m3", "2800"),
    ("batch_yield_l", "10000"),
    ("straw_material_id", "'old'"),
    ("straw_kg_per_m3", "200"),
    ("water_material_id", "'old'"),
    ("water_percent", "300"),
    ("waste_percent", "50"),
    ("purpose", "'fill'"),
    ("measure", "'mixer-drum'"),
    ("mixing", "'drum-mixer'"),
    ("density_evidence", "'measured'"),
    ("trial_site_id", "null"),
    ("trial_id", "null"),
    ("source", "'made up'"),
    ("version", "1"),
];

#[rustfmt::skip]
pub(super) const MIX_INGREDIENT: &[(&str, &str)] = &[
    ("firm_id", FIRM),
    ("mix_id", "'old'"),
    ("position", "1"),
    ("material_id", "'old'"),
    ("parts", "100"),
];

#[rustfmt::skip]
pub(super) const CREW: &[(&str, &str)] = &[
    ("firm_id", FIRM),
    ("crew_id", "'old'"),
    ("display_name", "'Old'"),
    ("hours_factor", "10"),
    ("source", "'made up'"),
    ("version", "1"),
];

#[rustfmt::skip]
pub(super) const CREW_GRADE: &[(&str, &str)] = &[
    ("firm_id", FIRM),
    ("crew_id", "'old'"),
    ("position", "1"),
    ("grade", "'lead'"),
    ("share_percent", "100"),
];

#[rustfmt::skip]
pub(super) const LABOUR_CONSTANT: &[(&str, &str)] = &[
    ("firm_id", FIRM),
    ("labour_constant_id", "'old'"),
    ("display_name", "'Old'"),
    ("task", "'place'"),
    ("method", "'tarp'"),
    ("driver", "'m3-placed'"),
    ("low_hours", "0"),
    ("likely_hours", "4"),
    ("high_hours", "10000"),
    ("source", "'made up'"),
    ("version", "1"),
];

#[rustfmt::skip]
pub(super) const LABOUR_CONSTANT_GRADE: &[(&str, &str)] = &[
    ("firm_id", FIRM),
    ("labour_constant_id", "'old'"),
    ("position", "1"),
    ("grade", "'lead'"),
    ("share_percent", "100"),
];

#[rustfmt::skip]
pub(super) const JOB: &[(&str, &str)] = &[
    ("firm_id", FIRM),
    ("job_id", "'old'"),
    ("display_name", "'Old'"),
    ("site_id", "'old'"),
    ("body", r"'\x00'"),
    ("version", "1"),
];

#[rustfmt::skip]
pub(super) const ESTIMATE: &[(&str, &str)] = &[
    ("firm_id", FIRM),
    ("job_id", "'old'"),
    ("estimate_id", "'old'"),
    ("price_date", "'1900-01-01'"),
    ("region_id", "'old'"),
    ("currency_code", "'EUR'"),
    ("total", "999999999999999"),
    ("batch_count", "0"),
    ("engine_version", "'0.1.0'"),
    ("body", r"'\x00'"),
];

/// The digest of the bytes of a quote without a comparison.
pub(super) const DIGEST: &str =
    r"sha256(int8send(1) || '\x00' || int8send(1) || '\x01' || int8send(0))";

#[rustfmt::skip]
pub(super) const QUOTE: &[(&str, &str)] = &[
    ("firm_id", FIRM),
    ("quote_number", "1"),
    ("job_id", "'old'"),
    ("estimate_id", "'old'"),
    ("client", "repeat('a', 200)"),
    ("issue_date", "'2026-05-01'"),
    ("valid_until_date", "'2027-05-01'"),
    ("currency_code", "'EUR'"),
    ("total", "999999999999999"),
    ("lift_count", "0"),
    ("revised_number", "null"),
    ("offer", r"'\x00'"),
    ("estimate", r"'\x01'"),
    ("comparison", "null"),
    ("digest", DIGEST),
];

/// What makes the first quote a revision of the second.
#[rustfmt::skip]
pub(super) const REVISION: &[(&str, &str)] = &[
    ("revised_number", "2"),
    ("comparison", r"'\x02'"),
    ("digest", r"sha256(int8send(1) || '\x00' || int8send(1) || '\x01' || int8send(1) || '\x02')"),
];

/// Of the first quote, and its second event: its issue has come with it.
#[rustfmt::skip]
pub(super) const QUOTE_EVENT: &[(&str, &str)] = &[
    ("firm_id", FIRM),
    ("quote_number", "1"),
    ("sequence", "2"),
    ("state", "'accepted'"),
    ("event_date", "'2027-05-01'"),
    ("note", "repeat('a', 400)"),
];

#[rustfmt::skip]
pub(super) const VARIATION: &[(&str, &str)] = &[
    ("firm_id", FIRM),
    ("quote_number", "1"),
    ("variation_number", "1"),
    ("agreed_date", "'2027-05-01'"),
    ("days", "-1000"),
    ("total", "-999999999999999"),
    ("body", r"'\x00'"),
];

#[rustfmt::skip]
pub(super) const PAST_VERSION: &[(&str, &str)] = &[
    ("firm_id", FIRM),
    ("name", "repeat('a', 200)"),
    ("version", "1"),
    ("body", r"'\x00'"),
];

#[rustfmt::skip]
pub(super) const REQUEST: &[(&str, &str)] = &[
    ("firm_id", FIRM),
    ("request_id", "'00000000-0000-4000-8000-00000000000a'"),
    ("method", "'CreateSite'"),
    ("request_sha256", SHA),
    ("response", "''"),
];

/// What makes a valid row another row, so that only the change that follows is at fault. A table that is not here has
/// a row of its own by the change itself.
#[rustfmt::skip]
pub(super) const AFRESH: &[Row] = &[
    ("firm", &[("firm_id", "gen_random_uuid()")]),
    ("access_token", &[("token_sha256", "decode(repeat('0b', 32), 'hex')")]),
    ("region", &[("region_id", "'new'")]),
    ("region_tax", &[("position", "2")]),
    ("region_allowance", &[("position", "2")]),
    ("region_tax", REGION_TAX),
    ("region_allowance", REGION_ALLOWANCE),
    ("region_list", &[("region_id", "'other'")]),
    ("material", &[("material_id", "'new'")]),
    ("price", &[("price_id", "'new'"), ("in_force", "'[2026-07-01,)'")]),
    ("labour_rate", &[("labour_rate_id", "'new'"), ("in_force", "'[2026-07-01,)'")]),
    ("site", &[("site_id", "'new'")]),
    ("soil_test", &[("soil_test_id", "'new'")]),
    ("soil_observation", &[("position", "2"), ("observation", "'salts'")]),
    ("rule_pack", &[("rule_pack_id", "'new'")]),
    ("rule_pack_rule", &[("position", "2"), ("kind", "'compression-kpa-min'")]),
    ("mix_trial", &[("mix_trial_id", "'new'")]),
    ("mix_trial_ingredient", &[("position", "2"), ("material_id", "'other'")]),
    ("mix_trial_crushed", &[("position", "2")]),
    ("mix_trial_broken", &[("position", "2")]),
    ("mix", &[("mix_id", "'new'")]),
    ("mix_ingredient", &[("position", "2"), ("material_id", "'other'")]),
    ("crew", &[("crew_id", "'new'")]),
    ("crew_grade", &[("position", "2"), ("grade", "'helper'")]),
    ("labour_constant", &[("labour_constant_id", "'new'"), ("driver", "'batch'")]),
    ("labour_constant_grade", &[("position", "2"), ("grade", "'helper'")]),
    ("job", &[("job_id", "'new'")]),
    ("estimate", &[("estimate_id", "'new'")]),
    ("quote", &[("quote_number", "4")]),
    // Of the quote that revises the second: it is open.
    ("quote_event", &[("quote_number", "3"), ("state", "'declined'")]),
    ("quote_counter", &[]),
    ("variation", &[("variation_number", "2")]),
    ("past_version", &[("version", "2")]),
    ("request", &[("request_id", "'00000000-0000-4000-8000-00000000000b'")]),
];
