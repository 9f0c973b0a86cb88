"""Rules that hold for any job, tried through the command."""

from __future__ import annotations

import copy
import random
from decimal import Decimal

import pytest

from geometry.compare import NAMES, all_agree, figure, printed_wall

ADDITIVE = ("gross", "opening", "net", "placed", "inner", "outer", "reveal", "plan", "length")


def both(measured_walls, measured_runs):
    return [*measured_walls, *measured_runs]


def test_lifts_sum_to_the_placed_volume_as_printed(measured_walls, measured_runs):
    for job, takeoff in both(measured_walls, measured_runs):
        for wall in takeoff["walls"]:
            assert sum(Decimal(lift["volume_m3"]) for lift in wall["lifts"]) == Decimal(wall["placed_volume_m3"]), job["name"]


def test_net_is_gross_less_openings_as_printed(measured_walls, measured_runs):
    for job, takeoff in both(measured_walls, measured_runs):
        for wall in [*takeoff["walls"], takeoff["totals"]]:
            gross, opening, net = (Decimal(wall[NAMES[name]]) for name in ("gross", "opening", "net"))
            assert gross - opening == net, job["name"]


def test_totals_are_the_sums_of_the_walls_as_printed(measured_walls, measured_runs):
    for job, takeoff in both(measured_walls, measured_runs):
        for name in ADDITIVE:
            walls = sum(Decimal(wall[NAMES[name]]) for wall in takeoff["walls"])
            assert Decimal(takeoff["totals"][NAMES[name]]) == walls, (job["name"], name)


def test_walls_are_printed_in_the_order_of_the_job(measured_walls, measured_runs):
    for job, takeoff in both(measured_walls, measured_runs):
        assert [wall["id"] for wall in takeoff["walls"]] == [row["id"] for row in job["wall"]]


def test_listing_the_walls_in_another_order_changes_nothing(hod, measured_runs):
    sample = measured_runs[::3]
    turned = [job | {"wall": job["wall"][1:] + job["wall"][:1]} for job, _ in sample]
    for (job, before), after in zip(sample, hod.takeoff_many(turned)):
        for row in job["wall"]:
            assert printed_wall(before, row["id"]) == printed_wall(after, row["id"]), job["name"]
        assert before["totals"] == after["totals"]


def mirrored(job: dict) -> dict:
    """The job as seen in a mirror: every turn and bend the other way."""
    job = copy.deepcopy(job)
    for row in job["wall"]:
        if "bend_deg" in row:
            row["bend_deg"] = -row["bend_deg"]
        row["turn_deg"] = -row.get("turn_deg", 90)
        row["start_turn_deg"] = -row.get("start_turn_deg", 90)
        if not row.get("starts", "").startswith("into"):
            del row["start_turn_deg"]
        if "ends" not in row and not any(r.get("starts") == f"corner:{row['id']}" for r in job["wall"]):
            del row["turn_deg"]
    return job


def test_a_mirror_image_measures_the_same(hod, measured_runs):
    """Left and right are treated alike; a straight wall outside a run keeps `inner` on its left, so its faces may swap."""
    sample = [(job, takeoff) for job, takeoff in measured_runs if job["name"].split()[0] in ("convex", "right-angled", "curved")][::2]
    for (job, before), after in zip(sample, hod.takeoff_many([mirrored(job) for job, _ in sample])):
        for wall, image in zip(before["walls"], after["walls"]):
            for name in ADDITIVE:
                assert figure(wall, name) == pytest.approx(figure(image, name), abs=1.1e-6), (job["name"], wall["id"], name)


def smaller(job: dict) -> dict:
    job = copy.deepcopy(job)
    for row in job["wall"]:
        for hole in row.get("opening", []):
            hole["width_m"] = round(hole["width_m"] * 0.9, 6)
            hole["rise_m"] = round(hole["rise_m"] * 0.9, 6) if "rise_m" in hole else None
            hole["splay_mm"] = round(hole.get("splay_mm", 0) * 0.9, 3)
            if hole["rise_m"] is None:
                del hole["rise_m"]
    return job


def test_more_opening_never_costs_more_earth(hod, measured_walls):
    sample = measured_walls[:15]
    for (job, before), after in zip(sample, hod.takeoff_many([smaller(job) for job, _ in sample])):
        for row in job["wall"]:
            large, small = printed_wall(before, row["id"]), printed_wall(after, row["id"])
            if row.get("opening"):
                assert figure(large, "net") < figure(small, "net") and figure(large, "placed") < figure(small, "placed")
            else:
                assert large == small


# Splitting. Heights, slopes and tapers are drawn as short decimals, so that the height at the cut and the top
# thickness of each part are exact and fit the six places of a job file.

LIFT = 0.4


def splittable(draw: random.Random) -> tuple[dict, list[dict]]:
    """A wall, and the same wall as two parts joined without a turn."""
    base, taper = draw.choice([450, 500, 600]), draw.choice([0, 20, 40, 50])
    height = Decimal(draw.randint(180, 260)) / 100
    shared = {"thickness_mm": base, "batter": draw.choice(["both", "outer", "inner"]), "lift_height_m": LIFT}
    kind = draw.choice(["level", "slope", "gable", "arc"])
    whole, parts = {"level": split_level, "slope": split_slope, "gable": split_gable, "arc": split_arc}[kind](draw, height)
    for row in (whole, *parts):
        tallest = max(Decimal(str(row[key])) for key in ("height_m", "height_end_m", "peak_m") if key in row)
        row |= shared | {"thickness_top_mm": float(base - taper * tallest)}
    whole["id"], parts[0]["id"], parts[1]["id"] = "whole", "first", "second"
    parts[0] |= {"ends": "corner:second", "turn_deg": 0}
    share_openings(draw, whole, parts)
    return whole, parts


def lengths(draw) -> tuple[Decimal, Decimal]:
    return Decimal(draw.randint(20, 40)) / 10, Decimal(draw.randint(20, 40)) / 10


def row_of(**values) -> dict:
    return {name: float(value) for name, value in values.items()}


def split_level(draw, height):
    a, b = lengths(draw)
    return row_of(length_m=a + b, height_m=height), [row_of(length_m=a, height_m=height), row_of(length_m=b, height_m=height)]


def split_slope(draw, height):
    a, b = lengths(draw)
    slope = Decimal(draw.choice([-8, -5, 5, 10, 20])) / 100
    middle, end = height + slope * a, height + slope * (a + b)
    parts = [row_of(length_m=a, height_m=height, height_end_m=middle), row_of(length_m=b, height_m=middle, height_end_m=end)]
    return row_of(length_m=a + b, height_m=height, height_end_m=end), parts


def split_gable(draw, height):
    """Cut on the rising side, so that the second part keeps the peak."""
    a, b = lengths(draw)
    run, slope = Decimal(draw.randint(5, 15)) / 10, Decimal(draw.choice([10, 25, 40])) / 100
    middle, peak = height + slope * a, height + slope * (a + run)
    whole = row_of(length_m=a + b, height_m=height, peak_m=peak, peak_at_m=a + run)
    second = row_of(length_m=b, height_m=middle, height_end_m=height, peak_m=peak, peak_at_m=run)
    return whole, [row_of(length_m=a, height_m=height, height_end_m=middle), second]


def split_arc(draw, height):
    radius, first, second = Decimal(draw.randint(20, 50)) / 10, draw.randint(40, 80), draw.randint(40, 80)
    side = draw.choice([1, -1])
    rows = [row_of(radius_m=radius, bend_deg=side * bend, height_m=height) for bend in (first + second, first, second)]
    return rows[0], rows[1:]


def share_openings(draw, whole, parts) -> None:
    """A window in the first part and one in the second, at the same places in the whole."""
    shape = draw.choice([{"shape": "rectangle", "height_m": 0.7}, {"shape": "semicircular", "height_m": 0.5}, {"shape": "circle"}])
    hole = {"width_m": 0.6, "sill_m": 0.5, "splay_mm": draw.choice([0, 150]), **shape}
    parts[0]["opening"] = [{"id": "window", "at_m": 0.4, **hole}]
    whole["opening"] = [{"id": "window", "at_m": 0.4, **hole}]
    if "length_m" in whole:
        cut = Decimal(str(parts[0]["length_m"]))
        parts[1]["opening"] = [{"id": "other", "at_m": 0.7, **hole}]
        whole["opening"].append({"id": "other", "at_m": float(cut + Decimal("0.7")), **hole})


def test_splitting_a_wall_without_a_turn_changes_nothing(hod):
    draw = random.Random(5)
    pairs = [splittable(draw) for _ in range(60)]
    blank = {"name": "Split", "system": "cob", "mix": "house-cob", "paring_mm": 25}
    wholes = hod.takeoff_many([blank | {"wall": [whole]} for whole, _ in pairs])
    halves = hod.takeoff_many([blank | {"wall": parts} for _, parts in pairs])
    reports = []
    for (whole, parts), one, two in zip(pairs, wholes, halves):
        found = split_differences(one, two)
        if found:
            reports.append(f"{whole}\n{parts}\n  " + "\n  ".join(found))
    all_agree(reports)


def split_differences(one: dict, two: dict) -> list[str]:
    found = []
    for name in ADDITIVE:
        whole, parts = figure(one["totals"], name), figure(two["totals"], name)
        # Three rounded figures; net and placed are each made of two.
        if abs(whole - parts) > (3.1e-6 if name in ("net", "placed") else 1.6e-6):
            found.append(f"{name}: whole {whole}, parts {parts}")
    for lift in one["walls"][0]["lifts"]:
        parts = sum(float(x["volume_m3"]) for wall in two["walls"] for x in wall["lifts"] if x["number"] == lift["number"])
        if abs(float(lift["volume_m3"]) - parts) > 3.1e-6:
            found.append(f"lift {lift['number']}: whole {lift['volume_m3']}, parts {parts}")
    return found
