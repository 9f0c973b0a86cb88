"""Random firms that build of everything: materials in every unit that can be ordered, mixes for every purpose, hours for
every task. Everything is valid; what is odd about it is what is of interest."""

from __future__ import annotations

import random
from dataclasses import dataclass
from decimal import Decimal

from estimate import random_firms
from estimate.books import Books
from estimate.random_firms import figure, make_up

# By what the hours of a task may sensibly be counted.
DRIVERS = {
    "set-up": ["job"], "strip": ["m3-bank", "m3-loose"], "dig": ["m3-bank", "m3-loose"], "screen": ["m3-loose"],
    "haul": ["m3-loose", "m3-loose-25m"], "mix": ["batch", "m3-mixed", "m3-placed"], "place": ["m3-placed", "m2-face", "lift"],
    "pare": ["m2-face"], "set-opening": ["opening"], "cover": ["lift"], "clean-up": ["job"], "trench": ["m3-bank"],
    "fill-trench": ["m3-placed"], "lay-stem": ["m3-placed"], "mould": ["piece"], "set-form": ["m2-face", "lift"],
    "ram": ["m3-placed"], "tamp": ["m3-placed"], "stack": ["piece"], "trim": ["m2-face"], "lay": ["piece"], "weave": ["m2-panel"],
    "daub": ["m2-panel", "m2-face"], "form-arch": ["opening"], "bury": ["piece"], "plaster": ["m2-coat"], "wash": ["m2-coat"],
    "lay-floor": ["m2-coat"], "build-oven": ["piece"], "tip": ["m3-loose"],
}
# What is bought as it comes, with the units that it can be ordered in.
AS_IT_COMES = {
    "stone": ["t", "m3"], "twine": ["m", "each"], "stave": ["m", "each"], "rod": ["m", "each"], "board": ["m2"], "lintel": ["m", "each"],
    "sill": ["m", "each"], "frame": ["each"], "deadman": ["each"], "damp-course": ["m2"], "drain": ["m"], "cloth": ["m2"],
    "sheet": ["m2"], "tip": ["m3"],
}
STEPS = {"m": ["0.1", "6", "50"], "m2": ["2.98", "10"], "t": ["0.5", "1"], "m3": ["0.25", "1"], "each": ["5", "10"], "bag": ["10"],
         "bale": ["2"], "l": ["5"], "kg": ["25"]}
# Purpose, what it is made of, dry density in place low and high, and straw of a placed m3.
MIXES = {
    "cob": ("structural", ["soil", "sand"], 1500, 1800, "20"), "adobe-earth": ("structural", ["soil", "sand"], 1450, 1750, "10"),
    "rammed": ("structural", ["soil", "sand", "gravel"], 1750, 2100, None), "light": ("insulating", ["soil"], 240, 700, "107.3"),
    "daub": ("structural", ["soil", "sand"], 1300, 1600, "40"), "mortar": ("mortar", ["soil", "sand"], 1500, 1800, None),
    "base": ("base-plaster", ["clay", "sand"], 1500, 1700, "12"), "finish": ("finish-plaster", ["clay", "sand", "lime"], 1500, 1700, None),
    "wash": ("wash", ["lime"], 400, 600, None), "rubble": ("fill", ["gravel"], 1500, 1800, None), "fill": ("fill", ["gravel", "sand"], 1600, 1900, None),
    "floor": ("floor", ["clay", "sand", "gravel"], 1600, 1900, "6"), "oil": ("wash", ["oil"], 900, 930, None),
    "dense": ("heat-storing", ["clay", "sand"], 1700, 1900, None), "light-oven": ("insulating", ["clay", "pumice"], 500, 800, None),
    "sand-form": ("fill", ["sand"], 1400, 1600, None),
}


@dataclass
class Firm:
    name: str
    books: Books
    date: str


def firm(number: int) -> Firm:
    chance = random.Random(f"firm of all {number}")
    name = f"all-{number}"
    currency = chance.choice(random_firms.CURRENCIES)
    places = {"JPY": 0, "KWD": 3}.get(currency, 2)
    books = Books()
    random_firms.regions(chance, books, name, currency)
    ingredients(chance, books, name)
    pieces(chance, books, name)
    for kind, units in AS_IT_COMES.items():
        keep(chance, books, name, kind, {"supply": "bought", "purchase_unit": chance.choice(units)})
    if books.materials[f"{name}-rod"]["purchase_unit"] == "each":
        books.materials[f"{name}-rod"] |= {"length_mm": "2000", "width_mm": "20", "height_mm": "20"}
    books.materials[f"{name}-stone"]["density_loose_kg_m3"] = figure(chance, 2300, 2600, 0)
    mixes(chance, books, name)
    random_firms.crew(chance, books, name)
    constants(chance, books, name)
    random_firms.prices(chance, books, name, places)
    random_firms.rates(chance, books, name, places)
    books.sites = {name: {"id": name, "display_name": name, "region": name,
                          "haul_distance_m": chance.choice(["0", "25", "25.01", "80"])}}
    return Firm(name, books, random_firms.DAY.isoformat())


def keep(chance: random.Random, books: Books, name: str, kind: str, record: dict) -> None:
    known = f"{name}-{kind}"
    if chance.random() < 0.5:
        record["order_step"] = chance.choice(STEPS[record["purchase_unit"]])
    books.materials[known] = {"id": known, "display_name": f"{kind} of {name}", "source": "invented"} | record


def ingredients(chance: random.Random, books: Books, name: str) -> None:
    """What is measured loose; the soil of the site is never bought by step."""
    units = {"soil": ["m3"], "sand": ["m3", "t", "kg", "bag", "l"], "gravel": ["t", "m3"], "clay": ["bag", "kg"], "lime": ["bag"],
             "pumice": ["bag", "m3", "l"], "oil": ["l", "kg"]}
    loose = {"soil": (1000, 1300), "sand": (1400, 1650), "gravel": (1500, 1700), "clay": (700, 900), "lime": (400, 600),
             "pumice": (90, 400), "oil": (900, 940)}
    for kind, choice in units.items():
        record = {"supply": "bought", "purchase_unit": chance.choice(choice), "density_loose_kg_m3": figure(chance, *loose[kind], 0)}
        if kind in ("soil", "sand", "gravel"):
            record |= {"moisture_percent": figure(chance, 0, 12, 1), "bulking_percent": figure(chance, 0, 30, 0)}
        if kind == "soil":
            record |= {"supply": chance.choice(["site", "site", "bought"]), "swell_percent": figure(chance, 5, 40, 0)}
        with_mass(chance, record)
        keep(chance, books, name, kind, record)
    straw = with_mass(chance, {"supply": "bought", "purchase_unit": chance.choice(["bale", "kg", "t", "bag"])})
    keep(chance, books, name, "straw", straw)
    books.materials[f"{name}-water"] = {"id": f"{name}-water", "display_name": f"water of {name}", "supply": "site",
                                        "purchase_unit": "l", "source": "invented"}


def with_mass(chance: random.Random, record: dict) -> dict:
    if record["purchase_unit"] in ("bag", "bale"):
        record["mass_per_unit_kg"] = figure(chance, 8, 30, 1)
    return record


def pieces(chance: random.Random, books: Books, name: str) -> None:
    adobe = {"supply": chance.choice(["site", "bought"]), "purchase_unit": "each", "length_mm": chance.choice(["355.6", "400", "300"]),
             "width_mm": chance.choice(["254", "250", "200"]), "height_mm": chance.choice(["101.6", "100", "90"])}
    bale = {"supply": "bought", "purchase_unit": "bale", "length_mm": chance.choice(["914.4", "1050", "1000"]),
            "width_mm": chance.choice(["457.2", "450", "480"]), "height_mm": chance.choice(["355.6", "355", "350"])}
    bag = {"supply": "bought", "purchase_unit": "each", "length_mm": "500", "width_mm": chance.choice(["400", "450"]), "height_mm": "125"}
    for kind, record in {"adobe": adobe, "bale": bale, "earth-bag": bag}.items():
        keep(chance, books, name, kind, record)


def mixes(chance: random.Random, books: Books, name: str) -> None:
    for kind, (purpose, parts, low, high, straw) in MIXES.items():
        known = f"{name}-{kind}"
        made = {
            "id": known, "display_name": known, "purpose": purpose, "source": "invented", "bucket_l": chance.choice(random_firms.AWKWARD),
            "measure": chance.choice(["bucket", "wheelbarrow", "tractor-load", "mixer-drum"]),
            "buckets_per_part": chance.choice(["1", "1.5", "2"]), "density_dry_kg_m3": figure(chance, low, high, 0),
            "density_evidence": chance.choice(["assumed", "measured"]),
            "ingredients": [{"material": f"{name}-{part}", "parts": figure(chance, 0.5, 3, 1)} for part in parts],
        }
        if straw:
            made |= {"straw_material": f"{name}-straw", "straw_kg_per_m3": straw}
        if purpose not in ("wash", "fill") and chance.random() < 0.7:
            made |= {"water_material": f"{name}-water", "water_percent": figure(chance, 8, 40, 1)}
        if chance.random() < 0.7:
            made["waste_percent"] = figure(chance, 0, 15, 1)
        if chance.random() < 0.3:
            made["mixing"] = f"{name}-b"
        if chance.random() < 0.2:
            loose = sum(Decimal(part["parts"]) for part in made["ingredients"]) * Decimal(made["buckets_per_part"]) * Decimal(made["bucket_l"])
            made["batch_yield_l"] = figure(chance, float(loose) * 0.5, float(loose) * 0.9, 1)
        books.mixes[known] = made


def constants(chance: random.Random, books: Books, name: str) -> None:
    """One way of mixing with hours of its own for every task, and another of which only the mixing is its own."""
    for task, drivers in DRIVERS.items():
        for driver in chance.sample(drivers, chance.randint(1, len(drivers))):
            constant(chance, books, name, task, driver)
    constant(chance, books, f"{name}-b", "mix", "batch")


def constant(chance: random.Random, books: Books, method: str, task: str, driver: str) -> None:
    known = f"{method}-{task}-{driver}"
    made = {"id": known, "display_name": known, "task": task, "method": method, "driver": driver, "low_hours": "0",
            "likely_hours": figure(chance, 0.01, 3, chance.randint(2, 4)), "high_hours": "10", "source": "invented"}
    if chance.random() < 0.3:
        made["make_up"] = make_up(chance)
    books.constants[known] = made


def is_dug(firm: Firm) -> bool:
    return firm.books.materials[f"{firm.name}-soil"]["supply"] == "site"


def size(firm: Firm, kind: str, key: str) -> Decimal:
    return Decimal(firm.books.materials[f"{firm.name}-{kind}"][key])
