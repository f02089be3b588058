"""Check the proof that a plan carries: `python prove.py DIR`, where DIR has plan.json and inventory.csv.

To be carried away: it needs Python alone, imports nothing of the program that made the plan, and is written from the
wording of the fit rules. The layout must obey every rule and store what it says; and for any prices s >= 0 of a piece

    L(s) = sum of count * max(0, value - s) + for each free stretch of wall the dearest row of bays at s

is at least the value of every layout (weak duality: Lagrangian relaxation of "nothing is stored twice"; Geoffrion 1974,
Mathematical Programming Study 2, 82-114). Where branching parts all layouts into boxes, by how many pieces are stored,
bays built or openings needed (`counted`: pieces and rows; or bay or kind, clear height, width in steps, owner), each
has prices of its own and a charge >= 0 for each limit: L + charge * limit - charge for each that is counted, or with
a least number the other way round. Spoiled prices prove less, never too much. Numbers are whole: millionths of a point
of value, ticks (1/320 mm); needs are rounded down. Sizes of things and walls are taken on trust from `proof.facts`.
"""
import csv
import json
import sys
from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Sequence
from itertools import pairwise, product
from math import gcd
from operator import add, gt, sub
from pathlib import Path
from types import SimpleNamespace as Record

MILLION, INCH, NEVER, WIDTHS, HEIGHTS = 10**6, 8128, -(10**18), 3000, 6000  # the last two: most units of a table
LENGTHS, LONGEST = ("left", "width", "depth", "bottom", "height"), 32 * 10**6  # 100 m
USUAL = {"first": 0, "also": [], "parts": [], "prices": [], "panel": 0, "charges": []}
KIND = {"stand": "shelf", "stack": "shelf", "hang": "hang", "drawer": "drawer"}
Way = tuple[int, list[tuple[int, int]]]  # width of a column, and (clear height, pieces) by the number on each other

class _Closet(Record):  # the facts of a proof, and the rules that everything else asks
    def __init__(self, facts: Record) -> None:
        super().__init__(**vars(facts))
        self.whole, self.thick, rules = sum(t.value * t.count for t in self.things), self.rules.panel, self.rules
        lengths = [n for wall in self.walls for n in (self.top, wall.width, wall.depth, *wall.kept, *wall.ceiling)]
        longest = max(map(abs, [*lengths, *(n for n in vars(rules).values() if isinstance(n, int))]))
        pieces = max([max(thing.count, thing.most) for thing in self.things], default=0)
        if longest > LONGEST or len(self.corners) > 8 or pieces > 10**5:
            msg = f"proof.facts: {longest // 320} mm (at most {LONGEST // 320}), {pieces} pieces (100000), or 9 corners"
            raise ValueError(msg)
        self.highest = self.head(max(max(wall.ceiling) for wall in self.walls))
        self.more = max([t.first for t in self.things], default=0) or self.whole + 4  # for what must be
        for wall in self.walls:  # whether every place is as good as any other, beside bays that must be
            inside = [any(m.left <= b[0] and b[1] <= m.left + m.width for m in wall.fixed) for b in wall.blocked]
            wall.is_plain = wall.ceiling[0] == wall.ceiling[1] and all(inside)
        self.limit = {"shelf": rules.max_shelf, "drawer": rules.max_shelf, "hang": rules.max_rod}
        self.least = {"shelf": rules.least_opening, "drawer": rules.least_drawer, "hang": 0}
        rows = [(rules.usual_pitch, self.thick)] if rules.usual_pitch else []
        self.steps = [(rules.pitch, self.thick)] if rules.pitch else [(rules.mark, 0), *rows] if rules.mark else []
    def counted(self, height: int) -> int:  # how much of a clear height is of use: down to a row of holes or a mark
        return max(((height + more) // step * step - more for step, more in self.steps), default=height)
    def built(self, kind: str, need: int) -> int:  # the clear height that is built for a need
        need = max(need, self.least[kind])
        return min((-(-(need + more) // step) * step - more for step, more in self.steps), default=need)
    def inside(self, thing: Record, depth: int) -> tuple[int, int, int, int]:  # depth, rows, height lost, most high
        if thing.store != "drawer":
            return depth, self.rules.rows_deep, self.rules.gap, thing.most
        slide = max((n * INCH for n in range(10, 29, 2) if (n + 1) * INCH <= depth), default=INCH)
        return slide - INCH, depth, 5 * INCH // 4, max(1, 12 * INCH // thing.height)
    def ways(self, thing: Record, depth: int, is_given: bool) -> list[Way]:  # each turning that is best in something
        if thing.store == "hang":
            needs, sizes = [(thing.drop + self.rules.hang_allowance, 1)], [(thing.rod, 1)] if depth >= 12 * INCH else []
        else:
            deep, most_rows, lost, most = self.inside(thing, depth)
            needs = [(n * thing.height + lost, n) for n in range(1, most + 1)]
            both = sorted({(thing.width, thing.depth), (thing.depth, thing.width)})
            sizes = [(width, min(most_rows, deep // back)) for width, back in both]
        needs = [(need if is_given else self.built(KIND[thing.store], need), n) for need, n in needs]
        some = [(w, rows) for i, (w, rows) in enumerate(sizes) if rows > max([0, *(rows for _, rows in sizes[:i])])]
        return [(w, [(need, n * rows) for need, n in needs]) for w, rows in some]  # wider only with more rows
    def room(self, kind: str, width: int) -> int:  # what columns may take of an opening's width: rules 6, 7, 8, 12
        full, of = self.rules.spare
        return int(max(0, width - (2 * INCH if kind == "drawer" else 0)) * (of - full) // of)
    def ends(self, owners: Sequence[bool]) -> list[tuple[int, int]]:  # what each wall may use, left and right: rule 2
        left, right = [wall.kept[0] for wall in self.walls], [wall.width - wall.kept[1] for wall in self.walls]
        for (first, second), first_owns in zip(self.corners, owners, strict=True):
            lost = self.walls[first if first_owns else second].depth + self.rules.corner_access
            left[second] = max(left[second], lost * first_owns)
            right[first] = min(right[first], self.walls[first].width - lost * (not first_owns))
        return [(a, max(a, b)) for a, b in zip(left, right, strict=True)]
    def ceiling(self, wall: Record, *places: int) -> int:  # the least height of the ceiling over places along a wall
        return min(int((wall.ceiling[0] * (wall.width - x) + wall.ceiling[1] * x) // wall.width) for x in places)
    def head(self, ceiling: int) -> int:  # upper face of the top panel: a little under the ceiling, if built anew
        return int(min(self.top, ceiling - (0 if self.keeps_bays else self.rules.under_ceiling)))
    def is_marked(self, wall: Record, at: int) -> bool:  # clear widths on the mark: not between bays that must be
        return bool(self.rules.mark and wall.is_plain and len({m.left < at for m in wall.fixed if m.left != at}) < 2)

def _layout_faults(closet: _Closet, walls: list[list[Record]], owners: Sequence[bool]) -> Iterator[str]:
    stored, area, thick, keeps = Counter[int](), 0, closet.thick, closet.keeps_bays
    for wall, bays, (start, end) in zip(closet.walls, walls, closet.ends(owners), strict=True):
        wanted, uprights = {(item.left, item.width): item for item in wall.fixed}, Counter[int]()
        if set(wanted) - {(bay.left, bay.width) for bay in bays} or (keeps and len(bays) > len(wanted)):
            yield f"{wall.name}: a bay that must be is not there, or one more is"
        for bay, after in pairwise([Record(left=start, width=0), *bays, Record(left=end, width=0)] if bays else []):
            between, least = after.left - bay.left - bay.width, (2 if bay.width and after.width else 1) * thick
            if not keeps and between != thick and between < least:
                yield f"{wall.name}: {between} for the uprights after a bay at {bay.left}"
        for number, bay in enumerate(bays, start=1):
            said = _bay_faults(closet, wall, bay, wanted.get((bay.left, bay.width)), stored)
            yield from (f"{wall.name}, bay {number}: {words}" for words in said)
            under = {o.bottom - thick for o in bay.openings if o.bottom > 0}
            over = {o.bottom + o.height for o in bay.openings if o.bottom < closet.top}
            area += len(under | over) * bay.width * bay.depth
            upright = closet.head(closet.ceiling(wall, bay.left, bay.left + bay.width)) * bay.depth
            uprights |= Counter({bay.left - thick: upright, bay.left + bay.width: upright})
        area += 0 if keeps else sum(uprights.values())
    if 0 < closet.most_panel < area:
        yield "there is more panel than the budget buys"
    yield from (f"row {t.row}: {stored[t.row]} of {t.count} stored" for t in closet.things if stored[t.row] > t.count)
def _bay_faults(closet: _Closet, wall: Record, bay: Record, must: Record | None, stored: Counter[int]) -> Iterator[str]:
    rules, thick, left, right, keeps = closet.rules, closet.thick, bay.left, bay.left + bay.width, closet.keeps_bays
    wished, ceiling, beside = must.prescribed if must else [], closet.ceiling(wall, left, right), 0 if keeps else thick
    upper, crossed = closet.head(ceiling), [box for box in wall.blocked if left < box[1] and box[0] < right]
    limits = [closet.limit[o.kind] for o in bay.openings if o.kind == "hang" or o.holds or o.bottom < upper]
    is_wide = keeps or rules.min_bay <= bay.width <= min(limits, default=right)
    is_off = not must and closet.is_marked(wall, left) and bay.width % rules.mark
    if bay.depth != (must or wall).depth or not is_wide or is_off or not bay.openings:
        yield f"{bay.depth} deep, {bay.width} wide, {len(bay.openings)} openings"
    near = [] if keeps else [box for box in wall.blocked if left - beside < box[1] and box[0] < right + beside]
    if any(not left <= box[0] < box[1] <= right for box in near):
        yield "an upright in a blocked part"
    things, owners, below, reached = {thing.row: thing for thing in closet.things}, set(), 0, 0
    for number, opening in enumerate(bay.openings):
        low, high, kind, is_new = opening.bottom, opening.bottom + opening.height, opening.kind, number >= len(wished)
        over, apart = low - (reached if number else rules.toe_kick), (2 if number else 1) * thick
        is_right = over == thick or (low == number == 0 and kind == "hang") or (crossed != [] and over >= apart)
        if low >= upper:
            is_right = kind == "shelf" and low == closet.top and high <= ceiling and number == below
        below, reached = (below, reached) if low >= upper else (below + 1, high)
        if is_new and not keeps:
            is_right &= high - low >= closet.least[kind] and (low >= upper or not must or kind in must.kinds)
            is_right &= not (kind == "drawer" and 0 < rules.highest_drawer < high)
        is_right &= low < high and (is_new or [kind, low, high - low] == wished[number])
        ends = max(0, low - thick), high + (thick if low < upper else 0)
        if not is_right or any(ends[0] < box[3] and box[2] < ends[1] for box in crossed):
            yield f"a {kind} opening from {low} to {high} may not be there"
        taken, height = 0, closet.counted(opening.height) if is_new else opening.height
        for item in opening.holds:
            thing = next((way for way in things[item.row].also if KIND[way.store] == kind), things[item.row])
            stored[item.row] += item.count
            owners |= {thing.owner} - {None}
            width, back = (thing.depth, thing.width) if item.turned else (thing.width, thing.depth)
            if thing.store == "hang":
                fits = thing.drop + rules.hang_allowance <= height and bay.depth >= 12 * INCH
                taken += item.count * thing.rod
            else:
                deep, most_rows, lost, most = closet.inside(thing, bay.depth)
                rows, stack = min(most_rows, deep // back), min(most, (height - lost) // thing.height)
                fits = min(rows, stack) > 0
                taken += -(item.count // -stack // -rows) * width if fits else 0
            if not fits or item.count < 1 or KIND[thing.store] != kind or item.row in wall.barred:
                yield f"row {item.row} does not fit into opening {number + 1}, or does not belong there"
        if taken > closet.room(kind, bay.width):
            yield f"opening {number + 1}: {taken} taken of {closet.room(kind, bay.width)}"
    if below and reached + thick != upper and not (crossed and reached + thick < upper):
        yield f"the top panel ends at {reached + thick}, not at {upper}"
    if rules.owners_apart and len(owners) > 1:
        yield "things of two owners"

def _openings(piles: list[tuple[int, int, list[Way]]], most: int) -> tuple[list[tuple[int, list[int]]], int]:
    # (clear height, worth of the dearest contents by units of room) for piles as price, count and ways, and the unit
    piles = [(price, count, [way for way in ways if way[0] <= most]) for price, count, ways in piles]
    heights, piles = {need for *_, ways in piles for _, needs in ways for need, _ in needs}, [p for p in piles if p[0]]
    exact, tables = gcd(*(width for _, _, ways in piles for width, _ in ways)) or 1, []
    unit = exact * max(1, -(-most // (exact * WIDTHS)))
    for height in sorted(heights):
        table = [0] * (most // unit + 1)
        for price, count, ways in piles:  # a bounded knapsack: one pile more, in sums of columns as (units, pieces)
            before, found, sums = table, 0, [(0, 0)]
            for width, needs in ways:
                one, each = width // unit, max((n for need, n in needs if need <= height), default=0)
                some = [(a, b, min(-(-count // max(1, each)), (most // unit - a) // max(1, one))) for a, b in sums]
                sums = [(a + k * one, b + k * each) for a, b, last in some for k in range(last * (each > 0) + 1)]
            for width, pieces in sorted(sums):
                if min(count, pieces) > found:
                    found = min(count, pieces)
                    table = [*table[:width], *map(max, table[width:], (value + found * price for value in before))]
        tables.append((height, table))
    return tables, unit
def _bays(closet: _Closet, things: list[Record], box: Record, step: int, depth: int, must: Record | None,
          is_marked: bool, owner: str | None, panel: int) -> Callable[..., list[int]]:
    # what the dearest bay of every size (its width and one upright, in units of a step) is worth, by its heights
    rules, thick, given, over, stacks = closet.rules, closet.thick, 0, [(0, [0])], []
    limit = {kind: max(each, must.width if must and closet.keeps_bays else 0) for kind, each in closet.limit.items()}
    least, most = (must.width, must.width) if must else (rules.min_bay, max(limit.values()))
    sizes = [*range((least + thick) // step, (most + thick) // step + 1)]
    lows, tops = [max(m * step - thick, least) for m in sizes], [min((m + 1) * step - thick - 1, most) for m in sizes]
    tops = [top // rules.mark * rules.mark if is_marked else top for top in tops]
    costs, upright = [panel * depth * low // INCH**2 for low in lows], 0 if closet.keeps_bays else panel * depth
    none, charges = [0] * len(lows), [(*c[:3], each) for c, each, _ in box.charges if c[3] in ("", owner)]
    def charged(values: Iterable[int], kind: str, height: int) -> list[int]:  # for bays, or for openings so high
        some = [(size, each) for of, high, size, each in charges if of == kind and high <= height]
        return [value - sum(each for size, each in some if size <= m) for value, m in zip(values, sizes, strict=True)]
    for kind in ("shelf", "hang", "drawer"):
        mine = [way for thing in things for way in (thing, *thing.also) if KIND[way.store] == kind]
        for _, _, height in [item for item in must.prescribed if item[0] == kind] if must else []:
            piles = [(box.prices[thing.row], thing.count, closet.ways(thing, depth, True)) for thing in mine]
            tables, _ = _openings(piles, closet.room(kind, lows[0]))
            given += max((table[-1] for need, table in tables if need <= height), default=0) - costs[0]
        piles = [(box.prices[thing.row], thing.count, closet.ways(thing, depth, False)) for thing in mine]
        (tables, unit), last = _openings(piles, closet.room(kind, limit[kind])), none
        at = [closet.room(kind, min(top, limit[kind])) // unit for top in tops]
        inside = closet.highest - thick - (0 if kind == "hang" else rules.toe_kick + thick)
        for height, table in tables:
            values = [table[i] if low <= limit[kind] else NEVER for i, low in zip(at, lows, strict=True)]
            over += [(height, [max(0, value) for value in values])] if kind == "shelf" else []
            values = charged(map(sub, values, costs), kind, height)
            if height <= inside and (not must or kind in must.kinds) and any(map(gt, values, last)):
                stacks.append((kind, height + thick, values))
                last = values
    exact = gcd(*(cost for _, cost, _ in stacks)) or 1
    unit = exact * max(1, -(-closet.top // (exact * HEIGHTS)))
    some = [(kind, max(1, cost // unit), values) for kind, cost, values in stacks]
    rods = [(cost, values) for kind, cost, values in some if kind == "hang" and not (must and must.prescribed)]
    columns = [*zip(none, *(values for _, _, values in some), strict=True)]
    apart = {column: number for number, column in enumerate(dict.fromkeys(columns))}  # of sizes worth the same, one
    best, few = [[0] * len(apart)], [(some[k][1], [column[k + 1] for column in apart]) for k in range(len(some))]
    for units in range(1, closet.top // unit + 1):
        row = best[-1]
        for cost, values in (item for item in few if item[0] <= units):
            row = [*map(max, row, map(add, best[units - cost], values))]
        best.append(row)
    def worth(stretches: Sequence[int], standing: int, above: int) -> list[int]:
        # for heights over bottom panels from the floor up, from the floor to the first stop, and over the top panel
        *rooms, stand = [min(len(best) - 1, max(0, height) // unit) for height in (*stretches, standing)]
        first, *others = [[best[units][apart[column]] for column in columns] for units in rooms]
        total = [*map(sub, first, costs)]
        for cost, values in (rod for rod in rods if rod[0] <= stand):
            total = [*map(max, total, map(add, values, (best[stand - cost][apart[column]] for column in columns)))]
        tops = [values for height, values in over if 0 < height <= above] or [none]
        for more in (*others, tops[-1], [given - upright * max(0, standing) // INCH**2] * len(none)):
            total = [*map(add, total, more)]
        return total if must else charged(total, "bay", 0)
    return worth
def _bound(closet: _Closet, owners: Sequence[bool], box: Record, step: int) -> int:
    # L(s) in millionths for one box of a choice of corners; 0 where a corner would cut a bay that must be
    thick, rules, panel = closet.thick, closet.rules, max(0, int(box.panel)) if closet.most_panel else 0
    least, met = (rules.min_bay + thick) // step, Record(bays={}, worth={})  # what was worked out already
    names = sorted({thing.owner for thing in closet.things} - {None}) if rules.owners_apart else []
    def worth(wall: Record, must: Record | None, marked: bool, ceiling: int, boxes: list[list[int]]) -> list[int]:
        # what the dearest bay of every size is worth, under a ceiling, that spans some blocked parts
        form = (wall.depth, *wall.barred, must and (wall.name, must.left), marked)
        if form not in met.bays:
            things = [t for t in closet.things if t.row not in wall.barred]
            who = [(n, [t for t in things if t.owner in (None, n) or not names]) for n in names or [None]]
            met.bays[form] = [_bays(closet, m, box, step, (must or wall).depth, must, marked, n, panel) for n, m in who]
        upper, above, stops, low = closet.head(ceiling), ceiling - closet.top, list[tuple[int, int]](), 0
        for _, _, bottom, top in sorted(boxes, key=lambda box: box[2:]):
            stops.append((low, min(bottom, upper)))
            low = max(low, top, rules.toe_kick)
            if top > closet.top - thick and bottom < ceiling:
                above = min(above, bottom - closet.top)
        (_, first), *others = [*stops, (low, upper)]
        base = sum((must.prescribed if must and must.prescribed else [[0, rules.toe_kick, 0]])[-1][1:]) + thick
        heights = (first - base, *(max(0, high - max(low + thick, base)) for low, high in others))
        above = above if upper == closet.top and above >= rules.least_opening else 0
        if (key := (form, heights, first, above)) not in met.worth:
            met.worth[key] = [max(each) for each in zip(*(value(*key[1:]) for value in met.bays[form]), strict=True)]
        return met.worth[key]  # type: ignore[no-any-return]
    def placed(wall: Record, place: int, size: int) -> int:
        # the best bay whose left upright begins in one unit of a wall, with the best of the ceilings that it may have
        low, high = place * step + thick, (place + 1) * step + thick - 1
        narrow, wide = max(size * step - thick, rules.min_bay), (size + 1) * step - thick - 1
        boxes = [box for box in wall.blocked if low + narrow + thick > box[0] and high - thick < box[1]]
        is_shut = low + narrow + thick > wall.width or any(low > b[0] or min(high, b[0]) + wide < b[1] for b in boxes)
        end = min(low + narrow if wall.ceiling[0] > wall.ceiling[1] else high, wall.width)
        return NEVER if is_shut else worth(wall, None, False, closet.ceiling(wall, end), boxes)[size - least]
    def row(wall: Record, start: int, end: int) -> int:  # the dearest row of bays, uprights at both its ends included
        first, last = (0, (end - start - thick) // step) if wall.is_plain else (start // step, (end - thick) // step)
        here = worth(wall, None, closet.is_marked(wall, start), max(wall.ceiling), [])
        best, sizes = [0] * max(1, last + 1), len(here)
        for place in range(first, last + 1):
            best[place] = max(best[place], best[place - 1] if place > first else 0)
            reach = range(least, min(least + sizes, last - place + 1))
            here = here if wall.is_plain else [placed(wall, place, size) for size in reach]
            for size, value in zip(reach, here, strict=False):
                best[place + size] = max(best[place + size], best[place] + value)
        return int(best[-1])
    total = sum(each * number for _, each, number in box.charges) - -panel * closet.most_panel // INCH**2
    for thing in closet.things:
        less = sum(each for (of, rows, *_), each, _ in box.charges if of == "pieces" and thing.row in rows)
        total += thing.count * max(0, thing.value * MILLION - box.prices[thing.row] - less)
    for wall, (start, end) in zip(closet.walls, closet.ends(owners), strict=True):
        marks = [start]
        for must in wall.fixed:
            left, right = must.left, must.left + must.width
            if not closet.keeps_bays and (left - thick < start or right + thick > end):
                return 0
            boxes = [box for box in wall.blocked if left < box[1] and box[0] < right]
            total += worth(wall, must, False, closet.ceiling(wall, left, right), boxes)[0]
            marks += [left, right]
        ends = [] if closet.keeps_bays else [*marks, end]
        more = panel * wall.depth * max(0, closet.head(min(wall.ceiling))) // INCH**2  # one upright more than bays
        rows = sum(row(wall, a, b) for a, b in zip(ends[::2], ends[1::2], strict=True))
        total += rows - more if wall.fixed and not closet.keeps_bays else max(0, rows - more)
    return int(total)
def _boxes(box: Record, path: Sequence[Record] = ()) -> Iterator[Record]:
    # the boxes into which all layouts are parted: those with at most so many of what is counted, and those with more
    for part, side in zip(box.parts, (1, -1), strict=True) if box.parts else ():
        yield from _boxes(part, [*path, Record(of=box.counted, side=side, number=int(box.number) + (side < 0))])
    if not box.parts:
        box.prices = Counter({row: max(0, int(price)) for row, price in box.prices})
        box.charges = [(p.of, p.side * max(0, int(c)), p.number) for p, c in zip(path, box.charges, strict=False)]
        yield box
def _inventory_faults(closet: _Closet, text: str) -> Iterator[str]:  # piles of another number or use than is proven
    header, things = text.split("\n", 1)[0], {thing.row: thing for thing in closet.things}
    rows = csv.DictReader(text.splitlines(keepends=True), delimiter=max(",;\t", key=header.count))
    cells = [{str(key).strip().casefold(): str(cell or "").strip() for key, cell in row.items()} for row in rows]
    for number, row in enumerate((row for row in cells if any(row.values())), start=1):
        value = {"daily": 3, "seasonal": 1}.get(row.get("use", "").casefold(), 2)
        thing = things.get(number, Record(count=0, value=value))
        if (int(row["count"]), value) != (thing.count, thing.value % closet.more):
            yield f"inventory.csv, row {number}: {row['count']} of {value} each, not as in the proof"
def prove(folder: Path) -> tuple[list[str], int, Record]:
    """What is wrong with a plan, the value that no layout exceeds, and the plan; it must carry a proof."""
    plan = json.loads(folder.joinpath("plan.json").read_text("utf-8"), object_hook=lambda it: Record(**USUAL | it))
    closet, per = _Closet(plan.proof.facts), {"in": INCH, "mm": 320}[plan.units]
    for record in [each for wall in plan.walls for bay in wall.bays for each in (bay, *bay.openings)]:
        vars(record).update({key: round(each * per) for key, each in vars(record).items() if key in LENGTHS})
    owns = [plan.corners[i] == closet.walls[first].name for i, (first, _) in enumerate(closet.corners)]
    faults = [*_inventory_faults(closet, folder.joinpath("inventory.csv").read_text("utf-8-sig"))]
    faults += _layout_faults(closet, walls := [wall.bays for wall in plan.walls], owns)
    values = {thing.row: thing.value for thing in closet.things}
    stored = sum(values[i.row] * i.count for w in walls for bay in w for o in bay.openings for i in o.holds)
    (pieces, stored), everything = divmod(stored, closet.more), closet.whole % closet.more
    if (stored, everything) != (plan.value.stored, plan.value.all):
        faults.append(f"stored is {stored} of {everything}; the plan says {plan.value.stored} of {plan.value.all}")
    given, step, most = {tuple(choice.owners): choice for choice in plan.proof.choices}, max(127, plan.proof.step), 0
    for owners in product((True, False), repeat=0 if closet.keeps_bays else len(closet.corners)):
        for box in _boxes(given.get(owners, Record(**USUAL))):
            most = max(most, _bound(closet, owners or owns, box, int(step)))
    first, by_use = divmod(min(most // MILLION, closet.whole), closet.more)
    return faults, by_use if first == pieces else everything, plan

def main(arguments: Sequence[str]) -> int:
    """Print the answer; 0 where it is yes, 1 where something is wrong or weaker than said, 2 for no plan."""
    try:
        faults, most, plan = prove(Path(arguments[0] if arguments else "."))
    except (OSError, ValueError, AttributeError, LookupError, TypeError, ArithmeticError, RecursionError) as error:
        print(f"no plan with a proof that can be read: {type(error).__name__}: {error}", file=sys.stderr)
        return 2
    weaker = most > plan.value.bound and f"valid but weaker than the {plan.value.bound} of the plan"
    end = weaker or ("proven best" if most == plan.value.stored else "as the plan says")
    right = f"The layout obeys every rule and stores {plan.value.stored}; no layout stores more than {most}: {end}"
    print("\n".join(f"wrong: {fault}" for fault in faults) or right)
    return 1 if faults or weaker else 0

if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
