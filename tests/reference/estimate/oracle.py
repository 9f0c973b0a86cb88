"""A whole estimate worked again from first principles: from the measured walls, the recipe, the prices and the rates to
the last cent. It knows what the contract says and nothing of how Hod is built.

What is measured (volumes, faces, lifts) is taken as it was printed: the geometry has judges of its own.
"""

from __future__ import annotations

import decimal
from dataclasses import dataclass, field
from decimal import Decimal
from fractions import Fraction
from math import ceil

from estimate.arithmetic import number, rounded, shares, up
from estimate.books import Books

TASKS = ["set-up", "dig", "screen", "haul", "mix", "place", "pare", "set-opening", "cover", "clean-up"]
KINDS = ["material", "labour", "equipment", "other", "overhead", "contingency", "profit", "tax"]
ROUNDINGS = {"half-away-from-zero": decimal.ROUND_HALF_UP, "half-to-even": decimal.ROUND_HALF_EVEN}
# ISO 4217; the check of units judges the whole list, these are the ones used here.
MINOR_UNITS = {"EUR": 2, "USD": 2, "GBP": 2, "JPY": 0, "ISK": 0, "KWD": 3}
# What can be ordered: soil and sand by the hundredth of a m3 or t, the rest whole.
ORDER_PLACES = {"m3": 2, "t": 2}


@dataclass
class Line:
    kind: str
    quantity: Decimal
    unit: str
    unit_price: Decimal | None
    amount: Decimal
    # Before rounding: the quantity of a line, or the amount of a step of the build-up.
    exact: Fraction
    task: str = ""
    grade: str = ""
    material: str = ""


@dataclass
class Batch:
    """One making of a mix."""

    placed: Fraction
    loose: dict[str, Fraction]
    dry: dict[str, Fraction]
    straw: Fraction
    water: Fraction


@dataclass
class Worked:
    lines: list[Line] = field(default_factory=list)
    batch: Batch | None = None
    batches: int = 0

    def total(self, kind: str) -> Decimal:
        return sum((line.amount for line in self.lines if line.kind == kind), Decimal(0))


def percent(record: dict, key: str) -> Fraction:
    return number(record.get(key)) / 100


def one_batch(books: Books, mix: dict) -> Batch:
    """Buckets to loose volume; that over its bulking, times the loose dry density, to dry mass; dry mass to placed volume.

    The dry density in place is that of the cob as it stands, straw and all, so the minerals of a placed m3 weigh the
    density less the straw.
    """
    loose, dry = {}, {}
    for part in mix["ingredients"]:
        material = books.materials[part["material"]]
        volume = number(part["parts"]) * number(mix["buckets_per_part"]) * number(mix["bucket_l"]) / 1000
        loose[part["material"]] = volume
        dry[part["material"]] = volume / (1 + percent(material, "bulking_percent")) * number(material.get("density_loose_kg_m3"))
    straw_to_a_m3 = number(mix.get("straw_kg_per_m3")) if mix.get("straw_material") else Fraction(0)
    placed = number(mix.get("batch_yield_l")) / 1000
    if not placed:
        balance = sum(dry.values()) / (number(mix["density_dry_kg_m3"]) - straw_to_a_m3)
        # Told to a millilitre, and used as told.
        placed = number(rounded(balance, 6, decimal.ROUND_HALF_UP))
    straw = placed * straw_to_a_m3
    wanted = percent(mix, "water_percent") * (sum(dry.values()) + straw)
    held = sum(percent(books.materials[name], "moisture_percent") * mass for name, mass in dry.items())
    return Batch(placed, loose, dry, straw, max(Fraction(0), wanted - held))


def waste(job: dict, mix: dict) -> Fraction:
    return percent(job, "waste_percent") if "waste_percent" in job else percent(mix, "waste_percent")


def batch_count(placed: Fraction, waste: Fraction, batch: Batch) -> int:
    return ceil(placed * (1 + waste) / batch.placed)


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


def chain(books: Books, region: str) -> list[str]:
    """A region, then its parents, nearest first."""
    names = []
    while region:
        names.append(region)
        region = books.regions[region].get("parent_region", "")
    return names


def in_force(books: Books, records: list[dict], key: str, value: str, region: str, date: str) -> dict:
    """The record of the nearest region that has one on the day: the last that began on it or before, since a new one
    ends the old."""
    for name in chain(books, region):
        begun = [one for one in records if one["region"] == name and one[key] == value and one["start_date"] <= date]
        if begun:
            return max(begun, key=lambda one: one["start_date"])
    raise LookupError(f"nothing for {value} in {region} on {date}")


def constants_for(books: Books, task: str, method: str) -> list[dict]:
    """Those of the method, and where it has none for the task, those of any method."""
    of_task = [constant for constant in books.constants.values() if constant["task"] == task]
    own = [constant for constant in of_task if constant.get("method", "") == method]
    return sorted(own or [constant for constant in of_task if not constant.get("method")], key=lambda one: one["id"])


def driven(books: Books, job: dict, takeoff: dict, worked: Worked) -> dict[str, Fraction]:
    """How much there is of what hours are counted by. Soil to be dug, screened and hauled is what the site supplies."""
    dug = {name: volume * worked.batches for name, volume in worked.batch.loose.items()
           if books.materials[name]["supply"] == "site"}
    loose = sum(dug.values(), Fraction(0))
    distance = number(books.sites[job["site"]].get("haul_distance_m"))
    totals = takeoff["totals"]
    return {
        "batch": Fraction(worked.batches),
        "m3-placed": number(totals["placed_volume_m3"]),
        "m3-mixed": number(totals["placed_volume_m3"]) * (1 + waste(job, books.mixes[job["mix"]])),
        "m3-bank": sum((volume / (1 + percent(books.materials[name], "swell_percent")) for name, volume in dug.items()), Fraction(0)),
        "m3-loose": loose,
        "m3-loose-25m": loose * max(0, ceil((distance - 25) / 25)),
        "m2-face": number(totals["inner_face_m2"]) + number(totals["outer_face_m2"]),
        "lift": Fraction(sum(len(wall["lifts"]) for wall in takeoff["walls"])),
        "opening": Fraction(sum(len(wall.get("opening", [])) for wall in job["wall"])),
        "job": Fraction(1),
    }


def has(job: dict, worked: Worked, books: Books, task: str) -> bool:
    """What there is to do: bought earth is not dug, walls without openings have none to set, walls that are placed to
    their finished size are not pared; cob is placed thicker unless the job says otherwise."""
    if task in ("dig", "screen", "haul"):
        return any(books.materials[name]["supply"] == "site" for name in worked.batch.loose)
    if task == "pare":
        return number(job.get("paring_mm", "25")) > 0
    return task != "set-opening" or any(wall.get("opening") for wall in job["wall"])


def hours_by_grade(books: Books, job: dict, task: str, drivers: dict[str, Fraction]) -> dict[str, Fraction]:
    """Person-hours of a task, not rounded."""
    crew = books.crews[job["crew"]]
    hours: dict[str, Fraction] = {}
    for constant in constants_for(books, task, job["mixing"]):
        all_hours = drivers[constant["driver"]] * number(constant["likely_hours"]) * number(crew["hours_factor"])
        if not all_hours:
            continue
        for share in constant.get("make_up") or crew["make_up"]:
            grade_hours = all_hours * number(share["share_percent"]) / 100
            hours[share["grade"]] = hours.get(share["grade"], Fraction(0)) + grade_hours
    return hours


def work(books: Books, job: dict, takeoff: dict, date: str) -> Worked:
    site = books.sites[job["site"]]
    region = books.regions[site["region"]]
    money = Money(region)
    mix = books.mixes[job["mix"]]
    worked = Worked(batch=one_batch(books, mix))
    placed = number(takeoff["totals"]["placed_volume_m3"])
    worked.batches = batch_count(placed, waste(job, mix), worked.batch)
    for name, portion in portions(books, mix, worked.batch):
        worked.lines.append(material_line(books, money, site["region"], date, name, portion * worked.batches))
    drivers = driven(books, job, takeoff, worked)
    for task in filter(lambda task: has(job, worked, books, task), TASKS):
        worked.lines += labour_lines(books, money, site["region"], date, task, hours_by_grade(books, job, task, drivers))
    build_up(worked, money, region)
    return worked


class Money:
    """How a region rounds."""

    def __init__(self, region: dict):
        self.places = MINOR_UNITS[region["currency_code"]]
        self.how = ROUNDINGS[region.get("rounding", "half-away-from-zero")]

    def round(self, value: Fraction) -> Decimal:
        return rounded(value, self.places, self.how)


def material_line(books, money: Money, region: str, date: str, name: str, exact: Fraction) -> Line:
    material = books.materials[name]
    quantity = up(exact, ORDER_PLACES.get(material["purchase_unit"], 0))
    price = Decimal(0)
    if material["supply"] == "bought":
        price = Decimal(in_force(books, books.prices, "material", name, region, date)["unit_price"])
    amount = money.round(number(quantity) * number(price))
    return Line("material", quantity, material["purchase_unit"], price, amount, exact, material=name)


def labour_lines(books, money: Money, region: str, date: str, task: str, hours: dict[str, Fraction]) -> list[Line]:
    whole = rounded(sum(hours.values(), Fraction(0)), 2, decimal.ROUND_HALF_UP)
    lines: list[Line] = []
    if not whole:
        # A task that takes no time to be shown has no line.
        return lines
    for (grade, exact), shown in zip(hours.items(), shares(whole, list(hours.values()), 2)):
        rate = in_force(books, books.rates, "grade", grade, region, date)
        loaded = money.round(number(rate["wage_per_hour"]) * (1 + percent(rate, "burden_percent")))
        amount = money.round(number(shown) * number(loaded))
        lines.append(Line("labour", shown, "h", loaded, amount, exact, task=task, grade=grade))
    return lines


def build_up(worked: Worked, money: Money, steps: dict) -> None:
    """Each step on all that stands before it; a step of no percent is shown too."""
    def add(kind: str, key: str, exact: Fraction) -> None:
        share = Decimal(str(steps.get(key) or 0))
        worked.lines.append(Line(kind, share, "percent", None, money.round(exact), exact))

    def so_far() -> Fraction:
        return number(sum((line.amount for line in worked.lines), Decimal(0)))

    add("overhead", "site_overhead_percent", so_far() * percent(steps, "site_overhead_percent"))
    add("overhead", "firm_overhead_percent", so_far() * percent(steps, "firm_overhead_percent"))
    add("contingency", "contingency_percent", so_far() * percent(steps, "contingency_percent"))
    profit = percent(steps, "profit_percent")
    if steps.get("profit_basis") == "margin-on-price":
        add("profit", "profit_percent", so_far() / (1 - profit) - so_far())
    else:
        add("profit", "profit_percent", so_far() * profit)
    tax = percent(steps, "tax_percent")
    if steps.get("tax_basis") == "line":
        by_line = (number(money.round(number(line.amount) * tax)) for line in worked.lines)
        add("tax", "tax_percent", sum(by_line, Fraction(0)))
    else:
        add("tax", "tax_percent", so_far() * tax)
