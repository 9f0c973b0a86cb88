//! Runs `hod` in a cleared environment and gives what it said.

use std::ffi::OsStr;
use std::fmt;
use std::io::Write;
use std::path::Path;
use std::process::{Command, Output, Stdio};

use crate::stand_in::{StandIn, TOKEN};

/// A folder with files in it, and the way to a server.
pub struct Program {
    pub folder: tempfile::TempDir,
    pub stand_in: StandIn,
}

/// What a run said, as a snapshot shows it.
#[must_use]
pub struct Said {
    pub code: i32,
    pub answer: String,
    pub talk: String,
}

impl Program {
    pub fn new() -> Self {
        Self {
            folder: tempfile::tempdir().unwrap(),
            stand_in: StandIn::start(),
        }
    }

    pub fn file(&self, name: &str, text: &str) -> &Self {
        std::fs::write(self.folder.path().join(name), text).unwrap();
        self
    }

    /// A command that shows the right token to the stand-in.
    pub fn command(&self, arguments: &[&str]) -> Command {
        let mut command = bare(arguments, self.folder.path());
        command
            .env("HOD_SERVER", &self.stand_in.address)
            .env("HOD_TOKEN", TOKEN);
        command
    }

    pub fn run(&self, arguments: &[&str]) -> Said {
        self.said(&mut self.command(arguments))
    }

    pub fn run_with_input(&self, arguments: &[&str], input: &str) -> Said {
        let mut command = self.command(arguments);
        let mut child = command
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .unwrap();
        child
            .stdin
            .take()
            .unwrap()
            .write_all(input.as_bytes())
            .unwrap();
        self.shown(child.wait_with_output().unwrap())
    }

    pub fn said(&self, command: &mut Command) -> Said {
        let output = command.stdin(Stdio::null()).output().unwrap();
        self.shown(output)
    }

    /// The address differs from run to run and would spoil a snapshot.
    fn shown(&self, output: Output) -> Said {
        let text = |bytes: Vec<u8>| {
            let text = String::from_utf8(bytes).unwrap();
            let text = text.replace(&self.stand_in.address, "SERVER");
            text.replace(self.folder.path().to_str().unwrap(), "FOLDER")
        };
        Said {
            code: output.status.code().unwrap(),
            answer: text(output.stdout),
            talk: text(output.stderr),
        }
    }
}

/// A command with nothing in its environment.
pub fn bare<S: AsRef<OsStr>>(arguments: &[S], folder: &Path) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_hod"));
    command
        .args(arguments)
        .current_dir(folder)
        .env_clear()
        .env("COLUMNS", "100");
    command
}

impl fmt::Display for Said {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}", self.answer)?;
        if !self.talk.is_empty() {
            write!(f, "--- talk\n{}", self.talk)?;
        }
        write!(f, "--- exit {}", self.code)
    }
}
