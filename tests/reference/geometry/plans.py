"""How the walls of a job stand on plan: placing, faces as lines and circles, and where faces meet.

Each wall is looked at in a frame of its own (start at the origin, heading east),
with its neighbours placed about it from the junction, so that a run which closes
only to the rounding of its lengths is still cut exactly corner by corner.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from geometry.walls import Wall, wall_from


def unit(angle: float) -> np.ndarray:
    return np.array([math.cos(angle), math.sin(angle)])


def left_of(vector: np.ndarray) -> np.ndarray:
    return np.stack([-vector[..., 1], vector[..., 0]], -1)


@dataclass
class Line:
    """Through `point` [z, xy], along a constant `direction`."""

    point: np.ndarray
    direction: np.ndarray


@dataclass
class Circle:
    """About a constant `centre`, of `radius` [z]."""

    centre: np.ndarray
    radius: np.ndarray


@dataclass
class Placed:
    """A wall with its start at `origin` and its first direction `heading`."""

    wall: Wall
    origin: np.ndarray
    heading: float

    def heading_at(self, s: float) -> float:
        if not self.wall.curved:
            return self.heading
        return self.heading + math.copysign(s / self.wall.radius, self.wall.bend)

    @property
    def centre(self) -> np.ndarray:
        reach = math.copysign(self.wall.radius, self.wall.bend)
        return self.origin + reach * left_of(unit(self.heading))

    def point(self, s, n) -> np.ndarray:
        s, n = np.broadcast_arrays(np.asarray(s, float), np.asarray(n, float))
        if not self.wall.curved:
            along = unit(self.heading)
            return self.origin + s[..., None] * along + n[..., None] * left_of(along)
        angle = self.polar(s)
        return self.centre + self.wall.radius_at(n)[..., None] * np.stack([np.cos(angle), np.sin(angle)], -1)

    def polar(self, s):
        """Angle about the arc's centre of the station `s`."""
        turn = math.copysign(1.0, self.wall.bend)
        return self.heading - turn * math.pi / 2 + turn * np.asarray(s, float) / self.wall.radius

    def station(self, points: np.ndarray, near: float) -> np.ndarray:
        """Station `s` of points on plan, taken on the turn of the arc next to the station `near`."""
        if not self.wall.curved:
            return (points - self.origin) @ unit(self.heading)
        arm = points - self.centre
        turn = math.copysign(1.0, self.wall.bend)
        off = np.arctan2(arm[..., 1], arm[..., 0]) - self.polar(near)
        return near + turn * self.wall.radius * ((off + math.pi) % (2 * math.pi) - math.pi)

    def face(self, side: str, z: np.ndarray) -> Line | Circle:
        offset = self.wall.side_offset(side, z)
        if self.wall.curved:
            return Circle(self.centre, self.wall.radius_at(offset))
        return Line(self.point(np.zeros_like(z), offset), unit(self.heading))


def place_at(wall: Wall, s: float, point: np.ndarray, heading: float) -> Placed:
    """Places a wall so that its station `s` is at `point`, running in direction `heading`."""
    turned = math.copysign(s / wall.radius, wall.bend) if wall.curved else 0.0
    loose = Placed(wall, np.zeros(2), heading - turned)
    return Placed(wall, point - loose.point(s, 0.0), heading - turned)


def meet(first, second, near: np.ndarray) -> np.ndarray:
    """Where two faces meet at each height, the meeting nearest to `near`; NaN where they do not."""
    if isinstance(first, Line) and isinstance(second, Line):
        return meet_lines(first, second)
    if isinstance(first, Circle) and isinstance(second, Circle):
        return nearest(meet_circles(first, second), near)
    line, circle = (first, second) if isinstance(first, Line) else (second, first)
    return nearest(meet_line_circle(line, circle), near)


def meet_lines(a: Line, b: Line) -> np.ndarray:
    normal = left_of(b.direction)
    step = ((b.point - a.point) @ normal) / (a.direction @ normal)
    return a.point + step[:, None] * a.direction


def meet_line_circle(line: Line, circle: Circle) -> list[np.ndarray]:
    foot = line.point + ((circle.centre - line.point) @ line.direction)[:, None] * line.direction
    gap = np.linalg.norm(foot - circle.centre, axis=-1)
    with np.errstate(invalid="ignore"):
        half = np.sqrt(circle.radius**2 - gap**2)
    return [foot + sign * half[:, None] * line.direction for sign in (1, -1)]


def meet_circles(a: Circle, b: Circle) -> list[np.ndarray]:
    between = b.centre - a.centre
    apart = np.linalg.norm(between)
    if apart < 1e-9:
        return [np.full((len(a.radius), 2), np.nan)]
    along = (apart**2 + a.radius**2 - b.radius**2) / (2 * apart)
    with np.errstate(invalid="ignore"):
        half = np.sqrt(a.radius**2 - along**2)
    axis = between / apart
    foot = a.centre + along[:, None] * axis
    return [foot + sign * half[:, None] * left_of(axis) for sign in (1, -1)]


def nearest(candidates: list[np.ndarray], near: np.ndarray) -> np.ndarray:
    stack = np.stack(candidates)
    away = np.linalg.norm(stack - near, axis=-1)
    choice = np.where(np.isnan(away), np.inf, away).argmin(0)
    return stack[choice, np.arange(stack.shape[1])]


@dataclass
class Corner:
    """The far end of `before` is the start of `after`, which turns left by `turn`."""

    before: str
    after: str
    turn: float


@dataclass
class Tee:
    """The guest's start or end meets `host` at `at`, whose direction there is turned left by `turn`."""

    guest: str
    end: str
    host: str
    at: float
    turn: float


class Plan:
    """A job's walls with their junctions, and the enclosed side of its closed runs."""

    def __init__(self, job: dict):
        self.rows = {row["id"]: row for row in job["wall"]}
        self.corners = self.read_corners()
        self.tees = self.read_tees()
        self.walls = {name: wall_from(row, job) for name, row in self.rows.items()}
        for run in self.closed_runs():
            side = "left" if self.signed_area(run) > 0 else "right"
            for name in run:
                self.walls[name] = wall_from(self.rows[name], job, inner=side)

    def read_corners(self) -> list[Corner]:
        pairs = set()
        for name, row in self.rows.items():
            if row.get("ends", "").startswith("corner:"):
                pairs.add((name, row["ends"].split(":")[1]))
            if row.get("starts", "").startswith("corner:"):
                pairs.add((row["starts"].split(":")[1], name))
        turn = {name: math.radians(row.get("turn_deg", 90)) for name, row in self.rows.items()}
        return [Corner(before, after, turn[before]) for before, after in sorted(pairs)]

    def read_tees(self) -> list[Tee]:
        tees = []
        for name, row in self.rows.items():
            for end, key, prefix in (("end", "ends", ""), ("start", "starts", "start_")):
                if row.get(key, "").startswith("into:"):
                    turn = math.radians(row.get(f"{prefix}turn_deg", 90))
                    tees.append(Tee(name, end, row[key].split(":")[1], row[f"{prefix}into_at_m"], turn))
        return tees

    def corner_at(self, name: str, end: str) -> Corner | None:
        part = "before" if end == "end" else "after"
        return next((c for c in self.corners if getattr(c, part) == name), None)

    def tee_at(self, name: str, end: str) -> Tee | None:
        return next((t for t in self.tees if t.guest == name and t.end == end), None)

    def closed_runs(self) -> list[list[str]]:
        after = {c.before: c.after for c in self.corners}
        runs, seen = [], set()
        for first in self.rows:
            run, name = [first], after.get(first)
            while name not in (None, first) and name not in run:
                run.append(name)
                name = after.get(name)
            if name == first and not seen & set(run):
                runs.append(run)
                seen |= set(run)
        return runs

    def placed_run(self, run: list[str]) -> list[Placed]:
        """The walls of a chain of corners placed one after the other."""
        placed = [Placed(self.walls[run[0]], np.zeros(2), 0.0)]
        for name in run[1:]:
            last = placed[-1]
            turn = self.corner_at(last.wall.id, "end").turn
            heading = last.heading_at(last.wall.length) + turn
            placed.append(Placed(self.walls[name], last.point(last.wall.length, 0.0), heading))
        return placed

    def signed_area(self, run: list[str]) -> float:
        """Area within the centre lines of a closed run, positive when travelled anticlockwise."""
        ring = np.concatenate([p.point(np.linspace(0, p.wall.length, 65)[:-1], 0.0) for p in self.placed_run(run)])
        x, y = ring.T
        return float((x * np.roll(y, -1) - y * np.roll(x, -1)).sum() / 2)
