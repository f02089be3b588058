"""Straight built-ins in a crooked room: does the plan go in, and the fillers and scribes that close the gaps."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Literal

from capacity.checks.check import Check, Cure, Filler, Place, Rule, in_units, length_check, length_cure
from capacity.checks.wall_gaps import (
    CLOSER_NOTES,
    MOST_SCRIBE,
    SCRIBE_SOURCE,
    built_out,
    closers,
    filler_width,
    gaps_of,
    is_open,
)
from capacity.closet.closet import Closet
from capacity.closet.materials import PERFORMANCE_CATEGORIES, PERFORMANCE_SOURCE
from capacity.closet.walls import Wall
from capacity.layout.corners import ends_of
from capacity.layout.layout import Layout
from capacity.layout.problem import Problem
from capacity.layout.uprights import has_kick
from capacity.units import Ticks, format_about, format_length, inches

PRACTICE = "common practice, no published source"


def room_checks(closet: Closet, problem: Problem, layout: Layout) -> Iterator[Check]:
    """Widths at every height, board thickness, scribes, floor out of level and baseboard, wall by wall."""
    yield from _stock_checks(closet, layout)
    for index, wall in enumerate(layout.walls):
        if wall.bays:
            yield _width_check(closet, problem, layout, index)
            yield from _scribe_checks(closet, problem, layout, index)
            yield from _level_checks(closet, problem, index)


NO_MARK = inches(1 / 64)
"""So much over a whole row of uprights no tape shows, and the play of a wall takes it up (our proposal)."""


def _stock_checks(closet: Closet, layout: Layout) -> Iterator[Check]:
    """Measured board against the thickness that was counted with, and against its category."""
    if closet.panel.measured:
        yield _thickness_check(closet, layout)
        if closet.panel.category is not None:
            yield from _category_checks(closet, closet.panel.category)


def _thickness_check(closet: Closet, layout: Layout) -> Check:
    panel, units = closet.panel, closet.units
    shown = round(in_units(panel.thickest, units), 3)
    cure = length_cure(
        units,
        action="measured thickness",
        sentence=f"count with the thickest board, {shown:g} {units}, and run `capacity fit` again",
        settings={"panel.thickness": format_length(panel.thickest, units)},
        computed=panel.thickest,
        limit=panel.thickest,
    )
    most = max((len(wall.bays) + 1 for wall in layout.walls), default=2)
    over = in_units(max(0, panel.thickest - panel.thickness) * most, units)
    rule = Rule(
        "board as thick as counted",
        "at most",
        "measured by you: bays and uprights add up to the wall's width",
        "measured",
        f"over {most} uprights the difference is {over:g} {units}; what no tape shows is allowed",
    )
    return length_check(units, rule, Place(thing="board"), panel.thickest, panel.thickness + NO_MARK // most, cure)


def _category_checks(closet: Closet, category: str) -> Iterator[Check]:
    panel, units = closet.panel, closet.units
    least, most = PERFORMANCE_CATEGORIES[category]
    ends: tuple[tuple[str, int, int, Literal["at least", "at most"]], ...] = (
        ("board within its category, thinnest", panel.thinnest, inches(least), "at least"),
        ("board within its category, thickest", panel.thickest, inches(most), "at most"),
    )
    for name, computed, limit, sense in ends:
        words = f"category {category}: {least:.3f} to {most:.3f} in"
        rule = Rule(name, sense, PERFORMANCE_SOURCE, "published, second hand", words)
        cure = length_cure(
            units,
            action="other category",
            sentence="send the boards back, or take the category out and count with what you measured",
            settings={"panel.category": None},
            computed=computed,
            limit=computed,
        )
        yield length_check(units, rule, Place(thing="board"), computed, limit, cure)


def _width_check(closet: Closet, problem: Problem, layout: Layout, index: int) -> Check:
    """Built-ins between the ends of a wall at the narrowest height, straight and square, with the board measured."""
    wall, units = closet.wall[index], closet.units
    bays = layout.walls[index]
    thick = max(closet.panel.thickness, closet.panel.thickest)
    start, end = ends_of(problem, index, layout.owners)
    room = Ticks(end - start)
    built = built_out(bays, closet.panel.thickness) + (thick - closet.panel.thickness) * (len(bays.bays) + 1)
    rule = Rule(
        "built-ins fit between the walls",
        "at most",
        "your measurements: the least width, less lean, out of square and a kept baseboard",
        "measured",
        _width_note(closet, wall),
    )
    return length_check(
        units, rule, Place(wall=wall.name), built, room, _width_cure(closet, problem, layout, index, built)
    )


def _width_note(closet: Closet, wall: Wall) -> str:
    widths = ", ".join(format_length(width, closet.units) for width in wall.width)
    return f"measured {widths}; lean {format_length(wall.lean, closet.units)}"


def _width_cure(closet: Closet, problem: Problem, layout: Layout, index: int, built: int) -> Cure:
    """Take the baseboard off where that is enough, else find a new layout for the room as it is."""
    board = closet.baseboard
    start, end = ends_of(problem, index, layout.owners)
    if board is not None and board.keep:
        removed = closet.model_copy(update={"baseboard": board.model_copy(update={"keep": False})})
        kept_left, kept_right = removed.design_ends(closet.wall[index])
        bare = replace(problem.runs[index], kept_left=kept_left, kept_right=kept_right)
        runs = (*problem.runs[:index], bare, *problem.runs[index + 1 :])
        bare_start, bare_end = ends_of(replace(problem, runs=runs), index, layout.owners)
        if built <= bare_end - bare_start:
            return length_cure(
                closet.units,
                action="baseboard off",
                sentence="take the baseboard off behind the built-ins",
                settings={"baseboard.keep": False},
                computed=built,
                limit=bare_end - bare_start,
            )
    shown = format_length(closet.panel.thickest, closet.units)
    return length_cure(
        closet.units,
        action="new layout",
        sentence=f"count with boards {shown} thick and run `capacity fit` again: the design keeps to the measured room",
        settings={"panel.thickness": shown},
        computed=end - start,
        limit=end - start,
    )


def _scribe_checks(closet: Closet, problem: Problem, layout: Layout, index: int) -> Iterator[Check]:
    """The scribe at each end is at most 1 1/2 in wide; a wider gap takes a filler panel first."""
    units = closet.units
    for gap in gaps_of(closet, problem, layout, index):
        if is_open(closet, gap):
            continue
        filler = filler_width(closet, gap)
        widest = gap.widest - (filler if closet.fillers else 0)
        words = f"the gap there is {format_about(gap.narrowest, units)} to {format_about(gap.widest, units)}"
        rule = Rule("scribe no wider than allowed", "at most", SCRIBE_SOURCE, "published", words)
        cure = length_cure(
            units,
            action="filler panel",
            sentence=f"fix a filler panel {format_about(filler, units)} wide there, then scribe the rest",
            settings={"fillers": True},
            computed=gap.widest - filler,
            limit=MOST_SCRIBE,
            passed=0 <= gap.widest - filler <= MOST_SCRIBE,
        )
        yield length_check(
            units, rule, Place(wall=closet.wall[index].name, thing=f"{gap.end} end"), widest, MOST_SCRIBE, cure
        )


def _level_checks(closet: Closet, problem: Problem, index: int) -> Iterator[Check]:
    """Shims stay in the toe kick; that the top stays under the ceiling is a rule of the design (`size_problem`)."""
    wall, units = closet.wall[index], closet.units
    if not wall.level:
        return
    kick = problem.rules.toe_kick
    words = "highest shim under the toe kick"
    rule = Rule("shims hidden by the toe kick", "at most", "the toe kick is levelled separately", PRACTICE, words)
    cure = length_cure(
        units,
        action="higher toe kick",
        sentence=f"make the toe kick {format_length(wall.level, units)} high and run `capacity fit` again",
        settings={"wishes.toe_kick": format_length(wall.level, units)},
        computed=wall.level,
        limit=wall.level,
    )
    yield length_check(units, rule, Place(wall=wall.name), wall.level, kick, cure)


def fillers(closet: Closet, problem: Problem, layout: Layout) -> Iterator[Filler]:
    """The parts that close the gaps: filler panels, scribe strips, scribed kick boards, notches for a baseboard."""
    for index, wall in enumerate(layout.walls):
        if not wall.bays:
            continue
        crooked = closet.wall[index]
        for closer in closers(closet, problem, layout, index):
            size = (closer.width, closer.narrowest, closer.height)
            yield _part(closet, wall.name, closer.name, closer.end, size, CLOSER_NOTES[closer.name])
        for number, bay in enumerate(wall.bays, start=1):
            if crooked.level and problem.rules.toe_kick and has_kick(problem, bay):
                size = (bay.width, bay.width, problem.rules.toe_kick + crooked.level)
                note = f"of bay {number}, scribed to the floor; shims under the uprights"
                yield _part(closet, wall.name, "kick board", "front", size, note)
        board = closet.baseboard
        if board is not None and board.keep:
            note = f"the back of all {len(wall.bays) + 1} uprights is notched so, or they stand off the wall by it"
            size = (board.thickness, board.thickness, board.height)
            yield _part(closet, wall.name, "notch for the baseboard", "back", size, note)


def _part(closet: Closet, wall: str, name: str, end: str, size: tuple[int, int, int], note: str) -> Filler:
    """A part of a width, a narrowest width after scribing, and a height [ticks]."""
    width, narrowest, height = (in_units(length, closet.units) for length in size)
    thickness = in_units(closet.panel.thickness, closet.units)
    return Filler(
        name=name, wall=wall, end=end, width=width, narrowest=narrowest, height=height, thickness=thickness, note=note
    )
