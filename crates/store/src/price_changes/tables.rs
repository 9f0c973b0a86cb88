//! The tables in which changes are gathered: the transaction's own, gone when it ends.

use crate::fault::StoreFault;
use crate::session::Session;

/// Rows as they were asked; what the lists' next versions would be; what becomes of each row and of each price that no
/// row names; what goes out of a list, and until when a copy of it holds.
const MAKE: [&str; 5] = [
    "drop table if exists pg_temp.price_asked, pg_temp.price_list, pg_temp.price_change, pg_temp.price_out",
    "create temporary table price_asked ( \
         place bigint not null, file_row bigint not null, region_id text collate \"C\" not null, \
         asked_id text collate \"C\", made_id text collate \"C\" not null, \
         material_id text collate \"C\" not null, supplier text not null, unit text not null, \
         unit_price numeric(21, 6) not null, source text not null, pack_size numeric(21, 6), \
         minimum_order numeric(21, 6), break_rule text, break_from numeric(21, 6)[] not null, \
         break_price numeric(21, 6)[] not null, load_m3 numeric(27, 12), load_t numeric(27, 12), \
         load_quantity numeric(21, 6), charge_per_load numeric(21, 6), charge_per_km numeric(21, 6), \
         distance_km numeric(27, 12), lead_days integer not null, note text not null, \
         starts date not null, ends date) on commit drop",
    "create temporary table price_list ( \
         region_id text collate \"C\" not null, version bigint not null, is_new boolean not null) on commit drop",
    "create temporary table price_change ( \
         place bigint not null, file_row bigint, kind text not null, region_id text collate \"C\" not null, \
         price_id text collate \"C\", made_id text collate \"C\", material_id text collate \"C\" not null, \
         supplier text not null, unit text not null, before_id text collate \"C\", before_starts date, \
         before_price numeric(21, 6), after_price numeric(21, 6), starts date not null, ends date) on commit drop",
    "create temporary table price_out ( \
         region_id text collate \"C\" not null, price_id text collate \"C\" not null, ends date) on commit drop",
];

/// Makes them, empty.
pub(super) async fn make(session: &mut Session) -> Result<(), StoreFault> {
    for statement in MAKE {
        sqlx::query(statement).execute(session.connection()).await?;
    }
    Ok(())
}

/// Lets the planner know how many rows were asked.
pub(super) async fn count_staged(session: &mut Session) -> Result<(), StoreFault> {
    analyze(session, "analyze price_asked").await
}

/// Lets the planner know what a table holds now.
pub(super) async fn analyze(
    session: &mut Session,
    statement: &'static str,
) -> Result<(), StoreFault> {
    sqlx::query(statement).execute(session.connection()).await?;
    Ok(())
}
