-- What was there before a change, so that whoever changes what they read, and is refused because somebody else came first,
-- is told what has changed meanwhile.

create table past_version (
    firm_id uuid not null,
    name text collate "C" not null,
    version bigint not null,
    body bytea not null,
    changed_at timestamptz not null default now(),
    -- A thing that was deleted and made again counts its versions from 1 again.
    constraint past_version_key primary key (firm_id, name, version, changed_at),
    constraint past_version_firm_exists foreign key (firm_id) references firm (firm_id),
    constraint past_version_name_length check (length(name) between 1 and 200),
    constraint past_version_version_positive check (1 <= version),
    constraint past_version_body_length check (octet_length(body) between 1 and 8388608)
);
comment on table past_version is 'A thing as it was before a change. Append-only.';
comment on column past_version.name is 'Its full name in the firm, such as jobs/round-hut.';
comment on column past_version.version is 'The version that this was.';
comment on column past_version.body is 'The encoded message of the thing.';
comment on column past_version.changed_at is 'When another took its place.';

alter table past_version enable row level security;
alter table past_version force row level security;
create policy past_version_of_firm on past_version
    using (firm_id = nullif(current_setting('hod.firm', true), '')::uuid)
    with check (firm_id = nullif(current_setting('hod.firm', true), '')::uuid);
grant select, insert on past_version to hod_app;
create trigger past_version_never_changes before update or delete or truncate on past_version
    for each statement execute function refuse_change();
