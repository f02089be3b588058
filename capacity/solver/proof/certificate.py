"""The proof that a plan carries: the facts in whole ticks, and prices for each choice of corners.

In the field's terms it is a dual solution: for any prices s >= 0 of one piece of each pile the Lagrangian function L(s)
is at least the value of every layout (weak duality), so that prices alone are a certificate, whoever found them. Where
two walls share a corner, each choice of its owner has prices of its own, and the largest L(s) is the bound.

    facts     rules, walls, things and top in ticks, as `Problem` has them
    step      unit of bay widths in which L(s) is worked out [ticks]
    choices   owners: for each corner whether the wall that ends there owns it; prices: [row, millionths of a point of
              value]; panel: price of a square inch of panel where a budget limits it [millionths]

`prove` recomputes L(s) from these, with no other code of the project.
"""

from __future__ import annotations

import json
from collections.abc import Iterable
from typing import Any

from capacity.layout.corners import corner_choices
from capacity.layout.problem import Problem, Thing
from capacity.layout.towers import groups_of
from capacity.solver.relaxation.value_bound import FINE, MILLION, CornerBound

Json = dict[str, Any]


def certificate(problem: Problem, parts: Problem, choices: Iterable[CornerBound], able: Iterable[bool]) -> Json:
    """The proof as JSON.

    Parameters
    ----------
    problem, parts
        The facts, and the same with the walls in parts, to which the prices belong.
    choices
        What was proven for each choice of corners; none where everything that can be stored at all is stored.
    able
        Of each thing, whether one piece of it can be stored at all.
    """
    groups, fitting = groups_of(parts), list(zip(problem.things, able, strict=True))
    # what fits nowhere has a price that takes its value away
    bare = [[thing.row, 0 if fits else thing.value * MILLION] for thing, fits in fitting]
    everything = sum(thing.value * thing.count for thing, fits in fitting if fits)
    told = dict.fromkeys(corner_choices(parts), (bare, 0))
    for choice in choices:
        if choice.bound < everything:
            prices = [
                [problem.things[index].row, round(choice.prices[number] * MILLION)]
                for number, group in enumerate(groups)
                for index in group.members
            ]
            told[choice.owners] = (prices, round(choice.prices[-1] * MILLION) if problem.most_panel else 0)
    choices_told = [{"owners": key, "prices": prices, "panel": panel} for key, (prices, panel) in told.items()]
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
