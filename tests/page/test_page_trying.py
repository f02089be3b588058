"""A change tried at one opening of the layout: told at once, kept as the layout or dropped."""

from __future__ import annotations

import time
import tomllib
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path

import pytest
from support.opened_pages import Open, fitted, said

from capacity.closet.closet import read_closet
from capacity.closet.edits import BayToKeep, wished_bays
from capacity.closet.text_edits import changed_text
from capacity.drawings.labels import LetteredOpening, lettered
from capacity.layout.changes import Action, Change, ChangeError
from capacity.makeover.folder import read_folder
from capacity.makeover.plan import layout_of, read_plan, require_sound
from capacity.makeover.samples import SAMPLES, start_folder
from capacity.page.money import sheets_at_once
from capacity.page.picture import sides_of
from capacity.solver.effort import Effort
from capacity.solver.planning import make_plan
from capacity.solver.trying import can_be_built, tried
from capacity.units import Ticks

SAMPLE_FOLDER = Path(__file__).parents[2] / "inventory_samples"

BINS = """what,count,owner,use,width,depth,height
storage bin,9,Ann,seasonal,17,12,12
storage bin,5,Bo,daily,17,12,12
"""


def test_a_shelf_taken_out_is_told_at_once_and_kept_or_dropped(opened: Open, small: Path) -> None:
    (small / "inventory.csv").write_text(BINS)
    plan = fitted(small)
    page = opened(small, "fit")
    page.session_state.try_a_change = True
    page.run()
    assert "Choose an opening in the picture" in said(page)
    name = next(option for option in page.selectbox(key="fit_opening").options if "storage bin" in option)
    page.selectbox(key="fit_opening").select(name).run()
    page.radio(key="try_action").set_value("make it a rod").run()
    assert not page.exception
    assert "pieces have a place then" in said(page)
    assert "No place any more" in said(page)  # whatever stood there does not hang
    assert "It takes as many sheets of board as now." in said(page)
    before = (small / "plan.json").read_bytes()
    page.button(key="try_drop").click().run()
    assert (small / "plan.json").read_bytes() == before
    page.radio(key="try_action").set_value("put a shelf into it").run()
    page.text_input(key="try_by_add_shelf").set_value("nonsense").run()
    assert page.error
    page.radio(key="try_action").set_value("make it a rod").run()
    page.button(key="try_keep").click().run()
    assert not page.exception
    kept = read_plan(small / "plan.json")
    assert kept.after.stored < plan.after.stored
    assert kept.walls != plan.walls
    require_sound(*read_folder(small), kept)
    assert kept.value.bound == plan.value.bound
    assert not [goal for goal in kept.goals if goal.bound_of == "these openings and pieces"]
    assert f"{kept.after.stored} of {kept.after.pieces} pieces have a place" in said(page)
    page.button(key="undo_the_layout").click().run()
    assert (small / "plan.json").read_bytes() == before


def _openings_that_move_by_less(place: Path) -> Iterator[tuple[Path, LetteredOpening]]:
    """Openings on the first wall of a sample whose upper shelf cannot go up by 2 in, but by less, or down."""
    for sample in SAMPLES:
        folder = place / sample
        start_folder(folder, sample)
        plan = fitted(folder)
        sides = sides_of(*read_folder(folder), plan)
        for item in (item for item in lettered(sides.after.layout) if item.wall == 0):
            number = item.in_bay.openings.index(item.opening)
            changes = [Change(0, item.bay, number, Action.MOVE_SHELF, by * 8128) for by in (2, 1, -1, -2)]
            first, *others = (can_be_built(sides.problem, sides.after.layout, change) for change in changes)
            if not first and any(others):
                yield folder, item


def test_the_length_that_is_offered_first_can_be_built(opened: Open, tmp_path: Path) -> None:
    """Found so: two inches up were offered also where the opening above is lower, and the answer was a red box."""
    folder, item = next(_openings_that_move_by_less(tmp_path))
    page = opened(folder, "fit")
    page.session_state.try_a_change = True
    name = next(each for each in page.selectbox(key="fit_opening").options if each.startswith(f"{item.letter}:"))
    page.selectbox(key="fit_opening").select(name).run()
    page.radio(key="try_action").set_value("move the shelf over it").run()
    assert not page.error
    assert "pieces have a place then" in said(page)


def test_a_change_becomes_a_wish_and_the_next_layout_is_built_around_it(opened: Open, small: Path) -> None:
    (small / "inventory.csv").write_text("what,count,owner\nshirt,9,Ann\nsneakers,4,Bo\n")
    plan = fitted(small)
    page = opened(small, "fit")
    page.session_state.try_a_change = True
    name = next(option for option in page.selectbox(key="fit_opening").options if "shirt" in option)
    page.selectbox(key="fit_opening").select(name).run()
    page.radio(key="try_action").set_value("put a shelf into it").run()
    page.button(key="try_wish").click().run()
    assert not page.exception
    closet = read_closet(small / "closet.toml")
    (wish,) = closet.wishes.bay
    bays = [(bay.left, bay.width) for wall in layout_of(plan.walls, "in").walls for bay in wall.bays]
    assert (wish.left, wish.width) in bays
    assert "since this layout was found" in said(page)
    page.run()
    again = fitted(small)
    assert (wish.left, wish.width) in [
        (bay.left, bay.width) for wall in layout_of(again.walls, "in").walls for bay in wall.bays
    ]


def test_a_change_is_told_within_half_a_second() -> None:
    """Of processor time, with the sheets that it takes, on the largest sample: the first layout of its search."""
    folder = SAMPLE_FOLDER / "family-walk-in"
    closet, inventory = read_folder(folder)
    effort = Effort()
    effort.stop()
    sides = sides_of(closet, inventory, make_plan(closet, inventory, effort, ""))
    layout = sides.after.layout
    taken: list[float] = []
    for item in lettered(layout):
        number = sum(1 for each in item.in_bay.openings if each.bottom < item.opening.bottom)
        begun = time.process_time()
        with suppress(ChangeError):
            found = tried(sides.problem, layout, Change(item.wall, item.bay, number, Action.TAKE_OUT))
            assert sheets_at_once(closet, sides.problem, found) > 0
            taken.append(time.process_time() - begun)
    assert len(taken) > 3
    assert max(taken) < 0.5


@pytest.mark.parametrize(("wall", "left", "kept"), [("a", 8128, 1), ("b", 8128, 2), ("a", 16256, 2)])
def test_a_wish_at_the_same_place_gives_way(wall: str, left: int, kept: int) -> None:
    data = {"wishes": {"bay": [{"wall": "a", "left": 1, "width": 20, "kind": "hang"}]}}
    edits = wished_bays(data, wall, [BayToKeep(Ticks(left), Ticks(30 * 8128), rods=(Ticks(40 * 8128),))], "in")
    text = '[[wishes.bay]]\nwall = "a"\nleft = 1\nwidth = 20\nkind = "hang"\n'
    bays = tomllib.loads(changed_text(text, edits))["wishes"]["bay"]
    assert len(bays) == kept
    assert bays[-1] == {"wall": wall, "left": left // 8128, "width": 30, "rod": [40]}
