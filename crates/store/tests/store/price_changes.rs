//! Many prices in one act: what becomes of each row, what is refused, and that nothing is done by halves.

use hod_domain::material::Supply;
use hod_domain::price::PriceRow;
use hod_domain::unit::Unit;
use hod_store::price::PriceFilter;
use hod_store::price_changes::{
    Applied, ChangeKind, PriceChange, PriceChanges, RowFault, RowFaultReason, Summary, page,
};
use hod_store::price_walk::{Walk, WalkFilter};
use hod_store::{Session, material, price, region};
use hod_units::{Date, DateRange};

use crate::examples::*;

pub fn range(from: &str, to: &str) -> DateRange {
    let to = (!to.is_empty()).then(|| day(to));
    DateRange::new(day(from), to).unwrap()
}

/// A row that says what [`new_price`] says.
pub fn row(number_of: u32, unit_price: &str, in_force: DateRange) -> PriceRow {
    let price = new_price("p", "2026-01-01");
    PriceRow {
        row: number_of,
        region: region_id("coast"),
        id: None,
        material: price.material,
        supplier: price.supplier,
        unit_price: number(unit_price),
        unit: price.unit,
        in_force,
        source: price.source,
        terms: price.terms,
    }
}

pub async fn apply(session: &mut Session, rows: &[PriceRow], close: Option<Date>) -> Applied {
    let mut changes = PriceChanges::begin(session).await.unwrap();
    for piece in rows.chunks(2) {
        changes.add(session, piece).await.unwrap();
    }
    changes.apply(session, close).await.unwrap()
}

pub fn done(applied: Applied) -> Summary {
    match applied {
        Applied::Done(summary) => summary,
        Applied::Faulty(faults, _) => panic!("{faults:?}"),
    }
}

/// Each change by row, kind, before and after.
async fn told(session: &mut Session) -> Vec<(Option<u32>, ChangeKind, String, String)> {
    let mut all: Vec<PriceChange> = Vec::new();
    loop {
        let after = all.last().map_or(0, |change| change.place);
        let found = page(session, after, 2).await.unwrap();
        if found.is_empty() {
            break;
        }
        all.extend(found);
    }
    let money = |value: Option<hod_units::Decimal>| {
        value.map_or(String::new(), |value| value.normalize().to_string())
    };
    all.into_iter()
        .map(|change| {
            (
                change.row,
                change.kind,
                money(change.before),
                money(change.after),
            )
        })
        .collect()
}

#[tokio::test]
async fn each_row_is_told_as_what_it_does_to_the_price_in_force_before() {
    let ground = Ground::new().await;
    let mut session = ground.furnished().await;
    let coast = region_id("coast");
    for (id, of) in [("a", "sharp-sand"), ("b", "clay-soil"), ("c", "water")] {
        let mut standing = new_price(id, "2026-01-01");
        standing.material = material_id(of);
        price::insert(&mut session, &coast, &standing, None)
            .await
            .unwrap();
    }
    let mut dearer = row(2, "39", range("2026-03-01", ""));
    let cheaper = row(3, "38", range("2026-05-01", ""));
    let mut noted = row(4, "38.5", range("2026-03-01", ""));
    noted.material = material_id("clay-soil");
    noted.terms.note = "by the pond".to_owned();
    let mut first = row(5, "4", range("2026-03-01", ""));
    (first.material, first.unit) = (material_id("straw"), Unit::Bale);
    dearer.terms.lead_days = 3;
    let summary = done(
        apply(
            &mut session,
            &[cheaper, dearer, noted, first],
            Some(day("2026-04-01")),
        )
        .await,
    );
    assert_eq!(summary.list_versions, [(coast.clone(), 4)]);
    assert_eq!(
        (
            summary.rows,
            summary.new,
            summary.raised,
            summary.lowered,
            summary.same,
            summary.closed,
            summary.altered
        ),
        (4, 1, 1, 1, 0, 1, 1)
    );
    let expected = [
        (Some(3), ChangeKind::Lowered, "38.5", "38"),
        (Some(2), ChangeKind::Raised, "38.5", "39"),
        (Some(4), ChangeKind::Altered, "38.5", "38.5"),
        (Some(5), ChangeKind::New, "", "4"),
        (None, ChangeKind::Closed, "38.5", ""),
    ];
    let expected =
        expected.map(|(row, kind, before, after)| (row, kind, before.to_owned(), after.to_owned()));
    assert_eq!(told(&mut session).await, expected);
    let list = price::list(&mut session, &coast, &PriceFilter::default(), None, 99)
        .await
        .unwrap();
    let stands = |of: &str| {
        let of = list
            .iter()
            .filter(|each| each.value.material.as_str() == of);
        let mut ranges: Vec<DateRange> = of.map(|each| each.value.in_force).collect();
        ranges.sort_by_key(|range| range.from());
        ranges
    };
    assert_eq!(
        stands("sharp-sand"),
        [
            range("2026-01-01", "2026-03-01"),
            range("2026-03-01", "2026-05-01"),
            range("2026-05-01", "")
        ]
    );
    assert_eq!(stands("water"), [range("2026-01-01", "2026-04-01")]);
}

#[tokio::test]
async fn what_a_walk_reads_changes_nothing_when_it_is_put_in_force_again() {
    let ground = Ground::new().await;
    let mut session = ground.furnished().await;
    let coast = region_id("coast");
    let rows = [
        row(2, "39", range("2026-03-01", "2026-04-01")),
        row(3, "40", range("2026-05-01", "2026-08-01")),
        row(4, "41", range("2026-06-01", "")),
    ];
    // A row that holds longer than the next begins is refused, so the second ends sooner.
    let mut rows = rows.to_vec();
    rows[1].in_force = range("2026-05-01", "");
    done(apply(&mut session, &rows, None).await);
    let before = price::list(&mut session, &coast, &PriceFilter::default(), None, 99)
        .await
        .unwrap();
    let mut walk = Walk::begin(&mut session, &WalkFilter::default())
        .await
        .unwrap();
    let mut read = Vec::new();
    loop {
        let found = walk.next(&mut session, 2).await.unwrap();
        if found.is_empty() {
            break;
        }
        read.extend(found);
    }
    let starts: Vec<Date> = read
        .iter()
        .map(|(_, each)| each.value.in_force.from())
        .collect();
    assert_eq!(
        starts,
        [day("2026-03-01"), day("2026-05-01"), day("2026-06-01")]
    );
    let again: Vec<PriceRow> = (2..)
        .zip(read)
        .map(|(number_of, (region, stored))| PriceRow {
            row: number_of,
            region,
            id: Some(stored.value.id),
            material: stored.value.material,
            supplier: stored.value.supplier,
            unit_price: stored.value.unit_price,
            unit: stored.value.unit,
            in_force: stored.value.in_force,
            source: stored.value.source,
            terms: stored.value.terms,
        })
        .collect();
    let summary = done(apply(&mut session, &again, Some(day("2026-06-01"))).await);
    assert_eq!((summary.same, summary.list_versions), (3, vec![]));
    assert_eq!(told(&mut session).await, []);
    assert_eq!(region::list_version(&mut session, &coast).await.unwrap(), 1);
    assert_eq!(
        price::list(&mut session, &coast, &PriceFilter::default(), None, 99)
            .await
            .unwrap(),
        before
    );
}

#[tokio::test]
async fn every_row_at_fault_is_named_and_nothing_is_changed() {
    let ground = Ground::new().await;
    let mut session = ground.furnished().await;
    let mut stream = material("stream-water");
    stream.supply = Supply::Site;
    material::insert(&mut session, &stream).await.unwrap();
    let mut other = new_price("theirs", "2026-01-01");
    other.supplier = "Another".to_owned();
    price::insert(&mut session, &region_id("coast"), &other, None)
        .await
        .unwrap();
    let changed = |at: u32, change: &dyn Fn(&mut PriceRow)| {
        let mut changed = row(at, "1", range("2026-01-01", ""));
        changed.supplier = format!("Supplier {at}");
        change(&mut changed);
        changed
    };
    let rows = [
        changed(2, &|_| ()),
        changed(3, &|row| row.region = region_id("nowhere")),
        changed(4, &|row| row.material = material_id("nothing")),
        changed(5, &|row| row.material = material_id("stream-water")),
        changed(6, &|row| row.unit = Unit::T),
        changed(7, &|row| row.in_force = range("2026-01-01", "2026-03-01")),
        changed(8, &|row| row.supplier = "Supplier 7".to_owned()),
        changed(9, &|row| {
            (row.supplier, row.in_force) = ("Supplier 7".to_owned(), range("2026-02-01", ""))
        }),
        changed(10, &|row| row.id = Some(price_id("theirs"))),
        changed(11, &|row| row.unit_price = number("1.0000001")),
        changed(12, &|row| row.id = Some(price_id("ours"))),
        changed(13, &|row| row.id = Some(price_id("ours"))),
    ];
    let Applied::Faulty(faults, count) = apply(&mut session, &rows, None).await else {
        panic!("faults");
    };
    let expected = [
        (3, RowFaultReason::UnknownRegion),
        (4, RowFaultReason::UnknownMaterial),
        (5, RowFaultReason::FromSite),
        (6, RowFaultReason::OtherUnit(Unit::M3)),
        (8, RowFaultReason::Twice { of: 7 }),
        (10, RowFaultReason::IdTaken),
        (
            11,
            RowFaultReason::Number(
                "unit_price is 1.0000001, with 7 decimals; at most 6 are kept".to_owned(),
            ),
        ),
        (13, RowFaultReason::IdTaken),
    ]
    .map(|(row, reason)| RowFault { row, reason });
    assert_eq!(faults, expected);
    assert_eq!(count, 8);
    let Applied::Faulty(faults, _) = apply(
        &mut session,
        &[
            row(2, "1", range("2026-01-01", "2026-03-01")),
            row(3, "2", range("2026-02-28", "")),
        ],
        None,
    )
    .await
    else {
        panic!("faults");
    };
    assert_eq!(
        faults,
        [RowFault {
            row: 3,
            reason: RowFaultReason::Overlaps { with: 2 }
        }]
    );
    assert_eq!(
        region::list_version(&mut session, &region_id("coast"))
            .await
            .unwrap(),
        1
    );
}

#[tokio::test]
async fn a_price_without_an_id_gets_one_that_none_has_had() {
    let ground = Ground::new().await;
    let mut session = ground.furnished().await;
    let coast = region_id("coast");
    let mut ids = Vec::new();
    for unit_price in ["1", "2", "3"] {
        let mut twin = row(3, unit_price, range("2026-01-01", ""));
        twin.supplier = "pit - AT the ford".to_owned();
        done(
            apply(
                &mut session,
                &[row(2, unit_price, range("2026-01-01", "")), twin],
                None,
            )
            .await,
        );
        let list = price::list(&mut session, &coast, &PriceFilter::default(), None, 9)
            .await
            .unwrap();
        ids.extend(list.into_iter().map(|stored| stored.value.id.to_string()));
    }
    let made = "sharp-sand-pit-at-the-ford-2026-01-01";
    let expected = ["", "-1", "-2", "-2-2", "-3", "-3-2"].map(|end| format!("{made}{end}"));
    assert_eq!(ids, expected);
}

#[tokio::test]
async fn a_list_that_does_not_change_keeps_its_version_while_another_moves() {
    let ground = Ground::new().await;
    let mut session = ground.furnished().await;
    region::insert(&mut session, &region("hills"))
        .await
        .unwrap();
    let there = |mut row: PriceRow| {
        row.region = region_id("hills");
        row
    };
    let both = [
        row(2, "1", range("2026-01-01", "")),
        there(row(3, "1", range("2026-01-01", ""))),
    ];
    let first = done(apply(&mut session, &both, None).await);
    assert_eq!(
        first.list_versions,
        [(region_id("coast"), 1), (region_id("hills"), 1)]
    );
    let one = [
        row(2, "1", range("2026-01-01", "")),
        there(row(3, "2", range("2026-01-01", ""))),
    ];
    let second = done(apply(&mut session, &one, None).await);
    assert_eq!(second.list_versions, [(region_id("hills"), 2)]);
}
