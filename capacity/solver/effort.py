"""How much work a search may do: counted, so that it repeats, with a wall clock only where one is asked for.

Whatever takes time counts its work (`spend`), and a goal ends when its share of it is used up (`share`). The unit is
about a second of one core of 2026; what it is exactly matters only in that all pieces count alike.
"""

from __future__ import annotations

import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from ortools.sat.python import cp_model

    from capacity.layout.layout import Layout


FIRST_ANSWER = 3.0
"""Work that the search for the first goal, the stored value, may do at the usual effort; shares are shares of it."""

LEAST_ANSWER = 1.5
"""Work that counts as that of the first goal where it took less: shares of later goals are shares of what it took."""

EFFORTS = {"quick": 0.3, "usual": 1.0, "thorough": 5.0}
"""How much work a search does, in words: factors on the usual amounts, so that each repeats to the byte."""

EXACT = 1.8
"""Work that a unit of CP-SAT's deterministic time counts for."""


@dataclass(frozen=True, slots=True)
class Progress:
    """Where a search stands: what it does, the value stored so far and the most that could be stored."""

    doing: str
    stored: int
    bound: int
    all: int
    seconds: float


class Effort:
    """A budget of deterministic work, a wall-clock limit if wished, and a way to ask for an early end.

    Parameters
    ----------
    seconds
        Wall-clock limit [s]; None for none. Only a run that does not reach it repeats to the byte.
    seed
        Seed of everything random.
    factor
        Multiplies every amount of work that a search asks for; 1.0 is the usual effort.
    on_progress
        Called from the searching thread whenever something better is known.
    """

    def __init__(
        self,
        seconds: float | None = None,
        seed: int = 0,
        factor: float = 1.0,
        on_progress: Callable[[Progress], None] | None = None,
    ) -> None:
        self.seed = seed
        self.factor = factor
        self.was_cut_short = False
        self.work = 0.0
        self._most_work = float("inf")
        self._answer = FIRST_ANSWER
        self.best: tuple[Layout, int] | None = None
        self.told: Callable[[int, int], tuple[int, int]] = lambda stored, bound: (stored, bound)
        self.whole: Callable[[Layout], Layout] = lambda layout: layout
        self._started = time.monotonic()
        self._deadline = None if seconds is None else self._started + seconds
        self._stop = threading.Event()
        self._solver: cp_model.CpSolver | None = None
        self._listeners = [on_progress] if on_progress else []
        self._asides: list[Effort] = []

    @property
    def seconds(self) -> float:
        """Wall-clock seconds since this effort began."""
        return time.monotonic() - self._started

    @property
    def seconds_left(self) -> float | None:
        """Wall-clock seconds until the limit, 0 when somebody asked to stop; None where there is no limit."""
        if self._stop.is_set():
            return 0.0
        return None if self._deadline is None else max(0.0, self._deadline - time.monotonic())

    @property
    def is_over(self) -> bool:
        """Whether the share of work is used up, the wall clock has run out or somebody asked to stop.

        The latter two are remembered as cut short.
        """
        return self.is_stopping or self.work >= self._most_work

    @property
    def work_left(self) -> float:
        """Work until the share is used up; infinite where there is none."""
        return self._most_work - self.work

    @property
    def is_stopping(self) -> bool:
        """Whether the wall clock has run out or somebody asked to stop, whatever share of work is left."""
        if self.seconds_left == 0.0:
            self.was_cut_short = True
            return True
        return False

    @property
    def was_asked_to_stop(self) -> bool:
        """Whether somebody has asked for an early end."""
        return self._stop.is_set()

    def stop(self) -> None:
        """Ask for an early end, from another thread; what has been found is kept."""
        self._stop.set()
        for aside in self._asides:
            aside.stop()
        solver = self._solver
        if solver is not None:
            solver.stop_search()

    def aside(self) -> Effort:
        """An effort for work on another thread: the same seed, clock and stop, no reports; it repeats just as well."""
        other = Effort(None, self.seed, self.factor)
        other._started, other._deadline = self._started, self._deadline
        self._asides.append(other)
        if self._stop.is_set():
            other.stop()
        return other

    def spend(self, work: float) -> None:
        """Count some work that was done; called from the searching thread only."""
        self.work += work

    @contextmanager
    def share(self, share: float) -> Iterator[None]:
        """Let a goal do so much work: inside the block `is_over` comes true when it is done, which cuts nothing short.

        Parameters
        ----------
        share
            Of the work that the search for the first goal may do, or has done (`answered`); of two shares one in the
            other the tighter counts.
        """
        outer = self._most_work
        self._most_work = min(outer, self.work + share * self._answer * self.factor)
        try:
            yield
        finally:
            self._most_work = outer

    def answered(self) -> None:
        """Let no later goal do more than the first one was worth."""
        self._answer = min(FIRST_ANSWER, max(LEAST_ANSWER, self.work / self.factor))

    @contextmanager
    def within(self, share: float) -> Iterator[None]:
        """Leave part of the wall clock for what comes after: inside the block it runs out at this share of it."""
        deadline = self._deadline
        if deadline is not None:
            self._deadline = self._started + share * (deadline - self._started)
        try:
            yield
        finally:
            self._deadline = deadline

    def report(self, doing: str, stored: int, bound: int, everything: int) -> None:
        """Tell whoever watches."""
        value, most = self.told(stored, bound)
        for listener in self._listeners:
            listener(Progress(doing, value, most, self.told(stored, everything)[1], self.seconds))

    def keep(self, layout: Layout, value: int) -> None:
        """Have the `best` layout so far at hand for whoever keeps it, made `whole`, with its value."""
        self.best = self.whole(layout), self.told(value, value)[0]

    def listen(self, listener: Callable[[Progress], None]) -> None:
        """Have somebody else told as well, from the searching thread."""
        self._listeners.append(listener)

    def solve(
        self, model: cp_model.CpModel, work: float, least_seconds: float = 0.2
    ) -> tuple[cp_model.CpSolver, cp_model.CpSolverStatus]:
        """Run CP-SAT with one worker and an amount of deterministic work.

        One worker and deterministic time repeat exactly; several workers do not. After the wall clock has run
        out, `least_seconds` are still given, so that a caller who needs an answer gets a short try.

        Raises
        ------
        AssertionError
            When the model itself is invalid, which is a defect of this program.
        """
        from ortools.sat.python import cp_model  # takes a second: what only checks does without

        solver = cp_model.CpSolver()
        parameters = solver.parameters
        parameters.num_workers = 1
        parameters.random_seed = self.seed % 2**31
        parameters.max_deterministic_time = work * self.factor
        parameters.catch_sigint_signal = False
        if self._deadline is not None or self._stop.is_set():
            left = 0.0 if self._stop.is_set() or self._deadline is None else self._deadline - time.monotonic()
            parameters.max_time_in_seconds = max(least_seconds, left)
        self._solver = solver
        try:
            status = solver.solve(model)
        finally:
            self._solver = None
        self.spend(EXACT * solver.response_proto.deterministic_time)
        if status == cp_model.MODEL_INVALID:
            raise AssertionError(model.validate())
        return solver, status
