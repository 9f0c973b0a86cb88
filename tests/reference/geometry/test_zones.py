"""Walls that are built of something else above a height: Hod's lifts of 400 random ones against quadrature."""

from __future__ import annotations

import random

import pytest

from geometry import quadrature
from geometry.compare import all_agree, differences, lift_differences, printed_wall, report
from geometry.random_walls import random_jobs
from geometry.walls import wall_from

SEED, COUNT = 5, 400
# Every build of a job but the walls' own: cob again, of other lifts and paring.
BUILDS = [
    {"id": "coarse", "system": "cob", "mix": "insulating-cob", "lift_height_m": 0.6, "paring_mm": 40},
    {"id": "fine", "system": "cob", "lift_height_m": 0.25, "paring_mm": 0},
    {"id": "usual", "system": "cob", "mix": "sandy-soil-cob"},
]


def zoned_jobs() -> list[dict]:
    """Random walls, most of them in up to three parts above their base."""
    draw = random.Random(SEED)
    jobs = random_jobs(SEED, COUNT)
    for job in jobs:
        job["build"] = BUILDS
        for row in job["wall"]:
            top = wall_from(row, job).top
            starts = sorted({round(top * draw.uniform(0.08, 0.92), draw.choice([1, 2, 3])) for _ in range(draw.randint(0, 3))})
            row["above"] = [{"from_m": start, "build": draw.choice(BUILDS)["id"]} for start in starts]
    return jobs


@pytest.fixture(scope="module")
def measured_zones(hod):
    jobs = zoned_jobs()
    return list(zip(jobs, hod.takeoff_many(jobs)))


def zone_reports(job, takeoff) -> list[str]:
    reports = []
    for row in job["wall"]:
        wall, printed = wall_from(row, job), printed_wall(takeoff, row["id"])
        judged = quadrature.measure(wall, job["paring_mm"] / 1000)
        found = differences(printed, judged.printed())
        found += lift_differences(printed, wall.lift_levels(), judged.lifts)
        if found:
            reports.append(report(job, row["id"], found))
    return reports


def test_every_wall_in_parts_agrees_with_quadrature(measured_zones):
    assert sum(len(job["wall"]) for job, _ in measured_zones) == COUNT
    all_agree([found for job, takeoff in measured_zones for found in zone_reports(job, takeoff)])


def test_every_lift_is_of_the_build_of_its_part(measured_zones):
    checked = 0
    for job, takeoff in measured_zones:
        for row in job["wall"]:
            starts = [(0.0, None)] + [(above["from_m"], above["build"]) for above in row["above"]]
            for lift in printed_wall(takeoff, row["id"])["lifts"]:
                own = [build for start, build in starts if start <= float(lift["from_m"])][-1]
                assert lift["build"] == own
                checked += own is not None
    assert checked > 1000


def test_the_walls_are_in_up_to_four_parts():
    rows = [row for job in zoned_jobs() for row in job["wall"]]
    assert {len(row["above"]) for row in rows} == {0, 1, 2, 3}
