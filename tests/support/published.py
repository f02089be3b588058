"""A printed figure beside ours: the tolerance is half a unit in its last printed place, read off its text."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Published:
    """One figure as printed, and where."""

    printed: str
    source: str

    def agrees(self, value: float) -> bool:
        """Whether a value rounds to what is printed."""
        half = 0.5 / 10 ** len(self.printed.partition(".")[2])
        return abs(value - float(self.printed)) <= half * (1 + 1e-9)
