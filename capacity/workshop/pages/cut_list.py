"""The cut list as a shop reads it: equal parts on one line, all cuts by the setting of fence and stop, offcuts."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from capacity.drawings.labels import sawn_words
from capacity.workshop.cutting.saw_steps import Offcut, cuts_of, offcuts_of
from capacity.workshop.job import CutList, Job
from capacity.workshop.parts.parts import Part, Role, StockKind
from capacity.workshop.stock import saw_of

STRIPS = (Role.CLEAT, Role.SUPPORT, Role.KICK)
"""Parts that are cut from narrow rests as a matter of course."""


@dataclass(frozen=True, slots=True)
class PartGroup:
    """Equal parts: of one role, one size and one way of banding; `labels` in their order."""

    parts: tuple[Part, ...]

    @property
    def first(self) -> Part:
        """What all of them are like."""
        return self.parts[0]


def part_groups(parts: Sequence[Part]) -> tuple[PartGroup, ...]:
    """Equal parts together, in the order in which they first come."""
    found: dict[tuple[object, ...], list[Part]] = {}
    for part in parts:
        key = (part.role, part.length, part.width, part.long_bands, part.short_bands, part.note)
        found.setdefault(key, []).append(part)
    return tuple(PartGroup(tuple(group)) for group in found.values())


def group_rows(
    job: Job, parts: Sequence[Part], sheet_of: Mapping[str, str], marked: Mapping[str, str]
) -> Iterator[list[str]]:
    """Pieces, length, width, part, labels with their sheets, and what else there is to know."""
    for group in part_groups(parts):
        part = group.first
        labels = ", ".join(f"{item.label} ({sheet_of[item.label]})" for item in group.parts)
        notes = [*dict.fromkeys(marked[item.label] for item in group.parts if item.label in marked)]
        notes += [_bands(part)] if part.long_bands or part.short_bands else []
        notes += [part.note] if part.note else []
        yield [
            f"{len(group.parts)} ×",
            sawn_words(part.length, job.closet.lengths, False),
            sawn_words(part.width, job.closet.lengths, False),
            part.role.value,
            labels,
            "; ".join(notes),
        ]


def _bands(part: Part) -> str:
    words = [f"{number} {name}" for number, name in ((part.long_bands, "long"), (part.short_bands, "short")) if number]
    return f"band {' and '.join(words)}"


# ---- all cuts by the fence ----------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class FenceSetting:
    """One setting of fence or stop, and the cuts on all sheets that are made with it, in the order of the sheets.

    `stage` is 1 for the strips, 2 for what is cut from them, 3 for what is narrower than its strip; `cuts` are
    (sheet, number of the cut on its diagram).
    """

    stage: int
    how: str
    setting: int
    cuts: tuple[tuple[int, int], ...]


def fence_settings(job: Job, cut_list: CutList) -> tuple[FenceSetting, ...]:
    """All cuts of one material, stage by stage, each setting once: from wide to narrow, so the fence goes one way."""
    found: dict[tuple[int, str, int], list[tuple[int, int]]] = {}
    saw = saw_of(job.closet)
    for sheet, layout in enumerate(cut_list.plan.layouts, 1):
        for cut in cuts_of(layout, saw):
            stage = 1 if cut.makes.startswith("strip ") else 3 if cut.what.startswith("trim") else 2
            found.setdefault((stage, cut.what, cut.setting), []).append((sheet, cut.number))
    order = sorted(found, key=lambda key: (key[0], key[1], -key[2]))
    return tuple(FenceSetting(*key, tuple(found[key])) for key in order)


def fence_rows(job: Job, cut_list: CutList) -> Iterator[list[str]]:
    """Setting, how, number of cuts, and their numbers on each sheet."""
    for item in fence_settings(job, cut_list):
        by_sheet: dict[int, list[int]] = {}
        for sheet, number in item.cuts:
            by_sheet.setdefault(sheet, []).append(number)
        words = "; ".join(f"sheet {sheet}: {', '.join(map(str, cuts))}" for sheet, cuts in by_sheet.items())
        setting = sawn_words(item.setting, job.closet.lengths, False)
        yield ["☐", setting, item.how, f"{len(item.cuts)}", words]


# ---- offcuts ------------------------------------------------------------------------------------------


BLOCKS = "blocks, jigs and test cuts"
"""What an offcut is good for that is too small for any part."""


def offcut_rows(job: Job, material: StockKind, cut_list: CutList) -> Iterator[list[str]]:
    """Every offcut worth keeping: its name, its size, and what it is still good for."""
    parts = job.carcass.sheet_parts(material)
    for number, layout in enumerate(cut_list.plan.layouts, 1):
        for offcut in offcuts_of(layout, saw_of(job.closet), number):
            if offcut.name:
                across, along = (sawn_words(size, job.closet.lengths, False) for size in (offcut.across, offcut.along))
                yield [offcut.name, f"{across} × {along}", good_for(offcut, parts)]


def good_for(offcut: Offcut, parts: Sequence[Part]) -> str:
    """The largest part of the job that could be cut from an offcut, with the grain; else strips, else trials."""
    wide, long = offcut.across, offcut.along
    fitting = [
        part
        for part in parts
        if (part.width <= wide and part.length <= long)
        or (not part.has_grain and part.length <= wide and part.width <= long)
    ]
    if fitting:
        part = max(fitting, key=lambda part: (part.role not in STRIPS, part.area))
        return f"one more {part.role.value} such as {part.label}"
    return BLOCKS
