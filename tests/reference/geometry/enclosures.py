"""Judge F: what a closed run encloses at its base, as the area of a shapely polygon of its inner faces."""

from __future__ import annotations

import numpy as np
import shapely

from geometry import sections
from geometry.plans import Plan


def enclosed(plan: Plan, run: list[str]) -> float:
    """The walls placed one after the other, and their inner faces strung together, open joints and all."""
    base, rings = np.zeros(1), []
    for placed in plan.placed_run(run):
        start, end = (sections.cut_end(plan, placed, which, base) for which in ("start", "end"))
        side = placed.wall.inner
        rings.append(sections.long_arc_points(placed, side, base, getattr(start, side), getattr(end, side))[0])
    return float(shapely.Polygon(np.concatenate(rings)).area)


def misclosure(plan: Plan, run: list[str]) -> float:
    """By how much area the run may be off for missing its start: the gap, swept along the whole of it."""
    last = plan.placed_run(run)[-1]
    gap = np.hypot(*last.point(last.wall.length, 0.0))
    return float(gap) * sum(plan.walls[name].length for name in run)
