"""Settling in a jar, judged by Stokes' law in plain floating point with the viscosity of water by IAPWS-95.

The package is `iapws`, an implementation of the international formulation of the properties of water. Hod interpolates a
short table, which is to be within half a per cent of it, so a grain is to be within a quarter.
"""

from __future__ import annotations

from math import sqrt

import pytest
from iapws import IAPWS95

GRAIN = 2650.0
WATER = 998.2
FREE_FALL = 9.81
# Half a digit of the four that are told.
TOLD = 0.00005
HEIGHTS = ("40", "36", "24")


def grain_mm(height_m: float, seconds: float, pascal_seconds: float) -> float:
    """d = sqrt(18 eta h / (g (rho_s - rho_f) t)), in mm."""
    return 1000 * sqrt(18 * pascal_seconds * height_m / (FREE_FALL * (GRAIN - WATER) * seconds))


def told(asking, seconds: str, minutes: str, height_mm: str, celsius: str) -> tuple[float, float]:
    protocol = {"sand_mark_s": seconds, "silt_mark_min": minutes, "water_height_mm": height_mm, "water_celsius": celsius}
    answer = asking.jar(HEIGHTS, protocol)
    return float(answer["sand_mark_grain_mm"]), float(answer["silt_mark_grain_mm"])


@pytest.mark.parametrize(("seconds", "minutes", "sand", "silt"), [
    # The marks of four published instructions, over 10 cm at 20 degrees.
    ("60", "120", 0.0431, 0.0039), ("60", "360", 0.0431, 0.0023), ("40", "30", 0.0528, 0.0079), ("40", "1440", 0.0528, 0.0011),
])
def test_published_marks_at_20_degrees(asking, seconds, minutes, sand, silt):
    assert told(asking, seconds, minutes, "100", "20") == (sand, silt)
    for found, time in [(sand, float(seconds)), (silt, 60 * float(minutes))]:
        assert found == pytest.approx(grain_mm(0.1, time, 0.001002), abs=TOLD)


@pytest.mark.parametrize("celsius", [1, 4, 7.5, 10, 12.5, 15, 18, 21, 25, 29, 33, 38, 40])
def test_grains_in_water_of_every_temperature(asking, celsius):
    viscosity = IAPWS95(T=273.15 + celsius, P=0.101325).mu
    sand, silt = told(asking, "50", "90", "160", str(celsius))
    assert sand == pytest.approx(grain_mm(0.16, 50, viscosity), rel=0.0025, abs=TOLD)
    assert silt == pytest.approx(grain_mm(0.16, 5400, viscosity), rel=0.0025, abs=TOLD)
