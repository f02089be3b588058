"""Which pieces to let go so that all the rest has a place: for the layout at hand, owner by owner."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, replace

from capacity.layout.fit_rules import stored_value, violations
from capacity.layout.layout import Layout
from capacity.layout.problem import Problem
from capacity.makeover.plan import Plan
from capacity.wardrobe.inventory import Inventory
from capacity.wardrobe.kinds import Store, find_kind
from capacity.wardrobe.piles import Pile


@dataclass(frozen=True, slots=True)
class LetGo:
    """What one owner would let go; None owns what is shared. `value` is what it counts, see `Use`."""

    owner: str | None
    pieces: tuple[tuple[Pile, int], ...]
    value: int


def to_let_go(plan: Plan, inventory: Inventory) -> tuple[LetGo, ...]:
    """What the layout leaves out, by owner, the one who gives up most first; no owner's pieces stand for another's."""
    by_owner: dict[str | None, list[tuple[Pile, int]]] = {}
    for item in plan.left_out:
        pile = inventory.pile(item.row)
        by_owner.setdefault(pile.owner, []).append((pile, item.count))
    found = [
        LetGo(owner, tuple(pieces), sum(pile.use.value_per_piece * count for pile, count in pieces))
        for owner, pieces in by_owner.items()
    ]
    return tuple(sorted(found, key=lambda one: (-one.value, one.owner or "")))


def rest_has_its_place(problem: Problem, layout: Layout, plan: Plan) -> bool:
    """Whether the layout, filled as it is, holds everything but what is let go: each rule is recomputed."""
    gone = {item.row: item.count for item in plan.left_out}
    fewer = [replace(thing, count=thing.count - gone.get(thing.row, 0)) for thing in problem.things]
    rest = replace(problem, things=tuple(thing for thing in fewer if thing.count))
    return not violations(rest, layout) and stored_value(rest, layout) == rest.value_of_all


def letting_go_in_words(plan: Plan, inventory: Inventory) -> Iterator[str]:
    """One line an owner."""
    for one in to_let_go(plan, inventory):
        pieces = ", ".join(f"{count} of {pile.count} {_named(pile)}, {pile.use.value}" for pile, count in one.pieces)
        yield f"{one.owner or 'Shared'} (value {one.value}): {pieces}."


def least_in_any_layout(plan: Plan) -> str:
    """How much must go whatever the layout, as far as that is proven."""
    must = plan.value.all - plan.value.bound
    goes = plan.value.all - plan.value.stored
    if must == goes:
        return f"No layout of this closet can do with less: value {must} has to go in any."
    if must:
        return f"Value {goes} goes here; in any layout of this closet at least {must} has to."
    return f"Value {goes} goes here; whether a layout can do with less is not proven."


def _named(pile: Pile) -> str:
    words = f"{pile.kind} {pile.size}" if pile.size else pile.kind
    return f"{words} ({pile.label})" if pile.label else words


def kinds_left_out(plan: Plan, inventory: Inventory) -> Iterator[str]:
    """One line for each kind of which not a single piece has a place, and one on drawers that stand empty meanwhile.

    Each with the wish that would change that.
    """
    out, too_large = Counter[str](), set[str]()
    for item in plan.left_out:
        out[inventory.pile(item.row).kind] += item.count
        too_large |= {inventory.pile(item.row).kind} if item.reason.startswith("larger") else set()
    owned = Counter[str]()
    for pile in inventory.piles:
        owned[pile.kind] += pile.count
    for kind, count in out.items():
        if count == owned[kind]:
            whom, all_of_it = ("it", "the one is") if count == 1 else ("them", f"all {count} are")
            wish = f'; to give {whom} a place before anything else is weighed, write [[wishes.must]] what = "{kind}"'
            yield f"No {kind} has a place: {all_of_it} left out{'' if kind in too_large else wish}."
    drawers = [o for wall in plan.walls for bay in wall.bays for o in bay.openings if o.kind == "drawer"]
    empty = sum(not drawer.holds for drawer in drawers)
    folded = dict.fromkeys(
        pile.kind for pile in (inventory.pile(item.row) for item in plan.left_out) if _may_lie_in_drawers(pile)
    )
    if empty and folded:
        words = f'write "stack or drawer" as the store of {", ".join(folded)}, which have no place'
        yield f"{empty} of {len(drawers)} drawers {'is' if empty == 1 else 'are'} empty: {words}."


def _may_lie_in_drawers(pile: Pile) -> bool:
    """Whether a pile is folded onto shelves only, though its kind has sizes for a drawer too."""
    if pile.in_drawers_too:
        return False
    kind, ways = find_kind(pile.kind), {store for store, _ in pile.ways}
    return Store.STACK in ways and Store.DRAWER not in ways and kind is not None and Store.DRAWER in kind.stores
