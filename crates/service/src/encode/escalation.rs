//! A price adjusted by published indices.

use hod_domain::escalation::Escalation;
use hod_units::canonical;
use hod_wire::v1 as wire;

use super::basis::basis;

/// The price of a quote, adjusted.
pub fn escalation(escalation: &Escalation, quote: String) -> wire::Escalation {
    wire::Escalation {
        quote,
        currency_code: escalation.price.currency().code().to_owned(),
        price_before_tax: escalation.price.fixed(),
        factor: canonical(escalation.factor),
        adjusted_price_before_tax: escalation.adjusted.fixed(),
        difference: escalation.difference.fixed(),
        percent: canonical(escalation.percent),
        basis: Some(basis(&escalation.basis)),
    }
}
