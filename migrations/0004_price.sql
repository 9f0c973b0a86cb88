-- What a region asks for a material or an hour, over a range of dates. Nothing is ever changed: a new price makes the
-- next version of the region's list, and the row that it closes goes out of the list while a copy with the shorter range
-- comes in. So the list of any version is the rows that had come in and not gone out, and can be read again for ever.

create table price (
    firm_id uuid not null,
    region_id text collate "C" not null,
    price_id text collate "C" not null,
    version_in bigint not null,
    version_out bigint,
    material_id text collate "C" not null,
    unit_price numeric(21, 6) not null,
    unit text not null,
    in_force daterange not null,
    supplier text not null,
    source text not null,
    created_at timestamptz not null default now(),
    constraint price_key primary key (firm_id, region_id, price_id, version_in),
    constraint price_list_exists foreign key (firm_id, region_id) references region_list (firm_id, region_id),
    constraint price_material_exists foreign key (firm_id, material_id) references material (firm_id, material_id),
    constraint price_unit_is_the_materials
        foreign key (firm_id, material_id, unit) references material (firm_id, material_id, purchase_unit),
    constraint price_id_well_formed check (price_id ~ '^[a-z]([a-z0-9-]{0,61}[a-z0-9])?$'),
    constraint price_version_in_positive check (1 <= version_in),
    constraint price_goes_out_after_it_came_in check (version_in < version_out),
    constraint price_unit_price_in_range check (unit_price between 0 and 999999999),
    -- An empty range overlaps nothing, so any number of them would get past the exclusion.
    constraint price_in_force_not_empty check (not isempty(in_force)),
    constraint price_in_force_has_a_start check (not lower_inf(in_force)),
    constraint price_in_force_in_calendar check (
        lower(in_force) between '1900-01-01' and '2199-12-31'
        and (upper_inf(in_force) or upper(in_force) <= '2200-01-01')),
    constraint price_supplier_length check (length(supplier) <= 120),
    constraint price_source_length check (length(source) <= 400),
    constraint price_no_overlap exclude using gist
        (firm_id with =, region_id with =, material_id with =, in_force with &&) where (version_out is null)
);
create unique index price_once_in_a_list on price (firm_id, region_id, price_id) where version_out is null;
create index price_by_material on price (firm_id, region_id, material_id, version_in);
create index price_of_material on price (firm_id, material_id, unit);
comment on table price is 'What a material costs in a region over a range of dates, with its place in the history of the region''s list.';
comment on column price.version_in is 'The version of the region''s list that brought this row in.';
comment on column price.version_out is 'The version that took it out, closed or replaced; null while it is in the list.';
comment on column price.unit_price is 'Money per unit before tax, in the region''s currency.';
comment on column price.unit is 'The material''s purchase unit, said again so that a list cannot be misread.';
comment on column price.in_force is 'First day up to but not including the day after the last; without an end while it is open.';
comment on column price.supplier is 'Who sells at it; may be empty.';
comment on column price.source is 'Where it was read; may be empty.';
comment on column price.created_at is 'When the price was made; its copies with a shorter range keep it.';

alter table price enable row level security;
alter table price force row level security;
create policy price_of_firm on price
    using (firm_id = nullif(current_setting('hod.firm', true), '')::uuid)
    with check (firm_id = nullif(current_setting('hod.firm', true), '')::uuid);
grant select, insert, update (version_out) on price to hod_app;

create table labour_rate (
    firm_id uuid not null,
    region_id text collate "C" not null,
    labour_rate_id text collate "C" not null,
    version_in bigint not null,
    version_out bigint,
    grade text collate "C" not null,
    wage_per_hour numeric(19, 4) not null,
    burden_percent numeric(27, 12) not null,
    in_force daterange not null,
    source text not null,
    created_at timestamptz not null default now(),
    constraint labour_rate_key primary key (firm_id, region_id, labour_rate_id, version_in),
    constraint labour_rate_list_exists foreign key (firm_id, region_id) references region_list (firm_id, region_id),
    constraint labour_rate_id_well_formed check (labour_rate_id ~ '^[a-z]([a-z0-9-]{0,61}[a-z0-9])?$'),
    constraint labour_rate_grade_well_formed check (grade ~ '^[a-z]([a-z0-9-]{0,61}[a-z0-9])?$'),
    constraint labour_rate_version_in_positive check (1 <= version_in),
    constraint labour_rate_goes_out_after_it_came_in check (version_in < version_out),
    constraint labour_rate_wage_in_range check (wage_per_hour between 0 and 999999),
    constraint labour_rate_burden_in_range check (burden_percent between 0 and 300),
    constraint labour_rate_in_force_not_empty check (not isempty(in_force)),
    constraint labour_rate_in_force_has_a_start check (not lower_inf(in_force)),
    constraint labour_rate_in_force_in_calendar check (
        lower(in_force) between '1900-01-01' and '2199-12-31'
        and (upper_inf(in_force) or upper(in_force) <= '2200-01-01')),
    constraint labour_rate_source_length check (length(source) <= 400),
    constraint labour_rate_no_overlap exclude using gist
        (firm_id with =, region_id with =, grade with =, in_force with &&) where (version_out is null)
);
create unique index labour_rate_once_in_a_list on labour_rate (firm_id, region_id, labour_rate_id)
    where version_out is null;
create index labour_rate_by_grade on labour_rate (firm_id, region_id, grade, version_in);
comment on table labour_rate is 'Money per hour for a grade in a region over a range of dates, with its place in the history of the region''s list.';
comment on column labour_rate.version_in is 'The version of the region''s list that brought this row in.';
comment on column labour_rate.version_out is 'The version that took it out, closed or replaced; null while it is in the list.';
comment on column labour_rate.grade is 'Whose hour it is: lead, practised, helper, volunteer.';
comment on column labour_rate.wage_per_hour is 'What the worker is paid, in the region''s currency.';
comment on column labour_rate.burden_percent is 'What comes on top, of the wage.';
comment on column labour_rate.in_force is 'First day up to but not including the day after the last; without an end while it is open.';
comment on column labour_rate.source is 'Where it was read; may be empty.';
comment on column labour_rate.created_at is 'When the rate was made; its copies with a shorter range keep it.';

alter table labour_rate enable row level security;
alter table labour_rate force row level security;
create policy labour_rate_of_firm on labour_rate
    using (firm_id = nullif(current_setting('hod.firm', true), '')::uuid)
    with check (firm_id = nullif(current_setting('hod.firm', true), '')::uuid);
grant select, insert, update (version_out) on labour_rate to hod_app;
