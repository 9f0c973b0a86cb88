"""Judge A: one free-ended wall by Gauss-Legendre quadrature over its own body.

Volumes are integrals over height, along the wall and through its thickness;
faces and reveals are integrals of the length of the normal of the surface.
No closed form of a volume, a face or a reveal is used. The integrands are
smooth between the break levels, so the orders below leave about 1e-12.
Junctions are left to `sections`.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from geometry.outlines import Outline, outline
from geometry.walls import Wall

HEIGHT_ORDER = 20
DEPTH_ORDER = 6


@dataclass
class Figures:
    """What a takeoff says of a wall, in m3 and m2."""

    gross: float
    opening: float
    net: float
    placed: float
    inner: float
    outer: float
    reveal: float
    plan: float
    lifts: list[float]

    def printed(self) -> dict[str, float]:
        """The single figures under the names of `compare`."""
        return {name: value for name, value in vars(self).items() if name != "lifts"}


def unit_nodes(order: int) -> tuple[np.ndarray, np.ndarray]:
    """Gauss-Legendre nodes and weights on 0 to 1."""
    nodes, weights = np.polynomial.legendre.leggauss(order)
    return (nodes + 1) / 2, weights / 2


def spread(breaks: np.ndarray, order: int) -> tuple[np.ndarray, np.ndarray]:
    """Nodes and weights on every interval between breaks: arrays [interval, node]."""
    nodes, weights = unit_nodes(order)
    low, width = breaks[:-1, None], np.diff(breaks)[:, None]
    return low + width * nodes, width * weights


def measure(wall: Wall, paring: float, orders=(HEIGHT_ORDER, DEPTH_ORDER)) -> Figures:
    """Every figure of a free-ended wall, slice by slice between the break levels."""
    breaks = wall.levels()
    gross, faces = body_slices(wall, breaks, orders)
    displaced = np.zeros_like(gross)
    reveal = 0.0
    for hole in wall.openings:
        reveal += cut_opening(wall, outline(hole), splay_ratio(hole), breaks, orders, displaced, faces)
    for hole in wall.niches:
        reveal += cut_niche(wall, hole, breaks, orders, displaced, faces)
    return assemble(wall, paring, breaks, gross, displaced, faces, reveal)


def splay_ratio(hole: dict) -> float:
    return hole.get("splay_mm", 0.0) / 1000 / hole["width_m"]


def body_slices(wall: Wall, breaks, orders):
    """Gross volume and the two face areas of each slice."""
    z, weight = spread(breaks, orders[0])
    start, end = wall.standing(z)
    run = np.clip(end, 0, wall.length) - np.clip(start, 0, wall.length)
    depth, depth_weight = unit_nodes(orders[1])
    outer, inner = wall.offset("outer", z), wall.offset("inner", z)
    n = outer[..., None] + (inner - outer)[..., None] * depth
    through = np.abs(inner - outer) * (wall.stretch(n) * depth_weight).sum(-1)
    gross = (weight * run * through).sum(-1)
    faces = {}
    for face in ("inner", "outer"):
        length = run * wall.stretch(wall.offset(face, z))
        faces[face] = (weight * length).sum(-1) * wall.slope_factor(face)
    return gross, faces


def piece_nodes(piece, breaks, order):
    """Half-width, height and height-weight over one edge piece, by slice."""
    u, weight = spread(piece.reach(breaks), order)
    half, z = piece.at(u)
    _, climb = piece.slope(u)
    return half, z, weight * climb


def cut_opening(wall, hole: Outline, splay, breaks, orders, displaced, faces) -> float:
    """Takes an opening's earth and mouths off the slices; returns its reveals."""
    depth, depth_weight = unit_nodes(orders[1])
    for piece in hole.pieces:
        half, z, weight = piece_nodes(piece, breaks, orders[0])
        outer, inner = wall.offset("outer", z)[..., None], wall.offset("inner", z)[..., None]
        n = outer + (inner - outer) * depth
        across = (wall.stretch(n) * (1 + splay * depth) * depth_weight).sum(-1)
        displaced += (weight * 2 * half * wall.thickness(z) * across).sum(-1)
        for face, widening in (("outer", 1.0), ("inner", 1 + splay)):
            mouth = 2 * half * widening * wall.stretch(wall.offset(face, z))
            faces[face] -= (weight * mouth).sum(-1) * wall.slope_factor(face)

    def line(face):
        return lambda z: (wall.offset(face, z), -wall_side(wall, face) * wall.leans()[face])

    return ruled_area(wall, hole, line("outer"), line("inner"), 1 + splay, breaks[-1])


def wall_side(wall: Wall, face: str) -> int:
    return 1 if wall.side_of(face) == "left" else -1


def cut_niche(wall, row, breaks, orders, displaced, faces) -> float:
    """Takes a niche's earth off the slices; its back stands for its mouth."""
    face, depth_m = row["face"], row["depth_mm"] / 1000
    inward = -wall_side(wall, face) * depth_m
    depth, depth_weight = unit_nodes(orders[1])
    hole = outline(row)
    for piece in hole.pieces:
        half, z, weight = piece_nodes(piece, breaks, orders[0])
        mouth = wall.offset(face, z)
        n = mouth[..., None] + inward * depth
        displaced += (weight * 2 * half * depth_m * (wall.stretch(n) * depth_weight).sum(-1)).sum(-1)
        gained = wall.stretch(mouth + inward) - wall.stretch(mouth)
        faces[face] += (weight * 2 * half * gained).sum(-1) * wall.slope_factor(face)
    lean = -wall_side(wall, face) * wall.leans()[face]
    return ruled_area(
        wall, hole,
        lambda z: (wall.offset(face, z), lean),
        lambda z: (wall.offset(face, z) + inward, lean),
        1.0, breaks[-1],
    )


def edges(hole: Outline, top: float):
    """The whole outline above z = 0 as (xi, z, dxi, dz, weight), sill only when above 0."""
    for piece in hole.pieces:
        u, weight = spread(piece.reach(np.array([0.0, top])), 2 * HEIGHT_ORDER)
        half, z = piece.at(u)
        half_slope, climb = piece.slope(u)
        for hand in (1.0, -1.0):
            yield hand * half, z, hand * half_slope, climb, weight
    flats = [(hole.head_half, hole.top)] + ([(hole.sill_half, hole.sill)] if hole.sill > 0 else [])
    for half, level in flats:
        xi, weight = spread(np.array([-half, half]), HEIGHT_ORDER)
        yield xi, np.full_like(xi, level), np.ones_like(xi), np.zeros_like(xi), weight


def ruled_area(wall: Wall, hole: Outline, first, last, widening: float, top: float) -> float:
    """Area of the surface of straight level segments from the outline on one face to its image on another.

    `first` and `last` give a face's offset and its slope per metre of height.
    """
    v, v_weight = unit_nodes(HEIGHT_ORDER)
    total = 0.0
    for xi, z, xi_u, z_u, weight in edges(hole, top):
        p, p_u = place(wall, xi, xi_u, z, z_u, *first(z))
        q, q_u = place(wall, xi * widening, xi_u * widening, z, z_u, *last(z))
        along = p_u[..., None, :] + (q_u - p_u)[..., None, :] * v[:, None]
        across = np.broadcast_to((q - p)[..., None, :], along.shape)
        area = np.linalg.norm(np.cross(along, across), axis=-1) @ v_weight
        total += float((area * weight).sum())
    return total


def place(wall: Wall, xi, xi_u, z, z_u, n, n_z):
    """Point and derivative in space of (xi, n(z), z), xi measured along the centre line."""
    n_u = n_z * z_u
    if not wall.curved:
        return np.stack([xi, n, z], -1), np.stack([xi_u, n_u, z_u], -1)
    # Which way round the arc does not matter to an area.
    angle, angle_u = xi / wall.radius, xi_u / wall.radius
    r, r_u = wall.radius_at(n), (-n_u if wall.bend > 0 else n_u)
    cos, sin = np.cos(angle), np.sin(angle)
    point = np.stack([r * cos, r * sin, z], -1)
    slope = np.stack([r_u * cos - r * sin * angle_u, r_u * sin + r * cos * angle_u, z_u], -1)
    return point, slope


def assemble(wall, paring, breaks, gross, displaced, faces, reveal) -> Figures:
    """Adds the slices up into the wall's figures and its lifts."""
    earth = gross - displaced
    # Inclusions are spread over the lifts in proportion to the earth in them.
    earth = earth * (1 - wall.inclusions_m3 / earth.sum())
    levels = [float(level) for level in wall.lift_levels()]
    middle = (breaks[:-1] + breaks[1:]) / 2
    placed = earth + wall.paring(middle, paring) * (faces["inner"] + faces["outer"])
    lifts = [float(placed[(middle > a) & (middle < b)].sum()) for a, b in zip(levels, levels[1:])]
    displaced_m3 = float(displaced.sum()) + wall.inclusions_m3
    return Figures(
        gross=float(gross.sum()), opening=displaced_m3, net=float(earth.sum()),
        placed=float(placed.sum()), inner=float(faces["inner"].sum()),
        outer=float(faces["outer"].sum()), reveal=reveal, plan=plan_area(wall), lifts=lifts,
    )


def plan_area(wall: Wall) -> float:
    """Area of the base, whole."""
    depth, weight = unit_nodes(DEPTH_ORDER)
    outer, inner = wall.offset("outer", 0.0), wall.offset("inner", 0.0)
    return float(abs(inner - outer) * wall.length * (wall.stretch(outer + (inner - outer) * depth) * weight).sum())
