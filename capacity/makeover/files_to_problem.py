"""From the user's two files to the problem: `closet.toml` and `inventory.csv` as things, runs and rules."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction

from capacity.checks.sag_limits import longest_rod, longest_shelf
from capacity.closet.closet import Closet
from capacity.closet.walls import BayToday, Wall
from capacity.closet.wishes import ROWS
from capacity.layout.layout import Bay, Layout, Opening, WallLayout
from capacity.layout.problem import BlockedPart, Corner, OpeningKind, Problem, Rules, Run, Thing
from capacity.makeover.what_must_be import barred_rows, fixed_bays, kept_free, must_have_place
from capacity.wardrobe.growth import CHARTS, GROWN_UP, grown, growth
from capacity.wardrobe.inventory import Inventory
from capacity.wardrobe.kinds import Store
from capacity.wardrobe.piece_dimensions import Shape
from capacity.wardrobe.piles import Pile

LOW_FAMILIES, LOW_FROM_KG = ("footwear", "boots"), 5.0
"""What belongs low: shoes, and pieces of this weight or more (common practice, no published source)."""


def size_problem(closet: Closet, inventory: Inventory) -> Problem:
    """The problem that a household's files pose; piles without a piece are left out.

    With the wish `years` each piece is as large as it is now or will be then, whichever is more: a layout holds both.
    """
    inventory = _for_both(inventory, grown_inventory(closet, inventory, closet.wishes.years))
    names = [wall.name for wall in closet.wall]
    wishes = closet.wishes
    max_shelf, max_rod = support_limits(closet, inventory)
    has_drawers = closet.has_drawers
    more = 1 + sum(pile.use.value_per_piece * pile.count for pile in inventory.piles)
    problem = Problem(
        things=tuple(
            _thing(pile, more if must_have_place(closet, pile) else 0, has_drawers)
            for pile in inventory.piles
            if pile.count
        ),
        runs=tuple(replace(_run(wall, closet), barred=barred_rows(closet, inventory, wall)) for wall in closet.wall),
        corners=tuple(
            Corner(index, names.index(wall.corner)) for index, wall in enumerate(closet.wall) if wall.corner
        ),
        rules=Rules(
            panel=closet.panel.thickness, toe_kick=wishes.toe_kick, gap=wishes.gap,
            hang_allowance=wishes.hang_allowance, min_bay=wishes.min_bay, max_shelf=max_shelf, max_rod=max_rod,
            rows_deep=wishes.rows_deep, corner_access=wishes.corner_access, owners_apart=wishes.owners_apart,
            spare=wishes.spare_share, under_ceiling=closet.under_ceiling, least_opening=wishes.least_opening,
            least_drawer=wishes.least_drawer, highest_drawer=wishes.highest_drawer, mark=wishes.round,
            pitch=wishes.fixed_pitch, usual_pitch=ROWS[closet.units] if wishes.pitch == "auto" else 0,
        ),
        top=closet.top,
        keeps_bays=closet.wishes.keep_bays,
    )  # fmt: skip
    return replace(problem, fixed=fixed_bays(closet, problem))


def grown_inventory(closet: Closet, inventory: Inventory, years: int) -> Inventory:
    """The same pieces in the sizes of so many years on: those of owners whose age is written, up to `GROWN_UP`."""
    factors = {
        person.name.casefold(): growth(person.age, years, (person.chart,) if person.chart else CHARTS)
        for person in closet.person
        if years and person.age is not None and person.age < GROWN_UP
    }
    if not factors:
        return inventory
    return replace(
        inventory,
        piles=tuple(grown(pile, factors.get((pile.owner or "").casefold(), Fraction(1))) for pile in inventory.piles),
    )


def _for_both(now: Inventory, later: Inventory) -> Inventory:
    """Piles that take the larger of both sizes in each direction, with the names of now."""
    if now is later:
        return now
    names = ("width", "depth", "height", "drop", "rod")

    def both(one: Shape, other: Shape) -> Shape:
        return replace(one, **{name: max(getattr(one, name), getattr(other, name)) for name in names})

    return replace(
        now,
        piles=tuple(
            replace(
                one,
                shape=both(one.shape, other.shape),
                others=tuple((way, both(a, b)) for (way, a), (_, b) in zip(one.others, other.others, strict=True)),
            )
            for one, other in zip(now.piles, later.piles, strict=True)
        ),
    )


def _thing(pile: Pile, first: int, has_drawers: bool) -> Thing:
    """A pile in every way in which it may be stored; `first` is what a piece counts besides its use.

    Where there must be drawers, what usually lies in drawers too may lie there.
    """
    ways = pile.ways
    if has_drawers and pile.in_drawers_too:
        ways = (*ways, (Store.DRAWER, replace(pile.shape, most=1)))
    thing, *others = (
        Thing(
            pile.row, pile.name, pile.count, pile.use.value_per_piece + first, pile.owner, store, shape.width,
            shape.depth, shape.height, shape.drop, shape.rod, shape.most, belongs_low=_belongs_low(pile), first=first,
        )
        for store, shape in ways
    )  # fmt: skip
    return replace(thing, also=tuple(others))


def _belongs_low(pile: Pile) -> bool:
    """Whether a pile is of what belongs low: footwear, and pieces so heavy that nobody should lift them down."""
    return pile.family in LOW_FAMILIES or pile.shape.weight_kg >= LOW_FROM_KG


def support_limits(closet: Closet, inventory: Inventory) -> tuple[int, int]:
    """Longest shelf and longest rod without a support [ticks]: what the user set, else what the stock allows.

    Computed from the stock and the heaviest that could stand or hang there, rounded down to a tick, never above
    the usual 36 and 48 in and never below the narrowest bay (the checks then say that it falls short).
    """
    wishes, shelf, rod = closet.wishes, closet.wishes.max_shelf, closet.wishes.max_rod
    if "max_shelf" not in wishes.model_fields_set:
        computed = longest_shelf(closet.panel, [wall.depth for wall in closet.wall], inventory.piles, wishes.rows_deep)
        shelf = max(wishes.min_bay, computed)
    if "max_rod" not in wishes.model_fields_set:
        rod = max(wishes.min_bay, longest_rod(closet.rod, inventory.piles))
    return shelf, rod


def _run(wall: Wall, closet: Closet) -> Run:
    left, right = wall.ceiling or (closet.ceiling, closet.ceiling)
    lifted = 0 if closet.wishes.keep_bays else wall.level  # built-ins are levelled from the highest point of the floor
    kept_left, kept_right = closet.design_ends(wall)
    return Run(
        name=wall.name,
        width=wall.clear_width,
        depth=wall.depth,
        ceiling_left=min(left, closet.ceiling) - lifted,
        ceiling_right=min(right, closet.ceiling) - lifted,
        blocked=tuple(
            BlockedPart(part.left, part.left + part.width, part.bottom, part.bottom + part.height, part.what or "")
            for part in wall.blocked
        )
        + kept_free(closet, wall),
        kept_left=kept_left,
        kept_right=kept_right,
    )


def todays_layout(closet: Closet) -> Layout:
    """Today's bays and openings as a layout with nothing in it, in the order of the walls."""
    return _empty_layout(closet, closet.before)


def standing_layout(closet: Closet) -> Layout:
    """The bays and openings that stand now, built or today's, with nothing in them, in the order of the walls."""
    return _empty_layout(closet, closet.standing)


def _empty_layout(closet: Closet, bays: Sequence[BayToday]) -> Layout:
    return Layout(
        tuple(
            WallLayout(
                wall.name,
                tuple(
                    Bay(
                        bay.left,
                        bay.width,
                        bay.depth,
                        tuple(
                            Opening(OpeningKind(opening.kind), opening.bottom, opening.height)
                            for opening in sorted(bay.openings, key=lambda opening: opening.bottom)
                        ),
                    )
                    for bay in sorted(bays, key=lambda bay: bay.left)
                    if bay.wall == wall.name
                ),
            )
            for wall in closet.wall
        ),
        tuple(True for wall in closet.wall if wall.corner),
    )
