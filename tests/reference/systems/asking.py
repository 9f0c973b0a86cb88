"""A takeoff asked for, and one figure looked up in it."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

from estimate import books
from estimate.arithmetic import worked
from estimate.client import Client


def measured(client: Client, made: dict) -> dict:
    return client.ask("EstimationService/MeasureJob", {"job": books.told_job(made)})


def line(takeoff: dict, *words: str) -> dict:
    """The one line that has all the words."""
    found = [one for one in takeoff["lines"] if all(word in f"{one['part']}: {one['item']}" for word in words)]
    assert len(found) == 1, (words, [(one["part"], one["item"]) for one in takeoff["lines"]])
    return found[0]


def order(takeoff: dict, material: str) -> Decimal:
    (found,) = (one for one in takeoff["orders"] if one["material"] == f"materials/{material}")
    return Decimal(found["quantity"])


def exactly(found: dict) -> Fraction:
    return worked(found["basis"]["terms"])


def reasons(takeoff: dict) -> set[str]:
    return {caution["reason"] for caution in takeoff.get("cautions", [])}


def to(value: Fraction, places: int) -> str:
    return f"{float(value):.{places}f}"
