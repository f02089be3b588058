"""From a layout to parts: the one model of the construction, every allowance deducted from measured sizes.

Uprights reach from the floor to the top; shelves, top and bottom stand between them; the front edge is banded (or
a shelf has a nosing) and what that adds is taken off the board. Strips against the wall carry the screws into the
studs. A part's label is wall, bay, letter and number: `1-2S3` is the third loose shelf of bay 2 on wall 1.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from capacity.checks.check import down_to_mark
from capacity.checks.wall_gaps import CAULK, CLOSER_NOTES, baseboard_behind, closers, gaps_of, is_open
from capacity.closet.closet import Closet
from capacity.closet.edging import front_edge, nosing_of
from capacity.drawings.labels import length_words, sawn_words, thickness_words
from capacity.drawings.pile_drawing import arranged
from capacity.layout.fixed_boards import fixed_faces
from capacity.layout.layout import Bay, Layout, Opening, panels_of
from capacity.layout.problem import OpeningKind, Problem
from capacity.layout.rod_height import rod_height
from capacity.layout.uprights import beside_bay, top_over, uprights_of
from capacity.units import PER_INCH
from capacity.workshop.parts.drawer_boxes import clears_wall, drawer_parts
from capacity.workshop.parts.parts import SHELVES, Lie, Part, Role, StockKind, fixed_length
from capacity.workshop.parts.toe_kick import kick_parts

TALL = 60 * PER_INCH
"""Above this height a third wall cleat is needed (Architectural Woodwork Standards, 1st ed. 2009, 4.4.18) [ticks]."""

SUPPORT_HEIGHT = 3 * PER_INCH // 4
"""Height of the cleats under a loose shelf, or the hand room where that is less, so that nothing below is touched
(common practice, no published source) [ticks]."""

_LETTERS = {
    Role.UPRIGHT: "U", Role.BOTTOM: "B", Role.TOP: "T", Role.FIXED: "F", Role.LOOSE: "S", Role.KICK: "K",
    Role.BASE: "K",
    Role.CLEAT: "C", Role.SUPPORT: "L", Role.SCRIBE: "X", Role.FILLER: "X", Role.BACK: "P", Role.FRONT: "DF",
    Role.BOX_SIDE: "DS", Role.BOX_FRONT: "DX", Role.BOX_BACK: "DY", Role.BOX_BOTTOM: "DB", Role.ROD: "R",
    Role.NOSING: "N", Role.SHELF_CLEAT: "M",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Carcass:
    """All parts, in the order of walls and bays, and what the builder should know besides, one sentence each."""

    parts: tuple[Part, ...]
    remarks: tuple[str, ...]
    without_cleat: int = 0
    """Places where two angle brackets hold the built-ins to the wall, because there is no room for a cleat."""

    def of(self, *roles: Role) -> tuple[Part, ...]:
        """The parts with one of these roles."""
        return tuple(part for part in self.parts if part.role in roles)

    def sheet_parts(self, material: StockKind) -> tuple[Part, ...]:
        """The parts cut from one material."""
        return tuple(part for part in self.parts if part.material is material)


def make_parts(closet: Closet, problem: Problem, layout: Layout) -> Carcass:
    """Every part that the layout needs.

    Parameters
    ----------
    closet
        Materials and `[construction]`; its measured widths set the scribes.
    problem, layout
        The walls and rules, and what is to be built [ticks].

    Returns
    -------
    The parts with labels, and remarks on what needs the builder's eye.
    """
    parts: list[Part] = []
    without_cleat = 0
    remarks = list(_thickness_remarks(closet))
    for wall, built in enumerate(layout.walls, 1):
        if not built.bays:
            continue
        maker = _Maker(closet, problem, layout, wall, remarks)
        made = maker.kept() if problem.keeps_bays else [*maker.uprights(), *maker.ends(layout)]
        for number, bay in enumerate(built.bays, 1):
            made += maker.bay(number, bay)
        parts += _labelled(made)
        without_cleat += maker.without_cleat
    return Carcass(tuple(parts), tuple(remarks), without_cleat)


def _thickness_remarks(closet: Closet) -> Iterator[str]:
    """Board that measures other than what every height counts with."""
    panel, units = closet.panel, closet.units
    if panel.thinnest != panel.thickness or panel.thickest != panel.thickness:
        sizes = " to ".join(dict.fromkeys(thickness_words(thick, units) for thick in (panel.thinnest, panel.thickest)))
        yield (
            f"The board measures {sizes}; these sizes count with {thickness_words(panel.thickness, units)}. Write "
            "what it measures as `thickness` and run `capacity fit` again, or sort the boards."
        )


def _labelled(parts: list[Part]) -> Iterator[Part]:
    counts: dict[tuple[int, str], int] = {}
    for part in sorted(parts, key=lambda part: part.bay):
        key = (part.bay, _LETTERS[part.role])
        counts[key] = counts.get(key, 0) + 1
        bay = str(part.bay) if part.bay else ""
        yield replace(part, label=f"{part.wall}-{bay}{key[1]}{counts[key]}")


class _Maker:
    """Makes the parts of one wall."""

    def __init__(self, closet: Closet, problem: Problem, layout: Layout, wall: int, remarks: list[str]) -> None:
        self._closet, self._built, self._problem = closet, closet.construction, problem
        self._wall, self._run, self._remarks = wall, problem.runs[wall - 1], remarks
        self._bays = layout.walls[wall - 1].bays
        self._uprights = uprights_of(problem, wall - 1, self._bays, closet.assembly)
        self._thick = problem.rules.panel
        self.without_cleat = 0
        """Places of wall cleats for which there is no room."""

    def _words(self, length: int) -> str:
        return length_words(length, self._closet.units)

    def _part(
        self,
        role: Role,
        size: tuple[int, int],
        bay: int,
        place: tuple[int, int],
        lie: Lie,
        bands: tuple[int, int] = (0, 0),
    ) -> Part:
        """A part of panel stock; bands are taken off by the caller."""
        grain = self._built.grained
        return Part(
            "", role, StockKind.PANEL, size[0], size[1], self._thick, grain, *bands, self._wall, bay, *place, lie
        )

    @property
    def _band(self) -> int:
        return 1 if self._built.band else 0

    # ---- the wall as a whole ------------------------------------------------------------------------------

    def kept(self) -> list[Part]:
        """No uprights where today's bays are kept; said once for each wall."""
        self._remarks.append(
            f'wall "{self._run.name}": today\'s uprights stay. Screw fixed shelves to them; where a bay ends at the '
            "wall itself, put a cleat there under every shelf."
        )
        if self._built.back is not None:
            self._remarks.append(f'wall "{self._run.name}": no backs are made for bays that stand already.')
        return []

    def uprights(self) -> Iterator[Part]:
        """One between two bays and one at each end; in two pieces, or on a base, where the carrying asks for it."""
        note = self._notch()
        for upright in self._uprights:
            for number, (foot, length) in enumerate(upright.pieces):
                words = [f"{'upper' if number else 'lower'} piece"] if upright.cut is not None else []
                size = (length, self._run.depth - self._built.band)
                part = self._part(Role.UPRIGHT, size, 0, (upright.left, foot), Lie.STANDING, (self._band, 0))
                yield replace(part, note="; ".join([*words, *([note] if note and not number else [])]))

    def _notch(self) -> str:
        board = self._closet.baseboard
        if board is None or not board.keep:
            return ""
        return f"notch the back {self._words(board.thickness)} deep, {self._words(board.height)} high"

    def ends(self, layout: Layout) -> Iterator[Part]:
        """Scribe strips and filler panels between the end uprights and the walls; none at a corner."""
        index, name = self._wall - 1, f'wall "{self._run.name}"'
        for gap in gaps_of(self._closet, self._problem, layout, index):
            if is_open(self._closet, gap):
                self._remarks.append(f"{name}, {gap.end} end: {self._words(gap.widest)} stays open beside the upright.")
            elif 0 < gap.widest <= CAULK:
                self._remarks.append(f"{name}, {gap.end} end: a gap of {self._words(gap.widest)} is closed with caulk.")
        for closer in closers(self._closet, self._problem, layout, index):
            size = (closer.height, closer.width)
            part = self._part(Role(closer.name), size, 0, (closer.left, 0), Lie.FACING_UP)
            yield replace(part, note=CLOSER_NOTES[closer.name])

    # ---- one bay ------------------------------------------------------------------------------------------

    def bay(self, number: int, bay: Bay) -> Iterator[Part]:
        """Shelves, kick board, cleats, supports, back, rods and drawers of one bay."""
        shelves = list(self._shelves(number, bay))
        yield from shelves
        yield from kick_parts(self._closet, self._problem, self._wall, number, self._bays, self._uprights)
        cleats = list(self._cleats(number, bay))
        yield from cleats
        yield from self._shelf_cleats(number, shelves, {cleat.seen.top for cleat in cleats})
        yield from self._supports(number, bay, shelves)
        yield from self._nosings(number, bay, shelves)
        if self._built.back is not None and not self._problem.keeps_bays:
            yield self._back(number, bay)
        for opening in bay.openings:
            if opening.kind is OpeningKind.HANG:
                yield self._rod(number, bay, opening)
            elif opening.kind is OpeningKind.DRAWER:
                yield from drawer_parts(self._closet, self._wall, number, bay, opening)

    def _shelves(self, number: int, bay: Bay) -> Iterator[Part]:
        faces = panels_of(self._problem, bay)
        stands_on_floor = bay.openings[0].bottom == 0
        fixed = fixed_faces(bay, faces, self._built.fixed_every, stands_on_floor, self._thick)
        cuts = {upright.cut for upright in beside_bay(self._uprights, self._problem, bay)}
        fixed |= {face for face in faces if face + self._thick in cuts}
        edge = front_edge(self._closet)
        bands = (self._band if nosing_of(self._closet) is None else 0, 0)
        for index, face in enumerate(faces):
            role = Role.FIXED if face in fixed else Role.LOOSE
            if index == 0 and not stands_on_floor:
                role = Role.BOTTOM
            elif index == len(faces) - 1:
                role = Role.TOP
            length = bay.width - self._built.shelf_play
            left = bay.left + self._built.shelf_play // 2
            if role is not Role.LOOSE:
                length = fixed_length(bay.width, self._built)
                left = bay.left - (length - bay.width) // 2
            behind = baseboard_behind(self._closet, face)
            size = (length, bay.depth - edge - behind)
            part = self._part(role, size, number, (left, face), Lie.FLAT, bands)
            yield replace(part, note="stands before the baseboard") if behind else part

    def _cleats(self, number: int, bay: Bay) -> Iterator[Part]:
        """Two strips against the wall, three above 60 in, where nothing in the openings stands in their way."""
        high = self._built.cleat
        top = top_over(self._problem, self._wall - 1, bay)
        places = [
            (opening, place)
            for index, opening in enumerate(item for item in bay.openings if item.bottom < top)
            if opening.height > high and (opening.kind is not OpeningKind.DRAWER or clears_wall(bay, self._thick))
            for place in ({opening.bottom, opening.bottom + opening.height - high} if index == 0 else
                          {opening.bottom + opening.height - high})
        ]  # fmt: skip
        places = sorted(
            (item for item in places if not baseboard_behind(self._closet, item[1])), key=lambda item: item[1]
        )
        targets = [places[-1][1] if places else top, 0] + ([top // 2] if top > TALL else [])
        taken: list[int] = []
        for target in targets:
            open_places = [item for item in places if all(abs(item[1] - other) > 2 * high for other in taken)]
            if not open_places:
                name = f'wall "{self._run.name}", bay {number}'
                near = f"near {sawn_words(target, self._closet.lengths)}" if target else "near the floor"
                self._remarks.append(
                    f"{name}: no opening has room for a wall cleat {near}; fix the nearest fixed board to the studs "
                    "with two angle brackets."
                )
                self.without_cleat += 1
                continue
            opening, place = min(
                open_places, key=lambda item: (self._in_the_way(bay, *item), abs(item[1] - target), item[1])
            )
            rows = self._in_the_way(bay, opening, place)
            if rows:
                named = ", ".join(self._problem.thing(row).name for row in rows)
                self._remarks.append(
                    f'wall "{self._run.name}", bay {number}: the cleat at {self._words(place)} pushes {named} forward '
                    f"by up to {self._words(self._thick)}."
                )
            taken.append(place)
        for place in sorted(taken):
            yield self._part(Role.CLEAT, (bay.width, high), number, (bay.left, place), Lie.FACING)

    def _in_the_way(self, bay: Bay, opening: Opening, place: int) -> tuple[int, ...]:
        """Rows in the opening that reach back to where the cleat is and as high as it is."""
        if opening.kind is not OpeningKind.SHELF:
            return ()  # garments hang in the middle of the depth, and a drawer with a cleat behind ends before it
        turned = {holding.row: holding.turned for holding in opening.holds}
        rows = set()
        for piece in arranged(self._problem, bay, opening):
            thing = self._problem.thing(piece.row)
            deep = thing.width if turned[piece.row] else thing.depth
            rows_deep = min(self._problem.rules.rows_deep, bay.depth // deep)
            reaches = deep * rows_deep > bay.depth - self._thick
            if reaches and piece.bottom < place + self._built.cleat and place < piece.bottom + piece.height:
                rows.add(piece.row)
        return tuple(sorted(rows))

    def _supports(self, number: int, bay: Bay, shelves: list[Part]) -> Iterator[Part]:
        if self._built.supports != "cleats":
            return
        high = min(SUPPORT_HEIGHT, self._problem.rules.gap)
        long = bay.depth - self._built.kick_setback
        for shelf in shelves:
            if shelf.role is Role.LOOSE:
                for left in (bay.left, bay.left + bay.width - self._thick):
                    place = (left, shelf.bottom - high)
                    yield self._part(Role.SUPPORT, (long, high), number, place, Lie.END_ON)

    def _nosings(self, number: int, bay: Bay, shelves: list[Part]) -> Iterator[Part]:
        nosing = nosing_of(self._closet)
        if nosing is None:
            return
        for shelf in shelves:
            if shelf.role in SHELVES:
                long = min(shelf.length, bay.width)
                place = (bay.left + (bay.width - long) // 2, shelf.bottom + shelf.thickness - nosing.height)
                sizes = (long, nosing.height, nosing.thickness)
                yield Part(
                    "", Role.NOSING, StockKind.NOSING, *sizes, True, 0, 0, self._wall, number, *place, Lie.FACING,
                    f"on {shelf.role.value}",
                )  # fmt: skip

    def _shelf_cleats(self, number: int, shelves: list[Part], held: set[int]) -> Iterator[Part]:
        """The strip under the back edge with which the checks count, where no wall cleat holds the shelf already."""
        strip = self._closet.panel.cleat
        for shelf in shelves if strip is not None else ():
            if strip is not None and shelf.bottom not in held and strip.height <= shelf.bottom:
                sizes = (shelf.length, strip.height, strip.thickness)
                place = (shelf.left, shelf.bottom - strip.height)
                yield Part(
                    "", Role.SHELF_CLEAT, StockKind.SHELF_CLEAT, *sizes, True, 0, 0, self._wall, number, *place,
                    Lie.FACING, f"{strip.material}, under the back edge of a {shelf.role.value}",
                )  # fmt: skip

    def _back(self, number: int, bay: Bay) -> Part:
        """Behind the uprights, from the middle of one to the middle of the next, over what stands at the wall."""
        assert self._built.back is not None
        top = top_over(self._problem, self._wall - 1, bay)
        wide = bay.width + self._thick
        board, lowest = self._closet.baseboard, bay.openings[0].bottom - self._thick
        foot = lowest if lowest > self._problem.rules.toe_kick else 0  # what is under a bay that begins higher stays
        note = "behind the uprights"
        if board is not None and board.keep and foot < board.height:
            foot, note = board.height, f"{note}, over the baseboard"
        return Part(
            "", Role.BACK, StockKind.BACK, top - foot, wide, self._built.back, False, 0, 0, self._wall, number,
            bay.left - self._thick // 2, foot, Lie.FACING_UP, note,
        )  # fmt: skip

    def _rod(self, number: int, bay: Bay, opening: Opening) -> Part:
        thick = self._closet.rod.diameter
        middle = down_to_mark(rod_height(self._problem, opening), self._closet.units)
        long = bay.width - self._built.rod_play
        left = bay.left + self._built.rod_play // 2
        return Part(
            "", Role.ROD, StockKind.ROD, long, thick, thick, True, 0, 0, self._wall, number,
            left, middle - thick // 2, Lie.FLAT, f"middle at {self._words(middle)} over the floor",
        )  # fmt: skip
