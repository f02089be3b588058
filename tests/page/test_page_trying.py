"""A change tried at one opening of the layout: told at once, kept as the layout or dropped."""

from __future__ import annotations

from pathlib import Path

from support.opened_pages import Open, fitted, said

from capacity.makeover.folder import read_folder
from capacity.makeover.plan import read_plan, require_sound

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
