-- What is bought or dug, and what it weighs.

create table material (
    firm_id uuid not null,
    material_id text collate "C" not null,
    display_name text not null,
    supply text not null,
    purchase_unit text not null,
    density_loose_kg_m3 numeric(27, 12),
    bulking_percent numeric(27, 12) not null,
    swell_percent numeric(27, 12) not null,
    moisture_percent numeric(27, 12) not null,
    mass_per_unit_kg numeric(27, 12),
    source text not null,
    version bigint not null default 1,
    created_at timestamptz not null default now(),
    updated_at timestamptz not null default now(),
    constraint material_key primary key (firm_id, material_id),
    constraint material_firm_exists foreign key (firm_id) references firm (firm_id),
    constraint material_id_well_formed check (material_id ~ '^[a-z]([a-z0-9-]{0,61}[a-z0-9])?$'),
    constraint material_display_name_length check (length(display_name) between 1 and 120),
    constraint material_supply_known check (supply in ('bought', 'site')),
    constraint material_purchase_unit_known
        check (purchase_unit in ('m3', 't', 'kg', 'l', 'bale', 'bag', 'roll', 'each')),
    constraint material_density_in_range check (density_loose_kg_m3 between 10 and 4000),
    constraint material_bulking_in_range check (bulking_percent between 0 and 60),
    constraint material_swell_in_range check (swell_percent between 0 and 100),
    constraint material_moisture_in_range check (moisture_percent between 0 and 60),
    constraint material_mass_per_unit_in_range check (mass_per_unit_kg between 0.01 and 5000),
    constraint material_source_length check (length(source) between 1 and 400),
    constraint material_version_positive check (1 <= version)
);
-- What a price's foreign key over its unit points at; refuses nothing that the key does not.
create unique index material_with_unit on material (firm_id, material_id, purchase_unit);
comment on table material is 'What is bought or dug, and what it weighs.';
comment on column material.supply is 'Bought at the region''s price, or dug or drawn on the site.';
comment on column material.density_loose_kg_m3 is 'Dry mass of a cubic metre of it, loose and dry; null when it is never reckoned by volume.';
comment on column material.bulking_percent is 'How much the damp heap stands above the same mass dry, of the dry volume.';
comment on column material.swell_percent is 'How much it grows from the bank to loose, of the bank volume.';
comment on column material.moisture_percent is 'Water it holds when used, of its dry mass.';
comment on column material.mass_per_unit_kg is 'Mass of one bale, bag, roll or piece; null when it is not ordered so or never used by mass.';
comment on column material.source is 'Where these figures come from.';
comment on column material.version is 'One more with every change of this row; the tag against lost updates.';

alter table material enable row level security;
alter table material force row level security;
create policy material_of_firm on material
    using (firm_id = nullif(current_setting('hod.firm', true), '')::uuid)
    with check (firm_id = nullif(current_setting('hod.firm', true), '')::uuid);
grant select, insert, update on material to hod_app;
