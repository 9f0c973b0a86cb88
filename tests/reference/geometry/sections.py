"""Judge C: walls at their junctions, from plan sections cut at each height.

A section is a shapely polygon: both faces offset from the centre line, cut
where the junction cuts them, and clipped to where the wall still stands at
that height. Above a corner both walls are cut square, and what of them still
overlaps there, under slopes, is divided along the line of the mitre, so that
nothing counts twice. The areas are integrated over height by Gauss-Legendre,
halving until nothing changes. Openings are left to `quadrature`.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import shapely

from geometry.plans import Circle, Placed, Plan, left_of, meet, place_at
from geometry.quadrature import unit_nodes
from geometry.walls import Wall

ORDER = 8
CHORDS = 128
FAR = 1000.0
SETTLED = 1e-8
NARROWEST = 1e-6


@dataclass
class Cut:
    """One end of a wall at each height: where its left and right face stop.

    `bulge` is the circle that the end follows from one to the other instead of
    a straight line, and `bulged` tells at which heights.
    """

    left: np.ndarray
    right: np.ndarray
    bulge: Circle | None = None
    bulged: np.ndarray | None = None


def alone(plan: Plan, name: str) -> Placed:
    return Placed(plan.walls[name], np.zeros(2), 0.0)


def square(placed: Placed, s: float, z: np.ndarray) -> Cut:
    at = np.full_like(z, s)
    return Cut(*(placed.point(at, placed.wall.side_offset(side, z)) for side in ("left", "right")))


def blend(low: np.ndarray, below: Cut, above: Cut) -> Cut:
    """`below` at the heights marked `low`, else `above`."""
    pick = low[:, None]
    return Cut(np.where(pick, below.left, above.left), np.where(pick, below.right, above.right), below.bulge, low)


def cut_end(plan: Plan, placed: Placed, end: str, z: np.ndarray) -> Cut:
    """How the junction at an end of a wall cuts it."""
    wall = placed.wall
    corner, tee = plan.corner_at(wall.id, end), plan.tee_at(wall.id, end)
    flat = square(placed, wall.length if end == "end" else 0.0, z)
    if corner is not None and corner.turn != 0:
        before, after = corner_pair(plan, placed, corner, end)
        low = z <= corner_height(before.wall, after.wall)
        return blend(low, mitre(before, after, z), flat)
    if tee is not None:
        return blend(z <= tee_height(plan, tee), tee_cut(plan, placed, tee, z), flat)
    return flat


def corner_pair(plan, placed, corner, end) -> tuple[Placed, Placed]:
    """The two walls of a corner about the one that is placed."""
    if end == "end":
        heading = placed.heading_at(placed.wall.length) + corner.turn
        return placed, Placed(plan.walls[corner.after], placed.point(placed.wall.length, 0.0), heading)
    before = plan.walls[corner.before]
    return place_at(before, before.length, placed.origin, placed.heading - corner.turn), placed


def corner_height(before: Wall, after: Wall) -> float:
    """Up to here both walls of a corner stand and are mitred."""
    return min(before.height_end, after.height_start)


def mitre(before: Placed, after: Placed, z: np.ndarray) -> Cut:
    return Cut(*(meet(before.face(side, z), after.face(side, z), after.origin) for side in ("left", "right")))


def tee_height(plan: Plan, tee) -> float:
    return float(plan.walls[tee.host].profile(tee.at))


def host_of(plan: Plan, placed: Placed, tee) -> Placed:
    s = placed.wall.length if tee.end == "end" else 0.0
    return place_at(plan.walls[tee.host], tee.at, placed.point(s, 0.0), placed.heading_at(s) + tee.turn)


def tee_cut(plan: Plan, placed: Placed, tee, z: np.ndarray) -> Cut:
    host = host_of(plan, placed, tee)
    arrives_left = (tee.turn > 0) == (tee.end == "end")
    face = host.face("left" if arrives_left else "right", z)
    near = host.point(tee.at, 0.0)
    ends = [meet(placed.face(side, z), face, near) for side in ("left", "right")]
    return Cut(*ends, face if isinstance(face, Circle) else None)


def arc_points(start: np.ndarray, end: np.ndarray, circle: Circle, chords: int = CHORDS) -> np.ndarray:
    """Points [z, chord, xy] from `start` to `end` round a circle the short way.

    The ends lie on the circle; the points between lie as far outside it as
    makes the area within the chords the sector's own.
    """
    first, last = start - circle.centre, end - circle.centre
    angle = np.arctan2(first[:, 1], first[:, 0])
    turn = np.arctan2(last[:, 1], last[:, 0]) - angle
    turn = (turn + math.pi) % (2 * math.pi) - math.pi
    step = np.maximum(np.abs(turn) / chords, 1e-9)
    a, b, c = (chords - 2) * np.sin(step), np.sin(step), chords * step
    swell = (-b + np.sqrt(b * b + a * c)) / a
    share = np.arange(chords + 1) / chords
    ray = angle[:, None] + turn[:, None] * share
    radius = np.where((share == 0) | (share == 1), 1.0, swell[:, None]) * circle.radius[:, None]
    return circle.centre + radius[..., None] * np.stack([np.cos(ray), np.sin(ray)], -1)


def long_arc_points(placed: Placed, side: str, z, start, end) -> np.ndarray:
    """The face of a wall from `start` to `end`; a curved one in three arcs, none half a turn long."""
    face = placed.face(side, z)
    if not isinstance(face, Circle):
        return np.stack([start, end], 1)
    s0, s1 = placed.station(start, 0.0), placed.station(end, placed.wall.length)
    offset = placed.wall.side_offset(side, z)
    stops = [start, *(placed.point(s0 + (s1 - s0) * f, offset) for f in (1 / 3, 2 / 3)), end]
    parts = [arc_points(a, b, face) for a, b in zip(stops, stops[1:])]
    return np.concatenate([parts[0], parts[1][:, 1:], parts[2][:, 1:]], 1)


def end_points(first: np.ndarray, last: np.ndarray, cut: Cut) -> np.ndarray:
    """The end of a section between its faces; along the host's own face when that is an arc."""
    straight = np.linspace(first, last, CHORDS + 1, axis=1)
    if cut.bulge is None:
        return straight[:, [0, -1]]
    return np.where(cut.bulged[:, None, None], arc_points(first, last, cut.bulge), straight)


def sections(plan: Plan, placed: Placed, z: np.ndarray) -> tuple[np.ndarray, Cut, Cut]:
    """The polygon of a wall at each height, before it is clipped to where it stands."""
    start, end = (cut_end(plan, placed, which, z) for which in ("start", "end"))
    ring = np.concatenate([
        long_arc_points(placed, "right", z, start.right, end.right),
        end_points(end.right, end.left, end)[:, 1:],
        long_arc_points(placed, "left", z, start.left, end.left)[:, ::-1][:, 1:],
        end_points(start.left, start.right, start)[:, 1:-1],
    ], 1)
    return shapely.polygons(ring), start, end


def standing_strip(placed: Placed, first: float, last: float):
    """The part of the plan between two stations, square to the wall."""
    if not placed.wall.curved:
        low, high = max(first, -FAR), min(last, FAR)
        return shapely.Polygon(placed.point([low, high, high, low], [-FAR, -FAR, FAR, FAR]))
    spare = 0.5 * placed.wall.radius
    low, high = max(first, -spare), min(last, placed.wall.length + spare)
    angle = np.linspace(placed.polar(low), placed.polar(high), 33)
    rim = placed.centre + 4 * placed.wall.radius * np.stack([np.cos(angle), np.sin(angle)], -1)
    return shapely.Polygon([placed.centre, *rim])


def clipped(placed: Placed, polygons: np.ndarray, z: np.ndarray) -> np.ndarray:
    """Sections clipped to where the wall is at least as high as `z`."""
    first, last = placed.wall.standing(z)
    whole = np.isinf(first) & np.isinf(last)
    if whole.all():
        return polygons
    strips = np.array([standing_strip(placed, a, b) for a, b in zip(first[~whole], last[~whole])])
    out = polygons.copy()
    out[~whole] = shapely.intersection(polygons[~whole], strips)
    return out


def neighbour_above(plan: Plan, placed: Placed, end: str, z: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """The neighbour's body above a corner's height, and its part on its own side of the mitre's line."""
    body, own = np.full(z.shape, shapely.Polygon()), np.full(z.shape, shapely.Polygon())
    corner = plan.corner_at(placed.wall.id, end)
    if corner is None or corner.turn == 0:
        return body, own
    before, after = corner_pair(plan, placed, corner, end)
    neighbour = after if end == "end" else before
    above = (z > corner_height(before.wall, after.wall)) & (z < neighbour.wall.top)
    if above.any():
        body[above] = block(neighbour, z[above])
        line = mitre(before, after, z[above])
        own[above] = shapely.intersection(body[above], far_side(line, ahead=end == "end"))
    return body, own


def block(placed: Placed, z: np.ndarray) -> np.ndarray:
    """A wall cut square at both ends, where it stands."""
    start, end = square(placed, 0.0, z), square(placed, placed.wall.length, z)
    ring = [long_arc_points(placed, "right", z, start.right, end.right), long_arc_points(placed, "left", z, start.left, end.left)[:, ::-1]]
    return clipped(placed, shapely.polygons(np.concatenate(ring, 1)), z)


def far_side(line: Cut, ahead: bool) -> np.ndarray:
    """Half the plan: ahead of a mitre's line in the direction of travel, or behind it."""
    across = line.left - line.right
    across /= np.linalg.norm(across, axis=1)[:, None]
    onward = -left_of(across) if ahead else left_of(across)
    low, high = line.right - FAR * across, line.left + FAR * across
    return shapely.polygons(np.stack([low, high, high + FAR * onward, low + FAR * onward], 1))


def section_figures(plan: Plan, placed: Placed, z: np.ndarray) -> np.ndarray:
    """Area and the lengths of the inner and the outer face of a wall at each height: [figure, z]."""
    polygons, start, end = sections(plan, placed, z)
    if not shapely.is_valid(polygons).all():
        raise ValueError(f"a section of {placed.wall.id} crosses itself")
    polygons = clipped(placed, polygons, z)
    neighbours = [neighbour_above(plan, placed, which, z) for which in ("start", "end")]
    area = shapely.area(polygons) - sum(shapely.area(shapely.intersection(polygons, own)) for _, own in neighbours)
    bodies = [body for body, _ in neighbours]
    return np.stack([area, *(face_lengths(placed, face, start, end, bodies, z) for face in ("inner", "outer"))])


def face_lengths(placed: Placed, face: str, start: Cut, end: Cut, bodies, z) -> np.ndarray:
    """Length of a face at each height, between its cuts, where the wall stands and no neighbour's body buries it."""
    first, last = placed.wall.standing(z)
    side, offset = placed.wall.side_of(face), placed.wall.offset(face, z)
    low = np.maximum(placed.station(getattr(start, side), 0.0), first)
    high = np.minimum(placed.station(getattr(end, side), placed.wall.length), last)
    length = np.maximum(high - low, 0) * placed.wall.stretch(offset)
    for body in bodies:
        met = ~shapely.is_empty(body) & (high > low)
        if met.any():
            share = np.linspace(0, 1, 2 if not placed.wall.curved else 3 * CHORDS + 1)
            stations = low[met, None] + (high - low)[met, None] * share
            lines = shapely.linestrings(placed.point(stations, offset[met, None]))
            length[met] -= shapely.length(shapely.intersection(lines, body[met]))
    return length


@dataclass
class Measured:
    """A wall between its junctions: earth and faces slice by slice between `breaks`."""

    breaks: np.ndarray
    gross: np.ndarray
    inner: np.ndarray
    outer: np.ndarray
    plan: float

    def printed(self, paring: float) -> dict[str, float]:
        """The single figures of a wall without openings, under the names of `compare`."""
        gross, inner, outer = (float(part.sum()) for part in (self.gross, self.inner, self.outer))
        return {
            "gross": gross, "opening": 0.0, "net": gross, "placed": gross + paring * (inner + outer),
            "inner": inner, "outer": outer, "reveal": 0.0, "plan": self.plan,
        }

    def placed_lifts(self, wall: Wall, paring: float) -> list[float]:
        placed = self.gross + paring * (self.inner + self.outer)
        middle = (self.breaks[1:] + self.breaks[:-1]) / 2
        levels = [float(level) for level in wall.lift_levels()]
        return [float(placed[(middle > a) & (middle < b)].sum()) for a, b in zip(levels, levels[1:])]


def measure(plan: Plan, name: str, order: int = ORDER) -> Measured:
    """Integrates the sections of one wall over its height."""
    placed = alone(plan, name)
    breaks = break_heights(plan, placed)
    slices = integrate(lambda z: section_figures(plan, placed, z), breaks, order)
    factors = [placed.wall.slope_factor(face) for face in ("inner", "outer")]
    base = sections(plan, placed, np.zeros(1))[0]
    return Measured(breaks, slices[0], slices[1] * factors[0], slices[2] * factors[1], float(shapely.area(base)[0]))


def integrate(figures, breaks: np.ndarray, order: int) -> np.ndarray:
    """Integral of each figure over each interval between breaks: [figure, interval].

    Every interval is halved until its halves make the whole and its edges are
    where its nodes would have them: where a slope passes a junction the figures
    have kinks and steps, and none of those need be known.
    """
    low, high, owner = breaks[:-1], breaks[1:], np.arange(len(breaks) - 1)
    total = np.zeros((3, len(owner)))
    coarse, _ = gauss(figures, low, high, order)
    while len(low):
        middle = (low + high) / 2
        halves, strays = gauss(figures, np.concatenate([low, middle]), np.concatenate([middle, high]), order)
        left, right = np.split(halves, 2, axis=1)
        stray = np.maximum(*np.split(strays, 2))
        settled = (np.abs(left + right - coarse).max(0) < SETTLED) & (stray < 10 * SETTLED)
        done = settled | (high - low < NARROWEST)
        np.add.at(total, (slice(None), owner[done]), (left + right)[:, done])
        low, high = np.concatenate([low[~done], middle[~done]]), np.concatenate([middle[~done], high[~done]])
        owner, coarse = np.concatenate([owner[~done]] * 2), np.concatenate([left[:, ~done], right[:, ~done]], 1)
    return total


def gauss(figures, low: np.ndarray, high: np.ndarray, order: int) -> tuple[np.ndarray, np.ndarray]:
    """Gauss-Legendre over many intervals at once: [figure, interval], and how far the edges may stray.

    No node lies in the first and last fiftieth of an interval, so a step there
    shows only in the edge's own value, held against what the nodes say of it.
    """
    nodes, weights = unit_nodes(order)
    edges = np.array([1e-9, 1 - 1e-9])
    points = np.concatenate([nodes, edges])
    z = low[:, None] + (high - low)[:, None] * points
    values = figures(z.ravel()).reshape(3, len(low), order + 2)
    inner, outer = values[..., :order], values[..., order:]
    stray = np.abs(inner @ extrapolation(nodes, edges).T - outer).max((0, 2)) * (high - low) * nodes[0]
    return (inner * weights).sum(2) * (high - low), stray


def extrapolation(nodes: np.ndarray, points: np.ndarray) -> np.ndarray:
    """Lagrange's polynomials of the nodes, at the points: [point, node]."""
    return np.stack([
        [np.prod([(x - other) / (node - other) for other in nodes if other != node]) for node in nodes] for x in points
    ])


def break_heights(plan: Plan, placed: Placed) -> np.ndarray:
    """Heights where the section jumps or its slices end: levels, and the heights of junctions."""
    wall = placed.wall
    marks = set(wall.levels())
    for end in ("start", "end"):
        corner, tee = plan.corner_at(wall.id, end), plan.tee_at(wall.id, end)
        if corner is not None:
            marks.add(corner_height(plan.walls[corner.before], plan.walls[corner.after]))
        if tee is not None:
            marks.add(tee_height(plan, tee))
    return np.array(sorted(mark for mark in marks if 0 <= mark <= wall.top))

