"""What is ordered, from whom and what it costs, worked again in exact fractions and by trying every larger order."""

from __future__ import annotations

import decimal
import random
from decimal import Decimal
from fractions import Fraction
from math import ceil

import pytest

from estimate.arithmetic import number, rounded
from money.shop import MINOR_UNITS, estimate, keep, open_shop, sell, studio

# Inputs of a published exercise in quantity discounts, quesba.com question 48672: 5.00 to 999, 4.80 from 1000, 4.75 from 2000.
PUBLISHED = [{"from_quantity": "1000", "unit_price": "4.80"}, {"from_quantity": "2000", "unit_price": "4.75"}]
RULES = ["BREAK_RULE_ALL_UNITS", "BREAK_RULE_INCREMENTAL"]
UNITS = {"sharp-sand": "UNIT_T", "straw-bale": "UNIT_BALE"}
# Loose volume (m3) and mass (t) of one unit as it is sold, from the figures of the starting library: sand is weighed with
# 5 % water, 1550 kg/m3 dry and a heap 25 % higher for being damp; a bale is 1050 x 450 x 355 mm and 20 kg.
FILLS = {"sharp-sand": Fraction(1000) / Fraction("1.05") / 1550 * Fraction("1.25"), "straw-bale": Fraction(1050 * 450 * 355, 10**9)}
WEIGHS = {"sharp-sand": Fraction(1), "straw-bale": Fraction(20, 1000)}
STEP = {"sharp-sand": Fraction(1, 100), "straw-bale": Fraction(1)}


@pytest.fixture(scope="module")
def market(client, firm) -> str:
    open_shop(client, "market", "EUR")
    return "market"


def bought(answer: dict, material: str = "straw-bale") -> dict:
    [found] = [one for one in answer["purchases"] if one["material"] == f"materials/{material}"]
    return found


@pytest.mark.parametrize(("rule", "least", "goods", "hint"), [
    (RULES[0], "1500", "7200.00", None), (RULES[1], "1500", "7399.80", None), (RULES[0], "999", "4995.00", ("1000", "4800.00", "195.00")),
])
def test_published_quantity_breaks(client, market, rule, least, goods, hint):
    sell(client, market, "straw-bale", "5.00", "UNIT_BALE", start_date="2026-01-02", minimum_order=least, break_rule=rule, breaks=PUBLISHED)
    found = bought(estimate(client, studio(market)))
    assert (found["ordered"], found["goods_amount"]) == (least, goods)
    told = found.get("hint")
    assert (told and (told["quantity"], told["amount"], told["saving"])) == hint


class Offer:
    """One supplier's terms, and what an order comes to at them."""

    def __init__(self, material: str, terms: dict, places: int):
        self.material, self.terms, self.places = material, terms, places
        self.breaks = [(number(one["from_quantity"]), number(one["unit_price"])) for one in terms.get("breaks", [])]
        self.pack = number(terms.get("pack_size")) or STEP[material]

    def money(self, exact: Fraction) -> Decimal:
        return rounded(exact, self.places, decimal.ROUND_HALF_UP)

    def ordered(self, needed: Fraction) -> Fraction:
        return max(ceil(needed / self.pack), ceil(number(self.terms.get("minimum_order")) / self.pack)) * self.pack

    def tiers(self, quantity: Fraction) -> list[tuple[Fraction, Fraction]]:
        """How much at which price."""
        reached = [(Fraction(0), number(self.terms["unit_price"]))] + [one for one in self.breaks if one[0] <= quantity]
        if self.terms.get("break_rule") != RULES[1]:
            return [(quantity, reached[-1][1])]
        one_less = 1 if self.material == "straw-bale" else 0
        begins = [max(start - one_less, Fraction(0)) for start, _ in reached] + [quantity]
        return [(end - begin, price) for begin, end, (_, price) in zip(begins, begins[1:], reached) if end > begin]

    def goods(self, quantity: Fraction) -> Decimal:
        return sum(self.money(much * price) for much, price in self.tiers(quantity))

    def loads(self, quantity: Fraction) -> int:
        way = self.terms.get("delivery", {})
        each = [("load_m3", FILLS[self.material]), ("load_t", WEIGHS[self.material]), ("load_quantity", Fraction(1))]
        return max((ceil(quantity * of_one / number(way[limit])) for limit, of_one in each if limit in way), default=0)

    def delivery(self, quantity: Fraction) -> Decimal:
        way, loads = self.terms.get("delivery", {}), self.loads(quantity)
        return self.money(loads * number(way.get("charge_per_load"))) + self.money(
            loads * number(way.get("distance_km")) * number(way.get("charge_per_km")))

    def total(self, quantity: Fraction) -> Decimal:
        return self.goods(quantity) + self.delivery(quantity)

    def hint(self, order: Fraction) -> tuple | None:
        """Every larger order that just reaches a break, tried."""
        larger = {self.ordered(ceil(start / STEP[self.material]) * STEP[self.material]) for start, _ in self.breaks}
        costs = sorted((self.total(one), one) for one in larger if one > order)
        return costs[0] if costs and costs[0][0] < self.total(order) else None


def terms(chance: random.Random, material: str, places: int) -> dict:
    price = lambda most: f"{Decimal(chance.randrange(1, most * 1000)).scaleb(-3)}"
    made = {"unit_price": price(60), "minimum_order": str(chance.randint(1, 400))}
    if chance.random() < 0.6:
        made["pack_size"] = str(chance.choice([2, 5, 12])) if material == "straw-bale" else chance.choice(["0.5", "0.75", "12.5"])
    if chance.random() < 0.8:
        starts = sorted(chance.sample(range(2, 600), chance.randint(1, 4)))
        # Lower and lower as lists are, or higher and higher: neither is refused.
        prices = sorted((price(60) for _ in starts), key=Decimal, reverse=chance.random() < 0.7)
        made |= {"break_rule": chance.choice(RULES), "breaks": [{"from_quantity": str(at), "unit_price": one} for at, one in zip(starts, prices)]}
    if chance.random() < 0.8:
        limits = {"load_m3": price(30), "load_t": price(20), "load_quantity": str(chance.randint(3, 90))}
        kept = chance.sample(sorted(limits), chance.randint(1, 3))
        charge = f"{Decimal(chance.randrange(90 * 10**places)).scaleb(-places):f}"
        made["delivery"] = {name: limits[name] for name in kept} | {"charge_per_load": charge, "charge_per_km": price(4), "distance_km": price(80)}
        for name in ("load_m3", "load_t"):
            if name in made["delivery"]:
                made["delivery"][name] = f"{max(Decimal(made['delivery'][name]), Decimal('0.5'))}"
    return made


def check(found: dict, offers: dict[str, Offer]) -> None:
    needed = number(found["needed"])
    totals = {name: offer.total(offer.ordered(needed)) for name, offer in offers.items()}
    rank = sorted(totals, key=lambda name: (totals[name], name))
    assert found["price"] == rank[0], totals
    assert [(one["price"], Decimal(one["amount"])) for one in found.get("other_offers", [])] == [(name, totals[name]) for name in rank[1:]]
    taken = offers[rank[0]]
    order = taken.ordered(needed)
    assert number(found["ordered"]) == order and number(found["left_over"]) == order - needed
    assert found.get("load_count", 0) == taken.loads(order)
    assert Decimal(found["goods_amount"]) == taken.goods(order)
    assert Decimal(found["delivery_amount"]) == taken.delivery(order)
    told = found.get("hint")
    assert (told and (Decimal(told["amount"]), number(told["quantity"]))) == taken.hint(order), (found, taken.terms)


@pytest.mark.parametrize("currency", MINOR_UNITS)
def test_random_terms_come_out_to_the_last_digit(client, firm, currency):
    """Each in a region of its own below one that sells the same cheaper: the nearest that has a price answers."""
    places = MINOR_UNITS[currency]
    parent = f"far-{currency.lower()}"
    open_shop(client, parent, currency)
    hints = 0
    for seed in range(25):
        chance = random.Random(f"{currency} {seed}")
        name = f"near-{currency.lower()}-{seed}"
        region = {"display_name": name, "currency_code": currency, "parent_region": f"regions/{parent}"}
        client.call("RegionService/CreateRegion", {"region_id": name, "region": region})
        client.call("SiteService/CreateSite", {"site_id": name, "site": {"display_name": name, "region": f"regions/{name}", "haul_distance_m": "20"}})
        offers = {material: {} for material in UNITS}
        for material, unit in UNITS.items():
            for supplier in range(chance.randint(1, 3)):
                made = terms(chance, material, places)
                price = sell(client, name, material, made["unit_price"], unit, supplier=f"Yard {supplier}", **{k: v for k, v in made.items() if k != "unit_price"})
                offers[material][price["name"]] = Offer(material, made, places)
        answer = estimate(client, studio(name))
        for material in UNITS:
            check(bought(answer, material), offers[material])
            hints += "hint" in bought(answer, material)
    assert 0 < hints < 50, "a hint that is always or never there is not judged"


def test_several_jobs_order_together(client, market):
    jobs = [f"shared-{at}" for at in range(3)]
    delivery = {"load_t": "18", "charge_per_load": "95"}
    sell(client, market, "sharp-sand", "30", "UNIT_T", start_date="2026-01-03", pack_size="0.5", delivery=delivery)
    alone = [bought(keep(client, job, studio(market)), "sharp-sand") for job in jobs]
    plan = client.ask("EstimationService/PlanPurchases", {"jobs": [f"jobs/{job}" for job in jobs], "price_date": "2026-05-04"})
    [shared] = [one for one in plan["purchases"] if one["purchase"]["material"] == "materials/sharp-sand"]
    cost = lambda one: Decimal(one["goods_amount"]) + Decimal(one["delivery_amount"])
    offer = Offer("sharp-sand", {"unit_price": "30", "pack_size": "0.5", "delivery": delivery}, 2)
    together = offer.total(offer.ordered(sum(number(one["needed"]) for one in alone)))
    assert (cost(shared["purchase"]), Decimal(shared["alone_amount"])) == (together, sum(map(cost, alone)))
    assert Decimal(shared["saving"]) == sum(map(cost, alone)) - together > 0
    assert [Decimal(part["alone_amount"]) for part in shared["parts"]] == list(map(cost, alone))
    for name, of in [("alone_amount", lambda one: Decimal(one["alone_amount"])), ("together_amount", lambda one: cost(one["purchase"])),
                     ("saving", lambda one: Decimal(one["saving"]))]:
        assert Decimal(plan[name]) == sum(map(of, plan["purchases"])), name
