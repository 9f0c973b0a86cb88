//! From direct cost to price, as a region or an estimate has it.

use hod_domain::region::{Allowance, AllowanceAmount, BuildUp, Discount, Profit, Tax};
use hod_units::{Share, canonical};
use hod_wire::v1 as wire;

use super::{choice, number_if_any};

/// A build-up. Its only tax, when it is on all of the price, stands as such; several stand in their list.
pub fn build_up(build_up: &BuildUp) -> wire::BuildUp {
    let (profit, profit_basis) = match build_up.profit {
        Profit::MarkupOnCost(share) => (share, wire::ProfitBasis::MarkupOnCost),
        Profit::MarginOnPrice(share) => (share, wire::ProfitBasis::MarginOnPrice),
    };
    let (discount_percent, discount_amount) = match build_up.discount {
        Discount::None => (String::new(), String::new()),
        Discount::Of(share) => (percent(share), String::new()),
        Discount::Fixed(amount) => (String::new(), canonical(amount)),
    };
    let (tax_label, tax_percent, taxes) = match &build_up.taxes.each[..] {
        [only] if only.parts.is_empty() => (only.label.clone(), percent(only.share), Vec::new()),
        several => (
            String::new(),
            String::new(),
            several.iter().map(tax).collect(),
        ),
    };
    wire::BuildUp {
        site_overhead_percent: percent(build_up.site_overhead),
        firm_overhead_percent: percent(build_up.firm_overhead),
        contingency_percent: percent(build_up.contingency),
        profit_percent: percent(profit),
        profit_basis: profit_basis.into(),
        tax_label,
        tax_percent,
        tax_basis: choice::tax_basis(build_up.taxes.basis),
        allowances: build_up.allowances.iter().map(allowance).collect(),
        taxes,
        discount_percent,
        discount_amount,
        minimum_charge: number_if_any(build_up.minimum_charge),
        round_price_to: number_if_any(build_up.round_price_to),
        daywork_percent: if build_up.daywork == Share::ZERO {
            String::new()
        } else {
            percent(build_up.daywork)
        },
    }
}

fn percent(share: Share) -> String {
    canonical(share.percent())
}

fn tax(tax: &Tax) -> wire::Tax {
    wire::Tax {
        label: tax.label.clone(),
        percent: percent(tax.share),
        parts: tax.parts.iter().copied().map(choice::price_part).collect(),
    }
}

fn allowance(allowance: &Allowance) -> wire::Allowance {
    let label = allowance.label.clone();
    match &allowance.amount {
        AllowanceAmount::Of(share, parts) => wire::Allowance {
            label,
            percent: percent(*share),
            parts: parts.iter().copied().map(choice::price_part).collect(),
            amount: String::new(),
        },
        AllowanceAmount::Fixed(amount) => wire::Allowance {
            label,
            amount: canonical(*amount),
            ..Default::default()
        },
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::decode::{self, Decoder};

    #[test]
    fn a_build_up_that_is_read_is_told_as_the_same() {
        let tax = |label: &str, parts: &[wire::PricePart]| wire::Tax {
            label: label.into(),
            percent: "5.5".into(),
            parts: parts.iter().map(|part| (*part).into()).collect(),
        };
        let whole = wire::BuildUp {
            site_overhead_percent: "8".into(),
            firm_overhead_percent: "5".into(),
            contingency_percent: "10".into(),
            profit_percent: "12.5".into(),
            profit_basis: wire::ProfitBasis::MarginOnPrice.into(),
            tax_basis: wire::TaxBasis::Line.into(),
            allowances: vec![
                wire::Allowance {
                    label: "small tools".into(),
                    percent: "2".into(),
                    parts: vec![wire::PricePart::Labour.into()],
                    ..Default::default()
                },
                wire::Allowance {
                    label: "skip".into(),
                    amount: "180".into(),
                    ..Default::default()
                },
            ],
            taxes: vec![
                tax(
                    "reduced",
                    &[wire::PricePart::Labour, wire::PricePart::OnCost],
                ),
                tax("levy", &[]),
            ],
            discount_percent: "3".into(),
            minimum_charge: "900".into(),
            round_price_to: "10".into(),
            daywork_percent: "15".into(),
            ..Default::default()
        };
        let one_tax = wire::BuildUp {
            tax_label: "VAT".into(),
            tax_percent: "20".into(),
            taxes: Vec::new(),
            discount_percent: String::new(),
            discount_amount: "50".into(),
            ..whole.clone()
        };
        for wire in [whole, one_tax] {
            let read = decode::build_up(&mut Decoder::new(), &wire).expect("a build-up");
            assert_eq!(build_up(&read), wire);
        }
    }
}
