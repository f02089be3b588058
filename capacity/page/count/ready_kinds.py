"""The kinds that stand ready at 0 for a person, one tap each: what nearly everybody owns.

Common practice, no published source; in the order in which a wardrobe is usually emptied.
"""

from __future__ import annotations

from capacity.closet.closet import Closet
from capacity.wardrobe.inventory import Inventory

ADULT = (
    "t-shirt", "shirt", "blouse", "sweater", "sweatshirt", "jeans", "trousers", "shorts", "jacket", "coat",
    "midi dress", "underwear", "socks", "sneakers", "dress shoes", "ankle boots",
)  # fmt: skip
CHILD = (
    "kids top", "t-shirt", "sweater", "sweatshirt", "jeans", "leggings", "shorts", "kids dress", "jacket", "pajamas",
    "underwear", "socks", "swimwear", "hat", "kids shoes", "kids boots",
)  # fmt: skip
SHARED = ("towel", "sheet set", "blanket", "storage bin", "suitcase", "scarf", "hat", "handbag")


def ready_kinds(
    owner: str | None, inventory: Inventory | None, closet: Closet | None, has_names: bool = True
) -> tuple[str, ...]:
    """The kinds that stand ready for an owner, None for what belongs to nobody in particular.

    Where nobody has a name, those of a grown-up come first then: who lives alone need not give one. A child is known by
    the age that the closet file gives, or by things for children that are counted already.
    """
    if owner is None:
        return SHARED if has_names else (*dict.fromkeys((*ADULT, *SHARED)),)
    name = owner.casefold()
    people = closet.person if closet is not None else ()
    is_child = any(person.name.casefold() == name and person.age is not None and person.age <= 12 for person in people)
    piles = inventory.piles if inventory is not None else ()
    is_child = is_child or any(pile.owner == owner and pile.kind.startswith("kids ") for pile in piles)
    return CHILD if is_child else ADULT
