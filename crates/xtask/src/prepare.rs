//! What a fresh machine lacks: Postgres for the service, and for the tests nextest, a Python environment and a linter
//! of protos. Each is looked for first; where the right to install it is missing, the line to run is told.

use std::path::PathBuf;

use crate::shell::{Done, answers, cargo, command, read, root, run};

/// The linter of protos, pinned.
const BUF: &str = "@bufbuild/buf@1.75.0";

/// Postgres binaries from the system's packages.
pub fn postgres() -> Done {
    let named = std::env::var_os("HOD_POSTGRES_BIN").is_some();
    let versioned =
        std::fs::read_dir("/usr/lib/postgresql").is_ok_and(|mut folder| folder.next().is_some());
    if named || versioned || answers("pg_config", "--bindir") {
        return Ok(());
    }
    apt("postgresql", "Postgres 15 or newer")
}

/// A folder of Python with what `tests/reference/requirements.txt` names; gives its interpreter.
pub fn python() -> Done<PathBuf> {
    let folder = root().join(".venv");
    let python = folder.join("bin/python");
    if !python.exists() {
        if !answers("python3", "--version") || !answers("python3", "-c=import ensurepip") {
            apt("python3-venv", "Python 3 with venv")?;
        }
        run(command("python3", &["-m", "venv", ".venv"]))?;
    }
    let pip = [
        "-m",
        "pip",
        "install",
        "--quiet",
        "--disable-pip-version-check",
        "-r",
        "tests/reference/requirements.txt",
    ];
    run(command(&python, &pip))?;
    Ok(python)
}

/// The linter of protos; gives its program.
pub fn buf() -> Done<PathBuf> {
    let tools = root().join("target/tools");
    let program = tools.join("node_modules/.bin/buf");
    if !program.exists() {
        if !answers("npm", "--version") {
            apt("npm", "npm")?;
        }
        std::fs::create_dir_all(&tools)?;
        let tools = tools.to_string_lossy().into_owned();
        run(command(
            "npm",
            &[
                "install",
                "--silent",
                "--no-audit",
                "--no-fund",
                "--prefix",
                &tools,
                BUF,
            ],
        ))?;
    }
    Ok(program)
}

/// The runner of Rust tests.
pub fn nextest() -> Done {
    if read(cargo(&["nextest", "--version"])).is_ok() {
        return Ok(());
    }
    run(cargo(&["install", "--locked", "cargo-nextest"]))
}

fn apt(package: &str, what: &str) -> Done {
    let is_root = read(command("id", &["-u"]))?.trim() == "0";
    if !is_root || !answers("apt-get", "--version") {
        return Err(format!(
            "{what} is missing; install it with: sudo apt-get install --yes {package}"
        )
        .into());
    }
    run(command("apt-get", &["update", "--quiet=2"]))?;
    let mut install = command(
        "apt-get",
        &[
            "install",
            "--yes",
            "--quiet=2",
            "--no-install-recommends",
            package,
        ],
    );
    install.env("DEBIAN_FRONTEND", "noninteractive");
    run(install)
}
