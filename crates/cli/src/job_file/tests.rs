//! The reader of job files as a table: a text, and what it says of it.
#![allow(clippy::unwrap_used)]

mod numbers;
mod sections;

use hod_wire::v1::{OpeningShape, WallSystem};
use proptest::prelude::*;

use super::*;

/// The whole example of the format, as it is shipped.
const STUDIO: &str = include_str!("../../../../shared/demo/jobs/long-acre-studio.toml");

/// A job with one sound wall; `{}` stands for more of the wall.
const HUT: &str = "name = \"Hut\"\nsystem = \"cob\"\n\n[[wall]]\nid = \"south\"\nlength_m = 6.20\nheight_m = 2.40\nthickness_mm = 450\n";

/// What is told of a text, a line for each fault.
fn told(text: &str) -> Vec<String> {
    match parse("hut.toml", text) {
        Ok(_) => Vec::new(),
        Err(faults) => faults.iter().map(ToString::to_string).collect(),
    }
}

/// The faults of the hut with a line more on its wall, which is line 9.
fn told_of_wall_line(line: &str) -> Vec<String> {
    told(&format!("{HUT}{line}\n"))
}

#[test]
fn the_whole_example_is_read_with_its_digits_as_written() {
    let file = parse("long-acre-studio.toml", STUDIO).unwrap();
    let job = &file.job;
    assert_eq!(job.display_name, "Long Acre studio");
    assert_eq!(job.site, "sites/long-acre");
    assert_eq!(job.system, WallSystem::Cob as i32);
    assert_eq!(job.mix, "mixes/house-cob");
    assert_eq!(job.mixing, "tarp");
    assert_eq!(job.crew, "crews/practised");
    assert_eq!(job.paring_mm, "25");
    assert_eq!(
        job.walls
            .iter()
            .map(|wall| wall.id.as_str())
            .collect::<Vec<_>>(),
        ["south", "east", "north", "west"]
    );
    let south = &job.walls[0];
    assert_eq!(south.length_m, "6.20");
    assert_eq!(south.height_m, "2.40");
    assert_eq!(south.thickness_mm, "450");
    assert_eq!(south.thickness_top_mm, "400");
    assert_eq!(south.ends, "corner:east");
    assert_eq!(south.turn_deg, "90");
    let door = &south.openings[0];
    assert_eq!(door.id, "door");
    assert_eq!(door.shape, OpeningShape::Rectangle as i32);
    assert_eq!(
        (
            door.width_m.as_str(),
            door.height_m.as_str(),
            door.sill_m.as_str()
        ),
        ("0.90", "2.00", "0.00")
    );
    assert_eq!((door.at_m.as_str(), door.splay_mm.as_str()), ("1.10", "0"));
    assert_eq!(
        file.places
            .find("walls[0].openings[0].width_m")
            .unwrap()
            .to_string(),
        "long-acre-studio.toml:21: wall south, opening door: width_m"
    );
}

#[test]
fn an_unknown_key_is_named_with_the_nearest_right_one() {
    for (line, told) in [
        (
            "lenght_m = 6",
            "hut.toml:9: wall south: unknown key \"lenght_m\"; the nearest is length_m",
        ),
        (
            "length = 6",
            "hut.toml:9: wall south: unknown key \"length\"; the nearest is length_m",
        ),
        (
            "thickness = 6",
            "hut.toml:9: wall south: unknown key \"thickness\"; the nearest is thickness_mm",
        ),
        (
            "thickness_top = 6",
            "hut.toml:9: wall south: unknown key \"thickness_top\"; the nearest is thickness_top_mm",
        ),
        (
            "turn = 6",
            "hut.toml:9: wall south: unknown key \"turn\"; the nearest is turn_deg",
        ),
        (
            "colour = 6",
            "hut.toml:9: wall south: unknown key \"colour\"; the keys here are id, length_m, radius_m, bend_deg, height_m, height_end_m, peak_m, peak_at_m, thickness_mm, thickness_top_mm, batter, starts, ends, turn_deg, into_at_m, start_turn_deg, start_into_at_m, system, build, stem_height_m, lift_height_m, opening, niche, inclusion, above, finish, buried",
        ),
        (
            "crew = \"pair\"",
            "hut.toml:9: wall south: crew is not a key here; it stands at the top of the file, before its first section",
        ),
        (
            "width_m = 1",
            "hut.toml:9: wall south: width_m is not a key here; it stands in a [[floor]], or in a [[wall.opening]], or in a [[wall.niche]]",
        ),
        (
            "mix = \"house-cob\"",
            "hut.toml:9: wall south: mix is not a key here; it stands at the top of the file, before its first section, or in a [[build]]",
        ),
        (
            "[[wall.floor]]",
            "hut.toml:9: wall south: floor is not a key here; it stands under a header of its own, [[floor]]",
        ),
        (
            "[[opening]]",
            "hut.toml:9: opening is not a key here; it stands under a header of its own, [[wall.opening]]",
        ),
        (
            "[wall.trench]",
            "hut.toml:9: wall south: trench is not a key here; it stands under a header of its own, [trench]",
        ),
    ] {
        assert_eq!(told_of_wall_line(line), [told], "{line}");
    }
}

#[test]
fn a_word_that_is_none_of_the_list_is_told_the_list_or_the_nearest() {
    assert_eq!(
        told_of_wall_line("batter = \"outside\""),
        ["hut.toml:9: wall south: batter: \"outside\" is not known; use both, outer, inner"]
    );
    assert_eq!(
        told_of_wall_line("batter = \"outter\""),
        ["hut.toml:9: wall south: batter: \"outter\" is not known; did you mean outer?"]
    );
    assert_eq!(
        told_of_wall_line("batter = 3"),
        ["hut.toml:9: wall south: batter: \"3\" is not text; write it in quotes"]
    );
    assert_eq!(
        told(&HUT.replace("\"cob\"", "\"brick\"")),
        [
            "hut.toml:2: system: \"brick\" is not known; use cob, adobe, rammed-earth, light-straw-clay, straw-bale, wattle-and-daub"
        ]
    );
}

#[test]
fn a_missing_key_is_named_on_what_lacks_it() {
    let text =
        "[[wall]]\n\n[[wall.opening]]\nid = \"door\"\n\n[[wall.niche]]\n\n[[wall.inclusion]]\n";
    assert_eq!(
        told(text),
        [
            "hut.toml: name: is missing",
            "hut.toml: system: is missing",
            "hut.toml:1: wall 1: id: is missing",
            "hut.toml:1: wall 1: height_m: is missing",
            "hut.toml:1: wall 1: thickness_mm: is missing",
            "hut.toml:1: wall 1: length_m: is missing; give it, or radius_m and bend_deg for an arc",
            "hut.toml:3: wall 1, opening door: shape: is missing",
            "hut.toml:3: wall 1, opening door: width_m: is missing",
            "hut.toml:3: wall 1, opening door: sill_m: is missing",
            "hut.toml:3: wall 1, opening door: at_m: is missing",
            "hut.toml:6: wall 1, niche 1: id: is missing",
            "hut.toml:6: wall 1, niche 1: shape: is missing",
            "hut.toml:6: wall 1, niche 1: width_m: is missing",
            "hut.toml:6: wall 1, niche 1: sill_m: is missing",
            "hut.toml:6: wall 1, niche 1: at_m: is missing",
            "hut.toml:6: wall 1, niche 1: depth_mm: is missing",
            "hut.toml:6: wall 1, niche 1: face: is missing",
            "hut.toml:8: wall 1, inclusion 1: id: is missing",
            "hut.toml:8: wall 1, inclusion 1: count: is missing",
            "hut.toml:8: wall 1, inclusion 1: volume_l: is missing",
        ]
    );
    assert_eq!(
        told("name = \"Hut\"\nsystem = \"cob\"\n"),
        ["hut.toml: wall: a job needs at least one [[wall]]"]
    );
    assert_eq!(
        told(""),
        [
            "hut.toml: name: is missing",
            "hut.toml: system: is missing",
            "hut.toml: wall: a job needs at least one [[wall]]"
        ]
    );
}

#[test]
fn all_faults_of_a_file_are_told_at_once_in_the_order_of_its_lines() {
    let text = "nam = \"Hut\"\nsystem = \"cobb\"\n[[wall]]\nid = \"south\"\nlength_m = 6,20\nheight_m = 1_0\nthickness_mm = \"450\"\n\
                [[wall.opening]]\nid = \"door\"\nshape = \"square\"\nwidth_m = +0.9\nsill_m = 0\nat_m = 1e0\n";
    assert_eq!(
        told(text),
        [
            "hut.toml: name: is missing",
            "hut.toml:1: unknown key \"nam\"; the nearest is name",
            "hut.toml:2: system: \"cobb\" is not known; did you mean cob?",
            "hut.toml:5: wall south: length_m: \"6,20\" has a comma in it; write no thousands separator, and a point before the decimals, such as 1000.50",
            "hut.toml:6: wall south: height_m: \"1_0\" has an underscore in it; write the digits without separators, such as 1000",
            "hut.toml:7: wall south: thickness_mm: \"450\" is a number in quotes; write it without them, 450, or with its unit, \"450 mm\"",
            "hut.toml:10: wall south, opening door: shape: \"square\" is not known; use rectangle, segmental, semicircular, pointed, circle",
            "hut.toml:11: wall south, opening door: width_m: \"+0.9\" has a plus sign; write a positive number without a sign, such as 6.20",
            "hut.toml:13: wall south, opening door: at_m: \"1e0\" has an exponent; write all the digits, such as 1500 for 1.5e3",
        ]
    );
}

#[test]
fn a_broken_line_is_told_once_and_brings_no_followers() {
    // The wall's height is missing only because its line is broken.
    assert_eq!(
        told(&HUT.replace("height_m = 2.40", "height_m 2.40")),
        ["hut.toml:7: not TOML: key with no value, expected `=`"]
    );
    // What stands below a broken header belongs to nothing that could be named.
    assert_eq!(
        told(&HUT.replace("[[wall]]", "[[wall]")),
        ["hut.toml:4: not TOML: unclosed array table, expected `]`"]
    );
    assert_eq!(
        told_of_wall_line("height_m = 2.50"),
        ["hut.toml:9: this key stands here a second time; keep one of the two"]
    );
    assert_eq!(
        told(&HUT.replace("\"Hut\"", "\"Hut")),
        ["hut.toml:1: not TOML: invalid basic string, expected `\"`"]
    );
}

#[test]
fn what_is_no_job_file_at_all_gets_one_clear_error() {
    assert_eq!(
        told("Dear Sir,\nplease find attached the drawings.\n"),
        [
            "hut.toml:1: this is not a job file: not TOML: key with no value, expected `=`; 1 more line is like it"
        ]
    );
    let junk: String = "]{x=\u{1}\n".repeat(500);
    assert_eq!(told(&junk).len(), 1);
    assert!(
        told(&junk)[0].ends_with("; 499 more lines are like it"),
        "{:?}",
        told(&junk)
    );
    // Deep nesting is refused and does not run out of stack.
    assert_eq!(told(&format!("name = {}", "[".repeat(100_000))).len(), 1);
    assert_eq!(told(&format!("name = {}", "{a=".repeat(100_000))).len(), 1);
}

#[test]
fn bytes_that_are_not_text_and_files_over_the_limit_are_refused_as_a_whole() {
    let folder = tempfile::tempdir().unwrap();
    let file = |name: &str, bytes: &[u8]| {
        let path = folder.path().join(name);
        std::fs::write(&path, bytes).unwrap();
        path.to_str().unwrap().to_owned()
    };
    let told = |path: &str| {
        let failure = read(path).unwrap_err();
        assert_eq!(failure.faults.len(), 1);
        (
            failure.code,
            failure.faults[0].to_string().replace(path, "FILE"),
        )
    };
    assert_eq!(
        told(&file("latin.toml", b"name = \"Caf\xe9\"\n")),
        (
            exit::REFUSED,
            "FILE is not a job file: it is not text in UTF-8 (byte 11 is not)".to_owned()
        )
    );
    assert_eq!(
        told(&file("junk.toml", &vec![b'x'; 5_000_000])),
        (
            exit::REFUSED,
            "FILE is larger than 4 MiB, the most that a job file may be".to_owned()
        )
    );
    assert_eq!(
        told("/no/such/hut.toml"),
        (
            exit::MISSING,
            "FILE cannot be read: No such file or directory (os error 2)".to_owned()
        )
    );
    let at_limit = vec![b'#'; JOB_FILE_BYTES_MAX as usize];
    assert_eq!(
        read(&file("comment.toml", &at_limit))
            .unwrap_err()
            .faults
            .len(),
        3,
        "a file at the limit is read: this one has a comment and lacks all else"
    );
}

#[test]
fn a_file_with_windows_line_ends_reads_the_same() {
    let plain = parse("hut.toml", STUDIO).unwrap();
    let windows = parse("hut.toml", &STUDIO.replace('\n', "\r\n")).unwrap();
    assert_eq!(plain.job, windows.job);
    assert_eq!(plain.places, windows.places);
    assert_eq!(
        told(&HUT.replace("6.20", "6,20").replace('\n', "\r\n")),
        [
            "hut.toml:6: wall south: length_m: \"6,20\" has a comma in it; write no thousands separator, and a point before the decimals, such as 1000.50"
        ]
    );
}

#[test]
fn nothing_in_a_file_can_forge_a_line_of_output() {
    let told = told(
        "name = \"Hut\"\nsystem = \"cob\"\n[[wall]]\nid = \"a\\u001b[2J\\nerror: all is well\"\nlength_m = 1\nheight_m = nan\nthickness_mm = 450\n",
    );
    assert_eq!(
        told,
        [
            "hut.toml:6: wall a\\u{1b}[2J\\nerror: all is well: height_m: \"nan\" is not a number; write digits 0 to 9 with a point before the decimals, such as 6.20"
        ]
    );
}

proptest! {
    /// No text makes the reader fall over, and a text that is refused says why.
    #[test]
    fn any_text_is_read_or_refused(text in "(\\PC|[\\[\\]={}\"'#.,\n]|name|wall|length_m|coats|\\[\\[wall\\.finish\\]\\]\n|stem_wall|soil_test|ground){0,60}") {
        if let Err(faults) = parse("hut.toml", &text) {
            prop_assert!(!faults.is_empty());
            prop_assert!(faults.iter().all(|fault| !fault.description.is_empty()));
        }
    }
}
