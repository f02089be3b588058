"""Work of a sweep that ends its own worker for some closets, as a machine without memory does."""

from __future__ import annotations

import os
import signal

from capacity.many.jobs import Job
from capacity.many.solving import Result


def dies_for_bad(job: Job) -> Result:
    """The row of a job; a job called bad kills the process that it runs in."""
    if "bad" in job.name:
        os.kill(os.getpid(), signal.SIGKILL)
    return {"row": {"stored": len(job.name)}, "boards": [], "stock": "", "plan": None}
