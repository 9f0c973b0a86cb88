"""The judges themselves, before they judge: each against another, and against figures worked by hand.

Nothing here runs Hod.
"""

from __future__ import annotations

import math

import manifold3d
import numpy as np
import pytest
import shapely
import sympy
from scipy import integrate

from geometry import meshes, quadrature, sections
from geometry.outlines import outline
from geometry.plans import Placed, Plan
from geometry.random_runs import random_runs
from geometry.random_walls import random_jobs
from geometry.walls import wall_from

RUNS = random_runs(seed=20261125, count=300)


def free_walls(seed: int, count: int):
    for job in random_jobs(seed, count):
        for row in job["wall"]:
            yield wall_from(row, job)


def figures(measured) -> np.ndarray:
    return np.array([*measured.printed().values(), *measured.lifts])


def test_quadrature_does_not_depend_on_its_order():
    for wall in free_walls(seed=11, count=100):
        coarse, fine = quadrature.measure(wall, 0.025), quadrature.measure(wall, 0.025, orders=(32, 10))
        assert figures(coarse) == pytest.approx(figures(fine), abs=1e-10)


def test_quadrature_agrees_with_a_triple_integral_taken_along_the_wall_first():
    """The other order of integration: along, then up to the profile, then through."""
    for wall in list(free_walls(seed=12, count=40))[:12]:
        def up(s, wall=wall):
            def through(z):
                low, high = wall.side_offset("right", z), wall.side_offset("left", z)
                return integrate.fixed_quad(wall.stretch, low, high, n=4)[0]
            return integrate.fixed_quad(np.vectorize(through), 0, float(wall.profile(s)), n=6)[0]

        stops = sorted({0.0, wall.length, wall.peak_at})
        volume = sum(integrate.fixed_quad(np.vectorize(up), a, b, n=8)[0] for a, b in zip(stops, stops[1:]))
        assert quadrature.measure(wall, 0.0).gross == pytest.approx(volume, abs=1e-9)


def test_quadrature_agrees_with_counting_points_in_a_body():
    """A blunt but wholly different judge: the share of evenly spread points that lie in earth."""
    job = {"wall": [{
        "id": "w", "radius_m": 2.5, "bend_deg": -110, "height_m": 2, "peak_m": 2.8, "peak_at_m": 2, "thickness_mm": 500,
        "thickness_top_mm": 300, "batter": "inner",
        "opening": [{"id": "o", "shape": "pointed", "width_m": 0.9, "height_m": 0.8, "sill_m": 0.3, "at_m": 1.6, "splay_mm": 300}],
        "niche": [{"id": "n", "shape": "circle", "width_m": 0.6, "sill_m": 0.7, "at_m": 3.4, "depth_mm": 150, "face": "outer"}],
    }]}
    wall = wall_from(job["wall"][0], job)
    grid = [(np.arange(n) + 0.5) / n for n in (400, 240, 80)]
    s, z, n = np.meshgrid(grid[0] * wall.length, grid[1] * wall.top, (grid[2] - 0.5) * wall.base, indexing="ij")
    earth = (z < wall.profile(s)) & (n > wall.side_offset("right", z)) & (n < wall.side_offset("left", z))
    from_outer = np.abs(n - wall.offset("outer", z))
    earth &= ~inside(wall.openings[0], s, z, 1 + 0.3 / 0.9 * from_outer / wall.thickness(z))
    earth &= ~(inside(wall.niches[0], s, z, 1.0) & (from_outer < 0.15))
    cell = wall.length * wall.top * wall.base / s.size
    counted = float((earth * wall.stretch(n)).sum() * cell)
    assert quadrature.measure(wall, 0.0).net == pytest.approx(counted, abs=2e-3)


def inside(hole: dict, s, z, widening):
    """Whether a point of the elevation lies within the pointed or round outlines used above."""
    shape = outline(hole)
    across = np.abs(s - shape.axis) / widening
    if hole["shape"] == "circle":
        return np.hypot(across, z - shape.sill - shape.width / 2) < shape.width / 2
    springing = shape.sill + hole["height_m"]
    jambs = (across < shape.width / 2) & (z > shape.sill) & (z < springing)
    return jambs | ((z >= springing) & (np.hypot(across + shape.width / 2, z - springing) < shape.width))


def test_meshes_agree_with_quadrature_within_their_facets():
    for wall in list(free_walls(seed=13, count=40))[:30]:
        bound, whole, solid = meshes.facet_bound(wall), quadrature.measure(wall, 0.0), meshes.measure(wall)
        assert solid.gross == pytest.approx(whole.gross, abs=bound["volume"])
        assert solid.net == pytest.approx(whole.net + wall.inclusions_m3, abs=bound["volume"])
        assert solid.inner == pytest.approx(whole.inner, abs=bound["face"])
        assert solid.outer == pytest.approx(whole.outer, abs=bound["face"])
        assert solid.reveal == pytest.approx(whole.reveal, abs=bound["reveal"])


def test_finer_facets_come_closer_to_quadrature():
    job = {"wall": [{
        "id": "w", "radius_m": 2.0, "bend_deg": 90, "height_m": 2.2, "thickness_mm": 500, "thickness_top_mm": 400,
        "opening": [{"id": "o", "shape": "semicircular", "width_m": 0.8, "height_m": 1, "sill_m": 0.3, "at_m": 1, "splay_mm": 200}],
    }]}
    wall = wall_from(job["wall"][0], job)
    exact = quadrature.measure(wall, 0.0)
    errors = []
    for facets in (meshes.Facets(0.04, 0.08, 8), meshes.Facets(0.02, 0.04, 16)):
        solid = meshes.measure(wall, facets)
        errors.append([abs(solid.net - exact.net), abs(solid.outer - exact.outer), abs(solid.reveal - exact.reveal)])
    assert (np.array(errors[1]) < 0.4 * np.array(errors[0])).all(), errors


def test_sections_agree_with_quadrature_on_free_walls():
    for job in random_jobs(seed=14, wall_count=100):
        for row in job["wall"]:
            for cut_out in ("opening", "niche", "inclusion"):
                row.pop(cut_out, None)
        plan = Plan(job)
        for name, wall in plan.walls.items():
            section, whole = sections.measure(plan, name), quadrature.measure(wall, 0.025)
            got = [*section.printed(0.025).values(), *section.placed_lifts(wall, 0.025)]
            assert got == pytest.approx(figures(whole), abs=1e-7)


def test_sections_do_not_depend_on_their_order():
    for job in RUNS[::10]:
        plan = Plan(job)
        for name in plan.walls:
            coarse, fine = sections.measure(plan, name), sections.measure(plan, name, order=16)
            assert coarse.gross == pytest.approx(fine.gross, abs=1e-7)


def square_run(batter: str) -> dict:
    names = ["south", "east", "north", "west"]
    shared = {"length_m": 4.0, "height_m": 2.4, "thickness_mm": 600, "thickness_top_mm": 360, "batter": batter}
    return {"name": "square", "wall": [{"id": a, **shared, "ends": f"corner:{b}"} for a, b in zip(names, names[1:] + names[:1])]}


@pytest.mark.parametrize("batter", ["outer", "inner", "both"])
def test_sections_of_a_square_run_agree_with_exact_algebra(batter):
    z, k = sympy.symbols("z"), sympy.Rational(1, 10)
    lean = {"outer": (k, 0), "inner": (0, k), "both": (k / 2, k / 2)}[batter]
    half = sympy.Rational(3, 10)
    outside, within = 4 + 2 * (half - lean[0] * z), 4 - 2 * (half - lean[1] * z)
    exact = sympy.integrate(outside**2 - within**2, (z, 0, sympy.Rational(12, 5)))
    plan = Plan(square_run(batter))
    assert sum(sections.measure(plan, name).gross.sum() for name in plan.walls) == pytest.approx(float(exact), abs=1e-9)


def level_run_jobs() -> list[dict]:
    """Closed runs made level and of one height, so that their sections must tile a ring at every height."""
    jobs = []
    for job in RUNS:
        plan = Plan(job)
        if len(plan.closed_runs()) == 1 and not plan.tees:
            rows = [{k: v for k, v in row.items() if k not in ("peak_m", "peak_at_m", "height_end_m")} for row in job["wall"]]
            jobs.append(job | {"wall": [row | {"height_m": 2.4} for row in rows]})
    return jobs


def run_sections(plan: Plan, z: float):
    (run,) = plan.closed_runs()
    placed = plan.placed_run(run)
    return placed, [sections.sections(plan, p, np.array([z]))[0][0] for p in placed]


def test_the_random_runs_close_to_the_rounding_of_their_lengths():
    for job in RUNS:
        plan = Plan(job)
        for run in plan.closed_runs():
            last = plan.placed_run(run)[-1]
            assert np.hypot(*last.point(last.wall.length, 0.0)) < 1e-4
            turn = last.heading_at(last.wall.length) + plan.corner_at(last.wall.id, "end").turn
            assert abs(math.remainder(turn, 2 * math.pi)) < 1e-6


def test_sections_of_a_closed_run_count_nothing_twice_and_lose_nothing():
    checked = 0
    for job in level_run_jobs():
        plan = Plan(job)
        for z in (0.0, 1.3, 2.39):
            placed, polygons = run_sections(plan, z)
            apart, together = sum(p.area for p in polygons), shapely.union_all(polygons)
            assert together.area == pytest.approx(apart, abs=2e-5)
            # One ring round one hole: a gap of more than 0.2 mm at a mitre would open it.
            closed = together.buffer(1e-4, join_style="mitre")
            assert closed.geom_type == "Polygon" and len(closed.interiors) == 1
            checked += 1
    assert checked > 300


def test_walls_that_slope_to_a_corner_share_their_overlap_and_count_it_once():
    """Whatever line divides them, two walls together hold the union of both, cut square at the corner."""
    checked = 0
    for job in RUNS[1::2]:
        plan = Plan(job)
        for run in plan.closed_runs():
            placed = plan.placed_run(run)
            for z in heights_above_corners(plan, run):
                level, standing = np.array([z]), [p for p in placed if p.wall.top > z]
                raw = [sections.clipped(p, sections.sections(plan, p, level)[0], level)[0] for p in standing]
                own = sum(sections.section_figures(plan, sections.alone(plan, p.wall.id), level)[0][0] for p in standing)
                assert own == pytest.approx(shapely.union_all(raw).area, abs=3e-5), (job["name"], z)
                checked += sum(p.area for p in raw) > own + 1e-4
    assert checked > 50


def heights_above_corners(plan: Plan, run: list[str]) -> list[float]:
    """A little above each corner of a run that any wall slopes to, where its walls may overlap."""
    corners = [plan.corner_at(name, "end") for name in run]
    low = [sections.corner_height(plan.walls[c.before], plan.walls[c.after]) for c in corners]
    return [z + rise for z in low for rise in (0.005, 0.03)]


def test_sections_of_a_run_of_one_thickness_are_its_centre_line_offset_both_ways():
    """Shapely's own offset of the whole ring, mitred, knows nothing of walls."""
    checked = 0
    for job in level_run_jobs():
        plan = Plan(job)
        walls = list(plan.walls.values())
        if len({(w.base, w.taper, w.batter) for w in walls}) > 1 or any(w.curved for w in walls):
            continue
        for z in (0.0, 1.7):
            placed, polygons = run_sections(plan, z)
            centre = shapely.Polygon([p.origin for p in placed])
            wall = walls[0]
            reach = {face: float(abs(wall.offset(face, z))) for face in ("inner", "outer")}
            whole = centre.buffer(reach["outer"], join_style="mitre", mitre_limit=50)
            hollow = centre.buffer(-reach["inner"], join_style="mitre", mitre_limit=50)
            assert sum(p.area for p in polygons) == pytest.approx(whole.area - hollow.area, abs=1e-5)
            checked += 1
    assert checked > 50


def test_sections_of_a_straight_run_fill_the_solid_between_its_faces():
    """The same earth as one solid: the loft of the outer meetings less the loft of the inner ones."""
    checked = 0
    for job in level_run_jobs():
        plan = Plan(job)
        if any(wall.curved for wall in plan.walls.values()):
            continue
        (run,) = plan.closed_runs()
        rings = {side: np.stack([ring_of_meetings(plan, run, side, z) for z in (0.0, 2.4)]) for side in ("left", "right")}
        volume = abs(loft(rings["left"], 2.4).volume() - loft(rings["right"], 2.4).volume())
        assert sum(sections.measure(plan, name).gross.sum() for name in run) == pytest.approx(volume, abs=1e-4)
        checked += 1
    assert checked > 50


def ring_of_meetings(plan: Plan, run: list[str], side: str, z: float) -> np.ndarray:
    placed = plan.placed_run(run)
    return np.array([getattr(sections.cut_end(plan, p, "start", np.array([z])), side)[0] for p in placed])


def loft(rings: np.ndarray, height: float) -> manifold3d.Manifold:
    """A solid from a ring at the base to a ring at the top; its sides are planes, being faces of walls."""
    base = rings[0] if shapely.Polygon(rings[0]).exterior.is_ccw else rings[0][::-1]
    top = rings[1] if shapely.Polygon(rings[1]).exterior.is_ccw else rings[1][::-1]
    count = len(base)
    points = np.concatenate([np.c_[base, np.zeros(count)], np.c_[top, np.full(count, height)]])
    sides = [(i, j, count + j) for i, j in ring_edges(count)] + [(i, count + j, count + i) for i, j in ring_edges(count)]
    floor = np.asarray(manifold3d.triangulate([base]))
    roof = np.asarray(manifold3d.triangulate([top])) + count
    triangles = np.concatenate([sides, floor[:, ::-1], roof])
    made = manifold3d.Manifold(manifold3d.Mesh64(vert_properties=points, tri_verts=triangles.astype(np.uint64)))
    assert made.status() == manifold3d.Error.NoError
    return made


def ring_edges(count: int):
    return [(i, (i + 1) % count) for i in range(count)]


def test_a_guest_stops_at_its_host_and_fills_the_whole_way_to_it():
    """Where both stand, the guest is its own strip run on into the host, less the host."""
    checked = 0
    for job in RUNS:
        plan = Plan(job)
        for tee in plan.tees:
            guest = sections.alone(plan, tee.guest)
            host = sections.host_of(plan, guest, tee)
            for z in (0.0, 0.9 * min(sections.tee_height(plan, tee), guest.wall.height_end, guest.wall.height_start)):
                found = sections.sections(plan, guest, np.array([z]))[0][0]
                body = sections.sections(Plan({"wall": [bare(plan.rows[tee.host])]}), host_alone(plan, tee, host), np.array([z]))[0][0]
                assert found.intersection(body).area < 1e-5
                strip = strip_to_middle(plan, tee, guest, z)
                assert strip.difference(shapely.union_all([found, body]).buffer(1e-6)).area < 1e-5
                checked += 1
    assert checked > 100


def bare(row: dict) -> dict:
    return {k: v for k, v in row.items() if k not in ("starts", "ends")}


def host_alone(plan: Plan, tee, host: Placed) -> Placed:
    return Placed(plan.walls[tee.host], host.origin, host.heading)


def strip_to_middle(plan: Plan, tee, guest: Placed, z: float):
    """The middle half of the guest's strip, from its own middle to the host's centre line."""
    length = guest.wall.length
    low, high = (length / 2, length) if tee.end == "end" else (0.0, length / 2)
    s = np.linspace(low, high, 200)
    left, right = (0.5 * float(guest.wall.side_offset(side, z)) for side in ("left", "right"))
    return shapely.Polygon(np.concatenate([guest.point(s, right), guest.point(s, left)[::-1]]))


def test_the_random_walls_are_of_every_kind():
    walls = list(free_walls(seed=1, count=2000))
    assert {len(wall.openings) for wall in walls} == {0, 1, 2, 3, 4}
    kinds = {(h["shape"], bool(h.get("splay_mm")), wall.curved) for wall in walls for h in wall.openings}
    assert len(kinds) == 5 * 2 * 2
    assert {(wall.batter, wall.curved, wall.bend < 0) for wall in walls if wall.taper} >= {
        (batter, *bent) for batter in ("both", "outer", "inner") for bent in ((False, False), (True, False), (True, True))
    }
    assert {(n["shape"], n["face"]) for wall in walls for n in wall.niches} == {
        (shape, face) for shape in ("rectangle", "segmental", "semicircular", "pointed", "circle") for face in ("inner", "outer")
    }


def test_the_random_runs_are_of_every_kind():
    plans = [Plan(job) for job in RUNS]
    turns = [math.degrees(corner.turn) for plan in plans for corner in plan.corners]
    assert min(turns) < -90 and max(turns) > 90 and any(0 < abs(turn) < 60 for turn in turns)
    hosts = [plan.walls[tee.host] for plan in plans for tee in plan.tees]
    assert any(host.bend > 0 for host in hosts) and any(host.bend < 0 for host in hosts)
    assert {w.batter for plan in plans for w in plan.walls.values() if w.taper} == {"both", "outer", "inner"}
    assert sum(len({w.top for w in plan.walls.values()}) > 1 for plan in plans) > 50
