"""The parts are the plan: put together again they make its openings to the tick, and every allowance is taken off."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from typing import Any

import pytest
from support.built_samples import THICK, closet, facts, layout, odd_problem
from support.cases import INCH, one_wall

from capacity.closet.boards import StiffeningStrip
from capacity.closet.closet import Closet, parse_closet
from capacity.closet.edging import edge_faults, rod_support_every, shelf_support_every
from capacity.closet.surroundings import Baseboard
from capacity.errors import InputError
from capacity.layout.layout import Bay, Opening
from capacity.layout.problem import OpeningKind
from capacity.workshop.parts.carpentry import Carcass, make_parts
from capacity.workshop.parts.drawer_boxes import clears_wall, drawer_box
from capacity.workshop.parts.parts import FIXED_SHELVES, SHELVES, Part, Role, StockKind
from capacity.workshop.parts.reassembly import PartsError, differences, rebuilt
from capacity.workshop.quantities import halves
from capacity.workshop.story_stick import story_sticks

VARIANTS = {
    "usual": "",
    "dado": '[construction]\njoint = "dado"\ndado = "5/16"\nband = "1/64"\n',
    "cleats and nosing": '[construction]\nsupports = "cleats"\nnosing = { thickness = 0.5, height = 1.5 }\n',
    "back, no band": '[construction]\nback = "1/4"\nband = 0\nshelf_play = "1/16"\n',
}


def _made(more: str) -> tuple[Closet, tuple[Part, ...]]:
    house = closet(more)
    return house, make_parts(house, facts(house), layout(house)).parts


@pytest.mark.parametrize("more", VARIANTS.values(), ids=VARIANTS)
def test_parts_put_together_are_the_plan_to_the_tick(more: str) -> None:
    house, parts = _made(more)
    assert list(differences(facts(house), layout(house), parts, house)) == []
    labels = Counter(part.label for part in parts)
    assert set(labels.values()) == {1}


# ---- the way of building, the floor, the baseboard ---------------------------------------------------------


def _house(**changes: Any) -> tuple[Closet, Carcass]:
    """The parts for a closet changed after its layout was made."""
    house = closet()
    changed = house.model_copy(update=changes)
    return changed, make_parts(changed, facts(house), layout(house))


def _uprights(made: Carcass) -> dict[tuple[int, int], list[Part]]:
    found: dict[tuple[int, int], list[Part]] = {}
    for part in sorted(made.of(Role.UPRIGHT), key=lambda part: part.bottom):
        found.setdefault((part.wall, part.left), []).append(part)
    return found


def test_uprights_in_two_pieces_are_cut_on_a_fixed_shelf_and_add_up() -> None:
    """Worked by hand: the first wall's uprights are 84 in; its first bay has openings of 6, 6 1/2, 12 and 20 in."""
    house, made = _house(assembly="two pieces")
    assert list(differences(facts(house), layout(house), made.parts, house)) == []
    pairs = _uprights(made)
    assert len(pairs) == 5
    for (wall, left), (lower, upper) in pairs.items():
        assert lower.bottom == 0
        assert upper.bottom == lower.length
        assert lower.length + upper.length == 84 * INCH
        beside = [part for part in made.of(*FIXED_SHELVES) if part.wall == wall and part.seen.top == upper.bottom]
        assert any(left in (part.seen.left - THICK, part.seen.right) for part in beside)
    cut = 3 * INCH + round((6 + 6.5 + 12 + 20) * INCH) + 5 * THICK  # 51.1 in; the panel below, 30.4 in, is farther off
    assert pairs[1, 0][0].length == cut
    job = [quantity for quantity in halves(made) if quantity.key == "joining_plates"]
    assert [quantity.number for quantity in job] == [10]


def test_on_a_base_uprights_are_shorter_by_the_toe_kick_and_the_frames_carry_them() -> None:
    house, made = _house(assembly="on a base")
    assert list(differences(facts(house), layout(house), made.parts, house)) == []
    feet = {key: pieces[0].bottom for key, pieces in _uprights(made).items()}
    # the second bay of the first wall has its rod on the floor: its two uprights stand there too
    assert sorted(feet.values()) == [0, 0, 3 * INCH, 3 * INCH, 3 * INCH]
    assert all(pieces[0].length == 84 * INCH - feet[key] for key, pieces in _uprights(made).items())
    frames = made.of(Role.BASE)
    assert len(frames) == 8
    assert not made.of(Role.KICK)
    second = [part for part in frames if part.wall == 2]
    assert {part.length for part in second} == {34 * INCH + 2 * THICK, 16 * INCH - 3 * INCH - 2 * THICK}
    assert {part.width for part in frames} == {3 * INCH}
    assert [(quantity.key, quantity.number) for quantity in halves(made)] == [("frame_screws", 16)]


def test_on_a_falling_floor_kick_boards_are_higher_and_scribed() -> None:
    walls = tuple(wall.model_copy(update={"level": INCH // 2}) for wall in closet().wall)
    house, made = _house(wall=walls)
    assert list(differences(facts(house), layout(house), made.parts, house)) == []
    for board in made.of(Role.KICK):
        assert (board.width, board.bottom) == (7 * INCH // 2, -INCH // 2)
        assert "scribe to the floor" in board.note


def test_a_kept_baseboard_notches_uprights_shortens_low_panels_and_lifts_cleats() -> None:
    board = Baseboard.model_validate({"thickness": "1/2 in", "height": "5 in", "keep": True})
    house, made = _house(baseboard=board)
    plain = {part.label: part for part in _made("")[1]}
    assert list(differences(facts(closet()), layout(closet()), made.parts, house)) == []
    for part in made.parts:
        is_low = part.role in SHELVES and part.bottom < 5 * INCH
        assert plain[part.label].width - part.width == (INCH // 2 if is_low else 0)
    assert all("notch the back" in part.note for part in made.of(Role.UPRIGHT))
    assert sum(part.role is Role.BOTTOM for part in made.parts) == 2
    assert min(part.bottom for part in made.of(Role.CLEAT)) >= 5 * INCH


def test_where_todays_bays_are_kept_no_upright_is_made_and_the_rest_fits_between() -> None:
    """The same bays as before, now standing: all but uprights, scribes and what they carry is as it was."""
    house, _ = _house(wishes=closet().wishes.model_copy(update={"keep_bays": True}))
    made = make_parts(house, replace(facts(closet()), keeps_bays=True), layout(closet()))
    assert made.of(Role.UPRIGHT, Role.SCRIBE, Role.FILLER) == ()
    assert list(differences(facts(closet()), layout(closet()), made.parts, house)) == []
    assert sum("uprights stay" in remark for remark in made.remarks) == 2
    assert [stick.upright for stick in story_sticks(made.parts, 1)] == ["bay 1", "bay 2"]
    spoiled = [replace(part, left=part.left + 1) if part.role is Role.TOP else part for part in made.parts]
    assert list(differences(facts(closet()), layout(closet()), spoiled, house)) != []


def test_a_strip_that_the_checks_count_with_is_built_and_taken_off_the_shelves() -> None:
    """`[panel.strip]` and `[construction] nosing` are one thing; supports of either table are bought."""
    nosing = "[construction]\nnosing = { thickness = 0.5, height = 1.5 }\n"
    house = closet()
    strip = StiffeningStrip.model_validate({"thickness": "1/2 in", "height": "1 1/2 in"})
    stiff = house.model_copy(update={"panel": house.panel.model_copy(update={"strip": strip})})
    parts = make_parts(stiff, facts(house), layout(house)).parts
    assert {part.label: part.width for part in parts} == {part.label: part.width for part in _made(nosing)[1]}
    assert any(part.role is Role.NOSING for part in parts)
    assert list(edge_faults(stiff)) == []
    both = closet("[construction]\nnosing = { thickness = 0.75, height = 1.5 }\n")
    (fault,) = edge_faults(both.model_copy(update={"panel": stiff.panel}))
    assert "other sizes" in str(fault)
    low = stiff.panel.model_copy(update={"strip": strip.model_copy(update={"height": INCH // 2})})
    (fault,) = edge_faults(house.model_copy(update={"panel": low}))
    assert "its edge would show" in str(fault)


def test_a_strip_under_the_back_edge_is_cut_for_every_shelf_that_no_wall_cleat_holds() -> None:
    house = closet()
    strip = StiffeningStrip.model_validate({"thickness": "3/4 in", "height": "1 in", "material": "red oak"})
    stiff = house.model_copy(update={"panel": house.panel.model_copy(update={"cleat": strip})})
    made = make_parts(stiff, facts(house), layout(house))
    assert list(differences(facts(house), layout(house), made.parts, stiff)) == []
    held = {(part.wall, part.bay, part.seen.top) for part in made.of(Role.CLEAT)}
    wanted = {
        (shelf.wall, shelf.bay, shelf.bottom): shelf.length
        for shelf in made.of(*SHELVES)
        if (shelf.wall, shelf.bay, shelf.bottom) not in held
    }
    strips = made.of(Role.SHELF_CLEAT)
    assert wanted == {(part.wall, part.bay, part.seen.top): part.length for part in strips}
    assert {(part.width, part.thickness) for part in strips} == {(INCH, 3 * INCH // 4)}


def test_supports_of_either_table_are_built_the_closer_ones_where_both_speak() -> None:
    house = closet("[construction]\nshelf_support_every = 20\n")
    assert (shelf_support_every(house), rod_support_every(house)) == (20 * INCH, None)
    nearer = house.model_copy(update={"panel": house.panel.model_copy(update={"support_every": 15 * INCH})})
    assert shelf_support_every(nearer) == 15 * INCH
    hung = house.model_copy(update={"rod": house.rod.model_copy(update={"support_every": 30 * INCH})})
    assert rod_support_every(hung) == 30 * INCH


def test_board_that_measures_otherwise_is_remarked() -> None:
    house = closet()
    odd = house.model_copy(update={"panel": house.panel.model_copy(update={"measured": (THICK, THICK + 127)})})
    assert "The board measures" in make_parts(odd, facts(house), layout(house)).remarks[0]


def test_bays_apart_under_a_slope_and_beside_a_window_are_rebuilt_too() -> None:
    odd, made = odd_problem()
    text = one_wall(100, 14, name="odd") + "ceiling = [96, 70]\n"
    house = parse_closet(text + "[panel]\nthickness = 0.75\n")
    parts = make_parts(house, odd, made).parts
    assert list(differences(odd, made, parts, house)) == []
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
        found = list(differences(facts(house), layout(house), spoiled, house))
    except PartsError:
        return
    assert found


def test_a_part_left_out_is_found() -> None:
    house, parts = _made("")
    for role in (Role.FIXED, Role.LOOSE, Role.ROD, Role.FRONT, Role.UPRIGHT):
        index = next(n for n, part in enumerate(parts) if part.role is role)
        rest = parts[:index] + parts[index + 1 :]
        try:
            found = list(differences(facts(house), layout(house), rest, house))
        except (PartsError, IndexError):
            continue
        assert found, role


def test_every_allowance_is_taken_off_the_measured_sizes() -> None:
    """Worked by hand: bays 30 in + 17 ticks and 24 in wide, 16 in deep, panels 23/32, band 1/64 in (127 ticks)."""
    house, parts = _made('[construction]\nband = "1/64"\n')
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
    assert made.height == 21 * INCH // 4  # the drawer rule: 1 1/4 in lower


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


@pytest.mark.parametrize(("depth", "behind"), [(15, False), (16, True)])
def test_no_cleat_stands_where_a_drawer_box_ends(depth: int, behind: bool) -> None:
    """By hand at 15 in: front 23/32 + slide 14 = 14 23/32, and a cleat of 23/32 behind begins at 14 9/32."""
    house = closet()
    deep = depth * INCH
    made = layout(house)
    bay = made.walls[0].bays[0]
    drawers = [item for item in bay.openings if item.kind is OpeningKind.DRAWER]
    high = replace(drawers[0], height=drawers[0].height + drawers[1].height + THICK)
    empty = tuple(replace(opening, holds=()) for opening in (high, *bay.openings[2:]))
    shallow = replace(bay, depth=deep, openings=empty)
    assert clears_wall(shallow, THICK) is behind
    problem = facts(house)
    walls = (replace(made.walls[0], bays=(shallow, *made.walls[0].bays[1:])), *made.walls[1:])
    carcass = make_parts(house, problem, replace(made, walls=walls))
    low, top = high.bottom, high.bottom + high.height
    cleats = [part for part in carcass.of(Role.CLEAT) if (part.wall, part.bay) == (1, 1)]
    assert bool([part for part in cleats if low <= part.bottom < top]) is behind


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
    assert {part.thickness for part in parts if part.material is StockKind.NOSING} == {INCH // 2}


def test_parts_that_contradict_each_other_are_refused() -> None:
    house, parts = _made("")
    index = next(n for n, part in enumerate(parts) if part.role is Role.KICK)
    spoiled = [*parts[:index], replace(parts[index], length=parts[index].length - 1), *parts[index + 1 :]]
    with pytest.raises(PartsError, match="its parts make it"):
        rebuilt(spoiled, house)


@pytest.mark.parametrize(
    ("more", "said"),
    [
        ('[[sheet]]\nfor = "panel"\nsize = [48, 96]\nthickness = "1/2"\n', "differs from that of the panel"),
        ("[construction]\nkerf = 0\n", "expected a length above 0"),
        ('[construction]\ndrawer_side = "5/8"\n', "thicker than"),
        ('gap = "1/4"\n[construction]\nsupports = "cleats"\n', "cleats need"),
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
