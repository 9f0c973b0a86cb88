//! What becomes of a quote: states only move forward, a revision stands in the place of the old one and says what
//! changed, and of two who act at once only one does.

use chrono::{DateTime, Days};
use hod_wire::v1::{
    AcceptQuoteRequest, DeclineQuoteRequest, Effects, ExpireQuoteRequest, GetQuoteRequest, Job,
    QuoteEvent, QuoteState, Unit, UpdateJobRequest,
};
use tonic::{Code, Status};
use tonic_types::StatusExt;
use uuid::Uuid;

use crate::issuing::{accept, cents, estimated_studio, issue, issued, keep_estimate, keep_job};
use crate::support::{Client, Ground, assert_fields, new_price, reason, studio, violations};

fn decline(name: &str) -> DeclineQuoteRequest {
    DeclineQuoteRequest {
        name: name.into(),
        date: "2026-05-20".into(),
        note: "too dear".into(),
        ..Default::default()
    }
}

fn expire(name: &str) -> ExpireQuoteRequest {
    ExpireQuoteRequest {
        name: name.into(),
        date: "2026-05-20".into(),
        ..Default::default()
    }
}

/// The rules that stand against an act.
fn against(refused: &Status) -> Vec<String> {
    assert_eq!(
        reason(refused),
        (Code::FailedPrecondition, "STANDS_AGAINST".to_owned()),
        "{refused:?}"
    );
    let details = refused.get_error_details();
    let told = &details
        .precondition_failure()
        .expect("what stands against it")
        .violations;
    told.iter()
        .map(|violation| violation.r#type.clone())
        .collect()
}

fn states(events: &[QuoteEvent]) -> Vec<QuoteState> {
    events.iter().map(QuoteEvent::state).collect()
}

/// A ground with a quote of May, and its name.
async fn with_quote() -> (Ground, String) {
    let ground = Ground::priced().await;
    let estimate = estimated_studio(&ground.client).await;
    let quote = issued(&ground.client, issue(&estimate.name)).await;
    (ground, quote.name)
}

#[tokio::test]
async fn an_accepted_quote_says_when_and_how_and_is_the_end_of_the_road() {
    let (ground, name) = with_quote().await;
    let mut quotes = ground.client.quotes();
    let accepted = quotes
        .accept_quote(accept(&name))
        .await
        .expect("accepted")
        .into_inner();
    assert_eq!(accepted.state(), QuoteState::Accepted);
    assert_eq!(
        states(&accepted.events),
        [QuoteState::Issued, QuoteState::Accepted]
    );
    let last = &accepted.events[1];
    assert_eq!(
        (last.date.as_str(), last.note.as_str()),
        ("2026-05-20", "by letter")
    );
    for refused in [
        quotes.accept_quote(accept(&name)).await.map(drop),
        quotes.decline_quote(decline(&name)).await.map(drop),
        quotes.expire_quote(expire(&name)).await.map(drop),
    ] {
        assert_eq!(
            against(&refused.expect_err("accepted already")),
            ["QUOTE_STATE_UNFIT"]
        );
    }
    let mut revision = issue(&accepted.estimate);
    revision.issue_date = "2026-05-21".into();
    revision.revised_quote = name.clone();
    let refused = quotes
        .issue_quote(revision)
        .await
        .expect_err("accepted already");
    assert_eq!(against(&refused), ["QUOTE_STATE_UNFIT"]);
}

#[tokio::test]
async fn a_declined_or_ended_quote_cannot_be_accepted() {
    let (ground, name) = with_quote().await;
    let mut quotes = ground.client.quotes();
    let declined = quotes
        .decline_quote(decline(&name))
        .await
        .expect("declined")
        .into_inner();
    assert_eq!(declined.state(), QuoteState::Declined);
    let refused = quotes
        .accept_quote(accept(&name))
        .await
        .expect_err("declined");
    assert_eq!(against(&refused), ["QUOTE_STATE_UNFIT"]);

    let second = issued(&ground.client, issue(&declined.estimate)).await;
    let ended = quotes
        .expire_quote(expire(&second.name))
        .await
        .expect("ended")
        .into_inner();
    assert_eq!(ended.state(), QuoteState::Expired);
    let refused = quotes
        .accept_quote(accept(&second.name))
        .await
        .expect_err("ended");
    assert_eq!(against(&refused), ["QUOTE_STATE_UNFIT"]);
}

#[tokio::test]
async fn a_quote_past_its_validity_reads_expired_and_was_acceptable_until_then() {
    let (ground, name) = with_quote().await;
    let mut quotes = ground.client.quotes();
    let get = GetQuoteRequest {
        name: name.clone(),
        ..Default::default()
    };
    let past = quotes.get_quote(get).await.expect("a quote").into_inner();
    assert_eq!(past.state(), QuoteState::Expired);
    assert_eq!(states(&past.events), [QuoteState::Issued], "without an act");
    let late = AcceptQuoteRequest {
        date: "2026-06-04".into(),
        ..accept(&name)
    };
    let refused = quotes.accept_quote(late).await.expect_err("a day late");
    assert_fields(&refused, &[("date", "QUOTE_EXPIRED")]);
    let in_time = AcceptQuoteRequest {
        date: "2026-06-03".into(),
        ..accept(&name)
    };
    let accepted = quotes
        .accept_quote(in_time)
        .await
        .expect("on its last day")
        .into_inner();
    assert_eq!(accepted.state(), QuoteState::Accepted);
}

#[tokio::test]
async fn a_quote_within_its_validity_is_issued_and_nothing_becomes_of_it_tomorrow() {
    let ground = Ground::priced().await;
    let estimate = estimated_studio(&ground.client).await;
    // By the clock of the server.
    let now = estimate.create_time.expect("a time").seconds;
    let today = DateTime::from_timestamp(now, 0)
        .expect("a time")
        .date_naive();
    let mut request = issue(&estimate.name);
    request.issue_date = today.to_string();
    let quote = issued(&ground.client, request).await;
    assert_eq!(quote.state(), QuoteState::Issued);
    let tomorrow = today.checked_add_days(Days::new(2)).expect("a day");
    let early = AcceptQuoteRequest {
        date: tomorrow.to_string(),
        ..accept(&quote.name)
    };
    let refused = ground
        .client
        .quotes()
        .accept_quote(early)
        .await
        .expect_err("not yet");
    assert_fields(&refused, &[("date", "DATE_AFTER_TODAY")]);
    let before = AcceptQuoteRequest {
        date: "2026-01-01".into(),
        note: "n".repeat(401),
        ..accept(&quote.name)
    };
    let refused = ground
        .client
        .quotes()
        .accept_quote(before)
        .await
        .expect_err("a long note");
    assert_fields(&refused, &[("note", "TOO_LONG")]);
}

#[tokio::test]
async fn an_act_on_a_quote_that_has_moved_meanwhile_is_refused_and_told_how() {
    let (ground, name) = with_quote().await;
    let mut quotes = ground.client.quotes();
    let read = GetQuoteRequest {
        name: name.clone(),
        ..Default::default()
    };
    let etag = quotes
        .get_quote(read)
        .await
        .expect("a quote")
        .into_inner()
        .etag;
    quotes
        .decline_quote(decline(&name))
        .await
        .expect("declined");
    let stale = AcceptQuoteRequest {
        etag,
        ..accept(&name)
    };
    let refused = quotes
        .accept_quote(stale)
        .await
        .expect_err("declined meanwhile");
    assert_eq!(
        reason(&refused),
        (Code::Aborted, "ETAG_MISMATCH".to_owned())
    );
    assert_eq!(
        violations(&refused),
        [("state".to_owned(), "CHANGED_MEANWHILE".to_owned())]
    );
    let details = format!("{:?}", refused.get_error_details());
    assert!(
        details.contains("declined") && details.contains("2026-05-20"),
        "{details}"
    );
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn of_two_who_act_at_once_one_does() {
    let (ground, name) = with_quote().await;
    for round in 0..10 {
        let mut quotes = ground.client.quotes();
        let estimate = quotes.get_quote(GetQuoteRequest {
            name: name.clone(),
            ..Default::default()
        });
        let estimate = estimate.await.expect("a quote").into_inner().estimate;
        let quote = issued(&ground.client, issue(&estimate)).await;
        let (mut one, mut other) = (ground.client.quotes(), ground.client.quotes());
        let (accepted, declined) = tokio::join!(
            one.accept_quote(accept(&quote.name)),
            other.decline_quote(decline(&quote.name))
        );
        assert_eq!(
            [accepted.is_ok(), declined.is_ok()]
                .iter()
                .filter(|is_done| **is_done)
                .count(),
            1,
            "round {round}"
        );
    }
}

#[tokio::test]
async fn the_same_acceptance_sent_again_acts_once_and_a_trial_keeps_nothing() {
    let (ground, name) = with_quote().await;
    let mut quotes = ground.client.quotes();
    let trial = AcceptQuoteRequest {
        validate_only: true,
        ..accept(&name)
    };
    let answer = quotes
        .accept_quote(trial)
        .await
        .expect("a trial")
        .into_inner();
    assert_eq!(answer.state(), QuoteState::Accepted);
    let request = AcceptQuoteRequest {
        request_id: Uuid::new_v4().to_string(),
        ..accept(&name)
    };
    let first = quotes
        .accept_quote(request.clone())
        .await
        .expect("accepted")
        .into_inner();
    let again = quotes
        .accept_quote(request)
        .await
        .expect("again")
        .into_inner();
    assert_eq!(first, again);
    assert_eq!(first.events.len(), 2);
}

/// Money of effects in cents, which add up to the difference.
fn sum(effects: &Effects) -> i64 {
    [
        &effects.quantity,
        &effects.price,
        &effects.labour_constant,
        &effects.scope,
        &effects.carried,
        &effects.build_up,
    ]
    .into_iter()
    .map(|amount| cents(amount))
    .sum()
}

async fn change_sand_and_walls(client: &Client) {
    let price = new_price("regions/north", "sharp-sand", Unit::T, "40", "2026-05-10");
    client.prices().create_price(price).await.expect("a price");
    let mut walls = studio().walls;
    for wall in &mut walls {
        wall.height_m = "2.60".into();
    }
    let request = UpdateJobRequest {
        job: Some(Job {
            name: "jobs/studio".into(),
            walls,
            ..Default::default()
        }),
        ..Default::default()
    };
    client.jobs().update_job(request).await.expect("a job");
}

#[tokio::test]
async fn a_revision_names_the_old_quote_and_what_changed_adds_up_to_the_cent() {
    let (ground, name) = with_quote().await;
    let client = &ground.client;
    change_sand_and_walls(client).await;
    let estimate = keep_estimate(client, "studio", "2026-05-10").await;
    let mut request = issue(&estimate.name);
    request.issue_date = "2026-05-11".into();
    request.revised_quote = name.clone();
    let revision = issued(client, request.clone()).await;
    assert_eq!(revision.revised_quote, name);
    assert_eq!(
        revision.offer.as_ref().map(|offer| offer.revised_number),
        Some(1)
    );

    let changes = revision.changes.clone().expect("what changed");
    assert_eq!(
        (&changes.before, &changes.after),
        (&name, &revision.estimate)
    );
    let effects = changes.effects.expect("effects");
    let difference = cents(&changes.after_total) - cents(&changes.before_total);
    assert_eq!(cents(&changes.difference), difference);
    assert_eq!(sum(&effects), difference);
    assert!(0 < cents(&effects.quantity) && 0 < cents(&effects.price));
    for row in &changes.rows {
        let effects = row.effects.as_ref().expect("effects");
        assert_eq!(sum(effects), cents(&row.difference), "{}", row.item);
    }

    let mut quotes = client.quotes();
    let old = quotes.get_quote(GetQuoteRequest {
        name: name.clone(),
        ..Default::default()
    });
    let old = old.await.expect("a quote").into_inner();
    assert_eq!(old.state(), QuoteState::Superseded);
    assert_eq!(old.superseding_quote, revision.name);
    assert_eq!(
        states(&old.events),
        [QuoteState::Issued, QuoteState::Superseded]
    );
    let refused = client
        .quotes()
        .accept_quote(accept(&name))
        .await
        .expect_err("superseded");
    assert_eq!(against(&refused), ["QUOTE_STATE_UNFIT"]);
    let refused = client
        .quotes()
        .issue_quote(request)
        .await
        .expect_err("revised once");
    assert_eq!(against(&refused), ["QUOTE_STATE_UNFIT"]);
}

#[tokio::test]
async fn a_quote_is_revised_by_one_of_its_own_job() {
    let (ground, name) = with_quote().await;
    keep_job(&ground.client, "barn", studio()).await;
    let barn = keep_estimate(&ground.client, "barn", "2026-05-01").await;
    let mut request = issue(&barn.name);
    request.revised_quote = name;
    let refused = ground
        .client
        .quotes()
        .issue_quote(request)
        .await
        .expect_err("another job");
    assert_fields(&refused, &[("revised_quote", "QUOTE_OF_ANOTHER_JOB")]);
    let mut request = issue(&barn.name);
    request.revised_quote = "quotes/q9".into();
    let refused = ground
        .client
        .quotes()
        .issue_quote(request)
        .await
        .expect_err("not there");
    assert_eq!(reason(&refused), (Code::NotFound, "NOT_FOUND".to_owned()));
}
