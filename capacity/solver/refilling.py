"""What stands now filled as well as possible: no board is moved, and nothing is built."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from dataclasses import replace
from pathlib import Path

from capacity.closet.closet import Closet
from capacity.layout.fit_rules import filling_violations, stored_value
from capacity.layout.layout import Bay, Holding, Layout, site_of
from capacity.layout.needs import needed_width, width_for
from capacity.layout.problem import Problem
from capacity.layout.reach_zones import Zone, zones_or_assumed
from capacity.layout.taking_over import taken_over
from capacity.layout.towers import best_towers, each_alone, room_of, towers_of
from capacity.makeover.files_to_problem import size_problem, standing_layout
from capacity.makeover.plan import LeftOut, PlanValue, plan_walls
from capacity.makeover.refilled import Refilled, last_contents, refill_digest
from capacity.solver.effort import Effort
from capacity.solver.filling.best import refill
from capacity.solver.filling.exact import FILLING_WORK, Filling
from capacity.solver.goals.few_places import in_few_places
from capacity.wardrobe.inventory import Inventory

QUICK = 0.05
"""Share of the usual work with which a sample is filled in about half a second of processor time."""

PATIENCE, SMALL = 2000, 200
"""Steps without better contents after which the quick repacking ends; openings times piles that are filled exactly."""


def refill_standing(
    closet: Closet, inventory: Inventory, effort: Effort, inputs: str = "", planned: Layout | None = None
) -> Refilled:
    """Fill the openings that stand, by the same rules as before and after, and prove how much they could hold.

    At that value each pile lies in few openings, and where it is reached most easily.

    Parameters
    ----------
    closet, inventory
        The household's files as read; `[[built]]` is filled, `[[before]]` where there is none.
    effort
        The budget.
    inputs
        The digest of what it is found for, to be kept with it.
    planned
        What was planned where: what of it still fits in its place is the first answer, and less is never stored.

    Raises
    ------
    AssertionError
        When the checker disagrees with the filling, which is a defect of this program.
    """
    problem = size_problem(closet, inventory).as_given
    standing = standing_layout(closet)
    if planned is not None:
        first = taken_over(problem, planned, standing)[0]
        standing = standing if filling_violations(problem, first) else first
    filled = filled_as_it_stands(problem, standing, effort)
    layout = in_few_places(problem, filled.layout, zones_or_assumed(closet.person), effort)
    return refilled_of(closet, problem, replace(filled, layout=layout), inputs)


def filled_as_it_stands(problem: Problem, standing: Layout, effort: Effort) -> Filling:
    """Openings that stand filled as well as possible; exactly where they and the piles are few."""
    is_small = len(list(standing.openings())) * len(problem.things) <= SMALL
    work = FILLING_WORK if is_small else 0
    return refill(problem, standing, effort, work, round(PATIENCE / max(effort.factor, 0.01)))


def refill_folder(folder: Path, closet: Closet, inventory: Inventory) -> Refilled:
    """Fill what stands in a folder anew, quickly, from where everything lay last or was planned; nothing is written."""
    first = last_contents(folder, closet, size_problem(closet, inventory))
    return refill_standing(closet, inventory, Effort(factor=QUICK), refill_digest(folder, closet), first)


def refilled_of(closet: Closet, problem: Problem, filled: Filling, inputs: str) -> Refilled:
    """The record of a filling of what stands, its bound proven by whoever found it.

    Raises
    ------
    AssertionError
        When the checker disagrees with the filling, which is a defect of this program.
    """
    layout = filled.layout
    broken = filling_violations(problem, layout)
    if broken or stored_value(problem, layout) != filled.value:
        msg = "the checker refuses the filling: " + "; ".join(map(str, broken))
        raise AssertionError(msg)
    stored = layout.stored()
    return Refilled(
        units=closet.units,
        inputs=inputs,
        stands="built" if closet.built else "before",
        walls=plan_walls(layout, closet.units),
        left_out=tuple(_left_out(problem, layout)),
        value=PlanValue(
            stored=problem.told(filled.value)[1],
            all=problem.told(problem.value_of_all)[1],
            bound=problem.told_bound(filled.value, filled.bound)[1],
            status="optimal" if filled.is_proven else "feasible",
        ),
        stored=sum(stored.values()),
        pieces=sum(thing.count for thing in problem.things),
    )


Contents = dict[tuple[int, int, int], tuple[Holding, ...]]
"""What lies in which opening, by wall, bay and opening."""


def _of_one_owner(problem: Problem, kept: Contents, added: Contents) -> Contents:
    """What is added less what would join the things of another owner in its bay."""
    worth: dict[tuple[int, int], dict[str, int]] = {}
    for stays, contents in ((1, kept), (0, added)):
        for (w, b, _), holds in contents.items():
            for item in holds:
                thing = problem.thing(item.row)
                if thing.owner is not None:
                    mine = worth.setdefault((w, b), {})
                    more = item.count * thing.value + stays * problem.value_of_all
                    mine[thing.owner] = mine.get(thing.owner, 0) + more
    owner = {bay: max(sorted(mine), key=lambda name, mine=mine: mine[name]) for bay, mine in worth.items()}  # type: ignore[misc]
    return {
        place: tuple(item for item in holds if problem.thing(item.row).owner in (None, owner.get(place[:2])))
        for place, holds in added.items()
    }


def put_beside(
    problem: Problem, layout: Layout, rows: Collection[int], zones: Mapping[str, Zone], effort: Effort
) -> Layout:
    """Take the piles of some rows out and put them away anew in the room that all others leave, which stay.

    Parameters
    ----------
    problem
        The facts of openings that stand (`Problem.as_given`); the values say what has a place first.
    layout
        The openings with what lies in them.
    rows
        Data rows of the piles that may move.
    zones
        Zones of reach by the owner's name in lower case.
    effort
        The budget.

    Returns
    -------
    The same openings. Where bays belong to owners, what stays says whose a bay is, else what is worth most there.
    """
    places = [(w, b, o) for w, b, o, _, _ in layout.openings()]
    kept = {
        (w, b, o): tuple(item for item in opening.holds if item.row not in rows)
        for w, b, o, _, opening in layout.openings()
    }
    groups = each_alone(problem)
    bays: list[list[Bay]] = [[] for _ in layout.walls]
    for w, b, o, bay, opening in layout.openings():
        left = replace(opening, holds=kept[w, b, o])
        towers = towers_of(problem, groups, site_of(problem, w, bay, o))
        taken = needed_width(problem, towers, left) if left.holds else width_for(problem.rules, opening.kind, 0)
        room = bay.width - taken + width_for(problem.rules, opening.kind, 0)
        bays[w].append(replace(bay, width=max(1, room), openings=(replace(opening, holds=()),)))
    free = replace(
        layout, walls=tuple(replace(wall, bays=tuple(own)) for wall, own in zip(layout.walls, bays, strict=True))
    )
    rest = replace(problem, things=tuple(thing for thing in problem.things if thing.row in rows), fixed=())
    filled = in_few_places(rest, refill(rest, free, effort).layout, zones, effort)
    added = {place: opening.holds for place, (*_, opening) in zip(places, filled.openings(), strict=True)}
    joined = layout.holding({place: tuple(sorted((*kept[place], *added[place]))) for place in places})
    if not filling_violations(problem, joined):
        return joined
    # some bay would belong to two
    if not any(kept.values()):
        return in_few_places(rest, refill(rest, layout.emptied(), effort).layout, zones, effort)
    apart = _of_one_owner(problem, kept, added)
    return layout.holding({place: tuple(sorted((*kept[place], *apart[place]))) for place in places})


def _left_out(problem: Problem, layout: Layout) -> Iterator[LeftOut]:
    """What has no place, and whether any opening would take a piece of it."""
    stored, groups, able = layout.stored(), each_alone(problem), set[int]()
    for w, _, o, bay, opening in layout.openings():
        room = room_of(problem.rules, opening.kind, bay.width)
        fitting = best_towers(towers_of(problem, groups, site_of(problem, w, bay, o)), opening.kind, opening.height)
        able |= {tower.group for tower in fitting if tower.width <= room}
    for index, thing in enumerate(problem.things):
        if stored[thing.row] < thing.count:
            yield LeftOut.of(problem, thing.row, thing.count - stored[thing.row], index in able)
