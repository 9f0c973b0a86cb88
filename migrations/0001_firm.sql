-- Whose data everything is. A firm is the boundary that no request crosses: its id leads every key that follows, and
-- row-level security holds each session to one firm even where a query forgets to ask.
--
-- The application role hod_app owns nothing. It must exist before this runs, for a migration cannot know its password.
-- Row-level security is forced on the owner too, so whoever repairs rows by hand sets hod.firm first.

-- Ids and ranges in one exclusion constraint.
create extension if not exists btree_gist;

grant usage on schema public to hod_app;

create table firm (
    firm_id uuid not null,
    display_name text not null,
    created_at timestamptz not null default now(),
    constraint firm_key primary key (firm_id),
    constraint firm_display_name_length check (length(display_name) between 1 and 120)
);
comment on table firm is 'Whose data it is: the boundary that no request crosses.';
comment on column firm.display_name is 'What people call it.';

alter table firm enable row level security;
alter table firm force row level security;
-- hod.firm is set inside each transaction. Unset it is null, and '' once a connection has had it set: either way no row.
create policy firm_is_its_own on firm
    using (firm_id = nullif(current_setting('hod.firm', true), '')::uuid)
    with check (firm_id = nullif(current_setting('hod.firm', true), '')::uuid);
grant select on firm to hod_app;

-- The one table that stands outside a firm: the firm is not known until the token has been looked up.
create table access_token (
    token_sha256 bytea not null,
    firm_id uuid not null,
    role text not null,
    created_at timestamptz not null default now(),
    revoked_at timestamptz,
    constraint access_token_key primary key (token_sha256),
    constraint access_token_firm_exists foreign key (firm_id) references firm (firm_id),
    constraint access_token_sha256_length check (octet_length(token_sha256) = 32),
    constraint access_token_role_known check (role in ('owner')),
    constraint access_token_revoked_after_created check (created_at <= revoked_at)
);
create index access_token_of_firm on access_token (firm_id);
comment on table access_token is 'Who may come in, and to which firm. Stands outside a firm, since it is what tells the firm.';
comment on column access_token.token_sha256 is 'SHA-256 of the token. The token itself is 256 random bits and is kept nowhere.';
comment on column access_token.revoked_at is 'When it ceased to be good; null while it is.';
grant select on access_token to hod_app;
