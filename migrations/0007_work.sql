-- Who works, and the hours that a unit of each task takes them. That the shares of a make-up add up to the whole is a
-- sum over rows, which the middle keeps before anything is written.

create table crew (
    firm_id uuid not null,
    crew_id text collate "C" not null,
    display_name text not null,
    hours_factor numeric(27, 12) not null,
    source text not null,
    version bigint not null default 1,
    created_at timestamptz not null default now(),
    updated_at timestamptz not null default now(),
    constraint crew_key primary key (firm_id, crew_id),
    constraint crew_firm_exists foreign key (firm_id) references firm (firm_id),
    constraint crew_id_well_formed check (crew_id ~ '^[a-z]([a-z0-9-]{0,61}[a-z0-9])?$'),
    constraint crew_display_name_length check (length(display_name) between 1 and 120),
    constraint crew_hours_factor_in_range check (hours_factor between 0.1 and 10),
    constraint crew_source_length check (length(source) between 1 and 400),
    constraint crew_version_positive check (1 <= version)
);
comment on table crew is 'Who works, by grade, and how their hours compare with the labour constants.';
comment on column crew.hours_factor is 'How many times the hours of a practised crew it takes.';
comment on column crew.source is 'Where these figures come from.';
comment on column crew.version is 'One more with every change of this row or of its grades; the tag against lost updates.';

alter table crew enable row level security;
alter table crew force row level security;
create policy crew_of_firm on crew
    using (firm_id = nullif(current_setting('hod.firm', true), '')::uuid)
    with check (firm_id = nullif(current_setting('hod.firm', true), '')::uuid);
grant select, insert, update on crew to hod_app;

create table crew_grade (
    firm_id uuid not null,
    crew_id text collate "C" not null,
    position smallint not null,
    grade text collate "C" not null,
    share_percent numeric(27, 12) not null,
    constraint crew_grade_key primary key (firm_id, crew_id, position),
    constraint crew_grade_crew_exists foreign key (firm_id, crew_id) references crew (firm_id, crew_id),
    constraint crew_grade_once unique (firm_id, crew_id, grade),
    constraint crew_grade_at_most_20 check (position between 1 and 20),
    constraint crew_grade_well_formed check (grade ~ '^[a-z]([a-z0-9-]{0,61}[a-z0-9])?$'),
    constraint crew_grade_share_in_range check (share_percent between 0 and 100)
);
comment on table crew_grade is 'A grade''s share of a crew''s hours.';
comment on column crew_grade.position is 'Its place in the make-up, from 1.';
comment on column crew_grade.share_percent is 'Of the hours.';

alter table crew_grade enable row level security;
alter table crew_grade force row level security;
create policy crew_grade_of_firm on crew_grade
    using (firm_id = nullif(current_setting('hod.firm', true), '')::uuid)
    with check (firm_id = nullif(current_setting('hod.firm', true), '')::uuid);
-- A changed crew has its grades put in afresh.
grant select, insert, delete on crew_grade to hod_app;

create table labour_constant (
    firm_id uuid not null,
    labour_constant_id text collate "C" not null,
    display_name text not null,
    task text not null,
    method text collate "C",
    driver text not null,
    low_hours numeric(27, 12) not null,
    likely_hours numeric(27, 12) not null,
    high_hours numeric(27, 12) not null,
    source text not null,
    version bigint not null default 1,
    created_at timestamptz not null default now(),
    updated_at timestamptz not null default now(),
    constraint labour_constant_key primary key (firm_id, labour_constant_id),
    -- Two for one piece of work would leave an estimate to guess which holds.
    constraint labour_constant_one_for_its_work unique nulls not distinct (firm_id, task, method, driver),
    constraint labour_constant_firm_exists foreign key (firm_id) references firm (firm_id),
    constraint labour_constant_id_well_formed check (labour_constant_id ~ '^[a-z]([a-z0-9-]{0,61}[a-z0-9])?$'),
    constraint labour_constant_display_name_length check (length(display_name) between 1 and 120),
    constraint labour_constant_task_known check (task in ('set-up', 'dig', 'screen', 'haul', 'mix', 'place', 'pare',
        'set-opening', 'cover', 'clean-up')),
    constraint labour_constant_method_well_formed check (method ~ '^[a-z]([a-z0-9-]{0,61}[a-z0-9])?$'),
    constraint labour_constant_driver_known check (driver in ('batch', 'm3-placed', 'm3-mixed', 'm3-bank', 'm3-loose',
        'm3-loose-25m', 'm2-face', 'lift', 'opening', 'job')),
    constraint labour_constant_low_in_range check (low_hours between 0 and 10000),
    constraint labour_constant_high_in_range check (high_hours between 0 and 10000),
    constraint labour_constant_likely_between_low_and_high check (likely_hours between low_hours and high_hours),
    constraint labour_constant_source_length check (length(source) between 1 and 400),
    constraint labour_constant_version_positive check (1 <= version)
);
comment on table labour_constant is 'Person-hours to a unit of work for a practised crew, by task and method.';
comment on column labour_constant.method is 'The method of mixing it holds for; null: any that has no constant of its own.';
comment on column labour_constant.driver is 'What the hours are counted by.';
comment on column labour_constant.source is 'Where the hours come from.';
comment on column labour_constant.version is 'One more with every change of this row or of its grades; the tag against lost updates.';

alter table labour_constant enable row level security;
alter table labour_constant force row level security;
create policy labour_constant_of_firm on labour_constant
    using (firm_id = nullif(current_setting('hod.firm', true), '')::uuid)
    with check (firm_id = nullif(current_setting('hod.firm', true), '')::uuid);
grant select, insert, update on labour_constant to hod_app;

create table labour_constant_grade (
    firm_id uuid not null,
    labour_constant_id text collate "C" not null,
    position smallint not null,
    grade text collate "C" not null,
    share_percent numeric(27, 12) not null,
    constraint labour_constant_grade_key primary key (firm_id, labour_constant_id, position),
    constraint labour_constant_grade_constant_exists foreign key (firm_id, labour_constant_id)
        references labour_constant (firm_id, labour_constant_id),
    constraint labour_constant_grade_once unique (firm_id, labour_constant_id, grade),
    constraint labour_constant_grade_at_most_20 check (position between 1 and 20),
    constraint labour_constant_grade_well_formed check (grade ~ '^[a-z]([a-z0-9-]{0,61}[a-z0-9])?$'),
    constraint labour_constant_grade_share_in_range check (share_percent between 0 and 100)
);
comment on table labour_constant_grade is 'A grade''s share of a labour constant''s hours; no row: the crew''s own make-up.';
comment on column labour_constant_grade.position is 'Its place in the make-up, from 1.';
comment on column labour_constant_grade.share_percent is 'Of the hours.';

alter table labour_constant_grade enable row level security;
alter table labour_constant_grade force row level security;
create policy labour_constant_grade_of_firm on labour_constant_grade
    using (firm_id = nullif(current_setting('hod.firm', true), '')::uuid)
    with check (firm_id = nullif(current_setting('hod.firm', true), '')::uuid);
-- A changed constant has its grades put in afresh.
grant select, insert, delete on labour_constant_grade to hod_app;
