"""Materials, mixes and walls that published figures are put to the service with: as bare as can be, so that the figure stands
alone. Sizes in feet and inches are those of the source, exactly."""

from __future__ import annotations

from fractions import Fraction

from estimate.books import Books, by_id

INCH, FOOT, GALLON, POUND = Fraction("0.0254"), Fraction("0.3048"), Fraction("0.003785411784"), Fraction("0.45359237")
YARD3 = (3 * FOOT) ** 3


def decimal(value: Fraction, places: int = 6) -> str:
    """A length or a mass as it is written in a file."""
    return f"{float(value):.{places}f}"


def piece(name: str, length: Fraction, width: Fraction, height: Fraction, unit: str = "each") -> dict:
    sizes = {key: decimal(value * 1000, 4) for key, value in [("length_mm", length), ("width_mm", width), ("height_mm", height)]}
    return material(name, unit) | sizes


def material(name: str, unit: str, **more: str) -> dict:
    return {"id": name, "display_name": name, "supply": "bought", "purchase_unit": unit, "source": "as the figure it is for"} | more


def mix(name: str, parts: dict[str, str], **more: str) -> dict:
    """Buckets of ten litres, one to a part."""
    ingredients = [{"material": material, "parts": part} for material, part in parts.items()]
    return {"id": name, "display_name": name, "ingredients": ingredients, "bucket_l": "10", "buckets_per_part": "1",
            "density_dry_kg_m3": "1600", "source": "as the figure it is for"} | more


def row_of_straw_clay(pcf: str, straw: str) -> dict:
    """Straw-clay of so many pounds to the cubic foot, of which so many are straw; a millionth less, so that it is not past its row."""
    in_si = POUND / FOOT**3 * (1 - Fraction(1, 10**6))
    return mix(f"pub-light-{pcf.replace('.', '-')}", {"pub-clay": "1"}, purpose="insulating", density_dry_kg_m3=decimal(Fraction(pcf) * in_si),
               straw_material="pub-straw", straw_kg_per_m3=decimal(Fraction(straw) * in_si))


MATERIALS = [
    material("pub-clay", "kg", density_loose_kg_m3="1000"), material("pub-straw", "kg"), material("pub-tip", "m3"),
    material("pub-sand", "m3", density_loose_kg_m3="1500", bulking_percent="25"),
    # 25 kg fill twenty litres loose, so that two buckets are a bag.
    material("pub-bag", "bag", density_loose_kg_m3="1250", mass_per_unit_kg="25"),
    material("pub-moist", "t", density_loose_kg_m3="1000"), material("pub-oil", "l", density_loose_kg_m3="930"),
    piece("pub-adobe", 14 * INCH, 10 * INCH, 4 * INCH), piece("pub-bale", 36 * INCH, 18 * INCH, 14 * INCH, "bale"),
    piece("pub-jones-bale", Fraction("1.05"), Fraction("0.45"), Fraction("0.355"), "bale"),
]
MIXES = [
    mix("pub-earth", {"pub-clay": "1"}), mix("pub-mortar", {"pub-clay": "1"}), mix("pub-damp", {"pub-sand": "1"}, density_dry_kg_m3="1500"),
    mix("pub-bag-15-0", {"pub-bag": "2"}, batch_yield_l="15.0"), mix("pub-bag-16-7", {"pub-bag": "2"}, batch_yield_l="16.7"),
    # A batch is a tonne.
    mix("pub-tonne-600", {"pub-moist": "100"}, batch_yield_l="600"), mix("pub-tonne-625", {"pub-moist": "100"}, batch_yield_l="625"),
    mix("pub-oiling", {"pub-oil": "1"}, density_dry_kg_m3="930", purpose="wash"),
    # Twice as much loose as rammed.
    mix("pub-rammed", {"pub-clay": "1"}, density_dry_kg_m3="2000"),
    mix("pub-fill", {"pub-clay": "1"}, density_dry_kg_m3="1000"),
    # Between two rows.
    row_of_straw_clay("25", "6.7"), row_of_straw_clay("14", "6.7"),
]
# IRC 2018 Appendix R, Table AR103.2.3, p. 949: online.flipbuilder.com/mewf/mima/files/basic-html/page949.html. Density, straw and
# subsoil in lb/ft3, wall at the most in inches, clay of the soil at the least in percent and to one of silt; interpolation
# permitted, extrapolation not.
STRAW_CLAY_TABLE = [
    ("10", "6.7", "3.3", 15, "70", "3.5"), ("12", "6.7", "5.3", 15, "46", "1.7"), ("13", "6.7", "6.3", 15, "40", "1.33"),
    ("15", "6.7", "8.3", 15, "35", "0.95"), ("20", "6.7", "13.3", 12, "30", "0.60"), ("30", "6.7", "23.3", 12, None, None),
    ("40", "6.7", "33.3", 12, None, None), ("50", "6.7", "43.3", 12, None, None),
]
MIXES += [row_of_straw_clay(pcf, straw) for pcf, straw, *_ in STRAW_CLAY_TABLE]
# The same of soil dug on the site.
MIXES += [row_of_straw_clay(pcf, straw) | {"id": f"pub-dug-{pcf}", "ingredients": [{"material": "site-subsoil", "parts": "1"}]}
          for pcf, straw, *_ in STRAW_CLAY_TABLE]


def books() -> Books:
    """All of these, and a site whose soil is tested."""
    place = {"id": "pub-ground", "display_name": "Published ground"}
    return Books(materials=by_id(MATERIALS), mixes=by_id(MIXES), regions={"pub-ground": place | {"currency_code": "EUR"}},
                 sites={"pub-ground": place | {"region": "pub-ground"}})


def job(*walls: dict, **more) -> dict:
    return {"name": "Published", "system": "cob", "mix": "pub-earth", "paring_mm": "0", "wall": list(walls)} | more


def wall(length: Fraction, height: Fraction, thickness: Fraction, **more) -> dict:
    return {"id": "one", "length_m": decimal(length), "height_m": decimal(height), "thickness_mm": decimal(thickness * 1000, 3)} | more
