//! All that an estimate is made from, as the nouns themselves would read it, in two statements.

use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};

use hod_domain::id::{RulePackId, SiteId, SoilTestId};
use hod_domain::mix::TrialName;
use hod_domain::trial::MixTrial;
use hod_store::inputs::{LibraryNames, LoadedLibrary, Names, load, load_library};
use hod_store::labour_rate::LabourRateFilter;
use hod_store::price::PriceFilter;
use hod_store::{
    Session, StoreFault, Thing, crew, job as jobs, labour_constant, labour_rate, material, mix,
    mix_trial, price, region, rule_pack, site, soil_test,
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
    for id in ["limestone", "oak-lintel"] {
        material::insert(session, &material(id)).await.unwrap();
    }
    for (place, id, of, start) in [
        ("hills", "h-1", "sharp-sand", "2026-01-01"),
        ("hills", "h-2", "sharp-sand", "2026-05-02"),
        ("coast", "c-1", "clay-soil", "2026-05-01"),
        // Neither of the mix nor asked, and so not of the estimate.
        ("coast", "c-2", "limestone", "2026-01-01"),
        ("coast", "c-3", "oak-lintel", "2026-01-01"),
        ("land", "l-1", "sharp-sand", "2026-02-01"),
        ("land", "l-2", "clay-soil", "2027-01-01"),
    ] {
        let mut new = new_price(id, start);
        new.material = material_id(of);
        price::insert(session, &region_id(place), &new, None)
            .await
            .unwrap();
    }
    labour_rate::insert(
        session,
        &region_id("coast"),
        &new_rate("r-1", "2026-01-01"),
        None,
    )
    .await
    .unwrap();
}

fn library(mixes: &[&str], materials: &[&str]) -> LibraryNames {
    LibraryNames {
        mixes: mixes.iter().map(|id| mix_id(id)).collect(),
        materials: materials.iter().map(|id| material_id(id)).collect(),
        ..LibraryNames::default()
    }
}

/// What is asked of the chain: a lintel besides a mix.
fn names() -> Names {
    Names {
        site: site_id("ridge"),
        crew: crew_id("practised"),
        on: day("2026-05-01"),
        library: library(&["house-cob"], &["oak-lintel"]),
    }
}

#[tokio::test]
async fn the_inputs_are_what_each_noun_would_have_read() {
    let ground = Ground::new().await;
    let mut session = ground.session().await;
    chain(&mut session).await;
    let names = names();
    let (ridge, pair, on) = (&names.site, &names.crew, names.on);
    let loaded = load(&mut session, &names).await.unwrap();

    assert_eq!(
        loaded.site,
        site::get(&mut session, ridge).await.unwrap().value
    );
    let cob = mix::get(&mut session, &mix_id("house-cob")).await.unwrap();
    assert_eq!(loaded.library.mixes, [cob.value]);
    assert_eq!(
        loaded.crew,
        crew::get(&mut session, pair).await.unwrap().value
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
    for id in ["clay-soil", "oak-lintel", "sharp-sand", "straw", "water"] {
        materials.push(
            material::get(&mut session, &material_id(id))
                .await
                .unwrap()
                .value,
        );
    }
    assert_eq!(loaded.library.materials, materials);
    assert_eq!(loaded.library.trials, []);
    assert_eq!(
        (loaded.library.rule_pack, loaded.library.soil_test),
        (None, None)
    );

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
        let asked = prices
            .into_iter()
            .map(|each| each.value)
            .filter(|price| price.material.as_str() != "limestone");
        assert_eq!(list.prices, asked.collect::<Vec<_>>());
    }
    let priced: Vec<Vec<&str>> = loaded
        .lists
        .iter()
        .map(|list| list.prices.iter().map(|price| price.id.as_str()).collect())
        .collect();
    assert_eq!(priced, [vec!["h-1"], vec!["c-1", "c-3"], vec!["l-1"]]);
    assert_eq!(
        loaded.tags,
        [
            "sites/ridge@1",
            "regions/hills@1",
            "regions/coast@2",
            "regions/land@1",
            "mixes/house-cob@1",
            "materials/clay-soil@1",
            "materials/oak-lintel@1",
            "materials/sharp-sand@1",
            "materials/straw@1",
            "materials/water@1",
            "crews/practised@1",
            "labourConstants/place-cob@1",
        ]
    );
}

#[tokio::test]
async fn a_library_is_mixes_in_the_order_asked_with_their_materials_and_nothing_else() {
    let ground = Ground::new().await;
    let mut session = ground.furnished().await;
    let (mut dry, cob) = (mix("dry"), mix("house-cob"));
    (dry.straw, dry.water) = (None, None);
    mix::insert(&mut session, &dry).await.unwrap();
    for each in ["limestone", "oak-lintel"] {
        material::insert(&mut session, &material(each))
            .await
            .unwrap();
    }
    let ids = |loaded: &LoadedLibrary| -> Vec<String> {
        let materials = loaded.materials.iter();
        materials.map(|material| material.id.to_string()).collect()
    };

    // A material that is asked and also in a mix comes once.
    let asked = library(&["dry"], &["oak-lintel", "sharp-sand"]);
    let loaded = load_library(&mut session, &asked).await.unwrap();
    assert_eq!(loaded.mixes, [dry.clone()]);
    assert_eq!(ids(&loaded), ["clay-soil", "oak-lintel", "sharp-sand"]);

    let (there, back) = (["dry", "house-cob"], ["house-cob", "dry"]);
    let loaded = load_library(&mut session, &library(&there, &[]))
        .await
        .unwrap();
    assert_eq!(loaded.mixes, [dry.clone(), cob.clone()]);
    assert_eq!(ids(&loaded), ["clay-soil", "sharp-sand", "straw", "water"]);
    let loaded = load_library(&mut session, &library(&back, &[]))
        .await
        .unwrap();
    assert_eq!(loaded.mixes, [cob, dry]);

    let nothing = load_library(&mut session, &LibraryNames::default())
        .await
        .unwrap();
    assert_eq!((nothing.mixes, nothing.materials), (Vec::new(), Vec::new()));
}

fn trial_at(site: &SiteId, id: &str) -> MixTrial {
    MixTrial {
        site: site.clone(),
        ..mix_trial(id)
    }
}

#[tokio::test]
async fn a_library_brings_the_trials_of_its_mixes_the_soil_test_and_the_rules_asked() {
    let ground = Ground::new().await;
    let mut session = ground.session().await;
    chain(&mut session).await;
    let (ridge, acre) = (site_id("ridge"), site_id("long-acre"));
    let (jar, pack) = (soil_test("jar-1"), rule_pack("our-rules"));
    soil_test::insert(&mut session, &acre, &jar).await.unwrap();
    rule_pack::insert(&mut session, &pack).await.unwrap();
    for (site, id) in [(&ridge, "t-1"), (&ridge, "t-2"), (&acre, "t-1")] {
        let trial = trial_at(site, id);
        mix_trial::insert(&mut session, &trial).await.unwrap();
    }
    // Two mixes of one trial, one of another, one untested.
    for (id, site, trial) in [
        ("base", &ridge, "t-2"),
        ("finish", &ridge, "t-2"),
        ("wall", &acre, "t-1"),
    ] {
        let mut tested = mix(id);
        tested.trial = Some(TrialName {
            site: site.clone(),
            trial: mix_trial(trial).id,
        });
        mix::insert(&mut session, &tested).await.unwrap();
    }
    let mut asked = library(&["wall", "base", "house-cob", "finish"], &[]);
    asked.soil_test = Some((acre.clone(), jar.id.clone()));
    asked.rule_pack = Some(pack.id.clone());

    let loaded = load_library(&mut session, &asked).await.unwrap();
    assert_eq!(
        loaded.trials,
        [trial_at(&acre, "t-1"), trial_at(&ridge, "t-2")],
        "each once, by site and id"
    );
    assert_eq!(loaded.soil_test, Some(jar));
    assert_eq!(loaded.rule_pack, Some(pack));

    let names = Names {
        library: asked,
        ..names()
    };
    let inputs = load(&mut session, &names).await.unwrap();
    assert_eq!(inputs.library, loaded);
    // What never changes has no version.
    for tag in [
        "sites/long-acre/mixTrials/t-1",
        "sites/ridge/mixTrials/t-2",
        "sites/long-acre/soilTests/jar-1",
        "rulePacks/our-rules",
    ] {
        assert!(
            inputs.tags.iter().any(|each| each == tag),
            "{:?}",
            inputs.tags
        );
    }
    let mixes: Vec<&String> = inputs
        .tags
        .iter()
        .filter(|tag| tag.starts_with("mixes/"))
        .collect();
    assert_eq!(
        mixes,
        [
            "mixes/wall@1",
            "mixes/base@1",
            "mixes/house-cob@1",
            "mixes/finish@1"
        ]
    );
}

#[tokio::test]
async fn everything_that_an_estimate_lacks_is_named_at_once() {
    let ground = Ground::new().await;
    let mut session = ground.furnished().await;
    let mut wanted = Names {
        site: site_id("x"),
        crew: crew_id("z"),
        on: day("2026-05-01"),
        library: library(&["y", "house-cob", "w"], &["moonstone", "sharp-sand"]),
    };
    wanted.library.soil_test = Some((site_id("long-acre"), SoilTestId::parse("v").unwrap()));
    wanted.library.rule_pack = Some(RulePackId::parse("u").unwrap());
    let all = "sites/x, mixes/y, mixes/w, materials/moonstone, sites/long-acre/soilTests/v, rulePacks/u, crews/z";
    let fault = load(&mut session, &wanted).await.unwrap_err();
    assert_eq!(fault.to_string(), format!("not found: {all}"));
    let fault = load_library(&mut session, &wanted.library)
        .await
        .unwrap_err();
    assert_eq!(
        fault.to_string(),
        "not found: mixes/y, mixes/w, materials/moonstone, sites/long-acre/soilTests/v, rulePacks/u"
    );

    wanted = Names {
        site: site_id("long-acre"),
        crew: crew_id("practised"),
        library: library(&["y"], &[]),
        ..wanted
    };
    let fault = load(&mut session, &wanted).await.unwrap_err();
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
    load(&mut session, &names()).await.unwrap();
    assert_eq!(statements.0.load(Ordering::Relaxed), 3);
    load_library(&mut session, &names().library).await.unwrap();
    assert_eq!(statements.0.load(Ordering::Relaxed), 4);
}
