"""Counting in a real browser on a phone: ready tiles, a pile opened, and how many taps a mixed closet takes."""

from __future__ import annotations

import time
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect
from support.browsing import PATIENCE, Windows, is_settled, sentence

from capacity.makeover.new_folder import make_empty
from capacity.wardrobe.inventory import read_inventory

pytestmark = pytest.mark.browser

CLOSET = {
    "Ida": {
        "t-shirt": 9, "blouse": 5, "sweater": 4, "jeans": 4, "midi dress": 3, "jacket": 2, "coat": 1, "sneakers": 3,
        "ankle boots": 2, "underwear": 12, "socks": 10, "shorts": 2, "trousers": 3,
    },
    "Tom": {"shirt": 7, "trousers": 4, "jacket": 1, "dress shoes": 2, "sneakers": 2, "sweatshirt": 2, "jeans": 2},
    "shared": {"towel": 4, "storage bin": 2, "suitcase": 1, "blanket": 1},
}  # fmt: skip
"""A mixed closet of 88 things (invented)."""


def test_a_pile_is_opened_and_changed_or_taken_out(windows: Windows, small: Path) -> None:
    page = windows.open(small, "count")
    number = page.get_by_label("Number of sneakers US M 9")
    number.fill("10000")
    number.press("Enter")
    expect(page.get_by_text('Not saved: "10000" is not a whole number')).to_be_visible()
    number.fill("6")  # what was refused is no conflict afterwards
    number.press("Enter")
    expect(page.get_by_text("Not saved")).to_have_count(0)
    expect(page.get_by_text("Changed on disk")).to_have_count(0)
    page.get_by_test_id("stButton").get_by_role("button", name="…").first.click()
    dialog = page.get_by_role("dialog")
    dialog.get_by_label("Size (empty: US M 9)").fill("EU 400")
    dialog.get_by_role("button", name="Save", exact=True).click()
    expect(dialog.get_by_role("alert")).to_contain_text("EU sizes run from 15 to 54")
    expect(dialog.get_by_label("Size (empty: US M 9)")).to_have_value("EU 400")  # open, with what was typed
    dialog.get_by_label("Size (empty: US M 9)").fill("EU 44")
    dialog.get_by_label("Height").fill("5 1/2")
    dialog.get_by_role("button", name="Save", exact=True).click()
    expect(dialog).to_have_count(0)
    assert "sneakers,6,EU 44,Ann,kept" in (small / "inventory.csv").read_text()
    page.get_by_test_id("stButton").get_by_role("button", name="…").first.click()
    page.get_by_role("dialog").get_by_role("button", name="Take this pile out").click()
    expect(page.get_by_role("dialog")).to_have_count(0)
    assert "sneakers" not in (small / "inventory.csv").read_text()


class Fingers:
    """Taps and keystrokes on a page, counted."""

    def __init__(self, page: Page) -> None:
        self.page, self.taps, self.keys = page, 0, 0

    def tap(self, name: str, times: int = 1) -> None:
        """Tap the tile of that name."""
        button = self.page.locator('[data-stale="false"] .more:enabled').filter(
            has=self.page.get_by_text(name, exact=True)
        )
        for _ in range(times):
            button.tap()
            self.taps += 1
        is_settled(self.page)  # as somebody takes up the next pile meanwhile

    def type_number(self, name: str, number: int) -> None:
        """Type a number into the field of a tile."""
        field = self.page.get_by_label(f"Number of {name}", exact=True)
        field.tap()
        field.press_sequentially(str(number))
        field.blur()
        self.taps, self.keys = self.taps + 1, self.keys + len(str(number))
        is_settled(self.page)

    def person(self, name: str) -> None:
        """Choose whose things are counted."""
        self.page.get_by_role("radiogroup", name="Whose things").get_by_text(name, exact=True).tap()
        self.taps += 1
        is_settled(self.page)


def _comes_to(folder: Path, total: int) -> None:
    """Wait until so many pieces stand on the disk; only a tap that is lost fails."""
    for _ in range(PATIENCE // 200):
        if sum(pile.count for pile in read_inventory(folder / "inventory.csv", "in").piles) == total:
            return
        time.sleep(0.05)
    assert sum(pile.count for pile in read_inventory(folder / "inventory.csv", "in").piles) == total


def test_a_mixed_closet_of_88_things_is_counted_with_few_taps(windows: Windows, tmp_path: Path) -> None:
    folder = make_empty(tmp_path, "ours")
    (folder / "closet.toml").write_text(
        '[[person]]\nname = "Ida"\nheight = 64\n[[person]]\nname = "Tom"\nheight = 70\n'
    )
    page = windows.open(folder, "count")
    fingers = Fingers(page)
    assert sum(sum(piles.values()) for piles in CLOSET.values()) == 88
    for owner, piles in CLOSET.items():
        fingers.person(owner)
        for kind, count in piles.items():
            if count > 9:
                fingers.type_number(kind, count)
            else:
                fingers.tap(kind, count)
    _comes_to(folder, 88)
    page.reload()
    expect(sentence(page)).to_contain_text("88 pieces counted")
    counted = read_inventory(folder / "inventory.csv", "in")
    found = {owner: {p.kind: p.count for p in counted.piles if (p.owner or "shared") == owner} for owner in CLOSET}
    assert found == CLOSET
    assert (fingers.taps, fingers.keys) == (71, 4)


PRESS_ON_AFTER_CHOOSING = """() => {
  const tiles = [...document.querySelectorAll("*")].map((part) => part.shadowRoot?.querySelector(".more"));
  const shirt = tiles.find((more) => more?.querySelector(".name").textContent === "shirt");
  [...document.querySelectorAll(".st-key-count_owner input")][1].click();
  shirt.click();
  return [shirt.disabled, shirt.querySelector(".count").textContent];
}"""
"""Chooses the second person and goes on pressing before the page has had time to answer."""


def test_who_is_added_is_counted_at_once(windows: Windows, tmp_path: Path) -> None:
    """Found so: the tiles of somebody just added took no press, as the choice was drawn after them."""
    folder = make_empty(tmp_path, "ours")
    page = windows.open(folder, "count")
    page.get_by_text("Add a person").click()
    page.get_by_role("textbox", name="Name").fill("Ida")
    page.get_by_role("textbox", name="Name").press("Enter")
    expect(page.get_by_role("radio", name="Ida")).to_be_checked()
    page.keyboard.press("Escape")
    Fingers(page).tap("t-shirt", 2)
    _comes_to(folder, 2)


def test_a_press_right_after_another_person_was_chosen_goes_to_nobody(windows: Windows, tmp_path: Path) -> None:
    folder = make_empty(tmp_path, "ours")
    (folder / "closet.toml").write_text('[[person]]\nname = "Ida"\n[[person]]\nname = "Tom"\n')
    page = windows.open(folder, "count")
    fingers = Fingers(page)
    fingers.tap("shirt", 2)
    assert page.evaluate(PRESS_ON_AFTER_CHOOSING) == [True, "2"]
    expect(page.get_by_role("button", name="shirt 2")).to_have_count(0)  # Ida's tiles have gone
    fingers.tap("shirt", 3)
    _comes_to(folder, 5)
    counted = read_inventory(folder / "inventory.csv", "in")
    assert {(pile.owner, pile.kind): pile.count for pile in counted.piles} == {("Ida", "shirt"): 2, ("Tom", "shirt"): 3}
