//! Quotes are numbered without gaps or repeats, are never changed, and go forwards only.

use std::collections::BTreeSet;
use std::sync::Arc;

use hod_domain::id::{QuoteId, RegionId};
use hod_domain::quote::{QuoteAct, QuoteState};
use hod_store::quote::{self, NewQuote, QuoteFilter, Snapshots, StoredQuote};
use hod_store::{
    Session, Store, StoreFault, Stored, estimate, job, labour_rate, material, price, region,
    variation,
};
use sha2::{Digest, Sha256};
use tokio::sync::Semaphore;

use crate::examples::*;
use crate::faults::{not_found, refused, stale, taken};

/// Sessions that are open at once.
const AT_ONCE: u32 = 40;

/// A firm with the job `round-hut` and its estimate `e`.
async fn estimated() -> Ground {
    let ground = Ground::new().await;
    let mut session = ground.furnished().await;
    job::insert(&mut session, &job("round-hut")).await.unwrap();
    estimate::insert(&mut session, &new_estimate("e"))
        .await
        .unwrap();
    session.commit().await.unwrap();
    ground
}

fn id(text: &str) -> QuoteId {
    QuoteId::parse(text).unwrap()
}

/// A quote in the place of another.
async fn revise(session: &mut Session, revised: &str) -> Result<Stored<StoredQuote>, StoreFault> {
    let number = quote::next_number(session).await.unwrap();
    let plain = new_quote(number, "e");
    let revision = NewQuote {
        revised: Some(id(revised)),
        issue_date: day("2026-06-15"),
        snapshots: Snapshots {
            comparison: Some(b"what changed\0".to_vec()),
            ..plain.snapshots
        },
        ..plain
    };
    quote::insert(session, &revision).await
}

async fn event(
    session: &mut Session,
    of: &str,
    state: QuoteState,
    date: &str,
) -> Result<Stored<StoredQuote>, StoreFault> {
    quote::add_event(session, &id(of), state, day(date), "", None).await
}

#[tokio::test]
async fn two_hundred_issued_at_once_have_the_numbers_1_to_200_each_once_though_others_are_given_up()
{
    let ground = estimated().await;
    let store = Store::connect(ground.database.app_options(), AT_ONCE)
        .await
        .unwrap();
    // So many hold a connection and wait for each other in the database; the others wait here, for as long as it takes.
    let turns = Arc::new(Semaphore::new(AT_ONCE as usize));
    let mut issuing = Vec::new();
    for asked in 0..260 {
        let (store, firm, turns) = (store.clone(), ground.firm, Arc::clone(&turns));
        issuing.push(tokio::spawn(async move {
            let _turn = turns.acquire_owned().await.unwrap();
            let mut session = store.begin(firm).await.unwrap();
            let issued = issue(&mut session, "e").await;
            // Sixty are given up, spread over all.
            if asked % 13 < 3 {
                session.rollback().await.unwrap();
                return None;
            }
            session.commit().await.unwrap();
            Some(issued.id.number())
        }));
    }
    let mut numbers = Vec::new();
    for each in issuing {
        numbers.extend(each.await.unwrap());
    }
    numbers.sort_unstable();
    assert_eq!(numbers, (1..=200).collect::<Vec<u32>>());
    let mut session = ground.session().await;
    let kept = quote::list(&mut session, &QuoteFilter::default(), None, 999)
        .await
        .unwrap();
    let kept: Vec<u32> = kept.iter().map(|each| each.value.id.number()).collect();
    assert_eq!(kept, (1..=200).rev().collect::<Vec<u32>>());
}

#[tokio::test]
async fn a_number_that_no_quote_has_cannot_be_kept() {
    let ground = estimated().await;
    let mut session = ground.session().await;
    assert_eq!(quote::next_number(&mut session).await.unwrap(), id("q1"));
    session.commit().await.unwrap_err();
    let mut session = ground.session().await;
    assert_eq!(issue(&mut session, "e").await.id, id("q1"));
    session.commit().await.unwrap();
    // Nor one that leaves others out.
    let mut session = ground.session().await;
    let fault = quote::insert(&mut session, &new_quote(id("q7"), "e"))
        .await
        .unwrap_err();
    assert_eq!(refused(&fault), "quote_number_follows");
    let mut session = ground.session().await;
    let fault = quote::insert(&mut session, &new_quote(id("q1"), "e"))
        .await
        .unwrap_err();
    assert_eq!(taken(&fault), "quotes/q1");
}

#[tokio::test]
async fn a_quote_is_byte_for_byte_what_was_issued_after_everything_around_it_has_changed() {
    let ground = estimated().await;
    let mut session = ground.session().await;
    // Bytes that are no text, no message and no number of anything.
    let bytes = |from: u8| {
        (0..=255_u8)
            .map(|each| each.wrapping_mul(37) ^ from)
            .collect::<Vec<u8>>()
    };
    let plain = Snapshots {
        offer: bytes(1),
        estimate: bytes(2),
        comparison: None,
    };
    let compared = Snapshots {
        comparison: Some(bytes(3)),
        ..plain.clone()
    };
    for (snapshots, revised) in [(&plain, None), (&compared, Some(id("q1")))] {
        let number = quote::next_number(&mut session).await.unwrap();
        let new = NewQuote {
            snapshots: snapshots.clone(),
            revised,
            ..new_quote(number, "e")
        };
        quote::insert(&mut session, &new).await.unwrap();
    }
    session.commit().await.unwrap();
    let before = read_all(&ground).await;

    change_everything_around(&ground).await;

    let after = read_all(&ground).await;
    assert_eq!(after, before);
    for ((stored, snapshots), issued) in after.iter().zip([&plain, &compared]) {
        assert_eq!(snapshots, issued);
        assert_eq!(stored.value.offer, issued.offer);
        assert_eq!(stored.value.digest, digest_by_hand(issued));
    }
}

async fn read_all(ground: &Ground) -> Vec<(Stored<StoredQuote>, Snapshots)> {
    let mut session = ground.session().await;
    let mut all = Vec::new();
    for each in [id("q1"), id("q2")] {
        let stored = quote::get(&mut session, &each).await.unwrap();
        let snapshots = quote::snapshots(&mut session, &each).await.unwrap();
        all.push((stored, snapshots));
    }
    all
}

async fn change_everything_around(ground: &Ground) {
    let mut session = ground.session().await;
    let coast: RegionId = region_id("coast");
    price::insert(&mut session, &coast, &new_price("p", "2026-01-01"), None)
        .await
        .unwrap();
    labour_rate::insert(&mut session, &coast, &new_rate("r", "2026-01-01"), None)
        .await
        .unwrap();
    let mut changed = region("coast");
    changed.display_name = "Another coast".to_owned();
    region::update(&mut session, &changed, None).await.unwrap();
    let mut changed = material("sharp-sand");
    changed.display_name = "Other sand".to_owned();
    material::update(&mut session, &changed, None)
        .await
        .unwrap();
    let mut changed = job("round-hut");
    changed.body = vec![9];
    job::update(&mut session, &changed, None).await.unwrap();
    estimate::insert(&mut session, &new_estimate("later"))
        .await
        .unwrap();
    session.commit().await.unwrap();
}

/// SHA-256 of the bytes laid one after another, each after its length.
fn digest_by_hand(snapshots: &Snapshots) -> [u8; 32] {
    let mut laid = Vec::new();
    for part in [
        &snapshots.offer,
        &snapshots.estimate,
        &snapshots.comparison.clone().unwrap_or_default(),
    ] {
        let length = u16::try_from(part.len()).unwrap().to_be_bytes();
        laid.extend([0, 0, 0, 0, 0, 0, length[0], length[1]]);
        laid.extend(part);
    }
    Sha256::digest(laid).into()
}

#[tokio::test]
async fn what_becomes_of_a_quote_is_kept_in_order_and_counts_as_its_version() {
    let ground = estimated().await;
    let mut session = ground.session().await;
    let issued = issue(&mut session, "e").await;
    let stored = quote::get(&mut session, &issued.id).await.unwrap();
    assert_eq!((stored.version, &stored.value), (1, &issued));
    assert_eq!(issued.accepted_on(), None);
    let standing = issued.standing();
    assert_eq!(standing.on(day("2026-07-01")), QuoteState::Issued);
    assert_eq!(standing.on(day("2026-07-02")), QuoteState::Expired);

    let accepted = accept(&mut session, &issued.id).await;
    let stored = quote::get(&mut session, &issued.id).await.unwrap();
    assert_eq!((stored.version, &stored.value), (2, &accepted));
    let kept: Vec<_> = accepted
        .events
        .iter()
        .map(|event| (event.state, event.date, event.note.as_str()))
        .collect();
    assert_eq!(
        kept,
        [
            (QuoteState::Issued, day("2026-06-01"), ""),
            (QuoteState::Accepted, day("2026-06-10"), "by letter"),
        ]
    );
    assert_eq!(accepted.accepted_on(), Some(day("2026-06-10")));
    assert_eq!(
        accepted.standing().on(day("2026-09-01")),
        QuoteState::Accepted
    );
}

#[tokio::test]
async fn a_revision_stands_in_the_place_of_the_quote_that_it_revises_and_there_is_one() {
    let ground = estimated().await;
    let mut session = ground.session().await;
    issue(&mut session, "e").await;
    let revision = revise(&mut session, "q1").await.unwrap().value;
    assert_eq!(
        (&revision.revised, &revision.superseding),
        (&Some(id("q1")), &None)
    );
    let revised = quote::get(&mut session, &id("q1")).await.unwrap().value;
    assert_eq!(revised.superseding, Some(id("q2")));
    let standing = revised.standing();
    assert_eq!(
        (standing.state, standing.since),
        (QuoteState::Superseded, day("2026-06-15"))
    );
    session.commit().await.unwrap();

    let mut session = ground.session().await;
    let fault = revise(&mut session, "q1").await.unwrap_err();
    assert_eq!(refused(&fault), "quote_revised_once");
    let mut session = ground.session().await;
    let fault = event(&mut session, "q1", QuoteState::Declined, "2026-06-16")
        .await
        .unwrap_err();
    assert_eq!(refused(&fault), "quote_event_goes_forward");
}

#[tokio::test]
async fn an_accepted_quote_is_not_revised_and_a_quote_of_another_job_neither() {
    let ground = estimated().await;
    let mut session = ground.session().await;
    let issued = issue(&mut session, "e").await;
    accept(&mut session, &issued.id).await;
    issue(&mut session, "e").await;
    job::insert(&mut session, &job("barn")).await.unwrap();
    let of_barn = estimate::NewEstimate {
        job: job_id("barn"),
        ..new_estimate("e")
    };
    estimate::insert(&mut session, &of_barn).await.unwrap();
    session.commit().await.unwrap();

    let mut session = ground.session().await;
    let fault = revise(&mut session, "q1").await.unwrap_err();
    assert_eq!(refused(&fault), "quote_event_accepted_or_superseded");

    let mut session = ground.session().await;
    let number = quote::next_number(&mut session).await.unwrap();
    let plain = new_quote(number, "e");
    let elsewhere = NewQuote {
        job: job_id("barn"),
        revised: Some(id("q2")),
        snapshots: Snapshots {
            comparison: Some(vec![1]),
            ..plain.snapshots
        },
        ..plain
    };
    let fault = quote::insert(&mut session, &elsewhere).await.unwrap_err();
    assert_eq!(refused(&fault), "quote_revised_is_of_its_job");

    let mut session = ground.session().await;
    let number = quote::next_number(&mut session).await.unwrap();
    let fault = quote::insert(&mut session, &new_quote(number, "none"))
        .await
        .unwrap_err();
    assert_eq!(not_found(&fault), ["jobs/round-hut/estimates/none"]);
}

/// Every way from every state, as the middle has it: the database holds the same.
#[tokio::test]
async fn the_database_lets_a_quote_go_where_the_middle_lets_it_go_and_nowhere_else() {
    let ground = estimated().await;
    let states = [
        QuoteState::Issued,
        QuoteState::Accepted,
        QuoteState::Declined,
        QuoteState::Expired,
        QuoteState::Superseded,
    ];
    let acts = [
        QuoteAct::Accept,
        QuoteAct::Decline,
        QuoteAct::Expire,
        QuoteAct::Supersede,
    ];
    for from in states {
        for act in acts {
            let mut session = ground.session().await;
            issue(&mut session, "e").await;
            reach(&mut session, from).await.unwrap();
            let standing = quote::get(&mut session, &id("q1"))
                .await
                .unwrap()
                .value
                .standing();
            assert_eq!(standing.state, from);
            let today = day("2026-06-20");
            let middle = standing.after(act, today, today).is_ok();
            let kept = reach_on(&mut session, act.leads_to(), "2026-06-20")
                .await
                .is_ok();
            assert_eq!(kept, middle, "{from} to {}", act.leads_to());
        }
    }
}

async fn reach(session: &mut Session, state: QuoteState) -> Result<(), StoreFault> {
    match state {
        QuoteState::Issued => Ok(()),
        other => reach_on(session, other, "2026-06-15").await,
    }
}

async fn reach_on(session: &mut Session, state: QuoteState, date: &str) -> Result<(), StoreFault> {
    match state {
        QuoteState::Superseded => revise(session, "q1").await.map(|_| ()),
        other => event(session, "q1", other, date).await.map(|_| ()),
    }
}

#[tokio::test]
async fn days_of_what_becomes_of_a_quote_are_in_order_and_an_acceptance_is_in_time() {
    let ground = estimated().await;
    let mut session = ground.session().await;
    issue(&mut session, "e").await;
    session.commit().await.unwrap();
    for (state, date, rule) in [
        (
            QuoteState::Declined,
            "2026-05-31",
            "quote_event_not_before_the_last",
        ),
        (
            QuoteState::Accepted,
            "2026-07-02",
            "quote_event_accepted_in_time",
        ),
        (
            QuoteState::Superseded,
            "2026-06-02",
            "quote_event_superseded_by_a_quote",
        ),
    ] {
        let mut session = ground.session().await;
        let fault = event(&mut session, "q1", state, date).await.unwrap_err();
        assert_eq!(refused(&fault), rule);
    }
    let mut session = ground.session().await;
    event(&mut session, "q1", QuoteState::Accepted, "2026-07-01")
        .await
        .unwrap();
}

#[tokio::test]
async fn of_two_who_act_on_one_reading_the_second_is_told_what_became_of_it_meanwhile() {
    let ground = estimated().await;
    let mut session = ground.session().await;
    let issued = issue(&mut session, "e").await;
    session.commit().await.unwrap();
    let mut session = ground.session().await;
    accept(&mut session, &issued.id).await;
    session.commit().await.unwrap();
    let mut session = ground.session().await;
    let declined = QuoteState::Declined;
    let fault = quote::add_event(
        &mut session,
        &issued.id,
        declined,
        day("2026-06-11"),
        "",
        Some(1),
    )
    .await
    .unwrap_err();
    assert_eq!(stale(&fault), "quotes/q1");
    match fault {
        StoreFault::Stale(stale) => {
            assert_eq!(stale.changes, ["quotes/q1 is accepted since 2026-06-10"]);
        }
        other => panic!("{other:?}"),
    }
}

#[tokio::test]
async fn of_acceptances_and_refusals_at_once_one_is_kept() {
    let ground = Arc::new(estimated().await);
    let mut session = ground.session().await;
    issue(&mut session, "e").await;
    session.commit().await.unwrap();
    let mut acting = Vec::new();
    for each in 0..20 {
        let ground = Arc::clone(&ground);
        acting.push(tokio::spawn(async move {
            let state = if each % 2 == 0 {
                QuoteState::Accepted
            } else {
                QuoteState::Declined
            };
            let mut session = ground.session().await;
            event(&mut session, "q1", state, "2026-06-10").await?;
            session.commit().await
        }));
    }
    let mut kept = 0;
    for each in acting {
        match each.await.unwrap() {
            Ok(()) => kept += 1,
            Err(fault) => assert!(
                ["quote_event_ends_once", "quote_event_goes_forward"].contains(&refused(&fault)),
                "{fault}"
            ),
        }
    }
    assert_eq!(kept, 1);
}

#[tokio::test]
async fn quotes_are_listed_newest_first_by_job_and_by_where_they_stand_on_a_day() {
    let ground = estimated().await;
    let mut session = ground.session().await;
    for _ in 0..5 {
        issue(&mut session, "e").await;
    }
    accept(&mut session, &id("q1")).await;
    event(&mut session, "q2", QuoteState::Declined, "2026-06-05")
        .await
        .unwrap();
    event(&mut session, "q3", QuoteState::Expired, "2026-06-05")
        .await
        .unwrap();
    revise(&mut session, "q4").await.unwrap();

    let all = QuoteFilter::default();
    let mut seen = Vec::new();
    let mut after = None;
    loop {
        let page = quote::list(&mut session, &all, after.as_ref(), 2)
            .await
            .unwrap();
        let Some(last) = page.last() else { break };
        after = Some(last.value.id.clone());
        seen.extend(page.iter().map(|each| each.value.id.to_string()));
    }
    assert_eq!(seen, ["q6", "q5", "q4", "q3", "q2", "q1"]);

    // q5 is valid to 1 July, and the revision too.
    for (state, date, expected) in [
        (QuoteState::Issued, "2026-07-01", &["q6", "q5"][..]),
        (QuoteState::Issued, "2026-07-02", &[]),
        (QuoteState::Expired, "2026-07-01", &["q3"]),
        (QuoteState::Expired, "2026-07-02", &["q6", "q5", "q3"]),
        (QuoteState::Accepted, "2026-07-02", &["q1"]),
        (QuoteState::Declined, "2026-07-02", &["q2"]),
        (QuoteState::Superseded, "2026-07-02", &["q4"]),
    ] {
        let filter = QuoteFilter {
            job: Some(job_id("round-hut")),
            state_on: Some((state, day(date))),
        };
        let found = quote::list(&mut session, &filter, None, 9).await.unwrap();
        let found: Vec<&str> = found.iter().map(|each| each.value.id.as_str()).collect();
        assert_eq!(found, expected, "{state} on {date}");
    }
    let elsewhere = QuoteFilter {
        job: Some(job_id("barn")),
        state_on: None,
    };
    assert_eq!(
        quote::list(&mut session, &elsewhere, None, 9)
            .await
            .unwrap(),
        []
    );
}

#[tokio::test]
async fn variations_are_numbered_under_their_quote_and_come_to_a_sum() {
    let ground = estimated().await;
    let mut session = ground.session().await;
    let issued = issue(&mut session, "e").await;
    accept(&mut session, &issued.id).await;
    let one = agree(&mut session, &issued.id).await;
    let mut two = variation::StoredVariation {
        id: variation::next_number(&mut session, &issued.id)
            .await
            .unwrap(),
        days: -5,
        total: number("-60.0001"),
        body: (0..=255).collect(),
        ..one.clone()
    };
    two = variation::insert(&mut session, &two).await.unwrap().value;
    session.commit().await.unwrap();

    let mut session = ground.session().await;
    let read = variation::get(&mut session, &issued.id, &two.id)
        .await
        .unwrap()
        .value;
    assert_eq!(read, two);
    let page = |after| (after, 1);
    for ((after, limit), expected) in [(page(None), &one), (page(Some(&one.id)), &two)] {
        let found = variation::list(&mut session, &issued.id, after, limit)
            .await
            .unwrap();
        let found: Vec<_> = found.iter().map(|each| &each.value).collect();
        assert_eq!(found, [expected]);
    }
    let sum = quote::get(&mut session, &issued.id)
        .await
        .unwrap()
        .value
        .variations;
    assert_eq!(
        (sum.count, sum.total, sum.days),
        (2, number("-15.2901"), -3)
    );
    let fault = variation::list(&mut session, &id("q9"), None, 9)
        .await
        .unwrap_err();
    assert_eq!(not_found(&fault), ["quotes/q9"]);
    let third = variation::next_number(&mut session, &issued.id)
        .await
        .unwrap();
    let fault = variation::get(&mut session, &issued.id, &third)
        .await
        .unwrap_err();
    assert_eq!(not_found(&fault), ["quotes/q1/variations/v3"]);
    let fault = variation::insert(&mut session, &one).await.unwrap_err();
    assert_eq!(taken(&fault), "quotes/q1/variations/v1");
}

#[tokio::test]
async fn variations_agreed_at_once_have_numbers_without_gaps_though_some_are_given_up() {
    let ground = Arc::new(estimated().await);
    let mut session = ground.session().await;
    let issued = issue(&mut session, "e").await;
    accept(&mut session, &issued.id).await;
    session.commit().await.unwrap();
    let mut agreeing = Vec::new();
    for each in 0..40 {
        let (ground, quote) = (Arc::clone(&ground), issued.id.clone());
        agreeing.push(tokio::spawn(async move {
            let mut session = ground.session().await;
            let agreed = agree(&mut session, &quote).await;
            if each % 4 == 0 {
                session.rollback().await.unwrap();
                return None;
            }
            session.commit().await.unwrap();
            Some(agreed.id.number())
        }));
    }
    let mut numbers = BTreeSet::new();
    for each in agreeing {
        numbers.extend(each.await.unwrap());
    }
    assert_eq!(numbers, (1..=30).collect());
}

#[tokio::test]
async fn a_variation_is_agreed_under_an_accepted_quote_and_not_before_its_acceptance() {
    let ground = estimated().await;
    let mut session = ground.session().await;
    let issued = issue(&mut session, "e").await;
    session.commit().await.unwrap();
    let new = variation::StoredVariation {
        quote: issued.id.clone(),
        id: hod_domain::id::VariationId::new(1).unwrap(),
        agreed_date: day("2026-06-09"),
        days: 0,
        total: number("0"),
        body: vec![1],
    };
    let mut session = ground.session().await;
    let fault = variation::insert(&mut session, &new).await.unwrap_err();
    assert_eq!(refused(&fault), "variation_under_an_accepted_quote");
    let mut session = ground.session().await;
    accept(&mut session, &issued.id).await;
    let fault = variation::insert(&mut session, &new).await.unwrap_err();
    assert_eq!(refused(&fault), "variation_not_before_acceptance");
}

#[tokio::test]
async fn a_job_that_was_quoted_stays() {
    let ground = estimated().await;
    let mut session = ground.session().await;
    issue(&mut session, "e").await;
    session.commit().await.unwrap();
    let mut session = ground.session().await;
    let fault = job::delete(&mut session, &job_id("round-hut"), None)
        .await
        .unwrap_err();
    assert_eq!(refused(&fault), "estimate_job_exists");
    job::get(&mut ground.session().await, &job_id("round-hut"))
        .await
        .unwrap();
}
