//! Labour rates, as they are put in force: from a day, until one that may be given, with what comes on top of the wage.

use hod_domain::id::{Grade, PriceId};
use hod_domain::price::{Burden, BurdenAmount, LabourRate, PaidYear};
use hod_units::{Hours, Share};
use hod_wire::v1 as wire;
use rust_decimal::dec;

use super::price::{NOTE_CHARACTERS_MAX, in_force};
use super::{Bounds, Decoder, SOURCE_CHARACTERS_MAX};

const MONEY_PER_HOUR: Bounds = Bounds {
    places: 4,
    ..Bounds::of(dec!(0), dec!(999999), "")
};
const BURDEN: Bounds = Bounds::of(dec!(0), dec!(300), "%");
const PAID_HOURS: Bounds = Bounds::of(dec!(1), dec!(8784), "h");
/// The hours of a leap year.
const HOURS_OF_YEAR: Bounds = Bounds::of(dec!(0), dec!(8784), "h");

const BURDENS_MAX: usize = 20;
const LABEL_CHARACTERS_MAX: usize = 60;

/// Reads a labour rate; its id comes from the request or from the server.
pub fn labour_rate<'a>(
    decoder: &mut Decoder<'a>,
    wire: &'a wire::LabourRate,
    id: Option<&PriceId>,
) -> Option<LabourRate> {
    let grade = decoder.read("grade", "NOT_AN_ID", Grade::parse(&wire.grade));
    let wage = decoder.number("wage_per_hour", &wire.wage_per_hour, &MONEY_PER_HOUR);
    let burden = decoder.number_or_zero("burden_percent", &wire.burden_percent, &BURDEN);
    let sent = decoder.list("burdens", &wire.burdens, 0, BURDENS_MAX);
    let burdens = decoder.each("burdens", sent, one_burden);
    decoder.each_once(
        "burdens",
        "label",
        sent.iter().map(|burden| burden.label.as_str()),
    );
    let year = year(decoder, wire);
    let in_force = in_force(decoder, &wire.start_date, &wire.end_date);
    let source = decoder.text_if_any("source", &wire.source, SOURCE_CHARACTERS_MAX);
    let note = decoder.text_if_any("note", &wire.note, NOTE_CHARACTERS_MAX);
    Some(LabourRate {
        id: id?.clone(),
        grade: grade?,
        wage: wage?,
        burden: Share::from_percent(burden?),
        burdens: burdens?,
        year: year?,
        in_force: in_force?,
        source: source?,
        note: note?,
    })
}

fn one_burden(decoder: &mut Decoder<'_>, wire: &wire::Burden) -> Option<Burden> {
    let label = decoder.text("label", &wire.label, LABEL_CHARACTERS_MAX);
    let share = decoder.number_if_any("percent", &wire.percent, &BURDEN);
    let money = decoder.number_if_any("amount_per_hour", &wire.amount_per_hour, &MONEY_PER_HOUR);
    let amount = match (share?, money?) {
        (Some(share), None) => BurdenAmount::OfWage(Share::from_percent(share)),
        (None, Some(money)) => BurdenAmount::PerHour(money),
        (None, None) => {
            let found = "neither percent nor amount_per_hour is given; give one of them";
            decoder.refuse("percent", "MISSING", found);
            return None;
        }
        (Some(_), Some(_)) => {
            let found = "percent and amount_per_hour are both given; give one of them";
            decoder.refuse("amount_per_hour", "TWO_ANSWERS", found);
            return None;
        }
    };
    Some(Burden {
        label: label?,
        amount,
    })
}

/// Hours paid and hours productive, of which one says nothing without the other.
fn year(decoder: &mut Decoder<'_>, wire: &wire::LabourRate) -> Option<Option<PaidYear>> {
    let paid = decoder.number_if_any("paid_hours", &wire.paid_hours, &PAID_HOURS);
    let productive =
        decoder.number_if_any("productive_hours", &wire.productive_hours, &HOURS_OF_YEAR);
    let lacking = match (paid?, productive?) {
        (None, None) => return Some(None),
        (Some(paid), Some(productive)) => {
            return Some(Some(PaidYear {
                paid: Hours::from_hours(paid),
                productive: Hours::from_hours(productive),
            }));
        }
        (Some(_), None) => "productive_hours",
        (None, Some(_)) => "paid_hours",
    };
    decoder.refuse(
        lacking,
        "MISSING",
        "paid_hours and productive_hours are held against each other; give both, or neither",
    );
    None
}

/// Reads a grade that may be left out.
pub fn grade_if_any(
    decoder: &mut Decoder<'_>,
    field: &'static str,
    text: &str,
) -> Option<Option<Grade>> {
    if text.is_empty() {
        Some(None)
    } else {
        decoder
            .read(field, "NOT_AN_ID", Grade::parse(text))
            .map(Some)
    }
}
