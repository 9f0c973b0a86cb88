-- Recipes, in parts by loose volume. The parts are rows of their own so that each names a material that exists.

create table mix (
    firm_id uuid not null,
    mix_id text collate "C" not null,
    display_name text not null,
    bucket_l numeric(27, 12) not null,
    buckets_per_part numeric(27, 12) not null,
    density_dry_kg_m3 numeric(27, 12) not null,
    batch_yield_l numeric(27, 12),
    straw_material_id text collate "C",
    straw_kg_per_m3 numeric(27, 12),
    water_material_id text collate "C",
    water_percent numeric(27, 12) not null,
    waste_percent numeric(27, 12) not null,
    source text not null,
    version bigint not null default 1,
    created_at timestamptz not null default now(),
    updated_at timestamptz not null default now(),
    constraint mix_key primary key (firm_id, mix_id),
    constraint mix_firm_exists foreign key (firm_id) references firm (firm_id),
    constraint mix_straw_exists foreign key (firm_id, straw_material_id) references material (firm_id, material_id),
    constraint mix_water_exists foreign key (firm_id, water_material_id) references material (firm_id, material_id),
    constraint mix_id_well_formed check (mix_id ~ '^[a-z]([a-z0-9-]{0,61}[a-z0-9])?$'),
    constraint mix_display_name_length check (length(display_name) between 1 and 120),
    constraint mix_bucket_in_range check (bucket_l between 1 and 200),
    constraint mix_buckets_per_part_in_range check (buckets_per_part between 0.1 and 100),
    constraint mix_density_in_range check (density_dry_kg_m3 between 800 and 2200),
    constraint mix_batch_yield_in_range check (batch_yield_l between 1 and 10000),
    constraint mix_straw_iff_weighed check ((straw_material_id is null) = (straw_kg_per_m3 is null)),
    constraint mix_straw_in_range check (straw_kg_per_m3 between 0 and 200),
    constraint mix_water_in_range check (water_percent between 0 and 60),
    constraint mix_waste_in_range check (waste_percent between 0 and 50),
    constraint mix_source_length check (length(source) between 1 and 400),
    constraint mix_version_positive check (1 <= version)
);
create index mix_of_straw on mix (firm_id, straw_material_id);
create index mix_of_water on mix (firm_id, water_material_id);
comment on table mix is 'A recipe. A batch is one making of it.';
comment on column mix.bucket_l is 'What the bucket in use holds, as it is filled.';
comment on column mix.buckets_per_part is 'Buckets to a part in one batch.';
comment on column mix.density_dry_kg_m3 is 'Dry density in place.';
comment on column mix.batch_yield_l is 'Placed volume of one batch as measured at a site; null: by mass balance.';
comment on column mix.straw_material_id is 'Null for a mix without straw.';
comment on column mix.straw_kg_per_m3 is 'Straw to a placed m3; null for a mix without.';
comment on column mix.water_material_id is 'Null when water is not to be listed.';
comment on column mix.water_percent is 'Water in the mix when placed, of its dry mass.';
comment on column mix.waste_percent is 'Earth lost between the heap and the wall, of the placed volume.';
comment on column mix.source is 'Where the recipe comes from.';
comment on column mix.version is 'One more with every change of this row or of its parts; the tag against lost updates.';

alter table mix enable row level security;
alter table mix force row level security;
create policy mix_of_firm on mix
    using (firm_id = nullif(current_setting('hod.firm', true), '')::uuid)
    with check (firm_id = nullif(current_setting('hod.firm', true), '')::uuid);
grant select, insert, update on mix to hod_app;

create table mix_ingredient (
    firm_id uuid not null,
    mix_id text collate "C" not null,
    position smallint not null,
    material_id text collate "C" not null,
    parts numeric(27, 12) not null,
    constraint mix_ingredient_key primary key (firm_id, mix_id, position),
    constraint mix_ingredient_mix_exists foreign key (firm_id, mix_id) references mix (firm_id, mix_id),
    constraint mix_ingredient_material_exists
        foreign key (firm_id, material_id) references material (firm_id, material_id),
    constraint mix_ingredient_material_once unique (firm_id, mix_id, material_id),
    constraint mix_ingredient_at_most_8 check (position between 1 and 8),
    constraint mix_ingredient_parts_in_range check (parts between 0.01 and 100)
);
create index mix_ingredient_of_material on mix_ingredient (firm_id, material_id);
comment on table mix_ingredient is 'One mineral part of a recipe, measured loose in buckets.';
comment on column mix_ingredient.position is 'Its place in the recipe, from 1.';
comment on column mix_ingredient.parts is 'By loose volume.';

alter table mix_ingredient enable row level security;
alter table mix_ingredient force row level security;
create policy mix_ingredient_of_firm on mix_ingredient
    using (firm_id = nullif(current_setting('hod.firm', true), '')::uuid)
    with check (firm_id = nullif(current_setting('hod.firm', true), '')::uuid);
-- A changed recipe has its parts put in afresh.
grant select, insert, delete on mix_ingredient to hod_app;
