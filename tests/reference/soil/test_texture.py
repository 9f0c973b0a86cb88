"""The texture classes, judged by a soil-science package that has the USDA triangle as polygons.

The package is `pedotri`. It holds the corners of the twelve classes of the Soil Survey Manual (1993) and asks into which
polygon a point falls, where Hod has inequalities; neither is made from the other. On a line between two classes each has
a convention of its own, so points nearer than a twentieth of a per cent to a line are not asked.
"""

from __future__ import annotations

import random

import pedotri
import pytest

POINTS = 1500
NEAR = 0.05

# Sand, silt, clay: the middle of each class, loam as worked at agricultureengineering.softecks.in/235.
MIDDLES = [
    ((40, 35, 25), "loam"), ((92, 5, 3), "sand"), ((82, 12, 6), "loamy_sand"), ((65, 25, 10), "sandy_loam"),
    ((60, 10, 30), "sandy_clay_loam"), ((33, 34, 33), "clay_loam"), ((10, 57, 33), "silty_clay_loam"),
    ((20, 65, 15), "silt_loam"), ((7, 87, 6), "silt"), ((52, 6, 42), "sandy_clay"), ((7, 47, 46), "silty_clay"),
    ((22, 20, 58), "clay"),
]


def judged(sand: float, clay: float) -> str | None:
    """The class of a point and of all that is near to it; none where they differ."""
    around = [(0, 0), (NEAR, 0), (-NEAR, 0), (0, NEAR), (0, -NEAR), (NEAR, -NEAR), (-NEAR, NEAR)]
    sands, clays = zip(*[(sand + off, clay + up) for off, up in around])
    if min(sands) < 0 or min(clays) < 0 or any(100 < one + other for one, other in zip(sands, clays)):
        return None
    classes = set(pedotri.classify(list(sands), list(clays), "USDA"))
    return classes.pop() if len(classes) == 1 else None


def test_points_away_from_the_lines_have_the_class_of_their_polygon(asking):
    chance = random.Random(20261125)
    asked, seen = 0, set()
    while asked < POINTS:
        # Tenths of a per cent, each point of the triangle as likely as another.
        low, high = sorted(chance.randrange(1001) for _ in range(2))
        sand, silt, clay = low, high - low, 1000 - high
        expected = judged(sand / 10, clay / 10)
        if expected is None:
            continue
        told = asking.texture(*(f"{share // 10}.{share % 10}" for share in (sand, silt, clay)))
        assert told == expected, (sand, silt, clay)
        asked += 1
        seen.add(told)
    assert len(seen) == 12


@pytest.mark.parametrize(("shares", "expected"), MIDDLES, ids=[name for _, name in MIDDLES])
def test_the_middle_of_each_class(asking, shares, expected):
    assert judged(shares[0], shares[2]) == expected
    assert asking.texture(*map(str, shares)) == expected


@pytest.mark.parametrize(("shares", "expected"), [
    ((52, 41, 7), "loam"), ((43, 50, 7), "silt_loam"), ((45, 28, 27), "clay_loam"), ((85, 15, 0), "loamy_sand"),
])
def test_a_point_on_a_line_has_the_class_that_the_contract_says(asking, shares, expected):
    assert judged(shares[0], shares[2]) is None
    assert asking.texture(*map(str, shares)) == expected
