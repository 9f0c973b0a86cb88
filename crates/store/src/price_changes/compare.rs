//! What rows would change, against what stands in the lists, which are locked.

use hod_units::Date;

use super::tables::analyze;
use crate::fault::StoreFault;
use crate::session::Session;

/// Beyond the places of all rows that a caller can count.
const PLACE_OF_THE_UNNAMED: i64 = 1 << 32;

/// For the firm `$1`. A row is held against the price that stands on its first day. It changes nothing when that says the
/// same and holds as long, and no earlier row of the same key takes the place of that price before it.
const ROWS: &str = "insert into price_change (place, file_row, kind, region_id, price_id, made_id, material_id, supplier, \
         unit, before_id, before_starts, before_price, after_price, starts, ends) \
     with asked as ( \
         select price_asked.*, \
             lead(starts) over (partition by region_id, material_id, supplier order by starts) as next_asked \
         from price_asked), \
     held as ( \
         select asked.*, before.price_id as before_id, before.starts as before_starts, \
             before.unit_price as before_price, least(asked.next_asked, later.starts) as next_starts, \
             upper(before.in_force) as before_ends, \
             (before.unit_price, before.unit, before.source, before.pack_size, before.minimum_order, \
                 before.break_rule, before.break_from, before.break_price, before.load_m3, before.load_t, \
                 before.load_quantity, before.charge_per_load, before.charge_per_km, before.distance_km, \
                 before.lead_days, before.note) \
             is not distinct from \
             (asked.unit_price, asked.unit, asked.source, asked.pack_size, asked.minimum_order, \
                 asked.break_rule, asked.break_from, asked.break_price, asked.load_m3, asked.load_t, \
                 asked.load_quantity, asked.charge_per_load, asked.charge_per_km, asked.distance_km, \
                 asked.lead_days, asked.note) as says_the_same \
         from asked \
         left join lateral ( \
             select * from price \
             where firm_id = $1 and region_id = asked.region_id and material_id = asked.material_id \
                 and supplier = asked.supplier and version_out is null and starts <= asked.starts \
             order by starts desc limit 1) as before \
             on upper(before.in_force) is null or asked.starts < upper(before.in_force) \
         left join lateral ( \
             select starts from price \
             where firm_id = $1 and region_id = asked.region_id and material_id = asked.material_id \
                 and supplier = asked.supplier and version_out is null and asked.starts < starts \
             order by starts limit 1) as later on true), \
     alone as ( \
         select held.*, before_id is not null and says_the_same \
             and least(ends, next_starts) is not distinct from least(before_ends, next_starts) as stays \
         from held), \
     told as ( \
         select alone.*, bool_and(stays) over (partition by region_id, material_id, supplier, before_starts \
             order by starts rows between unbounded preceding and current row) as is_same \
         from alone) \
     select place, file_row, \
         case when is_same then 'same' when before_id is null then 'new' when before_price < unit_price then 'raised' \
             when unit_price < before_price then 'lowered' else 'altered' end, \
         region_id, case when is_same then before_id else coalesce(asked_id, made_id) end, made_id, \
         material_id, supplier, unit, before_id, before_starts, before_price, unit_price, starts, \
         least(ends, next_starts) \
     from told";

/// Compares the rows.
///
/// Without sorting only the index of first days can answer what stands before and after a row. Left to itself a plan for a
/// table that has grown since it was last counted holds each row against all others of its material.
pub(super) async fn rows(session: &mut Session) -> Result<(), StoreFault> {
    set_sorting(session, "off").await?;
    sqlx::query(ROWS)
        .bind(session.firm_uuid())
        .execute(session.connection())
        .await?;
    set_sorting(session, "on").await?;
    analyze(session, "analyze price_change").await
}

async fn set_sorting(session: &mut Session, whether: &str) -> Result<(), StoreFault> {
    sqlx::query("select set_config('enable_sort', $1, true), set_config('enable_incremental_sort', $1, true)")
        .bind(whether)
        .execute(session.connection())
        .await?;
    Ok(())
}

/// For the firm `$1`: what is in force on the day `$2` in the regions of the rows and is named by none, with its place
/// after `$3`.
const MISSING: &str = "insert into price_change (place, kind, region_id, price_id, material_id, supplier, unit, before_id, \
         before_starts, before_price, starts) \
     select $3 + row_number() over (order by region_id, material_id, supplier), 'closed', region_id, price_id, \
         material_id, supplier, unit, price_id, starts, unit_price, $2 \
     from price \
     where firm_id = $1 and version_out is null and region_id in (select region_id from price_list) \
         and starts <= $2 and (upper(in_force) is null or $2 < upper(in_force)) \
         and not exists (select from price_asked as asked where asked.region_id = price.region_id \
             and asked.material_id = price.material_id and asked.supplier = price.supplier)";

/// Finds what no row names.
pub(super) async fn missing(session: &mut Session, day: Date) -> Result<(), StoreFault> {
    sqlx::query(MISSING)
        .bind(session.firm_uuid())
        .bind(day)
        .bind(PLACE_OF_THE_UNNAMED)
        .execute(session.connection())
        .await?;
    Ok(())
}

/// Takes its id from each new price that cannot have it: a price has had it, or a row that comes first has.
const FREE: &str = "update price_change as change set price_id = null \
     from (select place, region_id, price_id, \
               row_number() over (partition by region_id, price_id order by price_id = made_id, place) as turn \
           from price_change where kind not in ('same', 'closed') and price_id is not null) as named \
     where change.place = named.place and (1 < named.turn or exists (select from price \
         where firm_id = $1 and region_id = named.region_id and price_id = named.price_id))";

/// Gives each that has none its made id with the version that it comes in with, and from the second try on with that
/// try, `$1`.
const NAME: &str = "update price_change as change set price_id = change.made_id || '-' || price_list.version || $1 \
     from price_list where price_list.region_id = change.region_id and change.price_id is null";

/// Gives each new price an id that none has had in its region.
pub(super) async fn name(session: &mut Session) -> Result<(), StoreFault> {
    let mut turn = 1_u32;
    loop {
        let freed = sqlx::query(FREE)
            .bind(session.firm_uuid())
            .execute(session.connection())
            .await?;
        if freed.rows_affected() == 0 {
            return Ok(());
        }
        let told_apart = if turn == 1 {
            String::new()
        } else {
            format!("-{turn}")
        };
        sqlx::query(NAME)
            .bind(told_apart)
            .execute(session.connection())
            .await?;
        turn = turn.saturating_add(1);
    }
}
