//! The demo: an invented firm in a server of its own, loaded and estimated through `hod` as a person would, then
//! stopped and taken away. What it leaves are the estimates in `target/demo`.

use std::fs;
use std::io::{BufRead, BufReader};
use std::path::{Path, PathBuf};
use std::process::{Child, Stdio};

use serde::Deserialize;

use crate::prepare;
use crate::shell::{self, Done, cargo, command, root};

/// `shared/demo/firm.toml`: each table is one call of `hod`, its keys the names of the call.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Firm {
    firm: String,
    price_date: String,
    region: Vec<Call>,
    site: Vec<Call>,
    soil: Vec<Call>,
    trial: Vec<Call>,
    mix: Vec<Call>,
    price: Vec<Call>,
    labour_rate: Vec<Call>,
}

type Call = toml::Table;

/// Runs the demo from a fresh machine to the last table.
pub fn run() -> Done {
    prepare::postgres()?;
    shell::run(cargo(&[
        "build",
        "--quiet",
        "--locked",
        "--package",
        "hod-service",
        "--package",
        "hod-cli",
    ]))?;
    let text = fs::read_to_string(root().join("shared/demo/firm.toml"))?;
    let firm: Firm = toml::from_str(&text)?;
    let reports = root().join("target/demo");
    fs::create_dir_all(&reports)?;

    let server = Server::start()?;
    println!(
        "{}, on a private Postgres in {}",
        firm.firm,
        server.data.display()
    );
    load(&server, &firm)?;
    let jobs = store_jobs(&server)?;
    show(&server, &firm.price_date, &jobs)?;
    write_reports(&server, &firm.price_date, &jobs, &reports)?;
    quote(&server, &firm.price_date, &reports)?;
    move_prices(&server, &reports)?;
    server.stop()?;
    println!(
        "\nEvery estimate as JSON and CSV, every takeoff lift by lift, the quote and what the new prices move: {}",
        reports.display()
    );
    Ok(())
}

fn load(server: &Server, firm: &Firm) -> Done {
    let nouns: [(&[Call], &[&str], &[&str]); 7] = [
        (&firm.region, &["region", "create"], &["id"]),
        (&firm.site, &["site", "create"], &["id"]),
        (&firm.soil, &["soil", "create"], &["site"]),
        (&firm.trial, &["trial", "create"], &["site"]),
        (&firm.mix, &["mix", "update"], &["id"]),
        (&firm.price, &["price", "set"], &["region", "material"]),
        (
            &firm.labour_rate,
            &["labour-rate", "set"],
            &["region", "grade"],
        ),
    ];
    for (calls, words, positional) in nouns {
        for call in calls {
            server.hod(words, &arguments(call, positional)?)?;
        }
    }
    Ok(())
}

/// A table as the words of a call: what is positional first, then `--key-name value`, once for each value of a list.
fn arguments(call: &Call, positional: &[&str]) -> Done<Vec<String>> {
    let unfit = |key: &str| format!("shared/demo/firm.toml: {key} of {call} is not a text");
    let text = |key: &str, value: &toml::Value| -> Done<String> {
        Ok(value.as_str().ok_or_else(|| unfit(key))?.to_owned())
    };
    let mut words = Vec::new();
    for key in positional {
        words.push(text(key, call.get(*key).ok_or_else(|| unfit(key))?)?);
    }
    for (key, value) in call {
        if positional.contains(&key.as_str()) {
            continue;
        }
        for value in value
            .as_array()
            .map_or(std::slice::from_ref(value), Vec::as_slice)
        {
            words.push(format!("--{}", key.replace('_', "-")));
            words.push(text(key, value)?);
        }
    }
    Ok(words)
}

/// Stores every job file beside the firm, and the one that is quoted, each under the name of its file.
fn store_jobs(server: &Server) -> Done<Vec<String>> {
    let folder = root().join("shared/demo/jobs");
    let mut files: Vec<PathBuf> = fs::read_dir(folder)?
        .map(|entry| entry.map(|entry| entry.path()))
        .collect::<Result<_, _>>()?;
    files.push(
        root()
            .join("shared/demo/quote")
            .join(QUOTED)
            .with_extension("toml"),
    );
    files.retain(|file| file.extension().is_some_and(|ending| ending == "toml"));
    files.sort();
    let mut jobs = Vec::with_capacity(files.len());
    for file in files {
        let id = file
            .file_stem()
            .unwrap_or_default()
            .to_string_lossy()
            .into_owned();
        server.hod(
            &["job", "add"],
            &[
                file.to_string_lossy().into_owned(),
                "--id".to_owned(),
                id.clone(),
            ],
        )?;
        jobs.push(id);
    }
    Ok(jobs)
}

fn show(server: &Server, on: &str, jobs: &[String]) -> Done {
    let flags = |last: &str| ["--on", on, last].map(str::to_owned);
    let whole = server.hod(&["estimate", "long-acre-studio"], &flags("--basis"))?;
    println!("\n{whole}");
    for job in jobs {
        server.keep(job, on)?;
    }
    let summary = server.hod(&["estimate"], &[jobs, &flags("--summary")].concat())?;
    println!("\n{summary}");
    Ok(())
}

fn write_reports(server: &Server, on: &str, jobs: &[String], reports: &Path) -> Done {
    let words = |words: &[&str]| {
        words
            .iter()
            .map(|word| (*word).to_owned())
            .collect::<Vec<_>>()
    };
    for job in jobs {
        for format in ["json", "csv"] {
            let estimate = server.hod(
                &["estimate", job],
                &words(&["--on", on, "--format", format]),
            )?;
            fs::write(reports.join(format!("{job}-estimate.{format}")), estimate)?;
        }
        let takeoff = server.hod(&["takeoff", job], &words(&["--format", "csv"]))?;
        fs::write(reports.join(format!("{job}-takeoff.csv")), takeoff)?;
    }
    Ok(())
}

/// The job that is quoted, and the day on which its client accepts it.
const QUOTED: &str = "garden-room";
const ACCEPTED: &str = "2026-05-20";

/// The day on which everything is priced again, by the prices that have come in since.
const AGAIN: &str = "2026-06-08";

/// Issues a quote from a kept estimate, has it accepted, and agrees a variation under it.
fn quote(server: &Server, on: &str, reports: &Path) -> Done {
    let folder = root().join("shared/demo/quote");
    let file = |name: &str| folder.join(name).to_string_lossy().into_owned();
    let estimate = server.keep(QUOTED, on)?;
    let issue = [
        &estimate,
        "--client",
        "The household at Gull Rise",
        "--issued",
        on,
        "--valid",
        "60",
        "--offer",
        &file("offer.toml"),
        "--reason",
        "MIX_NOT_TESTED=the trial of this ground is laid up and is crushed before work begins",
    ];
    server.hod(&["quote", "issue"], &issue.map(str::to_owned))?;
    server.hod(
        &["quote", "accept", "q1"],
        &["--on", ACCEPTED].map(str::to_owned),
    )?;
    server.hod(&["quote", "vary", "q1"], &[file("variation.toml")])?;
    let page = server.hod(&["quote", "show", "q1"], &[])?;
    fs::write(reports.join("quote-q1.txt"), &page)?;
    println!("\n{page}");
    Ok(())
}

/// Shows what a file of prices would do to the open jobs, puts it in force, and prices them again.
fn move_prices(server: &Server, reports: &Path) -> Done {
    let prices = root().join("shared/demo/quote/prices-june.csv");
    let import = [prices.to_string_lossy().into_owned()];
    let trial = ["--dry-run", "--effect-on", AGAIN].map(str::to_owned);
    let would = server.hod(&["price", "import"], &[import.as_slice(), &trial].concat())?;
    println!("\n{would}");
    server.hod(&["price", "import"], &import)?;
    let again = server.hod(&["estimate", "again"], &["--on", AGAIN].map(str::to_owned))?;
    fs::write(reports.join("priced-again.txt"), &again)?;
    println!("\n{again}");
    Ok(())
}

/// A running server with a data folder of its own, which goes when this value goes.
struct Server {
    process: Child,
    address: String,
    data: PathBuf,
}

impl Server {
    fn start() -> Done<Self> {
        // Not under the repository: run by root, Postgres steps down to a user who may not pass through a home.
        let data = std::env::temp_dir().join(format!("hod-demo-{}", std::process::id()));
        let mut process = command(program("hod-server"), &[])
            .env("HOD_LISTEN", "127.0.0.1:0")
            .env("HOD_DATA", &data)
            .env("HOD_LOG", "warn")
            .env_remove("HOD_DATABASE_URL")
            .stdout(Stdio::piped())
            .spawn()?;
        let stdout = process.stdout.take().ok_or("the server has no stdout")?;
        let mut ready = String::new();
        BufReader::new(stdout).read_line(&mut ready)?;
        let address = ready
            .trim()
            .rsplit(' ')
            .next()
            .unwrap_or_default()
            .to_owned();
        let server = Self {
            process,
            address,
            data,
        };
        if server.address.is_empty() {
            return Err("the server did not start; what it said stands above".into());
        }
        Ok(server)
    }

    /// Calls `hod` and gives what it answers.
    fn hod(&self, words: &[&str], more: &[String]) -> Done<String> {
        let mut call = command(program("hod"), words);
        call.args(more)
            .env("HOD_SERVER", &self.address)
            .env("HOD_DATA", &self.data)
            .env_remove("HOD_TOKEN");
        shell::read(call)
    }

    /// Keeps the estimate of a stored job, and gives its id as `hod` takes it.
    fn keep(&self, job: &str, on: &str) -> Done<String> {
        let kept = self.hod(
            &["estimate", job, "--keep"],
            &["--on", on, "--format", "json"].map(str::to_owned),
        )?;
        let kept: serde_json::Value = serde_json::from_str(&kept)?;
        let name = kept["name"].as_str().unwrap_or_default();
        let id = name.rsplit('/').next().unwrap_or_default();
        Ok(format!("{job}/{id}"))
    }

    fn stop(mut self) -> Done {
        let process = self.process.id().to_string();
        shell::read(command("kill", &["-TERM", &process]))?;
        let status = self.process.wait()?;
        if status.success() {
            Ok(())
        } else {
            Err(format!("the server ended with {status}").into())
        }
    }
}

impl Drop for Server {
    fn drop(&mut self) {
        // After a fault: the server is killed, and its Postgres ends with it.
        let _ = self.process.kill();
        let _ = self.process.wait();
        let _ = fs::remove_dir_all(&self.data);
    }
}

fn program(name: &str) -> PathBuf {
    root().join("target/debug").join(name)
}
