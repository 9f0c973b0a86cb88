"""What is below, on and around plain walls: coats, what is set into openings and buried, stem wall, trench, floors, ovens and
the ground."""

from __future__ import annotations

from fractions import Fraction

from estimate.arithmetic import number
from estimate.reckoning import Reckoning, percent
from systems import dome
from systems.plain import face, metres, reveals


def count(found: Reckoning) -> None:
    job = found.job
    for wall in job["wall"]:
        openings(found, wall)
        buried(found, wall)
        coats(found, wall)
        stem(found, wall)
        trench(found, wall)
    for floor in job.get("floor", []):
        layers(found, floor)
    for oven in job.get("oven", []):
        dome.count(found, oven)
    ground(found)


def openings(found: Reckoning, wall: dict) -> None:
    for hole in wall.get("opening", []):
        width = metres(hole, "width_m")
        length = width + metres(hole, "splay_mm") + 2 * metres(hole, "bearing_mm")
        set_in(found, hole.get("lintel_material"), int(hole.get("lintel_count", 1)), length)
        set_in(found, hole.get("sill_material"), 1, width)
        found.need(hole.get("frame_material"), Fraction(1))
        found.work("set-opening", opening=Fraction(1))


def set_in(found: Reckoning, material: str | None, pieces: int, length: Fraction) -> None:
    if material:
        by_length = found.books.materials[material]["purchase_unit"] == "m"
        found.need(material, pieces * length if by_length else Fraction(pieces))


def buried(found: Reckoning, wall: dict) -> None:
    for thing in wall.get("buried", []):
        pieces = Fraction(thing.get("count", 1))
        found.need(thing.get("material"), pieces)
        found.work("bury", piece=pieces)


def finishes_of(job: dict, wall: dict) -> dict[str, dict]:
    """A wall's own coats, and on a face that it does not name the job's."""
    return {one["face"]: one for one in [*job.get("finish", []), *wall.get("finish", [])]}


def coats(found: Reckoning, wall: dict) -> None:
    finishes = finishes_of(found.job, wall)
    for side, finish in finishes.items():
        area = face(wall, side) + reveals(wall) * reveal_share(side, finish, finishes)
        for at, coat in enumerate(finish["coats"]):
            mix, thick = coat.split(":")
            spread(found, mix, area, number(thick) / 1000 + (metres(finish, "levelling_mm") if at == 0 else 0), "plaster")


def reveal_share(side: str, finish: dict, finishes: dict[str, dict]) -> Fraction:
    if finish.get("reveal_percent"):
        return percent(finish, "reveal_percent")
    return Fraction(1 if side == "inner" or "inner" not in finishes else 0)


def spread(found: Reckoning, mix: str, area: Fraction, depth: Fraction, task: str) -> None:
    """A layer of a mix; washes and oils are laid on with a brush wherever they go."""
    found.place(mix, area * depth)
    task = "wash" if found.books.mixes[mix].get("purpose") == "wash" else task
    found.work(task, found.books.mixes[mix].get("mixing", ""), m2_coat=area)


def stem(found: Reckoning, wall: dict) -> None:
    job, record = found.job, found.job.get("stem_wall")
    height = metres(wall, "stem_height_m") if "stem_height_m" in wall else metres(job, "stem_height_m")
    if not record or not height:
        return
    length, thickness = metres(wall, "length_m"), metres(record, "thickness_mm") or metres(wall, "thickness_mm")
    cut = sum((metres(hole, "width_m") * min(height, max(Fraction(0), -metres(hole, "sill_m"))) for hole in wall.get("opening", [])), Fraction(0))
    volume = (length * height - cut) * thickness
    doors = sum((metres(hole, "width_m") + metres(hole, "splay_mm") / 2 for hole in wall.get("opening", []) if metres(hole, "sill_m") < 0), Fraction(0))
    found.need(record.get("damp_course_material"), (length - doors) * thickness)
    if record["system"] == "bags":
        bag = found.books.materials[record["bag_material"]]
        bags = volume / (metres(bag, "length_mm") * metres(bag, "width_mm") * metres(bag, "height_mm"))
        found.need(record["bag_material"], bags)
        found.place(record["fill_mix"], volume)
        found.work("lay-stem", found.books.mixes[record["fill_mix"]].get("mixing", ""), m3_placed=volume, piece=bags)
        return
    mortar = volume * percent(record, "mortar_percent")
    stone = found.books.materials[record["stone_material"]]
    weight = number(stone.get("density_loose_kg_m3")) / 1000 if stone["purchase_unit"] == "t" else 1
    found.need(record["stone_material"], (volume - mortar) * weight)
    found.place(record["mortar_mix"], mortar)
    found.work("lay-stem", found.books.mixes[record["mortar_mix"]].get("mixing", ""), m3_placed=volume)


def trench(found: Reckoning, wall: dict) -> None:
    record = found.job.get("trench")
    if not record:
        return
    length, width, depth = metres(wall, "length_m"), metres(record, "width_mm"), metres(record, "depth_mm")
    found.place(record["fill_mix"], length * width * depth)
    found.need(record.get("drain_material"), length)
    found.need(record.get("fabric_material"), 2 * (width + depth) * length)
    found.work("trench", m3_bank=length * width * depth)
    found.work("fill-trench", found.books.mixes[record["fill_mix"]].get("mixing", ""), m3_placed=length * width * depth)


def layers(found: Reckoning, floor: dict) -> None:
    area = number(floor.get("area_m2")) or metres(floor, "length_m") * metres(floor, "width_m") or enclosed(found.job)
    for layer in floor["layers"]:
        mix, thick = layer.split(":")
        spread(found, mix, area, number(thick) / 1000, "lay-floor")
    found.need(floor.get("sheet_material"), area * (1 + percent(floor, "lap_percent")))


def enclosed(job: dict) -> Fraction:
    """Between the inner faces of four walls round a rectangle."""
    long, short = (metres(wall, "length_m") - metres(wall, "thickness_mm") for wall in job["wall"][:2])
    return long * short


def ground(found: Reckoning) -> None:
    """Spoil is what comes out of the trench, and grows; topsoil is set aside where the soil of the mixes is dug."""
    record = found.job.get("ground", {})
    area = number(record.get("dig_area_m2"))
    if metres(record, "subsoil_mm"):
        needed = sum((found.dug(mix)[0] for mix in found.mixes), Fraction(0))
        area = min(area, needed / metres(record, "subsoil_mm"))
    topsoil = area * metres(record, "topsoil_mm")
    if topsoil:
        found.work("strip", m3_bank=topsoil, m3_loose=topsoil * (1 + percent(record, "swell_percent")))
    dug = sum((found.works[key].get("m3-bank", Fraction(0)) for key in found.works if key[1] == "trench"), Fraction(0))
    if record.get("tip_material") and dug:
        loose = dug * (1 + percent(record, "swell_percent"))
        found.need(record["tip_material"], loose)
        found.work("tip", m3_loose=loose)
