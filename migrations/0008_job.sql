-- Buildings to be estimated, and the estimates kept of them. A drawing is kept whole as message bytes: nobody asks the
-- database about a wall, and bytes read back as they were written. What is searched stands beside them.

create table job (
    firm_id uuid not null,
    job_id text collate "C" not null,
    display_name text not null,
    site_id text collate "C",
    body bytea not null,
    version bigint not null default 1,
    created_at timestamptz not null default now(),
    updated_at timestamptz not null default now(),
    constraint job_key primary key (firm_id, job_id),
    constraint job_firm_exists foreign key (firm_id) references firm (firm_id),
    constraint job_site_exists foreign key (firm_id, site_id) references site (firm_id, site_id),
    constraint job_id_well_formed check (job_id ~ '^[a-z]([a-z0-9-]{0,61}[a-z0-9])?$'),
    constraint job_display_name_length check (length(display_name) between 1 and 120),
    constraint job_body_length check (octet_length(body) between 1 and 8388608),
    constraint job_version_positive check (1 <= version)
);
create index job_of_site on job (firm_id, site_id, job_id);
comment on table job is 'A building to be estimated at a site.';
comment on column job.site_id is 'Where it stands; null while that is not known, which a takeoff does not need.';
comment on column job.body is 'The encoded hod.v1.Job.';
comment on column job.version is 'One more with every change of this row; the tag against lost updates.';

alter table job enable row level security;
alter table job force row level security;
create policy job_of_firm on job
    using (firm_id = nullif(current_setting('hod.firm', true), '')::uuid)
    with check (firm_id = nullif(current_setting('hod.firm', true), '')::uuid);
grant select, insert, update, delete on job to hod_app;

-- An estimate kept is never changed, and keeps its job from being deleted.
create table estimate (
    firm_id uuid not null,
    job_id text collate "C" not null,
    estimate_id text collate "C" not null,
    price_date date not null,
    region_id text collate "C" not null,
    currency_code text not null,
    total numeric(19, 4) not null,
    batch_count integer not null,
    engine_version text not null,
    body bytea not null,
    created_at timestamptz not null default now(),
    constraint estimate_key primary key (firm_id, job_id, estimate_id),
    constraint estimate_job_exists foreign key (firm_id, job_id) references job (firm_id, job_id),
    constraint estimate_region_exists foreign key (firm_id, region_id) references region (firm_id, region_id),
    constraint estimate_id_well_formed check (estimate_id ~ '^[a-z]([a-z0-9-]{0,61}[a-z0-9])?$'),
    constraint estimate_price_date_in_calendar check (price_date between '1900-01-01' and '2199-12-31'),
    constraint estimate_currency_is_a_code check (currency_code ~ '^[A-Z]{3}$'),
    constraint estimate_total_in_range check (total between 0 and 999999999999999),
    constraint estimate_batch_count_not_negative check (0 <= batch_count),
    constraint estimate_engine_version_length check (length(engine_version) between 1 and 40),
    constraint estimate_body_length check (octet_length(body) between 1 and 8388608)
);
create index estimate_newest_first on estimate (firm_id, job_id, created_at desc, estimate_id desc);
create index estimate_of_region on estimate (firm_id, region_id);
comment on table estimate is 'A takeoff priced on a date, kept with all it was made from. Append-only.';
comment on column estimate.price_date is 'The day whose prices and rates it used.';
comment on column estimate.region_id is 'Whose build-up it used. The lists it drew on, parents'' too, are named with their versions in the body.';
comment on column estimate.total is 'In the currency''s main unit; four places, as many as any currency''s minor unit has.';
comment on column estimate.engine_version is 'What made it.';
comment on column estimate.body is 'The encoded hod.v1.Estimate, byte for byte as it was answered.';

alter table estimate enable row level security;
alter table estimate force row level security;
create policy estimate_of_firm on estimate
    using (firm_id = nullif(current_setting('hod.firm', true), '')::uuid)
    with check (firm_id = nullif(current_setting('hod.firm', true), '')::uuid);
grant select, insert on estimate to hod_app;
