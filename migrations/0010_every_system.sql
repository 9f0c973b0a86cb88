-- Walls of every system: pieces have sizes, orders have steps, a mix says what it is for and how it is made, a coat or a
-- fill may be lighter, heavier or wetter than cob, and there is work besides laying cob. What was kept before stays
-- valid and means what it meant: a structural mix measured in buckets, its density assumed, mixed as its job says.

alter table material
    add column length_mm numeric(27, 12),
    add column width_mm numeric(27, 12),
    add column height_mm numeric(27, 12),
    add column order_step numeric(27, 12),
    add column clay_percent numeric(27, 12) not null default 0,
    drop constraint material_purchase_unit_known,
    add constraint material_purchase_unit_known
        check (purchase_unit in ('m', 'm2', 'm3', 't', 'kg', 'l', 'bale', 'bag', 'roll', 'each')),
    add constraint material_sizes_together check (num_nonnulls(length_mm, width_mm, height_mm) in (0, 3)),
    add constraint material_sizes_in_range
        check (length_mm between 1 and 20000 and width_mm between 1 and 20000 and height_mm between 1 and 20000),
    add constraint material_order_step_in_range check (order_step between 0.01 and 100000),
    -- The least that is ordered is 0.01 of what is measured and 1 of what is counted; a step is a multiple of it.
    add constraint material_order_step_fits_its_unit
        check (mod(order_step, case when purchase_unit in ('m', 'm2', 'm3', 't') then 0.01 else 1 end) = 0),
    add constraint material_clay_in_range check (clay_percent between 0 and 100);
-- Rows that come from now on say how much clay there is.
alter table material alter column clay_percent drop default;
comment on column material.length_mm is 'Of one piece, the longest; null when it is not laid piece by piece.';
comment on column material.width_mm is 'Of one piece; null when it is not laid piece by piece.';
comment on column material.height_mm is 'Of one piece; null when it is not laid piece by piece.';
comment on column material.order_step is 'Orders go up to a whole multiple of this, in the purchase unit; null: the least that the unit allows.';
comment on column material.clay_percent is 'Clay that it holds, of its dry mass.';

alter table mix
    add column purpose text not null default 'structural',
    add column measure text not null default 'bucket',
    add column mixing text collate "C",
    add column density_evidence text not null default 'assumed',
    add column trial_site_id text collate "C",
    add column trial_id text collate "C",
    drop constraint mix_bucket_in_range,
    add constraint mix_bucket_in_range check (bucket_l between 0.1 and 5000),
    drop constraint mix_density_in_range,
    add constraint mix_density_in_range check (density_dry_kg_m3 between 100 and 2800),
    drop constraint mix_water_in_range,
    add constraint mix_water_in_range check (water_percent between 0 and 300),
    add constraint mix_purpose_known check (purpose in ('structural', 'insulating', 'heat-storing', 'base-plaster',
        'finish-plaster', 'wash', 'mortar', 'floor', 'fill')),
    add constraint mix_measure_known check (measure in ('bucket', 'wheelbarrow', 'tractor-load', 'mixer-drum')),
    add constraint mix_mixing_well_formed check (mixing ~ '^[a-z]([a-z0-9-]{0,61}[a-z0-9])?$'),
    add constraint mix_density_evidence_known check (density_evidence in ('assumed', 'measured')),
    add constraint mix_trial_has_its_site check ((trial_site_id is null) = (trial_id is null));
alter table mix
    alter column purpose drop default,
    alter column measure drop default,
    alter column density_evidence drop default;
-- The trials that it points at come with their own table.
create index mix_of_trial on mix (firm_id, trial_site_id, trial_id);
comment on column mix.bucket_l is 'What the bucket, or whatever the parts are measured in, holds as it is filled.';
comment on column mix.buckets_per_part is 'So many of those to a part in one batch.';
comment on column mix.purpose is 'What it is for.';
comment on column mix.measure is 'What its parts are measured in.';
comment on column mix.mixing is 'The method by which it is mixed as a rule; null: the job''s own.';
comment on column mix.density_evidence is 'Whether the dry density in place was assumed or measured.';
comment on column mix.trial_site_id is 'The site of the trial that justified it; null when it is not tested.';
comment on column mix.trial_id is 'The trial that justified it; null when it is not tested.';

alter table labour_constant
    drop constraint labour_constant_task_known,
    add constraint labour_constant_task_known check (task in ('set-up', 'strip', 'trench', 'fill-trench', 'lay-stem',
        'dig', 'screen', 'haul', 'mix', 'mould', 'set-form', 'place', 'ram', 'tamp', 'stack', 'trim', 'lay', 'weave',
        'daub', 'pare', 'set-opening', 'form-arch', 'bury', 'cover', 'plaster', 'wash', 'lay-floor', 'build-oven', 'tip',
        'clean-up')),
    drop constraint labour_constant_driver_known,
    add constraint labour_constant_driver_known check (driver in ('batch', 'm3-placed', 'm3-mixed', 'm3-bank', 'm3-loose',
        'm3-loose-25m', 'm2-face', 'lift', 'opening', 'job', 'piece', 'm2-panel', 'm2-coat'));
