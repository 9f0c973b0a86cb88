"""What is wrong is refused, each with its own message: the thing, what was found, what to do. Through the command with its
exit code and the line of the file, and through the service with its code and the field."""

from __future__ import annotations

import pytest

from estimate import books
from estimate.bad_jobs import closed_run, job, opening, text, wall

DATE = "2026-05-04"
REFUSED, MISSING = 3, 4
FORTY = "1234567890123456789012345678901234567890"

# By name: the job, the field to blame, the line of the file, and the words that tell.
OF_THE_DRAWING = {
    "opening outside": (
        job(wall(opening=[opening(at_m="5.80")])), "walls[0].openings[0].at_m", 18,
        ["south", "door", "5.8 m to 6.7 m", "0 to 6.2 m", "move it or make it narrower"],
    ),
    "opening before the start": (
        job(wall(opening=[opening(at_m="-0.10")])), "walls[0].openings[0].at_m", 18,
        ["south", "door", "-0.1 m to 0.8 m", "0 to 6.2 m", "move it"],
    ),
    "openings overlapping": (
        job(wall(opening=[opening(), opening(id="window", at_m="1.50", sill_m="0.90", height_m="0.80")])),
        "walls[0].openings[1].at_m", 25, ["south", "window", "overlaps", "door", "move one of them"],
    ),
    "opening taller than the wall": (
        job(wall(opening=[opening(height_m="2.60")])), "walls[0].openings[0].height_m", 16,
        ["south", "door", "2.6 m", "2.4 m high", "lower the opening or raise the wall"],
    ),
    "thickness tapers to nothing": (
        job(wall(thickness_top_mm="0")), "walls[0].thickness_top_mm", 12,
        ["south", "450 mm", "runs out to 0 mm", "above zero"],
    ),
    "thickness tapers below nothing": (
        job(wall(thickness_top_mm="-10")), "walls[0].thickness_top_mm", 12, ["south", "450 mm", "-10 mm", "above zero"],
    ),
    "closed run that does not close": (
        closed_run("6.20", "4.00", "6.00", "4.00"), "walls[3].ends", 30,
        ["west", "misses its start by 200 mm", "within 10 mm", "correct a length or a turn"],
    ),
    "corner with a wall that is not there": (
        job(wall(ends="corner:nowhere")), "walls[0].ends", 12, ["south", "nowhere", "does not have", "name one of its walls"],
    ),
    "two walls of one name": (
        job(wall(), wall()), "walls[1].id", 13, ["south", "same id", "give each its own"],
    ),
    "negative length": (job(wall(length_m="-6.20")), "walls[0].length_m", 9, ["south", "-6.2 m", "above zero"]),
    "zero height": (job(wall(height_m="0")), "walls[0].height_m", 10, ["south", "0 m", "above zero"]),
    "absurd length": (
        job(wall(length_m="62000")), "walls[0].length_m", 9, ["south", "62000 m", "0.01 to 1000 m", "check the figure and its unit"],
    ),
}

# As written, with the words that tell.
NUMBERS = {
    "nan": ['"nan" is not a number', "such as 6.20"],
    "NaN": ['"NaN" is not a number', "such as 6.20"],
    "inf": ['"inf" is not a number', "such as 6.20"],
    "-inf": ['"-inf" is not a number'],
    FORTY: ["40 digits before its point", "at most 15"],
    f"2.{FORTY}": ["40 decimals", "at most 12"],
    "1_000": ['"1_000" has an underscore', "without separators, such as 1000"],
    "1,000": ['"1,000" has a comma', "no thousands separator"],
    "1e3": ['"1e3" has an exponent', "all the digits"],
    "0x1c2": ['"0x1c2" is not a number'],
}


def command(hod, verb: str, written: str | bytes, *more: str) -> tuple[int, str]:
    """Exit code and standard error of a command on a file; nothing stands on standard output."""
    path = hod.folder / "bad.toml"
    path.write_bytes(written if isinstance(written, bytes) else written.encode())
    done = hod.run(verb, path.name, *more)
    assert done.stdout == "", done.stdout
    return done.returncode, done.stderr


def estimated(hod, written: str, on: str = DATE) -> tuple[int, str]:
    return command(hod, "estimate", written, "--on", on)


def errors(told: str) -> list[str]:
    return [line for line in told.splitlines() if line.startswith("error: ")]


def assert_tells(told: str, words: list[str]) -> None:
    absent = [word for word in words if word not in told]
    assert not absent, f"{absent} not in: {told}"


def refused_job(client, job: dict, on: str = DATE):
    return client.refused("EstimationService/EstimateJob", {"job": books.told_job(job), "price_date": on})


@pytest.mark.parametrize("name", OF_THE_DRAWING)
def test_a_fault_of_the_drawing_by_the_command(hod, firm, name):
    wrong, _, line, words = OF_THE_DRAWING[name]
    for code, told in [command(hod, "takeoff", text(wrong)), estimated(hod, text(wrong))]:
        assert code == REFUSED, told
        assert len(errors(told)) == 1, told
        assert_tells(told, [f"bad.toml:{line}:", *words])


@pytest.mark.parametrize("name", OF_THE_DRAWING)
def test_a_fault_of_the_drawing_by_the_service(client, firm, name):
    wrong, field, _, words = OF_THE_DRAWING[name]
    found = refused_job(client, wrong)
    assert (found.code, found.reason) == ("INVALID_ARGUMENT", "JOB_HAS_FAULTS")
    assert len(found.fields) == 1, found.fields
    assert_tells(found.description_of(f"job.{field}"), words)


@pytest.mark.parametrize("number", NUMBERS)
def test_a_number_that_is_none_by_the_command(hod, firm, number):
    code, told = estimated(hod, text(job(wall(thickness_mm=number))))
    assert code == REFUSED and len(errors(told)) == 1, told
    assert_tells(told, ["bad.toml:11: wall south: thickness_mm:", *NUMBERS[number]])


@pytest.mark.parametrize("number", NUMBERS)
def test_a_number_that_is_none_by_the_service(client, firm, number):
    found = refused_job(client, job(wall(thickness_mm=number)))
    assert (found.code, found.reason) == ("INVALID_ARGUMENT", "JOB_HAS_FAULTS")
    assert_tells(found.description_of("job.walls[0].thickness_mm"), ["south", *NUMBERS[number]])


@pytest.mark.parametrize("number", [*NUMBERS, "-3", ""])
def test_a_price_that_is_no_number_is_not_kept(client, firm, number):
    price = {"material": "materials/sharp-sand", "unit_price": number, "unit": "UNIT_T", "start_date": "2027-01-01"}
    before = client.ask("RegionService/GetRegion", {"name": "regions/tidewell"})["list_version"]
    found = client.refused("PriceService/CreatePrice", {"parent": "regions/tidewell", "price": price})
    assert (found.code, len(found.fields)) == ("INVALID_ARGUMENT", 1) and found.reason
    assert_tells(found.description_of("price.unit_price"), NUMBERS.get(number, ["-3"] if number else []))
    assert client.ask("RegionService/GetRegion", {"name": "regions/tidewell"})["list_version"] == before


def test_names_of_what_is_not_there_are_told_all_at_once(client, hod, firm):
    wrong = job(mix="porridge", site="atlantis", crew="nobody")
    code, told = estimated(hod, text(wrong))
    assert code == MISSING and len(errors(told)) == 3, told
    for line, words in [(2, "site: there is no site sites/atlantis"), (4, "mix: there is no mix mixes/porridge"),
                        (6, "crew: there is no crew crews/nobody")]:
        assert_tells(told, [f"bad.toml:{line}: {words}"])
    assert_tells(told, ["hint: "])
    found = refused_job(client, wrong)
    assert found.code == "NOT_FOUND" and found.reason
    assert found.fields == [("job.site", "there is no site sites/atlantis"), ("job.mix", "there is no mix mixes/porridge"),
                            ("job.crew", "there is no crew crews/nobody")]


def test_an_unknown_mix_stops_a_takeoff_too(client, hod, firm):
    code, told = command(hod, "takeoff", text(job(mix="porridge")))
    assert code == MISSING
    assert_tells(told, ["bad.toml:4: mix: there is no mix mixes/porridge", "hint: see what there is with `hod mix list`"])
    found = client.refused("EstimationService/MeasureJob", {"job": books.told_job(job(mix="porridge"))})
    assert found.code == "NOT_FOUND" and found.fields == [("job.mix", "there is no mix mixes/porridge")]


def test_an_unknown_way_of_mixing_is_named(client, hod, firm):
    words = ["mix by helicopter", "add one with the method helicopter"]
    code, told = estimated(hod, text(job(mixing="helicopter")))
    assert code == MISSING
    assert_tells(told, words)
    found = refused_job(client, job(mixing="helicopter"))
    assert (found.code, found.reason) == ("FAILED_PRECONDITION", "ESTIMATE_LACKS_INPUTS")
    ((rule, _, description),) = found.lacks
    assert rule == "NO_LABOUR_CONSTANT"
    assert_tells(description, words)


@pytest.mark.parametrize(
    ("method", "request_", "field"),
    [
        ("PriceService/CreatePrice", {"parent": "regions/atlantis", "price": {
            "material": "materials/sharp-sand", "unit_price": "3", "unit": "UNIT_T", "start_date": "2026-01-01"}}, "regions/atlantis"),
        ("PriceService/CreatePrice", {"parent": "regions/tidewell", "price": {
            "material": "materials/moonstone", "unit_price": "3", "unit": "UNIT_T", "start_date": "2026-01-01"}}, "materials/moonstone"),
        ("SiteService/CreateSite", {"site_id": "nowhere", "site": {"display_name": "X", "region": "regions/atlantis"}}, "regions/atlantis"),
        ("MixService/CreateMix", {"mix_id": "odd", "mix": {
            "display_name": "Odd", "bucket_l": "15", "buckets_per_part": "1", "density_dry_kg_m3": "1650", "source": "none",
            "ingredients": [{"material": "materials/moonstone", "parts": "1"}]}}, "materials/moonstone"),
    ],
)
def test_an_unknown_region_or_material_is_named(client, firm, method, request_, field):
    found = client.refused(method, request_)
    assert found.code == "NOT_FOUND" and found.reason
    assert_tells(" ".join([found.message, *(text for pair in found.fields for text in pair)]), [field])


def test_an_unknown_region_or_material_by_the_command(hod, firm):
    for arguments, words in [
        (["region", "show", "atlantis"], ["there is no region regions/atlantis", "hint: see what there is with `hod region list`"]),
        (["material", "show", "moonstone"], ["there is no material materials/moonstone", "`hod material list`"]),
        (["site", "create", "nowhere", "--display-name", "X", "--region", "atlantis"], ["--region", "regions/atlantis"]),
    ]:
        done = hod.run(*arguments)
        assert (done.returncode, done.stdout) == (MISSING, ""), done
        assert_tells(done.stderr, words)


def test_every_price_and_rate_that_is_not_in_force_is_named(client, hod, firm):
    """The day before the first of them began, in a region that asks its parent too."""
    words = ["price for sharp-sand", "price for straw-bale", "labour rate for lead", "labour rate for practised",
             "labour rate for helper"]
    lower = job(site="stonebarrow")
    code, told = estimated(hod, text(lower), on="2025-12-31")
    assert code == MISSING and len(errors(told)) == len(words), told
    assert_tells(told, [f"no {word} is in force on 2025-12-31 in regions/cairnhead" for word in words])
    assert_tells(told, ["regions/tidewell", "put in a price for one t from that day or before", "hint: put a price in force with `hod price set"])
    found = refused_job(client, lower, on="2025-12-31")
    assert (found.code, found.reason) == ("FAILED_PRECONDITION", "ESTIMATE_LACKS_INPUTS")
    assert [rule for rule, _, _ in found.lacks] == ["NO_PRICE_IN_FORCE"] * 2 + ["NO_LABOUR_RATE_IN_FORCE"] * 3
    assert {subject for _, subject, _ in found.lacks} == {
        "materials/sharp-sand", "materials/straw-bale", "labourRates/lead", "labourRates/practised", "labourRates/helper",
    }


@pytest.mark.parametrize("date", ["2026-02-30", "2026-13-04", "04.05.2026", "tomorrow", ""])
def test_a_date_that_is_none_is_refused(client, hod, firm, date):
    found = refused_job(client, job(), on=date)
    assert (found.code, [path for path, _ in found.fields]) == ("INVALID_ARGUMENT", ["price_date"])
    if date:
        assert_tells(found.description_of("price_date"), [date])
        code, told = estimated(hod, text(job()), on=date)
        assert code == REFUSED
        assert_tells(told, ["--on", date])


def test_an_estimate_that_does_not_say_where_how_or_by_whom_is_not_guessed(client, hod, firm):
    bare = {"name": "Bare", "system": "cob", "wall": [wall()]}
    code, told = estimated(hod, text(bare))
    assert code == REFUSED and len(errors(told)) == 4, told
    assert_tells(told, ["names no site", "names no mix", "names no method of mixing", "names no crew"])
    assert sorted(path for path, _ in refused_job(client, bare).fields) == ["job.crew", "job.mix", "job.mixing", "job.site"]
    # Without them there is still a takeoff.
    (hod.folder / "bare.toml").write_text(text(bare))
    assert "6.20" in hod.answer("takeoff", "bare.toml")


def test_unknown_keys_are_told_with_the_nearest_right_name(hod):
    wrong = job(wall(lenght_m="6.20", thicknes_mm="450", opening=[opening(with_m="0.9")]), paring="25")
    code, told = command(hod, "takeoff", text(wrong))
    assert code == REFUSED and len(errors(told)) == 4, told
    for key, nearest in [("paring", "paring_mm"), ("lenght_m", "length_m"), ("thicknes_mm", "thickness_mm"), ("with_m", "width_m")]:
        assert_tells(told, [f'unknown key "{key}"; the nearest is {nearest}'])
    assert_tells(told, ["wall south, opening door: unknown key"])


def test_a_word_that_is_not_in_the_list_is_told_with_the_list(hod):
    code, told = command(hod, "takeoff", text(job(wall(opening=[opening(shape="ogee")]))))
    assert code == REFUSED
    assert_tells(told, ["bad.toml:14: wall south, opening door: shape", '"ogee"', "rectangle, segmental, semicircular, pointed, circle"])


@pytest.mark.parametrize(
    ("written", "words"),
    [
        (b"this is no job at all\n<wall/>\n", ["bad.toml:1:", "not TOML"]),
        (b"", ["name: is missing", "system: is missing", "at least one [[wall]]"]),
        (bytes(range(256)) * 20, ["bad.toml is not a job file", "not text in UTF-8"]),
        (b"A" * 5_000_000, ["bad.toml is larger than 4 MiB", "the most that a job file may be"]),
        (b"a b c [ ] = \"\n" * 400_000, ["bad.toml is larger than 4 MiB"]),
        (b"[" * 100_000, ["bad.toml:1:"]),
        (b"wall = " + b"[" * 3_000_000, ["bad.toml:1:"]),
    ],
    ids=["prose", "nothing", "binary", "5 MB of one letter", "5 MB of lines", "brackets", "nested brackets"],
)
def test_what_is_no_job_file_is_refused_in_few_words(hod, written, words):
    code, told = command(hod, "takeoff", written)
    assert code == REFUSED, told[:500]
    assert_tells(told, words)
    assert len(told) < 1000, "a person reads this"


def test_junk_in_place_of_a_message_is_refused(client):
    small = client.refused("EstimationService/MeasureJob", b"\xff" * 5000)
    assert (small.code, small.reason) == ("INVALID_ARGUMENT", "NOT_A_MESSAGE")
    large = client.refused("EstimationService/MeasureJob", b"\x00" * 5_000_000)
    assert (large.code, large.reason) == ("RESOURCE_EXHAUSTED", "MESSAGE_TOO_LARGE")
    assert_tells(large.message, ["4194304 bytes", "send less at once"])


def test_a_job_over_the_limit_of_walls_is_refused(client, hod):
    many = job(*(wall(id=f"wall-{number}") for number in range(5001)))
    words = ["there are 5001 walls", "from 1 to 5000 are accepted"]
    code, told = command(hod, "takeoff", text(many))
    assert code == REFUSED and len(errors(told)) == 1
    assert_tells(told, words)
    found = client.refused("EstimationService/MeasureJob", {"job": books.told_job(many)})
    assert found.code == "INVALID_ARGUMENT"
    assert_tells(found.description_of("job.walls"), words)


def test_a_job_within_the_limits_but_over_the_size_of_a_message_is_refused(client, hod):
    holes = [opening(id=f"opening-{number}-with-a-name-as-long-as-they-may-be-{'x' * 20}") for number in range(20)]
    large = job(*(wall(id=f"wall-{number}", opening=holes) for number in range(4000)))
    code, told = command(hod, "takeoff", text(large))
    assert code == REFUSED
    assert_tells(told, ["bad.toml is larger than 4 MiB"])
    found = client.refused("EstimationService/MeasureJob", {"job": books.told_job(large)})
    assert (found.code, found.reason) == ("RESOURCE_EXHAUSTED", "MESSAGE_TOO_LARGE")


FIVE = job(
    wall(opening=[opening(at_m="5.80"), opening(id="hatch", height_m="9.00")]), wall(id="shed", thickness_top_mm="0"),
    wall(id="loose", ends="corner:nowhere"), wall(id="flat", height_m="0"),
)
FIVE_WORDS = [["door", "5.8 m to 6.7 m"], ["hatch", "9 m"], ["shed", "runs out"], ["loose", "nowhere"], ["flat", "0 m"]]


def test_five_faults_get_five_messages_at_once(client, hod, firm):
    code, told = estimated(hod, text(FIVE))
    assert code == REFUSED and len(errors(told)) == 5, told
    found = refused_job(client, FIVE)
    assert len(found.fields) == 5, found.fields
    assert "5 faults" in found.message
    for line, (_, description), words in zip(errors(told), found.fields, FIVE_WORDS):
        assert_tells(line, words)
        assert_tells(description, words)


def test_faults_of_every_kind_are_told_together(client, hod, firm):
    """Of the drawing and of names, in one answer; so too of the drawing, of a number and of the date."""
    named = job(wall(opening=[opening(at_m="5.80")]), wall(id="odd", length_m="0"), mix="porridge", crew="nobody")
    found = refused_job(client, named)
    assert dict(found.fields).keys() == {"job.walls[0].openings[0].at_m", "job.walls[1].length_m", "job.mix", "job.crew"}, found
    wrong = job(wall(opening=[opening(at_m="5.80")]), wall(id="odd", length_m="1,000"))
    found = refused_job(client, wrong, on="2026-02-30")
    told = dict(found.fields)
    assert set(told) == {"price_date", "job.walls[0].openings[0].at_m", "job.walls[1].length_m"}, told
    assert found.code == "INVALID_ARGUMENT" and found.reason


def test_what_is_refused_leaves_nothing_behind(client, firm):
    found = client.refused("JobService/CreateJob", {"job_id": "never-kept", "job": books.told_job(FIVE)})
    assert (found.code, len(found.fields)) == ("INVALID_ARGUMENT", 5)
    assert client.refused("JobService/GetJob", {"name": "jobs/never-kept"}).code == "NOT_FOUND"
