"""What the service says of a job beside what the reckoner says, difference by difference."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

from estimate import oracle
from estimate.arithmetic import number
from estimate.reckoning import Reckoning
from systems import around
from systems.plain import face, metres, reveals, stretches

# Volumes are told to 0.000001 m3; one that is a sum of parts each told so may be half a step out for every part.
STEP = Fraction(1, 10**6)


def id_of(name: str) -> str:
    return name.split("/")[1]


def mixes(found: Reckoning, takeoff: dict) -> list[str]:
    """Volumes and batches of every mix."""
    told = {id_of(one["mix"]): one for one in takeoff.get("mixes", [])}
    wrong = [] if set(told) == set(found.mixes) else [f"mixes {sorted(found.mixes)} worked, {sorted(told)} found"]
    for mix in told.keys() & found.mixes.keys():
        ours, theirs = found.mixes[mix], told[mix]
        if theirs["mixing"] != ours.method:
            wrong.append(f"{mix}: mixed by {ours.method} worked, {theirs['mixing']} found")
        for key, value in [("net", ours.net), ("placed", ours.placed), ("mixed", ours.mixed)]:
            if abs(number(theirs[f"{key}_volume_m3"]) - value) > 20 * STEP:
                wrong.append(f"{mix}: {key} {float(value):.6f} m3 worked, {theirs[f'{key}_volume_m3']} found")
        if theirs["batch_count"] != found.batches(mix):
            wrong.append(f"{mix}: {found.batches(mix)} batches worked, {theirs['batch_count']} found")
    return wrong


def orders(found: Reckoning, takeoff: dict) -> list[str]:
    """What is to be got of every material."""
    told = {id_of(one["material"]): (Decimal(one["quantity"]), one["unit"].removeprefix("UNIT_").lower()) for one in takeoff.get("orders", [])}
    units = {material: found.books.materials[material]["purchase_unit"] for material in found.wanted()}
    ours = {material: (quantity, units[material]) for material, quantity in found.orders().items()}
    return [f"{material}: {ours.get(material)} ordered as worked, {told.get(material)} found"
            for material in sorted(ours.keys() | told.keys()) if ours.get(material) != told.get(material)]


def laid(found: Reckoning, takeoff: dict) -> list[str]:
    """Whole adobes and bales, wall by wall."""
    wrong = []
    for part, item, quantity, unit in found.lines:
        told = [(number(one["quantity"]), one["unit"]) for one in takeoff["lines"] if one["part"].startswith(part) and one["item"].startswith(item)]
        if (quantity, f"UNIT_{unit.upper()}") not in told:
            wrong.append(f"{part}: {quantity} {unit} {item} worked, {[(float(one), of) for one, of in told]} found")
    return wrong


def walls(found: Reckoning, takeoff: dict) -> list[str]:
    """Volumes, faces and lifts of every wall."""
    wrong = []
    for wall, told in zip(found.job["wall"], takeoff["walls"], strict=True):
        parts = stretches(found.job, wall)
        sums = {
            "gross_volume_m3": sum(part.gross_panel * part.thickness for part in parts), "net_volume_m3": sum(part.net for part in parts),
            "placed_volume_m3": sum(part.placed for part in parts), "inner_face_m2": face(wall, "inner"), "outer_face_m2": face(wall, "outer"), "reveal_m2": reveals(wall),
        }
        wrong += [f"{wall['id']}: {key} {float(value)} worked, {told[key]} found" for key, value in sums.items() if number(told[key]) != value]
        ours = [(volume, part.build["system"], part.build["id"]) for part in parts for volume in part.lifts]
        theirs = [(number(lift["volume_m3"]), lift["system"].removeprefix("WALL_SYSTEM_").lower().replace("_", "-"), lift.get("build", ""))
                  for lift in told["lifts"]]
        if ours != theirs:
            wrong.append(f"{wall['id']}: lifts {[(float(one[0]), *one[1:]) for one in ours]} worked, {[(float(one[0]), *one[1:]) for one in theirs]} found")
    return wrong


# IS 1200 Part 3 by the specifications of the Central Public Works Department, and Part 12.
MASONRY_VOID, PLASTER_VOID = Fraction(1, 10), Fraction(1, 2)


def payment(found: Reckoning, takeoff: dict) -> list[str]:
    """Walling and coats by IS 1200, where no opening is larger than 3 m2: what is deducted is deducted on one face."""
    wrong = []
    for wall in found.job["wall"]:
        lines = [one for one in takeoff.get("payment", []) if one["part"] == f"wall {wall['id']}"]
        areas = [metres(hole, "width_m") * metres(hole, "height_m") for hole in wall.get("opening", [])]
        whole = {side: face(wall | {"opening": []}, side) for side in ("inner", "outer")}
        coated = around.finishes_of(found.job, wall)
        thickness = metres(wall, "thickness_mm")
        by_rule = {
            "UNIT_M3": metres(wall, "length_m") * metres(wall, "height_m") * thickness - thickness * sum(area for area in areas if area > MASONRY_VOID),
            "UNIT_M2": sum(whole[side] for side in coated) - (sum(area for area in areas if area > PLASTER_VOID) if coated else 0),
        }
        for unit, exact in by_rule.items():
            told = [number(one["quantity"]) for one in lines if one["unit"] == unit]
            # Each line is told to a hundredth.
            if len(told) != {"UNIT_M3": 1, "UNIT_M2": len(coated)}[unit] or abs(sum(told) - exact) > Fraction(len(told), 200):
                wrong.append(f"{wall['id']}: {float(exact)} {unit} by the rules as worked, {[float(one) for one in told]} found")
    return wrong


def priced(found: Reckoning, estimate: dict, date: str) -> list[str]:
    """Lines of material, hours and the build-up, to the minor unit."""
    ours = oracle.priced(found, date).lines
    names = {material: found.books.materials[material]["display_name"] for material in found.books.materials}
    worked = sorted((line.kind, names.get(line.material) or f"{line.task}, {line.grade}", str(line.quantity.normalize()),
                     line.unit, f"{line.amount:f}") for line in ours)
    hours = iter(estimate["labour"])
    told = []
    for line in estimate["lines"]:
        kind = line["kind"].removeprefix("LINE_KIND_").lower()
        item = line["item"] if kind == "material" else ", "
        if kind == "labour":
            one = next(hours)
            item = f"{one['task'].removeprefix('TASK_').lower().replace('_', '-')}, {one['grade']}"
        told.append((kind, item, str(Decimal(line["quantity"]).normalize()), line["unit"].removeprefix("UNIT_").lower(), line["amount"]))
    only_ours, only_theirs = sorted(set(worked) - set(told)), sorted(set(told) - set(worked))
    return [f"worked {one}" for one in only_ours] + [f"found  {one}" for one in only_theirs]
