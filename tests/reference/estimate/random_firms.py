"""Random firms: a region with or without a parent, a mix of its own, prices and rates over dates, a way of mixing with
labour constants of its own, and a job to be priced. Everything is valid; what is odd about it is what is of interest."""

from __future__ import annotations

import random
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal

from estimate.books import Books
from estimate.oracle import COB_TASKS

DAY = date(2026, 6, 1)
OF_DUG_SOIL = ["m3-bank", "m3-loose", "m3-loose-25m"]
OF_EARTH = ["batch", "m3-placed", "m3-mixed", "job", *OF_DUG_SOIL]
OF_WALLS = ["m3-placed", "m2-face", "lift", "opening", "job"]
# What there is to count by within a task of cob walls.
DRIVERS = {task: OF_EARTH for task in ("dig", "screen", "haul", "mix")} | {
    task: OF_WALLS for task in ("set-up", "set-opening", "clean-up")} | {
    task: list(dict.fromkeys(OF_EARTH + OF_WALLS)) for task in ("place", "pare", "cover")}
# Sixes, sevenths and ninths of a litre make decimals without end.
AWKWARD = ["18.927", "15", "12.5", "14.3", "17.7", "9.99", "20"]
CURRENCIES = ["EUR", "EUR", "USD", "JPY", "KWD"]


@dataclass
class Case:
    name: str
    books: Books
    job: dict
    date: str


def figure(chance: random.Random, low: float, high: float, places: int) -> str:
    steps = chance.randint(round(low * 10**places), round(high * 10**places))
    return f"{Decimal(steps).scaleb(-places):f}"


def tie(chance: random.Random, low: int, high: int, places: int) -> str:
    """A figure that ends on half a minor unit, where the two roundings part."""
    return f"{chance.randint(low, high)}.{'0' * places}5" if places == 0 else figure(chance, low, high, places) + "5"


def case(number: int) -> Case:
    chance = random.Random(f"firm {number}")
    name = f"case-{number}"
    currency = chance.choice(CURRENCIES)
    places = {"JPY": 0, "KWD": 3}.get(currency, 2)
    books = Books()
    regions(chance, books, name, currency)
    materials(chance, books, name)
    mix(chance, books, name)
    crew(chance, books, name)
    constants(chance, books, name)
    prices(chance, books, name, places)
    rates(chance, books, name, places)
    books.sites = {name: {"id": name, "display_name": f"Site {number}", "region": name}}
    if chance.random() < 0.8:
        books.sites[name]["haul_distance_m"] = chance.choice(["0", "25", "25.01", "50", "75.5", figure(chance, 0, 300, 1)])
    return Case(name, books, job(chance, name), (DAY + timedelta(days=chance.randint(-20, 20))).isoformat())


def regions(chance: random.Random, books: Books, name: str, currency: str) -> None:
    rounding = chance.choice(["half-away-from-zero", "half-to-even"])
    own = {"id": name, "display_name": name, "currency_code": currency, "rounding": rounding}
    books.regions = {}
    if chance.random() < 0.5:
        above = f"{name}-above"
        books.regions[above] = {"id": above, "display_name": above, "currency_code": currency}
        own["parent_region"] = above
    books.regions[name] = own | build_up(chance)


def build_up(chance: random.Random) -> dict:
    steps = {
        "profit_basis": chance.choice(["markup-on-cost", "margin-on-price"]),
        "tax_basis": chance.choice(["line", "invoice"]), "tax_label": "Sales tax",
    }
    for key, high in [("site_overhead", 20), ("firm_overhead", 25), ("contingency", 30), ("profit", 60), ("tax", 27)]:
        if chance.random() < 0.85:
            steps[f"{key}_percent"] = figure(chance, 0, high, chance.randint(0, 3))
    return steps


def materials(chance: random.Random, books: Books, name: str) -> None:
    soil = {"supply": chance.choice(["site"] * 5 + ["bought"]), "purchase_unit": "m3", "swell_percent": figure(chance, 0, 45, 0)}
    sand = {"supply": "bought", "purchase_unit": chance.choice(["m3", "t", "kg", "bag", "l"])}
    straw = {"supply": chance.choice(["bought", "site"]), "purchase_unit": chance.choice(["bale", "kg", "t", "bag"])}
    water = {"supply": chance.choice(["site", "site", "bought"]), "purchase_unit": chance.choice(["l", "l", "m3"])}
    for one in (soil, sand):
        one["density_loose_kg_m3"] = figure(chance, 1000, 1700, 0)
        one["bulking_percent"] = figure(chance, 0, 40, chance.randint(0, 1))
        one["moisture_percent"] = figure(chance, 0, 15, 1)
    for one in (sand, straw):
        if one["purchase_unit"] in ("bag", "bale"):
            one["mass_per_unit_kg"] = figure(chance, 5, 40, 1)
    for kind, one in {"soil": soil, "sand": sand, "straw": straw, "water": water}.items():
        known = f"{name}-{kind}"
        books.materials[known] = {"id": known, "display_name": f"{kind} of {name}", "source": "invented"} | one


def mix(chance: random.Random, books: Books, name: str) -> None:
    parts = [{"material": f"{name}-soil", "parts": figure(chance, 0.5, 3, chance.randint(0, 2))}]
    if chance.random() < 0.9:
        parts.append({"material": f"{name}-sand", "parts": figure(chance, 0.5, 3, chance.randint(0, 2))})
    for part in parts:
        if Decimal(part["parts"]) == 0:
            part["parts"] = "1"
    made = {
        "id": name, "display_name": name, "ingredients": parts, "bucket_l": chance.choice(AWKWARD), "source": "invented",
        "buckets_per_part": chance.choice(["1", "1.5", "2", "0.7"]), "density_dry_kg_m3": figure(chance, 1400, 1900, 0),
    }
    if chance.random() < 0.3:
        # A batch closes up to something between three and twelve tenths of what went in loose.
        loose = sum(Decimal(part["parts"]) for part in parts) * Decimal(made["buckets_per_part"]) * Decimal(made["bucket_l"])
        made["batch_yield_l"] = figure(chance, float(loose) * 0.35, float(loose) * 1.15, 1)
    if chance.random() < 0.8:
        made |= {"straw_material": f"{name}-straw", "straw_kg_per_m3": figure(chance, 1, 60, 1)}
    if chance.random() < 0.8:
        made |= {"water_material": f"{name}-water", "water_percent": figure(chance, 2, 40, 1)}
    if chance.random() < 0.8:
        made["waste_percent"] = figure(chance, 0, 20, 1)
    books.mixes[name] = made
    if "batch_yield_l" in made and "water_material" not in made:
        # Nothing is then to be weighed but what is ordered by mass.
        for material in (books.materials[f"{name}-soil"], books.materials[f"{name}-sand"]):
            if material["purchase_unit"] in ("m3", "l"):
                del material["density_loose_kg_m3"]


def make_up(chance: random.Random) -> list[dict]:
    grades = chance.sample(["lead", "practised", "helper", "volunteer"], chance.randint(1, 4))
    cuts = sorted(chance.sample(range(1, 100), len(grades) - 1))
    parts = [high - low for low, high in zip([0, *cuts], [*cuts, 100])]
    if len(grades) == 3 and chance.random() < 0.3:
        return [{"grade": grade, "share_percent": share} for grade, share in zip(grades, ["33.3", "33.3", "33.4"])]
    return [{"grade": grade, "share_percent": str(part)} for grade, part in zip(grades, parts)]


def crew(chance: random.Random, books: Books, name: str) -> None:
    books.crews[name] = {"id": name, "display_name": name, "hours_factor": figure(chance, 0.5, 4, chance.randint(0, 2)),
                         "make_up": make_up(chance), "source": "invented"}
    if Decimal(books.crews[name]["hours_factor"]) == 0:
        books.crews[name]["hours_factor"] = "1"


def constants(chance: random.Random, books: Books, name: str) -> None:
    """The way of mixing has constants of its own: one for mixing at least, and for some tasks two."""
    is_dug = books.materials[f"{name}-soil"]["supply"] == "site"
    for task in COB_TASKS:
        if task != "mix" and chance.random() < 0.6:
            continue
        drivers = [driver for driver in DRIVERS[task] if is_dug or driver not in OF_DUG_SOIL]
        for driver in chance.sample(drivers, chance.choice([1, 1, 2])):
            likely = figure(chance, 0, 4, chance.randint(0, 4))
            known = f"{name}-{task}-{driver}"
            made = {"id": known, "display_name": known, "task": task, "method": name, "driver": driver,
                    "low_hours": "0", "likely_hours": likely, "high_hours": "10", "source": "invented"}
            if chance.random() < 0.3:
                made["make_up"] = make_up(chance)
            books.constants[known] = made


def from_dates(chance: random.Random, places: int, low: int, high: int) -> list[tuple[str, str]]:
    """Days with the figure that came into force on each; the first always before the day of any estimate."""
    days = [DAY - timedelta(days=chance.randint(40, 400))]
    days += sorted(DAY + timedelta(days=chance.randint(-30, 30)) for _ in range(chance.randint(0, 3)))
    return [(day.isoformat(), tie(chance, low, high, places)) for day in dict.fromkeys(days)]


def owner(chance: random.Random, books: Books, name: str) -> list[str]:
    """Which regions have it: the job's own, its parent, or both."""
    above = f"{name}-above"
    return [name] if above not in books.regions else chance.choice([[name], [above], [name, above]])


def prices(chance: random.Random, books: Books, name: str, places: int) -> None:
    for known, material in books.materials.items():
        if material["supply"] == "site":
            continue
        for region in owner(chance, books, name):
            for day, price in from_dates(chance, min(places, 2) + chance.randint(0, 2), 0, 60):
                books.prices.append({"region": region, "material": known, "unit_price": price,
                                     "unit": material["purchase_unit"], "start_date": day})


def rates(chance: random.Random, books: Books, name: str, places: int) -> None:
    for grade in ["lead", "practised", "helper", "volunteer"]:
        for region in owner(chance, books, name):
            for day, wage in from_dates(chance, min(places, 2), 3, 45):
                rate = {"region": region, "grade": grade, "wage_per_hour": wage, "start_date": day}
                if chance.random() < 0.8:
                    rate["burden_percent"] = figure(chance, 0, 60, chance.randint(0, 2))
                books.rates.append(rate)


def job(chance: random.Random, name: str) -> dict:
    walls = [wall(chance, number) for number in range(chance.randint(1, 4))]
    made = {"name": name, "site": name, "system": "cob", "mix": name, "mixing": name, "crew": name, "wall": walls}
    if chance.random() < 0.5:
        made["waste_percent"] = figure(chance, 0, 25, 1)
    if chance.random() < 0.7:
        made["paring_mm"] = str(chance.randint(0, 40))
    if chance.random() < 0.4:
        made["lift_height_m"] = chance.choice(["0.30", "0.60", "1.00"])
    return made


def wall(chance: random.Random, number: int) -> dict:
    """A straight wall that stands alone; its holes side by side, with a metre to each."""
    holes = chance.randint(0, 3)
    length = chance.randint(1, 5) + 2 * holes
    made = {"id": f"wall-{number}", "length_m": f"{length}.{chance.randint(0, 99):02}",
            "height_m": f"{chance.randint(150, 400) / 100:.2f}", "thickness_mm": str(chance.randint(250, 700))}
    if chance.random() < 0.5:
        made["thickness_top_mm"] = str(int(made["thickness_mm"]) - chance.randint(0, 100))
    made["opening"] = [
        {"id": f"hole-{at}", "shape": "rectangle", "width_m": f"{chance.randint(30, 120) / 100:.2f}",
         "height_m": f"{chance.randint(30, 70) / 100:.2f}", "sill_m": f"{chance.randint(0, 60) / 100:.2f}",
         "at_m": f"{0.5 + 2 * at:.2f}"}
        for at in range(holes)
    ]
    return made


def cases(count: int) -> list[Case]:
    return [case(number) for number in range(count)]
