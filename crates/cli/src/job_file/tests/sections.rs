//! The sections of a job file as a table: every key reaches its field, and a section that is written wrongly or where it
//! does not belong is told how to write it.

use super::super::key::Keyed;
use super::*;

/// Every section with every key of it.
const ALL: &str = r#"
name = "All"
site = "mill"
system = "cob"
mix = "house-cob"
mixing = "tarp"
crew = "pair"
paring_mm = 20
parings_reused_percent = 60
waste_percent = 7.5
stem_height_m = 0.45
lift_height_m = 0.40
measurement = "is-1200"
rounding = "half-to-even"

[[build]]
id = "upper"
system = "adobe"
mix = "adobe-earth"
mixing = "drum-mixer"
lift_height_m = 0.12
paring_mm = 0
piece_material = "adobe"
mortar_mix = "mud-mortar"
joint_mm = 15
breakage_percent = 5
bale_lay = "edge"
settling_percent = 4
tie_material = "twine"
ties_per_piece = 1.5
stave_material = "stave"
stave_spacing_mm = "12 in"
rod_material = "rod"
rod_spacing_mm = 40
wattle_percent = 18
form_material = "board"
form_use_count = 8

[[finish]]
face = "inner"
coats = ["clay-base:12", "limewash:0.2"]
levelling_mm = 6
reveal_percent = 100

[stem_wall]
system = "stone-in-mortar"
thickness_mm = 500
stone_material = "rubble-stone"
mortar_mix = "lime-mortar"
mortar_percent = 30
bag_material = "bag"
fill_mix = "bag-fill"
damp_course_material = "dpc"

[trench]
width_mm = 600
depth_mm = "2 ft"
fill_mix = "rubble"
drain_material = "drain"
fabric_material = "cloth"

[[floor]]
id = "hall"
area_m2 = 12.50
length_m = 5
width_m = 2.5
inside = "arc"
layers = ["gravel:100", "floor-earth:40"]
sheet_material = "membrane"
lap_percent = 10

[[oven]]
id = "yard"
inner_diameter_m = 0.70
dome_height_m = 0.40
door_width_m = 0.35
door_height_m = 0.25
layers = ["oven-dense:75"]
base_layers = ["sand-bed:50"]
form_mix = "damp-sand"

[ground]
dig_area_m2 = 80
topsoil_mm = 200
subsoil_mm = 900
soil_test = "north-corner"
tip_material = "tipping"
swell_percent = 25

[[scope]]
part = "roof"
display_name = "Reed roof"
holder = "by-others"
note = "with its battens"

[[scope]]
part = "engineer"
holder = "ours"

[[cost]]
item = "Digger"
kind = "hire"
quantity = 2
unit = "day"
unit_price = 140.50
driver = "per-week"
part = "engineer"
source = "a call"

[site_time]
weeks = 9.5
days = 47
trips = 12
visits = 3

[[source]]
material = "sharp-sand"
supplier = "Mill quarry"
distance_km = 18.5

[build_up]
site_overhead_percent = 6
firm_overhead_percent = 9
contingency_percent = 5
profit_percent = 12.5
profit_basis = "margin-on-price"
discount_percent = 2
discount_amount = 150.00
minimum_charge = 900
round_price_to = 10
daywork_percent = 30
tax_label = "VAT"
tax_percent = 20
tax_basis = "line"

[[build_up.tax]]
label = "Reduced"
percent = 5
parts = ["material", "labour"]

[[build_up.allowance]]
label = "small tools"
percent = 1.5
parts = ["labour"]
amount = 80

[[wall]]
id = "arc"
length_m = 6.20
radius_m = 3.00
bend_deg = -120
height_m = 2.1
height_end_m = 2.2
peak_m = 3.3
peak_at_m = 1.5
thickness_mm = 500
thickness_top_mm = 400
batter = "outer"
starts = "into:a"
ends = "free"
turn_deg = -45.5
into_at_m = 1.1
start_turn_deg = 60
start_into_at_m = 2.2
system = "rammed-earth"
build = "lower"
stem_height_m = 0.60
lift_height_m = 0.35

[[wall.opening]]
id = "w"
shape = "segmental"
width_m = 1.2
height_m = 0.9
rise_m = 0.2
sill_m = -0.10
at_m = 0.5
splay_mm = 150
lintel_material = "oak-lintel"
lintel_count = 2
bearing_mm = 200
sill_material = "sill-board"
frame_material = "frame"
arch_form_material = "arch-form"

[[wall.niche]]
id = "n"
shape = "semicircular"
width_m = 0.3
height_m = 0.4
rise_m = 0.1
sill_m = 1
at_m = 2.5
depth_mm = 120
face = "inner"

[[wall.inclusion]]
id = "bottles"
count = 24
volume_l = 0.75

[[wall.above]]
from_m = 1.20
build = "upper"

[[wall.finish]]
face = "outer"
coats = ["lime-base:15"]

[[wall.buried]]
id = "deadman"
height_m = 0.9
count = 3
material = "deadman"
"#;

#[test]
fn every_key_of_the_format_reaches_its_field() {
    fn named<T: Keyed>() {
        for key in T::KEYS {
            let line = format!("\n{} = ", key.name);
            let is_there = ALL.contains(&line)
                || [
                    ("[", "]"),
                    ("[[", "]]"),
                    ("[[wall.", "]]"),
                    ("[[build_up.", "]]"),
                ]
                .iter()
                .any(|(open, close)| ALL.contains(&format!("\n{open}{}{close}\n", key.name)));
            assert!(is_there, "{} is in no line of the text", key.name);
        }
    }
    named::<hod_wire::v1::Job>();
    named::<hod_wire::v1::Build>();
    named::<hod_wire::v1::Finish>();
    named::<hod_wire::v1::StemWall>();
    named::<hod_wire::v1::Trench>();
    named::<hod_wire::v1::Floor>();
    named::<hod_wire::v1::Oven>();
    named::<hod_wire::v1::Ground>();
    named::<hod_wire::v1::Wall>();
    named::<hod_wire::v1::Opening>();
    named::<hod_wire::v1::Niche>();
    named::<hod_wire::v1::Inclusion>();
    named::<hod_wire::v1::WallAbove>();
    named::<hod_wire::v1::Buried>();
    named::<hod_wire::v1::ScopeLine>();
    named::<hod_wire::v1::Cost>();
    named::<hod_wire::v1::SiteTime>();
    named::<hod_wire::v1::Source>();
    named::<hod_wire::v1::BuildUp>();
    named::<hod_wire::v1::Tax>();
    named::<hod_wire::v1::Allowance>();
    insta::assert_debug_snapshot!(parse("all.toml", ALL).unwrap().job);
}

#[test]
fn everything_is_placed_under_the_name_that_a_builder_knows_it_by() {
    let places = parse("all.toml", ALL).unwrap().places;
    for (field, line, told) in [
        (
            "builds[0].joint_mm",
            "joint_mm = 15",
            "build upper: joint_mm",
        ),
        (
            "finishes[0].coats",
            "coats = [\"clay",
            "finish inner: coats",
        ),
        (
            "finishes[0].coats[1]",
            "coats = [\"clay",
            "finish inner: coats \"limewash:0.2\"",
        ),
        ("stem_wall", "[stem_wall]", "stem wall"),
        (
            "stem_wall.mortar_mix",
            "mortar_mix = \"lime",
            "stem wall: mortar_mix",
        ),
        ("trench.depth_mm", "depth_mm = \"2 ft", "trench: depth_mm"),
        (
            "floors[0].layers[0]",
            "layers = [\"gravel",
            "floor hall: layers \"gravel:100\"",
        ),
        (
            "ovens[0].base_layers[0]",
            "base_layers",
            "oven yard: base_layers \"sand-bed:50\"",
        ),
        ("ground.soil_test", "soil_test", "ground: soil_test"),
        (
            "walls[0].openings[0].lintel_material",
            "lintel_material",
            "wall arc, opening w: lintel_material",
        ),
        (
            "walls[0].above[0].build",
            "build = \"upper\"",
            "wall arc, above 1.20: build",
        ),
        (
            "walls[0].finishes[0].coats[0]",
            "coats = [\"lime",
            "wall arc, finish outer: coats \"lime-base:15\"",
        ),
        (
            "walls[0].buried[0].material",
            "material = \"deadman\"",
            "wall arc, buried deadman: material",
        ),
        // What the file leaves out is placed on what should have had it.
        (
            "walls[0].finishes[0].levelling_mm",
            "[[wall.finish]]",
            "wall arc, finish outer: levelling_mm",
        ),
    ] {
        let line = ALL.lines().position(|of_all| of_all.starts_with(line));
        let told = format!("all.toml:{}: {told}", line.unwrap() + 1);
        assert_eq!(
            places.find(field).map(|place| place.to_string()),
            Some(told)
        );
    }
}

#[test]
fn a_list_in_several_lines_has_a_place_to_each_of_its_texts() {
    let text = format!(
        "{HUT}[[wall.finish]]\nface = \"inner\"\ncoats = [\n  \"clay-base:12\",  # first\n  \"clay-finish:3\",\n]\n"
    );
    let file = parse("hut.toml", &text).unwrap();
    assert_eq!(
        file.job.walls[0].finishes[0].coats,
        ["clay-base:12", "clay-finish:3"]
    );
    assert_eq!(
        file.places
            .find("walls[0].finishes[0].coats[1]")
            .unwrap()
            .to_string(),
        "hut.toml:13: wall south, finish inner: coats \"clay-finish:3\""
    );
}

#[test]
fn a_list_that_is_none_is_told_how_to_write_one() {
    let told_of = |coats: &str| {
        told_of_wall_line(&format!(
            "[[wall.finish]]\nface = \"inner\"\ncoats = {coats}"
        ))
    };
    let at = "hut.toml:11: wall south, finish inner: coats: ";
    for (coats, sentence) in [
        (
            "\"clay-base:12\"",
            "\"clay-base:12\" is a text where a list of them is needed; write [\"clay-base:12\"]",
        ),
        (
            "12",
            "found a number where a list of texts is needed, such as [\"clay-base:12\"]",
        ),
        (
            "[12]",
            "\"12\" is no MIX:MM; write a mix, a colon and how thick it stands, in quotes, such as \"clay-base:12\"",
        ),
        (
            "[[\"clay\"]]",
            "\"[\"clay\"]\" is no MIX:MM; write a mix, a colon and how thick it stands, in quotes, such as \"clay-base:12\"",
        ),
    ] {
        assert_eq!(told_of(coats), [format!("{at}{sentence}")], "{coats}");
    }
    assert_eq!(
        told_of("[clay-base:12]"),
        ["hut.toml:11: not TOML: string values must be quoted, expected literal string"],
        "a broken line is told once"
    );
}

#[test]
fn a_soil_test_is_one_of_the_jobs_own_site() {
    let with = |site: &str, test: &str| format!("{site}{HUT}[ground]\nsoil_test = \"{test}\"\n");
    let named = |text: &str| {
        let job = parse("hut.toml", text).unwrap().job;
        job.ground.unwrap().soil_test
    };
    let test = "sites/mill/soilTests/north-corner";
    assert_eq!(named(&with("site = \"mill\"\n", "north-corner")), test);
    assert_eq!(
        named(&with("site = \"sites/mill\"\n", "north-corner")),
        test
    );
    assert_eq!(named(&with("site = \"mill\"\n", test)), test);
    for more in ["mill/north-corner", "sites/other/soilTests/north-corner"] {
        assert_eq!(
            told(&with("site = \"mill\"\n", more)),
            [format!(
                "hut.toml:11: ground: soil_test: \"{more}\" is more than an id; the test is one of the job's own site, so write its id alone: soil_test = \"north-corner\""
            )]
        );
    }
    assert_eq!(
        told(&with("", "north-corner")),
        [
            "hut.toml:10: ground: soil_test: a soil test is one of the job's site, and no site is given; write site = \"ID\" at the top of the file"
        ]
    );
    assert_eq!(
        told(&with("site = 3\n", "north-corner")),
        ["hut.toml:1: site: \"3\" is not text; write it in quotes"],
        "a site that is written wrongly is one fault"
    );
}

#[test]
fn a_section_with_the_wrong_brackets_is_told_how_to_write_it() {
    let top = "name = \"Hut\"\nsystem = \"cob\"\n";
    assert_eq!(
        told(&format!("{top}[wall]\nid = \"south\"\n")),
        ["hut.toml:3: write [[wall]], with two brackets on each side"]
    );
    for (lines, fault) in [
        (
            "opening = [3]",
            "wall south: opening: found a number where a [[wall.opening]] is needed",
        ),
        (
            "finish = \"clay\"",
            "wall south: finish: found text where a [[wall.finish]] is needed",
        ),
        (
            "[wall.finish]\nface = \"inner\"",
            "wall south: write [[wall.finish]], with two brackets on each side",
        ),
        (
            "[[stem_wall]]\nsystem = \"bags\"",
            "write [stem_wall], with one bracket on each side; a job has one of it at the most",
        ),
        (
            "[build]\nid = \"a\"",
            "write [[build]], with two brackets on each side",
        ),
    ] {
        assert_eq!(told_of_wall_line(lines), [format!("hut.toml:9: {fault}")]);
    }
    assert_eq!(
        told(&format!("trench = \"deep\"\n{HUT}")),
        ["hut.toml:1: trench: found text where a [trench] is needed"]
    );
    assert_eq!(
        told_of_wall_line("[trench]\nwidth_mm = 1\ndepth_mm = 1\nfill_mix = \"r\"\n[trench]"),
        [
            "hut.toml:13: this section stands here a second time; a job has one of it at the most, so keep one of the two"
        ],
    );
    // What is in it is not told again; a key that is twice in another section is.
    assert_eq!(
        told_of_wall_line(
            "[stem_wall]\nsystem = \"bags\"\n[stem_wall]\nsystem = \"bags\"\n[ground]\ntopsoil_mm = 1\ntopsoil_mm = 2"
        ),
        [
            "hut.toml:11: this section stands here a second time; a job has one of it at the most, so keep one of the two",
            "hut.toml:15: this key stands here a second time; keep one of the two"
        ],
    );
}

#[test]
fn a_missing_key_is_named_on_the_section_that_lacks_it() {
    let text = format!(
        "{HUT}[[wall.above]]\n[[wall.finish]]\n[[wall.buried]]\n[[build]]\n[[finish]]\n[stem_wall]\n[trench]\n[[floor]]\n[[oven]]\n[ground]\n"
    );
    assert_eq!(
        told(&text),
        [
            "hut.toml:9: wall south, above 1: from_m: is missing",
            "hut.toml:9: wall south, above 1: build: is missing",
            "hut.toml:10: wall south, finish 1: face: is missing",
            "hut.toml:10: wall south, finish 1: coats: is missing",
            "hut.toml:11: wall south, buried 1: id: is missing",
            "hut.toml:11: wall south, buried 1: height_m: is missing",
            "hut.toml:12: build 1: id: is missing",
            "hut.toml:12: build 1: system: is missing",
            "hut.toml:13: finish 1: face: is missing",
            "hut.toml:13: finish 1: coats: is missing",
            "hut.toml:14: stem wall: system: is missing",
            "hut.toml:15: trench: width_mm: is missing",
            "hut.toml:15: trench: depth_mm: is missing",
            "hut.toml:15: trench: fill_mix: is missing",
            "hut.toml:16: floor 1: id: is missing",
            "hut.toml:16: floor 1: layers: is missing",
            "hut.toml:16: floor 1: area_m2: is missing; give it, or length_m and width_m, or inside with a wall of a closed run",
            "hut.toml:17: oven 1: id: is missing",
            "hut.toml:17: oven 1: inner_diameter_m: is missing",
            "hut.toml:17: oven 1: door_width_m: is missing",
            "hut.toml:17: oven 1: layers: is missing",
        ]
    );
}

#[test]
fn a_key_that_many_sections_know_is_told_those_of_its_own() {
    assert_eq!(
        told(&format!("id = \"hut\"\n{HUT}")),
        [
            "hut.toml:1: unknown key \"id\"; the keys here are name, site, system, mix, mixing, crew, paring_mm, parings_reused_percent, waste_percent, stem_height_m, lift_height_m, measurement, build, finish, stem_wall, trench, floor, oven, ground, wall, scope, cost, site_time, source, build_up, rounding"
        ]
    );
}

#[test]
fn words_and_numbers_of_the_new_sections_are_told_as_those_of_walls() {
    let text = format!(
        "{HUT}[stem_wall]\nsystem = \"stone\"\nthickness_mm = \"500\"\n[[build]]\nid = \"bales\"\nsystem = \"strawbale\"\nbale_lay = \"flatt\"\nform_use_count = 2.5\n[trench]\nwidth_mm = 6,00\ndepth_mm = 500\nfill_mix = 3\n"
    );
    assert_eq!(
        told(&text),
        [
            "hut.toml:10: stem wall: system: \"stone\" is not known; did you mean stone-in-mortar?",
            "hut.toml:11: stem wall: thickness_mm: \"500\" is a number in quotes; write it without them, 500, or with its unit, \"500 mm\"",
            "hut.toml:14: build bales: system: \"strawbale\" is not known; did you mean straw-bale?",
            "hut.toml:15: build bales: bale_lay: \"flatt\" is not known; did you mean flat?",
            "hut.toml:16: build bales: form_use_count: \"2.5\" is not a whole number",
            "hut.toml:18: trench: width_mm: \"6,00\" has a comma in it; write no thousands separator, and a point before the decimals, such as 1000.50",
            "hut.toml:20: trench: fill_mix: \"3\" is not text; write it in quotes",
        ]
    );
}

#[test]
fn what_a_price_is_made_of_is_told_as_all_else() {
    assert_eq!(
        told_of_wall_line(
            "[[scope]]\npart = \"roof\"\nholder = \"other\"\n[[cost]]\nitem = \"Digger\"\nkind = \"hire\"\n\
             [build_up]\n[[build_up.tax]]\nlabel = \"VAT\"\npercent = 20\nparts = [\"material\", \"work\", 3]\n\
             [[build_up.allowance]]\nlabel = \"tools\""
        ),
        [
            "hut.toml:11: scope roof: holder: \"other\" is not known; did you mean by-others?",
            "hut.toml:12: cost Digger: unit_price: is missing",
            "hut.toml:19: build up, tax VAT: parts: \"3\" is not text; write it in quotes",
            "hut.toml:19: build up, tax VAT: parts: \"work\" is not known; use material, labour, equipment, subcontract, fee, travel, provisional-sum, other, on-cost",
            "hut.toml:20: build up, allowance tools: percent: is missing; give it, or amount",
        ]
    );
}

#[test]
fn a_variation_file_is_read_with_its_digits_and_told_at_its_lines() {
    let read = |text: &str| crate::job_file::read::whole::<hod_wire::v1::Variation>("v.toml", text);
    let lines = "[[line]]\nitem = \"Niche\"\nquantity = -6.50\nunit = \"h\"\nunit_price = 38.5\n";
    let top = "title = \"Niche\"\nreason = \"asked\"\n";
    for agreed in ["2026-06-12", "\"2026-06-12\""] {
        let (variation, _) = read(&format!("{top}agreed_date = {agreed}\n{lines}")).unwrap();
        assert_eq!(variation.agreed_date, "2026-06-12");
        assert_eq!(variation.lines[0].quantity, "-6.50");
    }
    let told: Vec<String> = read(&format!("{top}agreed_date = 12\nsite = \"mill\"\n"))
        .unwrap_err()
        .iter()
        .map(ToString::to_string)
        .collect();
    assert_eq!(
        told,
        [
            "v.toml: line: a variation needs at least one [[line]]",
            "v.toml:3: agreed_date: found a number where a date is needed, such as 2026-05-01",
            "v.toml:4: unknown key \"site\"; the nearest is title",
        ]
    );
}
