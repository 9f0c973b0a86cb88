//! How a figure came about.

use hod_domain::basis::{Basis, Term};
use hod_units::canonical;
use hod_wire::v1 as wire;

use super::choice;

/// A basis with its terms in order.
pub fn basis(basis: &Basis) -> wire::Basis {
    wire::Basis {
        terms: basis.terms.iter().map(term).collect(),
        rounding: String::from(&*basis.rounding),
    }
}

/// Texts are copied and not formatted: there are hundreds of them in an estimate.
fn term(term: &Term) -> wire::BasisTerm {
    wire::BasisTerm {
        joint: choice::joint(term.joint),
        value: canonical(term.value),
        unit: choice::unit(term.unit),
        label: String::from(&*term.label),
        source: String::from(&*term.source),
    }
}
