"""The closet as solid blocks in the room: uprights, shelves, rods, and what stands and hangs there, at true scale.

A block is an upright box with sides along the axes: x to the right on the plan, y up on the plan, z up [ticks].
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from capacity.drawings.carcass_drawing import carcass, old_carcass
from capacity.drawings.drawing import Rectangle, Style
from capacity.drawings.elevation import Side
from capacity.drawings.labels import lettered
from capacity.drawings.pile_drawing import arranged
from capacity.drawings.plan_drawing import REACH_OUT, ROD_OUT, PlanFrame, chains_of
from capacity.layout.layout import Bay
from capacity.layout.problem import OpeningKind, Problem
from capacity.layout.rod_height import rod_height
from capacity.units import PER_INCH, inches
from capacity.wardrobe.inventory import Inventory

APART = inches(48)
"""Room between chains of walls that do not meet: how they lie to each other is not known (chosen by us) [ticks]."""

WALL_THICK = inches(2)
"""How thick the walls are shown (chosen by us) [ticks]."""


@dataclass(frozen=True, slots=True)
class Block:
    """One solid: what it stands for, and where it begins and ends along x, y and z [ticks]."""

    style: Style
    low: tuple[int, int, int]
    high: tuple[int, int, int]


def solid_closet(problem: Problem, inventory: Inventory, side: Side) -> tuple[Block, ...]:
    """Everything of one side as blocks, the lowest corner of all at (0, 0, 0)."""
    blocks: list[Block] = []
    place = 0
    for chain in chains_of(problem):
        own = list(_chain(problem, inventory, side, chain))
        left, bottom = (min(block.low[axis] for block in own) for axis in (0, 1))
        blocks += [_moved(block, place - left, -bottom) for block in own]
        place = max(block.high[0] for block in blocks) + APART
    return tuple(blocks)


def _chain(problem: Problem, inventory: Inventory, side: Side, chain: list[int]) -> Iterator[Block]:
    along, x, y = ((0, 1) if len(chain) > 1 else (1, 0)), 0, 0
    for wall in chain:
        frame = PlanFrame(x, y, along)
        yield from _wall(problem, inventory, side, wall, frame)
        x, y = frame.point(problem.runs[wall].width, 0)
        along = (along[1], -along[0])


def _wall(problem: Problem, inventory: Inventory, side: Side, wall: int, frame: PlanFrame) -> Iterator[Block]:
    run, bays = problem.runs[wall], side.layout.walls[wall].bays
    high = min(run.ceiling_left, run.ceiling_right)
    yield _block(frame, Rectangle(0, 0, run.width, high, Style.WALL), -WALL_THICK, 0)
    panels = carcass(problem, run, bays) if side.is_built else old_carcass(bays)
    deep = max((bay.depth for bay in bays), default=0)
    for shape in panels:
        if isinstance(shape, Rectangle):
            yield _block(frame, shape, 0, deep if side.is_built else _depth_at(bays, shape.left))
    for item in lettered(side.layout):
        if item.wall != wall:
            continue
        bay, opening = item.in_bay, item.opening
        for piece in arranged(problem, bay, opening):
            hangs = opening.kind is OpeningKind.HANG
            near, far = (2 * ROD_OUT - REACH_OUT, REACH_OUT) if hangs else (0, bay.depth)
            yield _block(frame, replace(piece, style=Style(inventory.pile(piece.row).family)), near, far)
        if opening.kind is OpeningKind.HANG:
            rod = Rectangle(bay.left, rod_height(problem, opening), bay.width, PER_INCH, Style.ROD)
            yield _block(frame, rod, ROD_OUT - PER_INCH // 2, ROD_OUT + PER_INCH // 2)
        if opening.kind is OpeningKind.DRAWER:
            front = Rectangle(bay.left, opening.bottom, bay.width, opening.height, Style.DRAWER)
            yield _block(frame, front, bay.depth - problem.rules.panel, bay.depth)


def _depth_at(bays: tuple[Bay, ...], left: int) -> int:
    """Depth of the bay at a place, or of the one before it."""
    before = [bay for bay in bays if bay.left <= left] or list(bays)
    return before[-1].depth


def _block(frame: PlanFrame, shape: Rectangle, near: int, far: int) -> Block:
    box = frame.box(shape.left, shape.left + shape.width, near, far)
    top = shape.bottom + shape.height
    return Block(shape.style, (box.left, box.bottom, shape.bottom), (box.right, box.top, top))


def _moved(block: Block, x: int, y: int) -> Block:
    low = (block.low[0] + x, block.low[1] + y, block.low[2])
    return Block(block.style, low, (block.high[0] + x, block.high[1] + y, block.high[2]))
