"""The proof that a plan carries: the facts in whole ticks, and prices for each choice of corners.

In the field's terms it is a dual solution: for any prices s >= 0 of one piece of each pile the Lagrangian function L(s)
is at least the value of every layout (weak duality), so that prices alone are a certificate, whoever found them. Where
two walls share a corner, each choice of its owner has prices of its own, and the largest L(s) is the bound.

    facts     rules, walls, things and top in ticks, as `Problem` has them
    step      unit of bay widths in which L(s) is worked out [ticks]
    choices   owners: for each corner whether the wall that ends there owns it; and a box

A box is a leaf or has two parts (branching). Of a leaf:

    prices    [row, millionths of a point of value] of a piece; a row that is not there costs nothing
    panel     price of a square inch of panel where a budget limits it [millionths]
    charges   for each limit from the root on, at least 0 [millionths]; those that are not there are 0

Of any other box, which parts the layouts by a number N that each of them has:

    counted   what N counts: ["pieces", [row, ...], 0, ""] pieces stored; ["bay", 0, size, owner] bays that are none
              of those that must be; ["shelf" or "hang" or "drawer", height, size, owner] openings whose contents,
              stacked as high as they may be, need a clear height [ticks], neither prescribed nor over a top panel; of
              bays whose width and one upright are at least so many steps, and of one owner ("": any) where owners are
              apart
    number    n: the first part has the layouts with N <= n, the second those with N >= n + 1
    parts     two boxes

A limit N <= n with charge c >= 0 adds c * n to L(s), and each that is counted costs c; a limit N >= n + 1 takes
c * (n + 1) from it, and each that is counted earns c (dual prices of branching rows). So each leaf bounds the layouts
of its box, whatever its numbers are, and the largest of these bounds holds for all. `prove` recomputes them, with no
other code of the project; the search for boxes is in `branching`.
"""

from __future__ import annotations

import json
from collections.abc import Iterable
from typing import Any

from capacity.layout.corners import corner_choices
from capacity.layout.problem import Problem, Thing
from capacity.layout.towers import groups_of
from capacity.solver.effort import Effort
from capacity.solver.proof.branching import Box, Parted, parted_bound
from capacity.solver.relaxation.value_bound import FINE, MILLION, CornerBound

Json = dict[str, Any]


def certificate(
    problem: Problem, parts: Problem, choices: Iterable[CornerBound], able: Iterable[bool], bound: int, effort: Effort
) -> Json:
    """The proof as JSON.

    Parameters
    ----------
    problem, parts
        The facts, and the same with the walls in parts, to which the prices belong.
    choices
        What was proven for each choice of corners; none where everything that can be stored at all is stored.
    able
        Of each thing, whether one piece of it can be stored at all.
    bound
        What is proven by all means; where prices alone prove less, boxes with prices of their own are looked for.
    effort
        Counts that work, and may end it.
    """
    groups, fitting = groups_of(parts), list(zip(problem.things, able, strict=True))
    # what fits nowhere has a price that takes its value away
    bare = [[thing.row, 0 if fits else thing.value * MILLION] for thing, fits in fitting]
    everything = sum(thing.value * thing.count for thing, fits in fitting if fits)

    def told(box: Box | Parted) -> Json:
        if isinstance(box, Parted):
            counted = box.counted
            if isinstance(counted, int):
                what = ["pieces", [problem.things[index].row for index in groups[counted].members], 0, ""]
            else:
                what = [counted.kind or "bay", counted.height, counted.size, counted.owner]
            return {"counted": what, "number": box.number, "parts": [told(box.fewer), told(box.more)]}
        prices = [
            [problem.things[index].row, round(box.prices[number] * MILLION)]
            for number, group in enumerate(groups)
            for index in group.members
        ]
        panel = round(box.prices[-1] * MILLION) if problem.most_panel else 0
        charges = [round(each * MILLION) for each in box.charges]
        return {"prices": prices, "panel": panel, **({"charges": charges} if charges else {})}

    boxes: dict[tuple[bool, ...], Json] = {owners: {"prices": bare, "panel": 0} for owners in corner_choices(parts)}
    for choice in choices:
        parted = parted_bound(parts, choice, bound, effort) if choice.whole > bound else None
        if parted or choice.bound < everything:
            boxes[choice.owners] = told(parted or Box(choice.prices, ()))
    choices_told = [{"owners": owners, **box} for owners, box in boxes.items()]
    proof: Json = json.loads(json.dumps({"facts": facts(problem), "step": FINE.step, "choices": choices_told}))
    return proof  # with lists for tuples, as it is read back


def facts(problem: Problem) -> Json:
    """A problem as plain JSON, lengths in ticks."""
    rules = problem.rules
    return {
        "top": problem.top,
        "keeps_bays": problem.keeps_bays,
        "most_panel": problem.most_panel,
        "corners": [(corner.ends, corner.starts) for corner in problem.corners],
        "rules": {
            **{name: getattr(rules, name) for name in rules.__slots__},
            "spare": (rules.spare.numerator, rules.spare.denominator),
        },
        "walls": [
            {
                "name": run.name,
                "width": run.width,
                "depth": run.depth,
                "ceiling": (run.ceiling_left, run.ceiling_right),
                "kept": (run.kept_left, run.kept_right),
                "barred": run.barred,
                "blocked": [(box.left, box.right, box.bottom, box.top) for box in run.blocked],
                "fixed": [
                    {
                        "left": bay.left,
                        "width": bay.width,
                        "depth": bay.depth,
                        "prescribed": [(item.kind, item.bottom, item.height) for item in bay.prescribed],
                        "kinds": bay.kinds,
                    }
                    for bay in sorted(problem.fixed, key=lambda bay: bay.left)
                    if bay.run == index
                ],
            }
            for index, run in enumerate(problem.runs)
        ],
        "things": [
            {**_thing(thing), "also": [_thing(way) for way in thing.also]} if thing.also else _thing(thing)
            for thing in problem.things
        ],
    }


def _thing(thing: Thing) -> Json:
    left_out = ("name", "belongs_low", "also", *(() if thing.first else ("first",)))
    return {name: getattr(thing, name) for name in thing.__slots__ if name not in left_out}
