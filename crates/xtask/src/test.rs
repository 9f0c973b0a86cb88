//! Every test: Rust on one private Postgres shared by all, the protos' lint, promise and freshness, and the checks that drive
//! the real programs from Python against outside libraries.

use std::io::{BufRead, BufReader};
use std::process::{Child, Stdio};

use crate::shell::{self, Done, cargo, command, root};
use crate::{generate, prepare};

/// The contract of the last landed version, which no change may break.
const LANDED: &str = "proto/landed.binpb";

/// Installs what is missing and runs everything; the outside checks come last, with their own count.
pub fn run() -> Done {
    prepare::postgres()?;
    prepare::nextest()?;
    let python = prepare::python()?;
    let buf = prepare::buf()?;

    shell::run(command(&buf, &["lint"]))?;
    shell::run(command(&buf, &["format", "--diff", "--exit-code", "proto"]))?;
    shell::run(command(&buf, &["breaking", "--against", LANDED]))?;
    generate::run(true)?;
    shell::run(cargo(&[
        "build",
        "--workspace",
        "--all-targets",
        "--locked",
    ]))?;
    rust()?;
    shell::run(cargo(&["test", "--doc", "--workspace", "--locked"]))?;
    shell::run(command(&python, &["-m", "pytest", "tests/reference"]))
}

fn rust() -> Done {
    let cluster = SharedCluster::start()?;
    let mut tests = cargo(&[
        "nextest",
        "run",
        "--workspace",
        "--locked",
        "--no-fail-fast",
    ]);
    tests.env("HOD_TEST_DATABASE_URL", &cluster.url);
    shell::run(tests)
}

/// A private Postgres that lives as long as this value: its holder ends when its stdin closes.
struct SharedCluster {
    holder: Child,
    url: String,
}

impl SharedCluster {
    fn start() -> Done<Self> {
        let program = root().join("target/debug/examples/hold_cluster");
        let mut holder = command(program, &[])
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .spawn()?;
        let stdout = holder
            .stdout
            .take()
            .ok_or("the holder of the cluster has no stdout")?;
        let mut url = String::new();
        BufReader::new(stdout).read_line(&mut url)?;
        let url = url.trim().to_owned();
        if url.is_empty() {
            return Err("the private Postgres for the tests did not start".into());
        }
        Ok(Self { holder, url })
    }
}

impl Drop for SharedCluster {
    fn drop(&mut self) {
        drop(self.holder.stdin.take());
        // Nothing is left to do for a holder that cannot be waited for.
        let _ = self.holder.wait();
    }
}
