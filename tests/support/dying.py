"""Work of a sweep that ends its own worker for some closets, as a machine without memory does."""

from __future__ import annotations

import os
import signal

from capacity.many.solving import Result
from capacity.many.varied_closets import Task


def dies_for_bad(task: Task) -> Result:
    """The row of a task; a task called bad kills the process that it runs in, one called full finds no memory."""
    if "full" in task.name:
        raise MemoryError
    if "bad" in task.name:
        os.kill(os.getpid(), signal.SIGKILL)
    return {"row": {"stored": len(task.name)}, "boards": [], "stock": "", "plan": None}
