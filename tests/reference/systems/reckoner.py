"""A job of plain walls counted from its drawing alone, as somebody who builds so would: what is laid, placed and set of
everything, and what work that is. The wall systems are here; what is around them is in `around`."""

from __future__ import annotations

import decimal
from fractions import Fraction
from math import ceil

from estimate.arithmetic import number, rounded
from estimate.books import Books
from estimate.reckoning import NO_MIXING, Reckoning, percent
from systems import around
from systems.plain import Stretch, metres, stretches


def reckon(books: Books, job: dict) -> Reckoning:
    found = Reckoning(books, job)
    for task in ("set-up", "clean-up"):
        found.work(task)
    for wall in job["wall"]:
        for part in stretches(job, wall):
            SYSTEMS[part.build["system"]](found, part)
            cover(found, part)
    whole_pieces(found)
    around.count(found)
    found.work_of_mixing()
    return found


def mix_of(found: Reckoning, part: Stretch) -> str:
    return part.build.get("mix") or found.job["mix"]


def whole_pieces(found: Reckoning) -> None:
    """Adobes and bales are laid whole, counted over all that is of a build; those that break are moulded too."""
    for counted in found.works.values():
        if "piece" in counted:
            counted["piece"] = ceil(counted["piece"]) + counted.pop("half", Fraction(0)) / 2


def cover(found: Reckoning, part: Stretch) -> None:
    """Cob is covered after every lift, adobe after every 0.6 m that is laid and left to dry."""
    lifts = {"cob": len(part.lifts), "adobe": ceil(part.height / Fraction("0.6"))}.get(part.build["system"], 0)
    if lifts:
        found.work("cover", way(found, part), lift=Fraction(lifts))


def way(found: Reckoning, part: Stretch) -> str:
    """The way of mixing of a wall: its build's, else its mix's, else the job's."""
    if part.build["system"] == "straw-bale":
        return NO_MIXING
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
    earth, broken = laid * length * width * height, percent(build, "breakage_percent")
    found.line(f"wall {part.wall['id']}", "adobes laid", Fraction(ceil(laid)), "each")
    place(found, part, build["mortar_mix"], part.net - earth)
    if found.books.materials[build["piece_material"]]["supply"] == "site":
        found.place(mix_of(found, part), earth, build.get("mixing", ""), broken=broken)
        found.work("mould", way(found, part), piece=laid * (1 + broken))
    found.need(build["piece_material"], laid * (1 + broken))
    found.work("lay", found.books.mixes[build["mortar_mix"]].get("mixing", ""), piece=laid, m3_placed=part.net, m2_face=2 * part.panel)


def straw_bale(found: Reckoning, part: Stretch) -> None:
    """As many as stand in the face before they settle."""
    build = part.build
    length, width, height = sizes(found, build["piece_material"])
    course = width if build.get("bale_lay") == "edge" else height
    stacked = part.panel / (1 - percent(build, "settling_percent"))
    count = stacked / (length * course)
    found.line(f"wall {part.wall['id']}", "bales, custom bales within", Fraction(ceil(count)), "bale")
    found.need(build["piece_material"], count * (1 + percent(build, "breakage_percent")))
    cut = cut_bales(part, course * (1 - percent(build, "settling_percent")))
    found.line(f"wall {part.wall['id']}", "custom bales", Fraction(cut), "each")
    # Two that were cut are one of those counted; each is tied and stacked as one.
    found.need(build.get("tie_material"), (count + Fraction(cut, 2)) * number(build.get("ties_per_piece")))
    found.work("stack", NO_MIXING, piece=count, half=Fraction(cut), m2_face=2 * part.panel)
    found.work("trim", NO_MIXING, piece=count, m2_face=2 * part.panel)


def cut_bales(part: Stretch, course: Fraction) -> int:
    """In every other course a half bale stands at each end and at each jamb of an opening."""
    edges = [(part.bottom, part.top)] + [
        (max(part.bottom, metres(hole, "sill_m")), min(part.top, metres(hole, "sill_m") + metres(hole, "height_m")))
        for hole in part.wall.get("opening", [])
    ]
    return sum(2 * ceil(Fraction(ceil((top - bottom) / course), 2)) for bottom, top in edges if top > bottom)


def wattle_and_daub(found: Reckoning, part: Stretch) -> None:
    build = part.build
    daub = part.net * (1 - percent(build, "wattle_percent"))
    place(found, part, mix_of(found, part), daub)
    # Openings have neither; a length is told to a tenth of a millimetre.
    length = number(rounded(part.panel / part.height, 4, decimal.ROUND_HALF_UP))
    if build.get("stave_material"):
        staves = ceil(length / metres(build, "stave_spacing_mm")) + 1
        found.need(build["stave_material"], in_lengths(found, build["stave_material"], staves, part.height))
    if build.get("rod_material"):
        rod = found.books.materials[build["rod_material"]]
        woven = ceil(part.height / metres(build, "rod_spacing_mm")) * length
        found.need(build["rod_material"], woven if rod["purchase_unit"] == "m" else woven / metres(rod, "length_mm"))
    for task, method in [("weave", NO_MIXING), ("daub", way(found, part))]:
        found.work(task, method, m2_panel=part.inner, m2_face=2 * part.panel, m3_placed=daub)


def in_lengths(found: Reckoning, material: str, count: int, length: Fraction) -> Fraction:
    """So many of a length, as the material is ordered: by the metre, or each."""
    return count * (length if found.books.materials[material]["purchase_unit"] == "m" else 1)


SYSTEMS = {"cob": cob, "adobe": adobe, "rammed-earth": between_forms("ram"), "light-straw-clay": between_forms("tamp"),
           "straw-bale": straw_bale, "wattle-and-daub": wattle_and_daub}
