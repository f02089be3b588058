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
import signal
from collections.abc import Callable, Generator, Iterator, Sequence
from concurrent.futures import FIRST_COMPLETED, CancelledError, Future, ProcessPoolExecutor, wait
from concurrent.futures.process import BrokenProcessPool
from contextlib import contextmanager, suppress
from multiprocessing import resource_tracker
from typing import Any

from capacity.errors import Fault, InputError
from capacity.many.solving import Result, solved
from capacity.many.varied_closets import Task

RETRIES = 1


def lost(words: str) -> Result:
    """What is told of a task that has no answer; `is_lost` keeps it out of what is done."""
    return {"row": {"fault": words}, "boards": [], "stock": "", "plan": None, "is_lost": True}


LOST = lost("its worker ended each time it was tried: killed, or out of memory")


def _failed(error: BaseException) -> Result:
    return lost(f"could not be finished: {type(error).__name__}: {error}; please report this")


@contextmanager
def _interrupts_held() -> Iterator[None]:
    """Hold Ctrl-C back for a moment; threads begun meanwhile and their processes leave it to this thread for good."""
    if not hasattr(signal, "pthread_sigmask"):
        yield
        return
    resource_tracker.ensure_running()  # which would let it through again where it is begun
    before = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)


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
                        with _interrupts_held():
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
            with _interrupts_held():
                future = pool.submit(_answer, work, task)
            return future.result()
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
        # its server answers this machine alone
        where |= {"dashboard_address": "127.0.0.1:0", "silence_logs": logging.CRITICAL}
        with _interrupts_held():
            client = distributed.Client(**where) if address == "local" else distributed.Client(address, timeout=10)
    except (OSError, ValueError, RuntimeError) as error:
        words = f"no scheduler answers there: {error}; the address is such as tcp://10.0.0.5:8786, or local"
        raise InputError([Fault("--on", address, words)]) from None
    with _no_logs(), client:
        futures, suspects = {_submitted(client, work, task): task for task in tasks}, list[Task]()
        try:
            for future in distributed.as_completed(list(futures)):
                task, result = futures.pop(future), _gathered(future, distributed)
                if result is LOST:
                    suspects.append(task)  # it waited on workers that died, perhaps of another task
                else:
                    yield task, result
                future.release()  # else a worker that dies later would take this answer with it, to be found again
            for task in suspects:
                futures = {_submitted(client, work, task): task}
                distributed.wait(list(futures))
                yield from ((task, _gathered(future, distributed)) for future in futures)
        finally:
            with suppress(OSError, TimeoutError):
                client.cancel(list(futures))


@contextmanager
def _no_logs() -> Iterator[None]:
    """What is lost stands in the table, and progress is one line."""
    before = logging.root.manager.disable
    logging.disable(logging.CRITICAL)
    try:
        yield
    finally:
        logging.disable(before)


def _submitted(client: Any, work: Callable[[Task], Result], task: Task) -> Any:
    return client.submit(_answer, work, task, key=f"closet-{task.digest}", pure=True, retries=RETRIES)


def _gathered(future: Any, distributed: Any) -> Result:
    try:
        error = future.exception()
        if error is None:
            return dict(future.result())
    except (OSError, CancelledError, TimeoutError):
        return lost("the cluster was lost before it was done; the same command goes on from here")
    return LOST if isinstance(error, distributed.KilledWorker) else _failed(error)
