//! A new owner's token where the old one is lost, for whoever holds the database itself: its owner's URL, or the data
//! folder of the private cluster. Every token that there was ceases to be good, so that a lost one that somebody found
//! opens nothing.

use std::path::{Path, PathBuf};

use hod_store::cluster::{self, Cluster};
use hod_store::firm;

use crate::access::Token;
use crate::settings::{RenewTokenSettings, Settings, SettingsFault};
use crate::startup::{OWNER_TOKEN, StartFault, read_url, store, write_token};

/// What became of it.
pub enum Renewed {
    /// The token, for its holder to be told.
    Told(Token),
    /// It is in this file.
    Written(PathBuf),
    /// There is nobody whose token it could be.
    NoFirm,
}

/// Makes a new owner's token: in the database of the owner's URL, else in the private cluster.
pub async fn renew_token(
    settings: &Settings,
    renewal: &RenewTokenSettings,
) -> Result<Renewed, StartFault> {
    let token = Token::make().map_err(StartFault::NoRandomness)?;
    if let Some(url) = &renewal.owner_database_url {
        let owner = read_url("HOD_OWNER_DATABASE_URL", url)?;
        let firm = firm::renew_owner_token(owner, &token.sha256())
            .await
            .map_err(store("making a new owner's token"))?;
        return Ok(firm.map_or(Renewed::NoFirm, |_| Renewed::Told(token)));
    }
    if settings.database_url.is_some() {
        return Err(StartFault::Settings(SettingsFault::OwnerNotGiven));
    }
    let data = settings.data_folder().map_err(StartFault::Settings)?;
    // A folder that is misspelt is not to become a new cluster.
    if !data.join("cluster").is_dir() {
        return Err(StartFault::Settings(SettingsFault::NoPrivatePostgres(data)));
    }
    let cluster = Cluster::start(&cluster::Settings {
        data: data.clone(),
        postgres_bin: settings.postgres_bin.clone(),
    })
    .await
    .map_err(StartFault::Cluster)?;
    let renewed = in_cluster(&cluster, &data, &token).await;
    // What was renewed is; a cluster that does not stop by order is stopped by being dropped.
    cluster.stop().await.ok();
    renewed
}

/// The token is written down before it is good and takes the old one's place in the folder once it is, so that at no
/// moment is there a good token that nobody can read.
async fn in_cluster(cluster: &Cluster, data: &Path, token: &Token) -> Result<Renewed, StartFault> {
    let (kept, coming) = (data.join(OWNER_TOKEN), data.join(RENEWED_OWNER_TOKEN));
    write_token(&coming, token)?;
    let firm = firm::renew_owner_token(cluster.owner_options(), &token.sha256())
        .await
        .map_err(store("making a new owner's token"))?;
    let settled = match firm {
        Some(_) => std::fs::rename(&coming, &kept),
        None => std::fs::remove_file(&coming),
    };
    settled.map_err(|cause| StartFault::File {
        file: coming,
        cause,
    })?;
    Ok(firm.map_or(Renewed::NoFirm, |_| Renewed::Written(kept)))
}

/// The token that is to become the owner's, until the database knows it.
const RENEWED_OWNER_TOKEN: &str = "owner-token.renewed";
