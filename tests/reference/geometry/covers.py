"""Judge D: what of a wall's face stands behind a wall that runs into it, by cutting a line with a strip.

At each height the face of the host is a line on plan and the guest, run on through
the host, is a strip; what of the line lies within the strip is behind the guest.
The lengths are integrated over height as in `sections`. No junction is worked out.
"""

from __future__ import annotations

import numpy as np
import shapely

from geometry import sections
from geometry.plans import Placed, Plan
from geometry.walls import Wall

# How far along the guest the strip reaches before its end and beyond it, and along the host the line about it, in metres.
BEFORE, BEYOND, ABOUT = 1.5, 1.0, 2.5
POINTS = 1500


def covered(plan: Plan, host_name: str) -> dict[str, float]:
    """The covered part of both faces of a host on their true slope."""
    total = {"inner": 0.0, "outer": 0.0}
    for tee in plan.tees:
        if tee.host == host_name:
            face, area = behind(plan, tee)
            total[face] += area
    return total


def behind(plan: Plan, tee) -> tuple[str, float]:
    """The face of its host that a guest stands on, and how much of it stands behind the guest."""
    guest = sections.alone(plan, tee.guest)
    host = sections.host_of(plan, guest, tee)
    side = landing_side(tee)
    face = "inner" if host.wall.side_of("inner") == side else "outer"
    top = min(guest.wall.top, host.wall.top)
    marks = {0.0, top, *guest.wall.levels(), *host.wall.levels(), sections.tee_height(plan, tee)}
    breaks = np.array(sorted(mark for mark in marks if 0 <= mark <= top))

    def lengths(z):
        return np.tile(np.array([length(host, guest, tee, side, level) for level in z]), (3, 1))

    upright = sections.integrate(lengths, breaks, sections.ORDER)[0].sum()
    return face, float(upright) * host.wall.slope_factor(face)


def landing_side(tee) -> str:
    return "left" if (tee.turn > 0) == (tee.end == "end") else "right"


def length(host: Placed, guest: Placed, tee, side: str, z: float) -> float:
    line, strip = face_line(host, tee.at, side, z), guest_strip(guest, tee.end, z)
    if line is None or strip is None:
        return 0.0
    return shapely.length(shapely.intersection(line, strip))


def stretch_of(wall: Wall, low: float, high: float, z: float) -> np.ndarray | None:
    """Stations between two of a wall, where it stands so high; None where it does not."""
    first, last = (float(limit) for limit in wall.standing(z))
    low, high = max(low, first), min(high, last)
    if high <= low:
        return None
    return np.linspace(low, high, POINTS if wall.curved else 2)


def face_line(host: Placed, at: float, side: str, z: float):
    s = stretch_of(host.wall, max(at - ABOUT, 0.0), min(at + ABOUT, host.wall.length), z)
    return None if s is None else shapely.LineString(host.point(s, host.wall.side_offset(side, z)))


def guest_strip(guest: Placed, end: str, z: float):
    length = guest.wall.length
    low, high = (-BEYOND, min(BEFORE, length)) if end == "start" else (max(length - BEFORE, 0.0), length + BEYOND)
    s = stretch_of(guest.wall, low, high, z)
    if s is None:
        return None
    left, right = (guest.point(s, guest.wall.side_offset(side, z)) for side in ("left", "right"))
    return shapely.Polygon(np.concatenate([right, left[::-1]]))
