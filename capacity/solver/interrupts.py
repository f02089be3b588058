"""A search that listens: Ctrl-C, a closed window or a shutdown ends it early, and its best so far is kept."""

from __future__ import annotations

import os
import signal
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from types import FrameType
from typing import TypeVar

from capacity.solver.effort import Effort

_Answer = TypeVar("_Answer")

HANG_UP = getattr(signal, "SIGHUP", None)
"""Sent when the window of a terminal is closed; not on Windows."""


@contextmanager
def as_ctrl_c() -> Iterator[None]:
    """Have a request to end, or the end of the terminal, come as Ctrl-C does while the block runs.

    What is ignored already (as `nohup` does) stays so. Outside the main thread nothing can be changed.
    """
    if threading.current_thread() is not threading.main_thread():
        yield
        return
    numbers = [signal.SIGTERM, *([] if HANG_UP is None else [HANG_UP])]
    old = {number: signal.getsignal(number) for number in numbers}
    heard = [number for number in numbers if old[number] is signal.SIG_DFL]
    for number in heard:
        signal.signal(number, _interrupt)
    try:
        yield
    finally:
        for number in heard:
            signal.signal(number, old[number])


def _interrupt(number: int, frame: FrameType | None) -> None:
    if number == HANG_UP:  # nobody reads what is printed any more, and printing would fail
        nowhere = os.open(os.devnull, os.O_WRONLY)
        for stream in (1, 2):
            os.dup2(nowhere, stream)
    listener = signal.getsignal(signal.SIGINT)
    if callable(listener):
        listener(signal.SIGINT, frame)
        return
    raise KeyboardInterrupt


@contextmanager
def _heard_by(listener: Callable[[int, FrameType | None], None]) -> Iterator[None]:
    """Have Ctrl-C heard while the block runs, wherever it is, instead of breaking off whatever line runs just then.

    Where it is ignored it stays so. Outside the main thread nothing can be changed.
    """
    old = signal.getsignal(signal.SIGINT)
    if threading.current_thread() is not threading.main_thread() or not callable(old):
        yield
        return
    signal.signal(signal.SIGINT, listener)
    try:
        yield
    finally:
        signal.signal(signal.SIGINT, old)


def run_until_asked(effort: Effort, work: Callable[[], _Answer], say: Callable[[str], None]) -> tuple[_Answer, bool]:
    """Run a search in a thread, so that Ctrl-C reaches us; gives its answer, and whether somebody asked for an end.

    Parameters
    ----------
    effort
        The budget of the search; stopped at the first Ctrl-C.
    work
        The search.
    say
        Told at the first Ctrl-C what happens now.

    Raises
    ------
    KeyboardInterrupt
        When the search has been asked to end before and has not ended yet.
    """
    answers: list[_Answer] = []
    errors: list[BaseException] = []
    done = threading.Event()  # an interrupted join() would report a running thread as ended

    def run() -> None:
        try:
            answers.append(work())
        except BaseException as error:  # handed on to the waiting thread below
            errors.append(error)
        finally:
            done.set()

    interrupted = False

    def ask(_number: int = 0, _frame: FrameType | None = None) -> None:
        nonlocal interrupted
        if effort.was_asked_to_stop:
            raise KeyboardInterrupt
        interrupted = True
        effort.stop()

    has_said = False
    with _heard_by(ask):
        threading.Thread(target=run, daemon=True).start()
        while not done.is_set():
            try:
                done.wait(0.1)
            except KeyboardInterrupt:  # another request to end, where Ctrl-C itself is ignored
                ask()
            if interrupted and not has_said:
                has_said = True
                say(f"stopping; {_kept(effort)}; Ctrl-C again gives up")
    if errors:
        raise errors[0]
    return answers[0], interrupted


def _kept(effort: Effort) -> str:
    if effort.best is None:
        return "the first layout is kept as soon as there is one"
    return f"the best so far ({effort.best[1]}) is being kept"
