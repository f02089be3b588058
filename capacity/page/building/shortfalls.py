"""What falls short with its cure, which a button takes over where it is a setting; what is not checked; cautions."""

from __future__ import annotations

from pathlib import Path

import pandas as pd
import streamlit as st

from capacity.checks.all_checks import Report, Unchecked
from capacity.checks.cautions import DEFER
from capacity.checks.check import Check, Cure, figures, shortfalls, tally_of
from capacity.closet.closet import FILE_NAME as CLOSET_NAME
from capacity.closet.text_edits import Edit, changed_text
from capacity.errors import InputError
from capacity.page.household import change_file, escaped, plain
from capacity.page.words import in_page_words, told

WITHOUT = "none was found; change the closet and find a layout again"
WAYS = ("goes ", "turns ", "stands up ", "floor to lie on")
"""How the names of checks begin that compare what must pass with the room that there is."""

CHOICES = ("wishes", "panel", "rod", "wall", "construction", "assembly")
"""Settings of the closet file that say what is built."""


def is_setting(cure: Cure) -> bool:
    """Whether a cure is a choice of what is built, so that it can be written into the closet file and no more is done.

    A door that is widened or taken off, a step, or pieces put elsewhere, are work.
    """
    return bool(cure.settings) and all(place.split(".")[0] in CHOICES for place in cure.settings)


def show(checks: tuple[Check, ...], folder: Path | None) -> None:
    """Draw what falls short, one frame a fault, then every kind of check in a table.

    With `folder`, a cure that is a setting of it can be used.
    """
    if not checks:
        st.write("Find the layout again, and it is checked.")
        return
    short = shortfalls(checks)
    if not short:
        st.write("Nothing falls short.")
    for number, group in enumerate(short):
        with st.container(border=True):
            _one(number, group, folder)
    with st.expander(f"Every check, {len(checks)} in all"):
        st.table(escaped(pd.DataFrame(tally_of(checks))), hide_index=True, border="horizontal")
        st.caption("A ratio of 1 is at the limit; what is above 1 falls short.")


def _one(number: int, group: tuple[Check, ...], folder: Path | None) -> None:
    worst = group[0]
    places = "; ".join(str(check.place) for check in group)
    st.markdown(f"**Falls short: {plain(worst.name)}**, {plain(places)}")
    note = f"; {worst.note}" if worst.note else ""
    st.write(plain(f"It {_measured(worst, worst)}{note}."))
    cure = worst.cure
    if cure is None:
        st.markdown(f"**Cure:** {plain(in_page_words(worst.advice) or WITHOUT)}.")
    else:
        st.markdown(f"**Cure:** {plain(f'{in_page_words(cure.sentence)}; then it {_measured(worst, cure)}.')}")
        if folder is not None and is_setting(cure):
            st.button("Use this cure", key=f"cure_{number}", on_click=_use, args=(folder, cure))
    st.caption(plain(f"Source: {worst.source} ({worst.how_known})"))


def _measured(check: Check, at: Check | Cure) -> str:
    """What a check, or its cure, comes to, and the limit, as the end of a sentence."""
    words = figures(at.computed, at.limit, check.sense, check.unit)
    found, is_limited, limit = words.partition(f", {check.sense} ")
    if not is_limited:
        return f"is {found}"
    if check.name.startswith(WAYS):
        return f"needs {found}, and the room for it is {limit}"
    return f"is {found}; {check.sense} {limit} is right"


def _use(folder: Path, cure: Cure) -> None:
    """Write the settings of a cure into the closet file; Undo on the page Closet takes them back."""
    edits = [
        Edit(tuple(int(part) - 1 if part.isdigit() else part for part in place.split(".")), value)
        for place, value in cure.settings.items()
    ]
    try:
        change_file(folder / CLOSET_NAME, lambda text: changed_text(text, edits))
    except InputError as error:
        st.session_state.build_said = "; ".join(told(error))
    else:
        st.session_state.build_said = (
            f"Written into the closet: {in_page_words(cure.sentence)}. Undo on the page Closet takes it back."
        )


def show_cautions(report: Report, unchecked: tuple[Unchecked, ...]) -> None:
    """Draw what could not be checked and where to enter it, and where the work can hurt somebody."""
    if unchecked:
        st.markdown("**Not checked**")
        st.markdown("\n".join(f"- {plain(item.on_the_page)}" for item in unchecked))
    st.markdown("**Before you begin**")
    st.markdown(
        "\n".join(
            f"- **{plain(item.topic.capitalize())}:** {plain(item.words.removesuffix(DEFER).strip())}"
            for item in report.cautions
        )
    )
    st.write(f"For all of it: {DEFER[:1].lower()}{DEFER[1:]}")
