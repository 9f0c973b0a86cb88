"""The dome of an oven: layers of half an ellipsoid of revolution, with a straight door through all of them on one side.

The door is cut by integration over its height, which no closed form is needed for: a strip of each horizontal circle.
"""

from __future__ import annotations

import math
from fractions import Fraction

from scipy.integrate import quad

from estimate.arithmetic import number
from estimate.reckoning import Reckoning
from systems.plain import metres


def half_ellipsoid(radius: float, height: float) -> float:
    return 2 / 3 * math.pi * radius**2 * height


def door_in(radius: float, height: float, width: float, tall: float) -> float:
    """What a door, straight up, `width` wide and `tall` high, cuts from the middle of a solid dome outward on one side."""
    def strip(z: float) -> float:
        r = radius * math.sqrt(max(0.0, 1 - (z / height) ** 2))
        half = min(width / 2, r)
        return half * math.sqrt(max(0.0, r * r - half * half)) + r * r * math.asin(half / r) if r else 0.0
    top = min(tall, height)
    # Where the circle has become as narrow as the door the integrand has a corner.
    corner = height * math.sqrt(max(0.0, 1 - (width / 2 / radius) ** 2)) if radius > width / 2 else 0.0
    return quad(strip, 0, top, points=[corner] if 0 < corner < top else None, limit=200, epsabs=1e-13)[0]


def shells(oven: dict) -> list[tuple[str, float, float]]:
    """Each layer of the dome with its volume whole and less the door."""
    radius = float(metres(oven, "inner_diameter_m")) / 2
    height = float(metres(oven, "dome_height_m")) or radius
    width, tall = float(metres(oven, "door_width_m")), float(metres(oven, "door_height_m")) or 0.63 * height
    found = []
    for layer in oven["layers"]:
        mix, thick = layer.split(":")
        step = float(thick) / 1000
        whole = half_ellipsoid(radius + step, height + step) - half_ellipsoid(radius, height)
        door = door_in(radius + step, height + step, width, tall) - door_in(radius, height, width, tall)
        found.append((mix, whole, whole - door))
        radius, height = radius + step, height + step
    return found


def outer_radius(oven: dict) -> float:
    return float(metres(oven, "inner_diameter_m")) / 2 + sum(float(layer.split(":")[1]) for layer in oven["layers"]) / 1000


def count(found: Reckoning, oven: dict) -> None:
    for mix, _, net in shells(oven):
        found.place(mix, to_step(net))
    for layer in oven.get("base_layers", []):
        mix, thick = layer.split(":")
        found.place(mix, to_step(math.pi * outer_radius(oven) ** 2 * float(number(thick)) / 1000))
    if oven.get("form_mix"):
        radius = float(metres(oven, "inner_diameter_m")) / 2
        found.place(oven["form_mix"], to_step(half_ellipsoid(radius, float(metres(oven, "dome_height_m")) or radius)))
    found.work("build-oven", piece=Fraction(1))


def to_step(volume: float) -> Fraction:
    """Volumes that geometry hands out are told to 0.000001 m3."""
    return Fraction(round(volume * 10**6), 10**6)
