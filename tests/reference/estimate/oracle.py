"""A whole estimate worked again from first principles: from the measured walls, the recipe, the prices and the rates to
the last cent. It knows what the contract says and nothing of how Hod is built.

What is measured (volumes, faces, lifts) is taken as it was printed: the geometry has judges of its own.
"""

from __future__ import annotations

import decimal
from dataclasses import dataclass, field
from decimal import Decimal
from fractions import Fraction

from estimate.arithmetic import number, rounded, shares
from estimate.books import Books
from estimate.reckoning import Reckoning, percent

# In the order of the work.
TASKS = [
    "set-up", "strip", "dig", "screen", "haul", "trench", "fill-trench", "mix", "lay-stem", "mould", "place", "set-form", "ram", "tamp",
    "stack", "trim", "lay", "weave", "daub", "pare", "set-opening", "form-arch", "bury", "cover", "plaster", "wash", "lay-floor",
    "build-oven", "tip", "clean-up",
]
# Those of cob walls alone.
COB_TASKS = ["set-up", "dig", "screen", "haul", "mix", "place", "pare", "set-opening", "cover", "clean-up"]
# Openings whose head is built on a form.
ARCHED = ("segmental", "semicircular", "pointed", "circle")
KINDS = ["material", "labour", "equipment", "other", "overhead", "contingency", "profit", "tax"]
ROUNDINGS = {"half-away-from-zero": decimal.ROUND_HALF_UP, "half-to-even": decimal.ROUND_HALF_EVEN}
# ISO 4217; the check of units judges the whole list, these are the ones used here.
MINOR_UNITS = {"EUR": 2, "USD": 2, "GBP": 2, "JPY": 0, "ISK": 0, "KWD": 3}


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
class Worked:
    lines: list[Line] = field(default_factory=list)
    batches: int = 0

    def total(self, kind: str) -> Decimal:
        return sum((line.amount for line in self.lines if line.kind == kind), Decimal(0))


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


def of_cob_alone(books: Books, job: dict, takeoff: dict) -> Reckoning:
    """A job of cob walls of one mix and nothing else, from its walls as measured. Soil to be dug, screened and hauled is what
    the site supplies. What there is of the walls any of their tasks may be counted by."""
    totals = takeoff["totals"]
    found = Reckoning(books, job)
    found.place(job["mix"], number(totals["net_volume_m3"]), placed=number(totals["placed_volume_m3"]), is_wall=True)
    found.work_of_mixing()
    whole = {driver: amount for counted in found.works.values() for driver, amount in counted.items()}
    whole |= {
        "m2-face": number(totals["inner_face_m2"]) + number(totals["outer_face_m2"]),
        "lift": Fraction(sum(len(wall["lifts"]) for wall in takeoff["walls"])),
        "opening": Fraction(sum(len(wall.get("opening", [])) for wall in job["wall"])),
    }
    found.works = {(job["mixing"], task): whole for task in COB_TASKS if has(found, task)}
    arches = sum(hole["shape"] in ARCHED for wall in job["wall"] for hole in wall.get("opening", []))
    if arches:
        found.work("form-arch", opening=Fraction(arches))
    return found


def has(found: Reckoning, task: str) -> bool:
    """What there is to do: bought earth is not dug, walls without openings have none to set, walls that are placed to
    their finished size are not pared; cob is placed thicker unless the job says otherwise."""
    if task in ("dig", "screen", "haul"):
        return any(key == (found.job["mixing"], task) for key in found.works)
    if task == "pare":
        return number(found.job.get("paring_mm", "25")) > 0
    return task != "set-opening" or any(wall.get("opening") for wall in found.job["wall"])


def hours_by_grade(found: Reckoning, task: str) -> dict[str, Fraction]:
    """Person-hours of a task over all ways of mixing, not rounded."""
    crew = found.books.crews[found.job["crew"]]
    hours: dict[str, Fraction] = {}
    for (method, _), drivers in ((key, counted) for key, counted in found.works.items() if key[1] == task):
        for constant in constants_for(found.books, task, method):
            all_hours = drivers.get(constant["driver"], Fraction(0)) * number(constant["likely_hours"]) * number(crew["hours_factor"])
            if not all_hours:
                continue
            for share in constant.get("make_up") or crew["make_up"]:
                grade_hours = all_hours * number(share["share_percent"]) / 100
                hours[share["grade"]] = hours.get(share["grade"], Fraction(0)) + grade_hours
    return hours


def work(books: Books, job: dict, takeoff: dict, date: str) -> Worked:
    """A job of cob walls of one mix, to the last line."""
    return priced(of_cob_alone(books, job, takeoff), date)


def is_of_cob_alone(job: dict) -> bool:
    """Whether a job is one that the walls as measured tell all of."""
    more = ("build", "finish", "stem_wall", "trench", "floor", "oven", "ground", "measurement", "parings_reused_percent")
    of_wall = ("system", "build", "above", "finish", "buried")
    of_opening = ("lintel_material", "sill_material", "frame_material", "arch_form_material")
    return job["system"] == "cob" and not any(key in job for key in more) and not any(
        any(key in wall for key in of_wall) or any(key in hole for hole in wall.get("opening", []) for key in of_opening)
        for wall in job["wall"]
    )


def priced(found: Reckoning, date: str) -> Worked:
    books = found.books
    name = books.sites[found.job["site"]]["region"]
    region = books.regions[name]
    money = Money(region)
    worked = Worked(batches=found.batches_in_all())
    orders = found.orders()
    for material, exact in found.wanted().items():
        worked.lines.append(material_line(books, money, name, date, material, orders[material], exact))
    for task in TASKS:
        worked.lines += labour_lines(books, money, name, date, task, hours_by_grade(found, task))
    build_up(worked, money, region)
    return worked


class Money:
    """How a region rounds."""

    def __init__(self, region: dict):
        self.places = MINOR_UNITS[region["currency_code"]]
        self.how = ROUNDINGS[region.get("rounding", "half-away-from-zero")]

    def round(self, value: Fraction) -> Decimal:
        return rounded(value, self.places, self.how)


def material_line(books, money: Money, region: str, date: str, name: str, quantity: Decimal, exact: Fraction) -> Line:
    material = books.materials[name]
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
