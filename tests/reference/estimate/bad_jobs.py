"""Jobs with something wrong in them, written as a person would write the file, digits and all."""

from __future__ import annotations

import json

BARE = ("_m", "_mm", "_deg", "_percent", "_l")


def wall(**changes) -> dict:
    return {"id": "south", "length_m": "6.20", "height_m": "2.40", "thickness_mm": "450"} | changes


def opening(**changes) -> dict:
    return {"id": "door", "shape": "rectangle", "width_m": "0.90", "height_m": "2.00", "sill_m": "0.00", "at_m": "1.10"} | changes


def job(*walls, **changes) -> dict:
    named = {"name": "Bad", "site": "long-acre", "system": "cob", "mix": "house-cob", "mixing": "tarp", "crew": "practised"}
    return named | changes | {"wall": list(walls or [wall()])}


def closed_run(south: str, east: str, north: str, west: str) -> dict:
    names, lengths = ["south", "east", "north", "west"], [south, east, north, west]
    return job(*(wall(id=name, length_m=length, ends=f"corner:{other}")
                 for name, other, length in zip(names, [*names[1:], names[0]], lengths)))


def text(job: dict) -> str:
    """The job file; every number stands as its digits are, right or wrong."""
    lines: list[str] = []
    write(lines, [], job)
    return "\n".join(lines) + "\n"


def write(lines: list[str], path: list[str], table: dict) -> None:
    for key, value in table.items():
        if not isinstance(value, list):
            lines.append(f"{key} = {value if key.endswith(BARE) else json.dumps(value)}")
    for key, rows in table.items():
        for row in rows if isinstance(rows, list) else []:
            lines.append(f"[[{'.'.join([*path, key])}]]")
            write(lines, [*path, key], row)
