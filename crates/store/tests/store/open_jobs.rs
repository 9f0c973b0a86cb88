//! Open jobs by pages, many estimates at once, and what things were before they changed.

use hod_domain::id::EstimateId;
use hod_store::estimate::NewEstimate;
use hod_store::open_job::{self, OpenJob};
use hod_store::{Session, estimate, job, past_version, region, site};

use crate::examples::*;
use crate::faults::{not_found, refused, taken};

fn of(job: &str, id: &str, total: &str) -> NewEstimate {
    NewEstimate {
        job: job_id(job),
        id: EstimateId::parse(id).unwrap(),
        total: number(total),
        body: format!("{job} {id}\0").into_bytes(),
        ..new_estimate(id)
    }
}

async fn add_job(session: &mut Session, id: &str, body: Vec<u8>) {
    let mut new = job(id);
    new.body = body;
    job::insert(session, &new).await.unwrap();
}

fn ids(found: &[OpenJob]) -> Vec<&str> {
    found
        .iter()
        .map(|each| each.job.value.id.as_str())
        .collect()
}

#[tokio::test]
async fn a_job_is_open_until_a_quote_of_it_is_accepted() {
    let ground = Ground::new().await;
    let mut session = ground.furnished().await;
    job::insert(&mut session, &job("round-hut")).await.unwrap();
    let bare = open_job::list(&mut session, None, None, 9).await.unwrap();
    assert_eq!((ids(&bare), &bare[0].newest), (vec!["round-hut"], &None));
    assert_eq!(bare[0].job.value, job("round-hut"));
    estimate::insert(&mut session, &new_estimate("e"))
        .await
        .unwrap();
    let issued = issue(&mut session, "e").await;
    let open = open_job::list(&mut session, None, None, 9).await.unwrap();
    let head = open[0].newest.as_ref().unwrap();
    assert_eq!(
        (
            head.id.as_str(),
            head.price_date,
            head.total,
            head.currency.code()
        ),
        ("e", day("2026-05-01"), number("18250.45"), "EUR")
    );
    accept(&mut session, &issued.id).await;
    assert_eq!(
        open_job::list(&mut session, None, None, 9).await.unwrap(),
        []
    );
}

#[tokio::test]
async fn the_head_of_the_newest_estimate_comes_with_the_job() {
    let ground = Ground::new().await;
    let mut session = ground.furnished().await;
    job::insert(&mut session, &job("round-hut")).await.unwrap();
    session.commit().await.unwrap();
    // Each in a transaction of its own, for their times are those of their transactions.
    for (id, total) in [("z-first", "1"), ("a-second", "2")] {
        let mut session = ground.session().await;
        estimate::insert(&mut session, &of("round-hut", id, total))
            .await
            .unwrap();
        session.commit().await.unwrap();
    }
    let open = open_job::list(&mut ground.session().await, None, None, 9)
        .await
        .unwrap();
    let head = open[0].newest.as_ref().unwrap();
    assert_eq!((head.id.as_str(), head.total), ("a-second", number("2")));
}

#[tokio::test]
async fn open_jobs_come_by_pages_and_by_the_region_of_their_sites() {
    let ground = Ground::new().await;
    let mut session = ground.furnished().await;
    region::insert(&mut session, &region("hills"))
        .await
        .unwrap();
    let mut hill = site("hill");
    hill.region = region_id("hills");
    site::insert(&mut session, &hill).await.unwrap();
    for number in 0..7 {
        let mut new = job(&format!("j{number}"));
        new.site = match number % 3 {
            0 => Some(site_id("hill")),
            1 => Some(site_id("long-acre")),
            _ => None,
        };
        job::insert(&mut session, &new).await.unwrap();
    }
    let mut seen: Vec<String> = Vec::new();
    let mut after = None;
    loop {
        let page = open_job::list(&mut session, None, after.as_ref(), 3)
            .await
            .unwrap();
        assert!(page.len() <= 3);
        let Some(last) = page.last() else { break };
        after = Some(last.job.value.id.clone());
        seen.extend(ids(&page).into_iter().map(str::to_owned));
    }
    assert_eq!(seen, ["j0", "j1", "j2", "j3", "j4", "j5", "j6"]);
    let hills = open_job::list(&mut session, Some(&region_id("hills")), None, 9)
        .await
        .unwrap();
    assert_eq!(ids(&hills), ["j0", "j3", "j6"]);
    let nowhere = open_job::list(&mut session, Some(&region_id("nowhere")), None, 9)
        .await
        .unwrap();
    assert_eq!(ids(&nowhere), [""; 0]);
}

#[tokio::test]
async fn a_page_of_large_jobs_ends_early_and_none_is_left_out() {
    let ground = Ground::new().await;
    let mut session = ground.furnished().await;
    for number in 0..6 {
        add_job(&mut session, &format!("j{number}"), vec![number; 7 << 20]).await;
    }
    let mut pages = Vec::new();
    let mut after = None;
    loop {
        let page = open_job::list(&mut session, None, after.as_ref(), 99)
            .await
            .unwrap();
        let Some(last) = page.last() else { break };
        after = Some(last.job.value.id.clone());
        pages.push(ids(&page).join(" "));
    }
    // The third brings a page from 14 to 21 MiB, past 16.
    assert_eq!(pages, ["j0 j1 j2", "j3 j4 j5"]);
}

#[tokio::test]
async fn many_estimates_are_kept_at_once_each_byte_for_byte() {
    let ground = Ground::new().await;
    let mut session = ground.furnished().await;
    let mut all = Vec::new();
    for number in 0..300_u16 {
        let id = format!("j{number}");
        job::insert(&mut session, &job(&id)).await.unwrap();
        let mut new = of(&id, "again", &format!("{number}.0{}", number % 10));
        new.body = number.to_le_bytes().into_iter().chain(0..=255).collect();
        new.batch_count = u32::from(number);
        all.push(new);
    }
    estimate::insert_all(&mut session, &all).await.unwrap();
    estimate::insert_all(&mut session, &[]).await.unwrap();
    for new in &all {
        let kept = estimate::get(&mut session, &new.job, &new.id)
            .await
            .unwrap();
        assert_eq!(kept.value, new.body);
    }
    let open = open_job::list(&mut session, None, None, 999).await.unwrap();
    assert_eq!(open.len(), 300);
    for each in open {
        let new = all.iter().find(|new| new.job == each.job.value.id).unwrap();
        assert_eq!(each.newest.unwrap().total, new.total);
    }
}

#[tokio::test]
async fn of_many_estimates_none_is_kept_when_one_cannot_be() {
    let ground = Ground::new().await;
    let mut session = ground.furnished().await;
    job::insert(&mut session, &job("round-hut")).await.unwrap();
    estimate::insert(&mut session, &of("round-hut", "old", "1"))
        .await
        .unwrap();
    session.commit().await.unwrap();
    let good = of("round-hut", "new", "2");

    let mut session = ground.session().await;
    let gone = [of("barn", "a", "1"), good.clone(), of("shed", "a", "1")];
    let fault = estimate::insert_all(&mut session, &gone).await.unwrap_err();
    assert_eq!(not_found(&fault), ["jobs/barn", "jobs/shed"]);

    for second in ["old", "new"] {
        let mut session = ground.session().await;
        let twice = [good.clone(), of("round-hut", second, "3")];
        let fault = estimate::insert_all(&mut session, &twice)
            .await
            .unwrap_err();
        assert_eq!(taken(&fault), format!("jobs/round-hut/estimates/{second}"));
    }

    let mut session = ground.session().await;
    let fine = [
        good.clone(),
        of("round-hut", "fine", "0.00001"),
        of("round-hut", "finer", "0.000001"),
    ];
    let fault = estimate::insert_all(&mut session, &fine).await.unwrap_err();
    assert_eq!(refused(&fault), "number_fits_its_column");
    for name in ["estimates/fine is 0.00001", "estimates/finer is 0.000001"] {
        let said = fault.to_string().replace("total of jobs/round-hut/", "");
        assert!(said.contains(name), "{fault}");
    }

    let mut session = ground.session().await;
    let below = [good, of("round-hut", "below", "-1")];
    let fault = estimate::insert_all(&mut session, &below)
        .await
        .unwrap_err();
    assert_eq!(refused(&fault), "estimate_total_in_range");
    let kept = estimate::list(&mut ground.session().await, &job_id("round-hut"), None, 9)
        .await
        .unwrap();
    assert_eq!(kept.len(), 1);
}

#[tokio::test]
async fn what_a_thing_was_is_read_by_its_version_byte_for_byte() {
    let ground = Ground::new().await;
    let name = "jobs/round-hut";
    let bodies: [&[u8]; 3] = [&[0, 255, 10], b"second", b"of the one made again"];
    // Made, changed twice, deleted, made again, changed: versions 1, 2, and 1 again.
    for (version, body) in [(1, bodies[0]), (2, bodies[1]), (1, bodies[2])] {
        let mut session = ground.session().await;
        past_version::insert(&mut session, name, version, body)
            .await
            .unwrap();
        let was = past_version::get(&mut session, name, version)
            .await
            .unwrap()
            .unwrap();
        assert_eq!((was.body.as_slice(), was.changed), (body, session.now()));
        session.commit().await.unwrap();
    }
    let mut session = ground.session().await;
    for (asked, version, body) in [
        (name, 1, Some(bodies[2])),
        (name, 2, Some(bodies[1])),
        (name, 3, None),
        ("jobs/barn", 1, None),
    ] {
        let was = past_version::get(&mut session, asked, version)
            .await
            .unwrap();
        assert_eq!(
            was.as_ref().map(|was| was.body.as_slice()),
            body,
            "{asked} {version}"
        );
    }
}
