"""Hod's figures of 300 random closed runs, chains and T-junctions against plan sections, and the rows worked by hand."""

from __future__ import annotations

import pytest
import sympy

from geometry import sections
from geometry.compare import all_agree, differences, figure, lift_differences, printed_wall, report
from geometry.plans import Plan
from geometry.random_runs import KINDS


def run_reports(job, takeoff) -> list[str]:
    plan, paring, reports = Plan(job), job["paring_mm"] / 1000, []
    for name, wall in plan.walls.items():
        judged, printed = sections.measure(plan, name), printed_wall(takeoff, name)
        found = differences(printed, judged.printed(paring) | {"length": wall.length})
        found += lift_differences(printed, wall.lift_levels(), judged.placed_lifts(wall, paring))
        if found:
            reports.append(report(job, name, found))
    return reports


@pytest.mark.parametrize("kind", KINDS)
def test_every_wall_of_a_random_run_agrees_with_its_sections(measured_runs, kind):
    pairs = [(job, takeoff) for job, takeoff in measured_runs if job["name"].startswith(kind)]
    assert len(pairs) == 50
    all_agree([found for job, takeoff in pairs for found in run_reports(job, takeoff)])


def run_of(corners: int, **row) -> dict:
    """A closed run of equal walls with equal turns."""
    turn = round(360 / corners, 6)
    names = [f"wall-{i + 1}" for i in range(corners)]
    rows = [{"id": a, **row, "ends": f"corner:{b}", "turn_deg": turn} for a, b in zip(names, names[1:] + names[:1])]
    return {"name": f"Run of {corners}", "system": "cob", "mix": "house-cob", "paring_mm": 0, "wall": rows}


SQUARE = {"length_m": 4.0, "height_m": 2.4, "thickness_mm": 600, "thickness_top_mm": 360}


@pytest.mark.parametrize(
    ("batter", "volume"),
    [
        # Inner faces 3.4 m apart; outer 4.6 m less 0.2 z: 45.66912 - 27.744.
        ("outer", 17.92512),
        # Outer faces 4.6 m apart; inner 3.4 m and 0.2 z more: 50.784 - 31.84512.
        ("inner", 18.93888),
        # The middle stays: 16 m x 2.4 m x mean 0.48 m.
        ("both", 18.432),
    ],
)
def test_a_batter_at_a_mitre_moves_the_middle_of_a_square_run(hod, batter, volume):
    takeoff = hod.takeoff(run_of(4, **SQUARE, batter=batter))
    assert figure(takeoff["totals"], "gross") == pytest.approx(volume, abs=4e-6)
    assert [figure(wall, "gross") for wall in takeoff["walls"]] == pytest.approx([volume / 4] * 4, abs=1e-6)


def test_a_batter_the_other_way_round_the_square_is_the_same(hod):
    job = run_of(4, **SQUARE, batter="outer")
    for row in job["wall"]:
        row["turn_deg"] = -90
    assert figure(hod.takeoff(job)["totals"], "gross") == pytest.approx(17.92512, abs=4e-6)


ARC = {"radius_m": 3.0, "height_m": 2.4, "thickness_mm": 600, "thickness_top_mm": 360}


@pytest.mark.parametrize("bend", [135, -135])
@pytest.mark.parametrize("batter", ["outer", "inner", "both"])
def test_a_batter_on_an_arc_moves_the_middle_of_the_wall(hod, batter, bend):
    """Half the angle times the difference of the squared radii, integrated exactly."""
    z, k = sympy.symbols("z"), sympy.Rational(1, 10)
    outer_lean, inner_lean = {"outer": (k, 0), "inner": (0, k), "both": (k / 2, k / 2)}[batter]
    outer = 3 + sympy.Rational(3, 10) - outer_lean * z
    inner = 3 - sympy.Rational(3, 10) + inner_lean * z
    top, half_angle = sympy.Rational(12, 5), sympy.pi * sympy.Rational(135, 360)
    volume = half_angle * sympy.integrate(outer**2 - inner**2, (z, 0, top))
    outer_face = 2 * half_angle * sympy.integrate(outer, (z, 0, top)) * sympy.sqrt(1 + outer_lean**2)
    inner_face = 2 * half_angle * sympy.integrate(inner, (z, 0, top)) * sympy.sqrt(1 + inner_lean**2)
    job = {"name": "Arc", "system": "cob", "mix": "house-cob", "paring_mm": 0,
           "wall": [{"id": "arc", **ARC, "bend_deg": bend, "batter": batter}]}
    printed = printed_wall(hod.takeoff(job), "arc")
    found = differences(printed, {"gross": float(volume), "outer": float(outer_face), "inner": float(inner_face)})
    assert not found, found


def test_a_round_hut_of_four_arcs_is_a_ring(hod):
    """Arcs joined without a turn: pi (R1^2 - R2^2) H for plumb faces, whole circle."""
    names = ["a", "b", "c", "d"]
    rows = [{"id": a, "radius_m": 2.5, "bend_deg": 90, "height_m": 2.2, "thickness_mm": 450, "ends": f"corner:{b}", "turn_deg": 0}
            for a, b in zip(names, names[1:] + names[:1])]
    takeoff = hod.takeoff({"name": "Hut", "system": "cob", "mix": "house-cob", "paring_mm": 0, "wall": rows})
    assert figure(takeoff["totals"], "gross") == pytest.approx(float(sympy.pi) * 2 * 2.5 * 0.45 * 2.2, abs=4e-6)


def test_the_higher_of_two_walls_is_cut_square_above_the_lower(hod):
    """Worked by hand: a 4 m and a 3 m wall at a right angle, 0.4 m thick, 3 m and 2 m high.

    Mitred to 2 m: (4 + 3) x 0.4 x 2. Above, the higher runs on square to the corner point: 4 x 0.4 x 1.
    """
    rows = [
        {"id": "high", "length_m": 4, "height_m": 3, "thickness_mm": 400, "ends": "corner:low"},
        {"id": "low", "length_m": 3, "height_m": 2, "thickness_mm": 400},
    ]
    takeoff = hod.takeoff({"name": "Step", "system": "cob", "mix": "house-cob", "paring_mm": 0, "wall": rows})
    assert [figure(wall, "gross") for wall in takeoff["walls"]] == [4.8, 2.4]
    # The mitre takes 0.2 m from the inner (left) face up to 2 m and gives it to the outer.
    assert [figure(takeoff["walls"][0], face) for face in ("inner", "outer")] == [3.8 * 2 + 4, 4.2 * 2 + 4]


def test_a_gable_over_the_eaves_of_a_corner_is_cut_square(hod):
    """Worked by hand: a gable 4 m wide rising from 2 m to 3 m, mitred to a level 2 m wall, both 0.4 m thick.

    Below the eaves the inner face is 3.8 m and the outer 4.2 m; above stands the whole triangle, 4 x 1 / 2.
    """
    rows = [
        {"id": "gable", "length_m": 4, "height_m": 2, "peak_m": 3, "peak_at_m": 2, "thickness_mm": 400, "ends": "corner:eaves"},
        {"id": "eaves", "length_m": 3, "height_m": 2, "thickness_mm": 400},
    ]
    takeoff = hod.takeoff({"name": "Gable", "system": "cob", "mix": "house-cob", "paring_mm": 0, "wall": rows})
    assert [figure(wall, "gross") for wall in takeoff["walls"]] == [4.0, 2.4]
    assert [figure(takeoff["walls"][0], face) for face in ("inner", "outer")] == [9.6, 10.4]


def test_what_slopes_to_a_higher_wall_shares_the_corner_with_it(hod):
    """Worked by hand: 4 m falling from 3 m to 2 m at a corner with a level wall 3 m long and 3 m high, both 0.4 m thick.

    Square above 2 m they would be 4.0 and 3.6 m3. The foot of the slope, u above 2 m, is 4 u from the corner, so
    they overlap by 0.2 (0.2 - 4 u) up to u = 0.05: 0.001 m3 in all, counted once. The mitre's line leaves
    (0.2 - 4 u)^2 / 2 of it to the higher, 0.000333 m3 in all, and the rest to the sloping wall.
    """
    rows = [
        {"id": "falling", "length_m": 4, "height_m": 3, "height_end_m": 2, "thickness_mm": 400, "ends": "corner:level"},
        {"id": "level", "length_m": 3, "height_m": 3, "thickness_mm": 400},
    ]
    takeoff = hod.takeoff({"name": "Fall", "system": "cob", "mix": "house-cob", "paring_mm": 0, "wall": rows})
    assert [figure(wall, "gross") for wall in takeoff["walls"]] == [3.999667, 3.599333]
    # Of the inner faces 0.2 - 4 u of the one and 0.2 of the other lie in the other wall.
    assert [figure(wall, "inner") for wall in takeoff["walls"]] == [9.595, 8.59]


def test_a_guest_runs_on_over_a_lower_host_to_its_middle(hod):
    """Worked by hand: a guest 3 m long and 3 m high into a host 2 m high, both 0.4 m thick."""
    rows = [
        {"id": "host", "length_m": 6, "height_m": 2, "thickness_mm": 400},
        {"id": "guest", "length_m": 3, "height_m": 3, "thickness_mm": 400, "ends": "into:host", "into_at_m": 2.5},
    ]
    takeoff = hod.takeoff({"name": "Tee", "system": "cob", "mix": "house-cob", "paring_mm": 0, "wall": rows})
    assert [figure(wall, "gross") for wall in takeoff["walls"]] == [4.8, round(2.8 * 0.4 * 2 + 3 * 0.4 * 1, 6)]
