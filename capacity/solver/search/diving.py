"""From the relaxation to a design: fix one bay's structure after the other, then fill the openings by patterns.

Only the structure of a bay (width, kinds and heights of its openings) is ever fixed, never its contents; the fixed
openings stay in the relaxation with patterns of contents of their own. With look-ahead each of a few promising bays
is tried for some pricing steps and the one that leaves the best relaxation is kept.
"""

from __future__ import annotations

import random
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, replace

from capacity.solver.effort import Effort
from capacity.solver.filling.patterns import ROOT_STEPS, STEPS, TRIAL_STEPS
from capacity.solver.relaxation.bay_pricing import LITTLE
from capacity.solver.relaxation.master import BayColumn, Master
from capacity.solver.relaxation.structure import Structure, state_of


@dataclass(frozen=True, slots=True)
class Dive:
    """How a dive chooses: bays tried at each step (1: the largest level), and chance among the largest levels."""

    look_ahead: int = 1
    chance: random.Random | None = None


def dive(master: Master, start: Structure, how: Dive, effort: Effort) -> Structure:
    """Fill the free stretches with bays, one after the other; the contents stay open throughout."""
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
        if how.look_ahead > 1 and len(options) > 1:
            structure = _best_of(master, structure, [option for option, _ in options[: how.look_ahead]])
            continue
        pick = 0 if how.chance is None else how.chance.randrange(min(4, len(options)))
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


def _best_of(master: Master, structure: Structure, options: Sequence[tuple[int, BayColumn]]) -> Structure:
    best, most = structure, LITTLE
    for run, bay in options:
        tried = _with_bay(structure, run, bay)
        master.set_state(state_of(master.problem, tried, master.grid.step))
        value = master.generate(TRIAL_STEPS, smooth=0.0).value
        if value > most + 1e-9:
            best, most = tried, value
    return best


def _with_bay(structure: Structure, run: int, bay: BayColumn) -> Structure:
    bays = tuple((*row, bay) if index == run else row for index, row in enumerate(structure.bays))
    return replace(structure, bays=bays)


# ---- filling by patterns --------------------------------------------------------------------------------
