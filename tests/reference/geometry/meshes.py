"""Judge B: one free-ended wall as a faceted solid, cut by faceted solids.

The wall and each hole are closed meshes; the boolean and the sums of tetrahedra
and triangles are manifold3d's. Arcs are chords, so a figure is only as near as
`facet_bound` says, which is worked out from the facet angles alone.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import manifold3d
import numpy as np

from geometry.outlines import Bow, outline
from geometry.quadrature import splay_ratio, wall_side
from geometry.walls import Wall

PLAN_STEP = 0.01
ARCH_STEP = 0.02
LAYERS = 16
OUTER, INNER, OTHER, REVEAL, OUTER_BACK, INNER_BACK, FRONT = range(1, 8)


@dataclass
class Solid:
    """Figures of a faceted wall; `net` and the areas leave inclusions out."""

    gross: float
    net: float
    inner: float
    outer: float
    reveal: float


@dataclass
class Facets:
    """Facet angles, and how many layers a twisted reveal is cut into through the wall."""

    plan: float = PLAN_STEP
    arch: float = ARCH_STEP
    layers: int = LAYERS


def measure(wall: Wall, facets: Facets | None = None) -> Solid:
    """Builds the wall, cuts it and measures what is left."""
    facets = facets or Facets()
    body = wall_solid(wall, facets)
    volume_net = surface_net = cut(wall, body, facets, straight=False)
    if wall.curved and splayed(wall):
        # Reveals are straight from face to face; a splay's volume widens evenly with the radius.
        surface_net = cut(wall, body, facets, straight=True)
    return Solid(gross=body.volume(), net=volume_net.volume(), **labelled_areas(surface_net))


def splayed(wall: Wall) -> bool:
    return any(splay_ratio(hole) > 0 for hole in wall.openings)


def cut(wall, body, facets, straight):
    net = body
    for hole in wall.openings:
        net = net - opening_solid(wall, hole, facets, straight)
    for hole in wall.niches:
        net = net - niche_solid(wall, hole, facets)
    return net


def position(wall: Wall, s, n, z) -> np.ndarray:
    """A point of the wall in space."""
    s, n, z = np.broadcast_arrays(np.asarray(s, float), n, z)
    if not wall.curved:
        return np.stack([s, n, z], -1)
    turn = math.copysign(1.0, wall.bend)
    r, angle = wall.radius_at(n), turn * s / wall.radius
    return np.stack([r * np.cos(angle), r * np.sin(angle), z], -1)


def quads(grid: np.ndarray, centred: bool) -> np.ndarray:
    """Triangles [triangle, corner, xyz] of a grid of points [row, column, xyz].

    A centred quad is split four ways about its middle, so that a twisted one
    leans to neither of its diagonals.
    """
    a, b, c, d = grid[:-1, :-1], grid[1:, :-1], grid[1:, 1:], grid[:-1, 1:]
    middle = (a + b + c + d) / 4
    triples = [(a, b, middle), (b, c, middle), (c, d, middle), (d, a, middle)] if centred else [(a, b, c), (a, c, d)]
    return np.concatenate([np.stack(triple, -2).reshape(-1, 3, 3) for triple in triples])


def solid(grids: list[tuple[np.ndarray, int]], shift: int = 0) -> manifold3d.Manifold:
    """A closed solid from grids of points, each with its label and that so much higher, whichever way all are wound."""
    parts = [quads(grid, centred=label == OTHER) for grid, label in grids]
    labels = np.concatenate([np.full(len(part), label + shift) for part, (_, label) in zip(parts, grids)])
    corners = np.concatenate(parts)
    if np.einsum("ti,ti->", corners[:, 0], np.cross(corners[:, 1], corners[:, 2])) < 0:
        corners = corners[:, ::-1]
    points, triangles = welded(corners)
    a, b, c = triangles.T
    whole = (a != b) & (b != c) & (c != a)
    mesh = manifold3d.Mesh64(
        vert_properties=points, tri_verts=triangles[whole].astype(np.uint64),
        face_id=labels[whole].astype(np.uint64),
    )
    made = manifold3d.Manifold(mesh)
    if made.status() != manifold3d.Error.NoError:
        raise ValueError(f"mesh is not a solid: {made.status()}")
    return made


def welded(corners: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Triangles by index into points, corners within 1e-10 m of each other being one point."""
    flat = corners.reshape(-1, 3)
    steps = np.round(flat * 1e10).astype(np.int64)
    # One odd multiplier a coordinate makes a key that is sorted far faster than rows are.
    key = steps @ np.array([1, 0x9E3779B97F4A7C15 - 2**64, 0xC2B2AE3D27D4EB4F - 2**64], dtype=np.int64)
    _, first, index = np.unique(key, return_index=True, return_inverse=True)
    return flat[first], index.reshape(-1, 3)


def wall_solid(wall: Wall, facets: Facets, before: float = 0.0, beyond: float = 0.0, shift: int = 0):
    """The wall without its holes: outer face, inner face, top, bottom and two ends; run on past its ends if so asked."""
    low, high = -before, wall.length + beyond
    stations = {low, high, 0.0, wall.length, wall.peak_at}
    if wall.curved:
        count = math.ceil((high - low) / wall.radius / facets.plan)
        stations |= set(np.linspace(low, high, count + 1))
    s = np.array(sorted(stations))[:, None]
    height = wall.profile(s[:, 0])[:, None] * np.array([0.0, 1.0])
    outer = position(wall, s, wall.offset("outer", height), height)
    inner = position(wall, s, wall.offset("inner", height), height)
    ring = [
        (outer, OUTER), (inner[:, ::-1], INNER),
        (np.stack([outer[:, 1], inner[:, 1]], 1), OTHER), (np.stack([inner[:, 0], outer[:, 0]], 1), OTHER),
    ]
    ends = [(np.stack([inner[0], outer[0]]), OTHER), (np.stack([outer[-1], inner[-1]]), OTHER)]
    return solid(ring + ends, shift)


def elevation_grid(wall, hole, facets) -> tuple[np.ndarray, np.ndarray]:
    """The hole's face as a grid [row, column] of (xi, z), rows climbing, ends on the outline."""
    shape = outline(hole)
    halves, heights = [], []
    for piece in shape.pieces:
        if isinstance(piece, Bow):
            u = np.linspace(piece.low, piece.high, math.ceil((piece.high - piece.low) / facets.arch) + 1)
        else:
            u = np.linspace(piece.low, piece.high, 17)
        half, z = piece.at(u)
        halves.append(half)
        heights.append(z)
    half, z = np.concatenate(halves), np.concatenate(heights)
    if shape.sill == 0 and shape.sill_half > 0:
        # Open the threshold below the wall so that no sill is left at 0.
        half, z = np.concatenate([half[:1], half]), np.concatenate([[-0.05], z])
    keep = np.concatenate([[True], np.diff(z) > 1e-9])
    half, z = half[keep], z[keep]
    half[half < 1e-9] = 0.0
    step = facets.plan * wall.radius if wall.curved else np.inf
    column = np.linspace(-1, 1, max(1, math.ceil(shape.width / step)) + 1)
    return half[:, None] * column, np.repeat(z[:, None], len(column), 1)


def lofted(layers: list[np.ndarray], labels: tuple[int, int]):
    """A solid through grids of points: first and last grid are its caps, the rest its sides."""
    first, last = layers[0], layers[-1]
    stack = np.stack(layers)
    sides = [stack[:, 0, ::-1], stack[:, -1], stack[:, :, 0], stack[:, ::-1, -1]]
    return solid([(first, labels[0]), (last[:, ::-1], labels[1])] + [(side, REVEAL) for side in sides])


def opening_solid(wall: Wall, hole: dict, facets: Facets, straight: bool):
    """The opening from a little outside the outer face to a little inside the inner one."""
    xi, z = elevation_grid(wall, hole, facets)
    splay, axis = splay_ratio(hole), outline(hole).axis
    outer, inner = wall.offset("outer", z), wall.offset("inner", z)

    def layer(x):
        return position(wall, axis + xi * (1 + splay * x), outer + (inner - outer) * x, z)

    steps = np.linspace(0, 1, (facets.layers if splay or wall.curved else 1) + 1)
    inside = [layer(0) + (layer(1) - layer(0)) * x if straight else layer(x) for x in steps]
    # The first and last stretches run straight on past the faces.
    before = inside[0] + (inside[0] - inside[1]) * 0.1 * (len(steps) - 1)
    after = inside[-1] + (inside[-1] - inside[-2]) * 0.1 * (len(steps) - 1)
    return lofted([before, *inside, after], (FRONT, FRONT))


def niche_solid(wall: Wall, hole: dict, facets: Facets):
    """The niche from a little outside its face to its back."""
    xi, z = elevation_grid(wall, hole, facets)
    axis, face = outline(hole).axis, hole["face"]
    inward = -wall_side(wall, face) * hole["depth_mm"] / 1000
    steps = [-0.2, *np.linspace(0, 1, (facets.layers if wall.curved else 1) + 1)]
    layers = [position(wall, axis + xi, wall.offset(face, z) + inward * x, z) for x in steps]
    label = OUTER_BACK if face == "outer" else INNER_BACK
    return lofted(layers, (FRONT, label))


def labelled_areas(net) -> dict[str, float]:
    """Sloped face areas and reveals of what is left; the back of a niche counts to its face."""
    mesh = net.to_mesh64()
    points = np.asarray(mesh.vert_properties)[:, :3]
    corner = points[np.asarray(mesh.tri_verts).astype(int)]
    area = np.linalg.norm(np.cross(corner[:, 1] - corner[:, 0], corner[:, 2] - corner[:, 0]), axis=1) / 2
    label = np.asarray(mesh.face_id).astype(int)

    def total(*marks):
        return float(area[np.isin(label, marks)].sum())

    return {"outer": total(OUTER, OUTER_BACK), "inner": total(INNER, INNER_BACK), "reveal": total(REVEAL)}


def facet_bound(wall: Wall, facets: Facets | None = None) -> dict[str, float]:
    """How far each figure may be off for being faceted, with 1e-6 for the printed digits.

    A chord of angle d leaves out the share d^2/6 of its sector's area and d^2/24 of
    the arc's length; each is counted whole, once for the plan and once for each arch,
    and half as much again is allowed for what is of higher order.
    """
    facets = facets or Facets()
    plan = facets.plan**2 / 6 if wall.curved else 0.0
    widest = float(wall.stretch(wall.offset("outer", 0.0)))
    face = wall.length * wall.top * widest
    # A chord of the face stands inside its arc by up to this, and shortens the reveals by as much.
    sagitta = widest * wall.radius * facets.plan**2 / 8 if wall.curved else 0.0
    volume, mouth, reveal = face * wall.base * plan, face * plan, 0.0
    for hole in wall.openings + wall.niches:
        shape, splay = outline(hole), splay_ratio(hole)
        bows = [piece for piece in shape.pieces if isinstance(piece, Bow)]
        lost = sum(bow.radius**2 * (bow.high - bow.low) for bow in bows) * facets.arch**2 / 6
        lost *= (1 + splay) * widest
        wide, tall = shape.width * (1 + splay), shape.top - shape.sill
        volume += (lost + splay_bow(wall, hole, facets) * tall) * wall.base
        mouth += lost + wide * tall * plan * widest
        # Where the outline's two ends run at a slant to each other, triangles overstate by the trapezoid rule.
        twist = ((splay + (wall.base / wall.radius if wall.curved else 0)) / facets.layers) ** 2 / 12
        rim = 2 * (wide + tall) * widest
        reveal += rim * wall.base * (facets.arch**2 / 24 + plan + twist) + rim * sagitta
    return {name: 1.5 * value + 1e-6 for name, value in
            {"volume": volume, "face": mouth, "reveal": reveal}.items()}


def splay_bow(wall: Wall, hole: dict, facets: Facets) -> float:
    """How far both jambs of a splay on an arc bow out of the chord of a layer.

    A jamb of radius r(x) at angle a(x), both linear in x, bends by |2 r' a'| + r a'^2;
    a chord over 1/layers of it is an eighth of that over layers^2 away.
    """
    if not wall.curved:
        return 0.0
    turn = hole["width_m"] * splay_ratio(hole) / 2 / wall.radius
    bend = 2 * wall.base * turn + (wall.radius + wall.base) * turn**2
    return 2 * bend / (8 * facets.layers**2)
