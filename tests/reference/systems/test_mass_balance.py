"""What goes into every mix by mass is what stands, was pared, wasted and is left over, and what is ordered for it."""

from __future__ import annotations

from fractions import Fraction

from estimate.arithmetic import number, worked
from estimate.reckoning import percent
from systems.compare import id_of

GRAM = Fraction(1, 1000)
WHERE = ("standing_kg", "pared_kg", "wasted_kg", "left_over_kg")


def balances(judged):
    """Every mix of every job that the service balances."""
    for one in judged:
        for mix in one.takeoff.get("mixes", []):
            if "masses" in mix:
                yield one, id_of(mix["mix"]), mix, {key: number(text) for key, text in mix["masses"].items()}


def test_what_goes_in_is_what_stands_was_pared_wasted_and_is_left_over(judged):
    count = 0
    for one, _, mix, masses in balances(judged):
        # Five figures, each told to a gram, so half a gram out.
        assert abs(masses["dry_in_kg"] - sum(masses[key] for key in WHERE)) <= 2 * GRAM, (one.name, mix["mix"], masses)
        assert all(mass >= 0 for mass in masses.values()), (one.name, mix["mix"], masses)
        count += 1
    assert count > 500


def test_each_mass_is_what_it_says(judged):
    for one, name, mix, masses in balances(judged):
        record, placed, batch = one.found.books.mixes[name], one.found.mixes[name], one.found.batch(name)
        density, batches = number(record["density_dry_kg_m3"]), mix["batch_count"]
        left_over = batches * batch.placed - placed.mixed
        for key, volume in zip(WHERE, (placed.net, placed.pared - placed.reused, placed.wasted, left_over)):
            # A volume of several parts, each told to a cubic centimetre, may be some of them out; and the yield is told to a
            # millilitre, so that a batch is up to half of one denser or lighter than the recipe says.
            near = 20 * Fraction(1, 10**6) * density + volume * density * Fraction(1, 2 * 10**6) / batch.placed + GRAM
            assert abs(masses[key] - volume * density) <= near, (one.name, name, key)
        assert abs(masses["dry_in_kg"] - batches * batch.dry_mass) <= GRAM, (one.name, name)
        assert masses["left_over_kg"] <= batch.dry_mass + GRAM, "less than a batch is left over"
        assert abs(masses["water_kg"] - batches * (batch.held + batch.water)) <= GRAM, (one.name, name)


def test_a_balance_is_told_where_the_yield_is_one(judged):
    for one in judged:
        for mix in one.takeoff.get("mixes", []):
            assert ("masses" in mix) != one.found.batch(id_of(mix["mix"])).is_measured, (one.name, mix["mix"])


def test_what_is_ordered_weighs_dry_what_goes_into_the_mixes(judged):
    """The sums by which the orders came about, turned back into dry mass, over all that goes into any mix."""
    for one in judged:
        mixes = [(name, one.found.batch(name)) for name in one.found.mixes]
        if not mixes:
            continue
        mixed = {material for _, batch in mixes for material in batch.loose}
        mixed |= {one.found.books.mixes[name]["straw_material"] for name, batch in mixes if batch.straw}
        sums = {id_of(order["material"]): worked(order["basis"]["terms"]) for order in one.takeoff["orders"]}
        dry = sum((dry_mass(one.found.books.materials[material], sums[material]) for material in mixed), Fraction(0))
        told = sum(batches_in(one, name) * batch.dry_mass for name, batch in mixes)
        assert abs(dry - told) <= GRAM * len(mixed), (one.name, float(dry), float(told))


def batches_in(one, name: str) -> int:
    (found,) = (mix["batch_count"] for mix in one.takeoff["mixes"] if id_of(mix["mix"]) == name)
    return found


def dry_mass(material: dict, quantity: Fraction) -> Fraction:
    """So much of a material as it is ordered, dry."""
    unit = material["purchase_unit"]
    if unit in ("m3", "l"):
        volume = quantity / {"m3": 1, "l": 1000}[unit]
        return volume / (1 + percent(material, "bulking_percent")) * number(material["density_loose_kg_m3"])
    mass = quantity * {"kg": 1, "t": 1000}.get(unit, 1) * (number(material["mass_per_unit_kg"]) if unit in ("bag", "bale", "roll", "each") else 1)
    return mass / (1 + percent(material, "moisture_percent"))
