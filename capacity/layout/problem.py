"""The problem to solve: things, runs of wall and rules, as whole ticks and nothing else.

Frozen facts, checked when made. Every method that searches, fills or verifies reads this record; none of
them reads a user's file.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from fractions import Fraction

from capacity.units import PER_INCH
from capacity.wardrobe.kinds import Store


class OpeningKind(StrEnum):
    """What an opening is made for."""

    SHELF = "shelf"
    HANG = "hang"
    DRAWER = "drawer"


OPENING_FOR = {
    Store.STAND: OpeningKind.SHELF,
    Store.STACK: OpeningKind.SHELF,
    Store.HANG: OpeningKind.HANG,
    Store.DRAWER: OpeningKind.DRAWER,
}
"""The kind of opening that each way of storing needs."""

HANG_DEPTH = 12 * PER_INCH
"""Least depth of the uprights beside a rod, where the rod hangs; garments may reach out over the front edge (our
proposal) [ticks]."""


@dataclass(frozen=True, slots=True)
class Thing:
    """One pile: `count` pieces of one size, stored in one way; lengths in ticks.

    `width`, `depth`, `height` are one piece (a pair for footwear) as it stands, or lies folded with `height`
    its thickness; `drop` and `rod` are for hanging. `row` is the data row of the inventory. `belongs_low` is for what
    nobody should have to lift down: footwear and heavy things. `value` is what one piece counts: by its use, and
    `first` besides where it must have a place before anything else. `also` is the same stored in other ways, each in
    openings of another kind: every piece may be in any of these.
    """

    row: int
    name: str
    count: int
    value: int
    owner: str | None
    store: Store
    width: int
    depth: int
    height: int
    drop: int
    rod: int
    most: int
    belongs_low: bool = False
    first: int = 0
    also: tuple[Thing, ...] = ()

    @property
    def ways(self) -> tuple[Thing, ...]:
        """Itself in each way in which it may be stored, the usual one first."""
        return (self, *self.also)

    def stored_in(self, kind: OpeningKind) -> Thing | None:
        """Itself as it is stored in an opening of a kind; None where it is not stored in such a one."""
        return next((way for way in self.ways if way.opening_kind is kind), None)

    @property
    def by_use(self) -> int:
        """What one piece counts by rule 11."""
        return self.value - self.first

    def __post_init__(self) -> None:
        """Refuse a thing that takes no room."""
        sizes = (self.drop, self.rod) if self.store is Store.HANG else (self.width, self.depth, self.height)
        if min(sizes) <= 0 or self.count < 0 or self.value <= 0 or self.most < 1:
            msg = f"row {self.row}: sizes, value and the most in a stack must be above 0, the count at least 0"
            raise ValueError(msg)

    @property
    def opening_kind(self) -> OpeningKind:
        """The kind of opening that it goes into."""
        return OPENING_FOR[self.store]


@dataclass(frozen=True, slots=True)
class BlockedPart:
    """A part of a wall where nothing may be built: `left` to `right`, `bottom` to `top` [ticks]; `name` is shown."""

    left: int
    right: int
    bottom: int
    top: int
    name: str = ""


@dataclass(frozen=True, slots=True, order=True)
class Site:
    """What decides which things an opening can hold: the depth of its bay [ticks] and the rows barred there.

    A prescribed opening counts as high as it is, whatever rows of holes, marks and least heights bind the others.
    """

    depth: int
    barred: tuple[int, ...] = ()
    is_prescribed: bool = False


@dataclass(frozen=True, slots=True, order=True)
class PrescribedOpening:
    """An opening that a bay that must be has: its kind, the height of its lower face, its clear height [ticks].

    `rod` is where the middle of its rod is over the floor; 0: as far under what is above it as everywhere.
    """

    kind: OpeningKind
    bottom: int
    height: int
    rod: int = 0


@dataclass(frozen=True, slots=True)
class FixedBay:
    """A bay that must be: index of its run, clear left face from the run's left end, clear width, depth [ticks].

    Its lowest openings are the `prescribed` ones, from the upper face of the bottom panel up, a panel over each; its
    other openings below the top panel, of which there is one at least, are of the kinds in `kinds`.
    """

    run: int
    left: int
    width: int
    depth: int
    prescribed: tuple[PrescribedOpening, ...] = ()
    kinds: tuple[OpeningKind, ...] = tuple(OpeningKind)


@dataclass(frozen=True, slots=True, order=True)
class BayForm:
    """What a run says of its bays beside their heights; runs of one form have the same openings to choose from.

    The fields are those of `Run`, but for `spot`: what their openings can hold.
    """

    spot: Site
    fixed: int = 0
    is_kept: bool = False
    prescribed: tuple[PrescribedOpening, ...] = ()
    kinds: tuple[OpeningKind, ...] = tuple(OpeningKind)


@dataclass(frozen=True, slots=True)
class Run:
    """One wall to build against, or a part of one; `width` is its least measured width [ticks].

    Places along it are measured from its left end. `ceiling_left` and `ceiling_right` are the ceiling heights at the
    two ends of the wall; between them it is straight. `kept_left` and `kept_right` stay free at its ends, whoever owns
    a corner. `barred` are the rows of things that may not be stored there. Where `fixed` is above 0 the run is one bay
    of that clear width and its two uprights; `is_kept` says that it stands already, so that its shelves and rods get
    supports in between where they are longer than the rules allow without. A part of a wall says where it begins,
    `offset`, on a wall of the width `whole` (0: it is the wall itself). With `shares_left` or `shares_right` its end
    is an upright of a bay that must be: the bay beside it shares it, or keeps a panel's thickness away from it.
    `prescribed` and `kinds` are those of its `FixedBay`.
    """

    name: str
    width: int
    depth: int
    ceiling_left: int
    ceiling_right: int
    blocked: tuple[BlockedPart, ...] = ()
    kept_left: int = 0
    kept_right: int = 0
    barred: tuple[int, ...] = ()
    fixed: int = 0
    is_kept: bool = False
    offset: int = 0
    whole: int = 0
    shares_left: bool = False
    shares_right: bool = False
    prescribed: tuple[PrescribedOpening, ...] = ()
    kinds: tuple[OpeningKind, ...] = tuple(OpeningKind)

    @property
    def form(self) -> BayForm:
        """What is decided of its bays already."""
        return BayForm(self.spot, self.fixed, self.is_kept, self.prescribed, self.kinds)

    @property
    def spot(self) -> Site:
        """What its bays can hold."""
        return Site(self.depth, self.barred)

    @property
    def prescribed_spot(self) -> Site:
        """What its prescribed openings can hold."""
        return Site(self.depth, self.barred, is_prescribed=True)

    @property
    def is_sloped(self) -> bool:
        """Whether the ceiling is not level over this wall."""
        return self.ceiling_left != self.ceiling_right

    @property
    def is_plain(self) -> bool:
        """Whether every place along the wall is as good as any other."""
        return not self.is_sloped and not self.blocked

    @property
    def is_between(self) -> bool:
        """Whether it is plain, and what its bays leave over is a gap between uprights, not room at an end."""
        return self.is_plain and self.shares_left and self.shares_right

    def ceiling_over(self, left: int, right: int) -> int:
        """Least ceiling height between two places along the wall, rounded down to a tick."""
        whole = self.whole or self.width

        def at(place: int) -> int:
            return (self.ceiling_left * (whole - place) + self.ceiling_right * place) // whole

        return min(at(left + self.offset), at(right + self.offset))


@dataclass(frozen=True, slots=True)
class Corner:
    """The right end of run `ends` meets the left end of run `starts` (indices into the runs)."""

    ends: int
    starts: int


@dataclass(frozen=True, slots=True)
class Rules:
    """The lengths and choices that the fit rules speak of [ticks]; `spare` is a share of room.

    The last ones bind only what is built anew, and 0 is none: how far built-ins stay below a ceiling, the least clear
    height of a shelf opening and of a drawer opening, how high over the floor a drawer opening may end, the mark of
    which sizes are whole multiples, the distance of the rows of holes that shelves stand on, and that of rows that they
    may stand on, so that a bay has either these rows or marks.
    """

    panel: int
    toe_kick: int
    gap: int
    hang_allowance: int
    min_bay: int
    max_shelf: int
    max_rod: int
    rows_deep: int
    corner_access: int
    owners_apart: bool
    spare: Fraction
    under_ceiling: int = 0
    least_opening: int = 0
    least_drawer: int = 0
    highest_drawer: int = 0
    mark: int = 0
    pitch: int = 0
    usual_pitch: int = 0

    @property
    def base(self) -> int:
        """Height of the upper face of the bottom panel over the floor."""
        return self.toe_kick + self.panel

    def least_of(self, kind: OpeningKind) -> int:
        """Least clear height of an opening of a kind that is built anew [ticks]; 0: any."""
        return {OpeningKind.SHELF: self.least_opening, OpeningKind.DRAWER: self.least_drawer}.get(kind, 0)

    def built(self, kind: OpeningKind, need: int) -> int:
        """The clear height at which an opening is built for contents that need so much [ticks].

        At least the least of its kind, and up to the next row of holes, or to the next mark.
        """
        need = max(need, self.least_of(kind))
        return min((-(-(need + more) // step) * step - more for step, more in self._steps), default=need)

    def counted(self, height: int) -> int:
        """How high an opening counts that is so high [ticks]: down to a row of holes, or to a mark."""
        return max(((height + more) // step * step - more for step, more in self._steps), default=height)

    @property
    def _steps(self) -> tuple[tuple[int, int], ...]:
        """Of which lengths heights are whole multiples, and with what added: a mark by itself, a row with its panel."""
        if self.pitch:
            return ((self.pitch, self.panel),)
        rows = ((self.usual_pitch, self.panel),) if self.usual_pitch and self.mark else ()
        return (*rows, (self.mark, 0)) if self.mark else ()

    def width_down(self, width: int) -> int:
        """The widest clear width of a bay, a multiple of the mark, that is no more than this [ticks]."""
        return width // self.mark * self.mark if self.mark else width

    def width_up(self, width: int) -> int:
        """The least clear width of a bay, a multiple of the mark, that is no less than this [ticks]."""
        return -(-width // self.mark) * self.mark if self.mark else width

    def base_over(self, prescribed: Sequence[PrescribedOpening]) -> int:
        """Height over the floor at which the openings over prescribed ones begin; the base where there are none."""
        return prescribed[-1].bottom + prescribed[-1].height + self.panel if prescribed else self.base


@dataclass(frozen=True, slots=True)
class Problem:
    """Everything that a layout must satisfy and that its value depends on.

    `fixed` are bays that must be; with `keeps_bays` there are no others, and they stand today. `lost` is for a problem
    whose runs are parts of walls (`wall_parts`): for each choice of corners what each run loses at its left and right.
    `most_panel` is the area of panel that the budget buys [square ticks], counted as in `layout.panel_area`; 0: any.
    """

    things: tuple[Thing, ...]
    runs: tuple[Run, ...]
    corners: tuple[Corner, ...]
    rules: Rules
    top: int
    fixed: tuple[FixedBay, ...] = ()
    keeps_bays: bool = False
    lost: tuple[tuple[tuple[bool, ...], tuple[tuple[int, int], ...]], ...] = ()
    most_panel: int = 0

    def __post_init__(self) -> None:
        """Refuse a problem that says the same thing twice."""
        rows = [thing.row for thing in self.things]
        if len(set(rows)) != len(rows):
            msg = "two things have the same row"
            raise ValueError(msg)

    @property
    def as_given(self) -> Problem:
        """The same for openings that stand as they are: what binds only what is built anew is left out."""
        bare = replace(
            self.rules, under_ceiling=0, least_opening=0, least_drawer=0, highest_drawer=0, mark=0, pitch=0,
            usual_pitch=0,
        )  # fmt: skip
        return replace(self, rules=bare)

    def has_marked_widths(self, run: Run) -> bool:
        """Whether clear widths of the bays of a run are whole multiples of the mark.

        Not of a bay that must be, nor between two of them, nor where the places of bays count: there a bay is as wide
        as what it has to meet, or to leave open, says.
        """
        return bool(self.rules.mark) and run.is_plain and not run.fixed and not run.is_between

    def head_under(self, run: Run, ceiling: int) -> int:
        """Upper face of the top panel of a bay of a run under a ceiling so high [ticks]."""
        is_new = not (run.is_kept or self.keeps_bays)
        return min(self.top, ceiling - (self.rules.under_ceiling if is_new else 0))

    def head_over(self, run: Run, left: int, right: int) -> int:
        """Upper face of the top panel of a bay between two places along a run [ticks]."""
        return self.head_under(run, run.ceiling_over(left, right))

    def above_under(self, run: Run, ceiling: int) -> int:
        """Clear height of the opening over the top panel under a ceiling so high; 0 where there is none [ticks]."""
        above = ceiling - self.top
        return above if self.head_under(run, ceiling) == self.top and above >= max(1, self.rules.least_opening) else 0

    @property
    def value_of_all(self) -> int:
        """The value if every piece were stored."""
        return sum(thing.value * thing.count for thing in self.things)

    @property
    def first(self) -> int:
        """What a piece counts besides where it must have a place: more than all pieces by their use; 0: none must."""
        return max((thing.first for thing in self.things), default=0)

    def told(self, value: int) -> tuple[int, int]:
        """Of the pieces that must have a place how many have one, and the value by use, where so much is stored."""
        return divmod(value, self.first) if self.first else (0, value)

    def told_bound(self, value: int, bound: int) -> tuple[int, int]:
        """As `told` of a proven bound beside a value: where more must have a place, by use all may have one."""
        (most, by_use), (now, _) = self.told(bound), self.told(value)
        return most, by_use if most == now else self.told(self.value_of_all)[1]

    @property
    def has_choices(self) -> bool:
        """Whether some thing may be stored in ways that need openings of different kinds."""
        return any(thing.also for thing in self.things)

    @property
    def owners(self) -> tuple[str, ...]:
        """Owners of the things, sorted."""
        return tuple(sorted({thing.owner for thing in self.things if thing.owner is not None}))

    def thing(self, row: int) -> Thing:
        """The thing of one data row; `KeyError` when there is none."""
        for thing in self.things:
            if thing.row == row:
                return thing
        raise KeyError(row)

    def longest(self, run: int, kind: OpeningKind) -> int:
        """The widest bay of a run that may have an opening of this kind [ticks]."""
        limit = self.rules.max_rod if kind is OpeningKind.HANG else self.rules.max_shelf
        return max(limit, self.runs[run].fixed) if self.runs[run].is_kept else limit
