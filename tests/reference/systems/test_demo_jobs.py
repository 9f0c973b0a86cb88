"""The demo jobs, whatever they are built of: from what is told of their mixes to what is ordered, and from that to the price."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction
from math import ceil

import pytest

from estimate import books, oracle, recipe
from estimate.arithmetic import number, worked
from estimate.reckoning import is_batched, order_step
from systems.asking import measured
from systems.compare import id_of

DATE = books.demo_date()
JOBS = books.demo_jobs()


@pytest.fixture(scope="module")
def asked(client, firm) -> dict[str, tuple[dict, dict]]:
    """By job its takeoff and its estimate."""
    return {name: (measured(client, job), client.ask("EstimationService/EstimateJob", {"job": books.told_job(job), "price_date": DATE}))
            for name, job in JOBS.items()}


def test_one_of_them_is_of_four_systems_at_the_least(asked):
    def systems(takeoff: dict) -> set[str]:
        return {lift["system"] for wall in takeoff["walls"] for lift in wall["lifts"]}

    assert max(len(systems(takeoff)) for takeoff, _ in asked.values()) >= 4


@pytest.mark.parametrize("name", JOBS)
def test_batches_follow_from_what_is_mixed(asked, firm, name):
    takeoff, estimate = asked[name]
    for mix in takeoff["mixes"]:
        batch = recipe.one_batch(firm, firm.mixes[id_of(mix["mix"])])
        # Half a cubic centimetre either way of what is told.
        told, step = number(mix["mixed_volume_m3"]), Fraction(1, 2 * 10**6)
        assert ceil((told - step) / batch.placed) <= mix["batch_count"] <= ceil((told + step) / batch.placed), mix["mix"]
    counted = sum(mix["batch_count"] for mix in takeoff["mixes"] if is_batched(firm.mixes[id_of(mix["mix"])]))
    assert takeoff["totals"]["batch_count"] == counted == estimate["batch_count"]


@pytest.mark.parametrize("name", JOBS)
def test_orders_follow_from_batches_and_whole_steps(asked, firm, name):
    takeoff, _ = asked[name]
    mixed: dict[str, Fraction] = {}
    for mix in takeoff["mixes"]:
        record = firm.mixes[id_of(mix["mix"])]
        for material, portion in recipe.portions(firm, record, recipe.one_batch(firm, record)):
            mixed[material] = mixed.get(material, Fraction(0)) + portion * mix["batch_count"]
    orders = {id_of(order["material"]): order for order in takeoff["orders"]}
    assert mixed.keys() <= orders.keys()
    for material, order in orders.items():
        need, step, quantity = worked(order["basis"]["terms"]), order_step(firm.materials[material]), number(order["quantity"])
        assert need >= mixed.get(material, 0) and 0 <= quantity - need < step and quantity % step == 0, (material, order)
        if not any(term["label"].startswith("batches") for term in order["basis"]["terms"]):
            continue
        # A bale may be laid and shaken out; what is only mixed is all there is.
        if material != "straw-bale":
            assert need == mixed[material], (material, float(need), float(mixed[material]))


@pytest.mark.parametrize("name", JOBS)
def test_an_estimate_prices_its_orders_at_the_price_in_force(asked, firm, name):
    takeoff, estimate = asked[name]
    region = firm.sites[JOBS[name]["site"]]["region"]
    money = oracle.Money(firm.regions[region])
    lines = {line["item"]: line for line in estimate["lines"] if line["kind"] == "LINE_KIND_MATERIAL"}
    assert lines.keys() == {order["item"] for order in takeoff["orders"]}
    for order in takeoff["orders"]:
        material, price = firm.materials[id_of(order["material"])], "0"
        if material["supply"] == "bought":
            price = oracle.in_force(firm, firm.prices, "material", material["id"], region, DATE)["unit_price"]
        line = lines[order["item"]]
        assert line["quantity"] == order["quantity"] and line["unit"] == order["unit"]
        assert Decimal(line["amount"]) == money.round(number(order["quantity"]) * number(price)), (name, line)


@pytest.mark.parametrize("name", JOBS)
def test_an_untested_mix_is_told_first_and_a_tested_one_not(asked, firm, name):
    takeoff, estimate = asked[name]
    tested = {mix["id"] for mix in firm.mended}
    told = [caution["reason"] for caution in estimate["cautions"]]
    untested = [mix for mix in takeoff["mixes"] if id_of(mix["mix"]) not in tested]
    assert (told[0] == "MIX_NOT_TESTED") == bool(untested), told
    subjects = {caution.get("subject", "") for caution in estimate["cautions"] if caution["reason"] == "MIX_NOT_TESTED"}
    assert not subjects & {f"mixes/{name}" for name in tested}, subjects
