"""The parts are the plan: put together again they make its openings to the tick, and every allowance is taken off."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace

import pytest
from built_samples import THICK, closet, facts, layout, odd_problem
from cases import INCH

from capacity.carpentry import make_parts
from capacity.closet import Closet, parse_closet
from capacity.drawer_boxes import drawer_box
from capacity.errors import InputError
from capacity.layout import Bay, Opening
from capacity.parts import SHELVES, Material, Part, Role
from capacity.problem import OpeningKind
from capacity.rebuilding import PartsError, differences, rebuilt

VARIANTS = {
    "usual": "",
    "dado": '[construction]\njoint = "dado"\ndado = "5/16"\n',
    "cleats and nosing": '[construction]\nsupports = "cleats"\nnosing = { thickness = 0.5, height = 1.5 }\n',
    "back, no band": '[construction]\nback = "1/4"\nband = 0\nshelf_play = "1/16"\n',
}


def _made(more: str) -> tuple[Closet, tuple[Part, ...]]:
    house = closet(more)
    return house, make_parts(house, facts(house), layout(house)).parts


@pytest.mark.parametrize("more", VARIANTS.values(), ids=VARIANTS)
def test_parts_put_together_are_the_plan_to_the_tick(more: str) -> None:
    house, parts = _made(more)
    assert list(differences(facts(house), layout(house), parts, house.construction)) == []
    labels = Counter(part.label for part in parts)
    assert set(labels.values()) == {1}


def test_bays_apart_under_a_slope_and_beside_a_window_are_rebuilt_too() -> None:
    odd, made = odd_problem()
    text = 'ceiling = 96\ntop = 84\n[[wall]]\nname = "odd"\nwidth = 100\ndepth = 14\nceiling = [96, 70]\n'
    house = parse_closet(text + "[panel]\nthickness = 0.75\n")
    parts = make_parts(house, odd, made).parts
    assert list(differences(odd, made, parts, house.construction)) == []
    heights = {part.left: part.length for part in parts if part.role is Role.UPRIGHT}
    assert len(heights) == 4
    assert len(set(heights.values())) >= 2
    assert all(high <= odd.runs[0].ceiling_over(left, left + odd.rules.panel) for left, high in heights.items())


@pytest.mark.parametrize("field", ["length", "width", "thickness", "bottom", "left"])
def test_one_tick_more_on_a_part_is_found(field: str) -> None:
    house, parts = _made("")
    roles = {"length": Role.TOP, "width": Role.FIXED, "thickness": Role.TOP, "bottom": Role.FIXED, "left": Role.UPRIGHT}
    index = next(n for n, part in enumerate(parts) if part.role is roles[field])
    spoiled = list(parts)
    spoiled[index] = replace(spoiled[index], **{field: getattr(spoiled[index], field) + 1})
    try:
        found = list(differences(facts(house), layout(house), spoiled, house.construction))
    except PartsError:
        return
    assert found


def test_a_part_left_out_is_found() -> None:
    house, parts = _made("")
    for role in (Role.FIXED, Role.LOOSE, Role.ROD, Role.FRONT, Role.UPRIGHT):
        index = next(n for n, part in enumerate(parts) if part.role is role)
        rest = parts[:index] + parts[index + 1 :]
        try:
            found = list(differences(facts(house), layout(house), rest, house.construction))
        except (PartsError, IndexError):
            continue
        assert found, role


def test_every_allowance_is_taken_off_the_measured_sizes() -> None:
    """Worked by hand: bays 30 in + 17 ticks and 24 in wide, 16 in deep, panels 23/32, band 1/64 in (127 ticks)."""
    house, parts = _made("")
    own = [part for part in parts if part.wall == 1]
    by_role = {role: [part for part in own if part.role is role] for role in Role}
    assert {part.length for part in by_role[Role.UPRIGHT]} == {84 * INCH}
    assert {part.width for part in by_role[Role.UPRIGHT]} == {16 * INCH - 127}
    assert {part.length for part in by_role[Role.BOTTOM]} == {30 * INCH + 17}
    assert {part.length for part in by_role[Role.LOOSE] if part.bay == 1} == {30 * INCH + 17 - INCH // 8}
    assert [(part.length, part.width) for part in by_role[Role.KICK]] == [(30 * INCH + 17, 3 * INCH)]
    assert [part.length for part in by_role[Role.ROD]] == [24 * INCH - INCH // 8]
    # widest measure 70 less two bays and three panels
    gap = 70 * INCH - (54 * INCH + 17 + 3 * THICK)
    assert gap > 6 * INCH  # beyond a filler: left open, as a remark says
    assert by_role[Role.FILLER] == by_role[Role.SCRIBE] == []
    assert any("stays open" in remark for remark in make_parts(house, facts(house), layout(house)).remarks)
    assert by_role[Role.FRONT][0].length == 30 * INCH + 17 - INCH // 4 - 254
    assert by_role[Role.FRONT][0].width == 6 * INCH - INCH // 4 - 254


def test_drawer_boxes_follow_the_worked_mistakes_of_the_trade() -> None:
    """Opening 16 in: box 15 outside, front and back 14 between 1/2 in sides (common practice, no published source)."""
    bay = Bay(0, 16 * INCH, 16 * INCH, ())
    made = drawer_box(bay, Opening(OpeningKind.DRAWER, 0, 6 * INCH), INCH // 2)
    assert (made.width, made.inside_width) == (15 * INCH, 14 * INCH)
    assert (made.slide, made.inside_depth) == (14 * INCH, 13 * INCH)  # slides of 2 in steps, 1 in before the back
    assert (made.height, made.inside_height) == (21 * INCH // 4, 19 * INCH // 4)  # the drawer rule: 1 1/4 in lower


def test_wall_cleats_miss_what_stands_at_the_back() -> None:
    house = closet()
    parts = make_parts(house, facts(house), layout(house)).parts
    cleats = [part for part in parts if part.role is Role.CLEAT and part.wall == 1 and part.bay == 1]
    assert len(cleats) == 3  # 84 in is above 60 in
    # the suitcase, 16 in deep, stands in the fourth opening: a cleat there lies above its 12 in
    fourth = layout(house).walls[0].bays[0].openings[3]
    for cleat in cleats:
        inside = fourth.bottom < cleat.bottom + cleat.width and cleat.bottom < fourth.bottom + fourth.height
        assert not inside or cleat.bottom >= fourth.bottom + 12 * INCH
        assert cleat.width >= 5 * INCH // 2  # Architectural Woodwork Standards 2009, 4.4.18


def test_a_dado_lengthens_what_is_fixed_and_nothing_else() -> None:
    plain, dado = (
        {(part.label, part.role): part.length for part in _made(VARIANTS[name])[1] if part.role in SHELVES}
        for name in ("usual", "dado")
    )
    for key, length in plain.items():
        more = 0 if key[1] is Role.LOOSE else 2 * 5 * INCH // 16 - INCH // 16
        assert dado[key] - length == more


def test_shelf_supports_stay_in_the_hand_room() -> None:
    house, parts = _made(VARIANTS["cleats and nosing"])
    supports = [part for part in parts if part.role is Role.SUPPORT]
    assert len(supports) == 2 * sum(part.role is Role.LOOSE for part in parts)
    assert all(part.width <= house.wishes.gap for part in supports)
    assert {part.thickness for part in parts if part.material is Material.NOSING} == {INCH // 2}


def test_parts_that_contradict_each_other_are_refused() -> None:
    house, parts = _made("")
    index = next(n for n, part in enumerate(parts) if part.role is Role.KICK)
    spoiled = [*parts[:index], replace(parts[index], length=parts[index].length - 1), *parts[index + 1 :]]
    with pytest.raises(PartsError, match="its parts make it"):
        rebuilt(spoiled, house.construction)


@pytest.mark.parametrize(
    ("more", "said"),
    [
        ('[[sheet]]\nfor = "panel"\nsize = [48, 96]\nthickness = "1/2"\n', "differs from that of the panel"),
        ("[construction]\nkerf = 0\n", "expected a length above 0"),
        ('[construction]\ndrawer_side = "5/8"\n', "thicker than"),
        ('[construction]\nsupports = "cleats"\n[wishes]\ngap = "1/4"\n', "cleats need"),
        ('[construction]\njoint = "dado"\ndado = "1/2"\n', "half of the panel"),
        ('[prices]\nrod = "12,50"\n', "has a comma"),
        ("[prices]\nrodd = 3\n", "not a setting that is known"),
        ("[prices]\ntax = 7\n", "tax"),
        ("[hardware]\npocket_screws = 0\n", "pocket_screws"),
    ],
)  # fmt: skip
def test_stock_that_cannot_be_meant_is_one_line(more: str, said: str) -> None:
    with pytest.raises(InputError) as caught:
        closet(more)
    (fault,) = caught.value.faults
    assert said in str(fault)
