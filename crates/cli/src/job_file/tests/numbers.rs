//! Numbers of a job file as a table: what is written, and what is sent or said of it.

use proptest::prelude::*;

use super::*;

/// The faults of the hut with another length, which is line 6.
fn told_of_length(length: &str) -> Vec<String> {
    told(&HUT.replace("6.20", length))
}

fn length(length: &str) -> String {
    let file = parse("hut.toml", &HUT.replace("6.20", length)).unwrap();
    file.job.walls.into_iter().next().unwrap().length_m
}

#[test]
fn a_length_may_be_written_with_its_unit_and_is_converted_exactly() {
    // 20 ft 4 in = 244 in x 0.0254 m = 6.1976 m.
    assert_eq!(length("\"20'4\\\"\""), "6.1976");
    assert_eq!(length("'''20'4\"'''"), "6.1976");
    assert_eq!(length("\"20 ft 4 in\""), "6.1976");
    // 1/64 in = 0.0254 / 64 = 0.000396875 m.
    assert_eq!(length("'1/64\"'"), "0.000396875");
    assert_eq!(length("\"620 cm\""), "6.2");
    assert_eq!(length("\"6.20 m\""), "6.2");
    // Into the unit of the key: 1 ft 6 in = 18 in x 25.4 mm = 457.2 mm.
    let text = HUT.replace("450", "\"1'6\\\"\"");
    assert_eq!(
        parse("hut.toml", &text).unwrap().job.walls[0].thickness_mm,
        "457.2"
    );
}

#[test]
fn a_number_that_is_not_plain_digits_is_refused_with_its_own_sentence() {
    let at = "hut.toml:6: wall south: length_m: ";
    for (written, sentence) in [
        (
            "1_000",
            "\"1_000\" has an underscore in it; write the digits without separators, such as 1000",
        ),
        (
            "1_000.5",
            "\"1_000.5\" has an underscore in it; write the digits without separators, such as 1000",
        ),
        (
            "1,000",
            "\"1,000\" has a comma in it; write no thousands separator, and a point before the decimals, such as 1000.50",
        ),
        (
            "6,20",
            "\"6,20\" has a comma in it; write no thousands separator, and a point before the decimals, such as 1000.50",
        ),
        (
            "+6.20",
            "\"+6.20\" has a plus sign; write a positive number without a sign, such as 6.20",
        ),
        (
            "1e3",
            "\"1e3\" has an exponent; write all the digits, such as 1500 for 1.5e3",
        ),
        (
            "6.2E-1",
            "\"6.2E-1\" has an exponent; write all the digits, such as 1500 for 1.5e3",
        ),
        (
            "nan",
            "\"nan\" is not a number; write digits 0 to 9 with a point before the decimals, such as 6.20",
        ),
        (
            "NaN",
            "\"NaN\" is not a number; write digits 0 to 9 with a point before the decimals, such as 6.20",
        ),
        (
            "-inf",
            "\"-inf\" is not a number; write digits 0 to 9 with a point before the decimals, such as 6.20",
        ),
        (
            "0x1C",
            "\"0x1C\" is not a number; write digits 0 to 9 with a point before the decimals, such as 6.20",
        ),
        (
            ".5",
            "\".5\" needs a digit on each side of its point, such as 0.5 or 5.0",
        ),
        (
            "5.",
            "\"5.\" needs a digit on each side of its point, such as 0.5 or 5.0",
        ),
        (
            "6.20 m",
            "a length with its unit stands in quotes, and an inch mark in it has a backslash: \"6.20 m\"",
        ),
        (
            "20'4\"",
            "a length with its unit stands in quotes, and an inch mark in it has a backslash: \"20'4\\\"\"",
        ),
        (
            "\"20'4\"\"",
            "a length with its unit stands in quotes, and an inch mark in it has a backslash: \"20'4\\\"\"",
        ),
        (
            "",
            "nothing was given where a number is needed, such as 6.20",
        ),
        (
            "\"6.20\"",
            "\"6.20\" is a number in quotes; write it without them, 6.20, or with its unit, \"6.20 m\"",
        ),
        (
            "\"long\"",
            "\"long\" is not a number; write digits 0 to 9 with a point before the decimals, such as 6.20",
        ),
        (
            "\"6.20 miles\"",
            "\"miles\" is not a unit known here; use m, cm, mm, ft, in or yd, or feet and inches such as 20'4\"",
        ),
        (
            "true",
            "found true or false where a number is needed, such as 6.20",
        ),
        (
            "1979-05-27",
            "found a date where a number is needed, such as 6.20",
        ),
        (
            "[6.2]",
            "found a list where a number is needed, such as 6.20",
        ),
        (
            "{ m = 6 }",
            "found a section where a number is needed, such as 6.20",
        ),
        (
            "1234567890123456789012345678901234567890",
            "\"123456789012345678901234...\" has 40 digits before its point; at most 15 are accepted",
        ),
        (
            "0.1234567890123",
            "\"0.1234567890123\" has 13 decimals; at most 12 are accepted",
        ),
        (
            "007",
            "\"007\" starts with a zero that is none of its digits; write 7 for 007",
        ),
    ] {
        assert_eq!(
            told_of_length(written),
            [format!("{at}{sentence}")],
            "{written}"
        );
    }
}

#[test]
fn only_lengths_may_carry_a_unit() {
    assert_eq!(
        told_of_wall_line("turn_deg = \"90\""),
        [
            "hut.toml:9: wall south: turn_deg: \"90\" is a number in quotes; write it without them, 90"
        ]
    );
    assert_eq!(
        told_of_wall_line("turn_deg = \"90 deg\""),
        [
            "hut.toml:9: wall south: turn_deg: \"90 deg\" is text; write a number without quotes, such as 12.5"
        ]
    );
}

#[test]
fn a_count_is_a_whole_number() {
    let with_count = |count: &str| {
        told_of_wall_line(&format!(
            "[[wall.inclusion]]\nid = \"bottles\"\ncount = {count}\nvolume_l = 0.75"
        ))
    };
    let at = "hut.toml:11: wall south, inclusion bottles: count: ";
    assert_eq!(with_count("24"), Vec::<String>::new());
    for (written, sentence) in [
        ("24.0", "\"24.0\" is not a whole number"),
        ("3000000000", "3000000000 is more than can be counted here"),
        (
            "\"24\"",
            "found text where a whole number is needed, such as 12",
        ),
        (
            "2_4",
            "\"2_4\" has an underscore in it; write the digits without separators, such as 1000",
        ),
        (
            "2,4",
            "\"2,4\" has a comma in it; write no thousands separator, and a point before the decimals, such as 1000.50",
        ),
    ] {
        assert_eq!(
            with_count(written),
            [format!("{at}{sentence}")],
            "{written}"
        );
    }
}

proptest! {
    /// Whatever digits a number is written with, those are the digits that are sent.
    #[test]
    fn numbers_keep_their_digits(number in "-?(0|[1-9][0-9]{0,14})(\\.[0-9]{1,12})?") {
        prop_assert_eq!(length(&number), number);
    }
}
