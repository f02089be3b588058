"""How many whole sheets a layout takes, and how little one sheet, or one roll of edge band, hangs on."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace

from capacity.closet.closet import Closet
from capacity.drawings.labels import length_words
from capacity.layout.layout import Layout
from capacity.layout.problem import Problem
from capacity.makeover.plan import SheetsToBuy
from capacity.solver.effort import Effort
from capacity.units import PER_INCH, PER_MM, counted
from capacity.workshop.cutting.cutting_plan import Blank, Saw, Stock
from capacity.workshop.cutting.least_cost import DoesNotFitError, cut, least_cost
from capacity.workshop.parts.carpentry import make_parts
from capacity.workshop.parts.parts import SHELVES, Part, Role, StockKind
from capacity.workshop.stock import BAND_ENDS, band_pieces, pieces_of, saw_of, sheet_choice, stick_choice, stick_saw

STEP = {"in": PER_INCH // 16, "mm": PER_MM}
"""Changes are tried in steps of a sixteenth or a millimetre, as a tape shows them [ticks]."""

INCH = {"in": 16, "mm": 25}
"""So many steps are about an inch; what takes more is not said."""

FOLLOWS_WIDTH = (*SHELVES, Role.KICK, Role.CLEAT)
"""Parts as long as their bay is wide."""


Parts = tuple[Part, ...]


@dataclass(frozen=True, slots=True)
class _Change:
    """Parts that are larger or smaller together, by what somebody would measure or write otherwise.

    `now` is what it is [ticks], `words` a sentence's middle with a place for what it would be. `made` are the parts
    with so much more; `beyond` is what edge band is longer at each end of an edge, where that is what changes.
    """

    now: int
    words: str
    made: Callable[[Parts, int], Parts]
    may_grow: bool = True
    beyond: Callable[[int], int] = lambda more: BAND_ENDS // 2


@dataclass(frozen=True, slots=True)
class _Bought:
    """Something that is bought whole: the pieces of it that parts take, what they are cut from, how many are needed."""

    one: str
    names: tuple[str, str]
    pieces: Callable[[Parts, int], tuple[Blank, ...]]
    stock: Stock
    saw: Saw
    number: int


def sheets_to_buy(closet: Closet, problem: Problem, layout: Layout, seconds: float | None = None) -> SheetsToBuy | None:
    """Whole sheets of board for the uprights and shelves of a layout, as its packet buys them.

    What is owned is left out; None where a part fits on no sheet. Of several sizes the cheapest set is taken, which
    may be more sheets than the fewest.
    """
    pieces = pieces_of(make_parts(closet, problem, layout).sheet_parts(StockKind.PANEL))
    stocks = sheet_choice(closet, StockKind.PANEL).stocks
    try:
        plan = cut(pieces, stocks, saw_of(closet), Effort(seconds), with_few_cuts=len(stocks) > 1)
    except DoesNotFitError:
        return None
    counts = plan.counts()
    number = sum(max(0, counts[stock.name] - stock.owned) for stock in stocks)
    return SheetsToBuy(number, min(number, -(-plan.bound // max(stock.cost for stock in stocks))))


def hangs_on(closet: Closet, problem: Problem, layout: Layout, parts: Parts) -> tuple[str, ...]:
    """What one sheet of board, and one roll of edge band, hang on, where that is no more than an inch.

    The least change is told after which one less would do, as a cutting shows it, and the least after which one more
    would be needed, as the bound proves it.
    """
    changes, units, effort = tuple(_changes(problem, layout)), closet.units, Effort()
    found = []
    for bought in _bought(closet, parts, effort):
        for sign in (-1, 1):
            least, hit = _narrowest(bought, parts, changes, sign * STEP[units], INCH[units], effort)
            if hit is not None:
                found.append(_in_words(closet, bought, least, hit, sign))
    return tuple(found)


def _narrowest(
    bought: _Bought, parts: Parts, changes: Sequence[_Change], step: int, most: int, effort: Effort
) -> tuple[int, _Change | None]:
    """The change that takes the fewest steps until one sheet less would do, or one more is needed, and how many."""
    does = _does_with_one_less if step < 0 else _takes_one_more
    if step < 0 and not _does_all_together(bought, parts, changes, most * step, effort):
        return 0, None
    least, hit = most + 1, None
    for change in changes:

        def is_enough(steps: int, change: _Change = change) -> bool:
            pieces = bought.pieces(change.made(parts, steps * step), change.beyond(steps * step))
            return does(bought, pieces, effort)

        if least > 1 and (step < 0 or change.may_grow) and is_enough(least - 1):
            least, hit = _fewest(is_enough, least - 1), change
    return least, hit


def _fewest(is_enough: Callable[[int], bool], most: int) -> int:
    """The fewest steps that are enough, where so many are."""
    low, high = 0, most
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (low, middle) if is_enough(middle) else (middle, high)
    return high


def _does_all_together(bought: _Bought, parts: Parts, changes: Sequence[_Change], more: int, effort: Effort) -> bool:
    """Whether one less would do with all changes at once; where it would not, it does with none."""
    beyond = BAND_ENDS // 2
    for change in changes:
        parts, beyond = change.made(parts, more), min(beyond, change.beyond(more))
    return _does_with_one_less(bought, bought.pieces(parts, beyond), effort)


def _changes(problem: Problem, layout: Layout) -> Iterator[_Change]:
    """A wall less or more deep, built-ins less or more high, a bay less wide, less band beyond the edges."""

    def changed(is_of: Callable[[Part], bool], length: int, width: int) -> Callable[[Parts, int], Parts]:
        def made(parts: Parts, more: int) -> Parts:
            return tuple(
                replace(part, length=part.length + length * more, width=part.width + width * more)
                if part.material is StockKind.PANEL and is_of(part)
                else part
                for part in parts
            )

        return made

    def is_deep(w: int) -> Callable[[Part], bool]:
        return lambda part: part.wall == w and part.role in (Role.UPRIGHT, *SHELVES)

    def is_wide(w: int, b: int) -> Callable[[Part], bool]:
        return lambda part: (part.wall, part.bay) == (w, b) and part.role in FOLLOWS_WIDTH

    def is_high(part: Part) -> bool:
        return part.role is Role.UPRIGHT and part.bottom + part.length == problem.top

    for w, (run, wall) in enumerate(zip(problem.runs, layout.walls, strict=True), 1):
        if wall.bays:
            yield _Change(run.depth, f'were the wall "{run.name}" {{}} deep', changed(is_deep(w), 0, 1))
        for b, bay in enumerate(wall.bays, 1):
            words = f'were bay {b} of the wall "{run.name}" {{}} wide'
            yield _Change(bay.width, words, changed(is_wide(w, b), 1, 0), may_grow=False)
    yield _Change(problem.top, "were the built-ins {} high", changed(is_high, 1, 0))
    yield _Change(
        BAND_ENDS // 2,
        "with {} more at each end of an edge",
        lambda parts, more: parts,
        may_grow=False,
        beyond=lambda more: BAND_ENDS // 2 + more,
    )


def _bought(closet: Closet, parts: Parts, effort: Effort) -> Iterator[_Bought]:
    """Board for uprights and shelves, and edge band, where one size of it is sold and none is owned."""

    def boards(parts: Parts, beyond: int) -> tuple[Blank, ...]:
        return pieces_of([part for part in parts if part.material is StockKind.PANEL])

    def bands(parts: Parts, beyond: int) -> tuple[Blank, ...]:
        return tuple(band_pieces(parts, beyond))

    for one, names, pieces, choice, saw in (
        ("One sheet of board", ("sheet", "sheets"), boards, sheet_choice(closet, StockKind.PANEL), saw_of(closet)),
        ("One roll of edge band", ("roll", "rolls"), bands, stick_choice(closet, "edge band"),
         stick_saw(closet, "edge band")),
    ):  # fmt: skip
        now = pieces(parts, BAND_ENDS // 2)
        if len(choice.stocks) == 1 and not choice.stocks[0].owned and now:
            plan = cut(now, choice.stocks, saw, effort, with_few_cuts=False)
            yield _Bought(one, names, pieces, choice.stocks[0], saw, len(plan.layouts))


def _does_with_one_less(bought: _Bought, pieces: tuple[Blank, ...], effort: Effort) -> bool:
    stock, fewer = bought.stock, bought.number - 1
    if any(min(piece.length, piece.width) <= 0 for piece in pieces):
        return False
    if sum(piece.length * piece.width for piece in pieces) > fewer * stock.length * stock.width:
        return False
    if least_cost(pieces, (stock,), bought.saw) > fewer * stock.cost:
        return False
    return len(cut(pieces, (stock,), bought.saw, effort, with_few_cuts=False).layouts) <= fewer


def _takes_one_more(bought: _Bought, pieces: tuple[Blank, ...], effort: Effort) -> bool:
    try:
        return least_cost(pieces, (bought.stock,), bought.saw) > bought.number * bought.stock.cost
    except DoesNotFitError:
        return False


def _in_words(closet: Closet, bought: _Bought, steps: int, change: _Change, sign: int) -> str:
    by, number = steps * STEP[closet.units], bought.number
    then, now, little = (length_words(length, closet.units) for length in (change.now + sign * by, change.now, by))
    does = "would do" if sign < 0 else "would be needed"
    return (
        f"{bought.one} hangs on {little}: {change.words.format(then)} instead of {now}, "
        f"{counted(number + sign, *bought.names)} {does} instead of {number}."
    )
