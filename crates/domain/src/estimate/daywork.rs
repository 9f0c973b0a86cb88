//! Daywork rates: what an hour of every grade that works costs the client when work is paid by the hour.

use hod_units::Money;

use super::DayworkRate;
use super::price_chain::LoadedRate;
use crate::basis::{Basis, Joint, Term};
use crate::build_up::InForce;
use crate::unit::Unit;

/// The rate of each grade, to the minor unit; `None` on overflow.
///
/// 21.25 an hour loaded and 40 % on top is 29.75.
pub(super) fn rates<'a>(
    loaded: impl Iterator<Item = &'a LoadedRate>,
    in_force: &InForce<'_>,
) -> Option<Vec<DayworkRate>> {
    let on_top = in_force.build_up().daywork.percent();
    let source = in_force.source(|change| &change.daywork);
    let rate = |loaded: &LoadedRate| {
        let basis = Basis::of([
            Term::new(
                Joint::Start,
                loaded.amount,
                Unit::Money,
                "loaded rate of an hour",
                &loaded.source,
            ),
            Term::new(
                Joint::PlusPercent,
                on_top,
                Unit::Percent,
                "for daywork",
                &source,
            ),
        ]);
        let exact = Money::new(basis.work()?, in_force.currency());
        Some(DayworkRate {
            grade: loaded.grade.clone(),
            rate: exact.rounded(in_force.rounding()),
            basis: basis.to("to the currency's minor unit"),
        })
    };
    loaded.map(rate).collect()
}
