//! The roles of the private cluster and its one database.
//! `hod_owner` owns the database and so its schema; `hod_app` owns nothing and cannot pass row-level security.
//! Every start puts them right again; the tables and what may be done to them are the migrations' business.

use sqlx::postgres::{PgConnectOptions, PgConnection, PgSslMode};
use sqlx::{AssertSqlSafe, ConnectOptions, Connection};

use super::access::Access;
use super::fault::ClusterFault;
use super::socket::{PORT, SocketFolder};

/// Makes roles and databases and repairs by hand; the server never works as this one.
pub(super) const SUPERUSER: &str = "hod_superuser";
/// Owns the database and its schema, and runs the migrations.
pub const OWNER: &str = "hod_owner";
/// Does the server's daily work.
pub const APP: &str = "hod_app";
/// The database.
pub const DATABASE: &str = "hod";

/// How a role logs in to a database of the private cluster.
pub(super) fn options(
    socket: &SocketFolder,
    role: &str,
    password: &str,
    database: &str,
) -> PgConnectOptions {
    let socket = socket.path();
    PgConnectOptions::new_without_pgpass()
        .host(&socket.to_string_lossy())
        .socket(socket)
        .port(PORT)
        .username(role)
        .password(password)
        .database(database)
        .ssl_mode(PgSslMode::Disable)
}

/// Makes the roles and the database where they are missing, and sets their passwords and powers.
pub(super) async fn set_up(socket: &SocketFolder, access: &Access) -> Result<(), ClusterFault> {
    let superuser = options(socket, SUPERUSER, &access.superuser_password, "postgres");
    let mut connection = superuser.connect().await.map_err(step("logging in"))?;
    // A database's owner may make another beside it, to try a restore or run a test.
    set_role(&mut connection, OWNER, "createdb", &access.owner_password).await?;
    set_role(&mut connection, APP, "nocreatedb", &access.app_password).await?;
    make_database(&mut connection).await?;
    admit_application(&mut connection, DATABASE)
        .await
        .map_err(step("letting the application role in"))?;
    connection.close().await.map_err(step("logging out"))
}

/// Shuts a database to everyone but its owner and the application role.
///
/// `database` is a name of our own making; it is quoted, not checked.
///
/// # Errors
/// When the database refuses, for instance because the connection's role does not own `database`.
pub async fn admit_application(
    connection: &mut PgConnection,
    database: &str,
) -> Result<(), sqlx::Error> {
    let database = quoted(database);
    run(
        connection,
        format!("revoke all on database {database} from public"),
    )
    .await?;
    run(
        connection,
        // Changes of many prices at once are gathered in tables that go with their transaction.
        format!("grant connect, temporary on database {database} to {APP}"),
    )
    .await
}

async fn set_role(
    connection: &mut PgConnection,
    role: &str,
    power: &str,
    password: &str,
) -> Result<(), ClusterFault> {
    let there: bool = sqlx::query_scalar("select exists (select from pg_roles where rolname = $1)")
        .bind(role)
        .fetch_one(&mut *connection)
        .await
        .map_err(step("looking for the roles"))?;
    let verb = if there { "alter" } else { "create" };
    // The password is hexadecimal digits of our own.
    let statement = format!(
        "{verb} role {role} with login nosuperuser nobypassrls nocreaterole noreplication {power} password '{password}'"
    );
    run(connection, statement)
        .await
        .map_err(step("setting the roles"))
}

async fn make_database(connection: &mut PgConnection) -> Result<(), ClusterFault> {
    let there: bool =
        sqlx::query_scalar("select exists (select from pg_database where datname = $1)")
            .bind(DATABASE)
            .fetch_one(&mut *connection)
            .await
            .map_err(step("looking for the database"))?;
    if there {
        return Ok(());
    }
    run(
        connection,
        format!("create database {DATABASE} owner {OWNER}"),
    )
    .await
    .map_err(step("making the database"))
}

async fn run(connection: &mut PgConnection, statement: String) -> Result<(), sqlx::Error> {
    sqlx::query(AssertSqlSafe(statement))
        .execute(connection)
        .await
        .map(|_| ())
}

fn quoted(name: &str) -> String {
    format!("\"{}\"", name.replace('"', "\"\""))
}

fn step(step: &'static str) -> impl FnOnce(sqlx::Error) -> ClusterFault {
    move |source| ClusterFault::SetUpFailed { step, source }
}
