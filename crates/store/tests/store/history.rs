//! The history of a region's list against a model that keeps every change and works the list out anew each time.

use std::collections::BTreeMap;

use hod_domain::id::{Grade, MaterialId};
use hod_store::labour_rate::LabourRateFilter;
use hod_store::price::PriceFilter;
use hod_store::{Session, labour_rate, price, region};
use hod_units::{Date, DateRange};
use rand::rngs::StdRng;
use rand::{Rng, SeedableRng};

use crate::examples::*;

/// What was put in force, change by change: of what, from which day, under which id.
#[derive(Default)]
struct Model {
    changes: Vec<(String, Date, String)>,
}

impl Model {
    /// At a version, each thing's ids by first day; a later change on the same day takes the place of the earlier.
    fn starts(&self, version: usize, of: &str) -> BTreeMap<Date, &str> {
        self.changes[..version]
            .iter()
            .filter(|(what, ..)| what == of)
            .map(|(_, start, id)| (*start, id.as_str()))
            .collect()
    }

    /// The one in force on a day: the last to have begun.
    fn in_force(&self, version: usize, of: &str, on: Date) -> Option<String> {
        self.starts(version, of)
            .range(..=on)
            .next_back()
            .map(|(_, id)| (*id).to_owned())
    }

    /// Every one and its range: from its first day to the next one's.
    fn ranges(&self, version: usize, of: &str) -> BTreeMap<String, DateRange> {
        let starts = self.starts(version, of);
        starts
            .iter()
            .map(|(start, id)| {
                let next = starts.keys().find(|other| *start < **other).copied();
                ((*id).to_owned(), DateRange::new(*start, next).unwrap())
            })
            .collect()
    }
}

const MATERIALS: [&str; 2] = ["sharp-sand", "clay-soil"];
const GRADES: [&str; 2] = ["lead", "helper"];

async fn change(session: &mut Session, model: &mut Model, random: &mut StdRng) {
    let coast = region_id("coast");
    let number = model.changes.len() + 1;
    let (id, start) = (
        format!("n-{number}"),
        day("2026-01-01") + chrono::Days::new(random.random_range(0..30)),
    );
    let which = random.random_range(0..2);
    let (of, version) = if random.random_bool(0.7) {
        let mut new = new_price(&id, "2026-01-01");
        (new.material, new.in_force) = (
            material_id(MATERIALS[which]),
            DateRange::new(start, None).unwrap(),
        );
        (
            MATERIALS[which],
            price::insert(session, &coast, &new, None)
                .await
                .unwrap()
                .version,
        )
    } else {
        let mut new = new_rate(&id, "2026-01-01");
        (new.grade, new.in_force) = (grade(GRADES[which]), DateRange::new(start, None).unwrap());
        (
            GRADES[which],
            labour_rate::insert(session, &coast, &new, None)
                .await
                .unwrap()
                .version,
        )
    };
    assert_eq!(
        version,
        i64::try_from(number).unwrap(),
        "each change makes the next version"
    );
    model.changes.push((of.to_owned(), start, id));
}

async fn prices(
    session: &mut Session,
    of: &str,
    version: usize,
    on: Option<Date>,
) -> BTreeMap<String, DateRange> {
    let filter = PriceFilter {
        material: Some(MaterialId::parse(of).unwrap()),
        on,
        list_version: Some(i64::try_from(version).unwrap()),
    };
    let list = price::list(session, &region_id("coast"), &filter, None, 1000)
        .await
        .unwrap();
    list.into_iter()
        .map(|stored| (stored.value.id.to_string(), stored.value.in_force))
        .collect()
}

async fn rates(
    session: &mut Session,
    of: &str,
    version: usize,
    on: Option<Date>,
) -> BTreeMap<String, DateRange> {
    let filter = LabourRateFilter {
        grade: Some(Grade::parse(of).unwrap()),
        on,
        list_version: Some(i64::try_from(version).unwrap()),
    };
    let list = labour_rate::list(session, &region_id("coast"), &filter, None, 1000)
        .await
        .unwrap();
    list.into_iter()
        .map(|stored| (stored.value.id.to_string(), stored.value.in_force))
        .collect()
}

async fn list(
    session: &mut Session,
    of: &str,
    version: usize,
    on: Option<Date>,
) -> BTreeMap<String, DateRange> {
    if MATERIALS.contains(&of) {
        prices(session, of, version, on).await
    } else {
        rates(session, of, version, on).await
    }
}

#[tokio::test]
async fn the_list_of_any_version_on_any_day_is_what_a_model_that_forgets_nothing_says() {
    let ground = Ground::new().await;
    let mut session = ground.furnished().await;
    let mut random = StdRng::seed_from_u64(20_261_125);
    let mut model = Model::default();
    // Thirty days and some sixty changes, so that many begin on the same day, between others and before all.
    for _ in 0..60 {
        change(&mut session, &mut model, &mut random).await;
    }
    assert_eq!(
        region::list_version(&mut session, &region_id("coast"))
            .await
            .unwrap(),
        60
    );
    let mut found = 0;
    for version in 0..=model.changes.len() {
        for of in MATERIALS.into_iter().chain(GRADES) {
            let ranges = list(&mut session, of, version, None).await;
            assert_eq!(
                ranges,
                model.ranges(version, of),
                "{of} at version {version}"
            );
        }
    }
    for _ in 0..400 {
        let version = random.random_range(0..=model.changes.len());
        let on = day("2025-12-30") + chrono::Days::new(random.random_range(0..36));
        let of = MATERIALS
            .into_iter()
            .chain(GRADES)
            .nth(random.random_range(0..4))
            .unwrap();
        let in_force = list(&mut session, of, version, Some(on)).await;
        let expected: Vec<String> = model.in_force(version, of, on).into_iter().collect();
        assert_eq!(
            in_force.into_keys().collect::<Vec<_>>(),
            expected,
            "{of} on {on} at version {version}"
        );
        found += expected.len();
    }
    assert!(
        200 < found,
        "most of the questions have an answer, and {found} had"
    );
}

#[tokio::test]
async fn a_new_price_closes_the_one_in_force_and_the_version_before_still_has_it_open() {
    let ground = Ground::new().await;
    let mut session = ground.furnished().await;
    let coast = region_id("coast");
    let first = price::insert(
        &mut session,
        &coast,
        &new_price("spring", "2026-03-01"),
        None,
    )
    .await
    .unwrap();
    session.commit().await.unwrap();
    let mut session = ground.session().await;
    price::insert(
        &mut session,
        &coast,
        &new_price("summer", "2026-06-01"),
        None,
    )
    .await
    .unwrap();

    let closed = price::get(&mut session, &coast, &price_id("spring"))
        .await
        .unwrap();
    assert_eq!(
        closed.value.in_force,
        DateRange::new(day("2026-03-01"), Some(day("2026-06-01"))).unwrap()
    );
    assert_eq!(
        (closed.version, closed.created),
        (2, first.created),
        "it came in at 2, and was made when it was made"
    );
    let before = PriceFilter {
        list_version: Some(1),
        ..PriceFilter::default()
    };
    assert_eq!(
        price::list(&mut session, &coast, &before, None, 9)
            .await
            .unwrap(),
        [first]
    );
}

#[tokio::test]
async fn a_price_from_the_same_day_takes_the_place_of_the_other_which_can_still_be_read() {
    let ground = Ground::new().await;
    let mut session = ground.furnished().await;
    let coast = region_id("coast");
    price::insert(
        &mut session,
        &coast,
        &new_price("later", "2026-09-01"),
        None,
    )
    .await
    .unwrap();
    let slip = price::insert(&mut session, &coast, &new_price("slip", "2026-03-01"), None)
        .await
        .unwrap();
    let meant = price::insert(
        &mut session,
        &coast,
        &new_price("meant", "2026-03-01"),
        None,
    )
    .await
    .unwrap();

    let until_september = DateRange::new(day("2026-03-01"), Some(day("2026-09-01"))).unwrap();
    assert_eq!((meant.version, meant.value.in_force), (3, until_september));
    let now = price::list(&mut session, &coast, &PriceFilter::default(), None, 9)
        .await
        .unwrap();
    assert_eq!(
        now.iter()
            .map(|each| each.value.id.as_str())
            .collect::<Vec<_>>(),
        ["later", "meant"]
    );
    assert_eq!(
        price::get(&mut session, &coast, &price_id("slip"))
            .await
            .unwrap(),
        slip
    );
}
