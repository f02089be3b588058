"""What the household has decided already: bays that must be, and things or owners that keep to a wall."""

from __future__ import annotations

from collections.abc import Iterator

from capacity.closet.closet import FILE_NAME, Closet
from capacity.closet.fields import show_value
from capacity.closet.walls import Wall
from capacity.closet.wishes import KeepTo
from capacity.errors import Fault
from capacity.layout.problem import FixedBay, OpeningKind, PrescribedOpening
from capacity.wardrobe.inventory import Inventory
from capacity.wardrobe.kinds import find_kind
from capacity.wardrobe.piles import Pile


def fixed_bays(closet: Closet) -> tuple[FixedBay, ...]:
    """The bays that stand where they are kept, else the bays that must be; the runs are the walls in their order."""
    index = {wall.name: number for number, wall in enumerate(closet.wall)}
    if closet.wishes.keep_bays:
        return tuple(FixedBay(index[bay.wall], bay.left, bay.width, bay.depth) for bay in closet.standing)
    plain = (
        FixedBay(index[bay.wall], bay.left, bay.width, closet.wall[index[bay.wall]].depth) for bay in closet.wishes.bay
    )
    banks = (
        FixedBay(
            run=index[bank.wall],
            left=bank.left,
            width=bank.width,
            depth=closet.wall[index[bank.wall]].depth,
            prescribed=_drawers(closet, bank.count, bank.height),
            kinds=(OpeningKind.SHELF, OpeningKind.HANG),
        )
        for bank in closet.wishes.drawers
    )
    return (*plain, *banks)


def _drawers(closet: Closet, count: int, height: int) -> tuple[PrescribedOpening, ...]:
    """A bank of drawers of one height, from the bottom panel up; its bay has no drawers besides."""
    thick = closet.panel.thickness
    bottoms = (closet.wishes.toe_kick + thick + number * (height + thick) for number in range(count))
    return tuple(PrescribedOpening(OpeningKind.DRAWER, bottom, height) for bottom in bottoms)


def barred_rows(closet: Closet, inventory: Inventory, wall: Wall) -> tuple[int, ...]:
    """Data rows of what may not be stored on a wall."""
    return tuple(pile.row for pile in inventory.piles if wall.name not in _walls_for(closet, pile))


def lock_faults(closet: Closet, inventory: Inventory) -> Iterator[Fault]:
    """Wishes that name nothing there is, or leave some pile no wall at all."""
    walls = {wall.name for wall in closet.wall}
    owners = {owner.casefold() for owner in inventory.owners}
    for number, wish in enumerate(closet.wishes.keep_to, start=1):
        place = f"[[wishes.keep_to]] {number}"
        if wish.wall not in walls:
            known = ", ".join(f'"{wall.name}"' for wall in closet.wall)
            yield Fault(FILE_NAME, f"{place}, wall", f"{show_value(wish.wall)} is not a wall; the walls are: {known}")
        if wish.owner is not None and wish.owner.casefold() not in owners:
            known = ", ".join(f'"{owner}"' for owner in inventory.owners) or "none"
            problem = f"{show_value(wish.owner)} owns nothing in the inventory; the owners are: {known}"
            yield Fault(FILE_NAME, f"{place}, owner", problem)
        if wish.what is not None and find_kind(wish.what) is None:
            problem = f"{show_value(wish.what)} is not a kind of the catalogue; write it as in the inventory"
            yield Fault(FILE_NAME, f"{place}, what", problem)
    if all(wish.wall in walls for wish in closet.wishes.keep_to):
        for pile in inventory.piles:
            if not _walls_for(closet, pile):
                problem = f"leaves row {pile.row} of the inventory, {pile.name}, no wall; take one of the wishes out"
                yield Fault(FILE_NAME, "[[wishes.keep_to]]", problem)


def _walls_for(closet: Closet, pile: Pile) -> set[str]:
    """The walls on which a pile may be: wishes about the same things join, others must all hold."""
    allowed = {wall.name for wall in closet.wall}
    about: dict[tuple[str | None, str | None], set[str]] = {}
    for wish in closet.wishes.keep_to:
        if _concerns(wish, pile):
            about.setdefault((wish.owner, wish.what), set()).add(wish.wall)
    for walls in about.values():
        allowed &= walls
    taken = {wish.wall for wish in closet.wishes.keep_to if wish.alone and not _concerns(wish, pile)}
    mine = {wish.wall for wish in closet.wishes.keep_to if _concerns(wish, pile)}
    # what belongs to nobody in particular may join an owner who wants a wall alone
    return allowed - (set() if pile.owner is None else taken - mine)


def _concerns(wish: KeepTo, pile: Pile) -> bool:
    if wish.owner is not None and (pile.owner is None or pile.owner.casefold() != wish.owner.casefold()):
        return False
    kind = None if wish.what is None else find_kind(wish.what)
    return wish.what is None or (kind is not None and kind.name == pile.kind)


def bay_faults(closet: Closet) -> Iterator[tuple[str, str]]:
    """Bays that must be but cannot: outside their wall, over each other, or cut by every choice of corners."""
    wishes, thick = closet.wishes, closet.panel.thickness

    show = closet.show

    if wishes.keep_bays and not closet.standing:
        yield "[wishes] keep_bays", "there are no bays to keep; write today's bays as [[before]]"
    bays = [
        *((f"[[wishes.bay]] {number}", bay) for number, bay in enumerate(wishes.bay, start=1)),
        *((f"[[wishes.drawers]] {number}", bank) for number, bank in enumerate(wishes.drawers, start=1)),
    ]
    if wishes.keep_bays and bays:
        name = "[[wishes.bay]]" if wishes.bay else "[[wishes.drawers]]"
        yield name, "cannot be wished for while keep_bays keeps today's bays; take one of the two out"
        return
    walls = {wall.name: wall for wall in closet.wall}
    seen: list[tuple[str, int, int]] = []
    for place, bay in bays:
        wall = walls.get(bay.wall)
        if wall is None:
            known = ", ".join(f'"{name}"' for name in walls)
            yield f"{place}, wall", f"{show_value(bay.wall)} is not a wall; the walls are: {known}"
            continue
        kept_left, kept_right = closet.design_ends(wall)
        start, room = kept_left, wall.clear_width - kept_right
        low, high = bay.left - thick, bay.left + bay.width + thick
        if low < start:
            least = show(start + thick)
            yield f"{place}, left", f"{show(bay.left)} leaves no room for its upright at the left; {least} at least"
        if high > room:
            yield f"{place}, width", f"the bay and its upright end at {show(high)}, beyond the wall's {show(room)}"
        if bay.width < wishes.min_bay:
            yield f"{place}, width", f"{show(bay.width)} is less than min_bay, {show(wishes.min_bay)}"
        if bay.width > max(wishes.max_shelf, wishes.max_rod):
            longest = show(max(wishes.max_shelf, wishes.max_rod))
            yield f"{place}, width", f"{show(bay.width)} is more than the longest shelf or rod, {longest}"
        for other, left, right in seen:
            between = max(low - right, left - high) + 2 * thick
            if other == bay.wall and between < thick:
                yield f"{place}, left", "it or its upright overlaps another bay that must be on the same wall"
            elif other == bay.wall and thick < between < 2 * thick:
                one, two = show(thick), show(2 * thick)
                words = f"{show(between)} is between it and another bay that must be: make that {one}, for one upright"
                yield f"{place}, left", f"{words}, or {two} at least, for two"
        seen.append((bay.wall, bay.left - thick, bay.left + bay.width + thick))
        for blocked in wall.blocked:
            right = blocked.left + blocked.width
            inside = bay.left <= blocked.left and right <= bay.left + bay.width
            if low < right and blocked.left < high and not inside:
                yield f"{place}, left", f"an upright of it would stand in the blocked part at {show(blocked.left)}"
    yield from _corner_faults(closet)


def _corner_faults(closet: Closet) -> Iterator[tuple[str, str]]:
    """A corner between two bays that must be, of which either would take the other's place."""
    must_be = (*closet.wishes.bay, *closet.wishes.drawers)
    access, thick = closet.wishes.corner_access, closet.panel.thickness
    walls = {wall.name: wall for wall in closet.wall}
    for wall in closet.wall:
        following = walls.get(wall.corner or "")
        if following is None:
            continue
        kept = wall.clear_width - following.depth - access
        cuts_first = any(bay.wall == wall.name and bay.left + bay.width + thick > kept for bay in must_be)
        cuts_next = any(bay.wall == following.name and bay.left - thick < wall.depth + access for bay in must_be)
        if cuts_first and cuts_next:
            yield (
                "[[wishes.bay]]" if closet.wishes.bay else "[[wishes.drawers]]",
                f'both walls of the corner "{wall.name}", "{following.name}" must have a bay in it; move one of them',
            )
