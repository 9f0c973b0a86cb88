//! What the files beside a job file say: the terms of an offer, and a variation under an accepted quote.

use hod_wire::v1::{IssueQuoteRequest, Milestone, StageTerm, Unit, Variation, VariationLine};

use super::{Holds, Key, Keyed, ListOf};
use crate::job_file::number::Measure;
use crate::word::Word;

keys! {
    IssueQuoteRequest, "at the top of the file, before its first section" {
        option "terms" => terms: text,
        option "exclusions" => exclusions: texts(ListOf::Sentences),
        option "assumptions" => assumptions: texts(ListOf::Sentences),
        option "retention_percent" => retention_percent: number,
        option "retention_months" => retention_months: count,
        option "stage" => stages: sections("stage"),
    }
}

keys! {
    StageTerm, "in a [[stage]]", called by "milestone" {
        needed "milestone" => milestone: word(Milestone::WORDS),
        needed "percent" => percent: number,
        option "lifts_percent" => lifts_percent: number,
    }
}

keys! {
    Variation, "at the top of the file, before its first section",
    one of ["line"] or "a variation needs at least one [[line]]" {
        needed "title" => title: text,
        needed "reason" => reason: text,
        needed "agreed_date" => agreed_date: date,
        option "days" => days: count,
        option "tax_labels" => tax_labels: texts(ListOf::Sentences),
        option "line" => lines: sections("line"),
    }
}

keys! {
    VariationLine, "in a [[line]]", called by "item" {
        needed "item" => item: text,
        needed "quantity" => quantity: number,
        needed "unit" => unit: word(Unit::WORDS),
        needed "unit_price" => unit_price: number,
    }
}
