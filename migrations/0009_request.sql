-- What has been asked and answered already. A caller who did not hear the answer asks again under the same id, and gets
-- the same bytes; the row is written in the transaction of the act itself, so that there is one if and only if the
-- other is.

create table request (
    firm_id uuid not null,
    request_id uuid not null,
    method text not null,
    request_sha256 bytea not null,
    response bytea not null,
    created_at timestamptz not null default now(),
    constraint request_key primary key (firm_id, request_id),
    constraint request_firm_exists foreign key (firm_id) references firm (firm_id),
    constraint request_method_length check (length(method) between 1 and 120),
    constraint request_sha256_length check (octet_length(request_sha256) = 32),
    constraint request_response_length check (octet_length(response) <= 8388608)
);
comment on table request is 'A request that was acted on under an id of the caller''s, with its answer. Append-only.';
comment on column request.request_id is 'Chosen by the caller.';
comment on column request.method is 'What was asked, so that one id cannot serve two methods.';
comment on column request.request_sha256 is 'Of the request''s message bytes: the same id with another body is refused.';
comment on column request.response is 'The encoded answer; empty for an answer that says nothing.';

alter table request enable row level security;
alter table request force row level security;
create policy request_of_firm on request
    using (firm_id = nullif(current_setting('hod.firm', true), '')::uuid)
    with check (firm_id = nullif(current_setting('hod.firm', true), '')::uuid);
grant select, insert on request to hod_app;
