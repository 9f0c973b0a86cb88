//! Made-up answers, of the size of a small studio; a building of several systems is in `several`, what is bought and what
//! moves in `buying`, what a client gets in `quotes`.

mod buying;
mod quotes;
mod several;

use hod_wire::v1::{
    Basis, BasisTerm, BreakRule, BuildUp, Caution, Delivery, Estimate, EstimateLine,
    EstimateTotals, Job, Joint, LabourLine, Lift, LineKind, ListVersion, MassBalance, MixTakeoff,
    Opening, OpeningShape, Order, Price, PriceBreak, ProfitBasis, Region, Rounding, Takeoff,
    TakeoffTotals, Task, TaxBasis, Unit, Wall, WallSystem, WallTakeoff,
};

pub use buying::{changes, comparison, estimate_in_full, file_faults, movements, plan};
pub use quotes::{escalation, quote, variation};
pub use several::{estimate_of_several, takeoff_of_several};

fn term(joint: Joint, value: &str, unit: Unit, label: &str, source: &str) -> BasisTerm {
    BasisTerm {
        joint: joint.into(),
        value: value.into(),
        unit: unit.into(),
        label: label.into(),
        source: source.into(),
    }
}

fn basis(terms: Vec<BasisTerm>, rounding: &str) -> Option<Basis> {
    Some(Basis {
        terms,
        rounding: rounding.into(),
    })
}

fn lift(number: i32, from: &str, to: &str, volume: &str, batches: Option<i32>) -> Lift {
    Lift {
        number,
        from_m: from.into(),
        to_m: to.into(),
        volume_m3: volume.into(),
        batch_count: batches,
        system: WallSystem::Cob.into(),
        ..Lift::default()
    }
}

fn order(material: &str, item: &str, quantity: &str, unit: Unit, basis: Option<Basis>) -> Order {
    Order {
        material: format!("materials/{material}"),
        item: item.into(),
        quantity: quantity.into(),
        unit: unit.into(),
        basis,
    }
}

fn caution(reason: &str, subject: &str, description: &str) -> Caution {
    Caution {
        reason: reason.into(),
        subject: subject.into(),
        description: description.into(),
    }
}

fn not_tested() -> Caution {
    caution(
        "MIX_NOT_TESTED",
        "mixes/house-cob",
        "no trial has justified this mix on this soil; make one, and name it in the mix",
    )
}

fn house_cob(basis: Option<Basis>) -> MixTakeoff {
    MixTakeoff {
        mix: "mixes/house-cob".into(),
        mixing: "tarp".into(),
        net_volume_m3: "9.6315".into(),
        placed_volume_m3: "10.7145".into(),
        mixed_volume_m3: "11.250225".into(),
        batch_count: 268,
        basis,
        masses: Some(MassBalance {
            dry_in_kg: "18009.6".into(),
            standing_kg: "15410.4".into(),
            pared_kg: "1732.8".into(),
            wasted_kg: "857.16".into(),
            left_over_kg: "9.24".into(),
            water_kg: "3061.632".into(),
        }),
    }
}

fn sand_basis() -> Option<Basis> {
    basis(
        vec![
            term(Joint::Start, "268", Unit::Batch, "batches", ""),
            term(Joint::Times, "30", Unit::L, "sharp sand", "mixes/house-cob"),
            term(
                Joint::Times,
                "0.0015",
                Unit::T,
                "loose mass of a litre",
                "materials/sharp-sand",
            ),
        ],
        "to 0.01",
    )
}

fn south(has_mix: bool) -> WallTakeoff {
    let batches = |count| has_mix.then_some(count);
    WallTakeoff {
        id: "south".into(),
        gross_volume_m3: "6.324".into(),
        opening_volume_m3: "0.7725".into(),
        net_volume_m3: "5.5515".into(),
        placed_volume_m3: "6.1545".into(),
        inner_face_m2: "11.28".into(),
        outer_face_m2: "12.840005".into(),
        reveal_m2: "2.095".into(),
        lifts: vec![
            lift(1, "0", "0.45", "1.201125", batches(30)),
            lift(2, "0.45", "0.9", "1.183", batches(29)),
            lift(3, "0.9", "2.4", "3.770375", batches(94)),
        ],
        length_m: "6.2".into(),
        plan_area_m2: "2.79".into(),
        basis: basis(
            vec![
                term(Joint::Start, "6.2", Unit::M, "length", ""),
                term(Joint::Times, "2.4", Unit::M, "height", ""),
                term(Joint::Times, "0.425", Unit::M, "mean thickness", ""),
                term(Joint::Less, "0.7725", Unit::M3, "opening door", ""),
            ],
            "",
        ),
        inner_covered_m2: "0".into(),
        outer_covered_m2: "0".into(),
    }
}

fn east(has_mix: bool) -> WallTakeoff {
    WallTakeoff {
        id: "east".into(),
        gross_volume_m3: "4.08".into(),
        opening_volume_m3: "0".into(),
        net_volume_m3: "4.08".into(),
        placed_volume_m3: "4.56".into(),
        inner_face_m2: "9.6".into(),
        outer_face_m2: "9.6".into(),
        reveal_m2: "0".into(),
        lifts: vec![
            lift(1, "0", "0.45", "0.8775", has_mix.then_some(22)),
            lift(2, "0.45", "2.4", "3.6825", has_mix.then_some(92)),
        ],
        length_m: "4".into(),
        plan_area_m2: "1.8".into(),
        basis: None,
        inner_covered_m2: "0".into(),
        outer_covered_m2: "0".into(),
    }
}

fn totals(batch_count: Option<i32>) -> TakeoffTotals {
    TakeoffTotals {
        gross_volume_m3: "10.404".into(),
        opening_volume_m3: "0.7725".into(),
        net_volume_m3: "9.6315".into(),
        placed_volume_m3: "10.7145".into(),
        inner_face_m2: "20.88".into(),
        outer_face_m2: "22.440005".into(),
        reveal_m2: "2.095".into(),
        length_m: "10.2".into(),
        plan_area_m2: "4.59".into(),
        batch_count,
    }
}

pub fn takeoff(has_mix: bool) -> Takeoff {
    let batch_basis = basis(
        vec![
            term(Joint::Start, "10.7145", Unit::M3, "placed volume", ""),
            term(
                Joint::PlusPercent,
                "5",
                Unit::Percent,
                "waste",
                "mixes/house-cob",
            ),
            term(
                Joint::Over,
                "0.042",
                Unit::M3,
                "batch yield",
                "mixes/house-cob",
            ),
        ],
        "up to a whole batch",
    );
    let walls = vec![south(has_mix), east(has_mix)];
    if !has_mix {
        return Takeoff {
            walls,
            totals: Some(totals(None)),
            ..Takeoff::default()
        };
    }
    Takeoff {
        walls,
        totals: Some(totals(Some(268))),
        mixes: vec![house_cob(batch_basis.clone())],
        batch_basis,
        orders: vec![
            order(
                "subsoil",
                "Subsoil, dug on the site",
                "8.04",
                Unit::M3,
                None,
            ),
            order("sharp-sand", "Sharp sand", "12.06", Unit::T, sand_basis()),
            order("straw-bale", "Straw bale", "24", Unit::Bale, None),
        ],
        cautions: vec![not_tested()],
        ..Takeoff::default()
    }
}

fn line(
    kind: LineKind,
    item: &str,
    quantity: (&str, Unit),
    money: (&str, &str),
    basis: Option<Basis>,
) -> EstimateLine {
    EstimateLine {
        kind: kind.into(),
        item: item.into(),
        quantity: quantity.0.into(),
        unit: quantity.1.into(),
        unit_price: money.0.into(),
        amount: money.1.into(),
        basis,
        ..EstimateLine::default()
    }
}

fn hours(task: Task, grade: &str, hours: &str, amount: &str) -> LabourLine {
    LabourLine {
        task: task.into(),
        grade: grade.into(),
        hours: hours.into(),
        amount: amount.into(),
    }
}

fn lines() -> Vec<EstimateLine> {
    let overhead = basis(
        vec![
            term(Joint::Start, "318.47", Unit::Money, "material", ""),
            term(Joint::Plus, "2847.25", Unit::Money, "labour", ""),
            term(
                Joint::PercentOf,
                "8",
                Unit::Percent,
                "site overhead",
                "regions/west",
            ),
        ],
        "to 0.01",
    );
    let mut lines = vec![
        line(
            LineKind::Material,
            "Subsoil, dug on the site",
            ("8.04", Unit::M3),
            ("", "0.00"),
            None,
        ),
        line(
            LineKind::Material,
            "Sharp sand",
            ("12.06", Unit::T),
            ("26.40", "318.47"),
            sand_basis(),
        ),
        line(
            LineKind::Labour,
            "mix, practised",
            ("93.8", Unit::H),
            ("24.96", "2341.25"),
            None,
        ),
        line(
            LineKind::Labour,
            "mix, lead",
            ("16.47", Unit::H),
            ("30.72", "506.00"),
            None,
        ),
        line(
            LineKind::Overhead,
            "site overhead",
            ("8", Unit::Percent),
            ("", "253.26"),
            overhead,
        ),
        line(
            LineKind::Tax,
            "Value added tax",
            ("21", Unit::Percent),
            ("", "717.99"),
            None,
        ),
    ];
    lines[1].price_source = "regions/west/prices/p1, 2026-01-01".into();
    lines
}

pub fn estimate(price_date: &str) -> Estimate {
    Estimate {
        display_name: "Kept studio".into(),
        site: "sites/long-acre".into(),
        region: "regions/west".into(),
        price_date: price_date.into(),
        currency_code: "EUR".into(),
        lines: lines(),
        labour: vec![
            hours(Task::SetUp, "lead", "4", "122.88"),
            hours(Task::Mix, "practised", "89.8", "2241.41"),
            hours(Task::Mix, "lead", "12.47", "383.12"),
            hours(Task::SetOpening, "practised", "4", "99.84"),
        ],
        totals: Some(EstimateTotals {
            material: "318.47".into(),
            labour: "2847.25".into(),
            equipment: "0.00".into(),
            other: "0.00".into(),
            overhead: "253.26".into(),
            contingency: "0.00".into(),
            profit: "0.00".into(),
            tax: "717.99".into(),
            total: "4136.97".into(),
            ..EstimateTotals::default()
        }),
        batch_count: 268,
        takeoff: Some(totals(Some(268))),
        list_versions: vec![
            ListVersion {
                region: "regions/west".into(),
                version: 12,
            },
            ListVersion {
                region: "regions/land".into(),
                version: 3,
            },
        ],
        inputs: vec!["mixes/house-cob@3".into(), "crews/practised@1".into()],
        engine_version: "0.1.0".into(),
        mixes: vec![house_cob(None)],
        cautions: vec![not_tested()],
        ..Estimate::default()
    }
}

pub fn job() -> Job {
    let wall = |id: &str, openings: Vec<Opening>| Wall {
        id: id.into(),
        length_m: "6.20".into(),
        height_m: "2.40".into(),
        thickness_mm: "450".into(),
        ends: "corner:east".into(),
        openings,
        ..Wall::default()
    };
    let door = Opening {
        id: "door".into(),
        shape: OpeningShape::Rectangle.into(),
        width_m: "0.90".into(),
        ..Opening::default()
    };
    Job {
        name: "jobs/kept".into(),
        display_name: "Kept studio".into(),
        mix: "mixes/house-cob".into(),
        walls: vec![wall("south", vec![door]), wall("east", Vec::new())],
        ..Job::default()
    }
}

pub fn regions() -> Vec<Region> {
    let region = |id: &str, name: &str, parent: &str| Region {
        name: format!("regions/{id}"),
        display_name: name.into(),
        parent_region: parent.into(),
        currency_code: "EUR".into(),
        rounding: Rounding::HalfAwayFromZero.into(),
        build_up: Some(BuildUp {
            site_overhead_percent: "8".into(),
            tax_percent: "21".into(),
            tax_basis: TaxBasis::Invoice.into(),
            profit_basis: ProfitBasis::MarkupOnCost.into(),
            ..BuildUp::default()
        }),
        list_version: 12,
        etag: "\"7\"".into(),
        ..Region::default()
    };
    vec![
        region("hills", "The Hills", "regions/land"),
        region("land", "The Land", ""),
        region("west", "=West, \"the far one\"", "regions/land"),
    ]
}

pub fn prices() -> Vec<Price> {
    let price = |id: &str, material: &str, unit_price: &str, unit: Unit, end: &str| Price {
        name: format!("regions/west/prices/{id}"),
        material: format!("materials/{material}"),
        unit_price: unit_price.into(),
        unit: unit.into(),
        currency_code: "EUR".into(),
        start_date: "2026-01-01".into(),
        end_date: end.into(),
        supplier: "-Mill quarry".into(),
        list_version: 3,
        ..Price::default()
    };
    let sand = Price {
        break_rule: BreakRule::AllUnits.into(),
        breaks: vec![PriceBreak {
            from_quantity: "20".into(),
            unit_price: "24".into(),
        }],
        delivery: Some(Delivery {
            load_t: "15".into(),
            charge_per_load: "45".into(),
            ..Delivery::default()
        }),
        lead_days: 3,
        ..price("p1", "sharp-sand", "26.40", Unit::T, "2026-06-30")
    };
    vec![sand, price("p2", "straw-bale", "3.6", Unit::Bale, "")]
}
