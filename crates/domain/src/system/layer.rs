//! Layers: so much of a mix, evenly thick, over an area. The coats of faces and the layers of floors and ovens are all of
//! this kind; where each lies, and how large it is, is for their own files.

use hod_units::{Decimal, Length, Volume, canonical};

use crate::fault::too_large;
use crate::id::MixId;
use crate::job::Layer;
use crate::mix::Purpose;
use crate::takeoff::Amounts;
use crate::takeoff::tally::{Placing, Tally};
use crate::unit::Unit;
use crate::work::{Driver, Task};

/// What is laid on of each mix, in the order in which the job comes to them.
pub(super) struct Laid {
    /// By which its work is told.
    kind: Kind,
    sums: Vec<Sum>,
}

/// What layers are of.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum Kind {
    /// Coats of a face.
    Coats,
    /// Layers of a floor.
    Floor,
}

/// All layers of a mix.
struct Sum {
    mix: MixId,
    is_wash: bool,
    /// Of each layer, m2, added up.
    area: Decimal,
    volume: Volume,
}

impl Laid {
    pub(super) const fn new(kind: Kind) -> Self {
        Self {
            kind,
            sums: Vec::new(),
        }
    }

    /// Adds a layer over an area, m2, and `hollows` deeper than it is thick: `volume = area x (thickness + hollows)`. A
    /// mix that is not there is a fault of `field`.
    ///
    /// 10 m2 at 12 mm are 0.12 m3; with hollows of 3 mm, 0.15 m3.
    pub(super) fn add(
        &mut self,
        layer: &Layer,
        field: &str,
        area: Decimal,
        hollows: Length,
        tally: &mut Tally,
    ) {
        if tally.faults.iter().any(|fault| fault.field == field) {
            // A coat of the job itself, told for the first wall already.
            return;
        }
        let Some(recipe) = tally.recipe(field, &layer.mix) else {
            return;
        };
        let is_wash = recipe.mix().purpose == Purpose::Wash;
        let at = self.place_of(&layer.mix, is_wash);
        let Some(sum) = self.sums.get_mut(at) else {
            return;
        };
        if sum.grow(area, layer.thickness, hollows).is_none() {
            tally
                .faults
                .push(too_large(&format!("what is laid on of mix {}", layer.mix)));
        }
    }

    fn place_of(&mut self, mix: &MixId, is_wash: bool) -> usize {
        if let Some(at) = self.sums.iter().position(|sum| sum.mix == *mix) {
            return at;
        }
        self.sums.push(Sum {
            mix: mix.clone(),
            is_wash,
            area: Decimal::ZERO,
            volume: Volume::ZERO,
        });
        self.sums.len() - 1
    }

    /// Puts down what is placed of each mix, and the work of laying it on.
    pub(super) fn put_down(self, tally: &mut Tally) {
        for sum in self.sums {
            let (task, tasks, label, areas) = self.kind.words(sum.is_wash);
            let method = tally.mixing(&sum.mix, None);
            let amounts = Amounts::of_job()
                .with(Driver::M2Coat, sum.area, Unit::M2, areas)
                .with(Driver::M3Placed, sum.volume.cubic_metres(), Unit::M3, label);
            tally.work(task, method.as_ref(), amounts);
            tally.place(Placing {
                mix: sum.mix,
                mixing: None,
                net: sum.volume,
                placed: sum.volume,
                waste: None,
                label,
                tasks,
            });
        }
    }
}

impl Kind {
    /// The task, again as what its batches count for, what is placed, and what its areas are.
    const fn words(self, is_wash: bool) -> (Task, &'static [Task], &'static str, &'static str) {
        match (self, is_wash) {
            (_, true) => (Task::Wash, &[Task::Wash], "wash", "washes"),
            (Self::Coats, false) => (Task::Plaster, &[Task::Plaster], "plaster", "coats"),
            (Self::Floor, false) => (Task::LayFloor, &[Task::LayFloor], "floor layers", "layers"),
        }
    }
}

impl Sum {
    /// `None` on overflow.
    fn grow(&mut self, area: Decimal, thickness: Length, hollows: Length) -> Option<()> {
        let deep = thickness.checked_add(hollows)?.metres();
        let volume = Volume::from_cubic_metres(area.checked_mul(deep)?);
        self.area = self.area.checked_add(area)?;
        self.volume = self.volume.checked_add(volume)?;
        Some(())
    }
}

/// How a line names a layer: `clay-base, 12 mm`.
pub(super) fn name_of(layer: &Layer) -> String {
    format!("{}, {} mm", layer.mix, canonical(layer.thickness.mm()))
}
