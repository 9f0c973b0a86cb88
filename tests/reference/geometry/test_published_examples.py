"""Published measurement examples and tables, to the digit, each with its source beside it."""

from __future__ import annotations

import pytest

from geometry.compare import figure, printed_wall


def measured(hod, *rows, paring: float = 0) -> dict:
    return hod.takeoff({"name": "Example", "system": "cob", "mix": "house-cob", "paring_mm": paring, "wall": list(rows)})


def ring(lengths, turns=None, **shared) -> list[dict]:
    names = [f"wall-{i + 1}" for i in range(len(lengths))]
    turns = turns or [90] * len(lengths)
    return [
        {"id": a, "length_m": length, "ends": f"corner:{b}", "turn_deg": turn, **shared}
        for a, b, length, turn in zip(names, names[1:] + names[:1], lengths, turns)
    ]


def alone(**row) -> dict:
    return {"id": "wall", **row}


def test_two_rooms_by_long_wall_short_wall_and_by_centre_line(hod):
    """Footing 1.1 m wide, 1.0 m deep: long walls 2 x 11.7 m, short walls 3 x 5.2 m, 42.90 m3.

    Long-wall short-wall sums: easyhomebuilds.com/double-room-building-estimation.
    The same by centre line: 2 x 10.6 + 3 x 6.3 = 40.1 m, less half a width at two T-junctions.
    """
    shared = {"height_m": 1.0, "thickness_mm": 1100}
    outer = ring([10.6, 6.3, 10.6, 6.3], **shared)
    middle = {"id": "middle", "length_m": 6.3, **shared}
    middle |= {"starts": "into:wall-1", "start_into_at_m": 5.3, "start_turn_deg": -90, "ends": "into:wall-3", "into_at_m": 5.3}
    takeoff = measured(hod, *outer, middle)
    assert figure(takeoff["totals"], "gross") == 42.9
    assert figure(printed_wall(takeoff, "middle"), "gross") == 5.72
    assert figure(takeoff["totals"], "length") == 40.1


def test_one_room_with_a_door(hod):
    """Room 5 x 4 m inside, walls 0.3 m thick and 3.5 m high, door 1.2 x 2.0 m: 19.44 m3.

    Exam answer page: domiterapia.com, item 5e75a81ff60d5d2bf3e7a856.
    """
    rows = ring([5.3, 4.3, 5.3, 4.3], height_m=3.5, thickness_mm=300)
    rows[0]["opening"] = [{"id": "door", "shape": "rectangle", "width_m": 1.2, "height_m": 2.0, "sill_m": 0, "at_m": 2}]
    totals = measured(hod, *rows)["totals"]
    assert figure(totals, "net") == 19.44
    assert figure(totals, "length") == 19.2


def test_girth_of_a_building(hod):
    """15 x 6 m outside, 0.3 m walls: girth 40.8 m.

    worldconstructor.blogspot.com/2017/07/measuring-perimeter-or-girth-of.html
    """
    totals = measured(hod, *ring([14.7, 5.7, 14.7, 5.7], height_m=1.0, thickness_mm=300))["totals"]
    assert figure(totals, "length") == 40.8
    assert figure(totals, "gross") == 12.24
    assert figure(totals, "outer") == 42.0


def test_a_corner_is_counted_once(hod):
    """An L corner 4.0 and 3.0 m outside, 0.45 m thick: (4 + 3 - 0.45) x 0.45 = 2.9475 m2 on plan.

    Centre-line method: civiljungle.com/centre-line-method.
    """
    shared = {"height_m": 1.0, "thickness_mm": 450}
    first = {"id": "first", "length_m": 3.775, "ends": "corner:second", **shared}
    takeoff = measured(hod, first, {"id": "second", "length_m": 2.775, **shared})
    assert figure(takeoff["totals"], "gross") == 2.9475
    assert figure(takeoff["totals"], "plan") == 2.9475


def test_a_t_junction_takes_half_a_width_off_the_centre_line(hod):
    """Each T-junction: subtract half the breadth of the wall met.

    Centre-line method: civiljungle.com/centre-line-method, ques10.com/p/5663.
    """
    shared = {"height_m": 1.0, "thickness_mm": 450}
    guest = {"id": "guest", "length_m": 3.0, "ends": "into:host", "into_at_m": 3.0, **shared}
    takeoff = measured(hod, {"id": "host", "length_m": 6.0, **shared}, guest)
    assert figure(takeoff["totals"], "gross") == round((9.0 - 0.225) * 0.45, 6)


@pytest.mark.parametrize(
    ("lengths", "turns"),
    [
        ([7.6, 5.6, 7.6, 5.6], [90] * 4),
        ([7.6, 2.6, 3.0, 3.0, 4.6, 5.6], [90, 90, -90, 90, 90, 90]),
        ([7.6, 5.6, 2.4, 2.0, 2.8, 2.0, 2.4, 5.6], [90, 90, 90, -90, -90, 90, 90, 90]),
    ],
)
def test_insets_cancel_round_any_right_angled_ring(hod, lengths, turns):
    """Centre line = outside girth less four thicknesses, however many insets there are.

    RICS measurement conventions, isurv.com, page 4 ("insets cancel").
    """
    totals = measured(hod, *ring(lengths, turns, height_m=2.0, thickness_mm=400))["totals"]
    centre_line = sum(lengths)
    assert figure(totals, "length") == round(centre_line, 6)
    assert figure(totals, "gross") == round(centre_line * 0.4 * 2, 6)
    assert figure(totals, "outer") == round((centre_line + 4 * 0.4) * 2, 6)


@pytest.mark.parametrize(("radius", "volume"), [(3.0, 7.068583), (3.2, 7.539822)])
def test_a_curved_wall_is_its_centre_line_times_its_section(hod, radius, volume):
    """135 degrees, 0.4 m thick, 2.5 m high; radius 3.0 m to the middle, or 3.0 m to the inside.

    Theorem of Pappus (standard mathematics); figures worked independently to six places.
    """
    takeoff = measured(hod, alone(radius_m=radius, bend_deg=135, height_m=2.5, thickness_mm=400))
    assert figure(takeoff["totals"], "gross") == volume
    if radius == 3.0:
        assert figure(takeoff["totals"], "outer") == 18.849556
        assert figure(takeoff["totals"], "inner") == 16.493361


def test_a_splayed_opening_is_a_prismatoid(hod):
    """0.9 m splayed to 1.5 m, 1.2 m high, through 0.5 m: 0.720 m3.

    Prismatoid rule: mathworld.wolfram.com/Prismatoid.html.
    """
    hole = {"id": "window", "shape": "rectangle", "width_m": 0.9, "height_m": 1.2, "sill_m": 0.6, "at_m": 2, "splay_mm": 600}
    takeoff = measured(hod, alone(length_m=5, height_m=2.4, thickness_mm=500, opening=[hole]))
    assert figure(takeoff["totals"], "opening") == 0.72


@pytest.mark.parametrize(
    ("shape", "area", "arc"),
    [
        ({"shape": "segmental", "width_m": 1.2, "rise_m": 0.3}, 0.251604, 1.390943),
        ({"shape": "semicircular", "width_m": 1.0}, 0.392699, 1.570796),
        ({"shape": "pointed", "width_m": 1.0}, 0.614185, 2.094395),
    ],
)
def test_arches_have_the_areas_and_lengths_of_the_tables(hod, shape, area, arc):
    """Circular segment, half circle and equilateral arch through a metre of wall (standard mathematics)."""
    hole = {"id": "arch", "height_m": 1.0, "sill_m": 0.5, "at_m": 2, **shape}
    totals = measured(hod, alone(length_m=5, height_m=3, thickness_mm=1000, opening=[hole]))["totals"]
    width = hole["width_m"]
    assert figure(totals, "opening") == pytest.approx(width + area, abs=1e-6)
    assert figure(totals, "reveal") == pytest.approx(arc + 2 * 1.0 + width, abs=1e-6)


IS_1200 = """IS 1200 (Bureau of Indian Standards), Part 3 brickwork and Part 12 plastering, 1976:
globalinsights360.com/?p=1487, technicalcivil.com/?p=390. Wall 5 x 3 m, 0.45 m thick, plastered on both sides."""

OPENINGS = {
    # Up to 0.5 m2 the plaster is measured whole; masonry deducts over 0.1 m2.
    "small window": ({"width_m": 0.6, "height_m": 0.8, "sill_m": 1.0}, 6.534, 30.00),
    # Over 0.5 and up to 3 m2 the plaster of one face is deducted, and no reveal is measured.
    "window": ({"width_m": 1.2, "height_m": 1.5, "sill_m": 0.9}, 5.94, 28.20),
    # Over 3 m2 both faces are deducted and jambs and head are added; a door has no sill.
    "door": ({"width_m": 2.0, "height_m": 2.1, "sill_m": 0}, 4.86, 24.39),
}


@pytest.mark.parametrize("kind", OPENINGS)
def test_the_parts_that_is_1200_measures_are_there_to_the_digit(hod, kind):
    hole, masonry, plaster = OPENINGS[kind]
    opening = {"id": kind, "shape": "rectangle", "at_m": 1.5, **hole}
    takeoff = measured(hod, alone(length_m=5, height_m=3, thickness_mm=450, opening=[opening]))
    inner, outer, reveal = (figure(takeoff["totals"], name) for name in ("inner", "outer", "reveal"))
    assert figure(takeoff["totals"], "net") == masonry, IS_1200
    area = round(hole["width_m"] * hole["height_m"], 6)
    by_rule = {"small window": inner + outer + 2 * area, "window": inner + outer + area, "door": inner + outer + reveal}
    assert round(by_rule[kind], 6) == plaster, IS_1200
