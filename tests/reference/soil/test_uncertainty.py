"""What a jar cannot tell of its clay, reckoned again in plain floating point with the logarithm of the standard library.

A boundary is read to a millimetre. The grain that had just fallen when the silt was marked is not the one of 0.002 mm: what
lies between the two is in the wrong layer, each kind of grain spread evenly over the logarithm of its size.
"""

from __future__ import annotations

import random
from math import ceil, floor, log

# The sizes between which silt and clay lie, mm.
SILT, CLAY = (0.002, 0.05), (0.0002, 0.002)


def missed(read: float, part: float, most: float) -> float:
    """How much of a kind is in the neighbouring layer when `part` of all of it is."""
    return most if 1 <= part else min(most, read * part / (1 - part))


def bounds(sand: float, silt: float, clay: float, grain: float) -> tuple[float, float]:
    """The least and the most clay, percent of the settled height, not rounded."""
    top = sand + silt + clay
    late = log(min(max(grain, SILT[0]), SILT[1]) / SILT[0]) / log(SILT[1] / SILT[0])
    early = log(CLAY[1] / min(max(grain, CLAY[0]), CLAY[1])) / log(CLAY[1] / CLAY[0])
    least = clay - missed(silt, late, clay) - 2
    most = min(clay + missed(clay, early, silt), top) + 2
    return max(0.0, 100 * least / (top - 1)), min(100.0, 100 * most / (top + 1))


def test_the_clay_of_random_jars_lies_between_the_bounds_that_are_told(asking):
    chance = random.Random(9)
    for _ in range(250):
        sand, silt, clay = (chance.randrange(10, 1500) / 10 for _ in range(3))
        # The layers never stand above the water.
        height = max(chance.randrange(60, 400), ceil(sand + silt + clay))
        protocol = {"sand_mark_s": str(chance.randrange(20, 90)), "silt_mark_min": str(chance.randrange(20, 2880)),
                    "water_height_mm": str(height), "water_celsius": str(chance.randrange(2, 38))}
        answer = asking.jar(tuple(f"{height:.1f}" for height in (sand, silt, clay)), protocol)
        low, high = bounds(sand, silt, clay, float(answer["silt_mark_grain_mm"]))
        # Told to a tenth, the low one cut down and the high one up; a digit of floating point either way.
        assert abs(float(answer["clay_percent_low"]) - floor(10 * low + 1e-9) / 10) < 1e-9, (answer, low)
        assert abs(float(answer["clay_percent_high"]) - ceil(10 * high - 1e-9) / 10) < 1e-9, (answer, high)
        assert float(answer["clay_percent_low"]) <= float(answer["clay_percent"]) + 0.1
        assert float(answer["clay_percent"]) <= float(answer["clay_percent_high"]) + 0.1
