"""A job of plain walls counted from its drawing alone, as somebody who builds so would: what is laid, placed and set of
everything, and what work that is. The wall systems are here; what is around them is in `around`."""

from __future__ import annotations

from fractions import Fraction
from math import ceil

from estimate.arithmetic import number
from estimate.books import Books
from estimate.reckoning import Reckoning, percent
from systems import around
from systems.plain import Stretch, metres, stretches


def reckon(books: Books, job: dict) -> Reckoning:
    found = Reckoning(books, job)
    for task in ("set-up", "clean-up"):
        found.work(task)
    for wall in job["wall"]:
        for part in stretches(job, with_courses(books, wall)):
            SYSTEMS[part.build["system"]](found, part)
            cover(found, part)
    around.count(found)
    found.work_of_mixing()
    return found


def with_courses(books: Books, wall: dict) -> dict:
    return wall


def method(found: Reckoning, part: Stretch) -> str:
    return part.build.get("mixing", "")


def mix_of(found: Reckoning, part: Stretch) -> str:
    return part.build.get("mix") or found.job["mix"]


def cover(found: Reckoning, part: Stretch) -> None:
    found.work("cover", way(found, part), lift=Fraction(len(part.lifts)))


def way(found: Reckoning, part: Stretch) -> str:
    """The way of mixing of a wall: its build's, else its mix's, else the job's."""
    if part.build["system"] == "straw-bale":
        return part.build.get("mixing") or found.job["mixing"]
    return part.build.get("mixing") or found.books.mixes[mix_of(found, part)].get("mixing") or found.job["mixing"]


def place(found: Reckoning, part: Stretch, mix: str, net: Fraction, placed: Fraction | None = None) -> None:
    found.place(mix, net, part.build.get("mixing", ""), placed, is_wall=True)


def cob(found: Reckoning, part: Stretch) -> None:
    place(found, part, mix_of(found, part), part.net, part.placed)
    amounts = {"m3_placed": part.placed, "m2_face": 2 * part.panel, "lift": Fraction(len(part.lifts))}
    found.work("place", way(found, part), **amounts)
    if part.paring:
        found.work("pare", way(found, part), **amounts)


def between_forms(task: str):
    """Earth or straw-clay filled in between forms on both faces."""
    def count(found: Reckoning, part: Stretch) -> None:
        place(found, part, mix_of(found, part), part.net)
        faces, build = 2 * part.panel, part.build
        found.need(build.get("form_material"), faces / max(1, int(build.get("form_use_count", 1))))
        amounts = {"m3_placed": part.net, "m2_face": faces, "lift": Fraction(len(part.lifts))}
        found.work("set-form", way(found, part), **amounts)
        found.work(task, way(found, part), **amounts)
    return count


def sizes(found: Reckoning, material: str) -> tuple[Fraction, Fraction, Fraction]:
    record = found.books.materials[material]
    return tuple(metres(record, key) for key in ("length_mm", "width_mm", "height_mm"))


def adobe(found: Reckoning, part: Stretch) -> None:
    """Adobes and their joints fill the face; what is no adobe is mortar."""
    build = part.build
    length, width, height = sizes(found, build["piece_material"])
    joint = metres(build, "joint_mm")
    laid = part.panel / ((length + joint) * (height + joint))
    count = Fraction(ceil(laid))
    found.line(part.wall["id"], "adobe", count, "each")
    place(found, part, build["mortar_mix"], part.net - laid * length * width * height)
    made = count * (1 + percent(build, "breakage_percent"))
    if found.books.materials[build["piece_material"]]["supply"] == "site":
        place(found, part, mix_of(found, part), made * length * width * height)
        found.work("mould", way(found, part), piece=count)
    found.need(build["piece_material"], made)
    found.work("lay", way(found, part), piece=count)


def straw_bale(found: Reckoning, part: Stretch) -> None:
    """As many as stand in the face before they settle."""
    build = part.build
    length, width, height = sizes(found, build["piece_material"])
    course = width if build.get("bale_lay") == "edge" else height
    stacked = part.panel / (1 - percent(build, "settling_percent"))
    count = Fraction(ceil(stacked / (length * course)))
    found.line(part.wall["id"], "bale", count, "bale")
    found.need(build["piece_material"], count * (1 + percent(build, "breakage_percent")))
    found.need(build.get("tie_material"), count * number(build.get("ties_per_piece")))
    for task in ("stack", "trim"):
        found.work(task, way(found, part), piece=count, m2_face=2 * part.panel)


def wattle_and_daub(found: Reckoning, part: Stretch) -> None:
    build = part.build
    daub = part.net * (1 - percent(build, "wattle_percent"))
    place(found, part, mix_of(found, part), daub)
    if build.get("stave_material"):
        staves = ceil(part.length / metres(build, "stave_spacing_mm")) + 1
        found.need(build["stave_material"], in_lengths(found, build["stave_material"], staves, part.height))
    if build.get("rod_material"):
        rods = ceil(part.height / metres(build, "rod_spacing_mm")) + 1
        found.need(build["rod_material"], in_lengths(found, build["rod_material"], rods, part.length))
    for task in ("weave", "daub"):
        found.work(task, way(found, part), m2_panel=part.panel, m2_face=2 * part.panel, m3_placed=daub)


def in_lengths(found: Reckoning, material: str, count: int, length: Fraction) -> Fraction:
    """So many of a length, as the material is ordered: by the metre, or each."""
    return count * (length if found.books.materials[material]["purchase_unit"] == "m" else 1)


SYSTEMS = {"cob": cob, "adobe": adobe, "rammed-earth": between_forms("ram"), "light-straw-clay": between_forms("tamp"),
           "straw-bale": straw_bale, "wattle-and-daub": wattle_and_daub}
