"""Sand to a clay that is aimed at, judged in fractions: no digit is lost, and what is asked is what the mix must hold.

Shares by dry mass: clay x (soil + sand) = clay of the soil x soil + clay of the sand x sand, solved for the sand.
"""

from __future__ import annotations

import random
import re
from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction

import pytest

SOILS, SANDS = [(1150, "0"), (1275, "0"), (1400, "8")], [(1450, "0"), (1525, "25"), (1600, "37.5")]


@pytest.fixture(scope="module")
def materials(asking) -> None:
    for kind, weights in [("soil", SOILS), ("sand", SANDS)]:
        for number, (density, bulking) in enumerate(weights):
            for clay in [0, 4] if kind == "sand" else [0]:
                material = {"display_name": kind, "supply": "SUPPLY_SITE", "purchase_unit": "UNIT_M3", "source": "made up",
                            "density_loose_kg_m3": str(density), "bulking_percent": bulking, "clay_percent": str(clay)}
                name = f"judged-{kind}-{number}-{clay}"
                asking.client.call("MaterialService/CreateMaterial", {"material_id": name, "material": material})


def rounded(value: Fraction, places: int) -> str:
    """Half away from zero, without trailing zeros."""
    scaled = value * 10**places
    whole = (2 * scaled + 1) // 2
    text = f"{Decimal(int(whole)).scaleb(-places):f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def room(material: tuple[int, str]) -> Fraction:
    """What a kilogram takes up on the heap, m3."""
    density, bulking = material
    return (1 + Fraction(bulking) / 100) / density


def clay_of(buckets: tuple[Fraction, Fraction], rooms, clays) -> Fraction:
    masses = [count / one for count, one in zip(buckets, rooms)]
    return sum(mass * clay for mass, clay in zip(masses, clays)) / sum(masses)


def counted(text: str) -> tuple[Fraction, Fraction]:
    """`4 soil, 4.5 sand`; soil in whole buckets, sand in halves."""
    found = re.fullmatch(r"(\d+) soil(?:, (\d+(?:\.5)?) sand)?", text)
    assert found, text
    return Fraction(found[1]), Fraction(found[2] or 0)


def test_every_proposed_mix_holds_the_clay_that_it_says(asking, materials):
    chance = random.Random(4)
    for _ in range(150):
        soil_clay = Fraction(chance.randrange(80, 600), 10)
        sand_clay = chance.choice([0, 4])
        target = Fraction(chance.randrange(50, 300), 10)
        which = chance.randrange(3), chance.randrange(3)
        step = chance.choice(["0.5", "2.5", "4"])
        answer = asking.client.ask("SoilTestService/ProposeTrialMixes", {
            "clay_percent": f"{float(soil_clay):.1f}", "soil_material": f"materials/judged-soil-{which[0]}-0",
            "sand_material": f"materials/judged-sand-{which[1]}-{sand_clay}", "target_clay_percent": f"{float(target):.1f}",
            "step_percent": step, "step_count": 2})
        rooms = room(SOILS[which[0]]), room(SANDS[which[1]])
        wanted = [target + count * Fraction(step) for count in range(-2, 3)]
        lean = [clay for clay in wanted if sand_clay < clay < soil_clay and 0 < clay]
        has_soil_alone = any(soil_clay <= clay < 100 for clay in wanted)
        assert len(answer["mixes"]) == len(lean) + has_soil_alone
        for clay, mix in zip(lean, answer["mixes"]):
            by_mass = (soil_clay - clay) / (clay - sand_clay)
            assert mix["sand_to_soil_by_mass"] == rounded(by_mass, 3)
            assert mix["sand_parts"] == rounded(by_mass * rooms[1] / rooms[0], 2)
            assert mix["clay_percent"] == rounded(clay, 1)
            buckets = counted(mix["buckets"])
            made = clay_of(buckets, rooms, (soil_clay, sand_clay))
            assert mix["buckets_clay_percent"] == rounded(made, 1)
            assert buckets[0] <= 4
            # Half a bucket of sand to four of soil either way would be farther off, or the mix is near enough.
            near = min(Fraction(1, 2), Fraction(step) / 4)
            if near < abs(made - clay):
                others = [(Fraction(soil), Fraction(half, 2)) for soil in range(1, 5) for half in range(0, 80)]
                best = min(abs(clay_of(one, rooms, (soil_clay, sand_clay)) - clay) for one in others)
                parts = by_mass * rooms[1] / rooms[0]
                nearest = min(abs(clay_of((Fraction(soil), nearest_half(parts * soil)), rooms, (soil_clay, sand_clay)) - clay)
                              for soil in range(1, 5))
                assert abs(made - clay) == nearest and best <= nearest
        if has_soil_alone:
            last = answer["mixes"][-1]
            assert (last["sand_to_soil_by_mass"], last["sand_parts"], last["buckets"]) == ("0", "0", "1 soil")
            assert last["clay_percent"] == rounded(soil_clay, 1)
        if soil_clay <= target:
            assert "no sand is wanted" in answer["notes"][0]


def nearest_half(parts: Fraction) -> Fraction:
    halves = Decimal(parts.numerator * 2) / Decimal(parts.denominator)
    return Fraction(halves.quantize(Decimal(1), ROUND_HALF_UP)) / 2


def test_the_published_pair_comes_out(asking, materials):
    """About 35 % clay with about one part of sand (deatech.com/pipermail/coblist/2003/006514.html): 17.5 %."""
    answer = asking.client.ask("SoilTestService/ProposeTrialMixes", {
        "clay_percent": "35", "soil_material": "materials/judged-soil-0-0", "sand_material": "materials/judged-sand-0-0",
        "step_count": 0})
    (mix,) = answer["mixes"]
    assert (mix["clay_percent"], mix["sand_to_soil_by_mass"]) == ("17.5", "1")
