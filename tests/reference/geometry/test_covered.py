"""What stands behind walls that run into another: 100 random T-junctions and partitions against strips cut on plan."""

from __future__ import annotations

import math

import pytest

from geometry import covers
from geometry.compare import all_agree, differences, printed_wall, report
from geometry.plans import Plan


def cover_reports(job, takeoff) -> list[str]:
    plan, reports = Plan(job), []
    for name in plan.walls:
        judged = {f"{face} covered": area for face, area in covers.covered(plan, name).items()}
        found = differences(printed_wall(takeoff, name), judged)
        if found:
            reports.append(report(job, name, found))
    return reports


@pytest.mark.parametrize("kind", ["tee", "partition"])
def test_faces_behind_guests_agree_with_strips_cut_on_plan(measured_runs, kind):
    pairs = [(job, takeoff) for job, takeoff in measured_runs if job["name"].startswith(kind)]
    assert len(pairs) == 50
    all_agree([found for job, takeoff in pairs for found in cover_reports(job, takeoff)])


def test_nothing_stands_behind_a_corner(measured_runs):
    for job, takeoff in measured_runs:
        if job["name"].split()[0] not in ("tee", "partition"):
            for wall in takeoff["walls"]:
                assert float(wall["inner_covered_m2"]) == float(wall["outer_covered_m2"]) == 0


def test_the_strips_agree_with_a_junction_worked_by_hand():
    """The judge itself: 0.3 m at 30 degrees covers 0.6 m of the face; round a radius of 3.2 m, 0.300110 m."""
    host = {"id": "host", "length_m": 6.0, "height_m": 2.4, "thickness_mm": 400}
    guest = {"id": "guest", "length_m": 4.0, "height_m": 2.0, "thickness_mm": 300, "ends": "into:host", "into_at_m": 3.0, "turn_deg": 30}
    assert covers.covered(Plan({"wall": [host, guest]}), "host") == pytest.approx({"inner": 1.2, "outer": 0.0}, abs=1e-9)
    host = {"id": "host", "radius_m": 3.0, "bend_deg": 90, "height_m": 2.4, "thickness_mm": 400}
    guest |= {"turn_deg": -90, "into_at_m": 2.3}
    expected = {"inner": 0.0, "outer": 2 * 3.2 * math.asin(0.15 / 3.2) * 2.0}
    assert covers.covered(Plan({"wall": [host, guest]}), "host") == pytest.approx(expected, abs=1e-6)
