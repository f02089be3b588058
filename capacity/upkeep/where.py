"""Where is it: piles found by what a person calls them, and the openings that hold them."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from difflib import SequenceMatcher
from pathlib import Path

from capacity.closet.closet import Closet
from capacity.drawings.labels import LetteredOpening, lettered
from capacity.errors import Fault, InputError
from capacity.layout.layout import Layout
from capacity.layout.problem import OpeningKind, Problem
from capacity.layout.rod_height import over_rod
from capacity.makeover.files_to_problem import size_problem, standing_layout
from capacity.makeover.folder import fingerprint
from capacity.makeover.plan import FILE_NAME as PLAN_NAME
from capacity.makeover.plan import layout_of, planned_layout, read_plan
from capacity.makeover.refilled import read_refilled
from capacity.units import Ticks
from capacity.wardrobe.inventory import Inventory
from capacity.wardrobe.kinds import find_kind, plain_words
from capacity.wardrobe.piles import Pile

LIKE = 0.8
"""How alike two words must be to be taken for one that was mistyped (chosen by us)."""
OTHER_NAME = 0.95
"""What a word of a kind's other names is worth beside one of the pile itself (chosen by us)."""

NOT_PUT_AWAY = "nothing says where things are for this count and closet; run `capacity refill`"


@dataclass(frozen=True, slots=True)
class Found:
    """A pile, the openings that hold it with the pieces in each, and how many pieces have no place."""

    pile: Pile
    places: tuple[tuple[LetteredOpening, int], ...]
    elsewhere: int


def put_away(folder: Path, closet: Closet, inventory: Inventory) -> Layout:
    """Where everything is: by the last refill of what stands, or else by the plan.

    Raises
    ------
    InputError
        When neither is for the count and the closet as they are.
    """
    refilled = read_refilled(folder, closet)
    if refilled is not None and (closet.built or not (folder / PLAN_NAME).exists()):
        return layout_of(refilled.walls, refilled.units, standing_layout(closet).owners)
    if (folder / PLAN_NAME).exists() and not closet.built:
        plan = read_plan(folder / PLAN_NAME)
        if plan.inputs == fingerprint(folder):
            return planned_layout(plan, size_problem(closet, inventory))
    raise InputError([Fault(folder.name, "", NOT_PUT_AWAY)])


def built_by(folder: Path, problem: Problem) -> Layout | None:
    """The layout of `plan.json`, for whatever count it was found; None where there is none to read."""
    try:
        return planned_layout(read_plan(folder / PLAN_NAME), problem) if (folder / PLAN_NAME).exists() else None
    except InputError:
        return None


def find(words: str, inventory: Inventory, layout: Layout) -> tuple[Found, ...]:
    """The piles that answer to most of the words, and where they are; none where no word is known.

    A word may be the kind or one of its other names, the owner, the size, or of the label. Plurals, the end of a word
    and a wrong letter are forgiven.
    """
    asked = plain_words(words)
    scores = {pile.row: sum(_worth(word, pile) for word in asked) for pile in inventory.piles if pile.count}
    best = max(scores.values(), default=0)
    if best <= 0:
        return ()
    held = lettered(layout)
    found = []
    for pile in inventory.piles:
        if scores.get(pile.row) == best:
            places = tuple((item, number) for item in held if (number := _held(item, pile.row)))
            found.append(Found(pile, places, pile.count - sum(number for _, number in places)))
    return tuple(found)


def _held(item: LetteredOpening, row: int) -> int:
    return sum(holding.count for holding in item.opening.holds if holding.row == row)


def _worth(asked: str, pile: Pile) -> float:
    """What a word says for a pile: that it is called so, or that its kind has such another name."""
    kind = find_kind(pile.kind)
    own = _answers(asked, _words(pile.kind, pile.owner or "", pile.size, pile.label))
    return max(own, OTHER_NAME * _answers(asked, _words(*kind.aliases)) if kind else 0.0)


def _words(*texts: str) -> set[str]:
    return {word for text in texts for word in plain_words(text)}


def _answers(asked: str, names: Iterable[str]) -> float:
    """1 for a word that is there, a little less for one that begins so, less for one that is nearly so."""
    best = 0.0
    for name in names:
        if name == asked:
            return 1.0
        if len(asked) >= 3 and name.startswith(asked):
            best = max(best, 0.9)
        elif len(asked) >= 4 and SequenceMatcher(None, asked, name).ratio() >= LIKE:
            best = max(best, 0.7)
    return best


def found_in_words(found: Iterable[Found], closet: Closet) -> Iterator[str]:
    """One line a pile: how many are in which opening, and how high it is."""
    for one in found:
        places = [f"{number} in {place_in_words(item, closet)}" for item, number in one.places]
        if one.elsewhere:
            places.append(f"{one.elsewhere} {'has' if one.elsewhere == 1 else 'have'} no place here")
        yield f"{one.pile.name}: {'; '.join(places)}."


def place_in_words(item: LetteredOpening, closet: Closet) -> str:
    """The letter and wall of an opening, what it is and how high over the floor."""
    wall = closet.wall[item.wall].name
    return f"{item.letter} of wall {wall} ({OPENINGS[item.opening.kind]} {closet.show(height_of(item, closet))} up)"


OPENINGS = {OpeningKind.SHELF: "shelf", OpeningKind.HANG: "rod", OpeningKind.DRAWER: "drawer"}


def height_of(item: LetteredOpening, closet: Closet) -> int:
    """Height over the floor of a shelf, the middle of a rod or the lower edge of a drawer [ticks]."""
    if item.opening.kind is not OpeningKind.HANG:
        return item.opening.bottom
    return Ticks(item.opening.bottom + item.opening.height - over_rod(closet.wishes.hang_allowance))
