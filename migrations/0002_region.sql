-- Where a set of prices and labour rates holds, and how a price is built up there. Two rules are easily forgotten and
-- are kept here: a region and the one it falls back to have one currency, and the currency is fixed once a price is kept.
-- That the chain of parents does not come back to itself is kept by the store, which locks a firm's regions to see it.
--
-- Numbers have 15 digits before the point and 12 after it, here and in all that follows unless said otherwise: as many
-- as a request may carry. So nothing is rounded on its way in, and what is out of range is refused by the rule that
-- names the range.

create table region (
    firm_id uuid not null,
    -- Ids sort by their bytes everywhere, in pages as in programs, whatever the language of the database.
    region_id text collate "C" not null,
    display_name text not null,
    parent_region_id text collate "C",
    currency_code text not null,
    rounding text not null,
    site_overhead_percent numeric(27, 12) not null,
    firm_overhead_percent numeric(27, 12) not null,
    contingency_percent numeric(27, 12) not null,
    profit_percent numeric(27, 12) not null,
    profit_basis text not null,
    tax_label text not null,
    tax_percent numeric(27, 12) not null,
    tax_basis text not null,
    version bigint not null default 1,
    created_at timestamptz not null default now(),
    updated_at timestamptz not null default now(),
    constraint region_key primary key (firm_id, region_id),
    constraint region_firm_exists foreign key (firm_id) references firm (firm_id),
    constraint region_parent_exists foreign key (firm_id, parent_region_id) references region (firm_id, region_id),
    constraint region_id_well_formed check (region_id ~ '^[a-z]([a-z0-9-]{0,61}[a-z0-9])?$'),
    constraint region_display_name_length check (length(display_name) between 1 and 120),
    constraint region_parent_is_another check (parent_region_id <> region_id),
    constraint region_currency_is_a_code check (currency_code ~ '^[A-Z]{3}$'),
    constraint region_rounding_known check (rounding in ('half-away-from-zero', 'half-to-even')),
    -- Upper bounds everywhere: NaN stands above every number and would pass a lower bound alone.
    constraint region_site_overhead_in_range check (site_overhead_percent between 0 and 100),
    constraint region_firm_overhead_in_range check (firm_overhead_percent between 0 and 100),
    constraint region_contingency_in_range check (contingency_percent between 0 and 100),
    constraint region_profit_in_range check (profit_percent between 0 and 100),
    constraint region_profit_basis_known check (profit_basis in ('markup-on-cost', 'margin-on-price')),
    constraint region_margin_below_whole check (profit_basis <> 'margin-on-price' or profit_percent < 100),
    constraint region_tax_label_length check (length(tax_label) <= 40),
    constraint region_tax_in_range check (tax_percent between 0 and 100),
    constraint region_tax_basis_known check (tax_basis in ('line', 'invoice')),
    constraint region_version_positive check (1 <= version)
);
-- Refuses nothing that the key does not; it is what a foreign key over the currency needs to point at.
create unique index region_with_currency on region (firm_id, region_id, currency_code);
alter table region add constraint region_parent_has_its_currency
    foreign key (firm_id, parent_region_id, currency_code) references region (firm_id, region_id, currency_code);
create index region_by_parent on region (firm_id, parent_region_id, currency_code);
comment on table region is 'Where a set of prices and labour rates holds, and how a price is built up from them.';
comment on column region.parent_region_id is 'The region that answers when this one has no price in force; null for none.';
comment on column region.currency_code is 'ISO 4217.';
comment on column region.rounding is 'How money is rounded to the minor unit of the currency.';
comment on column region.site_overhead_percent is 'Percent of direct cost.';
comment on column region.firm_overhead_percent is 'Percent of direct cost and site overhead.';
comment on column region.contingency_percent is 'Percent of the cost so far.';
comment on column region.profit_basis is 'What profit is a percentage of: the cost before it or the price after it.';
comment on column region.tax_label is 'What the tax is called on paper; may be empty.';
comment on column region.tax_basis is 'Whether tax is rounded line by line or once.';
comment on column region.version is 'One more with every change of this row; the tag against lost updates.';

alter table region enable row level security;
alter table region force row level security;
create policy region_of_firm on region
    using (firm_id = nullif(current_setting('hod.firm', true), '')::uuid)
    with check (firm_id = nullif(current_setting('hod.firm', true), '')::uuid);
grant select, insert, update on region to hod_app;

-- The counter of a region's list. Whoever changes a price or a rate takes this row first, so that two estimators come
-- one after the other and the versions follow each other without a gap. It is made with the first price or rate.
create table region_list (
    firm_id uuid not null,
    region_id text collate "C" not null,
    currency_code text not null,
    version bigint not null,
    constraint region_list_key primary key (firm_id, region_id),
    constraint region_list_region_exists foreign key (firm_id, region_id) references region (firm_id, region_id),
    constraint region_list_has_its_currency
        foreign key (firm_id, region_id, currency_code) references region (firm_id, region_id, currency_code),
    constraint region_list_version_positive check (1 <= version)
);
comment on table region_list is 'Which version a region''s list of prices and labour rates has reached; no row: version 0, an empty list.';
comment on column region_list.currency_code is 'The region''s, held by a foreign key so that it cannot change any more.';

alter table region_list enable row level security;
alter table region_list force row level security;
create policy region_list_of_firm on region_list
    using (firm_id = nullif(current_setting('hod.firm', true), '')::uuid)
    with check (firm_id = nullif(current_setting('hod.firm', true), '')::uuid);
grant select, insert, update (version) on region_list to hod_app;
