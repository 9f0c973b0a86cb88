"""Random jobs of every system: walls and parts of walls above a height, coats, masonry below, trench, floors, ovens, what is
set into openings and buried in lifts. The walls are plain ones, which can be measured exactly."""

from __future__ import annotations

import random

from systems.firms import Firm, is_dug, size

SYSTEMS = ["cob", "adobe", "rammed-earth", "light-straw-clay", "straw-bale", "wattle-and-daub"]


def job(chance: random.Random, firm: Firm, systems: list[str]) -> dict:
    name = firm.name
    made = {"name": f"Job of {name}", "site": name, "system": "cob", "mix": f"{name}-cob", "mixing": name, "crew": name,
            "build": [build(chance, firm, system, at) for at, system in enumerate(systems)]}
    made["wall"] = walls(chance, firm, made["build"])
    for key, likely, value in [
        ("waste_percent", 0.4, lambda: figure(chance, 0, 15, 1)), ("paring_mm", 0.5, lambda: str(chance.randint(0, 40))),
        ("parings_reused_percent", 0.5, lambda: chance.choice(["50", "100", "33"])),
        ("stem_wall", 0.6, lambda: stem_wall(chance, firm)), ("trench", 0.5, lambda: trench(chance, name)),
        ("finish", 0.6, lambda: finishes(chance, name)), ("floor", 0.5, lambda: floors(chance, name)),
        ("oven", 0.3, lambda: ovens(chance, name)), ("ground", 0.4, lambda: ground(chance, firm)),
        ("measurement", 0.4, lambda: "is-1200"),
    ]:
        if chance.random() < likely:
            made[key] = value()
    if made["wall"][0].get("ends") and "floor" in made and chance.random() < 0.7:
        made["floor"][0] = {key: value for key, value in made["floor"][0].items() if key not in ("area_m2", "length_m", "width_m")} | {
            "inside": "wall-0"}
    if "stem_wall" in made:
        made["stem_height_m"] = chance.choice(["0.3", "0.5", "0.75"])
    return made


def figure(chance: random.Random, low: float, high: float, places: int) -> str:
    return f"{chance.randint(round(low * 10**places), round(high * 10**places)) / 10**places:.{places}f}"


def build(chance: random.Random, firm: Firm, system: str, at: int) -> dict:
    name = firm.name
    made = {"id": f"{system}-{at}", "system": system}
    if system == "adobe":
        made |= {"mix": f"{name}-adobe-earth", "piece_material": f"{name}-adobe", "mortar_mix": f"{name}-mortar",
                 "joint_mm": chance.choice(["0", "10", "12.7", "15"])}
    if system == "straw-bale":
        made |= {"piece_material": f"{name}-bale", "bale_lay": "flat"}
        if chance.random() < 0.5:
            made |= {"settling_percent": chance.choice(["0", "2", "5"])}
        if chance.random() < 0.6:
            made |= {"tie_material": f"{name}-twine", "ties_per_piece": chance.choice(["0.5", "2", "3"])}
    if system in ("adobe", "straw-bale") and chance.random() < 0.7:
        made["breakage_percent"] = chance.choice(["2", "5", "7.5"])
    if system == "wattle-and-daub":
        made |= {"mix": f"{name}-daub", "stave_material": f"{name}-stave", "stave_spacing_mm": chance.choice(["300", "350"]),
                 "rod_material": f"{name}-rod", "rod_spacing_mm": chance.choice(["40", "50"]), "wattle_percent": chance.choice(["0", "15"])}
    if system in ("rammed-earth", "light-straw-clay"):
        made |= {"mix": f"{name}-{'rammed' if system == 'rammed-earth' else 'light'}", "form_material": f"{name}-board",
                 "form_use_count": chance.choice([1, 4, 10])}
        if chance.random() < 0.4:
            made["lift_height_m"] = chance.choice(["0.1", "0.2"])
    if system == "cob" and chance.random() < 0.5:
        made |= {"mix": f"{name}-cob"}
    return made


def thickness(chance: random.Random, firm: Firm, system: str) -> str:
    """An adobe or a bale is as wide as its wall is thick."""
    pieces = {"adobe": "adobe", "straw-bale": "bale"}
    if system in pieces:
        return f"{size(firm, pieces[system], 'width_mm'):f}"
    return str({"light-straw-clay": 300, "wattle-and-daub": 150}.get(system, chance.choice([400, 450, 500])))


def walls(chance: random.Random, firm: Firm, builds: list[dict]) -> list[dict]:
    if chance.random() < 0.25:
        return round_a_rectangle([wall(chance, firm, builds[0], builds, at) for at in range(4)])
    return [wall(chance, firm, builds[at % len(builds)], builds, at) for at in range(max(len(builds), chance.randint(1, 3)))]


def round_a_rectangle(walls: list[dict]) -> list[dict]:
    """Four walls of one height and thickness that meet at square corners, those opposite alike in length."""
    for at, one in enumerate(walls):
        length = max((walls[at % 2], walls[at % 2 + 2]), key=lambda other: float(other["length_m"]))["length_m"]
        one |= {"length_m": length, "height_m": walls[0]["height_m"], "thickness_mm": walls[0]["thickness_mm"],
                "ends": f"corner:{walls[(at + 1) % 4]['id']}"}
        one["above"] = [above for above in one.get("above", []) if float(above["from_m"]) < float(one["height_m"]) - 0.1]
    return walls


def wall(chance: random.Random, firm: Firm, own: dict, builds: list[dict], at: int) -> dict:
    holes = chance.randint(0, 2)
    height = chance.randint(20, 35)
    made = {"id": f"wall-{at}", "build": own["id"], "length_m": figure(chance, 2 + 2 * holes, 5 + 2 * holes, 1),
            "height_m": f"{height / 10:.1f}", "thickness_mm": thickness(chance, firm, own["system"])}
    above = [one for one in builds if one is not own and thickness(chance, firm, one["system"]) == made["thickness_mm"]
             or one["system"] in ("cob", "rammed-earth") and one is not own and own["system"] in ("cob", "rammed-earth")]
    if above and chance.random() < 0.6:
        made["above"] = [{"from_m": f"{chance.randint(5, height - 5) / 10:.1f}", "build": chance.choice(above)["id"]}]
    made["opening"] = [opening(chance, firm.name, number) for number in range(holes)]
    if chance.random() < 0.3:
        made["buried"] = [{"id": "deadman", "height_m": figure(chance, 0.1, 1.9, 1), "count": chance.randint(1, 4),
                           "material": f"{firm.name}-deadman"}]
    if chance.random() < 0.2:
        made["finish"] = finishes(chance, firm.name)
    return made


def opening(chance: random.Random, name: str, at: int) -> dict:
    made = {"id": f"hole-{at}", "shape": "rectangle", "width_m": figure(chance, 0.4, 1.2, 1), "height_m": figure(chance, 0.4, 1.0, 1),
            "sill_m": figure(chance, 0, 0.8, 1), "at_m": f"{0.5 + 2 * at:.1f}"}
    if chance.random() < 0.7:
        made |= {"lintel_material": f"{name}-lintel", "lintel_count": chance.randint(1, 3), "bearing_mm": chance.choice(["150", "200"])}
    if chance.random() < 0.5:
        made |= {"sill_material": f"{name}-sill"}
    if chance.random() < 0.5:
        made |= {"frame_material": f"{name}-frame"}
    return made


def finishes(chance: random.Random, name: str) -> list[dict]:
    found = []
    for face in chance.sample(["inner", "outer"], chance.randint(1, 2)):
        coats = [f"{name}-base:{chance.choice(['12', '20'])}", f"{name}-finish:3", f"{name}-wash:0.2"][: chance.randint(1, 3)]
        one = {"face": face, "coats": coats}
        if chance.random() < 0.5:
            one["levelling_mm"] = chance.choice(["4", "8"])
        if chance.random() < 0.4:
            # Both faces of a wall together may cover no more than all of its reveals.
            one["reveal_percent"] = chance.choice(["0", "50"] if face == "inner" else ["0"])
        found.append(one)
    return found


def stem_wall(chance: random.Random, firm: Firm) -> dict:
    name = firm.name
    made = {"system": "stone-in-mortar", "stone_material": f"{name}-stone", "mortar_mix": f"{name}-mortar",
            "mortar_percent": chance.choice(["20", "30"])}
    if chance.random() < 0.5:
        made = {"system": "bags", "bag_material": f"{name}-earth-bag", "fill_mix": f"{name}-fill",
                "thickness_mm": f"{size(firm, 'earth-bag', 'width_mm'):f}"}
    elif chance.random() < 0.5:
        made["thickness_mm"] = "550"
    if chance.random() < 0.6:
        made["damp_course_material"] = f"{name}-damp-course"
    return made


def trench(chance: random.Random, name: str) -> dict:
    made = {"width_mm": chance.choice(["500", "600"]), "depth_mm": chance.choice(["450", "900"]), "fill_mix": f"{name}-rubble"}
    if chance.random() < 0.6:
        made["drain_material"] = f"{name}-drain"
    if chance.random() < 0.6:
        made["fabric_material"] = f"{name}-cloth"
    return made


def floors(chance: random.Random, name: str) -> list[dict]:
    area = {"area_m2": figure(chance, 5, 40, 2)} if chance.random() < 0.5 else {"length_m": "4.2", "width_m": "3.1"}
    made = {"id": "hall", "layers": [f"{name}-fill:100", f"{name}-floor:40", f"{name}-oil:0.8"][: chance.randint(1, 3)]} | area
    if chance.random() < 0.5:
        made |= {"sheet_material": f"{name}-sheet", "lap_percent": chance.choice(["10", "15"])}
    return [made]


def ovens(chance: random.Random, name: str) -> list[dict]:
    made = {"id": "yard", "inner_diameter_m": chance.choice(["0.7", "0.84"]), "door_width_m": chance.choice(["0.3", "0.35"]),
            "layers": [f"{name}-dense:75", f"{name}-light-oven:100"][: chance.randint(1, 2)]}
    if chance.random() < 0.5:
        made["dome_height_m"] = chance.choice(["0.38", "0.45"])
    if chance.random() < 0.5:
        made |= {"base_layers": [f"{name}-rubble:150", f"{name}-sand-form:40"]}
    if chance.random() < 0.5:
        made["form_mix"] = f"{name}-sand-form"
    return [made]


def ground(chance: random.Random, firm: Firm) -> dict:
    made = {"dig_area_m2": "200", "subsoil_mm": "1500", "topsoil_mm": chance.choice(["0", "200"]), "swell_percent": chance.choice(["0", "25"])}
    if chance.random() < 0.6:
        made["tip_material"] = f"{firm.name}-tip"
    return made if is_dug(firm) or chance.random() < 0.7 else {"topsoil_mm": "0"}


def jobs(firm: Firm, count: int) -> list[dict]:
    """Each system alone, then several together."""
    chance = random.Random(f"jobs of {firm.name}")
    alone = [job(chance, firm, [system]) for system in SYSTEMS]
    return alone + [job(chance, firm, chance.sample(SYSTEMS, chance.randint(2, 4))) for _ in range(count - len(SYSTEMS))]
