"""Quotes from a client in another language: numbers under concurrency, bytes that stay, figures that add up, and nothing of
the cost in what a client sees."""

from __future__ import annotations

import hashlib
from concurrent.futures import ThreadPoolExecutor
from decimal import Decimal

import pytest

from estimate.client import Client
from money.shop import keep, keep_again, open_shop, sell, studio

STAGES = [{"milestone": "MILESTONE_ACCEPTANCE", "percent": "33.33"}, {"milestone": "MILESTONE_START", "percent": "33.33"},
          {"milestone": "MILESTONE_LIFTS", "percent": "16.67", "lifts_percent": "50"},
          {"milestone": "MILESTONE_COMPLETION", "percent": "16.67"}]
COSTS = [{"item": "Roof", "kind": "COST_KIND_SUBCONTRACT", "unit_price": "8123.45", "part": "roof"},
         {"item": "Stove, not chosen yet", "kind": "COST_KIND_PROVISIONAL_SUM", "unit_price": "777.77"},
         {"item": "Tests", "kind": "COST_KIND_FEE", "quantity": "3", "unit": "UNIT_EACH", "unit_price": "33.33"}]
STEPS = {"site_overhead_percent": "6", "firm_overhead_percent": "12", "profit_percent": "15", "discount_percent": "2.5",
         "taxes": [{"label": "VAT", "percent": "21"}, {"label": "levy", "percent": "1.5", "parts": ["PRICE_PART_MATERIAL"]}]}
# Words of the make-up of a cost that no client's page may hold.
MAKE_UP = ("overhead", "profit", "margin", "markup", "wage_per_hour", "contingency", "hours_per_unit", "unit_price", "burden")


@pytest.fixture(scope="module")
def kept(client, firm) -> dict:
    open_shop(client, "quote-shop", "EUR")
    scope = [{"part": "roof", "holder": "SCOPE_HOLDER_OURS"}, {"part": "drainage", "holder": "SCOPE_HOLDER_EXCLUDED"}]
    return keep(client, "quoted-room", studio("quote-shop", costs=COSTS, scope=scope, build_up=STEPS))


def reasons(estimate: dict) -> list[dict]:
    """A written reason for each matter for which the estimate is only provisional."""
    matters = sorted({one["reason"] for one in estimate["provisional"]})
    return [{"reason": reason, "explanation": "agreed with the household beforehand"} for reason in matters]


def issue(client: Client, estimate: dict, **more) -> dict:
    request = {"estimate": estimate["name"], "client": "A household", "issue_date": "2026-11-02", "validity_days": 300,
               "stages": STAGES, "retention_percent": "5", "retention_months": 12, "provisional_reasons": reasons(estimate)}
    return client.ask("QuoteService/IssueQuote", request | more)


def test_two_hundred_at_once_are_numbered_each_once_and_without_a_gap(server, client, kept):
    """Some are tried only, and leave no gap."""
    already = len(client.every("QuoteService/ListQuotes", {}, "quotes"))

    def one(at: int) -> int:
        own = Client(server.address, server.owner_token())
        try:
            issue(own, kept, validate_only=True)
            return issue(own, kept)["offer"]["number"]
        finally:
            own.close()

    with ThreadPoolExecutor(20) as threads:
        numbers = sorted(threads.map(one, range(200)))
    assert numbers == list(range(already + 1, already + 201))


def snapshots(quote) -> list[bytes]:
    """The kept bytes, as a deterministic encoding gives them again; without a comparison an empty one."""
    changes = quote.changes.SerializeToString(deterministic=True) if quote.HasField("changes") else b""
    return [quote.offer.SerializeToString(deterministic=True), quote.estimate_snapshot.SerializeToString(deterministic=True), changes]


def digest(parts: list[bytes]) -> str:
    found = hashlib.sha256()
    for part in parts:
        found.update(len(part).to_bytes(8, "big") + part)
    return found.hexdigest()


def test_a_quote_is_the_same_bytes_after_every_later_change(client, kept):
    name = issue(client, kept)["name"]
    read = lambda: client.call("QuoteService/GetQuote", {"name": name, "view": "QUOTE_VIEW_ALL"})
    before = read()
    assert before.digest == digest(snapshots(before))
    sell(client, "quote-shop", "sharp-sand", "99.99", "UNIT_T", start_date="2026-02-01")
    rate = {"grade": "lead", "wage_per_hour": "77", "start_date": "2026-02-01"}
    client.call("LabourRateService/CreateLabourRate", {"parent": "regions/quote-shop", "labour_rate": rate})
    changes = [("RegionService/UpdateRegion", {"region": {"name": "regions/quote-shop", "build_up": {"profit_percent": "44"}}}),
               ("SiteService/UpdateSite", {"site": {"name": "sites/quote-shop", "display_name": "Elsewhere"}}),
               ("JobService/UpdateJob", {"job": {"name": "jobs/quoted-room", "display_name": "Another"}})]
    for method, change in changes:
        client.call(method, change)
    constant = client.ask("LabourConstantService/ListLabourConstants", {})["labour_constants"][0]
    client.call("LabourConstantService/UpdateLabourConstant",
                {"labour_constant": {"name": constant["name"], "display_name": f"{constant['display_name']}, again"}})
    after = read()
    assert after.SerializeToString(deterministic=True) == before.SerializeToString(deterministic=True)


def test_what_a_client_sees_adds_up(client, kept):
    offer = issue(client, kept)["offer"]
    money = lambda rows, key="amount": sum(Decimal(row[key]) for row in rows)
    before_tax = money(offer["lines"]) + money(offer["adjustments"])
    assert before_tax == Decimal(offer["price_before_tax"])
    assert before_tax + money(offer["taxes"]) == Decimal(offer["total"])
    assert money(offer["stages"]) == Decimal(offer["total"])
    assert money(offer["stages"], "retained") == Decimal(offer["retention_amount"])
    assert offer["stages"][0]["retained"] == "0.00"
    for stage in offer["stages"]:
        assert Decimal(stage["amount"]) - Decimal(stage["retained"]) == Decimal(stage["due"])
    assert money(offer["lines"]) > money(line for line in offer["lines"] if line["item"] == "roof") > Decimal("8123.45")


def words(value) -> list[str]:
    if isinstance(value, dict):
        return [word for key, inner in value.items() for word in [key, *words(inner)]]
    if isinstance(value, list):
        return [word for inner in value for word in words(inner)]
    return [str(value).lower()]


def test_a_client_sees_nothing_of_the_make_up_of_the_cost(client, kept):
    name = issue(client, kept)["name"]
    quote = client.ask("QuoteService/GetQuote", {"name": name, "view": "QUOTE_VIEW_CLIENT"})
    assert "estimate_snapshot" not in quote and "changes" not in quote
    seen = words(quote["offer"])
    # A reason is written by the firm for the client to read; its name is the only place where the word may stand.
    told = [word for word in seen if any(part in word for part in MAKE_UP) and word != "contingency_zero"]
    assert told == []
    assert all("basis" not in rate for rate in quote["offer"]["daywork_rates"])


def test_a_revision_says_what_changed_to_the_cent(client, kept):
    first = issue(client, kept)
    sell(client, "quote-shop", "straw-bale", "4.11", "UNIT_BALE", start_date="2026-05-05")
    revised = issue(client, keep_again(client, "quoted-room", "2026-05-06"), revised_quote=first["name"])
    changes = revised["changes"]
    effects = changes["effects"]
    rows = changes["rows"]
    for name, whole in effects.items():
        assert sum(Decimal(row["effects"][name]) for row in rows) == Decimal(whole), name
    for row in rows:
        assert sum(map(Decimal, row["effects"].values())) == Decimal(row["difference"]), row
    assert Decimal(changes["after_total"]) - Decimal(changes["before_total"]) == Decimal(changes["difference"])
    assert sum(map(Decimal, effects.values())) == Decimal(changes["difference"])
    [straw] = [row for row in rows if row["item"].startswith("Straw") and row["kind"] == "LINE_KIND_MATERIAL"]
    price = Decimal(straw["after_unit_price"]) - Decimal(straw["before_unit_price"])
    assert Decimal(straw["effects"]["price"]) == price * Decimal(straw["after_quantity"]) != 0
    old = client.ask("QuoteService/GetQuote", {"name": first["name"]})
    assert (old["state"], old["superseding_quote"]) == ("QUOTE_STATE_SUPERSEDED", revised["name"])
    assert client.refused("QuoteService/AcceptQuote", {"name": first["name"], "date": "2026-11-03"}).code == "FAILED_PRECONDITION"
