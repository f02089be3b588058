"""The gain that a plan promised and the gain that is, with the openings that make the difference."""

from __future__ import annotations

from collections.abc import Iterator

from capacity.checks.check import up_to_mark
from capacity.closet.closet import Closet
from capacity.drawings.labels import LetteredOpening, lettered
from capacity.layout.layout import Holding, Layout, Opening, site_of
from capacity.layout.needs import needed_height, needed_width
from capacity.layout.problem import Problem
from capacity.layout.towers import each_alone, towers_of
from capacity.makeover.files_to_problem import size_problem
from capacity.makeover.plan import Plan, layout_of, planned_layout, stored_by_row
from capacity.makeover.refilled import Refilled
from capacity.wardrobe.inventory import Inventory


def gain_in_words(plan: Plan, refilled: Refilled, is_stale: bool) -> str:
    """The pieces that were promised and those that have a place in what was built, over what the old closet held."""
    promised = f"{_gain(plan.after.stored - plan.before.stored)} ({plan.after.stored} of {plan.after.pieces} pieces)"
    if is_stale:
        return (
            f"Gain promised, for what was counted then: {promised}. What was built holds {refilled.stored} of the "
            f"{refilled.pieces} pieces counted now."
        )
    now = f"{_gain(refilled.stored - plan.before.stored)} ({refilled.stored} of {refilled.pieces} pieces)"
    return f"Gain promised: {promised}; gain that is: {now}."


def _gain(pieces: int) -> str:
    return f"{pieces} pieces more than the old closet" if pieces >= 0 else f"{-pieces} fewer than the old closet"


def reasons(plan: Plan, refilled: Refilled, closet: Closet, inventory: Inventory) -> Iterator[str]:
    """Each opening that came out too small for what was planned in it, and by how much; then what has lost its place.

    The plan must be for this closet and count. Openings are told apart by their order in a bay, as `adopt` wrote them.
    """
    problem = size_problem(closet, inventory).as_given
    planned, built = planned_layout(plan, problem), layout_of(refilled.walls, refilled.units)
    beside = _built_beside(planned, built)
    for item in lettered(planned):
        now = beside.get((item.wall, item.letter))
        if now is not None:
            yield from _too_small(problem, closet, inventory, item, now)
    wanted, held = stored_by_row(plan.walls), refilled.pieces_of
    lost = [(wanted[pile.row] - held[pile.row], pile.name) for pile in inventory.piles]
    words = ", ".join(f"{missing} x {name}" for missing, name in lost if missing > 0)
    if words:
        yield f"When all is put away as well as it goes, this has lost its place: {words}."


def _too_small(
    problem: Problem, closet: Closet, inventory: Inventory, item: LetteredOpening, now: LetteredOpening
) -> Iterator[str]:
    """What no longer goes into an opening because it is lower, and that it is too full because it is narrower."""
    towers = towers_of(problem, each_alone(problem), site_of(problem, item.wall, now.in_bay, 0))
    place = f"Opening {item.letter} of wall {closet.wall[item.wall].name}"
    lower = item.opening.height - now.opening.height
    high = {holding: needed_height(problem, towers, _alone(item.opening, holding)) for holding in item.opening.holds}
    out = [holding for holding, need in high.items() if need > now.opening.height]
    if lower > 0 and out:
        names = ", ".join(dict.fromkeys(inventory.pile(holding.row).name for holding in out))
        by = closet.show(up_to_mark(max(high[holding] for holding in out) - now.opening.height, closet.units))
        yield f"{place} is {closet.show(lower)} lower than planned, {by} too low for {names}."
    narrower = item.in_bay.width - now.in_bay.width
    if narrower > 0 and needed_width(problem, towers, item.opening) > now.in_bay.width:
        by = closet.show(up_to_mark(needed_width(problem, towers, item.opening) - now.in_bay.width, closet.units))
        yield f"{place} is {closet.show(narrower)} narrower than planned, {by} too narrow for all that was to go in."


def _alone(opening: Opening, holding: Holding) -> Opening:
    return Opening(opening.kind, opening.bottom, opening.height, (holding,))


def _built_beside(planned: Layout, built: Layout) -> dict[tuple[int, str], LetteredOpening]:
    """For each planned opening, by wall and letter, the built one in its place, where it is of the same kind."""
    places = [(w, b, o) for w, b, o, _, _ in built.openings()]
    letters = dict(zip(places, lettered(built), strict=True))
    pairs = zip(((w, b, o) for w, b, o, _, _ in planned.openings()), lettered(planned), strict=True)
    return {
        (item.wall, item.letter): letters[key]
        for key, item in pairs
        if key in letters and letters[key].opening.kind is item.opening.kind
    }
