"""Units, currencies, rounding and sharing out, against libraries and arithmetic that are not Hod's.

pint (with decimals) judges the conversions, the PyPI list of ISO 4217 the currencies, Python's decimal the rounding,
and exact fractions the largest-remainder split.
"""

import decimal
import random
from decimal import Decimal
from fractions import Fraction

import iso4217
import pint
import pytest

from decimal_vectors.programs import answers

# Hod's name of each unit, and pint's.
UNITS = {
    "length": {"m": "meter", "cm": "centimeter", "mm": "millimeter", "ft": "foot", "in": "inch", "yd": "yard"},
    "area": {"m2": "meter**2", "ft2": "foot**2"},
    "volume": {
        "m3": "meter**3", "L": "liter", "ft3": "foot**3", "yd3": "yard**3", "US gal": "US_liquid_gallon",
        "imperial gal": "imperial_gallon", "bucket": "pail",
    },
    "mass": {"kg": "kilogram", "t": "metric_ton", "lb": "pound", "short ton": "short_ton"},
    "density": {"kg/m3": "kilogram/meter**3", "lb/ft3": "pound/foot**3"},
}

CASES = 10_000


@pytest.fixture(scope="module")
def registry():
    # The default context of 28 digits would make the judge no better than the judged.
    with decimal.localcontext(prec=60):
        registry = pint.UnitRegistry(non_int_type=Decimal)
        # pint has no pail: five US gallons, which it knows.
        registry.define("pail = 5 * US_liquid_gallon")
        yield registry


def conversions(kind):
    chance = random.Random(f"conversions of {kind}")
    for source in UNITS[kind]:
        for target in UNITS[kind]:
            for _ in range(25):
                yield Decimal(chance.randrange(1, 10**9)).scaleb(-chance.randrange(7)), source, target


@pytest.mark.parametrize("kind", UNITS)
def test_conversions_are_those_of_pint(registry, kind):
    cases = list(conversions(kind))
    found = answers("units_oracle", [f"{kind}|{number:f} {source}|{target}" for number, source, target in cases])
    assert len(found) == len(cases) >= 100
    for (number, source, target), text in zip(cases, found):
        with decimal.localcontext(prec=60):
            expected = registry.Quantity(number, UNITS[kind][source]).to(UNITS[kind][target]).magnitude
            # The engine holds 28 digits; two steps of a conversion may each cost half of the last.
            assert abs(Decimal(text) - expected) <= abs(expected) * Decimal("1e-26"), (number, source, target)


@pytest.mark.parametrize(
    ("unit", "base", "exact"),
    [
        ("yd3", "m3", "0.764554857984"), ("US gal", "L", "3.785411784"), ("imperial gal", "L", "4.54609"),
        ("ft3", "m3", "0.028316846592"), ("bucket", "L", "18.92705892"),
    ],
)
def test_volumes_of_one_unit_are_exact(unit, base, exact):
    assert answers("units_oracle", [f"volume|1 {unit}|{base}"]) == [exact]


def test_masses_and_lengths_of_one_unit_are_exact():
    lines = ["mass|1 short ton|kg", "mass|1 lb|kg", "length|1 ft|m", "length|1 in|mm", "length|1 yd|m", "area|1 ft2|m2"]
    assert answers("units_oracle", lines) == ["907.18474", "0.45359237", "0.3048", "25.4", "0.9144", "0.09290304"]


def test_feet_inches_and_fractions_are_read_as_a_tape_is():
    chance = random.Random("a tape")
    lines, expected = [], []
    for _ in range(2_000):
        feet, inches = chance.randrange(400), chance.randrange(12)
        denominator = chance.choice([2, 4, 8, 16, 32, 64])
        numerator = chance.randrange(1, denominator)
        text = chance.choice(
            [
                f"{feet}' {inches} {numerator}/{denominator}\"",
                f"{feet}'{inches}-{numerator}/{denominator}\"",
                f"{feet} ft {inches} {numerator}/{denominator} in",
            ]
        )
        lines.append(f"length|{text}|m")
        expected.append((Fraction(feet * 12 + inches) + Fraction(numerator, denominator)) * Fraction(254, 10_000))
    found = answers("units_oracle", lines)
    assert [Fraction(text) for text in found] == expected


def test_currencies_and_their_decimals_are_those_of_iso_4217():
    found = dict(line.split() for line in answers("units_oracle", ["currencies"]))
    published = {one.code: str(one.exponent) for one in iso4217.Currency if one.exponent is not None}
    assert found == published
    assert len(published) > 160


@pytest.mark.parametrize(
    ("name", "rounding"),
    [("half_up", decimal.ROUND_HALF_UP), ("half_even", decimal.ROUND_HALF_EVEN), ("down", decimal.ROUND_DOWN)],
)
def test_rounding_is_that_of_python(name, rounding):
    chance = random.Random(f"rounding {name}")
    lines, expected = [], []
    for _ in range(CASES):
        places = chance.randrange(7)
        # Half of them just half-way, where the roundings part.
        digits = chance.randrange(-(10**12), 10**12)
        value = Decimal(digits).scaleb(-places - chance.randrange(1, 4))
        if chance.random() < 0.5:
            value = Decimal(digits * 10 + 5).scaleb(-places - 1)
        lines.append(f"round {value:f} - {places} {name}")
        expected.append(value.quantize(Decimal(1).scaleb(-places), rounding))
    assert [Decimal(text) for text in answers("decimal_oracle", lines)] == expected


def test_numbers_are_read_as_python_reads_them():
    chance = random.Random("reading")
    numbers = []
    for _ in range(CASES):
        whole = "".join(chance.choices("0123456789", k=chance.randrange(1, 16)))
        places = "".join(chance.choices("0123456789", k=chance.randrange(0, 13)))
        numbers.append(chance.choice(["", "-"]) + whole + ("." + places if places else ""))
    found = answers("decimal_oracle", [f"read {number} - - -" for number in numbers])
    assert [Decimal(text) for text in found] == [Decimal(number) for number in numbers]
    assert not [text for text in found if text == "-0" or ("." in text and text.endswith("0"))]


def largest_remainder(total: int, weights: list[Fraction]) -> list[int]:
    """Shares of a whole number: each cut down, then one more to the largest remainders, the earlier first."""
    ideals = [abs(total) * weight / sum(weights) for weight in weights]
    shares = [ideal.numerator // ideal.denominator for ideal in ideals]
    by_remainder = sorted(range(len(weights)), key=lambda at: (shares[at] - ideals[at], at))
    for at in by_remainder[: abs(total) - sum(shares)]:
        shares[at] += 1
    return [share if total >= 0 else -share for share in shares]


def test_shares_are_those_of_the_largest_remainder():
    chance = random.Random("sharing out")
    lines, expected = [], []
    for _ in range(CASES):
        places = chance.randrange(4)
        total = chance.randrange(-(10 ** chance.randrange(1, 16)), 10 ** chance.randrange(1, 16))
        # Few distinct weights make ties; long ones make products of more than 128 bits.
        digits = chance.choice([1, 3, 9, 27])
        weights = [chance.randrange(10**digits) for _ in range(chance.randrange(1, 13))]
        weights[chance.randrange(len(weights))] += 1
        scale = chance.randrange(0, 13)
        texts = [f"{Decimal(weight).scaleb(-scale):f}" for weight in weights]
        lines.append(f"split {Decimal(total).scaleb(-places):f} {':'.join(texts)} {places} -")
        shares = largest_remainder(total, [Fraction(weight) for weight in weights])
        expected.append([Decimal(share).scaleb(-places) for share in shares])
    found = [[Decimal(share) for share in text.split(":")] for text in answers("decimal_oracle", lines)]
    assert found == expected
