//! The application role on a given server. The private cluster sets its own roles right at every start; on a server of
//! somebody else's, `hod-server init` makes the role here, from the URL of one who may.

use sqlx::postgres::PgConnectOptions;
use sqlx::{ConnectOptions, Connection, PgConnection};

use crate::fault::StoreFault;

/// The code of Postgres for what a role may not do.
const NOT_PERMITTED: &str = "42501";

/// Makes the role `hod_app` when it is missing and sets its password. It owns nothing, and it loses every power that a
/// role of that name may have had over row-level security.
///
/// Roles belong to the whole server: on one that carries two databases of this program they share the role and its
/// password, and the last one set holds.
///
/// # Errors
/// [`StoreFault::Refused`] when the role of `owner` may not make roles.
pub async fn prepare(owner: PgConnectOptions, password: &str) -> Result<(), StoreFault> {
    let mut connection = owner.connect().await?;
    let mut transaction = connection.begin().await?;
    make(&mut transaction, password).await.map_err(refusal)?;
    transaction.commit().await?;
    Ok(connection.close().await?)
}

fn refusal(error: sqlx::Error) -> StoreFault {
    let code = error.as_database_error().and_then(|fault| fault.code());
    if code.as_deref() == Some(NOT_PERMITTED) {
        return StoreFault::refused(
            "owner_may_make_roles",
            "The role of this URL may not make or change the role hod_app: give the URL of one with createrole, or of a superuser.",
        );
    }
    error.into()
}

async fn make(connection: &mut PgConnection, password: &str) -> Result<(), sqlx::Error> {
    // No statement that makes a role takes a parameter, so the password goes by way of a setting of this transaction,
    // which the server's log of statements does not show.
    sqlx::query("select set_config('hod.app_password', $1, true)")
        .bind(password)
        .execute(&mut *connection)
        .await?;
    sqlx::query(
        "do $$ begin \
             if not exists (select from pg_roles where rolname = 'hod_app') then create role hod_app; end if; \
             if exists (select from pg_roles where rolname = 'hod_app' and (rolsuper or rolbypassrls)) then \
                 alter role hod_app nosuperuser nobypassrls; end if; \
             execute format('alter role hod_app login password %L', current_setting('hod.app_password')); \
         end $$",
    )
    .execute(&mut *connection)
    .await?;
    Ok(())
}
