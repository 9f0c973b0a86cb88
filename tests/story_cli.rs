//! The main job through the real programs: from a job file to a priced estimate, as a firm would do it on its first
//! day. The server runs on a private Postgres of its own; `hod` is the one that was built beside this test.
#![allow(clippy::unwrap_used)]

use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

use hod_testkit::server::{DataFolder, RunningServer};
use rust_decimal::Decimal;
use serde_json::Value;

/// The variable that names the program to run; without it the one that was built beside the test is taken.
const PROGRAM_VARIABLE: &str = "HOD_BIN";

fn program() -> PathBuf {
    if let Some(named) = std::env::var_os(PROGRAM_VARIABLE) {
        return named.into();
    }
    let own = std::env::current_exe().unwrap();
    let profile = own.ancestors().nth(2).unwrap();
    profile.join("hod")
}

fn shared(path: &str) -> String {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("..");
    root.join("shared").join(path).to_str().unwrap().to_owned()
}

/// A firm with a server, and all that was typed and answered so far.
struct Firm {
    server: RunningServer,
    data: PathBuf,
    folder: tempfile::TempDir,
    transcript: String,
}

/// What a call answered.
#[must_use]
struct Said {
    answer: String,
    talk: String,
    code: i32,
}

impl Firm {
    fn new(data: &DataFolder) -> Self {
        Self {
            server: RunningServer::on_data(data),
            data: data.data(),
            folder: tempfile::tempdir().unwrap(),
            transcript: String::new(),
        }
    }

    /// Runs `hod` with these words, in a cleared environment.
    fn hod(&self, words: &[&str]) -> Said {
        let output = Command::new(program())
            .args(words)
            .current_dir(self.folder.path())
            .env_clear()
            .env("HOD_SERVER", self.server.address().to_string())
            .env("HOD_DATA", &self.data)
            .stdin(Stdio::null())
            .output()
            .expect("hod is built: cargo build -p hod-cli");
        Said {
            answer: String::from_utf8(output.stdout).unwrap(),
            talk: String::from_utf8(output.stderr).unwrap(),
            code: output.status.code().unwrap(),
        }
    }

    /// Runs a line as it would be typed and writes it down with its answer.
    fn types(&mut self, line: &str) -> Said {
        let words = words(line);
        let said = self.hod(&words.iter().map(String::as_str).collect::<Vec<_>>());
        self.transcript
            .push_str(&format!("$ hod {line}\n{}{}", said.answer, said.talk));
        if said.code != 0 {
            self.transcript.push_str(&format!("(exit {})\n", said.code));
        }
        self.transcript.push('\n');
        said
    }

    fn json(&self, words: &[&str]) -> Value {
        let said = self.hod(&[words, &["--format", "json"]].concat());
        assert_eq!(said.code, 0, "{words:?}: {}", said.talk);
        serde_json::from_str(&said.answer).unwrap()
    }

    fn file(&self, name: &str, text: &str) {
        std::fs::write(self.folder.path().join(name), text).unwrap();
    }

    /// A region with prices and rates, and a site in it.
    fn opens(&mut self) {
        for line in [
            "region create west --display-name \"The West\" --currency-code EUR --site-overhead-percent 6 --firm-overhead-percent 12 --contingency-percent 8 --profit-percent 15 --profit-basis margin-on-price --tax-label VAT --tax-percent 21",
            "price set west sharp-sand --id sand-1 --unit-price 26.40 --unit t --start-date 2026-01-01",
            "price set west straw-bale --id straw-1 --unit-price 3.60 --unit bale --start-date 2026-01-01",
            "labour-rate set west lead --id lead-1 --wage-per-hour 24.00 --burden-percent 28 --start-date 2026-01-01",
            "labour-rate set west practised --id practised-1 --wage-per-hour 19.50 --burden-percent 28 --start-date 2026-01-01",
            "labour-rate set west helper --id helper-1 --wage-per-hour 15.20 --burden-percent 28 --start-date 2026-01-01",
            "site create long-acre --display-name \"Long Acre\" --region west --haul-distance-m 20",
        ] {
            assert_eq!(self.types(line).code, 0, "{}", self.transcript);
        }
    }
}

/// Splits a line at its blanks, but not within quotes.
fn words(line: &str) -> Vec<String> {
    line.split('"')
        .enumerate()
        .flat_map(|(index, part)| {
            if index % 2 == 1 {
                vec![part.to_owned()]
            } else {
                part.split_whitespace().map(str::to_owned).collect()
            }
        })
        .collect()
}

fn amount(value: &Value) -> Decimal {
    Decimal::from_str_exact(value.as_str().unwrap()).unwrap()
}

fn sum<'value>(values: impl IntoIterator<Item = &'value Value>) -> Decimal {
    values.into_iter().map(amount).sum()
}

#[test]
fn a_firm_prices_its_first_job() {
    let data = DataFolder::new();
    let mut firm = Firm::new(&data);
    let studio = std::fs::read_to_string(shared("demo/jobs/long-acre-studio.toml")).unwrap();
    firm.file("studio.toml", &studio);

    assert_eq!(firm.types("job check studio.toml").code, 0);
    // A takeoff needs no site, price or rate.
    assert_eq!(firm.types("takeoff studio.toml").code, 0);
    // An estimate names what it lacks.
    assert_eq!(firm.types("estimate studio.toml --on 2026-05-01").code, 4);
    firm.opens();
    assert_eq!(firm.types("estimate studio.toml --on 2025-05-01").code, 4);
    assert_eq!(firm.types("estimate studio.toml --on 2026-05-01").code, 0);
    assert_eq!(firm.types("job add studio.toml --id studio").code, 0);
    // A new price closes the old one, and the old date keeps its answer.
    let before = firm.json(&["estimate", "studio", "--on", "2026-05-01"]);
    let line =
        "price set west sharp-sand --id sand-2 --unit-price 31.75 --unit t --start-date 2026-06-01";
    assert_eq!(firm.types(line).code, 0);
    assert_eq!(firm.types("price list west --material sharp-sand").code, 0);
    assert_eq!(
        firm.types("estimate studio --on 2026-06-01 --summary").code,
        0
    );
    let after = firm.json(&["estimate", "studio", "--on", "2026-05-01"]);
    assert_eq!(before["lines"], after["lines"]);
    assert_eq!(before["totals"], after["totals"]);

    insta::assert_snapshot!(
        firm.transcript
            .replace(&firm.server.address().to_string(), "SERVER")
    );
}

#[test]
fn a_mix_is_found_in_the_ground() {
    let data = DataFolder::new();
    let mut firm = Firm::new(&data);
    let studio = std::fs::read_to_string(shared("demo/jobs/long-acre-studio.toml")).unwrap();
    firm.file("studio.toml", &studio);
    firm.opens();
    let untested = |firm: &Firm| {
        let takeoff = firm.json(&["takeoff", "studio.toml"]);
        let cautions = takeoff["cautions"].as_array().unwrap();
        let reasons = cautions
            .iter()
            .map(|caution| caution["reason"].as_str().unwrap());
        reasons.filter(|reason| *reason == "MIX_NOT_TESTED").count()
    };
    assert_eq!(untested(&firm), 1);
    for line in [
        "soil create long-acre --id pit-1 --method jar --sample-date 2026-04-11 --sand-mm 40 --silt-mm 24 --clay-mm 36 --sand-mark-s 60 --silt-mark-min 360 --water-height-mm 180",
        "soil list long-acre",
        "soil propose long-acre/pit-1 --soil-material site-subsoil --sand-material sharp-sand",
        "trial create long-acre --id lean --made-date 2026-04-19 --soil-test pit-1 --part site-subsoil=1 --part sharp-sand=2 --rule-pack cob --outcome turned-down",
        "trial create long-acre --id april-2 --made-date 2026-04-20 --soil-test pit-1 --part site-subsoil=1 --part sharp-sand=1 --straw-kg-per-m3 20 --shrinkage-wet-mm 609.6 --shrinkage-dry-mm 590 --crushed 6.2=102x102 --rule-pack cob --outcome taken",
        "trial list long-acre",
    ] {
        assert_eq!(firm.types(line).code, 0, "{}", firm.transcript);
    }
    // A trial that was turned down justifies nothing; the one that was taken does.
    assert_ne!(
        firm.types("mix update house-cob --trial long-acre/lean")
            .code,
        0
    );
    assert_eq!(untested(&firm), 1);
    assert_eq!(
        firm.types("mix update house-cob --trial long-acre/april-2")
            .code,
        0
    );
    assert_eq!(untested(&firm), 0);
    insta::assert_snapshot!(
        firm.transcript
            .replace(&firm.server.address().to_string(), "SERVER")
    );
}

#[test]
fn prices_move_and_a_quote_does_not() {
    let data = DataFolder::new();
    let mut firm = Firm::new(&data);
    firm.opens();
    for name in ["garden-room.toml", "offer.toml", "variation.toml"] {
        let text = std::fs::read_to_string(shared(&format!("demo/quote/{name}"))).unwrap();
        firm.file(name, &text.replace("\"gull-rise\"", "\"long-acre\""));
    }
    for line in [
        "price set west building-stone --id stone-1 --unit-price 48.00 --unit t --start-date 2026-01-01",
        "price set west hydrated-lime --id lime-1 --unit-price 11.90 --unit bag --start-date 2026-01-01",
        "price set west fine-sand --id fine-1 --unit-price 31.50 --unit t --start-date 2026-01-01",
        "price set west damp-course --id damp-1 --unit-price 3.20 --unit m2 --start-date 2026-01-01",
        "price set west clay-powder --id clay-1 --unit-price 9.80 --unit bag --start-date 2026-01-01",
        "job add garden-room.toml --id room",
    ] {
        assert_eq!(firm.types(line).code, 0, "{}", firm.transcript);
    }
    let kept = |firm: &Firm, on: &str| {
        let estimate = firm.json(&["estimate", "room", "--on", on, "--keep"]);
        let name = estimate["name"].as_str().unwrap();
        format!("room/{}", name.rsplit('/').next().unwrap())
    };
    let first = kept(&firm, "2026-05-01");
    let issue = |estimate: &str, more: &str| {
        format!(
            "quote issue {estimate} --client \"A household\" --issued 2026-06-02 --valid 90 --offer offer.toml {more}"
        )
    };
    // A mix that no trial justifies goes out only with a written reason.
    assert_eq!(firm.types(&issue(&first, "")).code, 3);
    let reason = "--reason \"MIX_NOT_TESTED=the trial of this ground is laid up\"";
    assert_eq!(
        firm.types(&issue(&first, reason)).code,
        0,
        "{}",
        firm.transcript
    );
    let issued = firm.json(&["quote", "show", "q1"]);

    // Prices move; what was issued does not.
    firm.file(
        "june.csv",
        "region,material,supplier,unit,unit_price,start_date\nwest,sharp-sand,,t,33.00,2026-06-01\nwest,hydrated-lime,,bag,12.40,2026-06-01\n",
    );
    assert_eq!(
        firm.types("price import june.csv --dry-run --effect-on 2026-06-08")
            .code,
        0,
        "{}",
        firm.transcript
    );
    assert_eq!(
        firm.types("price import june.csv").code,
        0,
        "{}",
        firm.transcript
    );
    assert_eq!(
        firm.types("price adjust west --percent 4 --group stone --from 2026-06-01")
            .code,
        0,
        "{}",
        firm.transcript
    );
    assert_eq!(firm.json(&["quote", "show", "q1"]), issued);

    // A revision takes the place of the first, and says what changed.
    let second = kept(&firm, "2026-06-02");
    assert_eq!(
        firm.types(&issue(&second, &format!("--revises q1 {reason}")))
            .code,
        0,
        "{}",
        firm.transcript
    );
    assert_eq!(
        firm.types("estimate compare q1 q2").code,
        0,
        "{}",
        firm.transcript
    );
    assert_ne!(firm.types("quote accept q1 --on 2026-06-10").code, 0);
    assert_eq!(
        firm.types("quote accept q2 --on 2026-06-10").code,
        0,
        "{}",
        firm.transcript
    );
    assert_eq!(
        firm.types("quote vary q2 variation.toml").code,
        0,
        "{}",
        firm.transcript
    );
    assert_eq!(firm.types("quote show q2").code, 0, "{}", firm.transcript);
    assert_eq!(firm.types("quote list").code, 0, "{}", firm.transcript);
    let old = firm.json(&["quote", "show", "q1"]);
    assert_eq!(
        (&old["offer"], &old["digest"]),
        (&issued["offer"], &issued["digest"])
    );
    assert_eq!(
        firm.types("estimate again --on 2026-06-08 --dry-run").code,
        0,
        "{}",
        firm.transcript
    );

    let told = firm
        .transcript
        .replace(&firm.server.address().to_string(), "SERVER")
        .replace(&first, "room/FIRST")
        .replace(&second, "room/SECOND");
    insta::assert_snapshot!(without_made_ids(&told));
}

/// Ids that the server made, which are others every time.
fn without_made_ids(text: &str) -> String {
    let is_made = |word: &str| {
        word.len() == 17
            && word.starts_with(['p', 'r', 'e'])
            && word.chars().all(|letter| letter.is_ascii_alphanumeric())
            && word.contains(|letter: char| letter.is_ascii_digit())
    };
    text.split_inclusive(|letter: char| !letter.is_ascii_alphanumeric())
        .map(|part| {
            let word = part.trim_end_matches(|letter: char| !letter.is_ascii_alphanumeric());
            if is_made(word) {
                part.replace(word, "MADE")
            } else {
                part.to_owned()
            }
        })
        .collect()
}

#[test]
fn the_lines_of_an_estimate_add_up_to_its_totals() {
    let data = DataFolder::new();
    let mut firm = Firm::new(&data);
    firm.opens();
    let studio = shared("demo/jobs/long-acre-studio.toml");
    let estimate = firm.json(&["estimate", &studio, "--on", "2026-05-01"]);
    let lines = estimate["lines"].as_array().unwrap();
    let totals = estimate["totals"].as_object().unwrap();

    for (kind, total) in totals.iter().filter(|(kind, _)| *kind != "total") {
        let of_kind = lines.iter().filter(|line| line["kind"] == kind.as_str());
        assert_eq!(
            sum(of_kind.map(|line| &line["amount"])),
            amount(total),
            "{kind}"
        );
    }
    assert_eq!(
        sum(lines.iter().map(|line| &line["amount"])),
        amount(&totals["total"])
    );
    let labour = estimate["labour"].as_array().unwrap();
    assert_eq!(
        sum(labour.iter().map(|line| &line["amount"])),
        amount(&totals["labour"])
    );
    let hour_lines = lines.iter().filter(|line| line["unit"] == "h");
    assert_eq!(
        sum(labour.iter().map(|line| &line["hours"])),
        sum(hour_lines.map(|line| &line["quantity"]))
    );
    for line in lines {
        assert_ne!(
            line["basis"],
            Value::Null,
            "a line without its working: {line}"
        );
    }

    let takeoff = firm.json(&["takeoff", &studio]);
    assert_eq!(takeoff["totals"]["batch_count"], estimate["batch_count"]);
    for wall in takeoff["walls"].as_array().unwrap() {
        let lifts = wall["lifts"].as_array().unwrap();
        assert_eq!(
            sum(lifts.iter().map(|lift| &lift["volume_m3"])),
            amount(&wall["placed_volume_m3"])
        );
    }
}

#[test]
fn a_kept_estimate_is_the_same_on_a_server_started_again() {
    let data = DataFolder::new();
    let mut firm = Firm::new(&data);
    firm.opens();
    let studio = shared("demo/jobs/long-acre-studio.toml");
    let added = firm.hod(&["job", "add", &studio, "--id", "studio"]);
    assert_eq!(added.code, 0, "{}", added.talk);
    let kept = firm.hod(&[
        "estimate",
        "studio",
        "--on",
        "2026-05-01",
        "--keep",
        "--format",
        "json",
    ]);
    let estimate: Value = serde_json::from_str(&kept.answer).unwrap();
    let name = estimate["name"].as_str().unwrap().to_owned();
    let inline = firm.hod(&[
        "estimate",
        &studio,
        "--on",
        "2026-05-01",
        "--format",
        "json",
    ]);

    let Firm { server, .. } = firm;
    drop(server);
    let firm = Firm::new(&data);

    let shown = firm.hod(&["estimate", "show", &name, "--format", "json"]);
    assert_eq!(shown.answer, kept.answer);
    let again = firm.hod(&[
        "estimate",
        &studio,
        "--on",
        "2026-05-01",
        "--format",
        "json",
    ]);
    assert_eq!(again.answer, inline.answer);
}

#[test]
fn all_faults_of_a_job_are_told_at_once_with_their_lines() {
    let data = DataFolder::new();
    let mut firm = Firm::new(&data);
    let studio = std::fs::read_to_string(shared("demo/jobs/long-acre-studio.toml")).unwrap();
    let broken = studio
        .replacen("2.40", "99", 1)
        .replace("width_m = 0.90", "width_m = 9.00")
        .replace("\"corner:north\"", "\"corner:nort\"")
        .replace("\"house-cob\"", "\"House Cob\"")
        .replace("paring_mm = 25", "paring_mm = 900");
    firm.file("broken.toml", &broken);
    assert_eq!(firm.types("takeoff broken.toml").code, 3);
    // The length of one wall is 100 mm out: the run does not close, and the gap is stated.
    firm.file("gap.toml", &studio.replacen("6.20", "6.30", 1));
    assert_eq!(firm.types("takeoff gap.toml").code, 3);
    insta::assert_snapshot!(firm.transcript);
}

#[test]
fn what_was_typed_wrongly_is_named_as_it_was_typed() {
    let data = DataFolder::new();
    let mut firm = Firm::new(&data);
    firm.opens();
    let opened = firm.transcript.len();
    let studio = std::fs::read_to_string(shared("demo/jobs/long-acre-studio.toml")).unwrap();
    firm.file("studio.toml", &studio);
    let long = studio.replacen("Long Acre studio", &"studio ".repeat(40), 1);
    firm.file("long.toml", &long);
    for line in [
        "job add studio.toml --id Studio",
        "job add long.toml --id studio",
        "job update Studio studio.toml",
        "job show Studio",
        "region create West --currency-code EUR",
        "region update West --profit-percent 12",
        "price set west Sharp_Sand --unit-price -1 --unit t --start-date 2026-13-01",
        "price set West sharp-sand --unit-price 1 --unit t --start-date 2026-01-01",
        "price list west --material Sharp_Sand",
        "labour-rate set west Lead --wage-per-hour 1e3 --start-date 2026-01-01",
        "labour-rate list west --grade Lead",
        "estimate list Studio",
    ] {
        assert_ne!(firm.types(line).code, 0, "{line}");
    }
    insta::assert_snapshot!(firm.transcript[opened..]);
}

#[test]
fn many_jobs_are_answered_in_one_stream_in_the_order_asked() {
    let data = DataFolder::new();
    let mut firm = Firm::new(&data);
    firm.opens();
    let studio = std::fs::read_to_string(shared("demo/jobs/long-acre-studio.toml")).unwrap();
    let mut words = vec!["estimate".to_owned()];
    for number in 0..40 {
        let name = format!("job-{number}.toml");
        let text = match number {
            7 => studio.replacen("6.20", "6,20", 1),
            13 => studio.replacen("6.20", "6.30", 1),
            _ => studio.replace("Long Acre studio", &format!("Studio {number}")),
        };
        firm.file(&name, &text);
        words.push(name);
    }
    words.extend(["--on", "2026-05-01", "--format", "jsonl"].map(str::to_owned));
    let said = firm.hod(&words.iter().map(String::as_str).collect::<Vec<_>>());

    assert_eq!(said.code, 3);
    let answers: Vec<Value> = said
        .answer
        .lines()
        .map(|line| serde_json::from_str(line).unwrap())
        .collect();
    assert_eq!(answers.len(), 40);
    for (number, answer) in answers.iter().enumerate() {
        match number {
            7 | 13 => assert_eq!(answer["input"], format!("job-{number}.toml").as_str()),
            _ => assert_eq!(answer["display_name"], format!("Studio {number}").as_str()),
        }
    }
    assert_eq!(answers[13]["reason"], "JOB_HAS_FAULTS");
    assert_eq!(answers[0]["totals"], answers[39]["totals"]);
}
