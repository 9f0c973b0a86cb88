"""The floors of random closed runs against shapely polygons of their inner faces."""

from __future__ import annotations

import random

import pytest

from geometry import enclosures
from geometry.plans import Plan
from geometry.random_runs import random_runs

SEED, COUNT = 20261127, 180
# A layer a metre thick: its volume tells the area to a millionth of a square metre.
LAYER = "earth-floor:1000"


def floored_runs() -> list[dict]:
    """Random closed runs, each with a floor that names one of its walls."""
    draw = random.Random(SEED)
    jobs = []
    for job in random_runs(SEED, COUNT):
        runs = Plan(job).closed_runs()
        if len(runs) == 1:
            job["floor"] = [{"id": "floor", "inside": draw.choice(runs[0]), "layers": [LAYER]}]
            jobs.append(job)
    return jobs


def area(takeoff: dict) -> float:
    (mix,) = [mix for mix in takeoff["mixes"] if mix["mix"] == "mixes/earth-floor"]
    return float(mix["net_volume_m3"])


def test_floors_inside_random_runs_agree_with_polygons(hod):
    jobs = floored_runs()
    assert len(jobs) == 120
    for job, takeoff in zip(jobs, hod.takeoff_many(jobs)):
        plan = Plan(job)
        (run,) = plan.closed_runs()
        # The runs miss their starts by the rounding of their lengths, and where that gap lies is nobody's business.
        allowed = 1e-6 + enclosures.misclosure(plan, run)
        assert area(takeoff) == pytest.approx(enclosures.enclosed(plan, run), abs=allowed), job["name"]


def test_a_room_worked_by_hand_by_polygon():
    """6.20 x 4.00 m on the centre lines, 0.45 m thick: 5.75 x 3.55."""
    names, lengths = ["south", "east", "north", "west"], [6.2, 4.0, 6.2, 4.0]
    rows = [
        {"id": name, "length_m": length, "height_m": 2.4, "thickness_mm": 450, "ends": f"corner:{after}"}
        for name, length, after in zip(names, lengths, names[1:] + names[:1])
    ]
    plan = Plan({"wall": rows})
    assert enclosures.enclosed(plan, names) == pytest.approx(20.4125, abs=1e-9)
