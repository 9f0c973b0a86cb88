"""Random valid free-ended walls, from a seed, as rows of a job file.

Every number is rounded to a few decimal places when it is drawn, so that the
job file and the judges hold the same value.
"""

from __future__ import annotations

import math
import random

from geometry.walls import wall_from

SHAPES = ("rectangle", "segmental", "semicircular", "pointed", "circle")
CLEAR = 0.02


def random_jobs(seed: int, wall_count: int, walls_per_job: int = 20) -> list[dict]:
    """Jobs of free-standing walls, with the paring of each job drawn too."""
    draw = random.Random(seed)
    jobs = []
    while sum(len(job["wall"]) for job in jobs) < wall_count:
        job = blank_job(f"Random walls {len(jobs) + 1}", draw)
        job["wall"] = [random_wall(draw, f"wall-{i + 1}") for i in range(walls_per_job)]
        jobs.append(job)
    return jobs


def blank_job(name: str, draw: random.Random) -> dict:
    job = {"name": name, "system": "cob", "mix": "house-cob"}
    job["paring_mm"] = draw.choice([0, 15, 25, 30, 12.5])
    if draw.random() < 0.3:
        job["lift_height_m"] = draw.choice([0.3, 0.35, 0.4, 0.45, 0.6])
    return job


def random_wall(draw: random.Random, name: str) -> dict:
    """One wall: shape on plan, profile, taper, then what is cut out of it."""
    row = {"id": name}
    row["thickness_mm"] = draw.choice([300, 450, 600, round(draw.uniform(250, 750), 1)])
    plan(draw, row)
    profile(draw, row)
    taper(draw, row)
    if draw.random() < 0.3:
        row["lift_height_m"] = draw.choice([0.25, 0.3, 0.4, 0.5, round(draw.uniform(0.2, 0.7), 3)])
    cut_out(draw, row)
    if draw.random() < 0.2:
        row["inclusion"] = [{"id": "bottles", "count": draw.randint(1, 12), "volume_l": round(draw.uniform(0.2, 4), 2)}]
    return row


def plan(draw, row) -> None:
    if draw.random() < 0.5:
        row["length_m"] = round(draw.uniform(1.5, 9), draw.choice([1, 2, 3, 6]))
        return
    row["radius_m"] = round(draw.uniform(1.2, 8), draw.choice([1, 2, 3, 6]))
    bend = round(draw.uniform(40, 200), draw.choice([0, 1, 4]))
    row["bend_deg"] = draw.choice([bend, -bend])


def base_length(row) -> float:
    if "length_m" in row:
        return row["length_m"]
    return row["radius_m"] * math.radians(abs(row["bend_deg"]))


def profile(draw, row) -> None:
    row["height_m"] = round(draw.uniform(1.2, 3.2), draw.choice([1, 2, 3]))
    kind = draw.choice(["level", "slope", "gable", "uneven gable"])
    if kind == "slope":
        row["height_end_m"] = round(row["height_m"] + draw.uniform(-0.8, 1.2), 2)
    if kind == "uneven gable":
        row["height_end_m"] = round(row["height_m"] + draw.uniform(-0.5, 0.5), 2)
    if "gable" in kind:
        eaves = max(row["height_m"], row.get("height_end_m", 0))
        row["peak_m"] = round(eaves + draw.uniform(0.1, 1.5), 2)
        row["peak_at_m"] = round(base_length(row) * draw.uniform(0.2, 0.8), 2)


def taper(draw, row) -> None:
    if draw.random() < 0.25:
        return
    top = round(row["thickness_mm"] * draw.uniform(0.5, 1.0), draw.choice([0, 1]))
    row["thickness_top_mm"] = min(top, row["thickness_mm"])
    batter = draw.choice(["both", "outer", "inner", None])
    if batter:
        row["batter"] = batter


def cut_out(draw, row) -> None:
    """Up to four openings and some niches, each in its own stretch of the wall."""
    length = base_length(row)
    slots = draw.randint(1, max(1, min(6, int(length / 0.7))))
    opening_count = draw.randint(0, min(4, slots))
    kinds = ["opening"] * opening_count + ["niche"] * (slots - opening_count)
    draw.shuffle(kinds)
    step = length / slots
    for i, kind in enumerate(kinds):
        low, high = i * step + CLEAR, (i + 1) * step - CLEAR
        if kind == "opening":
            add_opening(draw, row, low, high)
        elif draw.random() < 0.6:
            add_niches(draw, row, low, high)


def add_opening(draw, row, low: float, high: float) -> None:
    splayed = draw.random() < 0.5
    share = draw.uniform(0.0, 0.6) if splayed else 0.0
    hole = hole_within(draw, row, low, high, share, f"opening-{len(row.get('opening', [])) + 1}")
    if hole is None:
        return
    if splayed:
        hole["splay_mm"] = math.floor(share * hole["width_m"] * 1000)
    if hole["shape"] != "circle" and hole["sill_m"] == 0 and draw.random() < 0.2:
        sink_sill(draw, row, hole)
    row.setdefault("opening", []).append(hole)


def sink_sill(draw, row, hole) -> None:
    """A threshold below the earth, into the stem wall; the head stays where it was."""
    depth = round(draw.uniform(0.05, 0.3), 2)
    hole["sill_m"] = -depth
    hole["height_m"] = round(hole["height_m"] + depth, 6)
    row["stem_height_m"] = 0.45


def add_niches(draw, row, low: float, high: float) -> None:
    """A niche on one face, at times with another back to back with it."""
    hole = hole_within(draw, row, low, high, 0.0, f"niche-{len(row.get('niche', [])) + 1}")
    if hole is None:
        return
    room = thinnest(row) * 1000
    hole["depth_mm"] = math.floor(room * draw.uniform(0.15, 0.7))
    hole["face"] = draw.choice(["inner", "outer"])
    row.setdefault("niche", []).append(hole)
    if draw.random() < 0.3:
        twin = dict(hole, id=f"niche-{len(row['niche']) + 1}")
        twin["face"] = "outer" if hole["face"] == "inner" else "inner"
        twin["depth_mm"] = math.floor((room - hole["depth_mm"]) * 0.8)
        row["niche"].append(twin)


def thinnest(row) -> float:
    wall = wall_from(row, {})
    return float(wall.thickness(wall.top))


def hole_within(draw, row, low: float, high: float, share: float, name: str) -> dict | None:
    """A hole between `low` and `high` along the wall, under its profile; None when there is no room."""
    room = (high - low) / (1 + share)
    width = math.floor(min(room * draw.uniform(0.5, 1.0), 1.6) * 100) / 100
    if width < 0.15:
        return None
    spare = high - low - width * (1 + share)
    at = round(low + width * share / 2 + spare * draw.random(), 3)
    wall = wall_from(row, {})
    edges = [at - width * share / 2 - 0.001, at + width * (1 + share / 2) + 0.001]
    ceiling = float(min(wall.profile(edges))) - CLEAR
    return stand(draw, name, width, at, ceiling)


def stand(draw, name: str, width: float, at: float, ceiling: float) -> dict | None:
    """Chooses shape, sill and height so that the top stays under `ceiling`."""
    shape = draw.choice(SHAPES)
    hole = {"id": name, "shape": shape, "width_m": width, "at_m": at}
    rise = {"semicircular": width / 2, "pointed": width * math.sqrt(3) / 2, "circle": width}.get(shape, 0.0)
    if shape == "segmental":
        rise = hole["rise_m"] = math.floor(width * draw.uniform(0.1, 0.5) * 1000) / 1000
    room = ceiling - rise
    if room < 0.2:
        return None
    sill = round(draw.choice([0.0, draw.uniform(0.0, room * 0.6)]), 2)
    hole["sill_m"] = sill
    if shape != "circle":
        hole["height_m"] = math.floor((room - sill) * draw.uniform(0.4, 1.0) * 100) / 100
        if hole["height_m"] < 0.05:
            return None
    return hole
