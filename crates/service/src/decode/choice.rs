//! The closed lists of the wire, read into those of the domain. An unspecified value is refused here or given the
//! meaning that its proto states; a number that the list does not have is always refused.

use hod_domain::estimate::LineKind;
use hod_domain::geometry::{Batter, Face};
use hod_domain::job::{BaleLay, CostDriver, CostKind, ScopeHolder, WallSystem};
use hod_domain::material::Supply;
use hod_domain::mix::{DensityEvidence, PartMeasure, Purpose};
use hod_domain::quote::{Milestone, QuoteState};
use hod_domain::region::{PricePart, TaxBasis};
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
            wire::Unit::Mm => Some(Unit::Mm),
            wire::Unit::Load => Some(Unit::Load),
            wire::Unit::Km => Some(Unit::Km),
            wire::Unit::Day => Some(Unit::Day),
            wire::Unit::Week => Some(Unit::Week),
            wire::Unit::Trip => Some(Unit::Trip),
            wire::Unit::Visit => Some(Unit::Visit),
            wire::Unit::Night => Some(Unit::Night),
            wire::Unit::PersonDay => Some(Unit::PersonDay),
            wire::Unit::Sum => Some(Unit::Sum),
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
        wire::Task::Strip => Some(Task::Strip),
        wire::Task::Trench => Some(Task::Trench),
        wire::Task::FillTrench => Some(Task::FillTrench),
        wire::Task::LayStem => Some(Task::LayStem),
        wire::Task::Mould => Some(Task::Mould),
        wire::Task::SetForm => Some(Task::SetForm),
        wire::Task::Ram => Some(Task::Ram),
        wire::Task::Tamp => Some(Task::Tamp),
        wire::Task::Stack => Some(Task::Stack),
        wire::Task::Trim => Some(Task::Trim),
        wire::Task::Lay => Some(Task::Lay),
        wire::Task::Weave => Some(Task::Weave),
        wire::Task::Daub => Some(Task::Daub),
        wire::Task::FormArch => Some(Task::FormArch),
        wire::Task::Bury => Some(Task::Bury),
        wire::Task::Plaster => Some(Task::Plaster),
        wire::Task::Wash => Some(Task::Wash),
        wire::Task::LayFloor => Some(Task::LayFloor),
        wire::Task::BuildOven => Some(Task::BuildOven),
        wire::Task::Tip => Some(Task::Tip),
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
            wire::Driver::Piece => Some(Driver::Piece),
            wire::Driver::M2Panel => Some(Driver::M2Panel),
            wire::Driver::M2Coat => Some(Driver::M2Coat),
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

/// What a mix is for; earth that stands when unspecified.
pub fn purpose(decoder: &mut Decoder<'_>, field: &'static str, number: i32) -> Option<Purpose> {
    decoder.choice(field, number, |number| {
        match wire::MixPurpose::try_from(number).ok()? {
            wire::MixPurpose::Unspecified | wire::MixPurpose::Structural => {
                Some(Purpose::Structural)
            }
            wire::MixPurpose::Insulating => Some(Purpose::Insulating),
            wire::MixPurpose::HeatStoring => Some(Purpose::HeatStoring),
            wire::MixPurpose::BasePlaster => Some(Purpose::BasePlaster),
            wire::MixPurpose::FinishPlaster => Some(Purpose::FinishPlaster),
            wire::MixPurpose::Wash => Some(Purpose::Wash),
            wire::MixPurpose::Mortar => Some(Purpose::Mortar),
            wire::MixPurpose::Floor => Some(Purpose::Floor),
            wire::MixPurpose::Fill => Some(Purpose::Fill),
        }
    })
}

/// What the parts of a mix are measured in; buckets when unspecified.
pub fn part_measure(
    decoder: &mut Decoder<'_>,
    field: &'static str,
    number: i32,
) -> Option<PartMeasure> {
    decoder.choice(field, number, |number| {
        match wire::PartMeasure::try_from(number).ok()? {
            wire::PartMeasure::Unspecified | wire::PartMeasure::Bucket => Some(PartMeasure::Bucket),
            wire::PartMeasure::Wheelbarrow => Some(PartMeasure::Wheelbarrow),
            wire::PartMeasure::TractorLoad => Some(PartMeasure::TractorLoad),
            wire::PartMeasure::MixerDrum => Some(PartMeasure::MixerDrum),
        }
    })
}

/// Where a density comes from; assumed when unspecified.
pub fn density_evidence(
    decoder: &mut Decoder<'_>,
    field: &'static str,
    number: i32,
) -> Option<DensityEvidence> {
    decoder.choice(
        field,
        number,
        |number| match wire::DensityEvidence::try_from(number).ok()? {
            wire::DensityEvidence::Unspecified | wire::DensityEvidence::Assumed => {
                Some(DensityEvidence::Assumed)
            }
            wire::DensityEvidence::Measured => Some(DensityEvidence::Measured),
        },
    )
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

/// How money is rounded; unspecified means that it is not said.
pub fn rounding_if_any(
    decoder: &mut Decoder<'_>,
    field: &'static str,
    number: i32,
) -> Option<Option<Rounding>> {
    if number == 0 {
        Some(None)
    } else {
        rounding(decoder, field, number).map(Some)
    }
}

/// Where tax is rounded; unspecified means that it is not said.
pub fn tax_basis_if_any(
    decoder: &mut Decoder<'_>,
    field: &'static str,
    number: i32,
) -> Option<Option<TaxBasis>> {
    if number == 0 {
        Some(None)
    } else {
        tax_basis(decoder, field, number).map(Some)
    }
}

/// A part of a price; unspecified is refused.
pub fn price_part(
    decoder: &mut Decoder<'_>,
    field: &'static str,
    number: i32,
) -> Option<PricePart> {
    decoder.choice(field, number, |number| {
        match wire::PricePart::try_from(number).ok()? {
            wire::PricePart::Unspecified => None,
            wire::PricePart::Material => Some(PricePart::Material),
            wire::PricePart::Labour => Some(PricePart::Labour),
            wire::PricePart::Equipment => Some(PricePart::Equipment),
            wire::PricePart::Subcontract => Some(PricePart::Subcontract),
            wire::PricePart::Fee => Some(PricePart::Fee),
            wire::PricePart::Travel => Some(PricePart::Travel),
            wire::PricePart::ProvisionalSum => Some(PricePart::ProvisionalSum),
            wire::PricePart::Other => Some(PricePart::Other),
            wire::PricePart::OnCost => Some(PricePart::OnCost),
        }
    })
}

/// Who does a part of the building; unspecified is refused.
pub fn scope_holder(
    decoder: &mut Decoder<'_>,
    field: &'static str,
    number: i32,
) -> Option<ScopeHolder> {
    decoder.choice(field, number, |number| {
        match wire::ScopeHolder::try_from(number).ok()? {
            wire::ScopeHolder::Unspecified => None,
            wire::ScopeHolder::Ours => Some(ScopeHolder::Ours),
            wire::ScopeHolder::ByOthers => Some(ScopeHolder::ByOthers),
            wire::ScopeHolder::Excluded => Some(ScopeHolder::Excluded),
        }
    })
}

/// What kind of cost it is; unspecified is refused.
pub fn cost_kind(decoder: &mut Decoder<'_>, field: &'static str, number: i32) -> Option<CostKind> {
    decoder.choice(field, number, |number| {
        match wire::CostKind::try_from(number).ok()? {
            wire::CostKind::Unspecified => None,
            wire::CostKind::Subcontract => Some(CostKind::Subcontract),
            wire::CostKind::Fee => Some(CostKind::Fee),
            wire::CostKind::Hire => Some(CostKind::Hire),
            wire::CostKind::Travel => Some(CostKind::Travel),
            wire::CostKind::Lodging => Some(CostKind::Lodging),
            wire::CostKind::WeatherCover => Some(CostKind::WeatherCover),
            wire::CostKind::ProvisionalSum => Some(CostKind::ProvisionalSum),
            wire::CostKind::Keep => Some(CostKind::Keep),
            wire::CostKind::WorkshopIncome => Some(CostKind::WorkshopIncome),
            wire::CostKind::Other => Some(CostKind::Other),
        }
    })
}

/// What a cost comes back with; once when unspecified.
pub fn cost_driver(
    decoder: &mut Decoder<'_>,
    field: &'static str,
    number: i32,
) -> Option<CostDriver> {
    decoder.choice(field, number, |number| {
        match wire::CostDriver::try_from(number).ok()? {
            wire::CostDriver::Unspecified | wire::CostDriver::Once => Some(CostDriver::Once),
            wire::CostDriver::PerWeek => Some(CostDriver::PerWeek),
            wire::CostDriver::PerDay => Some(CostDriver::PerDay),
            wire::CostDriver::PerTrip => Some(CostDriver::PerTrip),
            wire::CostDriver::PerVisit => Some(CostDriver::PerVisit),
        }
    })
}

/// When a payment falls due; unspecified is refused.
pub fn milestone(decoder: &mut Decoder<'_>, field: &'static str, number: i32) -> Option<Milestone> {
    decoder.choice(field, number, |number| {
        match wire::Milestone::try_from(number).ok()? {
            wire::Milestone::Unspecified => None,
            wire::Milestone::Acceptance => Some(Milestone::Acceptance),
            wire::Milestone::Start => Some(Milestone::Start),
            wire::Milestone::Lifts => Some(Milestone::Lifts),
            wire::Milestone::WallPlate => Some(Milestone::WallPlate),
            wire::Milestone::Roofed => Some(Milestone::Roofed),
            wire::Milestone::Plastered => Some(Milestone::Plastered),
            wire::Milestone::Completion => Some(Milestone::Completion),
        }
    })
}

/// Where a quote stands; unspecified is refused.
pub fn quote_state(
    decoder: &mut Decoder<'_>,
    field: &'static str,
    number: i32,
) -> Option<QuoteState> {
    decoder.choice(field, number, |number| {
        match wire::QuoteState::try_from(number).ok()? {
            wire::QuoteState::Unspecified => None,
            wire::QuoteState::Issued => Some(QuoteState::Issued),
            wire::QuoteState::Accepted => Some(QuoteState::Accepted),
            wire::QuoteState::Declined => Some(QuoteState::Declined),
            wire::QuoteState::Expired => Some(QuoteState::Expired),
            wire::QuoteState::Superseded => Some(QuoteState::Superseded),
        }
    })
}

/// What a line of an estimate is for; unspecified is refused.
pub fn line_kind(decoder: &mut Decoder<'_>, field: &'static str, number: i32) -> Option<LineKind> {
    decoder.choice(field, number, |number| {
        match wire::LineKind::try_from(number).ok()? {
            wire::LineKind::Unspecified => None,
            wire::LineKind::Material => Some(LineKind::Material),
            wire::LineKind::Labour => Some(LineKind::Labour),
            wire::LineKind::Equipment => Some(LineKind::Equipment),
            wire::LineKind::Other => Some(LineKind::Other),
            wire::LineKind::Overhead => Some(LineKind::Overhead),
            wire::LineKind::Contingency => Some(LineKind::Contingency),
            wire::LineKind::Profit => Some(LineKind::Profit),
            wire::LineKind::Tax => Some(LineKind::Tax),
            wire::LineKind::Subcontract => Some(LineKind::Subcontract),
            wire::LineKind::Fee => Some(LineKind::Fee),
            wire::LineKind::Travel => Some(LineKind::Travel),
            wire::LineKind::ProvisionalSum => Some(LineKind::ProvisionalSum),
            wire::LineKind::Income => Some(LineKind::Income),
            wire::LineKind::Discount => Some(LineKind::Discount),
            wire::LineKind::MinimumCharge => Some(LineKind::MinimumCharge),
            wire::LineKind::Rounding => Some(LineKind::Rounding),
        }
    })
}

/// What a wall is built of; unspecified is refused.
pub fn wall_system(
    decoder: &mut Decoder<'_>,
    field: &'static str,
    number: i32,
) -> Option<WallSystem> {
    decoder.choice(field, number, |number| {
        match wire::WallSystem::try_from(number).ok()? {
            wire::WallSystem::Unspecified => None,
            wire::WallSystem::Cob => Some(WallSystem::Cob),
            wire::WallSystem::Adobe => Some(WallSystem::Adobe),
            wire::WallSystem::RammedEarth => Some(WallSystem::RammedEarth),
            wire::WallSystem::LightStrawClay => Some(WallSystem::LightStrawClay),
            wire::WallSystem::StrawBale => Some(WallSystem::StrawBale),
            wire::WallSystem::WattleAndDaub => Some(WallSystem::WattleAndDaub),
        }
    })
}

/// What a wall is built of; unspecified means that it does not say.
pub fn wall_system_if_any(
    decoder: &mut Decoder<'_>,
    field: &'static str,
    number: i32,
) -> Option<Option<WallSystem>> {
    if number == 0 {
        Some(None)
    } else {
        wall_system(decoder, field, number).map(Some)
    }
}

/// How a bale lies; flat when unspecified.
pub fn bale_lay(decoder: &mut Decoder<'_>, field: &'static str, number: i32) -> Option<BaleLay> {
    decoder.choice(field, number, |number| {
        match wire::BaleLay::try_from(number).ok()? {
            wire::BaleLay::Unspecified | wire::BaleLay::Flat => Some(BaleLay::Flat),
            wire::BaleLay::Edge => Some(BaleLay::Edge),
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
