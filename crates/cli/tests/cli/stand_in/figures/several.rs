//! A building of several systems, with every part of a takeoff and what an estimate has of it.

use hod_wire::v1::{
    Basis, Buried, Estimate, Joint, Lift, MixTakeoff, PaymentLine, Takeoff, TakeoffLine, Task,
    Unit, WallSystem, WallTakeoff,
};

use super::{basis, caution, estimate, hours, house_cob, lift, not_tested, order, term, totals};

fn buried(id: &str, height: &str, count: i32) -> Buried {
    Buried {
        id: id.into(),
        height_m: height.into(),
        count,
        material: "materials/deadman".into(),
    }
}

fn of_build(lift: Lift, build: &str, system: WallSystem) -> Lift {
    Lift {
        build: build.into(),
        system: system.into(),
        ..lift
    }
}

fn wall(id: &str, lifts: Vec<Lift>) -> WallTakeoff {
    WallTakeoff {
        id: id.into(),
        lifts,
        ..super::south(true)
    }
}

fn walls() -> Vec<WallTakeoff> {
    let south = vec![
        Lift {
            buried: vec![buried("deadman", "0.3", 3), buried("conduit", "0.35", 0)],
            ..lift(1, "0", "0.45", "1.201125", Some(30))
        },
        lift(2, "0.45", "1.2", "1.983", Some(50)),
        of_build(
            lift(3, "1.2", "2.4", "2.970375", None),
            "upper",
            WallSystem::Adobe,
        ),
    ];
    let rammed = Lift {
        loose_height_m: "0.25".into(),
        ..lift(1, "0", "0.15", "6.1545", Some(12))
    };
    let north = vec![of_build(rammed, "", WallSystem::RammedEarth)];
    vec![wall("south", south), wall("north", north)]
}

fn measured(
    part: &str,
    item: &str,
    quantity: &str,
    unit: Unit,
    basis: Option<Basis>,
) -> TakeoffLine {
    TakeoffLine {
        part: part.into(),
        item: item.into(),
        quantity: quantity.into(),
        unit: unit.into(),
        basis,
    }
}

fn lines() -> Vec<TakeoffLine> {
    let adobes = basis(
        vec![
            term(Joint::Start, "2.970375", Unit::M3, "placed", ""),
            term(
                Joint::Over,
                "0.009963",
                Unit::M3,
                "an adobe with its joints",
                "materials/adobe",
            ),
        ],
        "up to a whole piece",
    );
    vec![
        measured("wall south", "adobes laid", "299", Unit::Each, adobes),
        measured("wall south", "lintel of 1.3 m, door", "1.3", Unit::M, None),
        measured("stem wall", "stone", "3.2105", Unit::M3, None),
        measured(
            "wall south",
            "clay-base, 12 mm, inner face",
            "13.3754",
            Unit::M2,
            None,
        ),
        measured("floor hall", "gravel, 100 mm", "18.6", Unit::M2, None),
    ]
}

fn mortar() -> MixTakeoff {
    MixTakeoff {
        mix: "mixes/mud-mortar".into(),
        net_volume_m3: "0.512".into(),
        placed_volume_m3: "0.512".into(),
        mixed_volume_m3: "0.5632".into(),
        batch_count: 19,
        mixing: String::new(),
        basis: None,
        masses: None,
    }
}

fn payment() -> Vec<PaymentLine> {
    vec![PaymentLine {
        part: "wall south".into(),
        item: "plaster, inner face".into(),
        quantity: "14.88".into(),
        unit: Unit::M2.into(),
        basis: basis(
            vec![
                term(Joint::Start, "14.88", Unit::M2, "gross face", ""),
                term(
                    Joint::Less,
                    "0",
                    Unit::M2,
                    "openings up to 0.5 m2",
                    "rulePacks/is-1200",
                ),
            ],
            "to 0.01",
        ),
        net_quantity: "13.38".into(),
    }]
}

pub fn takeoff_of_several() -> Takeoff {
    Takeoff {
        walls: walls(),
        totals: Some(totals(Some(287))),
        mixes: vec![house_cob(None), mortar()],
        lines: lines(),
        orders: vec![
            order("adobe", "Adobe", "314", Unit::Each, None),
            order(
                "sharp-sand",
                "Sharp sand",
                "12.5",
                Unit::T,
                super::sand_basis(),
            ),
            order("hydrated-lime", "Hydrated lime", "1", Unit::Bag, None),
        ],
        payment: payment(),
        cautions: vec![
            not_tested(),
            caution(
                "DENSITY_ASSUMED",
                "wall north",
                "wall north is reckoned with a density that nobody has measured",
            ),
        ],
        batch_basis: None,
    }
}

pub fn estimate_of_several(price_date: &str) -> Estimate {
    let takeoff = takeoff_of_several();
    let plain = estimate(price_date);
    let labour = [
        hours(Task::LayStem, "practised", "10", "249.60"),
        hours(Task::Plaster, "practised", "6.5", "162.24"),
        hours(Task::LayFloor, "helper", "4", "77.82"),
    ];
    Estimate {
        labour: plain.labour.iter().cloned().chain(labour).collect(),
        mixes: takeoff.mixes,
        measured: takeoff.lines,
        payment: takeoff.payment,
        cautions: takeoff.cautions,
        ..plain
    }
}
