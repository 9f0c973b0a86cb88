//! Takeoffs: measured walls and their sums, part by part, and what is to be got. The mixes are in `mix_takeoff`.

use hod_domain::geometry::Lift;
use hod_domain::job::{Build, Buried, Job, WallWork};
use hod_domain::takeoff::{
    Caution, LiftCard, Order, PaymentLine, Takeoff, TakeoffLine, TakeoffTotals, WallTakeoff,
};
use hod_units::{Area, Length, Volume, canonical};
use hod_wire::v1 as wire;

use super::basis::basis;
use super::mix_takeoff::mixes;
use super::{choice, number_if_any};
use crate::name::{Collection, Materials};

/// The takeoff of a job, its walls in the order of the job.
pub fn takeoff(takeoff: &Takeoff, job: &Job) -> wire::Takeoff {
    let batch_basis = match takeoff.mixes.as_slice() {
        [mix] => Some(basis(&mix.basis)),
        _ => None,
    };
    wire::Takeoff {
        walls: walls(&takeoff.walls, job),
        totals: Some(totals(&takeoff.totals, takeoff.batch_count)),
        batch_basis,
        mixes: mixes(&takeoff.mixes),
        lines: lines(&takeoff.lines),
        orders: takeoff.orders.iter().map(order).collect(),
        payment: payment(&takeoff.payment),
        cautions: cautions(&takeoff.cautions),
    }
}

/// The sums over all walls.
pub fn totals(totals: &TakeoffTotals, batch_count: Option<u32>) -> wire::TakeoffTotals {
    wire::TakeoffTotals {
        gross_volume_m3: volume(totals.gross),
        opening_volume_m3: volume(totals.displaced),
        net_volume_m3: volume(totals.net),
        placed_volume_m3: volume(totals.placed),
        inner_face_m2: area(totals.inner_face),
        outer_face_m2: area(totals.outer_face),
        reveal_m2: area(totals.reveal),
        length_m: length(totals.length),
        plan_area_m2: area(totals.plan_area),
        batch_count: batch_count.map(count),
    }
}

/// Measured quantities, part by part.
pub fn lines(lines: &[TakeoffLine]) -> Vec<wire::TakeoffLine> {
    let line = |line: &TakeoffLine| wire::TakeoffLine {
        part: String::from(&*line.part),
        item: String::from(&*line.item),
        quantity: canonical(line.quantity),
        unit: choice::unit(line.unit),
        basis: Some(basis(&line.basis)),
    };
    lines.iter().map(line).collect()
}

/// Quantities for payment.
pub fn payment(lines: &[PaymentLine]) -> Vec<wire::PaymentLine> {
    let line = |line: &PaymentLine| wire::PaymentLine {
        part: String::from(&*line.part),
        item: String::from(&*line.item),
        quantity: canonical(line.quantity),
        unit: choice::unit(line.unit),
        basis: Some(basis(&line.basis)),
        net_quantity: canonical(line.net),
    };
    lines.iter().map(line).collect()
}

/// What whoever reads the figures must know.
pub fn cautions(cautions: &[Caution]) -> Vec<wire::Caution> {
    let caution = |caution: &Caution| wire::Caution {
        reason: caution.reason.to_owned(),
        subject: String::from(&*caution.subject),
        description: String::from(&*caution.description),
    };
    cautions.iter().map(caution).collect()
}

fn order(order: &Order) -> wire::Order {
    wire::Order {
        material: Materials::name(&order.material),
        item: String::from(&*order.item),
        quantity: canonical(order.quantity),
        unit: choice::unit(order.unit),
        basis: Some(basis(&order.basis)),
    }
}

fn walls(walls: &[WallTakeoff], job: &Job) -> Vec<wire::WallTakeoff> {
    let said = WallWork::default();
    let works = job.works.iter().chain(std::iter::repeat(&said));
    walls
        .iter()
        .zip(works)
        .map(|(takeoff, work)| wall(takeoff, &work.buried, &job.builds))
        .collect()
}

fn wall(wall: &WallTakeoff, buried: &[Buried], builds: &[Build]) -> wire::WallTakeoff {
    let measure = &wall.measure;
    let lifts = measure.lifts.iter().zip(&wall.lifts);
    wire::WallTakeoff {
        id: measure.id.clone(),
        gross_volume_m3: volume(measure.gross),
        opening_volume_m3: volume(measure.displaced),
        net_volume_m3: volume(measure.net),
        placed_volume_m3: volume(measure.placed),
        inner_face_m2: area(measure.inner_face),
        outer_face_m2: area(measure.outer_face),
        reveal_m2: area(measure.reveal),
        lifts: lifts
            .map(|(measure, card)| lift(measure, card, buried, builds))
            .collect(),
        length_m: length(measure.length),
        plan_area_m2: area(measure.plan_area),
        basis: Some(basis(&wall.basis())),
        inner_covered_m2: area(measure.inner_covered),
        outer_covered_m2: area(measure.outer_covered),
    }
}

fn lift(lift: &Lift, card: &LiftCard, buried_in_wall: &[Buried], builds: &[Build]) -> wire::Lift {
    let build = builds.get(card.build);
    let is_in = card.buried.iter();
    let loose = card.loose_height.map(Length::metres);
    wire::Lift {
        number: count(lift.number),
        from_m: length(lift.from),
        to_m: length(lift.to),
        volume_m3: volume(lift.volume),
        batch_count: card.batches.map(count),
        system: build.map_or(0, |build| choice::wall_system(build.system)),
        build: build.map(|build| build.id.clone()).unwrap_or_default(),
        loose_height_m: number_if_any(loose),
        buried: is_in
            .filter_map(|index| buried_in_wall.get(*index))
            .map(buried)
            .collect(),
    }
}

fn buried(buried: &Buried) -> wire::Buried {
    wire::Buried {
        id: buried.id.clone(),
        height_m: length(buried.height),
        count: count(buried.count),
        material: buried
            .material
            .as_ref()
            .map(Materials::name)
            .unwrap_or_default(),
    }
}

/// m3.
pub fn volume(volume: Volume) -> String {
    canonical(volume.cubic_metres())
}

fn area(area: Area) -> String {
    canonical(area.square_metres())
}

fn length(length: Length) -> String {
    canonical(length.metres())
}

/// A count. Two thousand million batches or lifts are more than the checked sizes of a job can come to.
pub fn count(count: u32) -> i32 {
    i32::try_from(count).unwrap_or(i32::MAX)
}
