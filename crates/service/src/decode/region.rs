//! Regions and their build-ups.

use hod_domain::id::RegionId;
use hod_domain::region::{BuildUp, Profit, Region, Tax};
use hod_units::{Currency, Share};
use hod_wire::v1 as wire;
use rust_decimal::dec;

use super::{Bounds, Decoder, NAME_CHARACTERS_MAX, choice};
use crate::name::Regions;

const PERCENT: Bounds = Bounds::of(dec!(0), dec!(100), "%");

/// Most characters of what a tax is called.
const TAX_LABEL_CHARACTERS_MAX: usize = 40;

/// Reads a region; its id comes from the request.
pub fn region<'a>(
    decoder: &mut Decoder<'a>,
    wire: &'a wire::Region,
    id: Option<&RegionId>,
) -> Option<Region> {
    let display_name = decoder.text("display_name", &wire.display_name, NAME_CHARACTERS_MAX);
    let parent = decoder.name_if_any::<Regions>("parent_region", &wire.parent_region);
    let currency = decoder.read(
        "currency_code",
        "NOT_A_CURRENCY",
        Currency::parse(&wire.currency_code),
    );
    let rounding = choice::rounding(decoder, "rounding", wire.rounding);
    let build_up = match &wire.build_up {
        Some(given) => decoder.within("build_up", |decoder| build_up(decoder, given)),
        None => build_up(&mut Decoder::new(), &wire::BuildUp::default()),
    };
    Some(Region {
        id: id?.clone(),
        display_name: display_name?,
        parent: parent?,
        currency: currency?,
        rounding: rounding?,
        build_up: build_up?,
    })
}

fn build_up<'a>(decoder: &mut Decoder<'a>, wire: &'a wire::BuildUp) -> Option<BuildUp> {
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
    let profit_share = percent(decoder, "profit_percent", &wire.profit_percent);
    let profit = decoder.choice("profit_basis", wire.profit_basis, |number| {
        match wire::ProfitBasis::try_from(number).ok()? {
            wire::ProfitBasis::Unspecified | wire::ProfitBasis::MarkupOnCost => {
                Some(Profit::MarkupOnCost as fn(Share) -> Profit)
            }
            wire::ProfitBasis::MarginOnPrice => Some(Profit::MarginOnPrice),
        }
    });
    let label = decoder.text_if_any("tax_label", &wire.tax_label, TAX_LABEL_CHARACTERS_MAX);
    let share = percent(decoder, "tax_percent", &wire.tax_percent);
    let basis = choice::tax_basis(decoder, "tax_basis", wire.tax_basis);
    Some(BuildUp {
        site_overhead: site_overhead?,
        firm_overhead: firm_overhead?,
        contingency: contingency?,
        profit: profit?(profit_share?),
        tax: Tax {
            label: label?,
            share: share?,
            basis: basis?,
        },
    })
}

fn percent(decoder: &mut Decoder<'_>, field: &'static str, text: &str) -> Option<Share> {
    decoder
        .number_or_zero(field, text, &PERCENT)
        .map(Share::from_percent)
}
