//! The closed lists of the wire, read into those of the domain. An unspecified value is refused here or given the
//! meaning that its proto states; a number that the list does not have is always refused.

use hod_domain::geometry::{Batter, Face};
use hod_domain::material::Supply;
use hod_domain::region::TaxBasis;
use hod_domain::unit::Unit;
use hod_domain::work::{Driver, Task};
use hod_units::Rounding;
use hod_wire::v1 as wire;

use super::Decoder;

/// What a quantity is counted in.
pub fn unit(decoder: &mut Decoder<'_>, field: &'static str, number: i32) -> Option<Unit> {
    decoder.choice(field, number, |number| {
        match wire::Unit::try_from(number).ok()? {
            wire::Unit::Unspecified => None,
            wire::Unit::M => Some(Unit::M),
            wire::Unit::M2 => Some(Unit::M2),
            wire::Unit::M3 => Some(Unit::M3),
            wire::Unit::L => Some(Unit::L),
            wire::Unit::Kg => Some(Unit::Kg),
            wire::Unit::T => Some(Unit::T),
            wire::Unit::H => Some(Unit::H),
            wire::Unit::Bale => Some(Unit::Bale),
            wire::Unit::Bag => Some(Unit::Bag),
            wire::Unit::Roll => Some(Unit::Roll),
            wire::Unit::Each => Some(Unit::Each),
            wire::Unit::Batch => Some(Unit::Batch),
            wire::Unit::Lift => Some(Unit::Lift),
            wire::Unit::Percent => Some(Unit::Percent),
            wire::Unit::Money => Some(Unit::Money),
            wire::Unit::Number => Some(Unit::Number),
            wire::Unit::KgPerM3 => Some(Unit::KgPerM3),
        }
    })
}

/// What is done; unspecified is refused.
pub fn task(decoder: &mut Decoder<'_>, field: &'static str, number: i32) -> Option<Task> {
    decoder.choice(field, number, known_task)
}

/// What is done; unspecified means every task.
pub fn task_if_any(
    decoder: &mut Decoder<'_>,
    field: &'static str,
    number: i32,
) -> Option<Option<Task>> {
    if number == 0 {
        Some(None)
    } else {
        task(decoder, field, number).map(Some)
    }
}

fn known_task(number: i32) -> Option<Task> {
    match wire::Task::try_from(number).ok()? {
        wire::Task::Unspecified => None,
        wire::Task::SetUp => Some(Task::SetUp),
        wire::Task::Dig => Some(Task::Dig),
        wire::Task::Screen => Some(Task::Screen),
        wire::Task::Haul => Some(Task::Haul),
        wire::Task::Mix => Some(Task::Mix),
        wire::Task::Place => Some(Task::Place),
        wire::Task::Pare => Some(Task::Pare),
        wire::Task::SetOpening => Some(Task::SetOpening),
        wire::Task::Cover => Some(Task::Cover),
        wire::Task::CleanUp => Some(Task::CleanUp),
    }
}

/// What hours are counted by.
pub fn driver(decoder: &mut Decoder<'_>, field: &'static str, number: i32) -> Option<Driver> {
    decoder.choice(field, number, |number| {
        match wire::Driver::try_from(number).ok()? {
            wire::Driver::Unspecified => None,
            wire::Driver::Batch => Some(Driver::Batch),
            wire::Driver::M3Placed => Some(Driver::M3Placed),
            wire::Driver::M3Mixed => Some(Driver::M3Mixed),
            wire::Driver::M3Bank => Some(Driver::M3Bank),
            wire::Driver::M3Loose => Some(Driver::M3Loose),
            wire::Driver::M3Loose25m => Some(Driver::M3Loose25m),
            wire::Driver::M2Face => Some(Driver::M2Face),
            wire::Driver::Lift => Some(Driver::Lift),
            wire::Driver::Opening => Some(Driver::Opening),
            wire::Driver::Job => Some(Driver::Job),
        }
    })
}

/// Where a material comes from.
pub fn supply(decoder: &mut Decoder<'_>, field: &'static str, number: i32) -> Option<Supply> {
    decoder.choice(field, number, |number| {
        match wire::Supply::try_from(number).ok()? {
            wire::Supply::Unspecified => None,
            wire::Supply::Bought => Some(Supply::Bought),
            wire::Supply::Site => Some(Supply::Site),
        }
    })
}

/// How money is rounded; half away from zero when unspecified.
pub fn rounding(decoder: &mut Decoder<'_>, field: &'static str, number: i32) -> Option<Rounding> {
    decoder.choice(field, number, |number| {
        match wire::Rounding::try_from(number).ok()? {
            wire::Rounding::Unspecified | wire::Rounding::HalfAwayFromZero => {
                Some(Rounding::HalfAwayFromZero)
            }
            wire::Rounding::HalfToEven => Some(Rounding::HalfToEven),
        }
    })
}

/// Where tax is rounded; on the invoice when unspecified.
pub fn tax_basis(decoder: &mut Decoder<'_>, field: &'static str, number: i32) -> Option<TaxBasis> {
    decoder.choice(field, number, |number| {
        match wire::TaxBasis::try_from(number).ok()? {
            wire::TaxBasis::Unspecified | wire::TaxBasis::Invoice => Some(TaxBasis::Invoice),
            wire::TaxBasis::Line => Some(TaxBasis::Line),
        }
    })
}

/// Which face leans; both when unspecified.
pub fn batter(decoder: &mut Decoder<'_>, field: &'static str, number: i32) -> Option<Batter> {
    decoder.choice(field, number, |number| {
        match wire::Batter::try_from(number).ok()? {
            wire::Batter::Unspecified | wire::Batter::Both => Some(Batter::Both),
            wire::Batter::Outer => Some(Batter::Outer),
            wire::Batter::Inner => Some(Batter::Inner),
        }
    })
}

/// A face of a wall.
pub fn face(decoder: &mut Decoder<'_>, field: &'static str, number: i32) -> Option<Face> {
    decoder.choice(field, number, |number| {
        match wire::Face::try_from(number).ok()? {
            wire::Face::Unspecified => None,
            wire::Face::Inner => Some(Face::Inner),
            wire::Face::Outer => Some(Face::Outer),
        }
    })
}
