"""Whole estimates worked again by an independent reckoner, to the cent and to the hundredth of an hour."""

from __future__ import annotations

import decimal
import json
from decimal import Decimal
from fractions import Fraction
from math import ceil

import pytest

from estimate import books, oracle, random_firms, recipe
from estimate.arithmetic import number, rounded, worked
from estimate.reckoning import order_step, waste

RANDOM_FIRMS = 200


@pytest.fixture(scope="module")
def demo_estimates(client, firm, hod):
    """Each demo job of cob walls alone with its takeoff as the command prints it and its estimate as the service sends it;
    those of other systems are judged part by part beside this."""
    date = books.demo_date()
    found = {}
    for path in books.demo_files():
        job = books.read(path)
        if not oracle.is_of_cob_alone(job):
            continue
        takeoff = json.loads(hod.answer("takeoff", str(path), "--format", "json"))
        asked = {"job": books.told_job(job), "price_date": date}
        found[path.stem] = (firm, job, date, takeoff, client.ask("EstimationService/EstimateJob", asked))
    return found


@pytest.fixture(scope="module")
def random_estimates(client, firm):
    """The same of random firms, all kept on one server through its calls."""
    found = {}
    for case in random_firms.cases(RANDOM_FIRMS):
        books.load(client, case.books)
        asked = {"job": books.told_job(case.job)}
        takeoff = client.ask("EstimationService/MeasureJob", asked)
        estimate = client.ask("EstimationService/EstimateJob", asked | {"price_date": case.date})
        found[case.name] = (firm.and_also(case.books), case.job, case.date, takeoff, estimate)
    return found


@pytest.fixture(scope="module")
def all_estimates(demo_estimates, random_estimates):
    return demo_estimates | random_estimates


def shown(estimate: dict) -> list[tuple]:
    """Its lines as they stand, hours told with their task and grade."""
    hours = iter(estimate["labour"])
    return [line_shown(line, next(hours) if line["kind"] == "LINE_KIND_LABOUR" else {}) for line in estimate["lines"]]


def line_shown(line: dict, labour: dict) -> tuple:
    task = labour.get("task", "").removeprefix("TASK_").lower().replace("_", "-")
    unit_price = Decimal(line["unit_price"]) if line.get("unit_price") else None
    return (
        line["kind"].removeprefix("LINE_KIND_").lower(), task, labour.get("grade", ""), Decimal(line["quantity"]),
        line["unit"].removeprefix("UNIT_").lower(), unit_price, line["amount"],
    )


def expected(line: oracle.Line) -> tuple:
    amount = f"{line.amount:f}"
    return (line.kind, line.task, line.grade, line.quantity, line.unit, line.unit_price, amount)


def differences(estimates: dict) -> list[str]:
    """Every line that is not as it was worked, named."""
    found = []
    for name, (firm, job, date, takeoff, estimate) in estimates.items():
        ours = [expected(line) for line in oracle.work(firm, job, takeoff, date).lines]
        theirs = shown(estimate)
        found += [f"{name}: worked {one}\n{' ' * len(name)}  found  {other}" for one, other in zip(ours, theirs) if one != other]
        if len(ours) != len(theirs):
            found.append(f"{name}: {len(ours)} lines worked, {len(theirs)} found")
    return found


def test_the_demo_jobs_come_out_to_the_cent(demo_estimates):
    assert len(demo_estimates) >= 5
    assert not differences(demo_estimates), "\n".join(differences(demo_estimates))


def test_random_firms_come_out_to_the_minor_unit(random_estimates):
    assert len(random_estimates) == RANDOM_FIRMS
    found = differences(random_estimates)
    assert not found, f"{len(found)} lines\n" + "\n".join(found[:20])


def test_random_firms_are_odd_enough_to_judge_by(random_estimates):
    """Were these not met, the comparison above would prove less than it seems to."""
    regions = [firm.regions[firm.sites[job["site"]]["region"]] for firm, job, *_ in random_estimates.values()]
    def met(of) -> int:
        return sum(bool(of(region)) for region in regions)

    assert met(lambda region: region.get("parent_region")) > 50
    for currency in ("EUR", "USD", "JPY", "KWD"):
        assert met(lambda region: region["currency_code"] == currency) > 20
    for profit in ("markup-on-cost", "margin-on-price"):
        for tax in ("line", "invoice"):
            assert met(lambda region: (region["profit_basis"], region["tax_basis"]) == (profit, tax)) > 20
    mixes = [(firm.mixes[job["mix"]], firm) for firm, job, *_ in random_estimates.values()]
    assert sum("batch_yield_l" in mix for mix, _ in mixes) > 30
    assert sum(firm.materials[mix["ingredients"][0]["material"]]["supply"] == "bought" for mix, firm in mixes) > 10
    assert changed_by(random_estimates, rounding="half-away-from-zero") > 10
    assert changed_by(random_estimates, rounding="half-to-even") > 10


def changed_by(estimates: dict, rounding: str) -> int:
    """In how many of the firms that do not round so it would change a line."""
    count = 0
    for firm, job, date, takeoff, estimate in estimates.values():
        region = firm.regions[firm.sites[job["site"]]["region"]]
        if region["rounding"] != rounding:
            other = firm.and_also(books.Books(regions={region["id"]: region | {"rounding": rounding}}))
            count += [expected(line) for line in oracle.work(other, job, takeoff, date).lines] != shown(estimate)
    return count


def test_batches_are_placed_volume_and_waste_over_the_yield_rounded_up_once(all_estimates):
    for name, (firm, job, _, takeoff, estimate) in all_estimates.items():
        mix = firm.mixes[job["mix"]]
        batch, lost = recipe.one_batch(firm, mix), waste(job, mix)
        expected = ceil(number(takeoff["totals"]["placed_volume_m3"]) * (1 + lost) / batch.placed)
        assert estimate["batch_count"] == expected == takeoff["totals"]["batch_count"] == estimate["takeoff"]["batch_count"], name
        for wall in takeoff["walls"]:
            for lift in wall["lifts"]:
                own = ceil(number(lift["volume_m3"]) * (1 + lost) / batch.placed)
                assert lift["batch_count"] == own, (name, wall["id"], lift["number"])


def test_lifts_and_walls_add_up_to_what_is_placed(all_estimates):
    for name, (_, _, _, takeoff, estimate) in all_estimates.items():
        totals = takeoff["totals"]
        for wall in takeoff["walls"]:
            assert sum(number(lift["volume_m3"]) for lift in wall["lifts"]) == number(wall["placed_volume_m3"]), (name, wall["id"])
            gross, openings, net = (number(wall[f"{kind}_volume_m3"]) for kind in ("gross", "opening", "net"))
            assert gross - openings == net, (name, wall["id"])
        for key, total in totals.items():
            if key != "batch_count":
                assert sum(number(wall[key]) for wall in takeoff["walls"]) == number(total), (name, key)
        assert {key: number(total) for key, total in totals.items()} == {
            key: number(total) for key, total in estimate["takeoff"].items()
        }, name


def test_totals_are_sums_of_their_lines_and_total_is_the_sum_of_them(all_estimates):
    for name, (*_, estimate) in all_estimates.items():
        totals = {key: Decimal(text) for key, text in estimate["totals"].items()}
        for kind in oracle.KINDS:
            lines = [line for line in estimate["lines"] if line["kind"] == f"LINE_KIND_{kind.upper()}"]
            assert sum((Decimal(line["amount"]) for line in lines), Decimal(0)) == totals[kind], (name, kind)
        assert sum(totals[kind] for kind in oracle.KINDS) == totals["total"], name
        assert sum(Decimal(line["amount"]) for line in estimate["lines"]) == totals["total"], name


def test_hours_are_those_of_their_lines(all_estimates):
    for name, (*_, estimate) in all_estimates.items():
        lines = [line for line in estimate["lines"] if line["kind"] == "LINE_KIND_LABOUR"]
        assert [(line["quantity"], line["amount"]) for line in lines] == [
            (one["hours"], one["amount"]) for one in estimate["labour"]
        ], name


def test_the_basis_of_a_line_works_out_to_it_from_left_to_right(all_estimates):
    """By the contract: the terms give the quantity before it is rounded, on a step of the build-up the amount."""
    count = 0
    for name, (firm, job, date, takeoff, estimate) in all_estimates.items():
        for line, ours in zip(estimate["lines"], oracle.work(firm, job, takeoff, date).lines, strict=True):
            assert worked(line["basis"]["terms"]) == ours.exact, (name, line["item"], line["basis"])
            step = order_step(firm.materials[ours.material]) if ours.material else None
            assert rounded_as_told(estimate["currency_code"], line, ours.exact, step), (name, line)
            count += 1
    assert count > 5_000


def rounded_as_told(currency: str, line: dict, exact: Fraction, step: Fraction | None) -> bool:
    """Whether the words for the rounding are kept: material up to its step, hours by less than a step, money half a step."""
    quantity, rounding = number(line["quantity"]), line["basis"]["rounding"]
    if line["kind"] == "LINE_KIND_MATERIAL":
        assert rounding.startswith("up to a whole " if step == 1 else f"up to {float(step):g} "), rounding
        return 0 <= quantity - exact < step and quantity % step == 0
    if line["kind"] == "LINE_KIND_LABOUR":
        assert rounding.startswith("to 0.01 h"), rounding
        # The share of a rounded total may lie half a step of the total and a step of its own from the exact share.
        return abs(quantity - exact) < Fraction(15, 1000)
    assert rounding == "to the currency's minor unit", rounding
    return abs(number(line["amount"]) - exact) <= Fraction(1, 2 * 10 ** oracle.MINOR_UNITS[currency])


def test_the_net_volume_of_a_wall_comes_out_of_its_basis(demo_estimates):
    """What a wall's basis leads to is its net volume to the step shown."""
    for name, (_, _, _, takeoff_of_command, estimate) in demo_estimates.items():
        assert takeoff_of_command["totals"]["net_volume_m3"] == estimate["takeoff"]["net_volume_m3"], name


def test_wall_bases_work_out(client, demo_estimates):
    for name, (_, job, *_) in demo_estimates.items():
        takeoff = client.ask("EstimationService/MeasureJob", {"job": books.told_job(job)})
        for wall in takeoff["walls"]:
            found = rounded(worked(wall["basis"]["terms"]), 6, decimal.ROUND_HALF_UP)
            assert found == Decimal(wall["net_volume_m3"]), (name, wall["id"], wall["basis"])
        exact = worked(takeoff["batch_basis"]["terms"])
        assert 0 <= takeoff["totals"]["batch_count"] - exact < 1, (name, takeoff["batch_basis"])


def test_an_estimate_names_the_lists_and_versions_it_drew_on(demo_estimates):
    *_, estimate = demo_estimates["oven-shelter"]
    assert [one["region"] for one in estimate["list_versions"]] == ["regions/cairnhead", "regions/tidewell"]
    named = {text.split("@")[0] for text in estimate["inputs"]}
    assert {"mixes/sandy-soil-cob", "crews/mixed", "materials/sharp-sand", "labourConstants/mix-tarp"} <= named
    assert all("@" in text for text in estimate["inputs"])


def test_a_price_comes_from_the_nearest_region_in_force(all_estimates):
    for name, (firm, job, date, _, estimate) in all_estimates.items():
        region = firm.sites[job["site"]]["region"]
        by_name = {material["display_name"]: material for material in firm.materials.values()}
        for line in estimate["lines"]:
            if line["kind"] == "LINE_KIND_MATERIAL" and by_name[line["item"]]["supply"] == "bought":
                price = oracle.in_force(firm, firm.prices, "material", by_name[line["item"]]["id"], region, date)
                assert line["price_source"].startswith(f"regions/{price['region']}/prices/"), (name, line)
                assert price["start_date"] in line["price_source"], (name, line)


def test_the_starting_library_is_what_the_files_say(client, firm):
    """The reckoner reads the files and the service its own copy; both must be the same library."""
    kept = books.library()
    for service, listed, records in [
        ("MaterialService/ListMaterials", "materials", kept.materials), ("MixService/ListMixes", "mixes", kept.mixes),
        ("CrewService/ListCrews", "crews", kept.crews),
        ("LabourConstantService/ListLabourConstants", "labour_constants", kept.constants),
    ]:
        found = {one["name"].split("/")[1]: one for one in client.every(service, {}, listed)}
        for name, record in records.items():
            for key, value in books.resource(record).items():
                assert same(found[name][key], value), (name, key, found[name][key], value)


def same(found, written) -> bool:
    """Whether two values are the same, where `0.10` and `0.1` are."""
    if isinstance(written, list):
        return len(found) == len(written) and all(
            same(one[key], value) for one, part in zip(found, written) for key, value in part.items()
        )
    try:
        return Fraction(found) == Fraction(written)
    except ValueError:
        return found == written
