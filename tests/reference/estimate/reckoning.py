"""What a job comes to before it has a price: what is placed of each mix, what is laid piece by piece, and the work there is.

Mixes are counted in whole batches, up once for each mix over the whole job; a material is ordered once over all that takes
of it. Where the quantities come from is for others to say.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from decimal import Decimal
from fractions import Fraction
from math import ceil

from estimate import recipe
from estimate.arithmetic import number
from estimate.books import Books

# What can be ordered, where the material does not say: soil, sand, lengths and sheets by the hundredth, the rest whole.
ORDER_STEPS = {unit: Fraction(1, 100) for unit in ("m3", "t", "m", "m2")}
NONE = Fraction(0)
# The way of mixing of what is not mixed, such as bales: hours without a method are its own.
NO_MIXING = "-"


@dataclass
class Placed:
    """What all the placings of a mix come to, in m3; `wasted` is lost on the way, `reused` is pared off and built in again."""

    method: str
    net: Fraction = NONE
    placed: Fraction = NONE
    wasted: Fraction = NONE
    reused: Fraction = NONE

    @property
    def pared(self) -> Fraction:
        return self.placed - self.net

    @property
    def mixed(self) -> Fraction:
        return self.placed + self.wasted - self.reused


@dataclass
class Reckoning:
    """A job, counted."""

    books: Books
    job: dict
    mixes: dict[str, Placed] = field(default_factory=dict)
    needs: dict[str, Fraction] = field(default_factory=dict)
    works: dict[tuple[str, str], dict[str, Fraction]] = field(default_factory=dict)
    lines: list[tuple[str, str, Fraction, str]] = field(default_factory=list)

    def place(self, mix: str, net: Fraction, method: str = "", placed: Fraction | None = None, is_wall: bool = False,
              broken: Fraction = NONE) -> None:
        """So much of a mix put somewhere, and what is `broken` of it made again. Walls take the job's own figure of waste where
        it has one."""
        if not net:
            return
        record = self.books.mixes[mix]
        method = method or record.get("mixing") or self.job.get("mixing", "")
        found = self.mixes.setdefault(mix, Placed(method))
        placed = net if placed is None else placed
        found.net += net
        found.placed += placed
        lost = waste(self.job, record) if is_wall else percent(record, "waste_percent")
        found.wasted += placed * ((1 + broken) * (1 + lost) - 1)
        found.reused += (placed - net) * percent(self.job, "parings_reused_percent")

    def need(self, material: str | None, quantity: Fraction) -> None:
        if material and quantity:
            self.needs[material] = self.needs.get(material, NONE) + quantity

    def work(self, task: str, method: str = "", **amounts: Fraction) -> None:
        """Work there is of a task, by whatever its hours may be counted by."""
        method = "" if method == NO_MIXING else method or self.job.get("mixing", "")
        counted = self.works.setdefault((method, task), {"job": Fraction(1)})
        for driver, amount in amounts.items():
            driver = driver.replace("_", "-")
            counted[driver] = counted.get(driver, NONE) + amount

    def line(self, part: str, what: str, quantity: Fraction, unit: str) -> None:
        self.lines.append((part, what, quantity, unit))

    def batch(self, mix: str) -> recipe.Batch:
        return recipe.one_batch(self.books, self.books.mixes[mix])

    def batches(self, mix: str) -> int:
        return ceil(self.mixes[mix].mixed / self.batch(mix).placed)

    def batches_in_all(self) -> int:
        """Those of the job; fills and washes are not mixed by the batch."""
        return sum(self.batches(mix) for mix in self.mixes if is_batched(self.books.mixes[mix]))

    def wanted(self) -> dict[str, Fraction]:
        """What is used of each material in the unit that it is ordered in, not rounded."""
        found = dict(self.needs)
        for mix in self.mixes:
            for material, portion in recipe.portions(self.books, self.books.mixes[mix], self.batch(mix)):
                found[material] = found.get(material, NONE) + portion * self.batches(mix)
        return found

    def orders(self) -> dict[str, Decimal]:
        return {material: ordered(self.books.materials[material], used) for material, used in self.wanted().items()}

    def work_of_mixing(self) -> None:
        """Mixing, and digging, screening and hauling of the soil that the site supplies, mix by mix."""
        distance = number(self.books.sites[self.job["site"]].get("haul_distance_m")) if self.job.get("site") else NONE
        stages = max(0, ceil((distance - 25) / 25))
        for mix, found in self.mixes.items():
            batches = self.batches(mix)
            self.work("mix", found.method, batch=Fraction(batches), m3_placed=found.placed, m3_mixed=found.mixed)
            bank, loose = self.dug(mix)
            if loose:
                for task in ("dig", "screen", "haul"):
                    self.work(task, found.method, m3_bank=bank, m3_loose=loose, m3_loose_25m=loose * stages)

    def dug(self, mix: str) -> tuple[Fraction, Fraction]:
        """Soil of a mix that is dug on the site, in the bank and loose."""
        bank = loose = NONE
        for material, volume in self.batch(mix).loose.items():
            record = self.books.materials[material]
            if record["supply"] == "site":
                loose += volume * self.batches(mix)
                bank += volume * self.batches(mix) / (1 + percent(record, "swell_percent"))
        return bank, loose


def percent(record: dict, key: str) -> Fraction:
    return number(record.get(key)) / 100


def waste(job: dict, mix: dict) -> Fraction:
    return percent(job, "waste_percent") if "waste_percent" in job else percent(mix, "waste_percent")


def is_batched(mix: dict) -> bool:
    return mix.get("purpose") not in ("fill", "wash")


def order_step(material: dict) -> Fraction:
    return number(material.get("order_step")) or ORDER_STEPS.get(material["purchase_unit"], Fraction(1))


def ordered(material: dict, used: Fraction) -> Decimal:
    """Up to what can be ordered."""
    step = order_step(material)
    up = ceil(used / step) * step
    return Decimal(up.numerator) / Decimal(up.denominator)
