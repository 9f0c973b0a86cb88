//! Crews over the wire: each method once as it should be and once refused.

use hod_wire::v1::{
    CreateCrewRequest, Crew, GetCrewRequest, GradeShare, ListCrewsRequest, UpdateCrewRequest,
};
use tonic::Code;

use crate::support::{Ground, assert_fields, assert_refused, violations};

fn share(grade: &str, percent: &str) -> GradeShare {
    GradeShare {
        grade: grade.into(),
        share_percent: percent.into(),
    }
}

fn pair() -> CreateCrewRequest {
    CreateCrewRequest {
        crew_id: "pair".into(),
        crew: Some(Crew {
            display_name: "A lead and a helper".into(),
            hours_factor: "1.15".into(),
            make_up: vec![share("lead", "50"), share("helper", "50.0")],
            source: "a judgement".into(),
            ..Default::default()
        }),
        ..Default::default()
    }
}

#[tokio::test]
async fn crews_are_made_read_listed_and_changed() {
    let ground = Ground::with_library().await;
    let mut crews = ground.client.crews();
    let made = crews.create_crew(pair()).await.expect("made").into_inner();
    assert_eq!(made.make_up, [share("lead", "50"), share("helper", "50")]);
    let got = crews
        .get_crew(GetCrewRequest {
            name: "crews/pair".into(),
        })
        .await
        .expect("got");
    assert_eq!(got.into_inner(), made);
    let listed = crews
        .list_crews(ListCrewsRequest::default())
        .await
        .expect("listed")
        .into_inner();
    assert!(listed.crews.contains(&made));
    let change = UpdateCrewRequest {
        crew: Some(Crew {
            name: made.name.clone(),
            hours_factor: "1.2".into(),
            ..Default::default()
        }),
        ..Default::default()
    };
    let changed = crews
        .update_crew(change)
        .await
        .expect("changed")
        .into_inner();
    assert_eq!(
        (changed.hours_factor.as_str(), changed.make_up),
        ("1.2", made.make_up)
    );
}

#[tokio::test]
async fn a_crew_is_refused_with_every_fault_at_once() {
    let ground = Ground::with_library().await;
    let mut crews = ground.client.crews();
    let mut bad = pair();
    let crew = bad.crew.as_mut().expect("a crew");
    crew.hours_factor = "0.09".into();
    crew.make_up = vec![share("Lead", "50"), share("helper", "101")];
    assert_fields(
        &crews.create_crew(bad).await.expect_err("refused"),
        &[
            ("crew.hours_factor", "OUT_OF_RANGE"),
            ("crew.make_up[0].grade", "NOT_AN_ID"),
            ("crew.make_up[1].share_percent", "OUT_OF_RANGE"),
        ],
    );
    let mut short = pair();
    short.crew.as_mut().expect("a crew").make_up[0].share_percent = "49".into();
    let refused = crews.create_crew(short).await.expect_err("99 percent");
    assert!(
        violations(&refused)[0].0.starts_with("crew.make_up"),
        "{refused:?}"
    );
    let missing = crews
        .get_crew(GetCrewRequest {
            name: "crews/none".into(),
        })
        .await
        .expect_err("no crew");
    assert_refused(&missing, Code::NotFound, "NOT_FOUND", "crews/none");
    let change = UpdateCrewRequest {
        crew: Some(Crew {
            name: "crews/none".into(),
            ..Default::default()
        }),
        ..Default::default()
    };
    let missing = crews.update_crew(change).await.expect_err("no crew");
    assert_refused(&missing, Code::NotFound, "NOT_FOUND", "crews/none");
    let bad = ListCrewsRequest {
        page_token: "?".into(),
        ..Default::default()
    };
    assert_fields(
        &crews.list_crews(bad).await.expect_err("refused"),
        &[("page_token", "NOT_OF_THIS_LIST")],
    );
}
