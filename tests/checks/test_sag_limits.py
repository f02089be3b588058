"""Shelves and rods of a stock: standards as printed, limits that hold, and what the user's settings change."""

from __future__ import annotations

import random

import pytest
from support.cases import one_wall
from support.published import Published

from capacity.checks.beams import LineLoad
from capacity.checks.sag_limits import (
    POLE_DIAMETER_METAL,
    POLE_DIAMETER_WOOD,
    POLE_SPAN,
    STANDARDS,
    contents_sag,
    design_load,
    heaviest_on_rods,
    heaviest_on_shelves,
    longest_rod,
    longest_shelf,
    pole_rule,
    rod_bow,
    rod_holds,
    shelf_holds,
    shelf_weight,
    standard_sag,
)
from capacity.closet.boards import Panel, Rod
from capacity.closet.closet import parse_closet
from capacity.closet.materials import PERFORMANCE_CATEGORIES, PERFORMANCE_SOURCE, materials, names_of
from capacity.errors import InputError
from capacity.layout.corners import ends_of
from capacity.makeover.files_to_problem import size_problem
from capacity.units import MM_PER_INCH, NEWTONS_PER_POUND, Ticks, inches, to_mm
from capacity.wardrobe.inventory import parse_inventory

HEAVY = """what,count,size,width,depth,height
jeans,30,34x32,,,
sweater,12,L,,,
storage bin,4,,,,
shirt,20,L,,,
coat,9,L,,,
long dress,3,M,,,
"""
PILES = parse_inventory(HEAVY, "in").piles


def panel(**changes: object) -> Panel:
    return Panel.model_validate(changes, context={"units": "in"}, strict=False)


def rod(**changes: object) -> Rod:
    return Rod.model_validate(changes, context={"units": "in"}, strict=False)


# ---- published ----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("name", "mpsi", "gpa"),
    [
        # Wood Handbook FPL-GTR-190, Table 12-1: million psi, and GPa in brackets beside it
        ("plywood", "1.01", "6.96"),
        ("red maple", "1.64", "11.31"),
        ("white oak", "1.78", "12.27"),
        ("douglas-fir", "1.95", "13.44"),
        ("longleaf pine", "1.98", "13.65"),
        ("western white pine", "1.46", "10.07"),
        ("osb", "0.64", "4.41"),
        ("particleboard", "0.40", "2.76"),
        ("mdf", "0.52", "3.59"),
        # Table 5-3 and tables that reproduce it
        ("hard maple", "1.83", "12.6"),
        ("black walnut", "1.68", "11.6"),
        ("poplar", "1.58", "10.9"),
        ("cherry", "1.49", "10.3"),
        ("beech", "1.72", "11.9"),
        ("hickory", "2.16", "14.9"),
        ("ponderosa pine", "1.29", "8.9"),
    ],
)
def test_both_printed_values_of_a_modulus_agree(name: str, mpsi: str, gpa: str) -> None:
    assert materials()[name].modulus_mpsi == float(mpsi)
    assert Published(gpa, materials()[name].source).agrees(materials()[name].modulus / 1000)


def test_kitchen_cabinet_rule() -> None:
    """ANSI/KCMA A161.1 clause 5.1: 15 psf is 718 Pa; 1/16 in per ft is span/192; at most 1/4 in, 6.4 mm."""
    standard = STANDARDS["kitchen cabinet"]
    stock = panel(standard="kitchen cabinet")
    assert standard.load_psf == 15
    assert Published("718", standard.source).agrees(design_load(standard, 320_000, 320_000))  # N on 1 m2
    assert standard_sag(stock, inches(12), inches(12))[1] == pytest.approx(MM_PER_INCH / 16)
    assert Published("1.6", standard.source).agrees(standard_sag(stock, inches(12), inches(12))[1])
    assert Published("6.4", standard.source).agrees(standard_sag(stock, inches(80), inches(12))[1] + 1e-9)


def test_laboratory_rule() -> None:
    """SEFA 8: 40 psf, at most 0.25 in, however long."""
    assert standard_sag(panel(standard="laboratory"), inches(80), inches(12))[1] == pytest.approx(0.25 * MM_PER_INCH)


def test_architectural_loads_stop_at_200_lb_a_shelf() -> None:
    """Architectural Woodwork Standards 2009, 1.2.21.2: 40 psf, 50 psf, at most 200 lb per shelf."""
    small = design_load(STANDARDS["architectural"], inches(36), inches(12)) / NEWTONS_PER_POUND
    assert small == pytest.approx(40 * 3)
    assert design_load(STANDARDS["heavy architectural"], inches(36), inches(12)) / NEWTONS_PER_POUND == pytest.approx(
        150
    )
    assert design_load(STANDARDS["architectural"], inches(96), inches(24)) / NEWTONS_PER_POUND == pytest.approx(200)


@pytest.mark.parametrize(("length", "printed"), [(40, "0.278"), (36, "0.250"), (61, "0.424")])
def test_architectural_limit_is_a_twelfth_of_an_inch_per_foot(length: int, printed: str) -> None:
    """Architectural Woodwork Standards 2009, 1.2.21.3.1.1: L/144, the figures by hand."""
    for name in ("architectural", "heavy architectural"):
        limit = standard_sag(panel(standard=name), inches(length), inches(12))[1]
        assert Published(printed, "L/144 by hand").agrees(limit / MM_PER_INCH)


@pytest.mark.parametrize(("material", "thickness", "printed"), [("softwood plywood", "3/4", 40), ("red oak", "1", 66)])
def test_our_shelf_with_shear_is_at_most_an_inch_shorter_than_the_printed_one(
    material: str, thickness: str, printed: int
) -> None:
    """The woodwork table leaves shear out; with it the same shelf sags a little more."""
    stock = panel(material=material, thickness=thickness)
    sag, limit = standard_sag(stock, inches(printed), inches(8))
    assert 0.95 * limit < sag < 1.05 * limit
    sag, limit = standard_sag(stock, inches(printed - 1), inches(8))
    assert sag < limit


def test_a_rod_may_bow_by_a_144th_of_its_span() -> None:
    """Our proposal, stated as such."""
    assert rod_bow(rod(), inches(36), [])[1] == pytest.approx(MM_PER_INCH / 4)


def test_clothes_pole_rule() -> None:
    """Architectural Woodwork Standards 2009, 4.4.16: wood 1 1/4 in (31.8 mm), metal 1 1/16 in (27), 48 in (1219)."""
    source = "Architectural Woodwork Standards 1st ed. 2009, 4.4.16"
    assert Published("31.8", source).agrees(to_mm(POLE_DIAMETER_WOOD))
    assert Published("27", source).agrees(to_mm(POLE_DIAMETER_METAL))
    assert Published("1219", source).agrees(to_mm(POLE_SPAN))
    assert pole_rule(rod(), inches(48))
    assert not pole_rule(rod(), inches(48) + 1)
    assert pole_rule(rod(support_every=48), inches(96))
    assert not pole_rule(rod(diameter="1 15/64"), inches(36))
    assert pole_rule(rod(diameter="1 1/16", material="steel"), inches(36))


@pytest.mark.parametrize(
    ("category", "least", "most"),
    [("23/32", "17.46", "19.05"), ("3/4", "18.26", "19.84")],
)
def test_thickness_allowed_in_a_performance_category(category: str, least: str, most: str) -> None:
    """PS 1 prints 0.688-0.750 in as 17.46-19.05 mm: the exact 11/16 in, so within 1/64 mm of the decimal."""
    low, high = PERFORMANCE_CATEGORIES[category]
    assert low * MM_PER_INCH == pytest.approx(float(least), abs=0.02), PERFORMANCE_SOURCE
    assert high * MM_PER_INCH == pytest.approx(float(most), abs=0.02), PERFORMANCE_SOURCE


def test_mdf_shelf_of_the_trade_mistakes() -> None:
    """By hand: 3/4 in MDF, 36 in, 20 psf sags 0.166 in at once, 0.33 in after creep."""
    stock = panel(material="mdf", thickness="3/4")
    weight = shelf_weight(stock, inches(12))
    load = LineLoad(20 * NEWTONS_PER_POUND / 304.8 - weight, to_mm(inches(36)))  # 20 psf on 12 in depth, board included
    sag, limit = contents_sag(stock, inches(36), inches(12), [load])
    assert sag / MM_PER_INCH == pytest.approx(0.33, abs=0.01)
    assert limit / MM_PER_INCH == pytest.approx(3 / 32)


# ---- what the settings change -------------------------------------------------------------------------


def test_each_setting_of_the_stock_changes_the_sag_the_right_way() -> None:
    def sag(**changes: object) -> float:
        return contents_sag(panel(**changes), inches(36), inches(14), heaviest_on_shelves(PILES, 1))[0]

    plain = sag()
    strip = {"material": "hard maple", "thickness": "3/4", "height": "1 1/2"}
    assert sag(grain="across") > 2 * plain
    assert sag(ends="clamped") < plain / 3
    assert sag(strip=strip) < 0.7 * plain
    assert sag(strip=strip) < sag(strip={**strip, "glued": False}) < plain
    assert sag(strip=strip, cleat=strip) < sag(strip=strip)
    assert sag(support_every=18) < plain / 5
    assert sag(measured=["0.70", "0.72"]) > plain
    assert sag(material="mdf") > plain
    assert (
        standard_sag(panel(support_every=18), inches(36), inches(14))[0]
        < standard_sag(panel(), inches(36), inches(14))[0] / 30
    )


def test_a_third_support_counts_as_simple_spans() -> None:
    two = standard_sag(panel(support_every=18), inches(36), inches(14))[0]
    three = standard_sag(panel(support_every=18), inches(54), inches(14))[0]
    assert 2 < three / two < 2.6  # 1/384*5 over 1/185 is 2.4; 200 lb stop nothing here


def test_a_tube_is_stiffer_than_a_dowel_and_a_bracket_helps_most() -> None:
    loads = heaviest_on_rods(PILES)
    dowel, limit = rod_bow(rod(), inches(48), loads)
    assert dowel > limit
    assert not rod_holds(rod(), inches(48), loads)
    assert rod_holds(rod(material="steel", wall="0.049"), inches(48), loads)
    assert rod_holds(rod(support_every=24), inches(48), loads)
    assert rod(material="steel").bore == inches(1.25) - 2 * inches(0.035)
    assert rod(material="steel", wall=5).bore == 0


# ---- limits flow back ---------------------------------------------------------------------------------


def test_the_longest_shelf_holds_whatever_stands_on_it() -> None:
    """500 random contents of the longest shelf pass; one tick more fails for the worst contents."""
    stock, depth, chance = panel(thickness="1/2"), inches(14), random.Random(3)
    length = longest_shelf(stock, [depth], PILES, 2)
    loads = heaviest_on_shelves(PILES, 2)
    assert inches(12) < length < inches(36)
    assert shelf_holds(stock, length, depth, loads)
    assert not shelf_holds(stock, length + 1, depth, loads)
    for _ in range(500):
        some = [LineLoad(load.intensity * chance.random(), load.length * chance.random()) for load in loads]
        assert shelf_holds(stock, length, depth, some)


def test_the_longest_rod_is_a_tick_within_its_limit() -> None:
    loads = heaviest_on_rods(PILES)
    length = longest_rod(rod(), PILES)
    assert rod_holds(rod(), length, loads)
    assert not rod_holds(rod(), length + 1, loads)
    assert longest_rod(rod(material="steel"), PILES) == inches(48)
    assert longest_rod(rod(support_every=24), PILES) == inches(48)


@pytest.mark.parametrize(("stock", "more"), [("thickness = 1", True), ('thickness = "1/2"', False)])
def test_limits_enter_the_design_unless_the_user_set_them(stock: str, more: bool) -> None:
    closet = one_wall(90, name="a")
    inventory = parse_inventory(HEAVY, "in")
    computed = size_problem(parse_closet(f"{closet}[panel]\n{stock}\n"), inventory).rules
    assert (computed.max_shelf == inches(36)) is more
    assert computed.max_rod < inches(48)
    asked = size_problem(
        parse_closet(f"{closet}[panel]\n{stock}\n[wishes]\nmax_shelf = 36\nmax_rod = 48\n"), inventory
    ).rules
    assert (asked.max_shelf, asked.max_rod) == (inches(36), inches(48))


def test_stock_that_holds_nothing_is_designed_at_the_narrowest_bay() -> None:
    closet = one_wall(90, name="a") + "[panel]\nthickness = '1/16'\n"
    assert size_problem(parse_closet(closet), parse_inventory(HEAVY, "in")).rules.max_shelf == inches(12)


# ---- the tables of the file ---------------------------------------------------------------------------

CLOSET = one_wall(90, name="a")


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("[panel]\nmaterial = 'cheese'", "not a material that is known here; known: plywood"),
        ("[panel]\ncategory = '7/8'", "not a performance category"),
        ("[panel]\nstandard = 'mine'", "[panel] standard"),
        ("[rod]\nmaterial = 'mdf'", "known: hard maple"),
        ("[panel.strip]\nthickness = 1", "is missing"),
        ("[door]\nkind = 'hinged'\nwidth = 30\nheight = 80\nleft = 3", "write all three or none"),
        ("[door]\nkind = 'hinged'\nwidth = 30\nheight = 80\nfaces = 'b'\nleft = 3\ndistance = 30", "is not a wall"),
        ("[[way]]\nkind = 'hall'\nwidth = 36", "write ceiling"),
        ("[[way]]\nkind = 'hall'\nwidth = 36\nceiling = 90\nheight = 80", "take out height"),
        ("[[person]]\nname = 'A'", "write height"),
        ("[[person]]\nname = 'A'\nheight = 60\n[[person]]\nname = 'a'\nheight = 60", "is there twice"),
        ("[[lamp]]\nkind = 'torch'\nwall = 'a'\nleft = 3\nout = 3", "not a kind of lamp"),
        ("[[lamp]]\nkind = 'pendant'\nwall = 'z'\nleft = 3\nout = 3", "is not a wall"),
        ("[[lamp]]\nkind = 'pendant'\nwall = 'a'\nleft = 3\nout = 3\nbottom = 99", "above the ceiling"),
        ("[light]\nx = 1", "is not honoured by this version"),
        ("[baseboard]\nthickness = 40\nheight = 3\nkeep = true", "narrower than the smallest bay"),
    ],
)
def test_a_fault_in_a_table_is_one_line(text: str, said: str) -> None:
    with pytest.raises(InputError) as caught:
        parse_closet(f"{CLOSET}{text}\n")
    assert said in str(caught.value)
    assert len(caught.value.faults) == 1, str(caught.value)


def test_the_straight_width_loses_lean_square_play_and_a_kept_baseboard() -> None:
    walls = CLOSET.replace("depth = 15", "depth = 15\nlean = '1/4'\nout_of_square = '1/8'")
    kept = parse_closet(walls + "[baseboard]\nthickness = '1/2'\nheight = 3\nkeep = true\n")
    removed = parse_closet(walls + "[baseboard]\nthickness = '1/2'\nheight = 3\nkeep = false\n")
    assert removed.built_width(removed.wall[0]) == Ticks(inches(89.375))
    assert kept.built_width(kept.wall[0]) == Ticks(inches(88.375))
    facts = size_problem(kept, parse_inventory(HEAVY, "in"))
    assert ends_of(facts, 0, ()) == (inches(0.5), inches(88.875))


def test_names_of_materials_are_sorted_by_family() -> None:
    assert {"plywood", "mdf"} <= set(names_of("board"))
    assert names_of("metal") == ("steel", "aluminium")
