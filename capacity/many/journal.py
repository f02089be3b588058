"""What is done of a sweep: one line a task, kept at once, so that nothing is done twice."""

from __future__ import annotations

import json
import os
from pathlib import Path

from capacity.disk.files import read_text
from capacity.errors import Fault, InputError
from capacity.many.solving import Result

FILE_NAME, MOST_BYTES = "journal.jsonl", 200_000_000


class Journal:
    """Results by the digest of their task; a half line at the end, of a run that was ended, is passed over.

    Parameters
    ----------
    folder
        Where it is kept; made where it is not there.

    Raises
    ------
    InputError
        When the folder cannot be written.
    """

    def __init__(self, folder: Path) -> None:
        self.path, self.done = folder / FILE_NAME, dict[str, Result]()
        try:
            folder.mkdir(parents=True, exist_ok=True)
        except OSError as error:
            raise InputError([Fault(str(folder), "", f"cannot be used for the results: {error}")]) from None
        lines = read_text(self.path, MOST_BYTES).splitlines() if self.path.exists() else []
        for line in lines:
            try:
                kept = json.loads(line)
                if kept["result"]["row"].keys() and kept["result"].keys() >= {"boards", "stock", "plan"}:
                    self.done[str(kept["digest"])] = kept["result"]
            except (ValueError, KeyError, TypeError, AttributeError, RecursionError):
                continue

    def keep(self, digest: str, result: Result) -> None:
        """Add the result of a task, on the disk before this returns; one that was lost is for this sweep alone."""
        self.done[digest] = result
        if result.get("is_lost"):
            return
        line = json.dumps({"digest": digest, "result": result}, separators=(",", ":"))
        with self.path.open("a", encoding="utf-8") as file:
            if file.tell() and not self._ends_a_line():
                file.write("\n")
            file.write(line + "\n")
            file.flush()
            os.fsync(file.fileno())

    def _ends_a_line(self) -> bool:
        with self.path.open("rb") as file:
            file.seek(-1, os.SEEK_END)
            return file.read(1) == b"\n"
