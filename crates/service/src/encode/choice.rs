//! The closed lists of the domain, as the wire has them.

use hod_domain::basis::Joint;
use hod_domain::estimate::LineKind;
use hod_domain::material::Supply;
use hod_domain::region::TaxBasis;
use hod_domain::unit::Unit;
use hod_domain::work::{Driver, Task};
use hod_units::Rounding;
use hod_wire::v1 as wire;

/// What a quantity is counted in.
pub fn unit(unit: Unit) -> i32 {
    let unit = match unit {
        Unit::M => wire::Unit::M,
        Unit::M2 => wire::Unit::M2,
        Unit::M3 => wire::Unit::M3,
        Unit::L => wire::Unit::L,
        Unit::Kg => wire::Unit::Kg,
        Unit::T => wire::Unit::T,
        Unit::H => wire::Unit::H,
        Unit::Bale => wire::Unit::Bale,
        Unit::Bag => wire::Unit::Bag,
        Unit::Roll => wire::Unit::Roll,
        Unit::Each => wire::Unit::Each,
        Unit::Batch => wire::Unit::Batch,
        Unit::Lift => wire::Unit::Lift,
        Unit::Percent => wire::Unit::Percent,
        Unit::Money => wire::Unit::Money,
        Unit::Number => wire::Unit::Number,
        Unit::KgPerM3 => wire::Unit::KgPerM3,
    };
    unit.into()
}

/// How a term joins what stands before it.
pub fn joint(joint: Joint) -> i32 {
    let joint = match joint {
        Joint::Start => wire::Joint::Start,
        Joint::Plus => wire::Joint::Plus,
        Joint::Less => wire::Joint::Less,
        Joint::Times => wire::Joint::Times,
        Joint::Over => wire::Joint::Over,
        Joint::PlusPercent => wire::Joint::PlusPercent,
        Joint::PercentOf => wire::Joint::PercentOf,
    };
    joint.into()
}

/// What a line is for.
pub fn line_kind(kind: LineKind) -> i32 {
    let kind = match kind {
        LineKind::Material => wire::LineKind::Material,
        LineKind::Labour => wire::LineKind::Labour,
        LineKind::Equipment => wire::LineKind::Equipment,
        LineKind::Other => wire::LineKind::Other,
        LineKind::Overhead => wire::LineKind::Overhead,
        LineKind::Contingency => wire::LineKind::Contingency,
        LineKind::Profit => wire::LineKind::Profit,
        LineKind::Tax => wire::LineKind::Tax,
    };
    kind.into()
}

/// What is done.
pub fn task(task: Task) -> i32 {
    let task = match task {
        Task::SetUp => wire::Task::SetUp,
        Task::Dig => wire::Task::Dig,
        Task::Screen => wire::Task::Screen,
        Task::Haul => wire::Task::Haul,
        Task::Mix => wire::Task::Mix,
        Task::Place => wire::Task::Place,
        Task::Pare => wire::Task::Pare,
        Task::SetOpening => wire::Task::SetOpening,
        Task::Cover => wire::Task::Cover,
        Task::CleanUp => wire::Task::CleanUp,
    };
    task.into()
}

/// What hours are counted by.
pub fn driver(driver: Driver) -> i32 {
    let driver = match driver {
        Driver::Batch => wire::Driver::Batch,
        Driver::M3Placed => wire::Driver::M3Placed,
        Driver::M3Mixed => wire::Driver::M3Mixed,
        Driver::M3Bank => wire::Driver::M3Bank,
        Driver::M3Loose => wire::Driver::M3Loose,
        Driver::M3Loose25m => wire::Driver::M3Loose25m,
        Driver::M2Face => wire::Driver::M2Face,
        Driver::Lift => wire::Driver::Lift,
        Driver::Opening => wire::Driver::Opening,
        Driver::Job => wire::Driver::Job,
    };
    driver.into()
}

/// Where a material comes from.
pub fn supply(supply: Supply) -> i32 {
    let supply = match supply {
        Supply::Bought => wire::Supply::Bought,
        Supply::Site => wire::Supply::Site,
    };
    supply.into()
}

/// How money is rounded. Money is never cut off, so the third way of rounding does not occur in a region.
pub fn rounding(rounding: Rounding) -> i32 {
    let rounding = match rounding {
        Rounding::HalfAwayFromZero => wire::Rounding::HalfAwayFromZero,
        Rounding::HalfToEven => wire::Rounding::HalfToEven,
        Rounding::Down => wire::Rounding::Unspecified,
    };
    rounding.into()
}

/// Where tax is rounded.
pub fn tax_basis(basis: TaxBasis) -> i32 {
    let basis = match basis {
        TaxBasis::Line => wire::TaxBasis::Line,
        TaxBasis::Invoice => wire::TaxBasis::Invoice,
    };
    basis.into()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::decode::{Decoder, choice as read};

    /// How many numbers of a list come back as they went in; every number below `end` must be known.
    fn returning<T>(
        end: i32,
        read: impl Fn(&mut Decoder<'_>, &'static str, i32) -> Option<T>,
        tell: impl Fn(T) -> i32,
    ) -> usize {
        let same = |number: &i32| {
            let value = read(&mut Decoder::new(), "field", *number).expect("a known number");
            tell(value) == *number
        };
        assert!(
            read(&mut Decoder::new(), "field", end).is_none(),
            "{end} is beyond the list"
        );
        (1..end).filter(same).count()
    }

    #[test]
    fn every_choice_that_is_read_is_told_as_the_same() {
        assert_eq!(returning(18, read::unit, unit), 17);
        assert_eq!(returning(11, read::task, task), 10);
        assert_eq!(returning(11, read::driver, driver), 10);
        assert_eq!(returning(3, read::supply, supply), 2);
        assert_eq!(returning(3, read::rounding, rounding), 2);
        assert_eq!(returning(3, read::tax_basis, tax_basis), 2);
    }

    #[test]
    fn what_is_unspecified_is_refused_or_has_the_meaning_that_its_proto_states() {
        let mut decoder = Decoder::new();
        assert_eq!(
            read::rounding(&mut decoder, "rounding", 0),
            Some(Rounding::HalfAwayFromZero)
        );
        assert_eq!(
            read::tax_basis(&mut decoder, "tax_basis", 0),
            Some(TaxBasis::Invoice)
        );
        assert!(decoder.is_clean());
        assert_eq!(read::unit(&mut decoder, "unit", 0), None);
        assert_eq!(read::task(&mut decoder, "task", 0), None);
        assert_eq!(read::driver(&mut decoder, "driver", 0), None);
        assert_eq!(read::supply(&mut decoder, "supply", 0), None);
        assert_eq!(decoder.violations().len(), 4);
    }
}
