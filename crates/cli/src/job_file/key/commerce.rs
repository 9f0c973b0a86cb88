//! What a job file says of a price besides walls and work: who does which part, what else it costs, how long the crew is
//! there, where materials are bought, and what of the build-up is otherwise for this job.

use hod_wire::v1::{
    Allowance, BuildUp, Cost, CostDriver, CostKind, PricePart, ProfitBasis, ScopeHolder, ScopeLine,
    SiteTime, Source, Tax, TaxBasis, Unit,
};

use super::{Holds, Key, Keyed};
use crate::job_file::number::Measure;
use crate::name::collection::MATERIALS;
use crate::word::Word;

keys! {
    ScopeLine, "in a [[scope]]", called by "part" {
        needed "part" => part: text,
        option "display_name" => display_name: text,
        needed "holder" => holder: word(ScopeHolder::WORDS),
        option "note" => note: text,
    }
}

keys! {
    Cost, "in a [[cost]]", called by "item" {
        needed "item" => item: text,
        needed "kind" => kind: word(CostKind::WORDS),
        option "quantity" => quantity: number,
        option "unit" => unit: word(Unit::WORDS),
        needed "unit_price" => unit_price: number,
        option "driver" => driver: word(CostDriver::WORDS),
        option "part" => part: text,
        option "source" => source: text,
    }
}

keys! {
    SiteTime, "in [site_time]" {
        option "weeks" => weeks: number,
        option "days" => days: number,
        option "trips" => trips: count,
        option "visits" => visits: count,
    }
}

keys! {
    Source, "in a [[source]]", called by "material" {
        needed "material" => material: id(MATERIALS),
        option "supplier" => supplier: text,
        option "distance_km" => distance_km: number,
    }
}

keys! {
    BuildUp, "in [build_up]" {
        option "site_overhead_percent" => site_overhead_percent: number,
        option "firm_overhead_percent" => firm_overhead_percent: number,
        option "contingency_percent" => contingency_percent: number,
        option "profit_percent" => profit_percent: number,
        option "profit_basis" => profit_basis: word(ProfitBasis::WORDS),
        option "discount_percent" => discount_percent: number,
        option "discount_amount" => discount_amount: number,
        option "minimum_charge" => minimum_charge: number,
        option "round_price_to" => round_price_to: number,
        option "daywork_percent" => daywork_percent: number,
        option "tax_label" => tax_label: text,
        option "tax_percent" => tax_percent: number,
        option "tax_basis" => tax_basis: word(TaxBasis::WORDS),
        option "tax" => taxes: sections("build_up.tax"),
        option "allowance" => allowances: sections("build_up.allowance"),
    }
}

keys! {
    Tax, "in a [[build_up.tax]]", called by "label" {
        needed "label" => label: text,
        needed "percent" => percent: number,
        option "parts" => parts: words(PricePart::WORDS),
    }
}

keys! {
    Allowance, "in a [[build_up.allowance]]", called by "label",
    one of ["percent", "amount"] or "is missing; give it, or amount" {
        needed "label" => label: text,
        option "percent" => percent: number,
        option "parts" => parts: words(PricePart::WORDS),
        option "amount" => amount: number,
    }
}
