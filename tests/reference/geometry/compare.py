"""Holds a printed takeoff against what a judge measured, and says precisely where they differ."""

from __future__ import annotations

from decimal import Decimal

from harness import job_toml

# Printed at 1e-6: half a step for the rounding, one for a split by largest remainder.
PRINTED = 1.5e-6

NAMES = {
    "gross": "gross_volume_m3", "opening": "opening_volume_m3", "net": "net_volume_m3",
    "placed": "placed_volume_m3", "inner": "inner_face_m2", "outer": "outer_face_m2", "reveal": "reveal_m2",
    "plan": "plan_area_m2", "length": "length_m",
    "inner covered": "inner_covered_m2", "outer covered": "outer_covered_m2",
}


def printed_wall(takeoff: dict, name: str) -> dict:
    return next(wall for wall in takeoff["walls"] if wall["id"] == name)


def figure(wall: dict, name: str) -> float:
    return float(wall[NAMES[name]])


def differences(printed: dict, expected: dict[str, float], tolerance: float | dict = PRINTED) -> list[str]:
    """A sentence for each figure that is off by more than its tolerance."""
    found = []
    for name, value in expected.items():
        allowed = tolerance[name] if isinstance(tolerance, dict) else tolerance
        off = figure(printed, name) - value
        if not abs(off) <= allowed:
            found.append(f"{NAMES[name]} {printed[NAMES[name]]}, judged {value:.9f}, off by {off:.3e} (allowed {allowed:.1e})")
    return found


def lift_differences(printed: dict, levels, volumes: list[float]) -> list[str]:
    """Lifts must be as many, at the same levels exactly, and of the same volume."""
    lifts = printed["lifts"]
    if len(lifts) != len(volumes):
        return [f"{len(lifts)} lifts, judged {len(volumes)}"]
    found = []
    for i, (lift, low, high, volume) in enumerate(zip(lifts, levels, levels[1:], volumes)):
        if lift["number"] != i + 1:
            found.append(f"lift {i + 1} is numbered {lift['number']}")
        for key, level in (("from_m", low), ("to_m", high)):
            if Decimal(lift[key]) * level.denominator != level.numerator:
                found.append(f"lift {i + 1} {key} {lift[key]}, judged {float(level):.6f}")
        if not abs(float(lift["volume_m3"]) - volume) <= PRINTED:
            found.append(f"lift {i + 1} volume {lift['volume_m3']}, judged {volume:.9f}")
    return found


def report(job: dict, name: str, found: list[str]) -> str:
    """The disagreement with the job file that shows it."""
    return f"wall {name} of {job['name']!r}:\n  " + "\n  ".join(found) + "\n" + job_toml(job | {"wall": rows_of(job, name)})


def rows_of(job: dict, name: str) -> list[dict]:
    """The one wall when it stands free, else all of them."""
    row = next(row for row in job["wall"] if row["id"] == name)
    return job["wall"] if any("starts" in r or "ends" in r for r in job["wall"]) else [row]


def all_agree(reports: list[str]) -> None:
    """Fails with the number of disagreements and the first few in full."""
    assert not reports, f"{len(reports)} disagreements, the first of them:\n" + "\n".join(reports[:4])
