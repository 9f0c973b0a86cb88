"""The outline of an opening or a niche in elevation.

An outline is symmetrical about its own upright axis, so it is kept as the
right-hand half: pieces that climb from the lowest point to the highest, each a
smooth curve `u -> (b, z)` with `b` the half-width, and the flat sill and head.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np


@dataclass
class Upright:
    """A vertical edge: half-width `half`, from `low` to `high`; `u` is the height."""

    half: float
    low: float
    high: float

    def at(self, u):
        return np.full_like(u, self.half), u

    def slope(self, u):
        return np.zeros_like(u), np.ones_like(u)

    def reach(self, z):
        return np.clip(z, self.low, self.high)


@dataclass
class Bow:
    """A circular edge about (`centre`, `level`); `u` is the angle above the horizontal."""

    centre: float
    level: float
    radius: float
    low: float
    high: float

    def at(self, u):
        return self.centre + self.radius * np.cos(u), self.level + self.radius * np.sin(u)

    def slope(self, u):
        return -self.radius * np.sin(u), self.radius * np.cos(u)

    def reach(self, z):
        sine = np.clip((np.asarray(z) - self.level) / self.radius, -1.0, 1.0)
        return np.clip(np.arcsin(sine), self.low, self.high)


@dataclass
class Outline:
    """A hole's outline: climbing pieces, flat head half-width (0 for a crown), sill."""

    axis: float
    width: float
    sill: float
    top: float
    pieces: list
    head_half: float
    sill_half: float


def outline(hole: dict) -> Outline:
    """Reads the outline of an opening or a niche of a job file."""
    shape, width, sill = hole["shape"], hole["width_m"], hole.get("sill_m", 0.0)
    half = width / 2
    axis = hole["at_m"] + half
    if shape == "circle":
        round_edge = Bow(0.0, sill + half, half, -math.pi / 2, math.pi / 2)
        return Outline(axis, width, sill, sill + width, [round_edge], 0.0, 0.0)
    springing = sill + hole["height_m"]
    jamb = Upright(half, sill, springing)
    if shape == "rectangle":
        return Outline(axis, width, sill, springing, [jamb], half, half)
    arch, rise = arch_over(hole, half, springing)
    return Outline(axis, width, sill, springing + rise, [jamb, arch], 0.0, half)


def arch_over(hole: dict, half: float, springing: float) -> tuple[Bow, float]:
    """The right half of the arch above the springing, and its rise."""
    shape = hole["shape"]
    if shape == "semicircular":
        return Bow(0.0, springing, half, 0.0, math.pi / 2), half
    if shape == "pointed":
        # Equilateral: each side is struck from the opposite springing point.
        return Bow(-half, springing, 2 * half, 0.0, math.pi / 3), half * math.sqrt(3)
    rise = hole["rise_m"]
    radius = (half**2 + rise**2) / (2 * rise)
    level = springing + rise - radius
    return Bow(0.0, level, radius, math.asin((springing - level) / radius), math.pi / 2), rise
