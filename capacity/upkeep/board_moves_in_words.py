"""Boards that go to other holes, in words: from which height to which, and what that brings."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from capacity.closet.closet import Closet
from capacity.drawings.labels import LetteredOpening, lettered
from capacity.layout.layout import Layout
from capacity.layout.problem import OpeningKind, Problem
from capacity.makeover.plan import layout_of
from capacity.makeover.refilled import Refilled
from capacity.solver.boards_to_move import OpeningIndex, Reshelved, pitch_of
from capacity.units import Ticks


@dataclass(frozen=True, slots=True)
class BoardMove:
    """A board over an opening that goes to another hole: height of its underside now and then [ticks], rows up."""

    over: LetteredOpening
    now: int
    then: int
    rows: int


def board_moves(below: Sequence[LetteredOpening], rows: Sequence[int], pitch: int) -> tuple[BoardMove, ...]:
    """The boards over these openings that move by so many rows each."""
    tops = [item.opening.bottom + item.opening.height for item in below]
    return tuple(
        BoardMove(item, top, top + up * pitch, up) for item, top, up in zip(below, tops, rows, strict=False) if up
    )


def move_in_words(move: BoardMove, closet: Closet) -> str:
    """One board: from which height to which, its underside over the floor."""
    holes = f"{abs(move.rows)} {'hole' if abs(move.rows) == 1 else 'holes'} {'up' if move.rows > 0 else 'down'}"
    rod = " with its rod" if move.over.opening.kind is OpeningKind.HANG else ""
    now, then = closet.show(Ticks(move.now)), closet.show(Ticks(move.then))
    return f"the board over {move.over.letter}{rod} {holes}, its underside from {now} to {then}"


def reshelved_in_words(
    steps: Sequence[Reshelved], refilled: Refilled, problem: Problem, closet: Closet
) -> Iterator[str]:
    """Each change with what it brings and its boards."""
    layout, pitch = layout_of(refilled.walls, refilled.units), pitch_of(closet, problem)
    for step in steps:
        boards = "board" if len(step.moves) == 1 else "boards"
        more = step.stored - refilled.stored
        pieces = f"{more} more pieces" if more != 1 else "1 more piece"
        worth = f"{step.stored} of {refilled.pieces}, {step.value - refilled.value.stored} more in value"
        yield f"{len(step.moves)} {boards} moved: {pieces} ({worth})."
        for wall, move in _named(step.moves, layout, pitch, closet):
            yield f"  wall {wall}: {move}"
    if not steps:
        yield "No board moved to another hole stores more, as far as was found."
    if not pitch:
        yield "Its shelves lie on cleats: no board can go to another hole."


def _named(moves: Mapping[OpeningIndex, int], layout: Layout, pitch: int, closet: Closet) -> Iterator[tuple[str, str]]:
    places = [(w, b, o) for w, b, o, _, _ in layout.openings()]
    for place, item in zip(places, lettered(layout), strict=True):
        for move in board_moves([item], [moves.get(place, 0)], pitch):
            yield closet.wall[item.wall].name, move_in_words(move, closet)
