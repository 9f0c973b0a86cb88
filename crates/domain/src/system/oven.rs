//! Earthen ovens: a dome of one or more layers with a door through all of them, what lies under it, and the sand that it is
//! built over and dug out of again. The shape is measured in `geometry`; here is what it takes.

use hod_units::{Decimal, Length, Volume, canonical};
use rust_decimal::dec;

use super::layer;
use crate::basis::{Basis, Joint, Term};
use crate::fault::too_large;
use crate::geometry::{DomeDrawing, DomeMeasure, measure_dome};
use crate::id::MixId;
use crate::job::{Layer, Oven};
use crate::takeoff::Amounts;
use crate::takeoff::tally::{Placing, Tally, drawn};
use crate::text::Text;
use crate::unit::Unit;
use crate::work::{Driver, Task};

/// A door is as a rule this part of the dome's height inside (`https://cathmiller.com/blog/2013/12/04/sand-form-oven/`):
/// 0.63 x 420 mm = 264.6 mm; and 16 in of dome have 10 in of door (0.63 x 16 = 10.08; from memory).
const DOOR_TO_DOME: Decimal = dec!(0.63);

pub(super) fn put_down(tally: &mut Tally) {
    for (at, oven) in tally.job.ovens.iter().enumerate() {
        let Some(drawing) = drawing(oven, at, tally) else {
            continue;
        };
        match measure_dome(&drawing) {
            Some(dome) => of_oven(oven, at, &dome, tally),
            None => tally.faults.push(too_large(&format!("oven {}", oven.id))),
        }
    }
}

/// Its sizes with what was left out filled in; a fault for each that cannot be.
fn drawing(oven: &Oven, at: usize, tally: &mut Tally) -> Option<DomeDrawing> {
    let radius = oven.inner_diameter.checked_div(dec!(2))?;
    let height = oven.dome_height.unwrap_or(radius);
    let door_height = match oven.door_height {
        Some(height) => height,
        None => height.checked_mul(DOOR_TO_DOME)?,
    };
    let faults = tally.faults.len();
    if oven.layers.is_empty() {
        let message = format!(
            "oven {} has no layers; give at least one, from the inside out, such as oven-dense:75",
            oven.id
        );
        tally.refuse(format!("ovens[{at}].layers"), "OVEN_HAS_NO_LAYERS", message);
    }
    let mut refuse = |field: &str, reason, door: Length, dome: Length, size: &str| {
        if door < dome {
            return;
        }
        let message = format!(
            "the door of oven {} is {} m {size} and its dome {} m inside; give a door that leaves some of the dome",
            oven.id,
            canonical(door.metres()),
            canonical(dome.metres())
        );
        tally.refuse(format!("ovens[{at}].{field}"), reason, message);
    };
    let (width, across) = (oven.door_width, oven.inner_diameter);
    refuse(
        "door_width_m",
        "DOOR_WIDER_THAN_DOME",
        width,
        across,
        "wide",
    );
    refuse(
        "door_height_m",
        "DOOR_HIGHER_THAN_DOME",
        door_height,
        height,
        "high",
    );
    (tally.faults.len() == faults).then(|| DomeDrawing {
        radius,
        height,
        door_width: width,
        door_height,
        layers: oven.layers.iter().map(|layer| layer.thickness).collect(),
    })
}

fn of_oven(oven: &Oven, at: usize, dome: &DomeMeasure, tally: &mut Tally) {
    let part = Text::from(format!("oven {}", oven.id));
    let mut built = Vec::new();
    for (index, (layer, measure)) in oven.layers.iter().zip(&dome.layers).enumerate() {
        let term = |joint, volume: Volume, label| {
            Term::new(joint, volume.cubic_metres(), Unit::M3, label, "")
        };
        let basis = Basis::of([
            term(Joint::Start, measure.shell, "shell"),
            term(Joint::Less, measure.door, "door"),
        ]);
        tally.line(&part, layer::name_of(layer), Unit::M3, basis.clone());
        built.push((&layer.mix, format!("ovens[{at}].layers[{index}]"), basis));
    }
    for (index, layer) in oven.base_layers.iter().enumerate() {
        let basis = of_base(layer, dome);
        let item = format!("{}, under the dome", layer::name_of(layer));
        tally.line(&part, item, Unit::M3, basis.clone());
        built.push((
            &layer.mix,
            format!("ovens[{at}].base_layers[{index}]"),
            basis,
        ));
    }
    if let Some(form) = &oven.form {
        let basis = drawn(dome.inside.cubic_metres(), Unit::M3, "inside of the dome");
        let item = format!("{form}, form of the dome");
        tally.line(&part, item, Unit::M3, basis.clone());
        built.push((form, format!("ovens[{at}].form_mix"), basis));
    }
    let mut volume = Decimal::ZERO;
    for (mix, field, basis) in built {
        let placed = place(mix, &field, &basis, tally).unwrap_or_default();
        volume = volume.saturating_add(placed);
    }
    // Of one method, whatever its layers are mixed by: an oven is built once.
    let amounts = Amounts::of_job()
        .with(Driver::Piece, Decimal::ONE, Unit::Each, "ovens")
        .with(Driver::M3Placed, volume, Unit::M3, "ovens");
    let method = tally.job.mixing.as_ref();
    tally.work(Task::BuildOven, method, amounts);
}

/// Over the circle of the dome's outside: 0.769769 m2 at 100 mm are 0.0769769 m3.
fn of_base(layer: &Layer, dome: &DomeMeasure) -> Basis {
    let circle = dome.base.square_metres();
    let thickness = layer.thickness.metres();
    Basis::of([
        Term::new(Joint::Start, circle, Unit::M2, "circle of the dome", ""),
        Term::new(Joint::Times, thickness, Unit::M, "thickness", ""),
    ])
}

/// So much of a mix, m3; nothing where it is not there.
fn place(mix: &MixId, field: &str, basis: &Basis, tally: &mut Tally) -> Option<Decimal> {
    tally.recipe(field, mix)?;
    let Some(volume) = basis.work() else {
        tally.faults.push(too_large("the layers of the ovens"));
        return None;
    };
    let placed = Volume::from_cubic_metres(volume);
    tally.place(Placing {
        mix: mix.clone(),
        mixing: None,
        net: placed,
        placed,
        waste: None,
        label: "oven",
        tasks: &[],
    });
    Some(volume)
}
