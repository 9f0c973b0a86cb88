//! What the reader takes, what it refuses, and in which words.

use rust_decimal::dec;

use super::*;
use crate::name::Sites;

const WIDTH: Bounds = Bounds::of(dec!(0.05), dec!(20), "m");

fn told<'a, T>(read: impl FnOnce(&mut Decoder<'a>) -> T) -> Vec<(String, &'static str, String)> {
    let mut decoder = Decoder::new();
    read(&mut decoder);
    decoder
        .violations()
        .into_iter()
        .map(|v| (v.field, v.reason, v.description))
        .collect()
}

#[test]
fn every_fault_is_kept_with_the_path_of_its_field_and_the_things_it_belongs_to() {
    let walls = [("south", "1_000"), ("east", "21"), ("north", "3")];
    let found = told(|decoder| {
        decoder.within("job", |decoder| {
            let read = decoder.each("walls", &walls, |decoder, (id, width)| {
                decoder.about("wall", id, |decoder| {
                    decoder.number("width_m", width, &WIDTH)
                })
            });
            assert_eq!(read, None);
            decoder.name::<Sites>("site", "north");
        });
    });
    let expected = [
        (
            "job.walls[0].width_m",
            "NOT_A_NUMBER",
            "wall \"south\": width_m: \"1_000\" has an underscore in it; write the digits without separators, such as 1000",
        ),
        (
            "job.walls[1].width_m",
            "OUT_OF_RANGE",
            "wall \"east\": width_m is 21 m; it must be from 0.05 to 20 m",
        ),
        (
            "job.site",
            "NOT_A_NAME",
            "\"north\" is not the name of a site; write sites/ID",
        ),
    ];
    let expected = expected.map(|(f, r, d)| (f.to_owned(), r, d.to_owned()));
    assert_eq!(found, expected);
}

#[test]
fn faults_beyond_all_reading_are_not_kept() {
    let widths = ["x"; VIOLATIONS_MAX + 1];
    let mut decoder = Decoder::new();
    decoder.each_kept("widths", &widths, |decoder, width| {
        decoder.any_number("", width)
    });
    assert!(!decoder.is_clean());
    assert_eq!(decoder.violations().len(), VIOLATIONS_MAX);
}

#[test]
fn both_bounds_of_a_number_are_taken() {
    for good in ["0.05", "20", "20.000", "7.5"] {
        assert!(
            told(|d| d.number("width_m", good, &WIDTH)).is_empty(),
            "{good}"
        );
    }
    for bad in ["0.04", "20.01", "-7", "0"] {
        let found = told(|d| d.number("width_m", bad, &WIDTH));
        assert_eq!(found[0].1, "OUT_OF_RANGE", "{bad}");
    }
}

#[test]
fn more_decimals_than_can_be_kept_are_refused_and_trailing_zeros_are_not_decimals() {
    let price = Bounds {
        places: 2,
        ..Bounds::of(dec!(0), dec!(100), "")
    };
    assert!(told(|d| d.number("unit_price", "1.2300", &price)).is_empty());
    let found = told(|d| d.number("unit_price", "1.231", &price));
    assert_eq!(
        found[0].2,
        "unit_price is 1.231; it may have at most 2 decimals"
    );
}

#[test]
fn a_text_is_counted_in_characters_and_holds_no_control_character() {
    assert!(told(|d| d.text("source", "Gräfin", 6)).is_empty());
    let cases = [
        ("", "source is needed and empty"),
        (" ", "source is needed and empty"),
        ("seven c", "source has 7 characters; at most 6 are accepted"),
        (
            "a\u{7}b",
            "source holds the control character U+0007; write it as one line of plain text",
        ),
    ];
    for (text, expected) in cases {
        assert_eq!(
            told(|d| d.text("source", text, 6))[0].2,
            expected,
            "{text:?}"
        );
    }
    assert!(told(|d| d.lines_if_any("note", "a\nb", 6)).is_empty());
    assert_eq!(told(|d| d.lines_if_any("note", "a\0b", 6)).len(), 1);
}

#[test]
fn an_unspecified_choice_is_missing_and_an_unknown_one_is_unknown() {
    let read = |number| (number == 1).then_some(());
    assert_eq!(told(|d| d.choice("supply", 1, read)), []);
    assert_eq!(told(|d| d.choice("supply", 0, read))[0].1, "MISSING");
    assert_eq!(told(|d| d.choice("supply", 9, read))[0].1, "UNKNOWN_CHOICE");
}
