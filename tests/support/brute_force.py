"""The largest value of all layouts of a tiny problem, by listing what every bay can hold.

Written from the wording of the fit rules and of the wishes about sizes; nothing of the search, of the filling or of
their tables is used, only the record of the facts. All lengths of things, walls and rules must be whole quarter
inches, because every quarter inch is tried as the height of an opening; widths are exact.

`Contents` are pieces per thing. For every contents a bay can hold, the least clear width is found; bays are put
side by side until nothing more fits; the walls of a corner are combined for both owners of the corner.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from fractions import Fraction
from itertools import product
from math import ceil

from capacity.layout.problem import FixedBay, Problem, Run, Thing

INCH = 8128
QUARTER = INCH // 4

Contents = tuple[int, ...]
Widths = dict[Contents, int]
"""Least clear width [ticks] of a bay, or of a row of bays with its uprights, by contents."""

STORES = {"shelf": ("stand", "stack"), "drawer": ("drawer",), "hang": ("hang",)}
ALL = tuple(STORES)
"""How things are stored in openings of each kind."""

Bays = dict[tuple[Contents, bool, bool], int]
"""Least clear width [ticks] by contents, whether the bay has a shelf or drawer, and whether it has a rod."""


def best_value(facts: Problem) -> int:
    """The largest value that any layout stores."""
    values = [thing.value for thing in facts.things]
    best = 0
    for owners in product((True, False), repeat=len(facts.corners)):
        held: set[Contents] = {tuple(0 for _ in facts.things)}
        for number in range(len(facts.runs)):
            mine = _wall(facts, number, owners)
            held = {total for one in held for other in mine if (total := _sum(facts, one, other)) is not None}
        best = max([best, *(sum(map(int.__mul__, values, contents)) for contents in held)])
    return best


def _sum(facts: Problem, one: Contents, other: Contents) -> Contents | None:
    """Both together; None when that is more than there is."""
    total = tuple(map(int.__add__, one, other))
    return total if all(n <= thing.count for n, thing in zip(total, facts.things, strict=True)) else None


# ---- rules 4 to 8 and 12: what an opening holds ------------------------------------------------------


def _columns(facts: Problem, thing: Thing, pieces: int, height: int, depth: int) -> int | None:
    """Width that so many pieces of a thing take in an opening of its kind; None when they do not fit."""
    if pieces == 0:
        return 0
    rules = facts.rules
    if thing.store == "hang":
        fits = height >= thing.drop + rules.hang_allowance and depth >= 12 * INCH
        return pieces * thing.rod if fits else None
    if thing.store == "drawer":
        # slides of 10, 12, ... 28 in end 1 in before the back; the box is 1 in shorter, 1 1/4 in lower
        inside = max((slide * INCH - INCH for slide in range(10, 29, 2) if slide * INCH + INCH <= depth), default=0)
        high = min((height - 5 * QUARTER) // thing.height, max(1, 12 * INCH // thing.height))
    else:
        inside = depth
        high = min(thing.most, (height - rules.gap) // thing.height)
    if high < 1:
        return None
    sides = []
    for across, deep in ((thing.width, thing.depth), (thing.depth, thing.width)):
        if deep <= inside:
            rows = inside // deep if thing.store == "drawer" else min(rules.rows_deep, inside // deep)
            sides.append((across, rows))
    taken = [
        sum(
            ceil(Fraction(ceil(Fraction(n, high)), rows)) * across
            for n, (across, rows) in zip(split, sides, strict=True)
        )
        for split in product(range(pieces + 1), repeat=len(sides))
        if sum(split) == pieces
    ]
    return min(taken, default=None)


def _heights(facts: Problem, store: str, highest: int) -> Iterator[int]:
    """Clear heights that are built, or that count: every quarter inch, marks of that, or rows of holes."""
    rules = facts.rules
    least = {"stand": rules.least_opening, "drawer": rules.least_drawer}.get(store, 0)
    steps = [(rules.mark or QUARTER, 0)]
    if rules.pitch or rules.usual_pitch:
        steps.append((rules.pitch or rules.usual_pitch, rules.panel))
    del steps[0 : bool(rules.pitch)]
    assert all(step % QUARTER == 0 for step, _ in steps)
    for height in sorted({height for step, more in steps for height in range(step - more, highest + 1, step)}):
        if height >= max(1, least):
            yield height


def _openings(
    facts: Problem, store_kinds: tuple[str, ...], depth: int, highest: int
) -> list[tuple[int, Contents, int]]:
    """(clear height, contents, least clear width of the bay) of openings of one kind, none useless."""
    rules, things = facts.rules, facts.things
    ways = [next((way for way in thing.ways if way.store in store_kinds), None) for thing in things]
    ranges = [range(thing.count + 1) if way else range(1) for thing, way in zip(things, ways, strict=True)]
    found: list[tuple[int, Contents, int]] = []
    for contents in product(*ranges):
        narrowest: int | None = None
        for height in _heights(facts, store_kinds[0], highest):
            columns = [
                _columns(facts, way or thing, n, height, depth)
                for thing, way, n in zip(things, ways, contents, strict=True)
            ]
            if any(contents) and None not in columns:
                taken = Fraction(sum(column or 0 for column in columns))
                width = ceil(taken / (1 - rules.spare)) + (2 * INCH if store_kinds == ("drawer",) else 0)
                if narrowest is None or width < narrowest:
                    narrowest = width
                    found.append((height, contents, width))
    return found


# ---- rules 1, 3, 10: what a bay holds ----------------------------------------------------------------


def _stacks(
    facts: Problem, start: int, limit: int, depth: int, has_floor_rod: bool = False, only: tuple[str, ...] = ALL
) -> dict[tuple[Contents, bool, bool], int]:
    """Least clear width for contents of openings one over the other, from `start` up to `limit` [ticks].

    Each opening takes its height and the panel over it. With `has_floor_rod` the lowest is a rod on the floor. `only`
    are the kinds of opening that there are.
    """
    kinds = [(STORES[kind], kind != "hang", kind == "hang") for kind in only]
    rules, panel = facts.rules, facts.rules.panel
    choices = [
        (height, contents, width, is_shelf, is_rod, stores == ("drawer",))
        for stores, is_shelf, is_rod in kinds
        for height, contents, width in _openings(facts, stores, depth, limit)
    ]
    nothing = tuple(0 for _ in facts.things)
    # (contents, shelf, rod) to the (used height, width, upper face over the drawers, which stand lowest, whether there
    # are any), none beaten
    reached: dict[tuple[Contents, bool, bool], list[tuple[int, int, int, bool]]] = {}
    if has_floor_rod:
        for height, contents, width, _, is_rod, _ in choices:
            if is_rod and height + panel <= limit:
                _keep(reached.setdefault((contents, False, True), []), (height + panel, width, height + panel, False))
    else:
        reached[(nothing, False, False)] = [(start, 0, start, False)]
    for size in range(sum(thing.count for thing in facts.things)):
        for key in [key for key in reached if sum(key[0]) == size]:
            for used, width, drawn, has_drawer in list(reached[key]):
                for height, contents, wide, is_shelf, is_rod, is_drawer in choices:
                    total = _sum(facts, key[0], contents)
                    higher = used + height + panel
                    over = drawn + height + panel if is_drawer else drawn
                    is_low = not is_drawer or not rules.highest_drawer or over - panel <= rules.highest_drawer
                    if total is not None and higher <= limit and is_low:
                        following = (total, key[1] or is_shelf, key[2] or is_rod)
                        way = (higher, max(width, wide), over, has_drawer or is_drawer)
                        _keep(reached.setdefault(following, []), way)
    least = max(1, rules.least_opening) + panel

    found = {}
    for key, ways in reached.items():
        # the last opening takes what is left; a drawer that may not end so high needs an empty shelf over it
        is_high = 0 < rules.highest_drawer < limit - panel
        widths = [
            width
            for used, width, drawn, has_drawer in ways
            if not (is_high and has_drawer) or used > drawn or used + least <= limit
        ]
        if widths:
            found[key] = min(widths)
    return found


def _keep(ways: list[tuple[int, int, int, bool]], new: tuple[int, int, int, bool]) -> None:
    if not any(all(map(int.__le__, way, new)) for way in ways):
        ways[:] = [way for way in ways if not all(map(int.__le__, new, way))]
        ways.append(new)


def _merge(facts: Problem, one: Bays, other: Bays) -> Bays:
    """Both stacks in one bay."""
    both: Bays = {}
    for (low, low_shelf, low_rod), low_width in one.items():
        for (high, high_shelf, high_rod), high_width in other.items():
            total = _sum(facts, low, high)
            if total is not None:
                key = (total, low_shelf or high_shelf, low_rod or high_rod)
                both[key] = min(both.get(key, 10**9), max(low_width, high_width))
    return both


def _bays(facts: Problem, run: Run, upper: int, above: int, box: tuple[int, int] | None = None) -> Bays:
    """All contents of a bay whose top panel ends at `upper`, with `above` of room over it.

    `box` is the bottom and the top of a blocked part that the bay spans.
    """
    nothing = tuple(0 for _ in facts.things)
    base, panel = facts.rules.toe_kick + facts.rules.panel, facts.rules.panel
    limit = upper if box is None else box[0]
    bays: Bays = {}
    for has_floor_rod in (False, True):
        for key, width in _stacks(facts, base, limit, run.depth, has_floor_rod).items():
            bays[key] = min(bays.get(key, 10**9), width)
    if box is not None:
        bays[(nothing, False, False)] = 0
        bays = _merge(facts, bays, _stacks(facts, max(base, box[1] + panel), upper, run.depth))
    if (
        upper == facts.top and above >= max(1, facts.rules.least_opening) and (box is None or box[1] <= upper - panel)
    ):  # nothing lies on a top panel that is not there
        on_top: Bays = {(nothing, False, False): 0}
        for height, contents, width in _openings(facts, ("stand", "stack"), run.depth, above):
            if height <= above:
                key = (contents, True, False)
                on_top[key] = min(on_top.get(key, 10**9), width)
        bays = _merge(facts, bays, on_top)
    return {key: max(width, facts.rules.min_bay) for key, width in bays.items() if _is_allowed(facts, run, key[0])}


def _of_fixed(facts: Problem, item: FixedBay, upper: int, above: int) -> Bays:
    """All contents of a bay that must be: what it says at the bottom, over it openings of the kinds that it may have.

    Where a blocked part lies under it from the floor up, it begins over that.
    """
    nothing = tuple(0 for _ in facts.things)
    rules, run, panel = facts.rules, facts.runs[item.run], facts.rules.panel
    under = [box.top for box in run.blocked if item.left <= box.left and box.right <= item.left + item.width]
    start = max([rules.toe_kick, *under]) + panel
    bays: Bays = {(nothing, item.kinds == ("shelf",), item.kinds == ("hang",)): 0}
    for given in item.prescribed:
        empty = (nothing, given.kind != "hang", given.kind == "hang")
        assert given.bottom == start
        held: Bays = {empty: 0}
        for height, contents, width in _openings(facts, STORES[given.kind], item.depth, given.height):
            if height <= given.height:
                key = (contents, *empty[1:])
                held[key] = min(held.get(key, 10**9), width)
        bays = _merge(facts, bays, held)
        start = given.bottom + given.height + panel
    over = _stacks(facts, start, upper, item.depth, only=item.kinds)
    if "hang" in item.kinds and not item.prescribed and not under:
        for key, width in _stacks(facts, start, upper, item.depth, has_floor_rod=True, only=item.kinds).items():
            over[key] = min(over.get(key, 10**9), width)
    bays = _merge(facts, bays, over)
    if upper == facts.top and above >= max(1, rules.least_opening):
        on_top: Bays = {(nothing, False, False): 0}
        for height, contents, width in _openings(facts, ("stand", "stack"), item.depth, above):
            if height <= above:
                on_top[(contents, True, False)] = min(on_top.get((contents, True, False), 10**9), width)
        bays = _merge(facts, bays, on_top)
    is_built = [
        key for key in bays if any(key[0]) or any(key[1:])
    ]  # where nothing says what it is, an empty one is left to the caller
    return {key: bays[key] for key in is_built if not any(key[0]) or _is_allowed(facts, run, key[0])}


def _is_allowed(facts: Problem, run: Run, contents: Contents) -> bool:
    if any(n and thing.row in run.barred for thing, n in zip(facts.things, contents, strict=True)):
        return False
    owners = {thing.owner for thing, n in zip(facts.things, contents, strict=True) if n and thing.owner is not None}
    return any(contents) and (not facts.rules.owners_apart or len(owners) <= 1)


def _longest(facts: Problem, has_shelf: bool, has_rod: bool) -> int:
    rules = facts.rules
    return min([rules.max_shelf] * has_shelf + [rules.max_rod] * has_rod)


# ---- rules 1 and 2: what a wall holds ----------------------------------------------------------------


def _wall(facts: Problem, number: int, owners: tuple[bool, ...]) -> set[Contents]:
    """All contents of one wall when the corners are owned so."""
    run, rules = facts.runs[number], facts.rules
    start, end = run.kept_left, run.width - run.kept_right
    for corner, first_owns in zip(facts.corners, owners, strict=True):
        if corner.starts == number and first_owns:
            start = max(start, facts.runs[corner.ends].depth + rules.corner_access)
        if corner.ends == number and not first_owns:
            end = min(end, run.width - facts.runs[corner.starts].depth - rules.corner_access)
    if run.ceiling_left != run.ceiling_right:
        return _under_a_slope(facts, run, start, end)
    upper = min(facts.top, run.ceiling_left - (0 if facts.keeps_bays else rules.under_ceiling))
    bays = _bays(facts, run, upper, run.ceiling_left - facts.top)
    fixed = [item for item in facts.fixed if item.run == number]
    if fixed or facts.keeps_bays:
        return _beside_fixed(facts, run, bays, fixed, start, end)
    if not run.blocked:
        return set(_row(facts, bays, end - start))
    (box,) = run.blocked
    left = _row(facts, bays, box.left - start, is_placed=True)
    right = _row(facts, bays, end - box.right, is_placed=True)
    held = {total for one in left for other in right if (total := _sum(facts, one, other)) is not None}
    spanning = _bays(facts, run, upper, run.ceiling_left - facts.top, (box.bottom, box.top))
    for (contents, has_shelf, has_rod), width in spanning.items():
        longest = _longest(facts, has_shelf, has_rod)
        for before, used in left.items():
            first = start + max(rules.panel, used)
            for place in (first, box.left, box.right - longest, box.right - width):
                far = max(place + width, box.right)
                if first <= place <= box.left and far - place <= longest:
                    for behind, taken in right.items():
                        total = _sum(facts, contents, before)
                        total = total and _sum(facts, total, behind)
                        if total and far + max(rules.panel, taken) <= end:
                            held.add(total)
    return held


def _beside_fixed(facts: Problem, run: Run, bays: Bays, fixed: list[FixedBay], start: int, end: int) -> set[Contents]:
    """A plain wall with bays that must be, and rows of free bays beside and between them."""
    panel = facts.rules.panel
    held: set[Contents] = {tuple(0 for _ in facts.things)}
    gaps: list[Iterable[Contents]] = []
    for index, item in enumerate(fixed):
        is_cut = item.left - panel < start or item.left + item.width + panel > end
        if is_cut and not facts.keeps_bays:
            return set()  # these owners of the corners take some of it away
        play = 0 if facts.keeps_bays else facts.rules.under_ceiling
        upper, above = min(facts.top, run.ceiling_left - play), run.ceiling_left - facts.top
        one = _of_fixed(facts, item, upper, above)
        inside = {
            contents
            for (contents, has_shelf, has_rod), width in one.items()
            if width <= item.width and (facts.keeps_bays or item.width <= _longest(facts, has_shelf, has_rod))
        }
        held |= {total for mine in held for other in inside if (total := _sum(facts, mine, other)) is not None}
        if index:
            gaps.append(_between(facts, bays, item.left - fixed[index - 1].left - fixed[index - 1].width))
        else:
            gaps.append(_row(facts, bays, item.left - start))
    gaps.append(_row(facts, bays, end - fixed[-1].left - fixed[-1].width if fixed else 0))
    for gap in gaps if not facts.keeps_bays else []:
        held = {total for mine in held for other in gap if (total := _sum(facts, mine, other)) is not None}
    return held


def _between(facts: Problem, bays: Bays, room: int) -> set[Contents]:
    """All contents of a row between two bays that must be; `room` has the uprights of both at its ends.

    Nothing may be left over, so that both are shared, or enough for an upright beside another. Bays may be wider than
    their contents need, up to their longest shelf or rod.
    """
    panel, nothing = facts.rules.panel, tuple(0 for _ in facts.things)
    # contents to the (least, most) widths that the bays of a row and an upright each may have
    rows: dict[Contents, set[tuple[int, int]]] = {nothing: {(0, 0)}}
    for size in range(sum(thing.count for thing in facts.things)):
        for held in [held for held in rows if sum(held) == size]:
            for (contents, has_shelf, has_rod), width in bays.items():
                total, longest = _sum(facts, held, contents), _longest(facts, has_shelf, has_rod)
                if total is not None and width <= longest:
                    wider = {(low + width + panel, high + longest + panel) for low, high in rows[held]}
                    rows.setdefault(total, set()).update(way for way in wider if way[0] + panel <= room)
    return {
        held
        for held, ways in rows.items()
        if any(low + 2 * panel <= room or high + panel >= room for low, high in ways) or held == nothing
    }


def _row(facts: Problem, bays: Bays, room: int, is_placed: bool = False) -> Widths:
    """Least width with all uprights of bays side by side, by contents, at most `room`; 0 for no bay.

    `is_placed`: on a wall with a blocked part, where widths need not be whole multiples of the mark.
    """
    panel = facts.rules.panel
    mark = 1 if not facts.rules.mark or is_placed else facts.rules.mark
    usable = [
        (contents, ceil(Fraction(width, mark)) * mark)
        for (contents, has_shelf, has_rod), width in bays.items()
        if ceil(Fraction(width, mark)) * mark <= _longest(facts, has_shelf, has_rod)
    ]
    rows: Widths = {tuple(0 for _ in facts.things): 0}
    for size in range(sum(thing.count for thing in facts.things)):
        for held in [held for held in rows if sum(held) == size]:
            for contents, width in usable:
                total = _sum(facts, held, contents)
                wide = max(rows[held], panel) + width + panel
                if total is not None and wide <= room and wide < rows.get(total, room + 1):
                    rows[total] = wide
    return rows


def _under_a_slope(facts: Problem, run: Run, start: int, end: int) -> set[Contents]:
    """A wall for one bay only: it stands at the higher end, and every quarter inch is tried as its width."""
    rules = facts.rules
    assert end - start < 2 * rules.min_bay + 3 * rules.panel
    room = end - start - 2 * rules.panel
    held: set[Contents] = {tuple(0 for _ in facts.things)}
    for wide in range(rules.min_bay, room + 1, QUARTER):
        left = start + rules.panel if run.ceiling_left > run.ceiling_right else end - rules.panel - wide
        ceilings = [
            Fraction(run.ceiling_left * (run.width - place) + run.ceiling_right * place, run.width)
            for place in (left, left + wide)
        ]
        ceiling = int(min(ceilings))
        bays = _bays(facts, run, min(facts.top, ceiling - rules.under_ceiling), max(0, ceiling - facts.top))
        held |= {
            contents
            for (contents, has_shelf, has_rod), width in bays.items()
            if width <= wide <= _longest(facts, has_shelf, has_rod)
        }
    return held


def in_quarters(lengths: Iterable[int]) -> bool:
    """Whether all lengths are whole quarter inches, as this module needs."""
    return all(length % QUARTER == 0 for length in lengths)
