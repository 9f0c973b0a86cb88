//! The same request sent again gives the same answer and acts once, however the two fall together.

use std::sync::Arc;
use std::time::Duration;

use hod_store::{StoreFault, request, site};
use uuid::Uuid;

use crate::examples::*;

const METHOD: &str = "CreateSite";
const BODY: [u8; 32] = [3; 32];

#[tokio::test]
async fn a_request_is_answered_again_with_the_same_bytes() {
    let ground = Ground::new().await;
    let id = Uuid::new_v4();
    let mut session = ground.session().await;
    assert_eq!(
        request::find(&mut session, id, METHOD, &BODY)
            .await
            .unwrap(),
        None
    );
    request::keep(&mut session, id, METHOD, &BODY, b"\x00answer\xff")
        .await
        .unwrap();
    session.commit().await.unwrap();
    let mut session = ground.session().await;
    assert_eq!(
        request::find(&mut session, id, METHOD, &BODY)
            .await
            .unwrap()
            .unwrap(),
        b"\x00answer\xff"
    );
    assert_eq!(
        request::find(&mut session, Uuid::new_v4(), METHOD, &BODY)
            .await
            .unwrap(),
        None
    );
}

#[tokio::test]
async fn an_id_used_for_another_request_is_refused() {
    let ground = Ground::new().await;
    let id = Uuid::new_v4();
    let mut session = ground.session().await;
    request::keep(&mut session, id, METHOD, &BODY, b"")
        .await
        .unwrap();
    for (method, body) in [(METHOD, [4; 32]), ("CreateMix", BODY)] {
        let fault = request::find(&mut session, id, method, &body)
            .await
            .unwrap_err();
        assert!(matches!(fault, StoreFault::RequestReused), "{fault:?}");
    }
    let fault = request::keep(&mut session, id, METHOD, &BODY, b"")
        .await
        .unwrap_err();
    assert!(matches!(fault, StoreFault::RequestReused), "{fault:?}");
}

#[tokio::test]
async fn what_was_not_committed_was_not_asked() {
    let ground = Ground::new().await;
    let id = Uuid::new_v4();
    let mut session = ground.session().await;
    request::keep(&mut session, id, METHOD, &BODY, b"answer")
        .await
        .unwrap();
    session.rollback().await.unwrap();
    assert_eq!(
        request::find(&mut ground.session().await, id, METHOD, &BODY)
            .await
            .unwrap(),
        None
    );
}

#[tokio::test]
async fn who_asks_while_the_same_request_is_acted_on_waits_for_its_answer() {
    let ground = Arc::new(Ground::new().await);
    let id = Uuid::new_v4();
    let mut first = ground.session().await;
    assert_eq!(
        request::find(&mut first, id, METHOD, &BODY).await.unwrap(),
        None
    );
    let mut second = ground.session().await;
    let mut asked =
        tokio::spawn(async move { request::find(&mut second, id, METHOD, &BODY).await.unwrap() });
    let early = tokio::time::timeout(Duration::from_millis(300), &mut asked).await;
    assert!(
        early.is_err(),
        "answered before there was an answer: {early:?}"
    );
    // Another request is not held up.
    let mut third = ground.session().await;
    assert_eq!(
        request::find(&mut third, Uuid::new_v4(), METHOD, &BODY)
            .await
            .unwrap(),
        None
    );
    request::keep(&mut first, id, METHOD, &BODY, b"answer")
        .await
        .unwrap();
    first.commit().await.unwrap();
    assert_eq!(asked.await.unwrap().unwrap(), b"answer");
}

#[tokio::test]
async fn the_same_request_many_times_at_once_acts_once_and_all_hear_the_one_answer() {
    let ground = Arc::new(Ground::new().await);
    ground.furnished().await.commit().await.unwrap();
    let id = Uuid::new_v4();
    let mut asked = Vec::new();
    for caller in 0..12_u8 {
        let ground = Arc::clone(&ground);
        asked.push(tokio::spawn(async move {
            let mut session = ground.session().await;
            if let Some(answer) = request::find(&mut session, id, METHOD, &BODY)
                .await
                .unwrap()
            {
                return (answer, false);
            }
            site::insert(&mut session, &site("new")).await.unwrap();
            request::keep(&mut session, id, METHOD, &BODY, &[caller])
                .await
                .unwrap();
            session.commit().await.unwrap();
            (vec![caller], true)
        }));
    }
    let mut answers = Vec::new();
    for each in asked {
        answers.push(each.await.unwrap());
    }
    assert_eq!(answers.iter().filter(|(_, acted)| *acted).count(), 1);
    assert!(
        answers.iter().all(|(answer, _)| *answer == answers[0].0),
        "{answers:?}"
    );
}
