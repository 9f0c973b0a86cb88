//! Columns of measures as a table shows them: rounded, and still adding up. The total is rounded first and shared out
//! to its parts by largest remainder, so that what a reader adds up is what stands under the rule.

use hod_units::{Decimal, Rounding, fixed, parse_decimal, round, split};
use hod_wire::v1::{MassBalance, TakeoffTotals, WallTakeoff};

use super::figure::{MEASURE_PLACES, measure, rounded};

/// How far the parts may be from their total and still be its parts: the steps in which they are handed out, added up.
const STEPS_MAX: Decimal = Decimal::from_parts(5, 0, 0, false, 3);

/// The columns of a wall table: in each a cell to a wall, then the total.
pub fn wall_columns(walls: &[WallTakeoff], totals: &TakeoffTotals) -> [Vec<String>; 8] {
    let column = |figure: fn(&WallTakeoff) -> &String, total: &str| {
        let parts: Vec<&str> = walls.iter().map(|wall| figure(wall).as_str()).collect();
        adding_up(&parts, total)
    };
    let gross = column(|wall| &wall.gross_volume_m3, &totals.gross_volume_m3);
    let openings = column(|wall| &wall.opening_volume_m3, &totals.opening_volume_m3);
    let net = less(&gross, &openings)
        .unwrap_or_else(|| column(|wall| &wall.net_volume_m3, &totals.net_volume_m3));
    [
        column(|wall| &wall.length_m, &totals.length_m),
        gross,
        openings,
        net,
        column(|wall| &wall.placed_volume_m3, &totals.placed_volume_m3),
        column(|wall| &wall.inner_face_m2, &totals.inner_face_m2),
        column(|wall| &wall.outer_face_m2, &totals.outer_face_m2),
        column(|wall| &wall.reveal_m2, &totals.reveal_m2),
    ]
}

/// The finished volume of a whole job as its wall table shows it.
pub fn net(totals: &TakeoffTotals) -> String {
    let gross = [measure(&totals.gross_volume_m3)];
    let openings = [measure(&totals.opening_volume_m3)];
    match less(&gross, &openings).as_deref() {
        Some([net]) => net.clone(),
        _ => measure(&totals.net_volume_m3),
    }
}

/// The placed volume of each lift, adding up to what the wall table shows for the wall.
pub fn lifts(wall: &WallTakeoff, placed: &str) -> Vec<String> {
    let volumes: Vec<&str> = wall
        .lifts
        .iter()
        .map(|lift| lift.volume_m3.as_str())
        .collect();
    shared_out(&volumes, &wall.placed_volume_m3, placed, MEASURE_PLACES)
        .unwrap_or_else(|| each(&volumes))
}

/// Masses in whole kilograms: what goes in, then what stands, is pared, wasted and left over, adding up to it; water last.
pub fn masses(masses: &MassBalance) -> Vec<String> {
    let whole = |figure: &str| rounded(figure, 0);
    let dry = whole(&masses.dry_in_kg);
    let parts = [
        &masses.standing_kg,
        &masses.pared_kg,
        &masses.wasted_kg,
        &masses.left_over_kg,
    ];
    let parts = parts.map(String::as_str);
    let shown =
        shared_out(&parts, &masses.dry_in_kg, &dry, 0).unwrap_or_else(|| parts.map(whole).to_vec());
    std::iter::once(dry)
        .chain(shown)
        .chain([whole(&masses.water_kg)])
        .collect()
}

/// The parts as shown and their total last. What is not the total of its parts is shown as it is, each rounded by
/// itself.
fn adding_up(parts: &[&str], total: &str) -> Vec<String> {
    let shown = measure(total);
    let mut cells = shared_out(parts, total, &shown, MEASURE_PLACES).unwrap_or_else(|| each(parts));
    cells.push(shown);
    cells
}

/// The total as shown, shared out to the parts; nothing when they are not its parts.
fn shared_out(parts: &[&str], total: &str, shown: &str, places: u32) -> Option<Vec<String>> {
    let parts: Vec<Decimal> = parts
        .iter()
        .map(|part| parse_decimal(part).ok())
        .collect::<Option<_>>()?;
    let sum = parts
        .iter()
        .try_fold(Decimal::ZERO, |sum, part| sum.checked_add(*part))?;
    let off = parse_decimal(total).ok()?.checked_sub(sum)?;
    if STEPS_MAX < off.abs() {
        return None;
    }
    let shown = round(parse_decimal(shown).ok()?, places, Rounding::default());
    let shares = if shown.is_zero() {
        vec![Decimal::ZERO; parts.len()]
    } else {
        split(shown, &parts, places)?
    };
    let cells = shares.into_iter().map(|share| fixed(share, places));
    Some(cells.collect())
}

fn less(whole: &[String], part: &[String]) -> Option<Vec<String>> {
    let differences = whole.iter().zip(part).map(|(whole, part)| {
        let (whole, part) = (parse_decimal(whole).ok()?, parse_decimal(part).ok()?);
        whole.checked_sub(part)
    });
    differences.collect::<Option<_>>().map(cells)
}

fn cells(figures: Vec<Decimal>) -> Vec<String> {
    figures
        .into_iter()
        .map(|figure| fixed(figure, MEASURE_PLACES))
        .collect()
}

fn each(parts: &[&str]) -> Vec<String> {
    parts.iter().map(|part| measure(part)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_left_over_goes_to_the_largest_remainder() {
        let shown = adding_up(&["6.205", "4.555", "7.065", "4.555"], "22.38");
        assert_eq!(shown, ["6.21", "4.56", "7.06", "4.55", "22.38"]);
    }

    #[test]
    fn a_total_that_is_not_that_of_its_parts_is_shown_as_it_is() {
        assert_eq!(
            adding_up(&["1.204", "2"], "9.999"),
            ["1.20", "2.00", "10.00"]
        );
        assert_eq!(adding_up(&["n/a", "2"], "2"), ["n/a", "2.00", "2.00"]);
        assert_eq!(adding_up(&["0", "0"], "0"), ["0.00", "0.00", "0.00"]);
        assert_eq!(adding_up(&[], "0"), ["0.00"]);
    }

    #[test]
    fn masses_in_whole_kilograms_add_up_to_what_goes_in() {
        let balance = MassBalance {
            dry_in_kg: "1000.000".to_owned(),
            standing_kg: "900.400".to_owned(),
            pared_kg: "50.400".to_owned(),
            wasted_kg: "45.400".to_owned(),
            left_over_kg: "3.800".to_owned(),
            water_kg: "180.5".to_owned(),
        };
        assert_eq!(masses(&balance), ["1000", "901", "50", "45", "4", "181"]);
    }

    #[test]
    fn net_is_gross_less_openings_as_both_are_shown() {
        let totals = TakeoffTotals {
            gross_volume_m3: "6.324".to_owned(),
            opening_volume_m3: "0.7725".to_owned(),
            net_volume_m3: "5.5515".to_owned(),
            ..TakeoffTotals::default()
        };
        assert_eq!(net(&totals), "5.55");
        let totals = TakeoffTotals {
            gross_volume_m3: "6.325".to_owned(),
            opening_volume_m3: "0.774".to_owned(),
            net_volume_m3: "5.551".to_owned(),
            ..TakeoffTotals::default()
        };
        assert_eq!(net(&totals), "5.56", "6.33 less 0.77");
    }
}
