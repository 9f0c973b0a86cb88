-- Places where the firm builds, and what the ground there is made of.

create table site (
    firm_id uuid not null,
    site_id text collate "C" not null,
    display_name text not null,
    region_id text collate "C" not null,
    haul_distance_m numeric(27, 12) not null,
    version bigint not null default 1,
    created_at timestamptz not null default now(),
    updated_at timestamptz not null default now(),
    constraint site_key primary key (firm_id, site_id),
    constraint site_firm_exists foreign key (firm_id) references firm (firm_id),
    constraint site_region_exists foreign key (firm_id, region_id) references region (firm_id, region_id),
    constraint site_id_well_formed check (site_id ~ '^[a-z]([a-z0-9-]{0,61}[a-z0-9])?$'),
    constraint site_display_name_length check (length(display_name) between 1 and 120),
    constraint site_haul_distance_in_range check (haul_distance_m between 0 and 2000),
    constraint site_version_positive check (1 <= version)
);
create index site_of_region on site (firm_id, region_id);
comment on table site is 'A place where the firm builds.';
comment on column site.region_id is 'Whose prices and rates hold there.';
comment on column site.haul_distance_m is 'How far the dug soil is carried to where it is mixed.';
comment on column site.version is 'One more with every change of this row; the tag against lost updates.';

alter table site enable row level security;
alter table site force row level security;
create policy site_of_firm on site
    using (firm_id = nullif(current_setting('hod.firm', true), '')::uuid)
    with check (firm_id = nullif(current_setting('hod.firm', true), '')::uuid);
grant select, insert, update on site to hod_app;

-- A test is a thing that was seen: it is never changed, and a better one is a new test.
create table soil_test (
    firm_id uuid not null,
    site_id text collate "C" not null,
    soil_test_id text collate "C" not null,
    method text not null,
    sample_date date not null,
    depth_m numeric(27, 12),
    sand_mm numeric(27, 12),
    silt_mm numeric(27, 12),
    clay_mm numeric(27, 12),
    sand_percent numeric(27, 12),
    silt_percent numeric(27, 12),
    clay_percent numeric(27, 12),
    note text not null,
    created_at timestamptz not null default now(),
    constraint soil_test_key primary key (firm_id, site_id, soil_test_id),
    constraint soil_test_site_exists foreign key (firm_id, site_id) references site (firm_id, site_id),
    constraint soil_test_id_well_formed check (soil_test_id ~ '^[a-z]([a-z0-9-]{0,61}[a-z0-9])?$'),
    constraint soil_test_method_known check (method in ('jar', 'laboratory')),
    constraint soil_test_sample_date_in_calendar check (sample_date between '1900-01-01' and '2199-12-31'),
    constraint soil_test_depth_in_range check (depth_m between 0 and 20),
    -- All three or none: an if and only if, both ways.
    constraint soil_test_jar_has_heights
        check (num_nonnulls(sand_mm, silt_mm, clay_mm) = case when method = 'jar' then 3 else 0 end),
    constraint soil_test_laboratory_has_shares
        check (num_nonnulls(sand_percent, silt_percent, clay_percent) = case when method = 'laboratory' then 3 else 0 end),
    constraint soil_test_heights_in_range
        check (sand_mm between 0 and 1000 and silt_mm between 0 and 1000 and clay_mm between 0 and 1000),
    constraint soil_test_jar_not_empty check (0 < sand_mm + silt_mm + clay_mm),
    constraint soil_test_shares_in_range
        check (sand_percent between 0 and 100 and silt_percent between 0 and 100 and clay_percent between 0 and 100),
    constraint soil_test_shares_total_whole check (sand_percent + silt_percent + clay_percent = 100),
    constraint soil_test_note_length check (length(note) <= 2000)
);
comment on table soil_test is 'What the ground at a site is made of, as tested. Append-only.';
comment on column soil_test.method is 'Heights settled in a jar, or mass fractions from a laboratory.';
comment on column soil_test.depth_m is 'Below ground; null when it was not noted.';
comment on column soil_test.sand_mm is 'Jar: the layer''s own settled height; null for a laboratory test.';
comment on column soil_test.silt_mm is 'Jar: the layer''s own settled height; null for a laboratory test.';
comment on column soil_test.clay_mm is 'Jar: the layer''s own settled height; null for a laboratory test.';
comment on column soil_test.sand_percent is 'Laboratory: of the dry mass; null for a jar test, whose shares follow from its heights.';
comment on column soil_test.silt_percent is 'Laboratory: of the dry mass; null for a jar test, whose shares follow from its heights.';
comment on column soil_test.clay_percent is 'Laboratory: of the dry mass; null for a jar test, whose shares follow from its heights.';
comment on column soil_test.note is 'What was seen and smelt; may be empty.';

alter table soil_test enable row level security;
alter table soil_test force row level security;
create policy soil_test_of_firm on soil_test
    using (firm_id = nullif(current_setting('hod.firm', true), '')::uuid)
    with check (firm_id = nullif(current_setting('hod.firm', true), '')::uuid);
grant select, insert on soil_test to hod_app;
