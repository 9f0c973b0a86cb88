-- Prices as suppliers really sell: each supplier has prices of its own, in packs, from a least order on, cheaper from some
-- quantities on, with a delivery by the load. A wage carries more than one thing on top of it. Materials have groups, so
-- that the prices of a group can be changed in one act.
--
-- A thousand prices change in one act, and a hundred thousand come in one file. An exclusion constraint finds an overlap
-- row by row, at a tenth of a millisecond each, and would take longer over that than all else together. So the rule that
-- no two prices of a supplier hold on one day is kept by a unique first day and a trigger, which looks once a statement at
-- what stands before and after each row that came in. It writes the counter of the list first, so that two sessions come
-- one after the other, whatever they read before.

alter table material
    add column material_group text collate "C",
    add constraint material_group_well_formed check (material_group ~ '^[a-z]([a-z0-9-]{0,61}[a-z0-9])?$');
create index material_by_group on material (firm_id, material_group) where material_group is not null;
comment on column material.material_group is 'The group that it is priced with; null for none.';

-- Whether each number is above the one before it, with no null among them.
create function numbers_rise(numbers numeric[]) returns boolean
    language plpgsql immutable strict parallel safe as $$
declare
    number numeric;
    last numeric;
begin
    foreach number in array numbers loop
        if number is null or number <= last then
            return false;
        end if;
        last := number;
    end loop;
    return true;
end $$;
comment on function numbers_rise is 'Whether each number is above the one before it, with no null among them.';

alter table price
    add column pack_size numeric(21, 6),
    add column minimum_order numeric(21, 6),
    add column break_rule text,
    add column break_from numeric(21, 6)[] not null default '{}',
    add column break_price numeric(21, 6)[] not null default '{}',
    add column load_m3 numeric(27, 12),
    add column load_t numeric(27, 12),
    add column load_quantity numeric(21, 6),
    add column charge_per_load numeric(21, 6),
    add column charge_per_km numeric(21, 6),
    add column distance_km numeric(27, 12),
    add column lead_days integer not null default 0,
    add column note text not null default '',
    -- A plain date, for what is asked of a range's end cannot be looked up in an index behind row-level security.
    add column starts date generated always as (lower(in_force)) stored,
    add constraint price_pack_size_in_range check (pack_size between 0.000001 and 999999999),
    add constraint price_minimum_order_in_range check (minimum_order between 0.000001 and 999999999),
    add constraint price_break_rule_known check (break_rule in ('all-units', 'incremental')),
    add constraint price_breaks_together check (
        cardinality(break_from) = cardinality(break_price)
        and (break_rule is null) = (cardinality(break_from) = 0)
        and coalesce(array_ndims(break_from), 1) = 1 and coalesce(array_ndims(break_price), 1) = 1),
    add constraint price_breaks_at_most_20 check (cardinality(break_from) <= 20),
    add constraint price_break_from_in_range
        check (0 < all (break_from) and 999999999 >= all (break_from)),
    add constraint price_break_from_rises check (cardinality(break_from) = 0 or numbers_rise(break_from)),
    add constraint price_break_price_in_range check (
        array_position(break_price, null) is null and 0 <= all (break_price) and 999999999 >= all (break_price)),
    add constraint price_load_m3_in_range check (load_m3 between 0.01 and 1000),
    add constraint price_load_t_in_range check (load_t between 0.01 and 1000),
    add constraint price_load_quantity_in_range check (load_quantity between 0.000001 and 999999999),
    add constraint price_charge_per_load_in_range check (charge_per_load between 0 and 999999999),
    add constraint price_charge_per_km_in_range check (charge_per_km between 0 and 999999999),
    add constraint price_distance_in_range check (distance_km between 0 and 5000),
    add constraint price_delivery_together check (
        num_nonnulls(charge_per_load, charge_per_km) in (0, 2)
        and (charge_per_load is not null or num_nonnulls(load_m3, load_t, load_quantity, distance_km) = 0)),
    add constraint price_delivery_has_a_limit
        check (charge_per_load is null or 1 <= num_nonnulls(load_m3, load_t, load_quantity)),
    add constraint price_charge_per_km_has_a_distance check (charge_per_km = 0 or distance_km is not null),
    add constraint price_lead_days_in_range check (lead_days between 0 and 1000),
    add constraint price_note_length check (length(note) <= 400),
    -- The foreign key over the unit says as much.
    drop constraint price_material_exists,
    drop constraint price_no_overlap;
alter table price
    alter column break_from drop default,
    alter column break_price drop default,
    alter column lead_days drop default,
    alter column note drop default;
create unique index price_starts_once on price (firm_id, region_id, material_id, supplier, starts)
    where version_out is null;
comment on table price is
    'What a supplier asks for a material in a region over a range of dates, with its place in the history of the region''s list.';
comment on column price.supplier is 'Who sells at it; may be empty. Each has prices of its own.';
comment on column price.pack_size is 'Sold in whole packs of so much, in the purchase unit; null: as the material is ordered.';
comment on column price.minimum_order is 'The least that is sold, in the purchase unit; null for none.';
comment on column price.break_rule is 'Whether a break lowers the whole quantity or what lies above it; null without breaks.';
comment on column price.break_from is 'From which quantities on another unit price holds, rising.';
comment on column price.break_price is 'The unit price from each of those on.';
comment on column price.load_m3 is 'Most loose volume of a load; null for no such limit.';
comment on column price.load_t is 'Most mass of a load; null for no such limit.';
comment on column price.load_quantity is 'Most of a load in the purchase unit; null for no such limit.';
comment on column price.charge_per_load is 'Money for each load; null when it is fetched or comes within the price.';
comment on column price.charge_per_km is 'Money for each load and kilometre; null when it is fetched or comes within the price.';
comment on column price.distance_km is 'Kilometres charged for a load; null when none are.';
comment on column price.lead_days is 'Days from order to delivery.';
comment on column price.starts is 'The first day of in_force; never null, for that has a start.';

-- What two prices of a supplier on one day would break; runs once a statement, over the rows that came in. Without sorting
-- only the index of first days can answer what stands beside a row. Left to itself a plan for a table that has grown
-- since it was last counted takes another index, and holds each row against all others of its material.
create function price_keep_apart() returns trigger language plpgsql
    set search_path = public, pg_temp set enable_sort = off set enable_incremental_sort = off as $$
begin
    update region_list set version = version
    where (firm_id, region_id) in (select distinct firm_id, region_id from added where version_out is null);
    if exists (
        select from added cross join lateral (
            (select in_force from price
             where firm_id = added.firm_id and region_id = added.region_id and material_id = added.material_id
                 and supplier = added.supplier and version_out is null and starts < added.starts
             order by starts desc limit 1)
            union all
            (select in_force from price
             where firm_id = added.firm_id and region_id = added.region_id and material_id = added.material_id
                 and supplier = added.supplier and version_out is null and added.starts < starts
             order by starts limit 1)) as beside
        where added.version_out is null and beside.in_force && added.in_force)
    then
        raise exclusion_violation using
            message = 'two prices of a supplier for a material are in force in a region on one day',
            schema = 'public', table = 'price', constraint = 'price_no_overlap';
    end if;
    return null;
end $$;
comment on function price_keep_apart is 'Refuses two prices of a supplier for a material in a region on one day.';
create trigger price_no_overlap after insert on price
    referencing new table as added for each statement execute function price_keep_apart();

-- What stands in a list only ever goes out of it, or the rule above could be walked around.
create function price_refuse_return() returns trigger language plpgsql as $$
begin
    raise check_violation using
        message = 'a price that stands in a list is only taken out of it, and does not come back',
        schema = 'public', table = 'price', constraint = 'price_only_goes_out';
end $$;
comment on function price_refuse_return is 'Refuses a change of a price that leaves it in its list.';
create trigger price_only_goes_out before update on price
    for each row when (new.version_out is null) execute function price_refuse_return();

-- Whether each text has so many characters, with no null among them.
create function texts_hold(texts text[], fewest integer, most integer) returns boolean
    language sql immutable strict parallel safe
    return (select coalesce(bool_and(said is not null and length(said) between fewest and most), true)
            from unnest(texts) as each (said));
comment on function texts_hold is 'Whether each text has so many characters, with no null among them.';

-- Whether at each place one of two lists has a number and the other has none.
create function one_of_two(ones numeric[], others numeric[]) returns boolean
    language sql immutable strict parallel safe
    return (select coalesce(bool_and(num_nonnulls(one, other) = 1), true) from unnest(ones, others) as each (one, other));
comment on function one_of_two is 'Whether at each place one of two lists has a number and the other has none.';

alter table labour_rate
    add column burden_label text[] not null default '{}',
    add column burden_percents numeric(27, 12)[] not null default '{}',
    add column burden_per_hour numeric(19, 4)[] not null default '{}',
    add column paid_hours numeric(27, 12),
    add column productive_hours numeric(27, 12),
    add column note text not null default '',
    add constraint labour_rate_burdens_together check (
        cardinality(burden_label) = cardinality(burden_percents) and cardinality(burden_label) = cardinality(burden_per_hour)
        and coalesce(array_ndims(burden_label), 1) = 1 and coalesce(array_ndims(burden_percents), 1) = 1
        and coalesce(array_ndims(burden_per_hour), 1) = 1),
    add constraint labour_rate_burdens_at_most_20 check (cardinality(burden_label) <= 20),
    add constraint labour_rate_burden_label_length check (texts_hold(burden_label, 1, 60)),
    add constraint labour_rate_burden_share_or_amount check (one_of_two(burden_percents, burden_per_hour)),
    add constraint labour_rate_burden_percents_in_range
        check (0 <= all (burden_percents) and 300 >= all (burden_percents)),
    add constraint labour_rate_burden_per_hour_in_range
        check (0 <= all (burden_per_hour) and 999999 >= all (burden_per_hour)),
    add constraint labour_rate_year_whole check (num_nonnulls(paid_hours, productive_hours) in (0, 2)),
    add constraint labour_rate_paid_hours_in_range check (paid_hours between 1 and 8784),
    -- NaN stands above every number, and so above the hours paid.
    add constraint labour_rate_productive_hours_in_range
        check (0 < productive_hours and productive_hours <= paid_hours),
    add constraint labour_rate_note_length check (length(note) <= 400);
alter table labour_rate
    alter column burden_label drop default,
    alter column burden_percents drop default,
    alter column burden_per_hour drop default,
    alter column note drop default;
comment on column labour_rate.burden_percent is 'What comes on top unnamed, of the wage.';
comment on column labour_rate.burden_label is 'What else comes on top, by name.';
comment on column labour_rate.burden_percents is 'How much each of those is of the wage; null for one that is an amount.';
comment on column labour_rate.burden_per_hour is 'How much each of those is an hour, in the region''s currency; null for one that is a share.';
comment on column labour_rate.paid_hours is 'Hours paid in a year; null when every hour paid is productive.';
comment on column labour_rate.productive_hours is 'Of those, hours productive; null when all are.';
