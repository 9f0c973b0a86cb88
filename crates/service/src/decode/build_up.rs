//! From direct cost to price: a region's build-up, and what a job says otherwise. Which steps there are is for the
//! middle.

use hod_domain::job::BuildUpChange;
use hod_domain::region::{
    Allowance, AllowanceAmount, BuildUp, Discount, PricePart, Profit, Tax, Taxes,
};
use hod_units::{Decimal, Share};
use hod_wire::v1 as wire;
use rust_decimal::dec;

use super::{Bounds, Decoder, choice};

const PERCENT: Bounds = Bounds::of(dec!(0), dec!(100), "%");

const DAYWORK: Bounds = Bounds::of(dec!(0), dec!(300), "%");

/// Money in a currency's main unit. More places than the minor unit has are rounded where it is reckoned with.
const MONEY: Bounds = Bounds {
    places: 4,
    ..Bounds::of(dec!(0), dec!(999999999), "")
};

/// What a price may be brought to a multiple of: above 0.
const MULTIPLE: Bounds = Bounds {
    places: 4,
    ..Bounds::of(dec!(0.0001), dec!(999999999), "")
};

/// Most characters of what a tax is called.
const TAX_LABEL_CHARACTERS_MAX: usize = 40;

/// Most characters of what an allowance is for.
const ALLOWANCE_LABEL_CHARACTERS_MAX: usize = 60;

/// Most allowances of a build-up.
const ALLOWANCES_MAX: usize = 20;

/// Most taxes of a build-up.
const TAXES_MAX: usize = 10;

/// Reads a region's build-up: what is empty is 0, or not there.
pub fn build_up<'a>(decoder: &mut Decoder<'a>, wire: &'a wire::BuildUp) -> Option<BuildUp> {
    let said = build_up_change(decoder, wire)?;
    let label = || wire.tax_label.clone();
    Some(BuildUp {
        site_overhead: said.site_overhead.unwrap_or(Share::ZERO),
        firm_overhead: said.firm_overhead.unwrap_or(Share::ZERO),
        contingency: said.contingency.unwrap_or(Share::ZERO),
        profit: said.profit.unwrap_or_default(),
        taxes: Taxes {
            each: said
                .taxes
                .unwrap_or_else(|| vec![only_tax(label(), Share::ZERO)]),
            basis: said.tax_basis.unwrap_or_default(),
        },
        allowances: said.allowances.unwrap_or_default(),
        discount: said.discount.unwrap_or_default(),
        minimum_charge: said.minimum_charge,
        round_price_to: said.round_price_to,
        daywork: said.daywork.unwrap_or(Share::ZERO),
    })
}

/// Reads what a job says otherwise: what is empty stays as the region has it.
pub fn build_up_change<'a>(
    decoder: &mut Decoder<'a>,
    wire: &'a wire::BuildUp,
) -> Option<BuildUpChange> {
    let site_overhead = percent(
        decoder,
        "site_overhead_percent",
        &wire.site_overhead_percent,
    );
    let firm_overhead = percent(
        decoder,
        "firm_overhead_percent",
        &wire.firm_overhead_percent,
    );
    let contingency = percent(decoder, "contingency_percent", &wire.contingency_percent);
    let profit = profit(decoder, wire);
    let taxes = taxes(decoder, wire);
    let tax_basis = choice::tax_basis_if_any(decoder, "tax_basis", wire.tax_basis);
    let sent = decoder.list("allowances", &wire.allowances, 0, ALLOWANCES_MAX);
    let allowances = decoder.each("allowances", sent, allowance);
    let discount = discount(decoder, wire);
    let minimum_charge = decoder.number_if_any("minimum_charge", &wire.minimum_charge, &MONEY);
    let round_price_to = decoder.number_if_any("round_price_to", &wire.round_price_to, &MULTIPLE);
    let daywork = decoder.number_if_any("daywork_percent", &wire.daywork_percent, &DAYWORK);
    Some(BuildUpChange {
        site_overhead: site_overhead?,
        firm_overhead: firm_overhead?,
        contingency: contingency?,
        profit: profit?,
        taxes: taxes?,
        tax_basis: tax_basis?,
        allowances: Some(allowances?).filter(|all| !all.is_empty()),
        discount: discount?,
        minimum_charge: minimum_charge?,
        round_price_to: round_price_to?,
        daywork: daywork?.map(Share::from_percent),
    })
}

fn percent(decoder: &mut Decoder<'_>, field: &'static str, text: &str) -> Option<Option<Share>> {
    let number = decoder.number_if_any(field, text, &PERCENT)?;
    Some(number.map(Share::from_percent))
}

fn profit(decoder: &mut Decoder<'_>, wire: &wire::BuildUp) -> Option<Option<Profit>> {
    let share = percent(decoder, "profit_percent", &wire.profit_percent);
    let of = decoder.choice("profit_basis", wire.profit_basis, |number| {
        match wire::ProfitBasis::try_from(number).ok()? {
            wire::ProfitBasis::Unspecified | wire::ProfitBasis::MarkupOnCost => {
                Some(Profit::MarkupOnCost as fn(Share) -> Profit)
            }
            wire::ProfitBasis::MarginOnPrice => Some(Profit::MarginOnPrice),
        }
    })?;
    Some(share?.map(of))
}

/// The taxes, or the only one: never both, since it could not be said which holds.
fn taxes<'a>(decoder: &mut Decoder<'a>, wire: &'a wire::BuildUp) -> Option<Option<Vec<Tax>>> {
    let label = decoder.text_if_any("tax_label", &wire.tax_label, TAX_LABEL_CHARACTERS_MAX);
    let share = percent(decoder, "tax_percent", &wire.tax_percent);
    let sent = decoder.list("taxes", &wire.taxes, 0, TAXES_MAX);
    let each = decoder.each("taxes", sent, tax);
    // A region without a tax has one of 0 %, which stands in nobody's way.
    let is_said = share.flatten().is_some_and(|share| share != Share::ZERO);
    if !wire.taxes.is_empty() && is_said {
        decoder.refuse(
            "tax_percent",
            "TWO_ANSWERS",
            "tax_percent and taxes are both given; give every tax in taxes and clear tax_percent, or the other way round",
        );
        return None;
    }
    decoder.each_once("taxes", "label", sent.iter().map(|tax| tax.label.as_str()));
    let (label, share, each) = (label?, share?, each?);
    if !each.is_empty() {
        return Some(Some(each));
    }
    Some(share.map(|share| vec![only_tax(label, share)]))
}

fn only_tax(label: String, share: Share) -> Tax {
    Tax {
        label,
        share,
        parts: Vec::new(),
    }
}

fn tax(decoder: &mut Decoder<'_>, wire: &wire::Tax) -> Option<Tax> {
    let label = decoder.text("label", &wire.label, TAX_LABEL_CHARACTERS_MAX);
    let share = decoder.number("percent", &wire.percent, &PERCENT);
    let parts = parts(decoder, &wire.parts);
    Some(Tax {
        label: label?,
        share: Share::from_percent(share?),
        parts: parts?,
    })
}

fn allowance(decoder: &mut Decoder<'_>, wire: &wire::Allowance) -> Option<Allowance> {
    let label = decoder.text("label", &wire.label, ALLOWANCE_LABEL_CHARACTERS_MAX);
    let given = share_or_money(
        decoder,
        ("percent", &wire.percent),
        ("amount", &wire.amount),
    );
    let parts = parts(decoder, &wire.parts);
    if wire.parts.contains(&wire::PricePart::OnCost.into()) {
        decoder.refuse(
            "parts",
            "NOT_DIRECT_COST",
            "overheads, contingency and profit come after direct cost; name parts of direct cost",
        );
    }
    let (label, given, parts) = (label?, given?, parts?);
    let Some(given) = given else {
        let found = "neither percent nor amount is given; give one of them";
        decoder.refuse("percent", "MISSING", found);
        return None;
    };
    let amount = match given {
        Given::Share(share) => AllowanceAmount::Of(share, parts),
        Given::Money(amount) => AllowanceAmount::Fixed(amount),
    };
    Some(Allowance { label, amount })
}

fn discount(decoder: &mut Decoder<'_>, wire: &wire::BuildUp) -> Option<Option<Discount>> {
    let given = share_or_money(
        decoder,
        ("discount_percent", &wire.discount_percent),
        ("discount_amount", &wire.discount_amount),
    )?;
    Some(given.map(|given| match given {
        Given::Share(share) => Discount::Of(share),
        Given::Money(amount) => Discount::Fixed(amount),
    }))
}

/// A share or an amount.
enum Given {
    Share(Share),
    Money(Decimal),
}

/// A share or an amount, of which not both may be given.
fn share_or_money(
    decoder: &mut Decoder<'_>,
    (share_field, share): (&'static str, &str),
    (money_field, money): (&'static str, &str),
) -> Option<Option<Given>> {
    if !share.is_empty() && !money.is_empty() {
        decoder.refuse(
            money_field,
            "TWO_ANSWERS",
            format!("{share_field} and {money_field} are both given; give one of them"),
        );
        return None;
    }
    let share = percent(decoder, share_field, share);
    let money = decoder.number_if_any(money_field, money, &MONEY);
    let share = share?.map(Given::Share);
    Some(share.or(money?.map(Given::Money)))
}

/// Parts of a price, each once.
fn parts(decoder: &mut Decoder<'_>, sent: &[i32]) -> Option<Vec<PricePart>> {
    let mut parts = Vec::with_capacity(sent.len().min(9));
    for number in sent {
        let part = choice::price_part(decoder, "parts", *number)?;
        if parts.contains(&part) {
            decoder.refuse(
                "parts",
                "DUPLICATE",
                "parts names a part twice; name each once",
            );
            return None;
        }
        parts.push(part);
    }
    Some(parts)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn refused(wire: &wire::BuildUp) -> Vec<(String, &'static str)> {
        let mut decoder = Decoder::new();
        build_up(&mut decoder, wire);
        let told = decoder.violations().into_iter();
        told.map(|fault| (fault.field, fault.reason)).collect()
    }

    #[test]
    fn a_region_that_says_nothing_adds_nothing_and_still_has_its_line_of_tax() {
        let read = build_up(&mut Decoder::new(), &wire::BuildUp::default()).expect("a build-up");
        assert_eq!(read.taxes.each, [only_tax(String::new(), Share::ZERO)]);
        assert_eq!((read.discount, read.minimum_charge), (Discount::None, None));
    }

    #[test]
    fn a_job_that_says_nothing_changes_nothing_and_one_that_says_0_changes_to_0() {
        let nothing = wire::BuildUp::default();
        let read = build_up_change(&mut Decoder::new(), &nothing).expect("a change");
        assert_eq!(read, BuildUpChange::default());
        let zero = wire::BuildUp {
            contingency_percent: "0".into(),
            tax_percent: "0".into(),
            discount_amount: "0".into(),
            ..nothing
        };
        let read = build_up_change(&mut Decoder::new(), &zero).expect("a change");
        assert_eq!(read.contingency, Some(Share::ZERO));
        assert_eq!(read.taxes.map(|taxes| taxes.len()), Some(1));
        assert_eq!(read.discount, Some(Discount::Fixed(dec!(0))));
    }

    #[test]
    fn what_is_said_twice_or_by_halves_is_refused_all_of_it_at_once() {
        let tax = |label: &str| wire::Tax {
            label: label.into(),
            percent: "5".into(),
            ..Default::default()
        };
        let wire = wire::BuildUp {
            tax_percent: "20".into(),
            taxes: vec![tax("VAT")],
            discount_percent: "5".into(),
            discount_amount: "10".into(),
            allowances: vec![wire::Allowance {
                label: "small tools".into(),
                parts: vec![wire::PricePart::OnCost.into(), 0],
                ..Default::default()
            }],
            round_price_to: "0".into(),
            ..Default::default()
        };
        let told = refused(&wire);
        let told: Vec<(&str, &str)> = told.iter().map(|(f, r)| (f.as_str(), *r)).collect();
        assert_eq!(
            told,
            [
                ("tax_percent", "TWO_ANSWERS"),
                ("allowances[0].parts", "MISSING"),
                ("allowances[0].parts", "NOT_DIRECT_COST"),
                ("discount_amount", "TWO_ANSWERS"),
                ("round_price_to", "OUT_OF_RANGE"),
            ]
        );
    }
}
