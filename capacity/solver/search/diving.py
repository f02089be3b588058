"""From the relaxation to a design: fix one bay's structure after the other, then fill the openings by patterns.

Only the structure of a bay (width, kinds and heights of its openings) is ever fixed, never its contents; the fixed
openings stay in the relaxation with patterns of contents of their own.
"""

from __future__ import annotations

import random
from collections import defaultdict
from dataclasses import replace

from capacity.solver.effort import Effort
from capacity.solver.filling.patterns import ROOT_STEPS, STEPS
from capacity.solver.relaxation.columns import BayColumn
from capacity.solver.relaxation.master import Master
from capacity.solver.relaxation.structure import Structure, state_of


def dive(master: Master, start: Structure, chance: random.Random | None, effort: Effort) -> Structure:
    """Fill the free stretches with bays, one after the other; the contents stay open throughout.

    The bay that the relaxation uses most is next, or by `chance` one of the four that it uses most.
    """
    problem, step = master.problem, master.grid.step
    structure, steps = start, ROOT_STEPS
    while not effort.is_over:
        master.set_state(state_of(problem, structure, step))
        master.generate(steps)
        options = [item for item in _options(master) if _is_affordable(master, structure, *item[0])]
        if not options:
            return structure
        steps = STEPS
        whole = [(run, bay) for (run, bay), level in options if level > 0.999]
        if whole and problem.runs[whole[0][0]].is_plain:
            structure = _with_bay(structure, *whole[0])
            continue
        pick = 0 if chance is None else chance.randrange(min(4, len(options)))
        structure = _with_bay(structure, *options[pick][0])
    return structure


def _is_affordable(master: Master, structure: Structure, run: int, bay: BayColumn) -> bool:
    """Whether the budget buys one more bay."""
    problem = master.problem
    more = _with_bay(structure, run, bay)
    return not problem.most_panel or state_of(problem, more, master.grid.step).panel <= problem.most_panel


def _options(master: Master) -> list[tuple[tuple[int, BayColumn], float]]:
    """Bays that the relaxation uses, largest level first."""
    levels: dict[tuple[int, BayColumn], float] = defaultdict(float)
    for column, level in zip(master.columns, master.levels(), strict=False):
        if level > 1e-6 and column.opening is None:
            for bay in column.bays:
                levels[(column.run, bay)] += float(level)
    return sorted(levels.items(), key=lambda item: (-round(item[1], 9), item[0][0], repr(item[0][1])))


def _with_bay(structure: Structure, run: int, bay: BayColumn) -> Structure:
    bays = tuple((*row, bay) if index == run else row for index, row in enumerate(structure.bays))
    return replace(structure, bays=bays)
