"""Reads the General Decimal Arithmetic test cases (Mike Cowlishaw, IBM; .decTest files, version 2.x).

They come inside Python and are read from there, not kept here: their header grants use as they are. A Python without
them is an error and never a pass, for some systems' packages leave them out.
"""

import decimal
import shlex
from dataclasses import dataclass
from pathlib import Path

OPERATIONS = {"quantize": "round", "add": "add", "subtract": "subtract", "multiply": "multiply", "divide": "divide"}
ROUNDINGS = {"half_up", "half_even", "down"}

# What the engine's decimals hold for certain: 28 digits, of which up to 28 after the point.
DIGITS_MAX = 28

_WIDE = decimal.Context(prec=2000, Emax=decimal.MAX_EMAX, Emin=decimal.MIN_EMIN)


@dataclass(frozen=True)
class Vector:
    """One published case that the engine's decimals can hold."""

    name: str
    operation: str
    left: decimal.Decimal
    right: decimal.Decimal
    expected: decimal.Decimal
    rounding: str
    is_inexact: bool

    @property
    def places(self) -> int:
        """The places of the published result, which an inexact one is rounded to."""
        return -self.expected.as_tuple().exponent

    def line(self) -> str:
        """The case as a line for the oracle."""
        left, right = format(self.left, "f"), format(self.right, "f")
        if self.operation == "quantize":
            return f"round {left} - {self.places} {self.rounding}"
        if self.is_inexact:
            return f"{self.operation} {left} {right} {self.places} {self.rounding}"
        return f"{self.operation} {left} {right} - -"


def folder() -> Path:
    """Where the installed Python keeps the cases."""
    message = "the .decTest files are not in this Python; run with one that has its test package, such as python.org's"
    try:
        import test
    except ImportError as error:
        raise FileNotFoundError(message) from error
    found = Path(test.__file__).parent / "decimaltestdata"
    if not list(found.glob("*.decTest")):
        raise FileNotFoundError(f"{message} (looked in {found})")
    return found


def vectors() -> list[Vector]:
    """Every case of the five operations, from every file, that fits."""
    cases = []
    for path in sorted(folder().glob("*.decTest")):
        cases.extend(_cases_of(path))
    return cases


def _cases_of(path: Path) -> list[Vector]:
    rounding, cases = "half_up", []
    for line in path.read_text(encoding="latin-1").splitlines():
        line = line.split("--", 1)[0].strip()
        if line.lower().startswith("rounding:"):
            rounding = line.split(":", 1)[1].strip().lower()
        elif "->" in line:
            case = _case(line, rounding)
            if case is not None and _fits(case):
                cases.append(case)
    return cases


def _case(line: str, rounding: str) -> Vector | None:
    """The case on a line; None when it is of another operation, of more operands, or not of finite numbers."""
    words = shlex.split(line, posix=True)
    arrow = words.index("->")
    name, operation, *operands = words[:arrow]
    operation = operation.lower()
    if operation not in OPERATIONS or len(operands) != 2 or any("#" in word for word in (*operands, words[arrow + 1])):
        return None
    numbers = [_finite(text) for text in (*operands, words[arrow + 1])]
    if None in numbers:
        return None
    left, right, expected = numbers
    conditions = {word.lower() for word in words[arrow + 2 :]}
    return Vector(name, operation, left, right, expected, rounding, "inexact" in conditions)


def _finite(text: str) -> decimal.Decimal | None:
    try:
        number = _WIDE.create_decimal(text)
    except decimal.InvalidOperation:
        return None
    return number if number.is_finite() else None


def _fits(case: Vector) -> bool:
    """Whether the engine can be asked: it holds every number, has the rounding, and rounds to no tens or hundreds."""
    if not all(_holds(number) for number in (case.left, case.right, case.expected, *_exact_result(case))):
        return False
    is_rounded = case.operation == "quantize" or case.is_inexact
    return not is_rounded or (case.rounding in ROUNDINGS and 0 <= case.places)


def _exact_result(case: Vector) -> list[decimal.Decimal]:
    """The result before any rounding. One that the engine cannot hold it cuts to 28 digits, and rounding that again
    is rounding twice. A quotient need not end: there the engine's 28 digits stand in for it, and are judged."""
    results = {"add": _WIDE.add, "subtract": _WIDE.subtract, "multiply": _WIDE.multiply}
    return [results[case.operation](case.left, case.right)] if case.operation in results else []


def _holds(number: decimal.Decimal) -> bool:
    """At most 28 digits when written out without an exponent, at most 28 of them after the point."""
    exponent = number.as_tuple().exponent
    if not -DIGITS_MAX <= exponent <= DIGITS_MAX:
        return False
    whole, _, places = format(number.copy_abs(), "f").partition(".")
    return len(whole.lstrip("0") + places) <= DIGITS_MAX
