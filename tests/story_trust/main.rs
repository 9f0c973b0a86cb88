//! A server that is killed in the middle of its work, again and again: it starts by itself on the same data, all that it
//! acknowledged is there whole, what it did not acknowledge is there whole or not at all, and a request sent again acts
//! once. Calls are in `firm`, what was asked and answered in `ledger`.
#![allow(clippy::unwrap_used)]

mod firm;
mod ledger;

use std::sync::Arc;
use std::time::Duration;

use hod_testkit::server::{DataFolder, RunningServer};
use hod_wire::v1::Price;
use tokio::task::JoinSet;

use firm::{Firm, LIST_VERSION_FOUNDED, STEADY};
use ledger::{Ledger, Noun};

/// How often it is killed.
const KILLS: usize = 20;

/// Answers that a round must have had before the kill, so that each interrupts something.
const ANSWERS_MIN: usize = 30;

/// The longest that a round waits for them.
const ROUND_TIME_MAX: Duration = Duration::from_secs(20);

#[tokio::test(flavor = "multi_thread")]
async fn nothing_that_was_acknowledged_is_lost_or_half_there_after_twenty_kills() {
    let data = DataFolder::new();
    let ledger = Arc::new(Ledger::default());
    let server = RunningServer::on_data(&data);
    let mut firm = Firm::of(&server);
    firm.found().await;
    ledger.ask(&firm, firm::job(STEADY)).await.unwrap();
    ledger.ask(&firm, firm::next_price(0)).await.unwrap();

    let mut server = Some(server);
    let mut streamed = 0;
    for round in 0..KILLS {
        let work = begin(&firm, &ledger, round);
        let before = ledger.acknowledged().len();
        wait_for_answers(&ledger, before + ANSWERS_MIN).await;
        // At another moment of the work each time.
        tokio::time::sleep(Duration::from_millis((round as u64 * 37) % 150)).await;
        server.take().unwrap().kill();
        streamed += end(work).await;

        let again = RunningServer::on_data(&data);
        firm = Firm::of(&again);
        server = Some(again);
        every_answer_is_there(&firm, &ledger, before, round).await;
        ledger.ask_again(&firm).await;
        prices_follow_one_another(&firm, &ledger, round).await;
    }

    every_answer_is_there(&firm, &ledger, 0, KILLS).await;
    nothing_else_is_there(&firm, &ledger).await;
    let interrupted = ledger.interrupted();
    let answers = ledger.acknowledged().len();
    assert!(
        interrupted >= KILLS / 2 && streamed >= KILLS,
        "{KILLS} kills interrupted {interrupted} calls that make something, with {answers} answers and {streamed} of \
         streams: too few to prove anything"
    );
    assert!(server.take().unwrap().stop().success());
}

/// Everything at once: estimates of one job, prices one after another, jobs with an estimate each, and a stream.
fn begin(firm: &Firm, ledger: &Arc<Ledger>, round: usize) -> JoinSet<usize> {
    let mut work = JoinSet::new();
    let (of, kept) = (firm.clone(), Arc::clone(ledger));
    work.spawn(async move {
        while kept.ask(&of, firm::estimate_of(STEADY)).await.is_some() {}
        0
    });
    let (of, kept) = (firm.clone(), Arc::clone(ledger));
    work.spawn(async move {
        while kept
            .ask(&of, firm::next_price(kept.asked(Noun::Price)))
            .await
            .is_some()
        {}
        0
    });
    let (of, kept) = (firm.clone(), Arc::clone(ledger));
    work.spawn(async move {
        for number in 0.. {
            let id = format!("job-{round}-{number}");
            let both = [firm::job(&id), firm::estimate_of(&id)];
            for asked in both {
                if kept.ask(&of, asked).await.is_none() {
                    return 0;
                }
            }
        }
        0
    });
    let of = firm.clone();
    work.spawn(async move { of.stream_until_cut_off().await });
    work
}

async fn wait_for_answers(ledger: &Ledger, least: usize) {
    let enough = async {
        while ledger.acknowledged().len() < least {
            tokio::time::sleep(Duration::from_millis(5)).await;
        }
    };
    let in_time = tokio::time::timeout(ROUND_TIME_MAX, enough).await;
    let answers = ledger.acknowledged().len();
    assert!(in_time.is_ok(), "{answers} answers, and not yet {least}");
}

/// Waits until everybody has met the end of the server; answers of the stream.
async fn end(mut work: JoinSet<usize>) -> usize {
    let mut streamed = 0;
    while let Some(done) = work.join_next().await {
        streamed += done.expect("nobody met anything but the end of the server");
    }
    streamed
}

/// Reads back what was answered from one place of the ledger on, and compares all of it.
async fn every_answer_is_there(firm: &Firm, ledger: &Ledger, from: usize, round: usize) {
    let answers = ledger.acknowledged();
    let (mut lost, mut changed) = (Vec::new(), Vec::new());
    for answer in &answers[from..] {
        match firm.read(&answer.name).await {
            Err(status) => lost.push(format!("{}: {}", answer.name, status.message())),
            Ok(sha256) if sha256 != answer.sha256 => changed.push(answer.name.clone()),
            Ok(_) => {}
        }
    }
    let count = answers.len() - from;
    assert!(
        lost.is_empty() && changed.is_empty(),
        "kill {round}: of {count} acknowledged, {} are lost {lost:?} and {} not as they were {changed:?}",
        lost.len(),
        changed.len()
    );
}

/// Every price ends the day before the next begins, the last is open, and each was one version of the region's list,
/// which can be read again as it stood.
async fn prices_follow_one_another(firm: &Firm, ledger: &Ledger, round: usize) {
    let asked = ledger.asked(Noun::Price);
    let last_version = LIST_VERSION_FOUNDED + i64::try_from(asked).unwrap();
    assert_eq!(
        firm.list_version().await,
        last_version,
        "kill {round}: a version to each of {asked} prices"
    );
    for count in [1, asked / 2, asked] {
        let version = LIST_VERSION_FOUNDED + i64::try_from(count).unwrap();
        let prices = firm.prices(version).await;
        assert_eq!(
            prices.len(),
            count,
            "kill {round}: prices at version {version}"
        );
        for pair in prices.windows(2) {
            let next = hod_units::parse_date(&pair[1].start_date).unwrap();
            let last_day = next.pred_opt().unwrap().to_string();
            assert_eq!(pair[0].end_date, last_day, "kill {round}: {pair:?}");
        }
        let open: Vec<&Price> = prices
            .iter()
            .filter(|price| price.end_date.is_empty())
            .collect();
        assert_eq!(
            open,
            [prices.last().unwrap()],
            "kill {round}: prices still open at version {version}"
        );
    }
}

/// Whatever can be listed was asked for, and as often as it was asked for.
async fn nothing_else_is_there(firm: &Firm, ledger: &Ledger) {
    let jobs = firm.jobs().await;
    assert_eq!(
        jobs.len(),
        ledger.asked(Noun::Job),
        "jobs there, and asked for"
    );
    let mut estimates = 0;
    for job in &jobs {
        estimates += firm.estimates(job).await;
    }
    assert_eq!(
        estimates,
        ledger.asked(Noun::Estimate),
        "estimates there, and asked for"
    );
}
