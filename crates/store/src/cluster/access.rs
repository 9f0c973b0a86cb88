//! The passwords of the cluster's roles and where its socket stands, kept in one file of the data folder.
//! The file is made before the cluster and can be read by its owner alone.
//! It is the truth: every start sets the roles' passwords to what it says.

use std::fs;
use std::io;
use std::path::{Path, PathBuf};

use rand::Rng;
use serde::{Deserialize, Serialize};

use super::fault::ClusterFault;
use super::folder::DataFolder;

const HEADING: &str = "# Passwords of Hod's private Postgres cluster, and the folder of its socket.\n\
                       # Keep this file with the cluster: without it nothing can log in.\n";

/// How the roles log in.
#[derive(Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Access {
    pub(super) superuser_password: String,
    pub(super) owner_password: String,
    pub(super) app_password: String,
    /// Where the socket stood last time; none before the first start.
    pub(super) socket_folder: Option<PathBuf>,
}

impl Access {
    /// Reads the file, or makes it with fresh passwords when there is no cluster yet.
    pub(super) fn read_or_make(data: &DataFolder) -> Result<Access, ClusterFault> {
        let file = data.access_file();
        match fs::read_to_string(&file) {
            Ok(text) => {
                toml::from_str(&text).map_err(|problem| unreadable(&file, problem.message()))
            }
            Err(missing)
                if missing.kind() == io::ErrorKind::NotFound && !data.cluster().exists() =>
            {
                let fresh = Access::fresh();
                fresh.write(data)?;
                Ok(fresh)
            }
            Err(refusal) => Err(unreadable(&file, &refusal.to_string())),
        }
    }

    /// Writes the file whole or not at all.
    pub(super) fn write(&self, data: &DataFolder) -> Result<(), ClusterFault> {
        let file = data.access_file();
        let text =
            toml::to_string(self).map_err(|problem| unreadable(&file, &problem.to_string()))?;
        data.write_private(&file, &format!("{HEADING}{text}"))
    }

    fn fresh() -> Access {
        Access {
            superuser_password: random_hex::<32>(),
            owner_password: random_hex::<32>(),
            app_password: random_hex::<32>(),
            socket_folder: None,
        }
    }
}

fn unreadable(file: &Path, problem: &str) -> ClusterFault {
    ClusterFault::PasswordsUnreadable {
        file: file.to_path_buf(),
        problem: problem.to_owned(),
    }
}

/// Random bytes from a cryptographic generator as hexadecimal digits, which need no quoting anywhere.
pub(super) fn random_hex<const BYTES: usize>() -> String {
    let mut bytes = [0_u8; BYTES];
    rand::rng().fill(&mut bytes[..]);
    bytes.iter().map(|byte| format!("{byte:02x}")).collect()
}
