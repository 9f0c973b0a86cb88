"""Prices that follow indices, and what a productive hour costs: published figures through the service."""

from __future__ import annotations

import decimal
import random
from decimal import Decimal
from fractions import Fraction

import pytest

from estimate.arithmetic import number, rounded
from money.shop import keep, open_shop, studio
from money.test_quotes import issue

# Consumer prices 113.8 to 118.5 are 4.1 %, never the 4.7 points: US Bureau of Labor Statistics, leaflet of 1989, p. 5, as lfpl.org
# quotes it. Anchorage 215.805 to 216.909 are 0.5 %: live.laborstats.alaska.gov/cpi/pct.html.
PUBLISHED = [("113.8", "118.5", "4.1"), ("215.805", "216.909", "0.5")]
# Price adjustment by four indices, each part's effect in percent: reachback.builtintelligence.com/t/x1-paf-calculations/15697.
FACTORS = [("20", "115.2", "115.8", ".10"), ("15", "105.4", "111.5", ".87"), ("20", "113.9", "114.2", ".05"), ("15", "113.1", "125.1", "1.59")]


@pytest.fixture(scope="module")
def quote(client, firm) -> dict:
    open_shop(client, "index-shop", "EUR")
    return issue(client, keep(client, "indexed-room", studio("index-shop")))


def escalate(client, quote: dict, parts: list[tuple], fixed: str = "0") -> dict:
    rows = [{"label": f"part {at}", "percent": share, "series": "Series of the example", "base_index": base, "current_index": now}
            for at, (share, base, now) in enumerate(parts)]
    return client.ask("QuoteService/EscalateQuote", {"name": quote["name"], "fixed_percent": fixed, "parts": rows})


def check(answer: dict, parts: list[tuple], fixed: str) -> None:
    factor = number(fixed) / 100 + sum(number(share) / 100 * number(now) / number(base) for share, base, now in parts)
    before = Decimal(answer["price_before_tax"])
    adjusted = rounded(Fraction(before) * factor, 2, decimal.ROUND_HALF_UP)
    assert Decimal(answer["adjusted_price_before_tax"]) == adjusted
    assert Decimal(answer["difference"]) == adjusted - before
    assert Decimal(answer["factor"]) == rounded(factor, 12, decimal.ROUND_HALF_UP)


@pytest.mark.parametrize(("base", "now", "percent"), PUBLISHED)
def test_a_rise_is_in_percent_of_the_base_and_not_in_points(client, quote, base, now, percent):
    parts = [("100", base, now)]
    answer = escalate(client, quote, parts)
    check(answer, parts, "0")
    assert Decimal(answer["percent"]).quantize(Decimal("0.1"), decimal.ROUND_HALF_UP) == Decimal(percent)


@pytest.mark.parametrize(("share", "base", "now", "percent"), FACTORS)
def test_each_published_part_and_what_is_fixed(client, quote, share, base, now, percent):
    parts, fixed = [(share, base, now)], str(100 - int(share))
    answer = escalate(client, quote, parts, fixed)
    check(answer, parts, fixed)
    assert Decimal(answer["percent"]) == Decimal(percent)


def test_the_published_parts_together(client, quote):
    parts = [row[:3] for row in FACTORS]
    answer = escalate(client, quote, parts, "30")
    check(answer, parts, "30")
    # .1042 + .8681 + .0527 + 1.5915 before they are rounded; the rounded ones add up to 2.61.
    assert Decimal(answer["percent"]) == Decimal("2.62")


def test_shares_that_do_not_make_a_whole_are_refused(client, quote):
    row = {"label": "lime", "percent": "20", "series": "any", "base_index": "100", "current_index": "101"}
    refused = client.refused("QuoteService/EscalateQuote", {"name": quote["name"], "fixed_percent": "79.99", "parts": [row]})
    assert refused.code == "INVALID_ARGUMENT"


@pytest.mark.parametrize(("currency", "places"), [("EUR", 2), ("JPY", 0), ("TND", 3)])
def test_a_loaded_rate_is_wage_and_burdens_by_hours_paid_over_productive(client, firm, currency, places):
    region = f"rates-{currency.lower()}"
    open_shop(client, region, currency)
    for seed in range(30):
        chance = random.Random(f"{currency} {seed}")
        wage, whole, extra = (f"{Decimal(chance.randrange(1, 90000)).scaleb(-places)}", str(chance.randint(0, 60)), f"{chance.randint(0, 999) / 100}")
        paid = chance.randint(1000, 2200)
        productive = chance.randint(800, paid) if paid > 800 else paid
        record = {"grade": f"grade-{seed}", "wage_per_hour": wage, "burden_percent": whole, "start_date": "2026-01-01",
                  "burdens": [{"label": "leave", "percent": extra}], "paid_hours": str(paid), "productive_hours": str(productive)}
        kept = client.ask("LabourRateService/CreateLabourRate", {"parent": f"regions/{region}", "labour_rate": record})
        exact = number(wage) * (1 + (number(whole) + number(extra)) / 100) * paid / productive
        assert Decimal(kept["loaded_rate_per_hour"]) == rounded(exact, places, decimal.ROUND_HALF_UP), record
