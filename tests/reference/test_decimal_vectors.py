"""The engine's decimals against the General Decimal Arithmetic vectors inside the installed Python."""

import decimal
from collections import Counter

import pytest

from decimal_vectors.programs import answers
from decimal_vectors.vectors import OPERATIONS, vectors

# Fewer would mean that the reader lost cases, and a check that reads nothing agrees with everything.
COUNT_MIN = {"quantize": 800, "add": 2500, "subtract": 1300, "multiply": 700, "divide": 1250}

CASES = vectors()


def test_enough_vectors_fit():
    count = Counter(case.operation for case in CASES)
    print(dict(count), "of which inexact", dict(Counter(c.operation for c in CASES if c.is_inexact)))
    assert all(COUNT_MIN[operation] < count[operation] for operation in OPERATIONS), count


@pytest.mark.parametrize("operation", OPERATIONS)
def test_every_vector_comes_out_as_published(operation):
    cases = [case for case in CASES if case.operation == operation]
    found = answers("decimal_oracle", [case.line() for case in cases])
    assert len(found) == len(cases)
    wrong = [
        f"{case.name}: {case.line()} gave {text}, published {case.expected}"
        for case, text in zip(cases, found)
        if text == "none" or decimal.Decimal(text) != case.expected
    ]
    assert not wrong, f"{len(wrong)} of {len(cases)} differ:\n" + "\n".join(wrong[:40])
