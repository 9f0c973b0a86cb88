"""Exact sums and the roundings, by Python's own fractions and decimals."""

from __future__ import annotations

import decimal
from decimal import Decimal
from fractions import Fraction

# A figure that ends on half a step has few digits, so at this many none is taken for another.
DIGITS = 200


def number(text) -> Fraction:
    """A number as written; nothing written is none."""
    return Fraction(str(text)) if text not in (None, "") else Fraction(0)


def rounded(value: Fraction, places: int, how: str) -> Decimal:
    with decimal.localcontext(prec=DIGITS):
        exact = Decimal(value.numerator) / Decimal(value.denominator)
        return exact.quantize(Decimal(1).scaleb(-places), how) + 0


def shares(total: Decimal, weights: list[Fraction], places: int) -> list[Decimal]:
    """A rounded total parted by weight: each cut down to the step, what is left to the largest remainders, the earlier first."""
    steps = int(total.scaleb(places))
    ideals = [steps * weight / sum(weights) for weight in weights]
    cut = [ideal.numerator // ideal.denominator for ideal in ideals]
    order = sorted(range(len(weights)), key=lambda at: (cut[at] - ideals[at], at))
    for at in order[: steps - sum(cut)]:
        cut[at] += 1
    return [Decimal(part).scaleb(-places) for part in cut]


def worked(terms: list[dict]) -> Fraction:
    """A basis worked strictly from left to right, as the contract says; a start after the first begins a further sum,
    which is added to what stands before it."""
    done, running = Fraction(0), None
    for term in terms:
        joint, value = term["joint"], number(term["value"])
        if joint == "JOINT_START":
            done, running = done + (running or 0), value
            continue
        assert running is not None, f"a basis begins with {joint}"
        running = JOINTS[joint](running, value)
    assert running is not None, "a basis has no terms"
    return done + running


JOINTS = {
    "JOINT_PLUS": lambda before, value: before + value,
    "JOINT_LESS": lambda before, value: before - value,
    "JOINT_TIMES": lambda before, value: before * value,
    "JOINT_OVER": lambda before, value: before / value,
    "JOINT_PLUS_PERCENT": lambda before, value: before * (1 + value / 100),
    "JOINT_PERCENT_OF": lambda before, value: before * value / 100,
}
