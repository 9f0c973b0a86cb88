"""Judge E: a wall and the wall that runs into it as one solid, whose faces are what of both is to be seen.

Both are meshes, openings cut; manifold3d joins them, and so what of the host stands
behind the guest is no face any more. The guest is its own mesh run on into the
host as far as the host's middle.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from geometry import meshes, sections
from geometry.meshes import FRONT, INNER, OTHER, OUTER, REVEAL, Facets
from geometry.plans import Placed, Plan, place_at
from geometry.walls import Wall

FINE = Facets(plan=0.002, arch=0.02, layers=16)
# The guest's labels stand so much higher than the host's.
GUEST = 20
# How far the guest runs on, and how far the far half of the host reaches: past the guest's end, short of the arc's middle.
ONWARD, ASIDE = 1.0, 2.5
HIGH, LOW, WIDE = 20.0, -1.0, 100.0


@dataclass
class Seen:
    """True areas of what is to be seen of a host and of its guest."""

    host_inner: float
    host_outer: float
    guest_inner: float
    guest_outer: float
    reveal: float


def seen(plan: Plan, tee) -> Seen:
    """Joins the two walls of a T-junction and measures their faces."""
    host, guest = plan.walls[tee.host], plan.walls[tee.guest]
    joined = cut(host, meshes.wall_solid(host, FINE))
    joined += cut(guest, guest_body(plan, tee)).transform(guest_to_host(plan, tee))
    mesh = joined.to_mesh64()
    corner = np.asarray(mesh.vert_properties)[:, :3][np.asarray(mesh.tri_verts).astype(int)]
    area = np.linalg.norm(np.cross(corner[:, 1] - corner[:, 0], corner[:, 2] - corner[:, 0]), axis=1) / 2
    label = np.asarray(mesh.face_id).astype(int)
    marks = (INNER, OUTER, INNER + GUEST, OUTER + GUEST, REVEAL)
    return Seen(*(float(area[label == mark].sum()) for mark in marks))


def cut(wall: Wall, body):
    for hole in wall.openings:
        body -= meshes.opening_solid(wall, hole, FINE, straight=True)
    return body


def guest_body(plan: Plan, tee):
    """The guest run on to the middle of its host; above the host's top only as far as it is drawn, cut square."""
    guest = plan.walls[tee.guest]
    ends = {"before": ONWARD} if tee.end == "start" else {"beyond": ONWARD}
    long = meshes.wall_solid(guest, FINE, **ends, shift=GUEST)
    half = far_half(plan, tee).transform(inverse(guest_to_host(plan, tee)))
    body, top = long - half, sections.tee_height(plan, tee)
    if not is_level(plan.walls[tee.host]):
        return body
    square = meshes.wall_solid(guest, FINE, shift=GUEST)
    return (body - layer(top, HIGH)) + (square - layer(LOW, top))


def layer(low: float, high: float):
    """All of the plan between two heights."""
    x = np.array([[-WIDE], [WIDE]]) + np.zeros((2, 2))
    z = np.array([[low, high]]) + np.zeros((2, 2))
    near, far = (np.stack([x, np.full((2, 2), y), z], -1) for y in (-WIDE, WIDE))
    return closed(near, far)


def is_level(wall: Wall) -> bool:
    return wall.height_start == wall.height_end == wall.peak


def far_half(plan: Plan, tee):
    """All that lies beyond the host's centre line, as seen from the guest."""
    host = plan.walls[tee.host]
    away = -1 if (tee.turn > 0) == (tee.end == "end") else 1
    reach = min(ASIDE, 0.9 * host.radius) if host.curved else ASIDE
    spare = min(1.0, 0.3 * host.length)
    count = math.ceil(host.length / host.radius / FINE.plan) if host.curved else 1
    s = np.linspace(-spare, host.length + spare, count + 1)[:, None]
    z = np.array([LOW, HIGH]) + np.zeros_like(s)
    near, far = (meshes.position(host, s, away * n, z) for n in (0.0, reach))
    return closed(near, far)


def closed(near: np.ndarray, far: np.ndarray):
    """The solid between two grids of points [station, height], of no face that counts."""
    ring = [
        (near, FRONT), (far[:, ::-1], FRONT),
        (np.stack([near[:, 1], far[:, 1]], 1), OTHER), (np.stack([far[:, 0], near[:, 0]], 1), OTHER),
    ]
    ends = [(np.stack([far[0], near[0]]), OTHER), (np.stack([near[-1], far[-1]]), OTHER)]
    return meshes.solid(ring + ends)


def in_mesh_frame(wall: Wall) -> Placed:
    """Where `meshes.position` puts a wall: a straight one on the x axis, an arc about the origin."""
    if not wall.curved:
        return Placed(wall, np.zeros(2), 0.0)
    return Placed(wall, np.array([wall.radius, 0.0]), math.copysign(math.pi / 2, wall.bend))


def guest_to_host(plan: Plan, tee) -> np.ndarray:
    """The move, as three rows of four, that puts the guest's mesh against the host's."""
    host, guest = in_mesh_frame(plan.walls[tee.host]), plan.walls[tee.guest]
    s = guest.length if tee.end == "end" else 0.0
    placed = place_at(guest, s, host.point(tee.at, 0.0), host.heading_at(tee.at) - tee.turn)
    drawn = in_mesh_frame(guest)
    angle = placed.heading - drawn.heading
    turn = np.array([[math.cos(angle), -math.sin(angle)], [math.sin(angle), math.cos(angle)]])
    move = np.zeros((3, 4))
    move[:2, :2], move[2, 2] = turn, 1.0
    move[:2, 3] = placed.origin - turn @ drawn.origin
    return move


def inverse(move: np.ndarray) -> np.ndarray:
    back = np.zeros((3, 4))
    back[:, :3] = move[:, :3].T
    back[:, 3] = -move[:, :3].T @ move[:, 3]
    return back


def facet_bound(plan: Plan, tee) -> dict[str, float]:
    """How far the figures may be off for being faceted, beyond what `meshes` says of each wall by itself.

    Where a chord stands inside its arc the guest meets the host so much sooner or later, along a slant at most 55 degrees
    off square; each of the guest's two faces and both edges of the contact move by that, over the whole height.
    """
    host, guest = plan.walls[tee.host], plan.walls[tee.guest]
    sagitta = sum((wall.radius + wall.base) * FINE.plan**2 / 8 for wall in (host, guest) if wall.curved)
    edge = 2 * sagitta / math.cos(math.radians(55)) * max(host.top, guest.top)
    bounds = [meshes.facet_bound(wall, FINE) for wall in (host, guest)]
    return {
        "face": max(bound["face"] for bound in bounds) + 2 * edge + 2e-6,
        "reveal": sum(bound["reveal"] for bound in bounds),
    }
