//! All that an estimate is made from, as the nouns themselves would read it, in two statements.

use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};

use hod_store::inputs::{load, load_recipe};
use hod_store::labour_rate::LabourRateFilter;
use hod_store::price::PriceFilter;
use hod_store::{
    Session, StoreFault, Thing, crew, job as jobs, labour_constant, labour_rate, material, mix,
    price, region, site,
};
use tracing::{Event, Metadata, Subscriber, span};

use crate::examples::*;

/// A site in `hills`, which falls back to `coast`, which falls back to `land`; prices in all three.
async fn chain(session: &mut Session) {
    furnish(session).await;
    region::insert(session, &region("land")).await.unwrap();
    let mut coast = region("coast");
    coast.parent = Some(region_id("land"));
    region::update(session, &coast, None).await.unwrap();
    let mut hills = region("hills");
    hills.parent = Some(region_id("coast"));
    region::insert(session, &hills).await.unwrap();
    let mut ridge = site("ridge");
    ridge.region = region_id("hills");
    site::insert(session, &ridge).await.unwrap();
    material::insert(session, &material("limestone"))
        .await
        .unwrap();
    for (place, id, of, start) in [
        ("hills", "h-1", "sharp-sand", "2026-01-01"),
        ("hills", "h-2", "sharp-sand", "2026-05-02"),
        ("coast", "c-1", "clay-soil", "2026-05-01"),
        // Not of the mix, and so not of the estimate.
        ("coast", "c-2", "limestone", "2026-01-01"),
        ("land", "l-1", "sharp-sand", "2026-02-01"),
        ("land", "l-2", "clay-soil", "2027-01-01"),
    ] {
        let mut new = new_price(id, start);
        new.material = material_id(of);
        price::insert(session, &region_id(place), &new)
            .await
            .unwrap();
    }
    labour_rate::insert(session, &region_id("coast"), &new_rate("r-1", "2026-01-01"))
        .await
        .unwrap();
}

#[tokio::test]
async fn the_inputs_are_what_each_noun_would_have_read() {
    let ground = Ground::new().await;
    let mut session = ground.session().await;
    chain(&mut session).await;
    let on = day("2026-05-01");
    let (ridge, cob, pair) = (site_id("ridge"), mix_id("house-cob"), crew_id("practised"));
    let loaded = load(&mut session, &ridge, &cob, &pair, on).await.unwrap();

    assert_eq!(
        loaded.site,
        site::get(&mut session, &ridge).await.unwrap().value
    );
    assert_eq!(
        loaded.mix,
        mix::get(&mut session, &cob).await.unwrap().value
    );
    assert_eq!(
        loaded.crew,
        crew::get(&mut session, &pair).await.unwrap().value
    );
    let constants = labour_constant::list(&mut session, None, None, 99)
        .await
        .unwrap();
    assert_eq!(
        loaded.constants,
        constants
            .into_iter()
            .map(|each| each.value)
            .collect::<Vec<_>>()
    );
    let mut materials = Vec::new();
    for id in ["clay-soil", "sharp-sand", "straw", "water"] {
        materials.push(
            material::get(&mut session, &material_id(id))
                .await
                .unwrap()
                .value,
        );
    }
    assert_eq!(loaded.materials, materials);

    let regions: Vec<&str> = loaded
        .regions
        .iter()
        .map(|region| region.id.as_str())
        .collect();
    assert_eq!(
        regions,
        ["hills", "coast", "land"],
        "the site's own first, then its parents"
    );
    for (place, region) in loaded.regions.iter().enumerate() {
        assert_eq!(
            *region,
            region::get(&mut session, &region.id).await.unwrap().value
        );
        let list = &loaded.lists[place];
        let version = region::list_version(&mut session, &region.id)
            .await
            .unwrap();
        assert_eq!((&list.region, list.version), (&region.id, version));
        let filter = LabourRateFilter {
            on: Some(on),
            ..LabourRateFilter::default()
        };
        let rates = labour_rate::list(&mut session, &region.id, &filter, None, 99)
            .await
            .unwrap();
        assert_eq!(
            list.labour_rates,
            rates.into_iter().map(|each| each.value).collect::<Vec<_>>()
        );
        let filter = PriceFilter {
            on: Some(on),
            ..PriceFilter::default()
        };
        let prices = price::list(&mut session, &region.id, &filter, None, 99)
            .await
            .unwrap();
        let of_the_mix = prices
            .into_iter()
            .map(|each| each.value)
            .filter(|price| price.material.as_str() != "limestone");
        assert_eq!(list.prices, of_the_mix.collect::<Vec<_>>());
    }
    let priced: Vec<Vec<&str>> = loaded
        .lists
        .iter()
        .map(|list| list.prices.iter().map(|price| price.id.as_str()).collect())
        .collect();
    assert_eq!(priced, [vec!["h-1"], vec!["c-1"], vec!["l-1"]]);
    assert_eq!(
        loaded.tags,
        [
            "sites/ridge@1",
            "regions/hills@1",
            "regions/coast@2",
            "regions/land@1",
            "mixes/house-cob@1",
            "materials/clay-soil@1",
            "materials/sharp-sand@1",
            "materials/straw@1",
            "materials/water@1",
            "crews/practised@1",
            "labourConstants/place-cob@1",
        ]
    );
}

#[tokio::test]
async fn a_recipe_is_a_mix_with_its_materials_and_nothing_else() {
    let ground = Ground::new().await;
    let mut session = ground.furnished().await;
    let mut dry = mix("dry");
    (dry.straw, dry.water) = (None, None);
    mix::insert(&mut session, &dry).await.unwrap();
    let loaded = load_recipe(&mut session, &dry.id).await.unwrap();
    assert_eq!(loaded.mix, dry);
    let materials: Vec<&str> = loaded
        .materials
        .iter()
        .map(|material| material.id.as_str())
        .collect();
    assert_eq!(materials, ["clay-soil", "sharp-sand"]);
    let fault = load_recipe(&mut session, &mix_id("none"))
        .await
        .unwrap_err();
    assert!(
        matches!(fault, StoreFault::NotFound(things) if things == [Thing::from(&mix_id("none"))])
    );
}

#[tokio::test]
async fn everything_that_an_estimate_lacks_is_named_at_once() {
    let ground = Ground::new().await;
    let mut session = ground.furnished().await;
    let on = day("2026-05-01");
    let fault = load(&mut session, &site_id("x"), &mix_id("y"), &crew_id("z"), on)
        .await
        .unwrap_err();
    let StoreFault::NotFound(things) = &fault else {
        panic!("{fault:?}")
    };
    let names: Vec<&str> = things.iter().map(|thing| thing.name.as_str()).collect();
    assert_eq!(names, ["sites/x", "mixes/y", "crews/z"]);
    assert_eq!(fault.to_string(), "not found: sites/x, mixes/y, crews/z");
    let fault = load(
        &mut session,
        &site_id("long-acre"),
        &mix_id("y"),
        &crew_id("practised"),
        on,
    )
    .await
    .unwrap_err();
    assert!(matches!(fault, StoreFault::NotFound(things) if things == [Thing::from(&mix_id("y"))]));
}

/// Counts what the driver says that it sends, once a statement.
#[derive(Clone, Default)]
struct Statements(Arc<AtomicU64>);

impl Subscriber for Statements {
    fn enabled(&self, metadata: &Metadata<'_>) -> bool {
        metadata.target() == "sqlx::query"
    }

    fn event(&self, event: &Event<'_>) {
        if self.enabled(event.metadata()) {
            self.0.fetch_add(1, Ordering::Relaxed);
        }
    }

    fn new_span(&self, _: &span::Attributes<'_>) -> span::Id {
        span::Id::from_u64(1)
    }

    fn record(&self, _: &span::Id, _: &span::Record<'_>) {}

    fn record_follows_from(&self, _: &span::Id, _: &span::Id) {}

    fn enter(&self, _: &span::Id) {}

    fn exit(&self, _: &span::Id) {}
}

#[tokio::test]
async fn a_stored_estimate_reads_three_statements_the_jobs_own_among_them() {
    let ground = Ground::new().await;
    let mut session = ground.session().await;
    chain(&mut session).await;
    jobs::insert(&mut session, &job("round-hut")).await.unwrap();
    let statements = Statements::default();
    let _counting = tracing::subscriber::set_default(statements.clone());

    jobs::get(&mut session, &job_id("round-hut")).await.unwrap();
    assert_eq!(statements.0.load(Ordering::Relaxed), 1, "the count counts");
    load(
        &mut session,
        &site_id("ridge"),
        &mix_id("house-cob"),
        &crew_id("practised"),
        day("2026-05-01"),
    )
    .await
    .unwrap();
    assert_eq!(statements.0.load(Ordering::Relaxed), 3);
}
