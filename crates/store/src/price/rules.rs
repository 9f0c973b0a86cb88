//! What each constraint of the prices says to people.

use crate::fault::{ID, Rules, VERSION};

/// What a price in force must keep to in time.
pub(crate) const CALENDAR: &str = "A price or a rate begins and ends in the years 1900 to 2199; leave the end open for one that goes on.";

pub(crate) const RULES: Rules = &[
    ("price_list_exists", "A price belongs to a region's list."),
    (
        "price_unit_is_the_materials",
        "A price is for the unit in which its material is ordered; say that unit, or price another material.",
    ),
    ("price_id_well_formed", ID),
    ("price_version_in_positive", VERSION),
    (
        "price_goes_out_after_it_came_in",
        "A price leaves the list at a later version than it came in.",
    ),
    (
        "price_unit_price_in_range",
        "A unit price is 0 to 999999999.",
    ),
    (
        "price_in_force_not_empty",
        "A price holds for at least a day.",
    ),
    ("price_in_force_has_a_start", "A price has a first day."),
    ("price_in_force_in_calendar", CALENDAR),
    (
        "price_supplier_length",
        "A supplier has at most 120 characters.",
    ),
    (
        "price_source_length",
        "A source of a price has at most 400 characters.",
    ),
    (
        "price_no_overlap",
        "Two prices of a supplier for a material would be in force in a region on the same day.",
    ),
    (
        "price_starts_once",
        "Two prices of a supplier for a material would begin in a region on the same day.",
    ),
    ("price_once_in_a_list", "A price stands once in a list."),
    (
        "price_only_goes_out",
        "A price that stands in a list is only taken out of it, and does not come back.",
    ),
    (
        "price_pack_size_in_range",
        "A pack is above 0 and at most 999999999 of the purchase unit.",
    ),
    (
        "price_minimum_order_in_range",
        "A minimum order is above 0 and at most 999999999 of the purchase unit; leave it out for none.",
    ),
    (
        "price_break_rule_known",
        "A quantity break lowers all units or only what lies above it.",
    ),
    (
        "price_breaks_together",
        "Each quantity break has a quantity and a price, and breaks say what they lower; without breaks there is no such rule.",
    ),
    (
        "price_breaks_at_most_20",
        "A price has at most 20 quantity breaks.",
    ),
    (
        "price_break_from_in_range",
        "A quantity break begins above 0 and at most at 999999999 of the purchase unit.",
    ),
    (
        "price_break_from_rises",
        "Each quantity break begins at a larger quantity than the one before it.",
    ),
    (
        "price_break_price_in_range",
        "The unit price of a quantity break is 0 to 999999999.",
    ),
    (
        "price_load_m3_in_range",
        "The most volume of a load is 0.01 to 1000 m3.",
    ),
    (
        "price_load_t_in_range",
        "The most mass of a load is 0.01 to 1000 t.",
    ),
    (
        "price_load_quantity_in_range",
        "The most of a load is above 0 and at most 999999999 of the purchase unit.",
    ),
    (
        "price_charge_per_load_in_range",
        "The charge for a load is 0 to 999999999.",
    ),
    (
        "price_charge_per_km_in_range",
        "The charge for a load and kilometre is 0 to 999999999.",
    ),
    (
        "price_distance_in_range",
        "The kilometres charged for a load are 0 to 5000.",
    ),
    (
        "price_delivery_together",
        "A delivery has a charge for the load and one for the kilometre, 0 where there is none; without delivery there is no limit and no distance.",
    ),
    (
        "price_delivery_has_a_limit",
        "A delivery says what a load takes: a volume, a mass or a quantity.",
    ),
    (
        "price_charge_per_km_has_a_distance",
        "A charge for the kilometre needs the kilometres that are charged.",
    ),
    (
        "price_lead_days_in_range",
        "From order to delivery it is 0 to 1000 days.",
    ),
    (
        "price_note_length",
        "A note on a price has at most 400 characters.",
    ),
];
