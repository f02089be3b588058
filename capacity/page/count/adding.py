"""Add something else: its kind, whose, how many, and its size where a size could change the plan."""

from __future__ import annotations

from functools import cache, partial

import streamlit as st

from capacity.errors import InputError
from capacity.makeover.plan import layout_of
from capacity.makeover.sizes_wanted import KnownRoom, room_in, size_matters
from capacity.page.household import Household, change_file, plain
from capacity.page.words import told
from capacity.wardrobe.inventory import FILE_NAME
from capacity.wardrobe.inventory_edits import with_pile
from capacity.wardrobe.kinds import Kind, kinds
from capacity.wardrobe.piles import MOST_PIECES, Use
from capacity.wardrobe.size_text import EXAMPLES

LONGEST_NAME = 60
NAMED = "count_people"
"""Where a window keeps the people that were named in it and own nothing yet."""

WHOSE = "count_whose"
"""Where it keeps the name of whose things are counted, None for what is shared."""

MEASURED = ("width", "depth", "height")
"""What is asked of a kind that has no figures of its own."""


def show(household: Household) -> None:
    """Draw the fields, folded away at first; who has added one, or tried to, may want to add the next."""
    with st.expander("Add something else", expanded="add_goes_on" in st.session_state):
        word = st.selectbox(
            "What",
            tuple(words()),
            index=None,
            placeholder="Type any word for it",
            format_func=_with_kind,
            key="add_kind",
        )
        name = None if word is None else words()[word]
        owners, whose = owners_of(household), st.session_state.get(WHOSE)
        if st.session_state.get("add_for", "") != (whose or ""):  # whose things are counted, until another is chosen
            st.session_state.add_for, st.session_state.add_owner = whose, whose if whose in owners else None
        st.selectbox(
            "Whose",
            owners,
            index=None,
            placeholder="Shared; or choose, or type a name",
            accept_new_options=True,
            format_func=plain,
            key="add_owner",
        )
        st.session_state.setdefault("add_count", 1)
        st.session_state.setdefault("add_use", Use.WEEKLY.value)
        count = st.number_input(
            "How many (pairs for footwear)", min_value=0, max_value=MOST_PIECES, step=1, key="add_count"
        )
        st.radio("How often", [use.value for use in Use], horizontal=True, key="add_use")
        if name is not None:
            _size(household, kinds()[name], int(count))
        st.button("Add it", key="add_pile", disabled=name is None, on_click=partial(_add, household))
        for fault in st.session_state.pop("add_faults", ()):
            st.error(plain(fault))


@cache
def words() -> dict[str, str]:
    """Every word for a kind, its own name and what else people call it, with the kind that it means."""
    named = {kind.name: kind.name for kind in kinds().values()}
    for kind in kinds().values():
        for alias in kind.aliases:
            named.setdefault(alias, kind.name)
    return dict(sorted(named.items(), key=lambda item: item[0].casefold()))


def _with_kind(word: str) -> str:
    kind = words()[word]
    return word if kind == word else f"{word}: {kind}"


def owners_of(household: Household) -> tuple[str, ...]:
    """Everybody known: who owns something, the people of the closet file, who was named in this window."""
    counted = household.inventory.owners if household.inventory else ()
    known: dict[str, str] = {}
    for name in (*counted, *household.people, *st.session_state.get(NAMED, ())):
        known.setdefault(name.casefold(), name)
    return tuple(known.values())


def _size(household: Household, kind: Kind, count: int) -> None:
    if not kind.stores:
        st.caption(f"Nobody knows how large {kind.name} is: measure one piece.")
        for column in MEASURED:
            st.text_input(column.capitalize(), key=f"add_{column}", max_chars=40)
    elif kind.size_system == "none":
        st.caption(f"{kind.name} has no sizes. If it is an odd one, add it, open it, and measure it.")
    elif size_matters(kind, kind.store, count, room_of(household)):
        st.text_input(
            f"Size: it changes what fits. Empty is {kind.middle_size}.",
            key="add_size",
            max_chars=40,
            placeholder=EXAMPLES[kind.size_system],
        )
    else:
        st.caption(f"No size is needed for so many: any usual one fits alike, so {kind.middle_size} is reckoned with.")


def room_of(household: Household) -> KnownRoom | None:
    """What is known of the closet, with the openings of its layout while that still holds."""
    if household.closet is None:
        return None
    plan = household.plan
    holds = plan is not None and not household.is_stale
    return room_in(household.closet, layout_of(plan.after.walls, plan.units) if plan and holds else None)


def _add(household: Household) -> None:
    said = st.session_state
    owner = " ".join((said.get("add_owner") or "").split())
    if len(owner) > LONGEST_NAME:
        said.add_faults = (f"Not added: the name has {len(owner)} letters; use at most {LONGEST_NAME}.",)
        return
    said.add_goes_on = True  # what was typed stays in sight until it is right
    use = said.get("add_use", Use.WEEKLY.value)
    kind = words().get(said.get("add_kind") or "", "")
    cells = {
        "what": kind,
        "count": str(said.get("add_count", 1)),
        "size": (said.get("add_size") or "").strip(),
        "owner": owner,
        "use": "" if use == Use.WEEKLY.value else use,
        **{column: (said.get(f"add_{column}") or "").strip() for column in MEASURED},
    }
    try:
        change_file(household.folder / FILE_NAME, lambda text: with_pile(text, cells, household.units))
    except InputError as error:
        said.add_faults = tuple(f"Not added: {line}" for line in told(error))
        return
    size = f" {cells['size']}" if cells["size"] else ""
    said.count_toast = f"Added: {cells['count']} {kind}{size}, {owner or 'shared'}"
    said[WHOSE] = owner or None  # a pile just added is on the screen, also another owner's
    said.add_kind, said.add_count, said.add_use = None, 1, Use.WEEKLY.value
    for column in ("size", *MEASURED):
        said.pop(f"add_{column}", None)
