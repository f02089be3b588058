"""The step Live with it: the plan taken over, a lower shelf told at once, a search that marks, counts, what goes."""

from __future__ import annotations

from pathlib import Path

import pytest
from playwright.sync_api import expect
from support.browsing import PATIENCE, WIDE, Windows, is_settled
from support.opened_pages import Open, fitted, said

from capacity.closet.closet import read_closet
from capacity.drawings.carcass_drawing import View
from capacity.drawings.drawing import Rectangle, Style
from capacity.drawings.elevation import Side, elevation
from capacity.drawings.labels import lettered
from capacity.makeover.adoption import adopt_plan
from capacity.makeover.files_to_problem import size_problem
from capacity.makeover.folder import read_folder
from capacity.makeover.plan import planned_layout, read_plan
from capacity.page.living.found import with_frames
from capacity.units import inches
from capacity.upkeep.counts import read_counts
from capacity.wardrobe.inventory import read_inventory


def _height_fields(folder: Path) -> list[tuple[int, int, str]]:
    """Bay, opening and planned height of every opening that holds shoes."""
    plan = read_plan(folder / "plan.json")
    bays = [bay for wall in plan.walls for bay in wall.bays]
    return [
        (b, o, f"{opening.height:g}")
        for b, bay in enumerate(bays)
        for o, opening in enumerate(bay.openings)
        if any(item.row == 1 for item in opening.holds)
    ]


def test_a_lower_shelf_is_told_at_once_with_the_nearest_opening(opened: Open, small: Path) -> None:
    fitted(small)
    page = opened(small, "live")
    page.button(key="living_adopt").click().run()
    assert not page.exception
    closet = read_closet(small / "closet.toml")
    assert closet.built
    assert "Everything fits where it was planned." in said(page)
    (bay, opening, _), *_ = _height_fields(small)
    page.selectbox(key="living_bay").set_value(bay).run()
    field = next(
        item
        for item in page.text_input
        if item.label == "Clear height" and str(item.key).endswith(f"built_{bay}_openings_{opening}_height")
    )
    field.set_value("4 1/2").run()
    assert not page.exception
    assert read_closet(small / "closet.toml").built[bay].openings[opening].height == inches(4.5)
    text = said(page)
    assert "4 x Ann's sneakers US M 9 no longer fit in" in text
    assert "the nearest that takes them is" in text or "no other opening has room" in text


def test_put_away_search_and_counts(opened: Open, small: Path) -> None:
    fitted(small)
    adopt_plan(small, read_plan(small / "plan.json"))
    page = opened(small, "live")
    assert "Put everything away anew, and it can be asked here." in said(page)
    page.button(key="living_refill").click().run()
    assert page.header[0].value == "What was built holds 9 of 9 pieces."
    assert len(read_counts(small)) == 1
    page.text_input(key="living_where").set_value("trainers").run()
    assert not page.exception
    assert "Ann's sneakers US M 9: 4 in " in said(page)
    assert "gain that is: " in said(page)


def test_what_goes_leaves_the_count(opened: Open, small: Path) -> None:
    text = (small / "inventory.csv").read_text()
    (small / "inventory.csv").write_text(text.replace("shirt,5", "shirt,50"))
    fitted(small)
    page = opened(small, "live")
    page.button(key="living_refill").click().run()
    page.session_state["living_gone"] = True
    page.run()
    assert not page.exception
    assert page.button(key="living_take_out").disabled  # nobody has said where it goes
    choices = [item for item in page.selectbox if str(item.key).startswith("living_goes_")]
    left = next(
        int(part) for item in choices if "shirt" in item.label for part in item.label.split() if part.isdecimal()
    )
    next(item for item in choices if "shirt" in item.label).set_value("give").run()
    page.button(key="living_take_out").click().run()
    assert not page.exception
    shirts = next(pile for pile in read_inventory(small / "inventory.csv", "in").piles if pile.kind == "shirt")
    assert shirts.count == 50 - left
    assert (small / "letting-go.csv").exists()


def test_the_frames_are_around_the_openings_that_were_found(small: Path) -> None:
    plan = fitted(small)
    closet, inventory = read_folder(small)
    problem = size_problem(closet, inventory)
    layout = planned_layout(plan, problem)
    view = View(inches(2), "in", names="none")
    drawing = elevation(problem, inventory, Side("After", layout, False), 0, view)
    item = next(one for one in lettered(layout) if one.opening.holds)
    framed = with_frames(drawing, [item], view)
    frames = [shape for shape in framed.shapes[len(drawing.shapes) :] if isinstance(shape, Rectangle)]
    left, bottom = (min(getattr(frame, side) for frame in frames) for side in ("left", "bottom"))
    right, top = (max(getattr(frame.extent, side) for frame in frames) for side in ("right", "top"))
    assert all(frame.style is Style.ROD for frame in frames)
    inside = [piece.extent for piece in drawing.pieces() if piece.opening.split()[-1] == item.letter]
    assert inside
    assert all(left <= one.left and one.right <= right and bottom <= one.bottom and one.top <= top for one in inside)


TOGGLED = """async parts => {
  const heights = [];
  for (const part of parts.flatMap(part => [part, part])) {
    part.querySelector('summary').click();
    const moves = part.getAnimations();
    for (const move of moves) { move.pause(); move.currentTime = 0; }
    await new Promise(done => requestAnimationFrame(() => requestAnimationFrame(done)));
    const high = part.getBoundingClientRect().height;
    for (const move of moves) move.finish();
    await new Promise(done => requestAnimationFrame(() => requestAnimationFrame(done)));
    heights.push([high, part.getBoundingClientRect().height]);
  }
  return heights;
}"""
"""Opens and closes folded parts: how high each is while what moves is at its beginning, and at its end."""


@pytest.mark.browser
def test_a_year_in_a_real_window(windows: Windows, small: Path) -> None:
    """Taken over, put away, searched, a season and a child: nothing complains, and the count of the day is drawn."""
    (small / "closet.toml").write_text(
        (small / "closet.toml").read_text() + '[[person]]\nname = "Ann"\nage = 7\nchart = "girls"\n'
    )
    (small / "inventory.csv").write_text(
        "what,count,size,owner,season\nkids shoes,4,EU 30,Ann,\nshirt,5,M,,summer\nsweater,3,M,,winter\n"
    )
    fitted(small)
    page = windows.open(small, "live", WIDE)
    page.get_by_role("button", name="It is built: take the plan over").click()
    expect(page.get_by_text("Everything fits where it was planned.")).to_be_visible(timeout=PATIENCE)
    page.get_by_text("What was measured, bay by bay").click()
    openings = read_plan(small / "plan.json").walls[0].bays[0].openings
    height = page.get_by_label("Clear height").nth(next(o for o, opening in enumerate(openings) if opening.holds))
    planned = height.input_value()
    height.fill("2")
    height.press("Enter")
    expect(page.get_by_text("no longer fit in").first).to_be_visible(timeout=PATIENCE)
    height.fill(planned)
    height.press("Enter")
    expect(page.get_by_text("Everything fits where it was planned.")).to_be_visible(timeout=PATIENCE)
    page.get_by_role("button", name="Put everything away anew").click()
    expect(page.get_by_role("img", name="have a place")).to_be_visible(timeout=PATIENCE)
    field = page.get_by_label("What do you look for?")
    field.fill("shoe ann")
    field.press("Enter")
    expect(page.get_by_role("img", name="marked:")).to_be_visible(timeout=PATIENCE)
    page.get_by_text("When a season turns").click()
    expect(page.get_by_text("When winter begins")).to_be_visible(timeout=PATIENCE)
    page.get_by_text("When children grow").click()
    expect(page.get_by_text("Ann, 7:")).to_be_visible(timeout=PATIENCE)
    is_settled(page)
    assert [pile.count for pile in read_inventory(small / "inventory.csv", "in").piles] == [4, 5, 3]
    for high, comes_to in page.locator("details", has_text="The counts as a table").evaluate_all(TOGGLED):
        assert high == comes_to  # nothing slides away under the next press


def test_seasons_and_boards_to_move_are_found_when_they_are_unfolded(opened: Open, small: Path) -> None:
    (small / "inventory.csv").write_text(
        "what,count,width,depth,height,season\nhat,9,12,12,5,summer\nhat,9,12,12,5,winter\n"
    )
    page = opened(small, "live")
    page.button(key="living_refill").click().run()
    page.session_state["living_seasons"] = page.session_state["living_respace"] = True
    page.run()
    page.button(key="living_look").click().run()
    assert not page.exception
    text = said(page)
    assert "When winter begins" in text
    assert "When summer begins" in text
    assert "No board moved to another hole stores more" in text
