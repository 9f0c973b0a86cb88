"""Plain walls measured as a builder would with a tape: straight, plumb, with level tops, free at both ends or four of
them round a rectangle, and with holes that are rectangles. Everything is a fraction, so that nothing is near enough."""

from __future__ import annotations

from dataclasses import dataclass, field
from fractions import Fraction
from math import ceil

from estimate.arithmetic import number

# How high a lift is where nobody says. Cob: the lesser of this and the thickness, judgement, no source. Light straw-clay: 6 in,
# natural-building-alliance.org/light-straw-clay/. Rammed earth: common practice, no source. Adobe: a week to dry after every
# 2 ft of wall, American Cyclopaedia, vol. 1, "Adobe Houses". Bales and wattle go up in one, which is 2 m at the most.
LIFTS = {"cob": Fraction(45, 100), "rammed-earth": Fraction(15, 100), "light-straw-clay": Fraction(15, 100), "adobe": Fraction(60, 100),
         "straw-bale": Fraction(2), "wattle-and-daub": Fraction(2)}
# Cob stands out so far on each face until it is pared: an inch or so, C. Williams-Ellis, Cottage Building in Cob, Pisé,
# Chalk and Clay, 2nd ed., London 1920.
COB_PARING = Fraction(25, 1000)


@dataclass
class Stretch:
    """A wall, or the part of it between two levels, that is of one build."""

    wall: dict
    build: dict
    bottom: Fraction
    top: Fraction
    length: Fraction
    thickness: Fraction
    # Half-way through the wall, and on its inner face, net of openings.
    panel: Fraction
    inner: Fraction
    gross_panel: Fraction
    paring: Fraction = Fraction(0)
    lifts: list[Fraction] = field(default_factory=list)

    @property
    def height(self) -> Fraction:
        return self.top - self.bottom

    @property
    def net(self) -> Fraction:
        return self.panel * self.thickness

    @property
    def placed(self) -> Fraction:
        return self.net + 2 * self.paring * self.panel


def metres(record: dict, key: str) -> Fraction:
    """A length given in metres or in millimetres, in metres."""
    return number(record.get(key)) / (1000 if key.endswith("_mm") else 1)


def overlap(bottom: Fraction, top: Fraction, other_bottom: Fraction, other_top: Fraction) -> Fraction:
    return max(Fraction(0), min(top, other_top) - max(bottom, other_bottom))


def panel_between(wall: dict, length: Fraction, bottom: Fraction, top: Fraction) -> Fraction:
    """One face between two levels, net of openings."""
    holes = (
        metres(hole, "width_m") * overlap(bottom, top, metres(hole, "sill_m"), metres(hole, "sill_m") + metres(hole, "height_m"))
        for hole in wall.get("opening", [])
    )
    return length * (top - bottom) - sum(holes, Fraction(0))


def face(wall: dict, side: str) -> Fraction:
    """One face from foot to top, net of openings."""
    return panel_between(wall, metres(wall, "length_m") + past(wall, side), Fraction(0), metres(wall, "height_m"))


def past(wall: dict, side: str) -> Fraction:
    """How much longer than its centre line a face is: round a rectangle the inner is shorter by a thickness, the outer longer."""
    if not wall.get("ends", "free").startswith("corner:"):
        return Fraction(0)
    return {"inner": -1, "outer": 1}[side] * metres(wall, "thickness_mm")


def reveals(wall: dict) -> Fraction:
    """Both jambs, the head and the sill; a threshold on the stem wall is no sill."""
    edges = Fraction(0)
    for hole in wall.get("opening", []):
        width, height, sill = (metres(hole, key) for key in ("width_m", "height_m", "sill_m"))
        edges += 2 * overlap(Fraction(0), sill + height, sill, sill + height) + width * (2 if sill > 0 else 1)
    return edges * metres(wall, "thickness_mm")


def build_of_wall(job: dict, wall: dict) -> dict:
    """What a wall is built of up to where it is built of something else: a build by its name, or a system with the job's own mix."""
    builds = {build["id"]: build for build in job.get("build", [])}
    if wall.get("build"):
        return builds[wall["build"]]
    return {"id": "", "system": wall.get("system") or job["system"]}


def stretches(job: dict, wall: dict) -> list[Stretch]:
    """The parts of a wall from the lowest up."""
    builds = {build["id"]: build for build in job.get("build", [])}
    steps = [(Fraction(0), build_of_wall(job, wall))]
    steps += [(metres(above, "from_m"), builds[above["build"]]) for above in wall.get("above", [])]
    tops = [bottom for bottom, _ in steps[1:]] + [metres(wall, "height_m")]
    return [stretch(job, wall, build, bottom, top) for (bottom, build), top in zip(steps, tops)]


def stretch(job: dict, wall: dict, build: dict, bottom: Fraction, top: Fraction) -> Stretch:
    length, thickness = metres(wall, "length_m"), metres(wall, "thickness_mm")
    panel, gross = panel_between(wall, length, bottom, top), length * (top - bottom)
    inner = panel_between(wall, length + past(wall, "inner"), bottom, top)
    found = Stretch(wall, build, bottom, top, length, thickness, panel, inner, gross, paring(job, build))
    face = thickness + 2 * found.paring
    found.lifts = [panel_between(wall, length, low, high) * face for low, high in lift_levels(job, found)]
    return found


def paring(job: dict, build: dict) -> Fraction:
    if "paring_mm" in build:
        return metres(build, "paring_mm")
    if build["system"] != "cob":
        return Fraction(0)
    return metres(job, "paring_mm") if "paring_mm" in job else COB_PARING


def lift_height(job: dict, part: Stretch) -> Fraction:
    for record in (part.wall, part.build, job):
        if record.get("lift_height_m"):
            return metres(record, "lift_height_m")
    usual = LIFTS[part.build["system"]]
    return min(part.thickness, usual) if part.build["system"] == "cob" else usual


def lift_levels(job: dict, part: Stretch) -> list[tuple[Fraction, Fraction]]:
    """Whole lifts from the bottom of the part up; the last may be lower."""
    step = lift_height(job, part)
    levels = [part.bottom + step * count for count in range(ceil(part.height / step))] + [part.top]
    return list(zip(levels, levels[1:]))
