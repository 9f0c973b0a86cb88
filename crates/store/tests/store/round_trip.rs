//! What is read is what was written, to the last digit, and lists come in order, a page at a time.

use hod_domain::id::{EstimateId, LabourConstantId, Method, SoilTestId};
use hod_domain::material::{PieceSize, Supply};
use hod_domain::mix::{DensityEvidence, PartMeasure, Purpose};
use hod_domain::region::{Profit, TaxBasis};
use hod_domain::soil::{SoilEvidence, SoilShares};
use hod_domain::unit::Unit;
use hod_domain::work::{Driver, Task};
use hod_store::labour_rate::LabourRateFilter;
use hod_store::library::{Library, load};
use hod_store::price::PriceFilter;
use hod_store::{
    crew, estimate, job, labour_constant, labour_rate, material, mix, price, region, site,
    soil_test,
};
use hod_units::{Date, DateRange, Density, Hours, Length, Rounding, Volume};

use crate::examples::*;

mod words;

/// As fine and as large as a column holds: 12 places, the wire's most.
const FINE: &str = "12.345678901234";

#[tokio::test]
async fn a_region_is_read_as_it_was_written_and_as_it_was_changed() {
    let ground = Ground::new().await;
    let mut session = ground.session().await;
    let coast = region("coast");
    let kept = region::insert(&mut session, &coast).await.unwrap();
    assert_eq!((kept.version, &kept.value), (1, &coast));
    assert_eq!((kept.created, kept.updated), (session.now(), session.now()));
    assert_eq!(region::get(&mut session, &coast.id).await.unwrap(), kept);

    let mut hills = region("hills");
    hills.parent = Some(coast.id.clone());
    hills.display_name = "Ä hill, 'quoted'; drop table region".to_owned();
    hills.rounding = Rounding::HalfToEven;
    hills.build_up.profit = Profit::MarginOnPrice(percent("99.999999999999"));
    hills.build_up.site_overhead = percent(FINE);
    hills.build_up.taxes.each[0].label = String::new();
    hills.build_up.taxes.basis = TaxBasis::Line;
    region::insert(&mut session, &hills).await.unwrap();
    session.commit().await.unwrap();

    let mut later = ground.session().await;
    assert_eq!(
        region::get(&mut later, &hills.id).await.unwrap().value,
        hills
    );
    hills.parent = None;
    hills.build_up.contingency = percent("0.000000000001");
    let changed = region::update(&mut later, &hills, Some(1)).await.unwrap();
    assert_eq!((changed.version, &changed.value), (2, &hills));
    assert_eq!(
        (changed.created, changed.updated),
        (kept.created, later.now())
    );
    assert_eq!(region::get(&mut later, &hills.id).await.unwrap(), changed);
}

#[tokio::test]
async fn a_list_comes_by_id_a_page_at_a_time() {
    let ground = Ground::new().await;
    let mut session = ground.session().await;
    // By their bytes: a hyphen before a digit before a letter, whatever a language sorts.
    let ordered = ["a", "a-b", "a2", "ab", "b"];
    for id in ["b", "a2", "ab", "a", "a-b"] {
        material::insert(&mut session, &material(id)).await.unwrap();
    }
    let mut read = Vec::new();
    let mut after = None;
    loop {
        let page = material::list(&mut session, after.as_ref(), 2)
            .await
            .unwrap();
        assert!(page.len() <= 2);
        let Some(last) = page.last() else { break };
        after = Some(last.value.id.clone());
        read.extend(page.into_iter().map(|stored| stored.value.id.to_string()));
    }
    assert_eq!(read, ordered);
}

#[tokio::test]
async fn a_material_is_read_as_it_was_written_and_as_it_was_changed() {
    let ground = Ground::new().await;
    let mut session = ground.session().await;
    for written in [material("sharp-sand"), bale("straw")] {
        let kept = material::insert(&mut session, &written).await.unwrap();
        assert_eq!(kept.value, written);
        assert_eq!(
            material::get(&mut session, &written.id).await.unwrap(),
            kept
        );
    }
    let mut sand = material("sharp-sand");
    sand.density_loose = Some(Density::from_kg_per_cubic_metre(number(
        "1523.123456789012",
    )));
    sand.moisture = percent(FINE);
    sand.order_step = Some(number("0.5"));
    sand.clay = percent(FINE);
    let changed = material::update(&mut session, &sand, None).await.unwrap();
    assert_eq!((changed.version, &changed.value), (2, &sand));
    assert_eq!(
        material::get(&mut session, &sand.id).await.unwrap(),
        changed
    );
    let mut adobe = material("adobe");
    adobe.supply = Supply::Site;
    adobe.purchase_unit = Unit::Each;
    adobe.order_step = Some(number("50"));
    adobe.size = Some(PieceSize {
        length: Length::from_mm(number("355.6")),
        width: Length::from_mm(number("254")),
        height: Length::from_mm(number("101.600000000001")),
    });
    let kept = material::insert(&mut session, &adobe).await.unwrap();
    assert_eq!(
        (
            &material::get(&mut session, &adobe.id).await.unwrap(),
            &kept.value
        ),
        (&kept, &adobe)
    );
    adobe.size = None;
    let changed = material::update(&mut session, &adobe, None).await.unwrap();
    assert_eq!(
        material::get(&mut session, &adobe.id).await.unwrap(),
        changed
    );
    assert_eq!(changed.value, adobe);
}

#[tokio::test]
async fn a_site_and_its_soil_tests_are_read_as_they_were_written() {
    let ground = Ground::new().await;
    let mut session = ground.furnished().await;
    let mut long_acre = site("long-acre");
    assert_eq!(
        site::get(&mut session, &long_acre.id).await.unwrap().value,
        long_acre
    );
    long_acre.haul_distance = Length::from_metres(number(FINE));
    let changed = site::update(&mut session, &long_acre, Some(1))
        .await
        .unwrap();
    assert_eq!(site::list(&mut session, None, 9).await.unwrap(), [changed]);

    let jar = soil_test("jar-1");
    let mut laboratory = soil_test("laboratory-1");
    laboratory.depth = None;
    laboratory.note = String::new();
    laboratory.evidence = SoilEvidence::Laboratory(SoilShares {
        sand: percent("33.333333333333"),
        silt: percent("33.333333333333"),
        clay: percent("33.333333333334"),
    });
    let mut kept = Vec::new();
    for test in [&jar, &laboratory] {
        kept.push(
            soil_test::insert(&mut session, &long_acre.id, test)
                .await
                .unwrap(),
        );
        assert_eq!(
            &soil_test::get(&mut session, &long_acre.id, &test.id)
                .await
                .unwrap(),
            kept.last().unwrap()
        );
    }
    assert_eq!([&kept[0].value, &kept[1].value], [&jar, &laboratory]);
    assert_eq!(
        soil_test::list(&mut session, &long_acre.id, None, 9)
            .await
            .unwrap(),
        kept
    );
    let after = SoilTestId::parse("jar-1").unwrap();
    assert_eq!(
        soil_test::list(&mut session, &long_acre.id, Some(&after), 9)
            .await
            .unwrap(),
        kept[1..]
    );
}

#[tokio::test]
async fn a_mix_is_read_with_its_parts_in_their_order() {
    let ground = Ground::new().await;
    let mut session = ground.furnished().await;
    let mut cob = mix("house-cob");
    let kept = mix::get(&mut session, &cob.id).await.unwrap();
    assert_eq!((kept.version, &kept.value), (1, &cob));

    cob.ingredients.reverse();
    cob.ingredients[0].parts = number("0.010000000001");
    cob.bucket = Volume::from_litres(number("14.123456789012"));
    cob.batch_yield_measured = Some(Volume::from_litres(number("71.5")));
    cob.purpose = Purpose::HeatStoring;
    cob.measure = PartMeasure::TractorLoad;
    cob.mixing = Some(Method::parse("digger").unwrap());
    cob.density_evidence = DensityEvidence::Measured;
    let changed = mix::update(&mut session, &cob, Some(1)).await.unwrap();
    assert_eq!((changed.version, &changed.value), (2, &cob));
    cob.straw = None;
    cob.water = None;
    cob.ingredients.pop();
    let changed = mix::update(&mut session, &cob, Some(2)).await.unwrap();
    assert_eq!((changed.version, &changed.value), (3, &cob));
    assert_eq!(mix::get(&mut session, &cob.id).await.unwrap(), changed);
    assert_eq!(mix::list(&mut session, None, 9).await.unwrap(), [changed]);
}

#[tokio::test]
async fn a_crew_is_read_with_its_grades_in_their_order() {
    let ground = Ground::new().await;
    let mut session = ground.furnished().await;
    let mut pair = crew("practised");
    assert_eq!(crew::get(&mut session, &pair.id).await.unwrap().value, pair);
    pair.hours_factor = number("1.000000000001");
    pair.make_up = vec![
        share("volunteer", "66.666666666667"),
        share("lead", "33.333333333333"),
    ];
    let changed = crew::update(&mut session, &pair, Some(1)).await.unwrap();
    assert_eq!((changed.version, &changed.value), (2, &pair));
    assert_eq!(crew::list(&mut session, None, 9).await.unwrap(), [changed]);
}

#[tokio::test]
async fn a_labour_constant_is_read_with_its_grades_and_found_by_its_task() {
    let ground = Ground::new().await;
    let mut session = ground.furnished().await;
    let mut place = labour_constant("place-cob");
    assert_eq!(
        labour_constant::get(&mut session, &place.id)
            .await
            .unwrap()
            .value,
        place
    );
    place.method = None;
    place.make_up.clear();
    place.likely = Hours::from_hours(number("4.000000000001"));
    let changed = labour_constant::update(&mut session, &place, Some(1))
        .await
        .unwrap();
    assert_eq!((changed.version, &changed.value), (2, &place));

    let mut haul = labour_constant("haul-far");
    haul.task = Task::Haul;
    haul.driver = Driver::M3Loose25m;
    let haul = labour_constant::insert(&mut session, &haul).await.unwrap();
    assert_eq!(
        labour_constant::list(&mut session, None, None, 9)
            .await
            .unwrap(),
        [haul.clone(), changed.clone()]
    );
    assert_eq!(
        labour_constant::list(&mut session, Some(Task::Haul), None, 9)
            .await
            .unwrap(),
        [haul]
    );
    let after = LabourConstantId::parse("haul-far").unwrap();
    assert_eq!(
        labour_constant::list(&mut session, None, Some(&after), 9)
            .await
            .unwrap(),
        [changed]
    );
}

#[tokio::test]
async fn a_price_and_a_rate_are_read_as_they_were_put_in_force() {
    let ground = Ground::new().await;
    let mut session = ground.furnished().await;
    let coast = region_id("coast");
    let mut new = new_price("sand-1", "2026-05-01");
    new.unit_price = number("38.123456");
    let kept = price::insert(&mut session, &coast, &new, None)
        .await
        .unwrap();
    let open = DateRange::new(day("2026-05-01"), None).unwrap();
    assert_eq!(
        (kept.version, kept.value.in_force, kept.created),
        (1, open, session.now())
    );
    assert_eq!(
        (&kept.value.id, &kept.value.material, kept.value.unit),
        (&new.id, &new.material, new.unit)
    );
    assert_eq!(kept.value.unit_price, new.unit_price);
    assert_eq!(
        (&kept.value.supplier, &kept.value.source),
        (&new.supplier, &new.source)
    );
    assert_eq!(
        price::get(&mut session, &coast, &new.id).await.unwrap(),
        kept
    );
    assert_eq!(
        price::list(&mut session, &coast, &PriceFilter::default(), None, 9)
            .await
            .unwrap(),
        [kept]
    );

    let mut new = new_rate("practised-1", "2026-05-01");
    (new.wage, new.burden) = (number("24.2525"), percent(FINE));
    let kept = labour_rate::insert(&mut session, &coast, &new, None)
        .await
        .unwrap();
    assert_eq!(
        (kept.version, kept.value.in_force),
        (2, open),
        "one list for prices and rates"
    );
    assert_eq!((&kept.value.id, &kept.value.grade), (&new.id, &new.grade));
    assert_eq!(
        (kept.value.wage, kept.value.burden, &kept.value.source),
        (new.wage, new.burden, &new.source)
    );
    assert_eq!(
        labour_rate::get(&mut session, &coast, &new.id)
            .await
            .unwrap(),
        kept
    );
    let filter = LabourRateFilter::default();
    assert_eq!(
        labour_rate::list(&mut session, &coast, &filter, None, 9)
            .await
            .unwrap(),
        [kept]
    );
}

#[tokio::test]
async fn a_job_is_read_byte_for_byte_and_found_by_its_site() {
    let ground = Ground::new().await;
    let mut session = ground.furnished().await;
    let mut hut = job("round-hut");
    let kept = job::insert(&mut session, &hut).await.unwrap();
    assert_eq!((kept.version, &kept.value), (1, &hut));
    assert_eq!(job::get(&mut session, &hut.id).await.unwrap(), kept);

    let mut elsewhere = job("garden-wall");
    elsewhere.site = None;
    let elsewhere = job::insert(&mut session, &elsewhere).await.unwrap();
    hut.body = (0..=255).collect();
    let hut = job::update(&mut session, &hut, Some(1)).await.unwrap();
    assert_eq!(hut.version, 2);
    assert_eq!(
        job::list(&mut session, None, None, 9).await.unwrap(),
        [elsewhere.clone(), hut.clone()]
    );
    assert_eq!(
        job::list(&mut session, Some(&site_id("long-acre")), None, 9)
            .await
            .unwrap(),
        std::slice::from_ref(&hut)
    );
    assert_eq!(
        job::list(&mut session, None, Some(&job_id("garden-wall")), 9)
            .await
            .unwrap(),
        [hut]
    );

    job::delete(&mut session, &job_id("garden-wall"), Some(1))
        .await
        .unwrap();
    assert_eq!(
        job::list(&mut session, None, None, 9).await.unwrap().len(),
        1
    );
}

#[tokio::test]
async fn estimates_are_read_byte_for_byte_the_newest_first() {
    let ground = Ground::new().await;
    let mut session = ground.furnished().await;
    job::insert(&mut session, &job("round-hut")).await.unwrap();
    session.commit().await.unwrap();
    let mut kept = Vec::new();
    // The ids fall while the time rises, and the last two share a transaction and so a time.
    for ids in [&["e-9"][..], &["e-5"], &["e-1", "e-2"]] {
        let mut session = ground.session().await;
        for id in ids {
            let mut new = new_estimate(id);
            new.body = id.as_bytes().to_vec();
            let stored = estimate::insert(&mut session, &new).await.unwrap();
            assert_eq!(
                (stored.version, &stored.value, stored.created),
                (1, &new.body, session.now())
            );
            assert_eq!(
                estimate::get(&mut session, &new.job, &new.id)
                    .await
                    .unwrap(),
                stored
            );
            kept.insert(0, stored);
        }
        session.commit().await.unwrap();
    }
    let mut session = ground.session().await;
    let hut = job_id("round-hut");
    let mut read = estimate::list(&mut session, &hut, None, 3).await.unwrap();
    let last =
        EstimateId::parse(std::str::from_utf8(&read.last().unwrap().value).unwrap()).unwrap();
    read.extend(
        estimate::list(&mut session, &hut, Some(&last), 3)
            .await
            .unwrap(),
    );
    assert_eq!(read, kept);
    assert_eq!(
        read.iter()
            .map(|each| each.value.as_slice())
            .collect::<Vec<_>>(),
        [b"e-2", b"e-1", b"e-5", b"e-9"]
    );
}

#[tokio::test]
async fn the_first_and_the_last_day_of_the_calendar_are_kept() {
    let ground = Ground::new().await;
    let mut session = ground.furnished().await;
    let coast = region_id("coast");
    let days: [(&str, Date); 2] = [("first", day("1900-01-01")), ("last", day("2199-12-31"))];
    for (id, start) in days {
        let mut new = new_price(id, "2026-05-01");
        new.in_force = hod_units::DateRange::new(start, None).unwrap();
        price::insert(&mut session, &coast, &new, None)
            .await
            .unwrap();
    }
    let first = price::get(&mut session, &coast, &price_id("first"))
        .await
        .unwrap();
    assert_eq!(
        first.value.in_force,
        DateRange::new(days[0].1, Some(days[1].1)).unwrap()
    );
}

#[tokio::test]
async fn the_starting_library_is_read_as_it_was_laid() {
    let ground = Ground::new().await;
    let mut session = ground.session().await;
    let library = Library::read().unwrap();
    load(&mut session).await.unwrap();
    for each in &library.materials {
        assert_eq!(
            material::get(&mut session, &each.id).await.unwrap().value,
            *each
        );
    }
    for each in &library.mixes {
        assert_eq!(mix::get(&mut session, &each.id).await.unwrap().value, *each);
    }
    for each in &library.crews {
        assert_eq!(
            crew::get(&mut session, &each.id).await.unwrap().value,
            *each
        );
    }
    for each in &library.labour_constants {
        assert_eq!(
            labour_constant::get(&mut session, &each.id)
                .await
                .unwrap()
                .value,
            *each
        );
    }
    let kept = labour_constant::list(&mut session, None, None, 999)
        .await
        .unwrap();
    assert_eq!(kept.len(), library.labour_constants.len());
    assert!(
        mix::get(&mut session, &mix_id("house-cob")).await.is_ok(),
        "an empty firm gets a house cob"
    );
}
