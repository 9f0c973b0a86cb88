-- Soil work: how a jar was read and what was seen of the soil, the limits that codes and standards set, and what trial
-- mixes did on the bench. The recipe comes from the ground, and the trial decides: a mix names the one that justified it.
-- What was kept before stays valid; the shares of a laboratory, each rounded to a tenth, may now be a tenth out together.

alter table soil_test
    add column jar_sand_mark_s numeric(27, 12),
    add column jar_silt_mark_min numeric(27, 12),
    add column jar_clay_mark_h numeric(27, 12),
    add column jar_water_height_mm numeric(27, 12),
    add column jar_water_celsius numeric(27, 12),
    add column ribbon_mm numeric(27, 12),
    add column drop_note text not null default '',
    drop constraint soil_test_method_known,
    add constraint soil_test_method_known check (method in ('by-hand', 'jar', 'laboratory')),
    -- Three shares that were each rounded to a tenth of a percent are out by a tenth at the most.
    drop constraint soil_test_shares_total_whole,
    add constraint soil_test_shares_total_whole check (abs(sand_percent + silt_percent + clay_percent - 100) <= 0.1),
    add constraint soil_test_protocol_is_of_a_jar check (method = 'jar'
        or num_nonnulls(jar_sand_mark_s, jar_silt_mark_min, jar_clay_mark_h, jar_water_height_mm, jar_water_celsius) = 0),
    -- All of it or none; the clay need not have been marked.
    add constraint soil_test_protocol_whole
        check (num_nonnulls(jar_sand_mark_s, jar_silt_mark_min, jar_water_height_mm, jar_water_celsius)
            = case when num_nonnulls(jar_sand_mark_s, jar_silt_mark_min, jar_clay_mark_h, jar_water_height_mm,
                jar_water_celsius) = 0 then 0 else 4 end),
    add constraint soil_test_protocol_in_range
        check (jar_sand_mark_s between 1 and 3600 and jar_silt_mark_min between 1 and 2880
            and (jar_clay_mark_h is null or jar_clay_mark_h between 0.1 and 2000)
            and jar_water_height_mm between 20 and 1000 and jar_water_celsius between 0 and 40),
    add constraint soil_test_marks_in_order
        check (jar_sand_mark_s < jar_silt_mark_min * 60
            and (jar_clay_mark_h is null or jar_silt_mark_min < jar_clay_mark_h * 60)),
    add constraint soil_test_ribbon_in_range check (ribbon_mm between 0 and 300),
    add constraint soil_test_drop_note_length check (length(drop_note) <= 200);
-- Rows that come from now on say what the ball did, if only by saying nothing.
alter table soil_test alter column drop_note drop default;
comment on column soil_test.method is 'By hand alone, heights settled in a jar, or mass fractions from a laboratory.';
comment on column soil_test.sand_mm is 'Jar: the layer''s own settled height; null for any other test.';
comment on column soil_test.silt_mm is 'Jar: the layer''s own settled height; null for any other test.';
comment on column soil_test.clay_mm is 'Jar: the layer''s own settled height; null for any other test.';
comment on column soil_test.sand_percent is 'Laboratory: of the dry mass; null for any other test. The shares of a jar follow from its heights.';
comment on column soil_test.silt_percent is 'Laboratory: of the dry mass; null for any other test. The shares of a jar follow from its heights.';
comment on column soil_test.clay_percent is 'Laboratory: of the dry mass; null for any other test. The shares of a jar follow from its heights.';
comment on column soil_test.jar_sand_mark_s is 'So many seconds after shaking the sand was marked; null when nobody said how the jar was read.';
comment on column soil_test.jar_silt_mark_min is 'So many minutes after shaking the silt was marked; null when nobody said how the jar was read.';
comment on column soil_test.jar_clay_mark_h is 'So many hours after shaking the clay was marked; null when nobody said.';
comment on column soil_test.jar_water_height_mm is 'Top of the water to the bottom of the jar; null when nobody said how the jar was read.';
comment on column soil_test.jar_water_celsius is 'Temperature of the water; null when nobody said how the jar was read.';
comment on column soil_test.ribbon_mm is 'Where a damp ribbon pressed over the finger broke; null when it was not tried.';
comment on column soil_test.drop_note is 'What a damp ball did that was dropped; may be empty.';

create table soil_observation (
    firm_id uuid not null,
    site_id text collate "C" not null,
    soil_test_id text collate "C" not null,
    position smallint not null,
    observation text not null,
    constraint soil_observation_key primary key (firm_id, site_id, soil_test_id, position),
    constraint soil_observation_soil_test_exists
        foreign key (firm_id, site_id, soil_test_id) references soil_test (firm_id, site_id, soil_test_id),
    constraint soil_observation_once unique (firm_id, site_id, soil_test_id, observation),
    constraint soil_observation_at_most_4 check (position between 1 and 4),
    constraint soil_observation_known check (observation in ('topsoil', 'salts', 'contamination', 'swelling-clay'))
);
comment on table soil_observation is 'What was seen of a soil that it must not be built with, or only with care. Append-only.';
comment on column soil_observation.position is 'Its place in the test, from 1.';

create table rule_pack (
    firm_id uuid not null,
    rule_pack_id text collate "C" not null,
    display_name text not null,
    jurisdiction text not null,
    created_at timestamptz not null default now(),
    constraint rule_pack_key primary key (firm_id, rule_pack_id),
    constraint rule_pack_firm_exists foreign key (firm_id) references firm (firm_id),
    constraint rule_pack_id_well_formed check (rule_pack_id ~ '^[a-z]([a-z0-9-]{0,61}[a-z0-9])?$'),
    constraint rule_pack_display_name_length check (length(display_name) between 1 and 120),
    constraint rule_pack_jurisdiction_length check (length(jurisdiction) between 1 and 120)
);
comment on table rule_pack is 'Limits that a code or a standard sets. Append-only: another edition is another pack.';
comment on column rule_pack.jurisdiction is 'Where it holds.';

create table rule_pack_rule (
    firm_id uuid not null,
    rule_pack_id text collate "C" not null,
    position smallint not null,
    kind text not null,
    rule_limit numeric(27, 12) not null,
    section text not null,
    standing text not null,
    constraint rule_pack_rule_key primary key (firm_id, rule_pack_id, position),
    constraint rule_pack_rule_pack_exists
        foreign key (firm_id, rule_pack_id) references rule_pack (firm_id, rule_pack_id),
    constraint rule_pack_rule_kind_once unique (firm_id, rule_pack_id, kind),
    constraint rule_pack_rule_at_most_50 check (position between 1 and 50),
    constraint rule_pack_rule_kind_known check (kind in ('shrinkage-percent-max', 'compression-kpa-min',
        'compression-bracing-kpa-min', 'rupture-kpa-min', 'masonry-void-m2-max', 'plaster-void-m2-max',
        'plaster-one-face-void-m2-max', 'boundary-void-deducted')),
    constraint rule_pack_rule_limit_in_range check (rule_limit between 0 and 1000000),
    constraint rule_pack_rule_claim_is_yes_or_no check (kind <> 'boundary-void-deducted' or rule_limit in (0, 1)),
    constraint rule_pack_rule_section_length check (length(section) between 1 and 400),
    constraint rule_pack_rule_standing_known check (standing in ('read', 'reported', 'from-memory'))
);
comment on table rule_pack_rule is 'One limit. Append-only.';
comment on column rule_pack_rule.position is 'Its place in the pack, from 1.';
comment on column rule_pack_rule.kind is 'What it limits; the unit of the limit is in the word.';
comment on column rule_pack_rule.section is 'Where it stands.';
comment on column rule_pack_rule.standing is 'Whether it was read there.';

create table mix_trial (
    firm_id uuid not null,
    site_id text collate "C" not null,
    mix_trial_id text collate "C" not null,
    made_date date not null,
    soil_test_id text collate "C",
    straw_kg_per_m3 numeric(27, 12) not null,
    shrinkage_wet_mm numeric(27, 12),
    shrinkage_dry_mm numeric(27, 12),
    density_dry_kg_m3 numeric(27, 12),
    rule_pack_id text collate "C",
    outcome text not null,
    note text not null,
    created_at timestamptz not null default now(),
    constraint mix_trial_key primary key (firm_id, site_id, mix_trial_id),
    constraint mix_trial_site_exists foreign key (firm_id, site_id) references site (firm_id, site_id),
    constraint mix_trial_soil_test_exists
        foreign key (firm_id, site_id, soil_test_id) references soil_test (firm_id, site_id, soil_test_id),
    constraint mix_trial_rule_pack_exists
        foreign key (firm_id, rule_pack_id) references rule_pack (firm_id, rule_pack_id),
    constraint mix_trial_id_well_formed check (mix_trial_id ~ '^[a-z]([a-z0-9-]{0,61}[a-z0-9])?$'),
    constraint mix_trial_made_date_in_calendar check (made_date between '1900-01-01' and '2199-12-31'),
    constraint mix_trial_straw_in_range check (straw_kg_per_m3 between 0 and 200),
    constraint mix_trial_bar_whole check ((shrinkage_wet_mm is null) = (shrinkage_dry_mm is null)),
    constraint mix_trial_bar_in_range
        check (shrinkage_wet_mm between 50 and 2000 and shrinkage_dry_mm between 1 and 2000),
    constraint mix_trial_bar_does_not_grow check (shrinkage_dry_mm <= shrinkage_wet_mm),
    constraint mix_trial_density_in_range check (density_dry_kg_m3 between 100 and 2800),
    constraint mix_trial_outcome_known check (outcome in ('open', 'taken', 'turned-down')),
    constraint mix_trial_note_length check (length(note) <= 2000)
);
create index mix_trial_of_soil_test on mix_trial (firm_id, site_id, soil_test_id);
create index mix_trial_of_rule_pack on mix_trial (firm_id, rule_pack_id);
comment on table mix_trial is 'What a trial mix of a site''s soil did on the bench. Append-only: a better one is a new trial.';
comment on column mix_trial.soil_test_id is 'The test of its soil, of the same site; null when there was none.';
comment on column mix_trial.straw_kg_per_m3 is 'Straw to a placed m3; 0 for none.';
comment on column mix_trial.shrinkage_wet_mm is 'Its bar as moulded; null when none was made.';
comment on column mix_trial.shrinkage_dry_mm is 'The same bar when dry; null when none was made.';
comment on column mix_trial.density_dry_kg_m3 is 'Of a dry specimen as weighed and sized; null when none was.';
comment on column mix_trial.rule_pack_id is 'The rules that it is held against; null for none.';
comment on column mix_trial.outcome is 'What the builder made of it; a mix may name one that was taken.';
comment on column mix_trial.note is 'What was seen; may be empty.';

create table mix_trial_ingredient (
    firm_id uuid not null,
    site_id text collate "C" not null,
    mix_trial_id text collate "C" not null,
    position smallint not null,
    material_id text collate "C" not null,
    parts numeric(27, 12) not null,
    constraint mix_trial_ingredient_key primary key (firm_id, site_id, mix_trial_id, position),
    constraint mix_trial_ingredient_trial_exists
        foreign key (firm_id, site_id, mix_trial_id) references mix_trial (firm_id, site_id, mix_trial_id),
    constraint mix_trial_ingredient_material_exists
        foreign key (firm_id, material_id) references material (firm_id, material_id),
    constraint mix_trial_ingredient_material_once unique (firm_id, site_id, mix_trial_id, material_id),
    constraint mix_trial_ingredient_at_most_8 check (position between 1 and 8),
    constraint mix_trial_ingredient_parts_in_range check (parts between 0.01 and 100)
);
create index mix_trial_ingredient_of_material on mix_trial_ingredient (firm_id, material_id);
comment on table mix_trial_ingredient is 'One mineral part of a trial mix, measured loose in buckets. Append-only.';
comment on column mix_trial_ingredient.position is 'Its place in the trial, from 1.';
comment on column mix_trial_ingredient.parts is 'By loose volume.';

create table mix_trial_crushed (
    firm_id uuid not null,
    site_id text collate "C" not null,
    mix_trial_id text collate "C" not null,
    position smallint not null,
    load_kn numeric(27, 12) not null,
    width_mm numeric(27, 12) not null,
    depth_mm numeric(27, 12) not null,
    constraint mix_trial_crushed_key primary key (firm_id, site_id, mix_trial_id, position),
    constraint mix_trial_crushed_trial_exists
        foreign key (firm_id, site_id, mix_trial_id) references mix_trial (firm_id, site_id, mix_trial_id),
    constraint mix_trial_crushed_at_most_50 check (position between 1 and 50),
    constraint mix_trial_crushed_load_in_range check (load_kn between 0.01 and 10000),
    constraint mix_trial_crushed_sizes_in_range check (width_mm between 10 and 1000 and depth_mm between 10 and 1000)
);
comment on table mix_trial_crushed is 'A specimen crushed. Append-only.';
comment on column mix_trial_crushed.position is 'Its place in the trial, from 1.';
comment on column mix_trial_crushed.load_kn is 'The greatest load that it bore.';
comment on column mix_trial_crushed.width_mm is 'Under the load.';
comment on column mix_trial_crushed.depth_mm is 'Under the load.';

create table mix_trial_broken (
    firm_id uuid not null,
    site_id text collate "C" not null,
    mix_trial_id text collate "C" not null,
    position smallint not null,
    load_kn numeric(27, 12) not null,
    span_mm numeric(27, 12) not null,
    width_mm numeric(27, 12) not null,
    height_mm numeric(27, 12) not null,
    constraint mix_trial_broken_key primary key (firm_id, site_id, mix_trial_id, position),
    constraint mix_trial_broken_trial_exists
        foreign key (firm_id, site_id, mix_trial_id) references mix_trial (firm_id, site_id, mix_trial_id),
    constraint mix_trial_broken_at_most_50 check (position between 1 and 50),
    constraint mix_trial_broken_load_in_range check (load_kn between 0.001 and 1000),
    constraint mix_trial_broken_sizes_in_range
        check (span_mm between 10 and 2000 and width_mm between 10 and 1000 and height_mm between 10 and 1000)
);
comment on table mix_trial_broken is 'A brick or bar broken over two supports by a load in the middle. Append-only.';
comment on column mix_trial_broken.position is 'Its place in the trial, from 1.';
comment on column mix_trial_broken.load_kn is 'The greatest load that it bore.';
comment on column mix_trial_broken.span_mm is 'Between the supports.';
comment on column mix_trial_broken.width_mm is 'Across the span.';
comment on column mix_trial_broken.height_mm is 'Under the load.';

-- The trials that mixes point at are here now.
alter table mix
    add constraint mix_trial_exists
        foreign key (firm_id, trial_site_id, trial_id) references mix_trial (firm_id, site_id, mix_trial_id);

alter table soil_observation enable row level security;
alter table soil_observation force row level security;
create policy soil_observation_of_firm on soil_observation
    using (firm_id = nullif(current_setting('hod.firm', true), '')::uuid)
    with check (firm_id = nullif(current_setting('hod.firm', true), '')::uuid);
grant select, insert on soil_observation to hod_app;

alter table rule_pack enable row level security;
alter table rule_pack force row level security;
create policy rule_pack_of_firm on rule_pack
    using (firm_id = nullif(current_setting('hod.firm', true), '')::uuid)
    with check (firm_id = nullif(current_setting('hod.firm', true), '')::uuid);
grant select, insert on rule_pack to hod_app;

alter table rule_pack_rule enable row level security;
alter table rule_pack_rule force row level security;
create policy rule_pack_rule_of_firm on rule_pack_rule
    using (firm_id = nullif(current_setting('hod.firm', true), '')::uuid)
    with check (firm_id = nullif(current_setting('hod.firm', true), '')::uuid);
grant select, insert on rule_pack_rule to hod_app;

alter table mix_trial enable row level security;
alter table mix_trial force row level security;
create policy mix_trial_of_firm on mix_trial
    using (firm_id = nullif(current_setting('hod.firm', true), '')::uuid)
    with check (firm_id = nullif(current_setting('hod.firm', true), '')::uuid);
grant select, insert on mix_trial to hod_app;

alter table mix_trial_ingredient enable row level security;
alter table mix_trial_ingredient force row level security;
create policy mix_trial_ingredient_of_firm on mix_trial_ingredient
    using (firm_id = nullif(current_setting('hod.firm', true), '')::uuid)
    with check (firm_id = nullif(current_setting('hod.firm', true), '')::uuid);
grant select, insert on mix_trial_ingredient to hod_app;

alter table mix_trial_crushed enable row level security;
alter table mix_trial_crushed force row level security;
create policy mix_trial_crushed_of_firm on mix_trial_crushed
    using (firm_id = nullif(current_setting('hod.firm', true), '')::uuid)
    with check (firm_id = nullif(current_setting('hod.firm', true), '')::uuid);
grant select, insert on mix_trial_crushed to hod_app;

alter table mix_trial_broken enable row level security;
alter table mix_trial_broken force row level security;
create policy mix_trial_broken_of_firm on mix_trial_broken
    using (firm_id = nullif(current_setting('hod.firm', true), '')::uuid)
    with check (firm_id = nullif(current_setting('hod.firm', true), '')::uuid);
grant select, insert on mix_trial_broken to hod_app;
