"""What is left to plaster of random walls that run into one another, openings and reveals in, against their union as meshes."""

from __future__ import annotations

import random

import pytest

from geometry import unions
from geometry.compare import all_agree, figure, printed_wall, report
from geometry.plans import Plan
from geometry.random_runs import random_runs
from geometry.random_walls import add_opening, base_length

SEED, COUNT = 20261126, 600
CLEAR = 1.3


def junctions() -> list[dict]:
    """Random T-junctions with openings in both walls, clear of the junction."""
    draw = random.Random(SEED)
    jobs = [job for job in random_runs(SEED, COUNT) if job["name"].startswith("tee")]
    for job in jobs:
        rows = {row["id"]: row for row in job["wall"]}
        host, guest = rows["host"], rows["guest"]
        at = guest.get("into_at_m", guest.get("start_into_at_m"))
        for low, high in ((0.2, at - CLEAR), (at + CLEAR, base_length(host) - 0.2)):
            if high - low > 0.4:
                add_opening(draw, host, low, high)
        length = base_length(guest)
        low, high = (CLEAR, length - 0.2) if "starts" in guest else (0.2, length - CLEAR)
        if high - low > 0.4:
            add_opening(draw, guest, low, high)
    return jobs


@pytest.fixture(scope="module")
def measured_junctions(hod):
    jobs = junctions()
    return list(zip(jobs, hod.takeoff_many(jobs)))


def left_to_plaster(wall: dict, face: str) -> float:
    return figure(wall, face) - figure(wall, f"{face} covered")


def union_report(job, takeoff) -> list[str]:
    plan = Plan(job)
    (tee,) = plan.tees
    seen, bound = unions.seen(plan, tee), unions.facet_bound(plan, tee)
    host, guest = (printed_wall(takeoff, name) for name in ("host", "guest"))
    rows = [
        ("host's inner face", left_to_plaster(host, "inner"), seen.host_inner, bound["face"]),
        ("host's outer face", left_to_plaster(host, "outer"), seen.host_outer, bound["face"]),
        ("reveals", figure(host, "reveal") + figure(guest, "reveal"), seen.reveal, bound["reveal"]),
    ]
    if unions.is_level(plan.walls["host"]):
        # Against a sloping host a guest is cut at one height over its whole width, which a union is not.
        rows += [
            ("guest's inner face", left_to_plaster(guest, "inner"), seen.guest_inner, bound["face"]),
            ("guest's outer face", left_to_plaster(guest, "outer"), seen.guest_outer, bound["face"]),
        ]
    found = [
        f"{name} {printed:.6f}, judged {judged:.9f} (allowed {allowed:.1e})"
        for name, printed, judged, allowed in rows
        if not abs(printed - judged) <= allowed
    ]
    return [report(job, "host", found)] if found else []


def test_what_is_left_to_plaster_is_the_face_of_the_union(measured_junctions):
    assert len(measured_junctions) == 100
    all_agree([found for job, takeoff in measured_junctions for found in union_report(job, takeoff)])


def test_the_junctions_are_of_every_kind():
    plans = [Plan(job) for job in junctions()]
    walls = [(plan.walls["host"], plan.walls["guest"]) for plan in plans]
    kinds = {(host.curved, guest.curved, unions.is_level(host), unions.is_level(guest)) for host, guest in walls}
    assert len(kinds) >= 12
    assert sum(host.top > guest.top for host, guest in walls) > 20 and sum(host.top < guest.top for host, guest in walls) > 20
    assert sum(len(host.openings) + len(guest.openings) for host, guest in walls) > 150


def test_a_union_worked_by_hand():
    """0.3 m of guest, 2.0 m high, 0.2 m off the host's centre line: 6 x 2.4 - 0.6, and 3.8 x 2.0 each."""
    host = {"id": "host", "length_m": 6.0, "height_m": 2.4, "thickness_mm": 400}
    guest = {"id": "guest", "length_m": 4.0, "height_m": 2.0, "thickness_mm": 300, "ends": "into:host", "into_at_m": 3.0}
    plan = Plan({"wall": [host, guest]})
    seen = unions.seen(plan, plan.tees[0])
    assert list(vars(seen).values()) == pytest.approx([13.8, 14.4, 7.6, 7.6, 0.0], abs=1e-9)
