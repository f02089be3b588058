"""The budget of a search: an early end keeps what was found, the clock is remembered, a defect is loud."""

from __future__ import annotations

import random
import threading

import pytest
from ortools.sat.python import cp_model

from capacity.solver.effort import FIRST_ANSWER, LEAST_ANSWER, Effort, Progress


def _hard() -> cp_model.CpModel:
    """A market split (Cornuejols and Dawande 1998; from memory) of 5 rows and 40 items: hours of work to prove."""
    chance = random.Random(1)
    model = cp_model.CpModel()
    take = [model.new_bool_var(f"take {n}") for n in range(40)]
    misses = []
    for row in range(5):
        weights = [chance.randrange(100) for _ in take]
        miss = model.new_int_var(0, 5000, f"miss {row}")
        model.add_abs_equality(miss, sum(w * x for w, x in zip(weights, take, strict=True)) - sum(weights) // 2)
        misses.append(miss)
    model.minimize(sum(misses))
    return model


def test_deterministic_work_ends_a_search_and_repeats_exactly() -> None:
    answers = []
    for _ in range(2):
        solver, status = Effort(seed=3).solve(_hard(), 0.2)
        answers.append((status, solver.objective_value, solver.best_objective_bound))
    assert answers[0] == answers[1]
    assert answers[0][0] == cp_model.FEASIBLE


def test_the_factor_multiplies_the_work() -> None:
    solver, _ = Effort(factor=0.1).solve(_hard(), 1.0)
    assert solver.response_proto.deterministic_time < 0.5


def test_a_stop_from_another_thread_ends_the_search_at_once() -> None:
    effort = Effort()
    timer = threading.Timer(0.5, effort.stop)
    timer.start()
    _, status = effort.solve(_hard(), 100.0)
    timer.join()
    assert status in (cp_model.FEASIBLE, cp_model.UNKNOWN)
    assert not effort.was_cut_short  # not before somebody asks whether it is over
    assert effort.is_over
    assert effort.was_cut_short


def test_after_the_wall_clock_has_run_out_a_short_try_is_still_given() -> None:
    effort = Effort(seconds=0.0)
    assert effort.is_over
    model = cp_model.CpModel()
    x = model.new_int_var(0, 9, "x")
    model.maximize(x)
    solver, status = effort.solve(model, 1.0, least_seconds=5.0)
    assert (status, solver.objective_value) == (cp_model.OPTIMAL, 9)


def test_without_a_clock_and_without_a_stop_it_is_never_over() -> None:
    effort = Effort()
    assert not effort.is_over
    assert not effort.was_cut_short
    assert effort.seconds >= 0


def test_progress_is_told_with_its_numbers() -> None:
    seen: list[Progress] = []
    effort = Effort(on_progress=seen.append)
    effort.report("designing", 3, 5, 8)
    assert [(item.doing, item.stored, item.bound, item.all) for item in seen] == [("designing", 3, 5, 8)]
    assert seen[0].seconds >= 0


def test_a_model_that_is_invalid_is_a_defect_and_raises() -> None:
    model = cp_model.CpModel()
    model.new_int_var(-(2**63) + 1, 2**63 - 2, "wider than the solver takes")
    with pytest.raises(AssertionError, match=r"(?i)var|domain"):
        Effort().solve(model, 1.0)


def test_work_on_the_other_core_ends_with_the_rest() -> None:
    effort = Effort(seconds=1000.0, seed=7)
    aside = effort.aside()
    assert aside.seed == 7
    assert not aside.is_over
    left = aside.seconds_left
    assert left is not None
    assert 0 < left <= 1000
    effort.stop()
    assert aside.is_over
    assert effort.aside().is_over


def test_a_goal_ends_when_its_share_is_used_up_and_nothing_is_cut_short() -> None:
    effort = Effort(factor=0.5)
    with effort.share(0.5):
        assert not effort.is_over
        effort.spend(0.24 * FIRST_ANSWER)
        assert not effort.is_over
        assert effort.work_left == pytest.approx(0.01 * FIRST_ANSWER)
        with effort.share(0.001):
            effort.spend(0.001 * FIRST_ANSWER)
            assert effort.is_over
        assert not effort.is_over
        effort.spend(0.01 * FIRST_ANSWER)
        assert effort.is_over
        with effort.share(1.0):  # no goal within another gets more than that has left
            assert effort.is_over
    assert not effort.is_over
    assert not effort.was_cut_short


@pytest.mark.parametrize(
    ("took", "is_worth"), [(0.0, LEAST_ANSWER), (LEAST_ANSWER + 1, LEAST_ANSWER + 1), (99.0, FIRST_ANSWER)]
)
def test_later_goals_share_what_the_first_one_took_within_limits(took: float, is_worth: float) -> None:
    effort = Effort(factor=2.0)
    effort.spend(2 * took)
    effort.answered()
    with effort.share(0.5):
        effort.spend(0.99 * is_worth)
        assert not effort.is_over
        effort.spend(0.02 * is_worth)
        assert effort.is_over


def test_what_an_integer_program_takes_is_counted() -> None:
    effort = Effort()
    effort.solve(_hard(), 0.1)
    assert 0.05 < effort.work < 0.5
