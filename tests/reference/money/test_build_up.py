"""From direct cost to the price, worked again in exact fractions for random build-ups in yen, dinars and euros: every step,
every tax and the total to the last digit, under both roundings and both bases of tax."""

from __future__ import annotations

import decimal
import random
from decimal import Decimal
from fractions import Fraction

import pytest

from estimate.arithmetic import number, rounded, shares
from money.shop import MINOR_UNITS, estimate, open_shop, studio

DIRECT = ["MATERIAL", "LABOUR", "EQUIPMENT", "SUBCONTRACT", "FEE", "TRAVEL", "PROVISIONAL_SUM", "OTHER"]
ON_COST = ["OVERHEAD", "CONTINGENCY", "PROFIT"]
AFTER = ["INCOME", "DISCOUNT", "MINIMUM_CHARGE", "ROUNDING"]
PARTS = [*DIRECT, "ON_COST"]
HOW = {"ROUNDING_HALF_AWAY_FROM_ZERO": decimal.ROUND_HALF_UP, "ROUNDING_HALF_TO_EVEN": decimal.ROUND_HALF_EVEN}


@pytest.fixture(scope="module")
def shops(client, firm):
    for currency in MINOR_UNITS:
        open_shop(client, f"shop-{currency.lower()}", currency)


def kind(line: dict) -> str:
    return line["kind"].removeprefix("LINE_KIND_")


class Judge:
    """The steps of an estimate, worked again from its lines of direct cost."""

    def __init__(self, answer: dict):
        self.lines = answer["lines"]
        self.places = MINOR_UNITS[answer["currency_code"]]
        self.how = HOW[answer["rounding"]]
        self.steps = answer["build_up"]
        self.told = iter(self.lines)

    def round(self, exact: Fraction) -> Decimal:
        return rounded(exact, self.places, self.how)

    def of(self, *kinds: str) -> list[Decimal]:
        return [Decimal(line["amount"]) for line in self.lines if kind(line) in kinds]

    def percent(self, name: str) -> Fraction:
        return number(self.steps.get(name)) / 100

    def check_lines(self) -> None:
        for line in self.lines:
            if "unit_price" in line:
                exact = number(line["quantity"]) * number(line["unit_price"])
                sign = -1 if kind(line) == "INCOME" and exact > 0 else 1
                assert Decimal(line["amount"]) == sign * self.round(exact), line

    def check_allowances(self) -> None:
        told = {line["item"]: Decimal(line["amount"]) for line in self.lines
                if kind(line) == "OTHER" and "unit_price" not in line}
        rest = [line for line in self.lines if kind(line) in DIRECT and "unit_price" in line]
        for allowance in self.steps.get("allowances", []):
            parts = [part.removeprefix("PRICE_PART_") for part in allowance.get("parts", [])] or DIRECT
            base = sum(number(one["amount"]) for one in rest if kind(one) in parts)
            exact = number(allowance.get("amount")) or base * number(allowance.get("percent")) / 100
            # One that comes to nothing is not shown.
            assert told.pop(allowance["label"], Decimal(0)) == self.round(exact), allowance
        assert not told

    def check_on_costs(self) -> Fraction:
        """Overheads, contingency and profit; what the price comes to then."""
        so_far = Fraction(sum(self.of(*DIRECT)))
        overheads = self.of("OVERHEAD")
        for name, told in zip(["site_overhead_percent", "firm_overhead_percent"], overheads, strict=True):
            assert told == self.round(so_far * self.percent(name)), name
            so_far += Fraction(told)
        [told] = self.of("CONTINGENCY")
        assert told == self.round(so_far * self.percent("contingency_percent"))
        so_far += Fraction(told)
        share = self.percent("profit_percent")
        is_margin = self.steps.get("profit_basis") == "PROFIT_BASIS_MARGIN_ON_PRICE"
        [told] = self.of("PROFIT")
        assert told == self.round(so_far / (1 - share) - so_far if is_margin else so_far * share)
        return so_far + Fraction(told)

    def check_after(self, so_far: Fraction) -> None:
        so_far += sum(map(Fraction, self.of("INCOME")))
        discount = number(self.steps.get("discount_amount")) or so_far * self.percent("discount_percent")
        assert sum(self.of("DISCOUNT")) == -self.round(discount)
        so_far -= Fraction(self.round(discount))
        least = number(self.steps.get("minimum_charge"))
        assert sum(self.of("MINIMUM_CHARGE")) == self.round(max(least - so_far, Fraction(0)))
        so_far = max(so_far, least)
        step = number(self.steps.get("round_price_to"))
        if step:
            to = Fraction(rounded(so_far / step, 0, self.how)) * step
            # A round figure below the least that is charged is not the price; the next one is.
            to += step if to < least else 0
            assert sum(self.of("ROUNDING")) == self.round(to - so_far)
        else:
            assert self.of("ROUNDING") == []

    def by_part(self) -> dict[str, list[Decimal]]:
        """The amounts of each part, and what it has of every line after profit, by largest remainder."""
        amounts = {part: self.of(part) for part in DIRECT} | {"ON_COST": self.of(*ON_COST)}
        weights = [Fraction(sum(amounts[part])) for part in PARTS]
        for line in (one for one in self.lines if kind(one) in AFTER):
            whole = Decimal(line["amount"])
            parted = shares(abs(whole), weights, self.places)
            for part, share in zip(PARTS, parted):
                amounts[part].append(share if whole >= 0 else -share)
        return amounts

    def check_taxes(self) -> None:
        single = {"percent": self.steps.get("tax_percent", "0")}
        taxes = self.steps.get("taxes") or [single]
        told = self.of("TAX")
        for tax, amount in zip(taxes, told, strict=True):
            parts = [part.removeprefix("PRICE_PART_") for part in tax.get("parts", [])]
            if parts:
                amounts = [one for part in parts for one in self.by_part()[part]]
            else:
                amounts = self.of(*DIRECT, *ON_COST, *AFTER)
            share = number(tax["percent"]) / 100
            if self.steps.get("tax_basis") == "TAX_BASIS_LINE":
                assert amount == sum(self.round(Fraction(one) * share) for one in amounts), tax
            else:
                assert amount == self.round(Fraction(sum(amounts)) * share), tax

    def check(self, totals: dict) -> None:
        self.check_lines()
        self.check_allowances()
        self.check_after(self.check_on_costs())
        self.check_taxes()
        assert Decimal(totals["total"]) == sum(Decimal(line["amount"]) for line in self.lines)
        for name, amount in totals.items():
            if name != "total":
                assert Decimal(amount) == sum(self.of(name.upper())), name


def figure(chance: random.Random, most: int, places: int = 2) -> str:
    return f"{Decimal(chance.randrange(most * 10**places)).scaleb(-places):f}"


def some_parts(chance: random.Random, of: list[str]) -> list[str]:
    return [f"PRICE_PART_{part}" for part in chance.sample(of, chance.randint(0, 4))]


def build_up(chance: random.Random, currency: str) -> dict:
    steps = {name: figure(chance, 30, 3) for name in
             ("site_overhead_percent", "firm_overhead_percent", "contingency_percent", "profit_percent")}
    steps["profit_basis"] = chance.choice(["PROFIT_BASIS_MARKUP_ON_COST", "PROFIT_BASIS_MARGIN_ON_PRICE"])
    steps["tax_basis"] = chance.choice(["TAX_BASIS_LINE", "TAX_BASIS_INVOICE"])
    steps["taxes"] = [{"label": f"tax {at}", "percent": figure(chance, 30), "parts": some_parts(chance, PARTS)}
                      for at in range(chance.randint(1, 3))]
    steps["allowances"] = [{"label": f"allowance {at}", "percent": figure(chance, 9), "parts": some_parts(chance, DIRECT)}
                           for at in range(chance.randint(0, 2))]
    places = MINOR_UNITS[currency]
    steps["allowances"].append({"label": "skip", "amount": figure(chance, 400, places) if places else str(chance.randint(1, 400))})
    steps |= chance.choice([{}, {"discount_percent": figure(chance, 12)}, {"discount_amount": str(chance.randint(1, 900))}])
    steps |= chance.choice([{}, {"minimum_charge": str(chance.randint(9000, 60000))}])
    return steps | chance.choice([{}, {"round_price_to": chance.choice(["1", "5", "10", "50", "100"])}])


COSTS = [("SUBCONTRACT", "UNIT_SUM"), ("FEE", "UNIT_EACH"), ("HIRE", "UNIT_WEEK"), ("TRAVEL", "UNIT_KM"), ("LODGING", "UNIT_NIGHT"),
         ("WEATHER_COVER", "UNIT_SUM"), ("PROVISIONAL_SUM", "UNIT_SUM"), ("KEEP", "UNIT_PERSON_DAY"), ("OTHER", "UNIT_SUM"),
         ("WORKSHOP_INCOME", "UNIT_PERSON_DAY")]


def costs(chance: random.Random) -> list[dict]:
    """Workshops come once: what they bring in is never more than the price."""
    drivers = ["ONCE", "PER_WEEK", "PER_DAY", "PER_TRIP", "PER_VISIT"]
    return [{"item": f"{kind.lower()} {at}", "kind": f"COST_KIND_{kind}", "unit": unit, "quantity": figure(chance, 20, 3) + "1",
             "unit_price": figure(chance, 90, 4),
             "driver": f"COST_DRIVER_{'ONCE' if kind == 'WORKSHOP_INCOME' else chance.choice(drivers)}"}
            for at, (kind, unit) in enumerate(chance.sample(COSTS, chance.randint(0, 6)))]


@pytest.mark.parametrize("currency", MINOR_UNITS)
def test_random_build_ups_come_out_to_the_last_digit(client, shops, currency):
    for seed in range(40):
        chance = random.Random(f"{currency} {seed}")
        job = studio(f"shop-{currency.lower()}", build_up=build_up(chance, currency), costs=costs(chance),
                     rounding=chance.choice(list(HOW)),
                     site_time={"weeks": "7.5", "days": "31", "trips": 12, "visits": 3})
        answer = estimate(client, job)
        Judge(answer).check(answer["totals"])


def test_the_judge_finds_a_cent(client, shops):
    """A judge that agrees with everything judges nothing."""
    answer = estimate(client, studio("shop-eur", build_up={"tax_percent": "21"}))
    tax = next(line for line in answer["lines"] if kind(line) == "TAX")
    tax["amount"] = str(Decimal(tax["amount"]) + Decimal("0.01"))
    with pytest.raises(AssertionError):
        Judge(answer).check(answer["totals"])
