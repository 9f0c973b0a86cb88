//! What is bought, what prices do when they change, and two estimates held against each other.

use hod_wire::v1::price_changes_response::Event as Changed;
use hod_wire::v1::price_jobs_again_response::Event as Moved;
use hod_wire::v1::{
    Comparison, ComparisonRow, DayworkRate, Effects, Estimate, EstimateTotals, FileFault, LineKind,
    MovedList, Movement, MovementSummary, MovementTotal, OtherOffer, PriceChange, PriceChangeKind,
    PriceChangesSummary, ProvisionalMatter, Purchase, PurchaseHint, PurchasePart, PurchasePlan,
    ScopeHolder, ScopeLine, SharedPurchase, Unit,
};

use super::{estimate, line};

fn adobe(needed: &str, ordered: &str, left_over: &str) -> Purchase {
    Purchase {
        material: "materials/adobe".into(),
        item: "Adobe".into(),
        price: "regions/west/prices/adobe-1".into(),
        supplier: "Clay yard".into(),
        needed: needed.into(),
        ordered: ordered.into(),
        left_over: left_over.into(),
        unit: Unit::Each.into(),
        load_count: 2,
        load_limit: "mass".into(),
        goods_amount: "4995.00".into(),
        delivery_amount: "90.00".into(),
        lead_days: 3,
        ..Purchase::default()
    }
}

/// 999 at 5.00 where 1000 are 4.80 each: 4995.00 against 4800.00.
fn purchases() -> Vec<Purchase> {
    vec![
        Purchase {
            hint: Some(PurchaseHint {
                quantity: "1000".into(),
                amount: "4890.00".into(),
                saving: "195.00".into(),
            }),
            other_offers: vec![OtherOffer {
                price: "regions/west/prices/adobe-2".into(),
                supplier: "Hill pit".into(),
                amount: "5200.00".into(),
                lead_days: 1,
            }],
            ..adobe("997", "999", "2")
        },
        Purchase {
            item: "Sharp sand".into(),
            supplier: "Mill quarry".into(),
            needed: "12.06".into(),
            ordered: "13".into(),
            left_over: "0.94".into(),
            unit: Unit::T.into(),
            goods_amount: "343.20".into(),
            delivery_amount: "0.00".into(),
            ..Purchase::default()
        },
    ]
}

/// With purchases, scope, a provisional matter, daywork and steps that not every price has.
pub fn estimate_in_full(price_date: &str) -> Estimate {
    let plain = estimate(price_date);
    let mut lines = plain.lines.clone();
    lines.insert(
        4,
        line(
            LineKind::Fee,
            "Permit",
            ("1", Unit::Sum),
            ("300.00", "300.00"),
            None,
        ),
    );
    lines.insert(
        6,
        line(
            LineKind::Discount,
            "discount",
            ("2", Unit::Percent),
            ("", "-74.38"),
            None,
        ),
    );
    let scope = |part: &str, name: &str, holder: ScopeHolder, note: &str| ScopeLine {
        part: part.into(),
        display_name: name.into(),
        holder: holder.into(),
        note: note.into(),
    };
    Estimate {
        lines,
        totals: Some(EstimateTotals {
            fee: "300.00".into(),
            discount: "-74.38".into(),
            total: "4362.59".into(),
            ..plain.totals.clone().unwrap()
        }),
        purchases: purchases(),
        scope: vec![
            scope(
                "roof",
                "Reed roof",
                ScopeHolder::ByOthers,
                "with its battens",
            ),
            scope("engineer", "", ScopeHolder::Ours, ""),
            scope("drainage", "", ScopeHolder::Excluded, ""),
        ],
        provisional: vec![ProvisionalMatter {
            reason: "MIX_NOT_TESTED".into(),
            subject: "mixes/house-cob".into(),
            description: "no trial has justified this mix".into(),
        }],
        daywork_rates: vec![DayworkRate {
            grade: "practised".into(),
            rate_per_hour: "32.45".into(),
            basis: None,
        }],
        lift_count: 5,
        ..plain
    }
}

/// Two jobs that need 999 and 501 adobes order 1500 of them in three loads and not in four.
pub fn plan() -> PurchasePlan {
    let part = |job: &str, needed: &str, alone: &str| PurchasePart {
        job: format!("jobs/{job}"),
        needed: needed.into(),
        alone_amount: alone.into(),
    };
    PurchasePlan {
        currency_code: "EUR".into(),
        purchases: vec![SharedPurchase {
            purchase: Some(Purchase {
                load_count: 3,
                goods_amount: "7200.00".into(),
                delivery_amount: "135.00".into(),
                ..adobe("1500", "1500", "0")
            }),
            parts: vec![
                part("studio", "999", "5085.00"),
                part("mill", "501", "2595.00"),
            ],
            alone_amount: "7680.00".into(),
            saving: "345.00".into(),
        }],
        alone_amount: "7680.00".into(),
        together_amount: "7335.00".into(),
        saving: "345.00".into(),
        cautions: Vec::new(),
    }
}

fn movement(job: &str, name: &str, before: &str, after: &str, difference: &str) -> Movement {
    Movement {
        job: format!("jobs/{job}"),
        display_name: name.into(),
        before_estimate: format!("jobs/{job}/estimates/e1"),
        before_date: "2026-05-01".into(),
        before_total: before.into(),
        after_total: after.into(),
        difference: difference.into(),
        percent: if difference.is_empty() { "" } else { "2.50" }.into(),
        currency_code: "EUR".into(),
        ..Movement::default()
    }
}

/// What a file of prices does: its changes, then what they do to an open estimate, then the summary.
pub fn changes(kept: bool, row: i32) -> Vec<Changed> {
    let change = |kind: PriceChangeKind, material: &str, before: &str, after: &str, at: i32| {
        Changed::Change(PriceChange {
            kind: kind.into(),
            price: format!("regions/west/prices/{material}-2"),
            material: format!("materials/{material}"),
            supplier: "Mill quarry".into(),
            before_unit_price: before.into(),
            after_unit_price: after.into(),
            unit: Unit::T.into(),
            currency_code: "EUR".into(),
            start_date: "2026-06-01".into(),
            row: at * row,
        })
    };
    vec![
        change(PriceChangeKind::Raised, "sharp-sand", "26.4", "27.5", 2),
        change(PriceChangeKind::New, "hemp-shiv", "", "310", 3),
        change(PriceChangeKind::Closed, "pit-lime", "96", "", 0),
        Changed::Movement(movement(
            "studio",
            "Kept studio",
            "4000.00",
            "4100.00",
            "100.00",
        )),
        Changed::Summary(PriceChangesSummary {
            row_count: 5 * row,
            new_count: 1,
            raised_count: 1,
            closed_count: 1,
            same_count: 3,
            list_versions: vec![MovedList {
                region: "regions/west".into(),
                version: 13,
            }],
            kept,
            ..PriceChangesSummary::default()
        }),
    ]
}

/// What is wrong with a file.
pub fn file_faults() -> Vec<Changed> {
    let fault = |row: i32, column: &str, description: &str| {
        Changed::Fault(FileFault {
            row,
            column: column.into(),
            reason: "NUMBER".into(),
            description: description.into(),
        })
    };
    vec![
        fault(
            3,
            "unit_price",
            "\"27,50\" has a comma in it; write a point before the decimals",
        ),
        fault(0, "", "the column supplier is there twice; keep one"),
        Changed::Summary(PriceChangesSummary {
            row_count: 4,
            fault_count: 2,
            ..PriceChangesSummary::default()
        }),
    ]
}

/// Open jobs priced again; one of them cannot be when `fails`.
pub fn movements(fails: bool, kept: bool) -> Vec<Moved> {
    let lacking = Movement {
        faults: vec!["no price of reed is in force in west on 2026-09-01".into()],
        ..movement("mill", "The mill", "900.00", "", "")
    };
    let first = movement("studio", "Kept studio", "4000.00", "4100.00", "100.00");
    let second = movement("barn", "Barn", "1000.00", "1025.00", "25.00");
    let jobs = [first, second].map(Moved::Movement).into_iter();
    let failed = fails.then_some(Moved::Movement(lacking));
    let summary = Moved::Summary(MovementSummary {
        priced_count: 2,
        failed_count: fails.into(),
        totals: vec![MovementTotal {
            currency_code: "EUR".into(),
            before_total: "5000.00".into(),
            after_total: "5125.00".into(),
            difference: "125.00".into(),
            job_count: 2,
        }],
        kept,
    });
    jobs.chain(failed).chain([summary]).collect()
}

/// Sand that is dearer and more of it, a fee that is new, overhead that is carried along, labour that is as it was.
pub fn comparison(before: &str, after: &str) -> Comparison {
    let row =
        |kind: LineKind, item: &str, unit: Unit, quantities: [&str; 2], amounts: [&str; 3]| {
            ComparisonRow {
                kind: kind.into(),
                item: item.into(),
                unit: unit.into(),
                before_quantity: quantities[0].into(),
                after_quantity: quantities[1].into(),
                before_amount: amounts[0].into(),
                after_amount: amounts[1].into(),
                difference: amounts[2].into(),
                ..ComparisonRow::default()
            }
        };
    let effects = |quantity: &str, price: &str, scope: &str, carried: &str| Effects {
        quantity: quantity.into(),
        price: price.into(),
        labour_constant: "0.00".into(),
        scope: scope.into(),
        carried: carried.into(),
        build_up: "0.00".into(),
    };
    let sand = ComparisonRow {
        before_unit_price: "25".into(),
        after_unit_price: "27".into(),
        effects: Some(effects("50.00", "24.00", "0.00", "0.00")),
        ..row(
            LineKind::Material,
            "Sharp sand",
            Unit::T,
            ["10", "12"],
            ["250.00", "324.00", "74.00"],
        )
    };
    let labour = row(
        LineKind::Labour,
        "mix, lead",
        Unit::H,
        ["10", "10"],
        ["300.00", "300.00", "0.00"],
    );
    let permit = ComparisonRow {
        after_unit_price: "100".into(),
        effects: Some(effects("0.00", "0.00", "100.00", "0.00")),
        ..row(
            LineKind::Fee,
            "Permit",
            Unit::Sum,
            ["", "1"],
            ["0.00", "100.00", "100.00"],
        )
    };
    let overhead = ComparisonRow {
        effects: Some(effects("0.00", "0.00", "0.00", "17.40")),
        ..row(
            LineKind::Overhead,
            "site overhead",
            Unit::Percent,
            ["10", "10"],
            ["55.00", "72.40", "17.40"],
        )
    };
    Comparison {
        before: before.into(),
        after: after.into(),
        currency_code: "EUR".into(),
        rows: vec![sand, labour, permit, overhead],
        before_total: "605.00".into(),
        after_total: "796.40".into(),
        difference: "191.40".into(),
        effects: Some(effects("50.00", "24.00", "100.00", "17.40")),
    }
}
