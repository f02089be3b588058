"""Many tasks at once: by processes of this machine, or by the workers of a Dask cluster.

A task runs inside the worker's own process and no child of it, so that a worker that is killed leaves nothing behind
that goes on. A worker that dies costs its task alone, which is tried again; then it is told as lost. So is a task that
ends with an error of this program or of memory: the others go on, and the next sweep tries it again.
"""

from __future__ import annotations

import importlib
import logging
import multiprocessing
import os
from collections.abc import Callable, Generator, Iterator, Sequence
from concurrent.futures import FIRST_COMPLETED, Future, ProcessPoolExecutor, wait
from concurrent.futures.process import BrokenProcessPool
from contextlib import contextmanager
from typing import Any

from capacity.errors import Fault, InputError
from capacity.many.solving import Result, solved
from capacity.many.tasks import Task

RETRIES = 1


def lost(words: str) -> Result:
    """What is told of a task that has no answer; `is_lost` keeps it out of what is done."""
    return {"row": {"fault": words}, "boards": [], "stock": "", "plan": None, "is_lost": True}


LOST = lost("its worker ended each time it was tried: killed, or out of memory")


def _failed(error: BaseException) -> Result:
    return lost(f"could not be finished: {type(error).__name__}: {error}; please report this")


def on_this_machine(
    tasks: Sequence[Task], workers: int, work: Callable[[Task], Result] = solved
) -> Generator[tuple[Task, Result], None, None]:
    """Do the tasks with so many processes, each task as it is done; ended early, what runs is ended too."""
    if workers <= 1:
        yield from ((task, _answer(work, task)) for task in tasks)
        return
    waiting, running = list(reversed(tasks)), dict[Future[Result], Task]()
    while waiting:
        suspects: list[Task] = []
        with _pool(workers) as pool:
            try:
                while waiting or running:
                    while waiting and len(running) < workers:  # no more than run, so that a dead worker costs these
                        task = waiting.pop()
                        running[pool.submit(_answer, work, task)] = task
                    for future in wait(running, return_when=FIRST_COMPLETED).done:
                        result = future.result()
                        yield running.pop(future), result
            except BrokenProcessPool:
                suspects, running = list(running.values()), {}
        yield from ((task, _alone(task, work)) for task in suspects)  # one of them may be too much for any worker


def _answer(work: Callable[[Task], Result], task: Task) -> Result:
    """The answer of a task, whatever happens in it but an interrupt."""
    try:
        return work(task)
    except Exception as error:  # one closet that cannot be finished may not cost the others
        return _failed(error)


def _alone(task: Task, work: Callable[[Task], Result]) -> Result:
    with _pool(1) as pool:
        try:
            return pool.submit(_answer, work, task).result()
        except BrokenProcessPool:
            return LOST


@contextmanager
def _pool(workers: int) -> Iterator[ProcessPoolExecutor]:
    """A pool whose processes end with it, whatever they are at."""
    others = set(multiprocessing.active_children())
    pool = ProcessPoolExecutor(workers, mp_context=multiprocessing.get_context("spawn"))
    try:
        yield pool
    finally:
        for process in set(multiprocessing.active_children()) - others:
            process.terminate()
        pool.shutdown(wait=True, cancel_futures=True)


def on_a_cluster(
    tasks: Sequence[Task], address: str, work: Callable[[Task], Result] = solved
) -> Generator[tuple[Task, Result], None, None]:
    """Do the tasks with Dask: `address` is that of a scheduler, or `local` for a cluster of this machine.

    Raises
    ------
    InputError
        When Dask is not there or the scheduler does not answer.
    """
    try:
        distributed: Any = importlib.import_module("distributed")
    except ImportError:
        raise InputError([Fault("--on", "", "takes Dask: pip install 'capacity[many]'")]) from None
    try:
        where: dict[str, Any] = {"n_workers": os.cpu_count() or 1, "threads_per_worker": 1}
        # its server answers this machine alone; what is lost stands in the table, and progress is one line
        where |= {"dashboard_address": "127.0.0.1:0", "silence_logs": logging.CRITICAL}
        client = distributed.Client(**where) if address == "local" else distributed.Client(address, timeout=10)
    except (OSError, ValueError, RuntimeError) as error:
        words = f"no scheduler answers there: {error}; the address is such as tcp://10.0.0.5:8786, or local"
        raise InputError([Fault("--on", address, words)]) from None
    with client:
        futures = {
            client.submit(_answer, work, task, key=f"closet-{task.digest}", pure=True, retries=RETRIES): task
            for task in tasks
        }
        try:
            for future in distributed.as_completed(list(futures)):
                yield futures.pop(future), _gathered(future, distributed)
                future.release()  # else a worker that dies later would take this answer with it, to be found again
        finally:
            client.cancel(list(futures))


def _gathered(future: Any, distributed: Any) -> Result:
    if future.status == "finished":
        return dict(future.result())
    error = future.exception() if future.status == "error" else None
    return LOST if error is None or isinstance(error, distributed.KilledWorker) else _failed(error)
