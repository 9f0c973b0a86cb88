"""A recipe worked by mass balance: what goes into a batch, what a batch makes, and what that takes of each material."""

from __future__ import annotations

import decimal
from dataclasses import dataclass
from fractions import Fraction

from estimate.arithmetic import number, rounded
from estimate.books import Books


@dataclass
class Batch:
    """One making of a mix."""

    placed: Fraction
    loose: dict[str, Fraction]
    dry: dict[str, Fraction]
    straw: Fraction
    water: Fraction
    held: Fraction
    is_measured: bool

    @property
    def dry_mass(self) -> Fraction:
        return sum(self.dry.values(), Fraction(0)) + self.straw


def percent(record: dict, key: str) -> Fraction:
    return number(record.get(key)) / 100


def one_batch(books: Books, mix: dict) -> Batch:
    """Buckets to loose volume; that over its bulking, times the loose dry density, to dry mass; dry mass to placed volume.

    The dry density in place is that of the mix as it stands, straw and all, so the minerals of a placed m3 weigh the
    density less the straw.
    """
    loose, dry = {}, {}
    for part in mix["ingredients"]:
        material = books.materials[part["material"]]
        volume = number(part["parts"]) * number(mix["buckets_per_part"]) * number(mix["bucket_l"]) / 1000
        loose[part["material"]] = volume
        dry[part["material"]] = volume / (1 + percent(material, "bulking_percent")) * number(material.get("density_loose_kg_m3"))
    straw_to_a_m3 = number(mix.get("straw_kg_per_m3")) if mix.get("straw_material") else Fraction(0)
    measured = number(mix.get("batch_yield_l")) / 1000
    balance = sum(dry.values()) / (number(mix["density_dry_kg_m3"]) - straw_to_a_m3)
    # Told to a millilitre, and used as told.
    placed = measured or number(rounded(balance, 6, decimal.ROUND_HALF_UP))
    straw = placed * straw_to_a_m3
    wanted = percent(mix, "water_percent") * (sum(dry.values()) + straw)
    held = sum((percent(books.materials[name], "moisture_percent") * mass for name, mass in dry.items()), Fraction(0))
    return Batch(placed, loose, dry, straw, max(Fraction(0), wanted - held), held, bool(measured))


def by_mass(material: dict, mass: Fraction) -> Fraction:
    unit = material["purchase_unit"]
    if unit in ("bale", "bag", "roll", "each"):
        return mass / number(material["mass_per_unit_kg"])
    return {"kg": mass, "t": mass / 1000}[unit]


def in_purchase_unit(material: dict, loose: Fraction, dry: Fraction) -> Fraction:
    """An ingredient is bought as it lies on the heap: by its damp volume, or by its weight with the water in it."""
    volumes = {"m3": loose, "l": loose * 1000}
    if material["purchase_unit"] in volumes:
        return volumes[material["purchase_unit"]]
    return by_mass(material, dry * (1 + percent(material, "moisture_percent")))


def portions(books: Books, mix: dict, batch: Batch) -> list[tuple[str, Fraction]]:
    """What a batch takes of each material, in the unit it is ordered in."""
    found = [(name, in_purchase_unit(books.materials[name], batch.loose[name], batch.dry[name])) for name in batch.loose]
    if batch.straw:
        name = mix["straw_material"]
        found.append((name, straw_in_purchase_unit(books.materials[name], batch.straw)))
    if mix.get("water_material") and batch.water:
        # A kilogram of water is a litre.
        unit = books.materials[mix["water_material"]]["purchase_unit"]
        found.append((mix["water_material"], batch.water / {"l": 1, "kg": 1, "m3": 1000, "t": 1000}[unit]))
    return found


def straw_in_purchase_unit(material: dict, mass: Fraction) -> Fraction:
    if material["purchase_unit"] in ("m3", "l"):
        cubic_metres = mass / number(material["density_loose_kg_m3"])
        return cubic_metres * {"m3": 1, "l": 1000}[material["purchase_unit"]]
    return by_mass(material, mass)
