"""One change of a layout as somebody makes it by hand: a shelf or an upright moved, a shelf taken out or added, a rod.

A bay is its openings below the top from the floor up; the highest of them takes what is left. Contents stay where they
are, whether they still fit or not.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import StrEnum
from itertools import pairwise

from capacity.layout.layout import Bay, Layout, Opening
from capacity.layout.problem import OpeningKind, Problem


class Action(StrEnum):
    """What is done, seen from one opening."""

    MOVE_SHELF = "move the shelf over it"
    TAKE_OUT = "take out the shelf over it"
    ADD_SHELF = "put a shelf into it"
    TO_ROD = "make it a rod"
    TO_SHELF = "make it a shelf"
    MOVE_UPRIGHT = "move the upright right of it"


class ChangeError(ValueError):
    """What was asked for cannot be done; the message says why, in a sentence."""


@dataclass(frozen=True, slots=True)
class Change:
    """An action at one opening, by indices from 0; `by` is how far up or to the right, or how high over it [ticks]."""

    wall: int
    bay: int
    opening: int
    action: Action
    by: int = 0


def changed(problem: Problem, layout: Layout, change: Change) -> Layout:
    """The layout with one change.

    Lengths are brought to what the rules ask for: rows of holes or marks. Whether the result keeps to all rules is for
    `fit_rules.violations` to say.

    Raises
    ------
    ChangeError
        When there is no such shelf or upright, or no room for the change.
    """
    bays = list(layout.walls[change.wall].bays)
    if change.action is Action.MOVE_UPRIGHT:
        bays[change.bay : change.bay + 2] = _upright_moved(problem, bays, change)
    else:
        bays[change.bay] = _restacked(problem, bays[change.bay], change)
    walls = list(layout.walls)
    walls[change.wall] = replace(walls[change.wall], bays=tuple(bays))
    return replace(layout, walls=tuple(walls))


def _upright_moved(problem: Problem, bays: list[Bay], change: Change) -> tuple[Bay, Bay]:
    if change.bay + 1 >= len(bays):
        msg = "right of it stands the end of the wall"
        raise ChangeError(msg)
    left, right = bays[change.bay], bays[change.bay + 1]
    if right.left - left.left - left.width != problem.rules.panel:
        msg = "the two bays do not share an upright"
        raise ChangeError(msg)
    step = problem.rules.mark or 1
    by = round(change.by / step) * step
    if not -left.width < by < right.width:
        msg = "there is no room for that"
        raise ChangeError(msg)
    return replace(left, width=left.width + by), replace(right, left=right.left + by, width=right.width - by)


def _restacked(problem: Problem, bay: Bay, change: Change) -> Bay:
    """The bay with other openings."""
    rules, here = problem.rules, change.opening
    below = [item for item in bay.openings if item.bottom < problem.top]
    if any(upper.bottom - lower.bottom - lower.height != rules.panel for lower, upper in pairwise(below)):
        msg = "something is in the way in this bay; change it on the page Closet"
        raise ChangeError(msg)
    if here >= len(below):
        msg = "over it is only the ceiling"
        raise ChangeError(msg)
    if change.action in (Action.MOVE_SHELF, Action.TAKE_OUT) and here == len(below) - 1:
        msg = "over it is the top"
        raise ChangeError(msg)
    rows = rules.pitch or rules.usual_pitch
    is_on_rows = bool(rows) and all((item.height + rules.panel) % rows == 0 for item in below[:-1])
    step = rows if is_on_rows else rules.mark or 1

    def down(height: int) -> int:
        return (height + rules.panel) // rows * rows - rules.panel if is_on_rows else height // step * step

    new = list(below)
    one = below[here]
    if change.action is Action.MOVE_SHELF:
        by, over = round(change.by / step) * step, below[here + 1]
        new[here : here + 2] = replace(one, height=one.height + by), replace(over, height=over.height - by)
    elif change.action is Action.TAKE_OUT:
        over = below[here + 1]
        # a rod stays where it hangs: under what is over it
        kept = over if over.kind is OpeningKind.HANG else one
        new[here : here + 2] = [replace(kept, height=down(one.height + rules.panel + over.height))]
    elif change.action is Action.ADD_SHELF:
        low = down(change.by)
        rest = down(one.height - low - rules.panel)
        new[here : here + 1] = Opening(OpeningKind.SHELF, one.bottom, low), replace(one, height=rest)
    else:
        new[here] = replace(one, kind=OpeningKind.HANG if change.action is Action.TO_ROD else OpeningKind.SHELF)
    bottom = below[0].bottom
    if bottom == 0 and new[0].kind is not OpeningKind.HANG:  # only clothes hang down to the floor
        bottom = rules.base
        new[0] = replace(new[0], height=new[0].height if len(new) > len(below) else down(new[0].height - bottom))
    end = below[-1].bottom + below[-1].height
    return replace(bay, openings=(*_stacked(rules.panel, bottom, end, new), *bay.openings[len(below) :]))


def _stacked(panel: int, bottom: int, end: int, openings: list[Opening]) -> list[Opening]:
    """Openings one over the other, the last up to the end."""
    placed: list[Opening] = []
    for number, opening in enumerate(openings):
        high = end - bottom if number == len(openings) - 1 else opening.height
        if high <= 0:
            msg = "there is no room for that"
            raise ChangeError(msg)
        placed.append(replace(opening, bottom=bottom, height=high))
        bottom += high + panel
    return placed
