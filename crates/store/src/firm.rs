//! Firms and the tokens that let people into them. The token look-up is the one query that is made outside a firm,
//! since it is what tells the firm.

use sqlx::postgres::PgConnectOptions;
use sqlx::{ConnectOptions, Connection};
use uuid::Uuid;

use crate::fault::{Rules, StoreFault, broken};
use crate::session::{FirmId, Store};

pub(crate) const RULES: Rules = &[
    ("firm_display_name_length", crate::fault::DISPLAY_NAME),
    ("access_token_firm_exists", crate::fault::FIRM),
    ("access_token_sha256_length", "A SHA-256 has 32 bytes."),
    ("access_token_role_known", "A token is an owner's."),
    (
        "access_token_revoked_after_created",
        "A token is revoked after it was made.",
    ),
];

/// What a token lets its bearer do.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Role {
    /// All of it.
    Owner,
}

/// What a token opens.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Access {
    /// The firm.
    pub firm: FirmId,
    /// The part in it.
    pub role: Role,
}

impl Store {
    /// What a token opens, by its SHA-256; nothing when there is no such token or it was revoked.
    pub async fn token_firm(&self, token_sha256: &[u8; 32]) -> Result<Option<Access>, StoreFault> {
        let mut connection = self.acquire().await?;
        let found: Option<(Uuid, String)> = sqlx::query_as(
            "select firm_id, role from access_token where token_sha256 = $1 and revoked_at is null",
        )
        .bind(token_sha256.as_slice())
        .fetch_optional(&mut *connection)
        .await?;
        found
            .map(|(firm, role)| {
                Ok(Access {
                    firm: FirmId::new(firm),
                    role: read_role(&role)?,
                })
            })
            .transpose()
    }
}

fn read_role(word: &str) -> Result<Role, StoreFault> {
    match word {
        "owner" => Ok(Role::Owner),
        other => Err(StoreFault::Internal(
            format!("{other:?} is not a role").into(),
        )),
    }
}

/// Makes the first firm and its owner's token, as the owner of the database. Answers the firm; nothing when there is
/// a firm already, and then nothing was done.
pub async fn create_first(
    owner: PgConnectOptions,
    display_name: &str,
    token_sha256: &[u8; 32],
) -> Result<Option<FirmId>, StoreFault> {
    let mut connection = owner.connect().await?;
    let mut transaction = connection.begin().await?;
    // Two first starts at once: the second waits, and then finds the first one's token. Tokens are asked and not
    // firms, for row-level security hides firms from everyone outside them.
    sqlx::query("lock table access_token in share row exclusive mode")
        .execute(&mut *transaction)
        .await?;
    let has_one: bool = sqlx::query_scalar("select exists (select from access_token)")
        .fetch_one(&mut *transaction)
        .await?;
    if has_one {
        return Ok(None);
    }
    let firm = FirmId::new(Uuid::new_v4());
    sqlx::query("select set_config('hod.firm', $1, true)")
        .bind(firm.to_string())
        .execute(&mut *transaction)
        .await?;
    sqlx::query("insert into firm (firm_id, display_name) values ($1, $2)")
        .bind(firm.uuid())
        .bind(display_name)
        .execute(&mut *transaction)
        .await
        .map_err(|error| broken(error, RULES, |_| None))?;
    sqlx::query("insert into access_token (token_sha256, firm_id, role) values ($1, $2, 'owner')")
        .bind(token_sha256.as_slice())
        .bind(firm.uuid())
        .execute(&mut *transaction)
        .await
        .map_err(|error| broken(error, RULES, |_| None))?;
    transaction.commit().await?;
    connection.close().await?;
    Ok(Some(firm))
}

/// Makes a new owner's token in the place of every token that there is, as the owner of the database: whoever has found a
/// lost one is shut out. Answers the firm; nothing when there is no firm yet, and then nothing was done.
///
/// # Errors
/// [`StoreFault::Refused`] when there are several firms, since nothing tells whose token is lost.
pub async fn renew_owner_token(
    owner: PgConnectOptions,
    token_sha256: &[u8; 32],
) -> Result<Option<FirmId>, StoreFault> {
    let mut connection = owner.connect().await?;
    let mut transaction = connection.begin().await?;
    // As in a first start: tokens are asked and not firms, and two at once come one after the other.
    sqlx::query("lock table access_token in share row exclusive mode")
        .execute(&mut *transaction)
        .await?;
    let firms: Vec<Uuid> = sqlx::query_scalar("select distinct firm_id from access_token")
        .fetch_all(&mut *transaction)
        .await?;
    let firm = match firms.as_slice() {
        [] => return Ok(None),
        [firm] => *firm,
        _ => {
            return Err(StoreFault::refused(
                "firm_is_the_only_one",
                "There are several firms here, and nothing says whose token is lost.",
            ));
        }
    };
    sqlx::query("select set_config('hod.firm', $1, true)")
        .bind(firm.to_string())
        .execute(&mut *transaction)
        .await?;
    sqlx::query("update access_token set revoked_at = now() where revoked_at is null")
        .execute(&mut *transaction)
        .await?;
    sqlx::query("insert into access_token (token_sha256, firm_id, role) values ($1, $2, 'owner')")
        .bind(token_sha256.as_slice())
        .bind(firm)
        .execute(&mut *transaction)
        .await
        .map_err(|error| broken(error, RULES, |_| None))?;
    transaction.commit().await?;
    connection.close().await?;
    Ok(Some(FirmId::new(firm)))
}
