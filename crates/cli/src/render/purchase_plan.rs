//! One order list of several jobs: what each of them has of an order, and what ordering together saves.

use hod_wire::v1::{Purchase, PurchasePart, PurchasePlan, SharedPurchase};

use super::caution;
use super::figure::quantity;
use super::order::counted_in;
use super::purchase;
use super::record::Record;
use super::table::{Side, Table};
use crate::name::short;
use crate::output::Answer;
use crate::text::plain;

/// An order list and how much of it is asked for.
pub struct PurchasePlanAnswer {
    /// The list.
    pub plan: PurchasePlan,
    /// How each order came about.
    pub with_basis: bool,
}

impl Answer for PurchasePlanAnswer {
    fn record(&self) -> Record {
        let plan = &self.plan;
        Record::new()
            .text("currency_code", &plan.currency_code)
            .many("purchases", &plan.purchases, |shared| {
                shared_record(shared, &plan.currency_code)
            })
            .text("alone_amount", &plan.alone_amount)
            .text("together_amount", &plan.together_amount)
            .text("saving", &plan.saving)
            .many("cautions", &plan.cautions, caution::record)
    }

    fn header(&self) -> Vec<String> {
        self.flat(&SharedPurchase::default(), &PurchasePart::default())
            .into_iter()
            .map(|(name, _)| name)
            .collect()
    }

    /// A row to what each job has of each order.
    fn rows(&self) -> Vec<Vec<String>> {
        let parts = self
            .plan
            .purchases
            .iter()
            .flat_map(|shared| shared.parts.iter().map(move |part| (shared, part)));
        let cells = |(shared, part)| {
            let flat = self.flat(shared, part).into_iter();
            flat.map(|(_, cell)| cell).collect()
        };
        parts.map(cells).collect()
    }

    fn table(&self) -> String {
        let sections = [
            caution::paragraphs(&self.plan.cautions),
            Some(self.order_table().to_string()),
        ];
        let sections: Vec<String> = sections.into_iter().flatten().collect();
        sections.join("\n")
    }

    fn beside_rows(&self) -> Vec<String> {
        caution::lines(&self.plan.cautions)
    }
}

impl PurchasePlanAnswer {
    fn flat(&self, shared: &SharedPurchase, part: &PurchasePart) -> Vec<(String, String)> {
        let purchase = shared.purchase.clone().unwrap_or_default();
        Record::new()
            .text("job", &part.job)
            .text("item", &purchase.item)
            .text("supplier", &purchase.supplier)
            .text("needed", &part.needed)
            .text("ordered_together", &purchase.ordered)
            .word::<hod_wire::v1::Unit>("unit", purchase.unit)
            .text("alone_amount", &part.alone_amount)
            .text("saving_together", &shared.saving)
            .text("currency_code", &self.plan.currency_code)
            .flat()
    }

    fn order_table(&self) -> Table {
        let currency = plain(&self.plan.currency_code);
        let heading = |what: &str| format!("{what} {currency}");
        let (goods, delivery) = (heading("Goods"), heading("Delivery"));
        let (together, alone) = (heading("Together"), heading("Alone"));
        let saving = heading("Saved");
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
            (&together, Side::Right),
            (&alone, Side::Right),
            (&saving, Side::Right),
        ]);
        for shared in &self.plan.purchases {
            self.order_row(&mut table, shared);
        }
        let purchases: Vec<Purchase> = self
            .plan
            .purchases
            .iter()
            .filter_map(|shared| shared.purchase.clone())
            .collect();
        let [goods, delivery, _] = purchase::amounts(&purchases);
        let mut total = vec!["Total".to_owned()];
        total.resize(8, String::new());
        total.extend([
            goods,
            delivery,
            self.plan.together_amount.clone(),
            self.plan.alone_amount.clone(),
            self.plan.saving.clone(),
        ]);
        table.rule().row(total);
        table
    }

    fn order_row(&self, table: &mut Table, shared: &SharedPurchase) {
        let currency = &self.plan.currency_code;
        let purchase = shared.purchase.clone().unwrap_or_default();
        let mut cells = purchase::cells(&purchase);
        cells.extend([shared.alone_amount.clone(), shared.saving.clone()]);
        table.row(cells);
        for part in &shared.parts {
            let needed = quantity(&part.needed, purchase.unit());
            let unit = counted_in(&part.needed, purchase.unit());
            let job = short(&part.job);
            table.note(&format!(
                "{job}: {needed} {unit}, alone {} {currency}",
                part.alone_amount
            ));
        }
        purchase::notes(table, &purchase, currency, self.with_basis);
    }
}

fn shared_record(shared: &SharedPurchase, currency_code: &str) -> Record {
    Record::new()
        .one_if_there("purchase", shared.purchase.as_ref(), |bought| {
            purchase::record(bought, currency_code)
        })
        .many("parts", &shared.parts, |part| {
            Record::new()
                .text("job", &part.job)
                .text("needed", &part.needed)
                .text("alone_amount", &part.alone_amount)
        })
        .text("alone_amount", &shared.alone_amount)
        .text("saving", &shared.saving)
}
