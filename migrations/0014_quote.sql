-- Promises to clients. A quote is kept as the very bytes that were issued and never changes: what becomes of it are rows
-- beside it, and what is agreed afterwards are variations under it. The application role may read and add and no more;
-- triggers stand behind that grant, so that one given by mistake still changes nothing. Only whoever owns the tables can
-- put them out of force.
--
-- Numbers have no gaps and no repeats. The counter of a firm is one row, held from the taking of a number to the end of its
-- transaction, so a number given up is given again; and a counter that no quote stands at cannot be kept.

create function refuse_change() returns trigger language plpgsql as $$
begin
    raise restrict_violation using
        message = format('a row of %I is never changed, and never goes', tg_table_name),
        schema = tg_table_schema, table = tg_table_name, constraint = tg_table_name || '_never_changes';
end $$;
comment on function refuse_change is 'Refuses every change of a table that rows are only added to.';

create table quote (
    firm_id uuid not null,
    quote_number integer not null,
    job_id text collate "C" not null,
    estimate_id text collate "C" not null,
    client text not null,
    issue_date date not null,
    valid_until_date date not null,
    currency_code text not null,
    total numeric(19, 4) not null,
    lift_count integer not null,
    revised_number integer,
    offer bytea not null,
    estimate bytea not null,
    comparison bytea,
    digest bytea not null,
    created_at timestamptz not null default now(),
    constraint quote_key primary key (firm_id, quote_number),
    constraint quote_with_job unique (firm_id, quote_number, job_id),
    constraint quote_estimate_exists
        foreign key (firm_id, job_id, estimate_id) references estimate (firm_id, job_id, estimate_id),
    constraint quote_revised_is_of_its_job
        foreign key (firm_id, revised_number, job_id) references quote (firm_id, quote_number, job_id),
    constraint quote_revised_once unique (firm_id, revised_number),
    constraint quote_revises_an_earlier_one check (revised_number < quote_number),
    constraint quote_number_positive check (1 <= quote_number),
    constraint quote_client_length check (length(client) between 1 and 200),
    constraint quote_issue_date_in_calendar check (issue_date between '1900-01-01' and '2199-12-31'),
    constraint quote_validity_in_range check (valid_until_date - issue_date between 1 and 365),
    constraint quote_currency_is_a_code check (currency_code ~ '^[A-Z]{3}$'),
    constraint quote_total_in_range check (total between 0 and 999999999999999),
    constraint quote_lift_count_not_negative check (0 <= lift_count),
    constraint quote_offer_length check (octet_length(offer) between 1 and 8388608),
    constraint quote_estimate_length check (octet_length(estimate) between 1 and 8388608),
    constraint quote_comparison_length check (octet_length(comparison) between 1 and 8388608),
    constraint quote_comparison_of_a_revision check ((comparison is null) = (revised_number is null)),
    constraint quote_digest_is_of_its_bytes check (
        digest = sha256(
            int8send(octet_length(offer)::bigint) || offer
            || int8send(octet_length(estimate)::bigint) || estimate
            || int8send(octet_length(coalesce(comparison, ''))::bigint) || coalesce(comparison, '')))
);
create index quote_of_job on quote (firm_id, job_id, quote_number);
create index quote_of_estimate on quote (firm_id, job_id, estimate_id);
create index quote_of_revised on quote (firm_id, revised_number, job_id);
comment on table quote is 'An estimate as it was issued to a client. Append-only.';
comment on column quote.quote_number is 'From 1 in each firm, without gaps.';
comment on column quote.job_id is 'Of which job.';
comment on column quote.estimate_id is 'Which kept estimate of the job it was issued from.';
comment on column quote.client is 'To whom.';
comment on column quote.valid_until_date is 'Its last valid day.';
comment on column quote.total is 'With tax, in the currency''s main unit.';
comment on column quote.lift_count is 'Lifts measured, which payments may be tied to.';
comment on column quote.revised_number is 'The quote in whose place it stands; null for none.';
comment on column quote.offer is 'The encoded hod.v1.Offer, byte for byte as it was issued: what the client sees.';
comment on column quote.estimate is 'The encoded hod.v1.Estimate that it was issued from.';
comment on column quote.comparison is
    'The encoded hod.v1.Comparison with the quote that it revises; null when it revises none.';
comment on column quote.digest is
    'SHA-256 of offer, estimate and comparison in this order, each after its length as 8 bytes, the highest first; a comparison that is not there counts as empty.';

alter table quote enable row level security;
alter table quote force row level security;
create policy quote_of_firm on quote
    using (firm_id = nullif(current_setting('hod.firm', true), '')::uuid)
    with check (firm_id = nullif(current_setting('hod.firm', true), '')::uuid);
grant select, insert on quote to hod_app;
create trigger quote_never_changes before update or delete or truncate on quote
    for each statement execute function refuse_change();

create table quote_counter (
    firm_id uuid not null,
    last_number integer not null,
    constraint quote_counter_key primary key (firm_id),
    -- Looked at when all is kept: the number is taken before its quote is there.
    constraint quote_counter_is_at_a_quote
        foreign key (firm_id, last_number) references quote (firm_id, quote_number) deferrable initially deferred
);
comment on table quote_counter is 'The number of a firm''s last quote. Whoever takes the next holds the row until all is kept or undone.';
comment on column quote_counter.last_number is 'Taken last.';

alter table quote_counter enable row level security;
alter table quote_counter force row level security;
create policy quote_counter_of_firm on quote_counter
    using (firm_id = nullif(current_setting('hod.firm', true), '')::uuid)
    with check (firm_id = nullif(current_setting('hod.firm', true), '')::uuid);
grant select, insert, update on quote_counter to hod_app;

create table quote_event (
    firm_id uuid not null,
    quote_number integer not null,
    sequence integer not null,
    state text not null,
    event_date date not null,
    note text not null,
    created_at timestamptz not null default now(),
    constraint quote_event_key primary key (firm_id, quote_number, sequence),
    constraint quote_event_quote_exists
        foreign key (firm_id, quote_number) references quote (firm_id, quote_number),
    constraint quote_event_sequence_positive check (1 <= sequence),
    constraint quote_event_state_known check (state in ('issued', 'accepted', 'declined', 'expired', 'superseded')),
    constraint quote_event_issued_first check ((sequence = 1) = (state = 'issued')),
    constraint quote_event_date_in_calendar check (event_date between '1900-01-01' and '2199-12-31'),
    constraint quote_event_note_length check (length(note) <= 400)
);
-- Once for each quote, whatever the trigger below has seen.
create unique index quote_event_ends_once on quote_event (firm_id, quote_number)
    where state in ('accepted', 'declined', 'expired');
create unique index quote_event_accepted_or_superseded on quote_event (firm_id, quote_number)
    where state in ('accepted', 'superseded');
comment on table quote_event is 'What became of a quote, step by step. Append-only.';
comment on column quote_event.sequence is 'Its place among the quote''s events, from 1; the last is the version of the quote.';
comment on column quote_event.state is 'What the quote came to.';
comment on column quote_event.event_date is 'On which day it came to it.';
comment on column quote_event.note is 'What was said with it; may be empty.';

alter table quote_event enable row level security;
alter table quote_event force row level security;
create policy quote_event_of_firm on quote_event
    using (firm_id = nullif(current_setting('hod.firm', true), '')::uuid)
    with check (firm_id = nullif(current_setting('hod.firm', true), '')::uuid);
grant select, insert on quote_event to hod_app;
create trigger quote_event_never_changes before update or delete or truncate on quote_event
    for each statement execute function refuse_change();

-- Forwards only: an event follows the one before it, not before its day, and only what may follow it.
create function quote_event_check() returns trigger language plpgsql set search_path = public, pg_temp as $$
declare
    last quote_event;
    valid_until date;
    broken text;
begin
    select valid_until_date into valid_until
        from quote where firm_id = new.firm_id and quote_number = new.quote_number;
    select * into last from quote_event
        where firm_id = new.firm_id and quote_number = new.quote_number and sequence = new.sequence - 1;
    broken := case
        -- Its issue comes with the quote itself.
        when new.sequence = 1 then null
        when last.sequence is null then 'quote_event_follows_another'
        when last.state in ('accepted', 'superseded') or (last.state <> 'issued' and new.state <> 'superseded')
            then 'quote_event_goes_forward'
        when new.event_date < last.event_date then 'quote_event_not_before_the_last'
        when new.state = 'accepted' and valid_until < new.event_date then 'quote_event_accepted_in_time'
        when new.state = 'superseded' and not exists (
            select from quote where firm_id = new.firm_id and revised_number = new.quote_number)
            then 'quote_event_superseded_by_a_quote'
    end;
    if broken is not null then
        raise check_violation using
            message = 'an event does not follow from what became of its quote before',
            schema = 'public', table = 'quote_event', constraint = broken;
    end if;
    return null;
end $$;
comment on function quote_event_check is 'Refuses an event that does not follow from what became of its quote before.';
create trigger quote_event_follows after insert on quote_event
    for each row execute function quote_event_check();

-- A number follows the one before it. With the quote come the events that it is: its issue, and the end of the quote in
-- whose place it stands.
create function quote_issue() returns trigger language plpgsql set search_path = public, pg_temp as $$
begin
    if new.quote_number <> 1 and not exists (
        select from quote where firm_id = new.firm_id and quote_number = new.quote_number - 1)
    then
        raise check_violation using
            message = 'the number of a quote does not follow the last',
            schema = 'public', table = 'quote', constraint = 'quote_number_follows';
    end if;
    insert into quote_event (firm_id, quote_number, sequence, state, event_date, note)
    values (new.firm_id, new.quote_number, 1, 'issued', new.issue_date, '');
    insert into quote_event (firm_id, quote_number, sequence, state, event_date, note)
    select firm_id, quote_number, max(sequence) + 1, 'superseded', new.issue_date, ''
    from quote_event where firm_id = new.firm_id and quote_number = new.revised_number
    group by firm_id, quote_number;
    return null;
end $$;
comment on function quote_issue is 'Keeps the events that a new quote is, and refuses a gap before it.';
create trigger quote_issue after insert on quote
    for each row execute function quote_issue();

create table variation (
    firm_id uuid not null,
    quote_number integer not null,
    variation_number integer not null,
    agreed_date date not null,
    days integer not null,
    total numeric(19, 4) not null,
    body bytea not null,
    created_at timestamptz not null default now(),
    constraint variation_key primary key (firm_id, quote_number, variation_number),
    constraint variation_quote_exists
        foreign key (firm_id, quote_number) references quote (firm_id, quote_number),
    constraint variation_number_positive check (1 <= variation_number),
    constraint variation_agreed_date_in_calendar check (agreed_date between '1900-01-01' and '2199-12-31'),
    constraint variation_days_in_range check (days between -1000 and 1000),
    constraint variation_total_in_range check (total between -999999999999999 and 999999999999999),
    constraint variation_body_length check (octet_length(body) between 1 and 8388608)
);
comment on table variation is 'Work agreed under an accepted quote. Append-only.';
comment on column variation.variation_number is 'From 1 under each quote, without gaps.';
comment on column variation.days is 'That it adds; below 0 for days that it saves.';
comment on column variation.total is 'With tax, in the main unit of the quote''s currency; below 0 where more falls away than is added.';
comment on column variation.body is 'The encoded hod.v1.Variation, byte for byte as it was answered.';

alter table variation enable row level security;
alter table variation force row level security;
create policy variation_of_firm on variation
    using (firm_id = nullif(current_setting('hod.firm', true), '')::uuid)
    with check (firm_id = nullif(current_setting('hod.firm', true), '')::uuid);
grant select, insert on variation to hod_app;
create trigger variation_never_changes before update or delete or truncate on variation
    for each statement execute function refuse_change();

create function variation_check() returns trigger language plpgsql set search_path = public, pg_temp as $$
declare
    accepted date;
    broken text;
begin
    select event_date into accepted from quote_event
        where firm_id = new.firm_id and quote_number = new.quote_number and state = 'accepted';
    broken := case
        when accepted is null then 'variation_under_an_accepted_quote'
        when new.agreed_date < accepted then 'variation_not_before_acceptance'
        when new.variation_number <> 1 and not exists (
            select from variation where firm_id = new.firm_id and quote_number = new.quote_number
                and variation_number = new.variation_number - 1)
            then 'variation_number_follows'
    end;
    if broken is not null then
        raise check_violation using
            message = 'a variation does not follow from its quote or from the last variation',
            schema = 'public', table = 'variation', constraint = broken;
    end if;
    return null;
end $$;
comment on function variation_check is 'Refuses a variation of a quote that is not accepted, before its acceptance, or after a gap.';
create trigger variation_follows after insert on variation
    for each row execute function variation_check();
