"""Jobs small enough to be worked in the head, so that a reckoner and the service cannot be wrong together; and what random jobs
seldom meet: doors that cut the stem wall, arches, lifts with what is buried in them, ground that is too small."""

from __future__ import annotations

from decimal import Decimal

import pytest

from estimate import books
from systems.asking import line, measured, order, reasons
from systems.published import Fraction, job, wall

pytestmark = pytest.mark.usefixtures("published_books")

DOOR = {"id": "door", "shape": "rectangle", "width_m": "1", "height_m": "2.25", "sill_m": "-0.25", "at_m": "1"}
ARCH = {"id": "arch", "shape": "segmental", "rise_m": "0.2", "width_m": "1", "height_m": "1", "sill_m": "0.5", "at_m": "1", "splay_mm": "200",
        "lintel_material": "oak-lintel", "lintel_count": 2, "bearing_mm": "150", "sill_material": "sill-board",
        "frame_material": "window-frame", "arch_form_material": "arch-form"}
STONE = {"system": "stone-in-mortar", "stone_material": "building-stone", "mortar_mix": "pub-mortar", "mortar_percent": "30"}


def plain(**more) -> dict:
    """5 m long, 3 m high, 0.4 m thick."""
    return wall(Fraction(5), Fraction(3), Fraction("0.4"), **more)


def rectangle(**more) -> dict:
    """6 by 4 m on the centre lines, 2.4 m high, 0.45 m thick."""
    sides = [("south", "east", 6), ("east", "north", 4), ("north", "west", 6), ("west", "south", 4)]
    return job(*(wall(Fraction(length), Fraction("2.4"), Fraction("0.45")) | {"id": name, "ends": f"corner:{other}"}
                 for name, other, length in sides), **more)


def mix(takeoff: dict, name: str) -> dict:
    (found,) = (one for one in takeoff["mixes"] if one["mix"] == f"mixes/{name}")
    return found


def test_a_door_cuts_the_stem_wall(client):
    """5 x 0.5 x 0.4 = 1.0 m3 less 1 x 0.25 x 0.4 = 0.1; three tenths of it mortar, the rest 0.63 m3 of stone at 2.4 t to half a tonne."""
    takeoff = measured(client, job(plain(opening=[DOOR]), stem_height_m="0.5", stem_wall=STONE))
    assert Decimal(mix(takeoff, "pub-mortar")["net_volume_m3"]) == Decimal("0.27")
    assert order(takeoff, "building-stone") == 2
    # Above the stem wall the door is 2 m high.
    assert Decimal(takeoff["totals"]["net_volume_m3"]) == Decimal("5.2")


def test_stem_wall_trench_and_floor_of_a_closed_run(client):
    """Round 20 m of centre line: 20 x 0.6 x 0.5 m of bags of 0.02375 m3, 252.6 of them and so 300 by fifties; 20 x 0.7 x 0.5 m of
    trench. Inside, 5.55 x 3.55 m."""
    takeoff = measured(client, rectangle(
        stem_height_m="0.5", stem_wall={"system": "bags", "bag_material": "earth-bag", "fill_mix": "pub-fill", "thickness_mm": "600"},
        trench={"width_mm": "700", "depth_mm": "500", "fill_mix": "pub-damp", "drain_material": "drain-pipe", "fabric_material": "geotextile"},
        floor=[{"id": "hall", "inside": "east", "layers": ["pub-mortar:100"], "sheet_material": "floor-membrane", "lap_percent": "10"}],
    ))
    assert [Decimal(mix(takeoff, name)["net_volume_m3"]) for name in ("pub-fill", "pub-damp", "pub-mortar")] == [
        Decimal("6"), Decimal("7"), Decimal("1.97025")]
    # Drain by lengths of 6 m; cloth round 0.7 x 0.5 m, 48 m2, and sheet of 21.67 m2, both by strips of 10 m2.
    assert [order(takeoff, name) for name in ("earth-bag", "drain-pipe", "geotextile", "floor-membrane")] == [300, 24, 50, 30]


def test_no_trench_is_dug_under_a_partition(client):
    """Two walls of 5 m, one of them without a stem wall: half a square metre of trench under 5 m; where none has one, under both."""
    made = job(plain(), plain(id="partition", stem_height_m="0"), trench={"width_mm": "500", "depth_mm": "1000", "fill_mix": "pub-fill"})
    assert Decimal(mix(measured(client, made | {"stem_height_m": "0.5"}), "pub-fill")["net_volume_m3"]) == Decimal("2.5")
    assert Decimal(mix(measured(client, made), "pub-fill")["net_volume_m3"]) == Decimal("5")


def test_the_first_coat_fills_the_hollows_and_the_reveals_are_coated_once(client):
    """A face of 15 - 2 = 13 m2; jambs and head of the door above the stem wall 5 m x 0.4 m = 2 m2, with the inner face. 12 + 5 mm and 3 mm."""
    coats = [{"face": "inner", "coats": ["pub-mortar:12", "pub-fill:3"], "levelling_mm": "5"}, {"face": "outer", "coats": ["pub-damp:10"]}]
    takeoff = measured(client, job(plain(opening=[DOOR]), stem_height_m="0.5", finish=coats))
    assert [Decimal(mix(takeoff, name)["net_volume_m3"]) for name in ("pub-mortar", "pub-fill", "pub-damp")] == [
        Decimal("0.255"), Decimal("0.045"), Decimal("0.13")]


def test_an_arch_takes_its_form_its_frame_and_lintels_as_long_as_it_is_wide_inside(client):
    """Two lintels of 1.0 + 0.2 m of splay and 0.15 m at each end."""
    takeoff = measured(client, job(plain(opening=[ARCH])))
    assert [order(takeoff, name) for name in ("oak-lintel", "sill-board", "window-frame", "arch-form")] == [3, 1, 1, 1]


def test_what_is_buried_stands_in_its_lift(client):
    """Lifts of 0.3 m: at 0 in the first, at 0.3 m on top of the first and so in the second, at the very top in the last."""
    buried = [{"id": "bearing", "height_m": "0"}, {"id": "conduit", "height_m": "0.3"},
              {"id": "anchors", "height_m": "3", "count": 4, "material": "deadman"}]
    build = {"id": "rammed", "system": "rammed-earth", "mix": "pub-rammed", "lift_height_m": "0.3"}
    takeoff = measured(client, job(plain(build="rammed", buried=buried), build=[build]))
    lifts = {lift["number"]: [one["id"] for one in lift.get("buried", [])] for lift in takeoff["walls"][0]["lifts"]}
    assert {number: names for number, names in lifts.items() if names} == {1: ["bearing"], 2: ["conduit"], 10: ["anchors"]}
    assert order(takeoff, "deadman") == 4


def test_what_is_built_in_takes_the_place_of_earth(client):
    """6 m3 less a hundred bottles of 5 l."""
    takeoff = measured(client, job(plain(inclusion=[{"id": "bottles", "count": 100, "volume_l": "5"}])))
    assert Decimal(takeoff["totals"]["net_volume_m3"]) == Decimal(mix(takeoff, "pub-earth")["net_volume_m3"]) == Decimal("5.5")


def test_parings_go_back_on_the_heap(client):
    """6 m3 pared by 20 mm on both faces, 0.6 m3, of which half is built in again; a tenth more is wasted on the way."""
    takeoff = measured(client, job(plain(), paring_mm="20", parings_reused_percent="50", waste_percent="10"))
    found = mix(takeoff, "pub-earth")
    assert [Decimal(found[f"{kind}_volume_m3"]) for kind in ("net", "placed", "mixed")] == [Decimal("6"), Decimal("6.6"), Decimal("6.96")]
    # 1.6 t/m3; a batch of ten litres of clay at a tonne makes 6.25 l.
    assert found["batch_count"] == 1114
    assert [Decimal(found["masses"][f"{where}_kg"]) for where in ("dry_in", "standing", "pared", "wasted", "left_over")] == [
        Decimal(mass) for mass in ("11140", "9600", "480", "1056", "4")]


def test_ground_that_gives_less_than_the_mixes_need_is_told(client):
    """10 m2 of subsoil half a metre deep are 5 m3 in the bank; under 20 cm of topsoil, which is set aside."""
    made = job(wall(Fraction(30), Fraction(2), Fraction("0.4")), mix="house-cob", site="pub-ground",
               ground={"dig_area_m2": "10", "subsoil_mm": "500", "topsoil_mm": "200"})
    takeoff = measured(client, made)
    assert Decimal(line(takeoff, "ground", "can be dug")["quantity"]) == 5
    assert Decimal(line(takeoff, "ground", "topsoil")["quantity"]) == 2
    assert "SOIL_SHORT" in reasons(takeoff)
    enough = made | {"ground": made["ground"] | {"dig_area_m2": "100"}}
    assert "SOIL_SHORT" not in reasons(measured(client, enough))


@pytest.mark.parametrize("observation", ["TOPSOIL", "SALTS", "CONTAMINATION"])
def test_a_soil_refused_by_what_was_seen_of_it_is_not_built_with(client, observation):
    test = {"method": "SOIL_TEST_METHOD_BY_HAND", "sample_date": "2026-03-01", "observations": [f"SOIL_OBSERVATION_{observation}"]}
    asked = {"parent": "sites/pub-ground", "soil_test_id": f"seen-{observation.lower()}", "soil_test": test}
    name = client.ask("SoilTestService/CreateSoilTest", asked)["name"]
    made = job(plain(), mix="house-cob", site="pub-ground", ground={"soil_test": name})
    found = client.refused("EstimationService/MeasureJob", {"job": books.told_job(made)})
    assert [path for path, _ in found.fields] == ["job.ground.soil_test"], found
    assert name.split("/")[-1] in found.description_of("job.ground.soil_test")


def test_a_mix_that_no_trial_justifies_is_the_first_caution(client):
    takeoff = measured(client, rectangle())
    assert [caution["reason"] for caution in takeoff["cautions"]][0] == "MIX_NOT_TESTED"
    assert takeoff["cautions"][0]["subject"] == "mixes/pub-earth"


def test_no_caution_says_that_anything_is_safe_or_approved(client):
    for made in (rectangle(mix="house-cob"), job(plain(opening=[DOOR, ARCH | {"at_m": "3"}]), stem_height_m="0.5", stem_wall=STONE)):
        cautions = measured(client, made)["cautions"]
        assert len(cautions) >= 2
        assert not [one for one in cautions if "safe" in one["description"].lower() or "approved" in one["description"].lower()]
