//! The closed lists of the domain, as the wire has them.

use hod_domain::basis::Joint;
use hod_domain::estimate::LineKind;
use hod_domain::job::{ScopeHolder, WallSystem};
use hod_domain::material::Supply;
use hod_domain::mix::{DensityEvidence, PartMeasure, Purpose};
use hod_domain::quote::{Milestone, QuoteState};
use hod_domain::region::{PricePart, TaxBasis};
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
        Unit::Mm => wire::Unit::Mm,
        Unit::Load => wire::Unit::Load,
        Unit::Km => wire::Unit::Km,
        Unit::Day => wire::Unit::Day,
        Unit::Week => wire::Unit::Week,
        Unit::Trip => wire::Unit::Trip,
        Unit::Visit => wire::Unit::Visit,
        Unit::Night => wire::Unit::Night,
        Unit::PersonDay => wire::Unit::PersonDay,
        Unit::Sum => wire::Unit::Sum,
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
        LineKind::Subcontract => wire::LineKind::Subcontract,
        LineKind::Fee => wire::LineKind::Fee,
        LineKind::Travel => wire::LineKind::Travel,
        LineKind::ProvisionalSum => wire::LineKind::ProvisionalSum,
        LineKind::Income => wire::LineKind::Income,
        LineKind::Discount => wire::LineKind::Discount,
        LineKind::MinimumCharge => wire::LineKind::MinimumCharge,
        LineKind::Rounding => wire::LineKind::Rounding,
    };
    kind.into()
}

/// When a payment falls due.
pub fn milestone(milestone: Milestone) -> i32 {
    let milestone = match milestone {
        Milestone::Acceptance => wire::Milestone::Acceptance,
        Milestone::Start => wire::Milestone::Start,
        Milestone::Lifts => wire::Milestone::Lifts,
        Milestone::WallPlate => wire::Milestone::WallPlate,
        Milestone::Roofed => wire::Milestone::Roofed,
        Milestone::Plastered => wire::Milestone::Plastered,
        Milestone::Completion => wire::Milestone::Completion,
    };
    milestone.into()
}

/// Where a quote stands.
pub fn quote_state(state: QuoteState) -> i32 {
    let state = match state {
        QuoteState::Issued => wire::QuoteState::Issued,
        QuoteState::Accepted => wire::QuoteState::Accepted,
        QuoteState::Declined => wire::QuoteState::Declined,
        QuoteState::Expired => wire::QuoteState::Expired,
        QuoteState::Superseded => wire::QuoteState::Superseded,
    };
    state.into()
}

/// Who does a part of the building.
pub fn scope_holder(holder: ScopeHolder) -> i32 {
    let holder = match holder {
        ScopeHolder::Ours => wire::ScopeHolder::Ours,
        ScopeHolder::ByOthers => wire::ScopeHolder::ByOthers,
        ScopeHolder::Excluded => wire::ScopeHolder::Excluded,
    };
    holder.into()
}

/// A part of a price.
pub fn price_part(part: PricePart) -> i32 {
    let part = match part {
        PricePart::Material => wire::PricePart::Material,
        PricePart::Labour => wire::PricePart::Labour,
        PricePart::Equipment => wire::PricePart::Equipment,
        PricePart::Subcontract => wire::PricePart::Subcontract,
        PricePart::Fee => wire::PricePart::Fee,
        PricePart::Travel => wire::PricePart::Travel,
        PricePart::ProvisionalSum => wire::PricePart::ProvisionalSum,
        PricePart::Other => wire::PricePart::Other,
        PricePart::OnCost => wire::PricePart::OnCost,
    };
    part.into()
}

/// What a wall is built of.
pub fn wall_system(system: WallSystem) -> i32 {
    let system = match system {
        WallSystem::Cob => wire::WallSystem::Cob,
        WallSystem::Adobe => wire::WallSystem::Adobe,
        WallSystem::RammedEarth => wire::WallSystem::RammedEarth,
        WallSystem::LightStrawClay => wire::WallSystem::LightStrawClay,
        WallSystem::StrawBale => wire::WallSystem::StrawBale,
        WallSystem::WattleAndDaub => wire::WallSystem::WattleAndDaub,
    };
    system.into()
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
        Task::Strip => wire::Task::Strip,
        Task::Trench => wire::Task::Trench,
        Task::FillTrench => wire::Task::FillTrench,
        Task::LayStem => wire::Task::LayStem,
        Task::Mould => wire::Task::Mould,
        Task::SetForm => wire::Task::SetForm,
        Task::Ram => wire::Task::Ram,
        Task::Tamp => wire::Task::Tamp,
        Task::Stack => wire::Task::Stack,
        Task::Trim => wire::Task::Trim,
        Task::Lay => wire::Task::Lay,
        Task::Weave => wire::Task::Weave,
        Task::Daub => wire::Task::Daub,
        Task::FormArch => wire::Task::FormArch,
        Task::Bury => wire::Task::Bury,
        Task::Plaster => wire::Task::Plaster,
        Task::Wash => wire::Task::Wash,
        Task::LayFloor => wire::Task::LayFloor,
        Task::BuildOven => wire::Task::BuildOven,
        Task::Tip => wire::Task::Tip,
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
        Driver::Piece => wire::Driver::Piece,
        Driver::M2Panel => wire::Driver::M2Panel,
        Driver::M2Coat => wire::Driver::M2Coat,
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

/// What a mix is for.
pub fn purpose(purpose: Purpose) -> i32 {
    let purpose = match purpose {
        Purpose::Structural => wire::MixPurpose::Structural,
        Purpose::Insulating => wire::MixPurpose::Insulating,
        Purpose::HeatStoring => wire::MixPurpose::HeatStoring,
        Purpose::BasePlaster => wire::MixPurpose::BasePlaster,
        Purpose::FinishPlaster => wire::MixPurpose::FinishPlaster,
        Purpose::Wash => wire::MixPurpose::Wash,
        Purpose::Mortar => wire::MixPurpose::Mortar,
        Purpose::Floor => wire::MixPurpose::Floor,
        Purpose::Fill => wire::MixPurpose::Fill,
    };
    purpose.into()
}

/// What the parts of a mix are measured in.
pub fn part_measure(measure: PartMeasure) -> i32 {
    let measure = match measure {
        PartMeasure::Bucket => wire::PartMeasure::Bucket,
        PartMeasure::Wheelbarrow => wire::PartMeasure::Wheelbarrow,
        PartMeasure::TractorLoad => wire::PartMeasure::TractorLoad,
        PartMeasure::MixerDrum => wire::PartMeasure::MixerDrum,
    };
    measure.into()
}

/// Where a density comes from.
pub fn density_evidence(evidence: DensityEvidence) -> i32 {
    let evidence = match evidence {
        DensityEvidence::Assumed => wire::DensityEvidence::Assumed,
        DensityEvidence::Measured => wire::DensityEvidence::Measured,
    };
    evidence.into()
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
        assert_eq!(returning(28, read::unit, unit), 27);
        assert_eq!(returning(31, read::task, task), 30);
        assert_eq!(returning(14, read::driver, driver), 13);
        assert_eq!(returning(10, read::purpose, purpose), 9);
        assert_eq!(returning(5, read::part_measure, part_measure), 4);
        assert_eq!(returning(3, read::density_evidence, density_evidence), 2);
        assert_eq!(returning(3, read::supply, supply), 2);
        assert_eq!(returning(7, read::wall_system, wall_system), 6);
        assert_eq!(returning(3, read::rounding, rounding), 2);
        assert_eq!(returning(3, read::tax_basis, tax_basis), 2);
        assert_eq!(returning(8, read::milestone, milestone), 7);
        assert_eq!(returning(6, read::quote_state, quote_state), 5);
        assert_eq!(returning(17, read::line_kind, line_kind), 16);
        assert_eq!(returning(4, read::scope_holder, scope_holder), 3);
        assert_eq!(returning(10, read::price_part, price_part), 9);
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
        assert_eq!(
            read::purpose(&mut decoder, "purpose", 0),
            Some(Purpose::Structural)
        );
        assert_eq!(
            read::part_measure(&mut decoder, "measure", 0),
            Some(PartMeasure::Bucket)
        );
        assert_eq!(
            read::density_evidence(&mut decoder, "density_evidence", 0),
            Some(DensityEvidence::Assumed)
        );
        assert!(decoder.is_clean());
        assert_eq!(read::unit(&mut decoder, "unit", 0), None);
        assert_eq!(read::task(&mut decoder, "task", 0), None);
        assert_eq!(read::driver(&mut decoder, "driver", 0), None);
        assert_eq!(read::supply(&mut decoder, "supply", 0), None);
        assert_eq!(decoder.violations().len(), 4);
    }
}
