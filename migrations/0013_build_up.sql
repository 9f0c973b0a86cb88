-- The whole way from cost to price: several taxes, each on all of the price or on parts of it, allowances within direct
-- cost, a discount, a least charge, a price brought to round figures, and what an hour costs the client. The tax that a
-- region had becomes the first and only one of its taxes.

create table region_tax (
    firm_id uuid not null,
    region_id text collate "C" not null,
    position smallint not null,
    label text not null,
    percent numeric(27, 12) not null,
    parts text[] not null,
    constraint region_tax_key primary key (firm_id, region_id, position),
    constraint region_tax_region_exists foreign key (firm_id, region_id) references region (firm_id, region_id),
    constraint region_tax_at_most_10 check (position between 1 and 10),
    constraint region_tax_label_length check (length(label) <= 40),
    constraint region_tax_in_range check (percent between 0 and 100),
    constraint region_tax_parts_known check (
        array_position(parts, null) is null
        and parts <@ array['material', 'labour', 'equipment', 'subcontract', 'fee', 'travel', 'provisional-sum', 'other',
            'on-cost'])
);
comment on table region_tax is 'A tax on the price, or on some parts of it.';
comment on column region_tax.position is 'Its place among the region''s taxes, from 1.';
comment on column region_tax.label is 'What it is called on paper; may be empty for the only one.';
comment on column region_tax.percent is 'Of what it is on.';
comment on column region_tax.parts is 'The parts of the price that it is on; empty: all.';

-- Security is forced on the owner too, who is of no firm and would find no region to copy from.
alter table region no force row level security;
insert into region_tax (firm_id, region_id, position, label, percent, parts)
select firm_id, region_id, 1, tax_label, tax_percent, '{}' from region;
alter table region force row level security;

alter table region_tax enable row level security;
alter table region_tax force row level security;
create policy region_tax_of_firm on region_tax
    using (firm_id = nullif(current_setting('hod.firm', true), '')::uuid)
    with check (firm_id = nullif(current_setting('hod.firm', true), '')::uuid);
-- A changed region has its taxes put in afresh.
grant select, insert, delete on region_tax to hod_app;

create table region_allowance (
    firm_id uuid not null,
    region_id text collate "C" not null,
    position smallint not null,
    label text not null,
    percent numeric(27, 12),
    parts text[] not null,
    amount numeric(19, 4),
    constraint region_allowance_key primary key (firm_id, region_id, position),
    constraint region_allowance_region_exists foreign key (firm_id, region_id) references region (firm_id, region_id),
    constraint region_allowance_at_most_20 check (position between 1 and 20),
    constraint region_allowance_label_length check (length(label) between 1 and 60),
    constraint region_allowance_share_or_amount check (num_nonnulls(percent, amount) = 1),
    constraint region_allowance_percent_in_range check (percent between 0 and 100),
    constraint region_allowance_amount_in_range check (amount between 0 and 999999999),
    constraint region_allowance_amount_has_no_parts check (percent is not null or cardinality(parts) = 0),
    constraint region_allowance_parts_known check (
        array_position(parts, null) is null
        and parts <@ array['material', 'labour', 'equipment', 'subcontract', 'fee', 'travel', 'provisional-sum', 'other'])
);
comment on table region_allowance is 'Something that is allowed for within direct cost without being measured.';
comment on column region_allowance.position is 'Its place among the region''s allowances, from 1.';
comment on column region_allowance.percent is 'Of the parts; null for an amount.';
comment on column region_allowance.parts is 'The parts of direct cost that it is a share of; empty: all of it.';
comment on column region_allowance.amount is 'Money, in the region''s currency; null for a share.';

alter table region_allowance enable row level security;
alter table region_allowance force row level security;
create policy region_allowance_of_firm on region_allowance
    using (firm_id = nullif(current_setting('hod.firm', true), '')::uuid)
    with check (firm_id = nullif(current_setting('hod.firm', true), '')::uuid);
-- A changed region has its allowances put in afresh.
grant select, insert, delete on region_allowance to hod_app;

alter table region
    drop column tax_label,
    drop column tax_percent,
    add column discount_percent numeric(27, 12),
    add column discount_amount numeric(19, 4),
    add column minimum_charge numeric(19, 4),
    add column round_price_to numeric(19, 4),
    add column daywork_percent numeric(27, 12) not null default 0,
    add constraint region_discount_share_or_amount check (num_nonnulls(discount_percent, discount_amount) <= 1),
    add constraint region_discount_percent_in_range check (discount_percent between 0 and 100),
    add constraint region_discount_amount_in_range check (discount_amount between 0 and 999999999),
    add constraint region_minimum_charge_in_range check (minimum_charge between 0 and 999999999),
    add constraint region_round_price_to_in_range check (round_price_to between 0.0001 and 999999999),
    add constraint region_daywork_in_range check (daywork_percent between 0 and 300);
alter table region alter column daywork_percent drop default;
comment on column region.tax_basis is 'Whether taxes are rounded line by line or once.';
comment on column region.version is 'One more with every change of this row, of its taxes or of its allowances; the tag against lost updates.';
comment on column region.discount_percent is 'Of the price after profit and before tax; null for none or an amount.';
comment on column region.discount_amount is 'Money off the price before tax; null for none or a share.';
comment on column region.minimum_charge is 'The least that is charged before tax; null for none.';
comment on column region.round_price_to is 'The price before tax is brought to the nearest multiple of this; null: it is not.';
comment on column region.daywork_percent is 'Added to the loaded rate of an hour for work paid by the hour.';
