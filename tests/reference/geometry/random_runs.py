"""Random closed runs, chains and T-junctions, from a seed, as jobs.

A run is drawn as a polygon of corner points; its edges become straight or
curved walls, and lengths and turns follow from the points to six places, so it
closes to within a few micrometres. A draw whose faces do not meet well inside
its walls is thrown away and drawn again.
"""

from __future__ import annotations

import math
import random

import numpy as np
import shapely

from geometry import sections
from geometry.plans import Plan
from geometry.random_walls import blank_job

KINDS = ("convex", "right-angled", "curved", "chain", "tee", "partition")


def random_runs(seed: int, count: int) -> list[dict]:
    """`count` jobs, taking the kinds in turn; the kind stands at the head of the job's name."""
    draw = random.Random(seed)
    jobs = []
    while len(jobs) < count:
        kind = KINDS[len(jobs) % len(KINDS)]
        job = blank_job(f"{kind} {len(jobs) + 1}", draw)
        MAKERS[kind](draw, job)
        if well_cut(job):
            jobs.append(job)
    return jobs


def convex(draw, job) -> None:
    job["wall"] = run_walls(draw, ring_points(draw, draw.randint(3, 6)), bends=None)


def right_angled(draw, job) -> None:
    job["wall"] = run_walls(draw, rectilinear_points(draw), bends=None)


def curved(draw, job) -> None:
    points = ring_points(draw, draw.randint(3, 5)) if draw.random() < 0.6 else rectilinear_points(draw)
    bends = [draw.choice([0.0, 0.0, draw.uniform(5, 75), draw.uniform(-60, -5)]) for _ in points]
    bends[draw.randrange(len(bends))] = draw.uniform(25, 75)
    job["wall"] = run_walls(draw, points, bends)


def ring_points(draw, count: int) -> list[tuple[float, float]]:
    """Corner points round an ellipse, unevenly spaced."""
    phase = draw.uniform(0, 2 * math.pi)
    wide, deep = draw.uniform(2.8, 5.5), draw.uniform(2.8, 5.5)
    angles = [phase + 2 * math.pi * (i + draw.uniform(-0.25, 0.25)) / count for i in range(count)]
    return [(wide * math.cos(a), deep * math.sin(a)) for a in angles]


def rectilinear_points(draw) -> list[tuple[float, float]]:
    """A rectangle, an L, a U or a T on plan, at times racked out of square."""
    a, b, c, d, e = (round(draw.uniform(2.5, 4.5), 2) for _ in range(5))
    points = draw.choice([
        [(0, 0), (a + b, 0), (a + b, c), (0, c)],
        [(0, 0), (a + b, 0), (a + b, c), (a, c), (a, c + d), (0, c + d)],
        [(0, 0), (a + b + e, 0), (a + b + e, c + d), (a + b, c + d), (a + b, c), (a, c), (a, c + d), (0, c + d)],
        [(0, 0), (a + b + e, 0), (a + b + e, c), (a + b, c), (a + b, c + d), (a, c + d), (a, c), (0, c)],
    ])
    if draw.random() < 0.4:
        points = [(x + draw.uniform(-0.4, 0.4), y + draw.uniform(-0.4, 0.4)) for x, y in points]
    return points


def run_walls(draw, points, bends, closed: bool = True) -> list[dict]:
    """Walls from corner point to corner point; a bend is the edge's turn in degrees, left positive."""
    bends = bends or [0.0] * len(points)
    if draw.random() < 0.5:
        points, bends = points[::-1], [-bend for bend in bends]
    count = len(points) if closed else len(points) - 1
    edges = [(points[i], points[(i + 1) % len(points)], bends[i]) for i in range(count)]
    style = run_style(draw)
    rows = [edge_row(draw, style, f"wall-{i + 1}", *edge) for i, edge in enumerate(edges)]
    headings = [edge_headings(*edge) for edge in edges]
    for i in range(count if closed else count - 1):
        join(draw, rows[i], rows[(i + 1) % count], headings[(i + 1) % count][0] - headings[i][1])
    draw.shuffle(rows)
    return rows


def edge_headings(start, end, bend: float) -> tuple[float, float]:
    """Direction in degrees at the start and at the end of an edge."""
    chord = math.degrees(math.atan2(end[1] - start[1], end[0] - start[0]))
    return chord - bend / 2, chord + bend / 2


def join(draw, before: dict, after: dict, turn: float) -> None:
    """Writes a corner from either side, and leaves a right angle to the default at times."""
    turn = round((turn + 180) % 360 - 180, 6)
    if turn != 90 or draw.random() < 0.5:
        before["turn_deg"] = turn
    if draw.random() < 0.7:
        before["ends"] = f"corner:{after['id']}"
    else:
        after["starts"] = f"corner:{before['id']}"


def run_style(draw) -> dict:
    """What the walls of one run share, and what each draws for itself."""
    return {
        "own_thickness": draw.random() < 0.5, "own_batter": draw.random() < 0.4,
        "own_height": draw.random() < 0.5, "sloping": draw.random() < 0.4,
        "thickness_mm": draw.choice([300, 450, 600]), "height_m": round(draw.uniform(2, 3), 2),
        "batter": draw.choice(["both", "outer", "inner"]), "share": draw.uniform(0.6, 1.0),
    }


def edge_row(draw, style: dict, name: str, start, end, bend: float) -> dict:
    row = {"id": name}
    chord = math.dist(start, end)
    if bend:
        row["radius_m"] = round(chord / (2 * math.sin(math.radians(abs(bend)) / 2)), 6)
        row["bend_deg"] = round(bend, 6)
        length = row["radius_m"] * math.radians(abs(bend))
    else:
        length = row["length_m"] = round(chord, 6)
    dress(draw, style, row, length)
    return row


def dress(draw, style: dict, row: dict, length: float) -> None:
    """Thickness, taper and profile of a wall of a run."""
    row["thickness_mm"] = draw.choice([300, 350, 450, 500, 600]) if style["own_thickness"] else style["thickness_mm"]
    share, batter = style["share"], style["batter"]
    if style["own_batter"]:
        share, batter = draw.uniform(0.6, 1.0), draw.choice(["both", "outer", "inner"])
    row["thickness_top_mm"] = round(row["thickness_mm"] * share)
    row["batter"] = batter
    row["height_m"] = round(draw.uniform(1.8, 3.0), 2) if style["own_height"] else style["height_m"]
    if style["sloping"] and draw.random() < 0.5:
        if draw.random() < 0.5:
            row["height_end_m"] = round(row["height_m"] + draw.uniform(-0.6, 0.8), 2)
        else:
            row["peak_m"] = round(row["height_m"] + draw.uniform(0.3, 1.2), 2)
            row["peak_at_m"] = round(length * draw.uniform(0.3, 0.7), 2)


def chain(draw, job) -> None:
    """Two to four walls, open at both ends, turning either way."""
    count, heading, points, bends = draw.randint(2, 4), 0.0, [(0.0, 0.0)], []
    for _ in range(count):
        step, x, y = draw.uniform(2.5, 5), *points[-1]
        points.append((x + step * math.cos(heading), y + step * math.sin(heading)))
        bends.append(draw.choice([0.0, 0.0, draw.uniform(5, 50), draw.uniform(-50, -5)]))
        heading += math.radians(draw.uniform(25, 110) * draw.choice([1, -1]))
    job["wall"] = run_walls(draw, points, bends + [0.0], closed=False)


def tee(draw, job) -> None:
    """One wall running into, or out of, a straight or curved host."""
    style = run_style(draw)
    style["own_height"] = draw.random() < 0.7
    bend = draw.uniform(30, 120) * draw.choice([1, -1]) if draw.random() < 0.5 else 0.0
    chord = draw.uniform(5, 8)
    host = edge_row(draw, style, "host", (0, 0), (chord, 0), bend)
    length = host.get("length_m") or host["radius_m"] * math.radians(abs(host["bend_deg"]))
    guest = edge_row(draw, style, "guest", (0, 0), (draw.uniform(2.5, 5), 0), draw.choice([0.0, draw.uniform(5, 60), draw.uniform(-60, -5)]))
    turn = round(draw.uniform(35, 145), 2) * draw.choice([1, -1]) if draw.random() < 0.7 else 90
    prefix, key = draw.choice([("", "ends"), ("start_", "starts")])
    guest[key] = "into:host"
    guest[f"{prefix}into_at_m"] = round(length * draw.uniform(0.35, 0.65), 3)
    if turn != 90:
        guest[f"{prefix}turn_deg"] = turn
    job["wall"] = [host, guest] if draw.random() < 0.5 else [guest, host]


def partition(draw, job) -> None:
    """A rectangular closed run divided by a wall that runs into two of its sides, square or oblique."""
    wide, deep = round(draw.uniform(5, 8), 2), round(draw.uniform(3, 5), 2)
    style = run_style(draw)
    corners = [(0, 0), (wide, 0), (wide, deep), (0, deep)]
    names = ["south", "east", "north", "west"]
    rows = [edge_row(draw, style, name, corners[i], corners[(i + 1) % 4], 0.0) for i, name in enumerate(names)]
    for i in range(4):
        join(draw, rows[i], rows[(i + 1) % 4], 90)
    low, high = round(wide * draw.uniform(0.4, 0.6), 3), round(wide * draw.uniform(0.35, 0.65), 3)
    if draw.random() < 0.5:
        high = low
    wall = edge_row(draw, style, "partition", (low, 0), (high, deep), 0.0)
    lean = math.degrees(math.atan2(deep, high - low))
    # It leaves the south wall, which runs east, and arrives at the north wall, which runs west.
    wall |= {"starts": "into:south", "start_into_at_m": low, "start_turn_deg": round(-lean, 6)}
    wall |= {"ends": "into:north", "into_at_m": round(wide - high, 3), "turn_deg": round(180 - lean, 6)}
    job["wall"] = [*rows, wall]


MAKERS = {"convex": convex, "right-angled": right_angled, "curved": curved, "chain": chain, "tee": tee, "partition": partition}


def well_cut(job: dict) -> bool:
    """Whether all turns are in range and every face is cut well inside its wall, and walls stay clear of each other."""
    try:
        plan = Plan(job)
        if any(not 1 <= abs(math.degrees(corner.turn)) <= 145 for corner in plan.corners):
            return False
        return all(wall_well_cut(plan, name) for name in plan.walls) and runs_clear(plan)
    except (ValueError, KeyError, shapely.errors.GEOSException):
        return False


def wall_well_cut(plan: Plan, name: str) -> bool:
    wall, placed = plan.walls[name], sections.alone(plan, name)
    if wall.curved and wall.radius < wall.base:
        return False
    z = np.linspace(0, wall.top, 9)
    start, end = (sections.cut_end(plan, placed, which, z) for which in ("start", "end"))
    for side in ("left", "right"):
        low = placed.station(getattr(start, side), 0.0)
        high = placed.station(getattr(end, side), wall.length)
        if not (np.isfinite(low).all() and np.isfinite(high).all()):
            return False
        limit = 0.4 * wall.length
        if (np.abs(low) > limit).any() or (np.abs(high - wall.length) > limit).any() or (high - low < 0.4).any():
            return False
    return all(lands_well(plan, tee) for tee in plan.tees if tee.guest == name)


def lands_well(plan: Plan, tee) -> bool:
    """Whether a guest meets its host once, and clear of the host's own ends."""
    guest = sections.alone(plan, tee.guest)
    host = sections.host_of(plan, guest, tee)
    z = np.linspace(0, sections.tee_height(plan, tee), 5)
    cut = sections.tee_cut(plan, guest, tee, z)
    stations = np.concatenate([host.station(points, tee.at) for points in (cut.left, cut.right)])
    if (stations < 0.8).any() or (stations > host.wall.length - 0.8).any():
        return False
    # A curved guest may not come round to its host a second time.
    away = (0.0, guest.wall.length - 1.5) if tee.end == "end" else (1.5, guest.wall.length)
    return centre_line(guest, *away).distance(centre_line(host, 0.0, host.wall.length)) > 0.65


def centre_line(placed, low: float, high: float):
    return shapely.LineString(placed.point(np.linspace(low, high, 65), 0.0))


def runs_clear(plan: Plan) -> bool:
    """Whether the base sections of a closed run overlap nowhere, as they would if it crossed itself."""
    for run in plan.closed_runs():
        placed = plan.placed_run(run)
        polygons = np.concatenate([sections.sections(plan, p, np.zeros(1))[0] for p in placed])
        if not shapely.is_valid(polygons).all():
            return False
        if shapely.union_all(polygons, grid_size=0).area < shapely.area(polygons).sum() - 1e-4:
            return False
    return True
