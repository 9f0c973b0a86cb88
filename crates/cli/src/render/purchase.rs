//! What is bought: from whom, how much of it is left over, in how many loads, and the larger order that would cost less.

use hod_wire::v1::{OtherOffer, Purchase, PurchaseHint, Unit};

use super::basis;
use super::figure::{quantity, sum};
use super::order::counted_in;
use super::record::Record;
use super::table::{Side, Table, paragraph};
use crate::text::{counted, plain};

/// The columns of CSV, with the job in front.
pub(super) fn header() -> Vec<String> {
    let flat = record(&Purchase::default(), "").flat();
    std::iter::once("job".to_owned())
        .chain(flat.into_iter().map(|(name, _)| name))
        .chain(["currency_code".to_owned()])
        .collect()
}

pub(super) fn row(purchase: &Purchase, job: &str, currency_code: &str) -> Vec<String> {
    let flat = record(purchase, currency_code).flat();
    std::iter::once(job.to_owned())
        .chain(flat.into_iter().map(|(_, cell)| cell))
        .chain([currency_code.to_owned()])
        .collect()
}

/// A row to each purchase, what was not taken below it; nothing when nothing is bought.
pub(super) fn table(
    purchases: &[Purchase],
    currency_code: &str,
    with_basis: bool,
) -> Option<Table> {
    let currency = plain(currency_code);
    let goods = format!("Goods {currency}");
    let delivery = format!("Delivery {currency}");
    let both = format!("Both {currency}");
    let mut table = Table::new(&[
        ("To be bought", Side::Left),
        ("Supplier", Side::Left),
        ("Needed", Side::Right),
        ("Ordered", Side::Right),
        ("Left over", Side::Right),
        ("", Side::Left),
        ("Loads", Side::Right),
        ("Days", Side::Right),
        (&goods, Side::Right),
        (&delivery, Side::Right),
        (&both, Side::Right),
    ]);
    for purchase in purchases {
        table.row(cells(purchase));
        notes(&mut table, purchase, currency_code, with_basis);
    }
    let mut total = vec!["Total".to_owned()];
    total.resize(8, String::new());
    total.extend(amounts(purchases));
    table.rule().row(total);
    (!purchases.is_empty()).then_some(table)
}

/// Goods, delivery and both, added up.
pub(super) fn amounts(purchases: &[Purchase]) -> [String; 3] {
    let of = |amount: fn(&Purchase) -> &String| purchases.iter().map(move |it| amount(it).as_str());
    let goods = || of(|purchase| &purchase.goods_amount);
    let delivery = || of(|purchase| &purchase.delivery_amount);
    [
        sum(goods()).unwrap_or_default(),
        sum(delivery()).unwrap_or_default(),
        sum(goods().chain(delivery())).unwrap_or_default(),
    ]
}

/// A row as far as its amounts.
pub(super) fn cells(purchase: &Purchase) -> Vec<String> {
    let unit = purchase.unit();
    let mut cells = vec![
        purchase.item.clone(),
        purchase.supplier.clone(),
        quantity(&purchase.needed, unit),
        quantity(&purchase.ordered, unit),
        quantity(&purchase.left_over, unit),
        counted_in(&purchase.ordered, unit).to_owned(),
        count(purchase.load_count),
        count(purchase.lead_days),
    ];
    cells.extend(amounts(std::slice::from_ref(purchase)));
    cells
}

/// Nothing for 0: it says that there is none.
fn count(count: i32) -> String {
    match count {
        0 => String::new(),
        count => count.to_string(),
    }
}

/// What stands below a purchase.
pub(super) fn notes(table: &mut Table, purchase: &Purchase, currency_code: &str, with_basis: bool) {
    let words = basis::words(purchase.basis.as_ref(), currency_code);
    if with_basis && !words.is_empty() {
        table.note(&format!("= {words}"));
    }
    if let Some(hint) = &purchase.hint {
        table.note(&hint_words(purchase, hint, currency_code));
    }
    if !purchase.other_offers.is_empty() {
        let offers = purchase.other_offers.iter().map(offer_words);
        let offers = offers.collect::<Vec<_>>().join("; ");
        table.note(&format!("elsewhere: {offers}"));
    }
}

/// `1000 pieces would cost 195.00 EUR less than 999`.
fn hint_words(purchase: &Purchase, hint: &PurchaseHint, currency_code: &str) -> String {
    let unit = purchase.unit();
    format!(
        "{} {} would cost {} {currency_code} less than {}",
        quantity(&hint.quantity, unit),
        counted_in(&hint.quantity, unit),
        hint.saving,
        quantity(&purchase.ordered, unit),
    )
}

/// A sentence to each larger order that would cost less; nothing when there is none.
pub(super) fn hints(purchases: &[Purchase], currency_code: &str) -> Option<String> {
    let hints = purchases.iter().filter_map(|purchase| {
        let hint = purchase.hint.as_ref()?;
        let words = hint_words(purchase, hint, currency_code);
        Some(format!(
            "{}\n",
            paragraph(&format!("{}: {words}", purchase.item))
        ))
    });
    Some(hints.collect::<String>()).filter(|text| !text.is_empty())
}

/// `Hill pit 340.00, 3 days`.
fn offer_words(offer: &OtherOffer) -> String {
    let supplier = match offer.supplier.as_str() {
        "" => "a supplier without a name",
        supplier => supplier,
    };
    match usize::try_from(offer.lead_days) {
        Ok(days @ 1..) => {
            let days = counted(days, "day", "days");
            format!("{supplier} {}, {days}", offer.amount)
        }
        _ => format!("{supplier} {}", offer.amount),
    }
}

pub(super) fn record(purchase: &Purchase, currency_code: &str) -> Record {
    Record::new()
        .text("material", &purchase.material)
        .text("item", &purchase.item)
        .text("price", &purchase.price)
        .text("supplier", &purchase.supplier)
        .text("needed", &purchase.needed)
        .text("ordered", &purchase.ordered)
        .text("left_over", &purchase.left_over)
        .word::<Unit>("unit", purchase.unit)
        .count("pack_count", purchase.pack_count)
        .count("load_count", purchase.load_count)
        .text("load_limit", &purchase.load_limit)
        .text("goods_amount", &purchase.goods_amount)
        .text("delivery_amount", &purchase.delivery_amount)
        .count("lead_days", purchase.lead_days)
        .text(
            "basis",
            &basis::words(purchase.basis.as_ref(), currency_code),
        )
        .one_if_there("hint", purchase.hint.as_ref(), |hint| {
            Record::new()
                .text("quantity", &hint.quantity)
                .text("amount", &hint.amount)
                .text("saving", &hint.saving)
        })
        .many("other_offers", &purchase.other_offers, |offer| {
            Record::new()
                .text("price", &offer.price)
                .text("supplier", &offer.supplier)
                .text("amount", &offer.amount)
                .count("lead_days", offer.lead_days)
        })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_cheaper_larger_order_is_told_in_words() {
        let purchase = Purchase {
            item: "Adobe".to_owned(),
            ordered: "999".to_owned(),
            unit: Unit::Each.into(),
            hint: Some(PurchaseHint {
                quantity: "1000".to_owned(),
                amount: "4800.00".to_owned(),
                saving: "195.00".to_owned(),
            }),
            ..Purchase::default()
        };
        assert_eq!(
            hints(&[Purchase::default(), purchase], "EUR").as_deref(),
            Some("Adobe: 1000 pieces would cost 195.00 EUR less than 999\n")
        );
        assert_eq!(hints(&[], "EUR"), None);
    }
}
