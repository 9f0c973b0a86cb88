"""What one wall of a job file is: its base line, profile, thickness and faces.

Everything here is a definition, never an integral: the judges in `quadrature`,
`meshes` and `sections` each measure these definitions in their own way.
Metres inside; `s` runs along the centre line of the base, the offset `n` is
positive to the left of travel, `z` is up from the top of the stem wall.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from fractions import Fraction

import numpy as np


def exact(value: float) -> Fraction:
    """The decimal literal that the job file carries for `value`, as an exact number."""
    return Fraction(literal(value))


def literal(value: float) -> str:
    """`value` as a plain decimal literal with at most six places."""
    text = f"{value:.6f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text


@dataclass
class Wall:
    """A wall in its own frame, read from the job file's names."""

    id: str
    length: float
    radius: float | None
    bend: float
    height_start: float
    height_end: float
    peak: float
    peak_at: float
    base: float
    taper: float
    batter: str
    inner: str
    openings: list[dict] = field(default_factory=list)
    niches: list[dict] = field(default_factory=list)
    inclusions_m3: float = 0.0
    lift_height: Fraction = Fraction(45, 100)
    # Parts above a height: from where, how high their lifts are, and what is trimmed off each face.
    parts: list[tuple[Fraction, Fraction, float]] = field(default_factory=list)

    @property
    def curved(self) -> bool:
        return self.radius is not None

    @property
    def top(self) -> float:
        """The greatest height."""
        return self.peak

    def radius_at(self, n):
        """Distance from the arc's centre of a point offset `n` to the left."""
        return self.radius - n if self.bend > 0 else self.radius + n

    def stretch(self, n):
        """Length along the wall at offset `n`, per metre of centre line."""
        return self.radius_at(n) / self.radius if self.curved else np.ones_like(np.asarray(n, float))

    def thickness(self, z):
        return self.base - self.taper * z

    def leans(self) -> dict[str, float]:
        """How far each face comes in per metre of height."""
        inner = {"both": 0.5, "outer": 0.0, "inner": 1.0}[self.batter] * self.taper
        outer = {"both": 0.5, "outer": 1.0, "inner": 0.0}[self.batter] * self.taper
        return {"inner": inner, "outer": outer}

    def side_of(self, face: str) -> str:
        other = {"left": "right", "right": "left"}[self.inner]
        return self.inner if face == "inner" else other

    def offset(self, face: str, z):
        """Offset `n` of the inner or the outer face at height `z`."""
        reach = self.base / 2 - self.leans()[face] * np.asarray(z, float)
        return reach if self.side_of(face) == "left" else -reach

    def side_offset(self, side: str, z):
        """Offset `n` of the left or the right face at height `z`."""
        face = "inner" if self.inner == side else "outer"
        return self.offset(face, z)

    def slope_factor(self, face: str) -> float:
        """True length of a face per metre of height."""
        return math.hypot(1.0, self.leans()[face])

    def profile(self, s):
        """Height of the wall at `s`; beyond the ends the top runs on level."""
        stations, heights = [0.0, self.length], [self.height_start, self.height_end]
        if 0.0 < self.peak_at < self.length:
            stations.insert(1, self.peak_at)
            heights.insert(1, self.peak)
        return np.interp(s, stations, heights)

    def standing(self, z):
        """The one stretch of `s` where the wall is at least `z` high.

        An end that still stands at `z` is given as infinite, because the top
        runs on level past it.
        """
        z = np.asarray(z, float)
        start, end = np.full(z.shape, -np.inf), np.full(z.shape, np.inf)
        if self.peak > self.height_start:
            rise = (z - self.height_start) / (self.peak - self.height_start) * self.peak_at
            start = np.where(z > self.height_start, rise, start)
        if self.peak > self.height_end:
            run = self.length - self.peak_at
            fall = self.length - (z - self.height_end) / (self.peak - self.height_end) * run
            end = np.where(z > self.height_end, fall, end)
        return start, end

    def lift_levels(self) -> list[Fraction]:
        """Levels between lifts from 0 to the greatest height, exactly; they begin anew at each part."""
        starts = [(Fraction(0), self.lift_height)] + [(start, height) for start, height, _ in self.parts]
        ends = [start for start, _ in starts[1:]] + [exact(self.top)]
        levels = []
        for (level, height), end in zip(starts, ends):
            while level < end:
                levels.append(level)
                level += height
        return levels + [exact(self.top)]

    def paring(self, z, below: float):
        """What is trimmed off each face at a height, where it is `below` under the first part."""
        trimmed = np.full(np.shape(z), below)
        for start, _, paring in self.parts:
            trimmed = np.where(z > float(start), paring, trimmed)
        return trimmed

    def levels(self) -> np.ndarray:
        """Every height where something changes: lifts, ends and peak."""
        marks = {float(level) for level in self.lift_levels()}
        marks |= {self.height_start, self.height_end, self.peak}
        return np.array(sorted(marks))


def wall_from(row: dict, job: dict, inner: str | None = None) -> Wall:
    """Reads a `[[wall]]` of a job; `inner` is the enclosed side when a closed run decides it."""
    radius = row.get("radius_m")
    bend = math.radians(row.get("bend_deg", 0.0))
    length = row["length_m"] if radius is None else radius * abs(bend)
    start = row["height_m"]
    end = row.get("height_end_m", start)
    peak, peak_at = highest(row, start, end, length)
    base = row["thickness_mm"] / 1000
    top_thickness = row.get("thickness_top_mm", row["thickness_mm"]) / 1000
    usual = min(base, 0.45)
    lift = row.get("lift_height_m", job.get("lift_height_m", usual))
    return Wall(
        id=row["id"], length=length, radius=radius, bend=bend,
        height_start=start, height_end=end, peak=peak, peak_at=peak_at,
        base=base, taper=(base - top_thickness) / peak, batter=row.get("batter", "both"),
        inner=inner or ("right" if bend < 0 else "left"),
        openings=row.get("opening", []), niches=row.get("niche", []),
        inclusions_m3=sum(i["count"] * i["volume_l"] / 1000 for i in row.get("inclusion", [])),
        lift_height=exact(lift), parts=parts_from(row, job, usual),
    )


def parts_from(row: dict, job: dict, usual: float) -> list[tuple[Fraction, Fraction, float]]:
    """The parts of a wall above a height, each of the lifts and the paring of its build."""
    builds = {build["id"]: build for build in job.get("build", [])}
    parts = []
    for above in row.get("above", []):
        build = builds[above["build"]]
        lift = build.get("lift_height_m", row.get("lift_height_m", job.get("lift_height_m", usual)))
        parts.append((exact(above["from_m"]), exact(lift), build.get("paring_mm", job["paring_mm"]) / 1000))
    return parts


def highest(row: dict, start: float, end: float, length: float) -> tuple[float, float]:
    """Where the wall is highest and how high."""
    if "peak_m" in row:
        return row["peak_m"], row["peak_at_m"]
    if end > start:
        return end, length
    return start, 0.0
