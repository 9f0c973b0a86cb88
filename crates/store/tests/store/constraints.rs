//! Each constraint of the database and a row that it refuses, by name.
//!
//! A row is a valid one with one value (or the few that belong together) changed, written as SQL, past the store and
//! past the types of the middle: the database is the second lock. That the valid rows are accepted is the first test;
//! that no constraint is left out, the last.

use std::collections::BTreeSet;

use hod_testkit::database::TestDatabase;
use sqlx::{AssertSqlSafe, PgConnection, PgPool};

/// Table, columns and values of a row that is there before each bad one is tried. `FIRM` is a uuid.
const STANDING: &[Row] = &[
    (
        "firm",
        &[("firm_id", FIRM), ("display_name", "'Barrow Down Walls'")],
    ),
    (
        "access_token",
        &[
            ("token_sha256", SHA),
            ("firm_id", FIRM),
            ("role", "'owner'"),
        ],
    ),
    ("region", REGION),
    (
        "region_list",
        &[
            ("firm_id", FIRM),
            ("region_id", "'old'"),
            ("currency_code", "'EUR'"),
            ("version", "2"),
        ],
    ),
    ("material", MATERIAL),
    ("price", PRICE),
    ("labour_rate", LABOUR_RATE),
    ("site", SITE),
    ("soil_test", JAR),
    ("mix", MIX),
    ("mix_ingredient", MIX_INGREDIENT),
    ("crew", CREW),
    ("crew_grade", CREW_GRADE),
    ("labour_constant", LABOUR_CONSTANT),
    ("labour_constant_grade", LABOUR_CONSTANT_GRADE),
    ("job", JOB),
    ("estimate", ESTIMATE),
    ("request", REQUEST),
];

type Row = (&'static str, &'static [(&'static str, &'static str)]);

const FIRM: &str = "'00000000-0000-4000-8000-000000000001'";
const SHA: &str = r"decode(repeat('0a', 32), 'hex')";

const REGION: &[(&str, &str)] = &[
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
    ("tax_label", "''"),
    ("tax_percent", "0"),
    ("tax_basis", "'line'"),
    ("version", "1"),
];

const MATERIAL: &[(&str, &str)] = &[
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
    ("source", "'made up'"),
    ("version", "1"),
];

const PRICE: &[(&str, &str)] = &[
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
];

const LABOUR_RATE: &[(&str, &str)] = &[
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
];

const SITE: &[(&str, &str)] = &[
    ("firm_id", FIRM),
    ("site_id", "'old'"),
    ("display_name", "'Old'"),
    ("region_id", "'old'"),
    ("haul_distance_m", "2000"),
    ("version", "1"),
];

const JAR: &[(&str, &str)] = &[
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
];

const MIX: &[(&str, &str)] = &[
    ("firm_id", FIRM),
    ("mix_id", "'old'"),
    ("display_name", "'Old'"),
    ("bucket_l", "200"),
    ("buckets_per_part", "0.1"),
    ("density_dry_kg_m3", "2200"),
    ("batch_yield_l", "10000"),
    ("straw_material_id", "'old'"),
    ("straw_kg_per_m3", "200"),
    ("water_material_id", "'old'"),
    ("water_percent", "60"),
    ("waste_percent", "50"),
    ("source", "'made up'"),
    ("version", "1"),
];

const MIX_INGREDIENT: &[(&str, &str)] = &[
    ("firm_id", FIRM),
    ("mix_id", "'old'"),
    ("position", "1"),
    ("material_id", "'old'"),
    ("parts", "100"),
];

const CREW: &[(&str, &str)] = &[
    ("firm_id", FIRM),
    ("crew_id", "'old'"),
    ("display_name", "'Old'"),
    ("hours_factor", "10"),
    ("source", "'made up'"),
    ("version", "1"),
];

const CREW_GRADE: &[(&str, &str)] = &[
    ("firm_id", FIRM),
    ("crew_id", "'old'"),
    ("position", "1"),
    ("grade", "'lead'"),
    ("share_percent", "100"),
];

const LABOUR_CONSTANT: &[(&str, &str)] = &[
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

const LABOUR_CONSTANT_GRADE: &[(&str, &str)] = &[
    ("firm_id", FIRM),
    ("labour_constant_id", "'old'"),
    ("position", "1"),
    ("grade", "'lead'"),
    ("share_percent", "100"),
];

const JOB: &[(&str, &str)] = &[
    ("firm_id", FIRM),
    ("job_id", "'old'"),
    ("display_name", "'Old'"),
    ("site_id", "'old'"),
    ("body", r"'\x00'"),
    ("version", "1"),
];

const ESTIMATE: &[(&str, &str)] = &[
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

const REQUEST: &[(&str, &str)] = &[
    ("firm_id", FIRM),
    ("request_id", "'00000000-0000-4000-8000-00000000000a'"),
    ("method", "'CreateSite'"),
    ("request_sha256", SHA),
    ("response", "''"),
];

/// What makes a valid row another row, so that only the change that follows is at fault. A table that is not here has
/// a row of its own by the change itself.
const AFRESH: &[Row] = &[
    ("firm", &[("firm_id", "gen_random_uuid()")]),
    (
        "access_token",
        &[("token_sha256", "decode(repeat('0b', 32), 'hex')")],
    ),
    ("region", &[("region_id", "'new'")]),
    ("region_list", &[("region_id", "'other'")]),
    ("material", &[("material_id", "'new'")]),
    (
        "price",
        &[("price_id", "'new'"), ("in_force", "'[2026-07-01,)'")],
    ),
    (
        "labour_rate",
        &[("labour_rate_id", "'new'"), ("in_force", "'[2026-07-01,)'")],
    ),
    ("site", &[("site_id", "'new'")]),
    ("soil_test", &[("soil_test_id", "'new'")]),
    ("mix", &[("mix_id", "'new'")]),
    (
        "mix_ingredient",
        &[("position", "2"), ("material_id", "'other'")],
    ),
    ("crew", &[("crew_id", "'new'")]),
    ("crew_grade", &[("position", "2"), ("grade", "'helper'")]),
    ("labour_constant", &[("labour_constant_id", "'new'")]),
    (
        "labour_constant_grade",
        &[("position", "2"), ("grade", "'helper'")],
    ),
    ("job", &[("job_id", "'new'")]),
    ("estimate", &[("estimate_id", "'new'")]),
    (
        "request",
        &[("request_id", "'00000000-0000-4000-8000-00000000000b'")],
    ),
];

/// Rule, table, and the change that breaks it.
type Broken = (
    &'static str,
    &'static str,
    &'static [(&'static str, &'static str)],
);

const NOBODY: (&str, &str) = ("firm_id", "'00000000-0000-4000-8000-000000000009'");
const LABORATORY: (&str, &str) = ("method", "'laboratory'");
const NO_SAND: (&str, &str) = ("sand_mm", "null");
const NO_SILT: (&str, &str) = ("silt_mm", "null");
const NO_CLAY: (&str, &str) = ("clay_mm", "null");

const BROKEN: &[Broken] = &[
    ("firm_key", "firm", &[("firm_id", FIRM)]),
    (
        "firm_display_name_length",
        "firm",
        &[("display_name", "''")],
    ),
    (
        "firm_display_name_length",
        "firm",
        &[("display_name", "repeat('a', 121)")],
    ),
    //
    ("access_token_key", "access_token", &[("token_sha256", SHA)]),
    ("access_token_firm_exists", "access_token", &[NOBODY]),
    (
        "access_token_sha256_length",
        "access_token",
        &[("token_sha256", r"'\x0a'")],
    ),
    (
        "access_token_role_known",
        "access_token",
        &[("role", "'guest'")],
    ),
    (
        "access_token_revoked_after_created",
        "access_token",
        &[("revoked_at", "'2001-01-01'")],
    ),
    //
    ("region_key", "region", &[("region_id", "'old'")]),
    ("region_firm_exists", "region", &[NOBODY]),
    (
        "region_parent_exists",
        "region",
        &[("parent_region_id", "'nowhere'")],
    ),
    (
        "region_parent_has_its_currency",
        "region",
        &[("parent_region_id", "'old'"), ("currency_code", "'GBP'")],
    ),
    (
        "region_id_well_formed",
        "region",
        &[("region_id", "'-new'")],
    ),
    ("region_id_well_formed", "region", &[("region_id", "'New'")]),
    (
        "region_id_well_formed",
        "region",
        &[("region_id", "'new-'")],
    ),
    (
        "region_id_well_formed",
        "region",
        &[("region_id", "repeat('a', 64)")],
    ),
    (
        "region_id_well_formed",
        "region",
        &[("region_id", "E'new\\n'")],
    ),
    (
        "region_id_well_formed",
        "region",
        &[("region_id", "'n\u{e4}w'")],
    ),
    (
        "region_display_name_length",
        "region",
        &[("display_name", "''")],
    ),
    (
        "region_parent_is_another",
        "region",
        &[("parent_region_id", "'new'")],
    ),
    (
        "region_currency_is_a_code",
        "region",
        &[("currency_code", "'EURO'")],
    ),
    ("region_rounding_known", "region", &[("rounding", "'down'")]),
    (
        "region_site_overhead_in_range",
        "region",
        &[("site_overhead_percent", "100.000000000001")],
    ),
    (
        "region_site_overhead_in_range",
        "region",
        &[("site_overhead_percent", "'NaN'")],
    ),
    (
        "region_firm_overhead_in_range",
        "region",
        &[("firm_overhead_percent", "-0.000000000001")],
    ),
    (
        "region_firm_overhead_in_range",
        "region",
        &[("firm_overhead_percent", "'NaN'")],
    ),
    (
        "region_contingency_in_range",
        "region",
        &[("contingency_percent", "999999999999999")],
    ),
    (
        "region_contingency_in_range",
        "region",
        &[("contingency_percent", "'NaN'")],
    ),
    (
        "region_profit_in_range",
        "region",
        &[
            ("profit_percent", "101"),
            ("profit_basis", "'markup-on-cost'"),
        ],
    ),
    (
        "region_profit_in_range",
        "region",
        &[
            ("profit_percent", "'NaN'"),
            ("profit_basis", "'markup-on-cost'"),
        ],
    ),
    (
        "region_profit_basis_known",
        "region",
        &[("profit_basis", "'guess'")],
    ),
    (
        "region_margin_below_whole",
        "region",
        &[("profit_percent", "100")],
    ),
    (
        "region_tax_label_length",
        "region",
        &[("tax_label", "repeat('a', 41)")],
    ),
    ("region_tax_in_range", "region", &[("tax_percent", "-1")]),
    ("region_tax_in_range", "region", &[("tax_percent", "'NaN'")]),
    (
        "region_tax_basis_known",
        "region",
        &[("tax_basis", "'month'")],
    ),
    ("region_version_positive", "region", &[("version", "0")]),
    //
    ("region_list_key", "region_list", &[("region_id", "'old'")]),
    (
        "region_list_region_exists",
        "region_list",
        &[("region_id", "'nowhere'")],
    ),
    (
        "region_list_has_its_currency",
        "region_list",
        &[("currency_code", "'GBP'")],
    ),
    (
        "region_list_version_positive",
        "region_list",
        &[("version", "0")],
    ),
    //
    ("material_key", "material", &[("material_id", "'old'")]),
    ("material_firm_exists", "material", &[NOBODY]),
    (
        "material_id_well_formed",
        "material",
        &[("material_id", "'2new'")],
    ),
    (
        "material_display_name_length",
        "material",
        &[("display_name", "repeat('a', 121)")],
    ),
    (
        "material_supply_known",
        "material",
        &[("supply", "'found'")],
    ),
    (
        "material_purchase_unit_known",
        "material",
        &[("purchase_unit", "'m2'")],
    ),
    (
        "material_density_in_range",
        "material",
        &[("density_loose_kg_m3", "9.999999999999")],
    ),
    (
        "material_density_in_range",
        "material",
        &[("density_loose_kg_m3", "'NaN'")],
    ),
    (
        "material_bulking_in_range",
        "material",
        &[("bulking_percent", "61")],
    ),
    (
        "material_bulking_in_range",
        "material",
        &[("bulking_percent", "'NaN'")],
    ),
    (
        "material_swell_in_range",
        "material",
        &[("swell_percent", "-1")],
    ),
    (
        "material_swell_in_range",
        "material",
        &[("swell_percent", "'NaN'")],
    ),
    (
        "material_moisture_in_range",
        "material",
        &[("moisture_percent", "61")],
    ),
    (
        "material_moisture_in_range",
        "material",
        &[("moisture_percent", "'NaN'")],
    ),
    (
        "material_mass_per_unit_in_range",
        "material",
        &[("mass_per_unit_kg", "5001")],
    ),
    (
        "material_mass_per_unit_in_range",
        "material",
        &[("mass_per_unit_kg", "'NaN'")],
    ),
    ("material_source_length", "material", &[("source", "''")]),
    ("material_version_positive", "material", &[("version", "0")]),
    //
    (
        "price_key",
        "price",
        &[("price_id", "'old'"), ("version_out", "2")],
    ),
    ("price_list_exists", "price", &[("region_id", "'other'")]),
    (
        "price_material_exists",
        "price",
        &[("material_id", "'nothing'")],
    ),
    ("price_unit_is_the_materials", "price", &[("unit", "'t'")]),
    ("price_id_well_formed", "price", &[("price_id", "'a_b'")]),
    ("price_version_in_positive", "price", &[("version_in", "0")]),
    (
        "price_goes_out_after_it_came_in",
        "price",
        &[("version_in", "2"), ("version_out", "2")],
    ),
    (
        "price_unit_price_in_range",
        "price",
        &[("unit_price", "-0.000001")],
    ),
    (
        "price_unit_price_in_range",
        "price",
        &[("unit_price", "999999999.000001")],
    ),
    (
        "price_unit_price_in_range",
        "price",
        &[("unit_price", "'NaN'")],
    ),
    (
        "price_in_force_not_empty",
        "price",
        &[("in_force", "'empty'")],
    ),
    (
        "price_in_force_has_a_start",
        "price",
        &[("in_force", "'(,2025-01-01)'")],
    ),
    (
        "price_in_force_in_calendar",
        "price",
        &[("in_force", "'[1899-12-31,2025-01-01)'")],
    ),
    (
        "price_in_force_in_calendar",
        "price",
        &[("in_force", "'[2026-07-01,2200-01-02)'")],
    ),
    (
        "price_in_force_in_calendar",
        "price",
        &[("in_force", "'[2026-07-01,infinity)'")],
    ),
    (
        "price_in_force_in_calendar",
        "price",
        &[("in_force", "'[2200-01-01,)'")],
    ),
    (
        "price_supplier_length",
        "price",
        &[("supplier", "repeat('a', 121)")],
    ),
    (
        "price_source_length",
        "price",
        &[("source", "repeat('a', 401)")],
    ),
    (
        "price_no_overlap",
        "price",
        &[("in_force", "'[2026-06-30,2026-07-02)'")],
    ),
    (
        "price_once_in_a_list",
        "price",
        &[("price_id", "'old'"), ("version_in", "2")],
    ),
    //
    (
        "labour_rate_key",
        "labour_rate",
        &[("labour_rate_id", "'old'"), ("version_out", "2")],
    ),
    (
        "labour_rate_list_exists",
        "labour_rate",
        &[("region_id", "'other'")],
    ),
    (
        "labour_rate_id_well_formed",
        "labour_rate",
        &[("labour_rate_id", "''")],
    ),
    (
        "labour_rate_grade_well_formed",
        "labour_rate",
        &[("grade", "'Lead'")],
    ),
    (
        "labour_rate_version_in_positive",
        "labour_rate",
        &[("version_in", "-1")],
    ),
    (
        "labour_rate_goes_out_after_it_came_in",
        "labour_rate",
        &[("version_in", "2"), ("version_out", "1")],
    ),
    (
        "labour_rate_wage_in_range",
        "labour_rate",
        &[("wage_per_hour", "999999.0001")],
    ),
    (
        "labour_rate_wage_in_range",
        "labour_rate",
        &[("wage_per_hour", "'NaN'")],
    ),
    (
        "labour_rate_burden_in_range",
        "labour_rate",
        &[("burden_percent", "301")],
    ),
    (
        "labour_rate_burden_in_range",
        "labour_rate",
        &[("burden_percent", "'NaN'")],
    ),
    (
        "labour_rate_in_force_not_empty",
        "labour_rate",
        &[("in_force", "'[2026-07-01,2026-07-01)'")],
    ),
    (
        "labour_rate_in_force_has_a_start",
        "labour_rate",
        &[("in_force", "'(,2025-01-01)'")],
    ),
    (
        "labour_rate_in_force_in_calendar",
        "labour_rate",
        &[("in_force", "'[-infinity,2025-01-01)'")],
    ),
    (
        "labour_rate_in_force_in_calendar",
        "labour_rate",
        &[("in_force", "'[2026-07-01,infinity)'")],
    ),
    (
        "labour_rate_source_length",
        "labour_rate",
        &[("source", "repeat('a', 401)")],
    ),
    (
        "labour_rate_no_overlap",
        "labour_rate",
        &[("in_force", "'[2025-01-01,)'")],
    ),
    (
        "labour_rate_once_in_a_list",
        "labour_rate",
        &[("labour_rate_id", "'old'"), ("version_in", "2")],
    ),
    //
    ("site_key", "site", &[("site_id", "'old'")]),
    ("site_firm_exists", "site", &[NOBODY]),
    ("site_region_exists", "site", &[("region_id", "'nowhere'")]),
    ("site_id_well_formed", "site", &[("site_id", "'new site'")]),
    (
        "site_display_name_length",
        "site",
        &[("display_name", "''")],
    ),
    (
        "site_haul_distance_in_range",
        "site",
        &[("haul_distance_m", "2000.000000000001")],
    ),
    (
        "site_haul_distance_in_range",
        "site",
        &[("haul_distance_m", "'NaN'")],
    ),
    ("site_version_positive", "site", &[("version", "0")]),
    //
    ("soil_test_key", "soil_test", &[("soil_test_id", "'old'")]),
    (
        "soil_test_site_exists",
        "soil_test",
        &[("site_id", "'nowhere'")],
    ),
    (
        "soil_test_id_well_formed",
        "soil_test",
        &[("soil_test_id", "'-'")],
    ),
    (
        "soil_test_method_known",
        "soil_test",
        &[("method", "'taste'"), NO_SAND, NO_SILT, NO_CLAY],
    ),
    (
        "soil_test_sample_date_in_calendar",
        "soil_test",
        &[("sample_date", "'2200-01-01'")],
    ),
    (
        "soil_test_sample_date_in_calendar",
        "soil_test",
        &[("sample_date", "'infinity'")],
    ),
    (
        "soil_test_depth_in_range",
        "soil_test",
        &[("depth_m", "20.1")],
    ),
    (
        "soil_test_depth_in_range",
        "soil_test",
        &[("depth_m", "'NaN'")],
    ),
    // If and only if, each way: a jar that lacks a height, and one height in a laboratory's test.
    ("soil_test_jar_has_heights", "soil_test", &[NO_SILT]),
    (
        "soil_test_jar_has_heights",
        "soil_test",
        &[
            LABORATORY,
            NO_SAND,
            NO_SILT,
            ("clay_mm", "1"),
            ("sand_percent", "50"),
            ("silt_percent", "25"),
            ("clay_percent", "25"),
        ],
    ),
    (
        "soil_test_laboratory_has_shares",
        "soil_test",
        &[("clay_percent", "20")],
    ),
    (
        "soil_test_laboratory_has_shares",
        "soil_test",
        &[
            LABORATORY,
            NO_SAND,
            NO_SILT,
            NO_CLAY,
            ("sand_percent", "50"),
            ("silt_percent", "50"),
        ],
    ),
    (
        "soil_test_heights_in_range",
        "soil_test",
        &[("silt_mm", "1000.5")],
    ),
    (
        "soil_test_heights_in_range",
        "soil_test",
        &[("clay_mm", "'NaN'")],
    ),
    ("soil_test_jar_not_empty", "soil_test", &[("sand_mm", "0")]),
    (
        "soil_test_shares_in_range",
        "soil_test",
        &[
            LABORATORY,
            NO_SAND,
            NO_SILT,
            NO_CLAY,
            ("sand_percent", "120"),
            ("silt_percent", "-20"),
            ("clay_percent", "0"),
        ],
    ),
    (
        "soil_test_shares_total_whole",
        "soil_test",
        &[
            LABORATORY,
            NO_SAND,
            NO_SILT,
            NO_CLAY,
            ("sand_percent", "60"),
            ("silt_percent", "20"),
            ("clay_percent", "20.000000000001"),
        ],
    ),
    (
        "soil_test_note_length",
        "soil_test",
        &[("note", "repeat('a', 2001)")],
    ),
    //
    ("mix_key", "mix", &[("mix_id", "'old'")]),
    (
        "mix_firm_exists",
        "mix",
        &[
            NOBODY,
            ("straw_material_id", "null"),
            ("straw_kg_per_m3", "null"),
            ("water_material_id", "null"),
        ],
    ),
    (
        "mix_straw_exists",
        "mix",
        &[("straw_material_id", "'nothing'")],
    ),
    (
        "mix_water_exists",
        "mix",
        &[("water_material_id", "'nothing'")],
    ),
    ("mix_id_well_formed", "mix", &[("mix_id", "'NEW'")]),
    ("mix_display_name_length", "mix", &[("display_name", "''")]),
    (
        "mix_bucket_in_range",
        "mix",
        &[("bucket_l", "0.999999999999")],
    ),
    ("mix_bucket_in_range", "mix", &[("bucket_l", "'NaN'")]),
    (
        "mix_buckets_per_part_in_range",
        "mix",
        &[("buckets_per_part", "100.1")],
    ),
    (
        "mix_buckets_per_part_in_range",
        "mix",
        &[("buckets_per_part", "'NaN'")],
    ),
    (
        "mix_density_in_range",
        "mix",
        &[("density_dry_kg_m3", "799")],
    ),
    (
        "mix_density_in_range",
        "mix",
        &[("density_dry_kg_m3", "'NaN'")],
    ),
    ("mix_batch_yield_in_range", "mix", &[("batch_yield_l", "0")]),
    (
        "mix_batch_yield_in_range",
        "mix",
        &[("batch_yield_l", "'NaN'")],
    ),
    // If and only if, each way.
    (
        "mix_straw_iff_weighed",
        "mix",
        &[("straw_material_id", "null")],
    ),
    (
        "mix_straw_iff_weighed",
        "mix",
        &[("straw_kg_per_m3", "null")],
    ),
    ("mix_straw_in_range", "mix", &[("straw_kg_per_m3", "200.1")]),
    ("mix_straw_in_range", "mix", &[("straw_kg_per_m3", "'NaN'")]),
    ("mix_water_in_range", "mix", &[("water_percent", "60.1")]),
    ("mix_water_in_range", "mix", &[("water_percent", "'NaN'")]),
    ("mix_waste_in_range", "mix", &[("waste_percent", "50.1")]),
    ("mix_waste_in_range", "mix", &[("waste_percent", "'NaN'")]),
    ("mix_source_length", "mix", &[("source", "''")]),
    ("mix_version_positive", "mix", &[("version", "0")]),
    //
    ("mix_ingredient_key", "mix_ingredient", &[("position", "1")]),
    (
        "mix_ingredient_mix_exists",
        "mix_ingredient",
        &[("mix_id", "'nothing'")],
    ),
    (
        "mix_ingredient_material_exists",
        "mix_ingredient",
        &[("material_id", "'nothing'")],
    ),
    (
        "mix_ingredient_material_once",
        "mix_ingredient",
        &[("material_id", "'old'")],
    ),
    (
        "mix_ingredient_at_most_8",
        "mix_ingredient",
        &[("position", "9")],
    ),
    (
        "mix_ingredient_at_most_8",
        "mix_ingredient",
        &[("position", "0")],
    ),
    (
        "mix_ingredient_parts_in_range",
        "mix_ingredient",
        &[("parts", "0.009")],
    ),
    (
        "mix_ingredient_parts_in_range",
        "mix_ingredient",
        &[("parts", "'NaN'")],
    ),
    //
    ("crew_key", "crew", &[("crew_id", "'old'")]),
    ("crew_firm_exists", "crew", &[NOBODY]),
    ("crew_id_well_formed", "crew", &[("crew_id", "'new--'")]),
    (
        "crew_display_name_length",
        "crew",
        &[("display_name", "''")],
    ),
    (
        "crew_hours_factor_in_range",
        "crew",
        &[("hours_factor", "0.099")],
    ),
    (
        "crew_hours_factor_in_range",
        "crew",
        &[("hours_factor", "'NaN'")],
    ),
    (
        "crew_source_length",
        "crew",
        &[("source", "repeat('a', 401)")],
    ),
    ("crew_version_positive", "crew", &[("version", "0")]),
    //
    ("crew_grade_key", "crew_grade", &[("position", "1")]),
    (
        "crew_grade_crew_exists",
        "crew_grade",
        &[("crew_id", "'nobody'")],
    ),
    ("crew_grade_once", "crew_grade", &[("grade", "'lead'")]),
    ("crew_grade_at_most_20", "crew_grade", &[("position", "21")]),
    (
        "crew_grade_well_formed",
        "crew_grade",
        &[("grade", "'a b'")],
    ),
    (
        "crew_grade_share_in_range",
        "crew_grade",
        &[("share_percent", "100.1")],
    ),
    (
        "crew_grade_share_in_range",
        "crew_grade",
        &[("share_percent", "'NaN'")],
    ),
    //
    (
        "labour_constant_key",
        "labour_constant",
        &[("labour_constant_id", "'old'")],
    ),
    ("labour_constant_firm_exists", "labour_constant", &[NOBODY]),
    (
        "labour_constant_id_well_formed",
        "labour_constant",
        &[("labour_constant_id", "'n.w'")],
    ),
    (
        "labour_constant_display_name_length",
        "labour_constant",
        &[("display_name", "''")],
    ),
    (
        "labour_constant_task_known",
        "labour_constant",
        &[("task", "'rest'")],
    ),
    (
        "labour_constant_method_well_formed",
        "labour_constant",
        &[("method", "'A tarp'")],
    ),
    (
        "labour_constant_driver_known",
        "labour_constant",
        &[("driver", "'m3'")],
    ),
    (
        "labour_constant_low_in_range",
        "labour_constant",
        &[("low_hours", "-1")],
    ),
    // NaN stands above every number, so that a NaN at the low end puts the likely hours below it first.
    (
        "labour_constant_high_in_range",
        "labour_constant",
        &[("high_hours", "10000.1")],
    ),
    (
        "labour_constant_high_in_range",
        "labour_constant",
        &[("high_hours", "'NaN'")],
    ),
    (
        "labour_constant_likely_between_low_and_high",
        "labour_constant",
        &[("low_hours", "4.000000000001")],
    ),
    (
        "labour_constant_likely_between_low_and_high",
        "labour_constant",
        &[("high_hours", "3.999999999999")],
    ),
    (
        "labour_constant_likely_between_low_and_high",
        "labour_constant",
        &[("likely_hours", "'NaN'")],
    ),
    (
        "labour_constant_source_length",
        "labour_constant",
        &[("source", "''")],
    ),
    (
        "labour_constant_version_positive",
        "labour_constant",
        &[("version", "0")],
    ),
    //
    (
        "labour_constant_grade_key",
        "labour_constant_grade",
        &[("position", "1")],
    ),
    (
        "labour_constant_grade_constant_exists",
        "labour_constant_grade",
        &[("labour_constant_id", "'nothing'")],
    ),
    (
        "labour_constant_grade_once",
        "labour_constant_grade",
        &[("grade", "'lead'")],
    ),
    (
        "labour_constant_grade_at_most_20",
        "labour_constant_grade",
        &[("position", "0")],
    ),
    (
        "labour_constant_grade_well_formed",
        "labour_constant_grade",
        &[("grade", "''")],
    ),
    (
        "labour_constant_grade_share_in_range",
        "labour_constant_grade",
        &[("share_percent", "-1")],
    ),
    (
        "labour_constant_grade_share_in_range",
        "labour_constant_grade",
        &[("share_percent", "'NaN'")],
    ),
    //
    ("job_key", "job", &[("job_id", "'old'")]),
    ("job_firm_exists", "job", &[NOBODY, ("site_id", "null")]),
    ("job_site_exists", "job", &[("site_id", "'nowhere'")]),
    ("job_id_well_formed", "job", &[("job_id", "'new/job'")]),
    ("job_display_name_length", "job", &[("display_name", "''")]),
    ("job_body_length", "job", &[("body", "''")]),
    (
        "job_body_length",
        "job",
        &[("body", "decode(repeat('00', 8388609), 'hex')")],
    ),
    ("job_version_positive", "job", &[("version", "0")]),
    //
    ("estimate_key", "estimate", &[("estimate_id", "'old'")]),
    (
        "estimate_job_exists",
        "estimate",
        &[("job_id", "'nothing'")],
    ),
    (
        "estimate_region_exists",
        "estimate",
        &[("region_id", "'nowhere'")],
    ),
    (
        "estimate_id_well_formed",
        "estimate",
        &[("estimate_id", "'9'")],
    ),
    (
        "estimate_price_date_in_calendar",
        "estimate",
        &[("price_date", "'-infinity'")],
    ),
    (
        "estimate_currency_is_a_code",
        "estimate",
        &[("currency_code", "'eur'")],
    ),
    (
        "estimate_total_in_range",
        "estimate",
        &[("total", "-0.0001")],
    ),
    ("estimate_total_in_range", "estimate", &[("total", "'NaN'")]),
    (
        "estimate_batch_count_not_negative",
        "estimate",
        &[("batch_count", "-1")],
    ),
    (
        "estimate_engine_version_length",
        "estimate",
        &[("engine_version", "''")],
    ),
    ("estimate_body_length", "estimate", &[("body", "''")]),
    //
    (
        "request_key",
        "request",
        &[("request_id", "'00000000-0000-4000-8000-00000000000a'")],
    ),
    ("request_firm_exists", "request", &[NOBODY]),
    ("request_method_length", "request", &[("method", "''")]),
    (
        "request_sha256_length",
        "request",
        &[("request_sha256", r"'\x00'")],
    ),
    (
        "request_response_length",
        "request",
        &[("response", "decode(repeat('00', 8388609), 'hex')")],
    ),
];

/// Constraints that the store tells as a name taken or as a thing missing; the others have a sentence.
const TOLD_BY_NAME: [&str; 21] = [
    "crew_key",
    "estimate_key",
    "estimate_region_exists",
    "job_key",
    "job_site_exists",
    "labour_constant_key",
    "material_key",
    "mix_ingredient_material_exists",
    "mix_key",
    "mix_straw_exists",
    "mix_water_exists",
    "price_material_exists",
    "region_key",
    "region_parent_exists",
    "request_key",
    "site_key",
    "site_region_exists",
    "soil_test_key",
    "soil_test_site_exists",
    // Of a new firm and a new token, whose names are random: only a fault of the program can meet them.
    "access_token_key",
    "firm_key",
];

/// Keys of rows that the store numbers itself, under the lock of what they belong to.
const NUMBERED_BY_THE_STORE: [&str; 6] = [
    "crew_grade_key",
    "labour_constant_grade_key",
    "labour_rate_key",
    "mix_ingredient_key",
    "price_key",
    "region_list_key",
];

/// Wider than the key beside them and so refusing nothing: they are what foreign keys over more columns point at.
const WIDER_THAN_THE_KEY: [&str; 2] = ["material_with_unit", "region_with_currency"];

fn insert(row: Row, changes: &[&[(&str, &str)]]) -> String {
    let (table, columns) = row;
    let mut columns = columns.to_vec();
    for (name, value) in changes.iter().flat_map(|change| change.iter()) {
        match columns.iter_mut().find(|(column, _)| column == name) {
            Some(column) => column.1 = value,
            None => columns.push((name, value)),
        }
    }
    let (names, values): (Vec<&str>, Vec<&str>) = columns.into_iter().unzip();
    format!(
        "insert into {table} ({}) values ({})",
        names.join(", "),
        values.join(", ")
    )
}

fn afresh(table: &str) -> &'static [(&'static str, &'static str)] {
    AFRESH.iter().find(|(name, _)| *name == table).unwrap().1
}

fn standing(table: &str) -> Row {
    *STANDING.iter().find(|(name, _)| *name == table).unwrap()
}

/// Puts every valid row in, and a region and a material more, in a transaction of the owner's that is never kept.
async fn stand(connection: &mut PgConnection) {
    let other_region = insert(standing("region"), &[&[("region_id", "'other'")]]);
    let other_material = insert(standing("material"), &[&[("material_id", "'other'")]]);
    set_firm(connection, FIRM).await;
    for row in STANDING {
        run(connection, insert(*row, &[])).await.unwrap();
        if row.0 == "material" {
            run(connection, other_region.clone()).await.unwrap();
            run(connection, other_material.clone()).await.unwrap();
        }
    }
}

async fn set_firm(connection: &mut PgConnection, firm: &str) {
    run(
        connection,
        format!("select set_config('hod.firm', {firm}, true)"),
    )
    .await
    .unwrap();
}

async fn run(connection: &mut PgConnection, statement: String) -> Result<(), sqlx::Error> {
    sqlx::raw_sql(AssertSqlSafe(statement))
        .execute(connection)
        .await
        .map(|_| ())
}

async fn owner() -> (TestDatabase, PgPool) {
    let database = TestDatabase::new().await;
    let pool = database.owner_pool().await;
    (database, pool)
}

#[tokio::test]
async fn the_rows_that_each_bad_one_differs_from_are_accepted() {
    let (_database, pool) = owner().await;
    let mut transaction = pool.begin().await.unwrap();
    stand(&mut transaction).await;
    for (table, _) in STANDING {
        let firm = if *table == "firm" {
            "'00000000-0000-4000-8000-000000000002'"
        } else {
            FIRM
        };
        set_firm(&mut transaction, firm).await;
        let change: &[(&str, &str)] = if *table == "firm" {
            &[("firm_id", firm)]
        } else {
            &[]
        };
        let row = insert(standing(table), &[afresh(table), change]);
        run(&mut transaction, row)
            .await
            .unwrap_or_else(|refusal| panic!("{table}: {refusal}"));
    }
}

#[tokio::test]
async fn each_constraint_refuses_a_row() {
    let (_database, pool) = owner().await;
    let mut transaction = pool.begin().await.unwrap();
    stand(&mut transaction).await;
    for (rule, table, change) in BROKEN {
        run(&mut transaction, "savepoint before".to_owned())
            .await
            .unwrap();
        // Row-level security would refuse a row of a firm that the session is not of, so the session is of that firm.
        let firm = change
            .iter()
            .find(|(column, _)| *column == "firm_id")
            .map_or(FIRM, |(_, firm)| firm);
        set_firm(&mut transaction, firm).await;
        let same_firm: &[(&str, &str)] = if *table == "firm" {
            &[("firm_id", FIRM)]
        } else {
            &[]
        };
        let row = insert(standing(table), &[afresh(table), same_firm, change]);
        let refusal = run(&mut transaction, row.clone()).await.expect_err(&row);
        let found = refusal
            .as_database_error()
            .and_then(|fault| fault.constraint().map(str::to_owned));
        assert_eq!(found.as_deref(), Some(*rule), "{row}: {refusal}");
        run(&mut transaction, "rollback to before".to_owned())
            .await
            .unwrap();
    }
}

#[tokio::test]
async fn the_table_above_has_every_constraint_of_the_database_and_no_other() {
    let (_database, pool) = owner().await;
    let mut all: BTreeSet<String> = sqlx::query_scalar(
        "select conname::text from pg_constraint where connamespace = 'public'::regnamespace \
         and contype in ('c', 'p', 'u', 'f', 'x') and conrelid::regclass::text <> '_sqlx_migrations' \
         union select indexrelid::regclass::text from pg_index join pg_class on pg_class.oid = indrelid \
         where indisunique and relnamespace = 'public'::regnamespace and relname <> '_sqlx_migrations'",
    )
    .fetch_all(&pool)
    .await
    .unwrap()
    .into_iter()
    .collect();
    for wider in WIDER_THAN_THE_KEY {
        assert!(all.remove(wider), "{wider}");
    }
    let tried: BTreeSet<String> = BROKEN.iter().map(|(rule, ..)| (*rule).to_owned()).collect();
    assert_eq!(tried, all);
}

#[tokio::test]
async fn every_constraint_is_told_in_a_sentence_or_by_the_name_of_a_thing() {
    for (rule, ..) in BROKEN {
        let by_name = TOLD_BY_NAME.contains(rule);
        let by_store = NUMBERED_BY_THE_STORE.contains(rule);
        let in_words = hod_store::sentence(rule).is_some_and(|sentence| sentence.ends_with('.'));
        assert!(
            u8::from(by_name) + u8::from(by_store) + u8::from(in_words) == 1,
            "{rule}"
        );
    }
}
