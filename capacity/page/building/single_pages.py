"""Single pages to print: where each pile goes, for the inside of the door, and what to buy, for the shop."""

from __future__ import annotations

import datetime
from functools import partial

import streamlit as st

from capacity.makeover.files_to_problem import size_problem
from capacity.makeover.plan import Plan, planned_layout
from capacity.page.household import Household
from capacity.upkeep.put_away import FILE_NAME as DOOR_LIST
from capacity.upkeep.put_away import format_put_away
from capacity.workshop.build_record import BuildRecord
from capacity.workshop.packet import Paper
from capacity.workshop.pages.shopping_page import FILE_NAME as SHOPPING_LIST
from capacity.workshop.pages.shopping_page import format_shopping_page


def offer(household: Household, plan: Plan, record: BuildRecord | None, paper: Paper, old: str) -> None:
    """Draw their buttons; each page is made when its button is pressed. `old` is said of what is of an old packet."""
    date = datetime.date.today().isoformat()
    if household.closet is not None and household.inventory is not None and not household.is_stale:
        layout = planned_layout(plan, size_problem(household.closet, household.inventory))
        st.download_button(
            "List for the door, one page (PDF)",
            data=partial(format_put_away, household.closet, household.inventory, layout, paper, date, False),
            file_name=f"{household.folder.name}-{DOOR_LIST}",
            mime="application/pdf",
            on_click="ignore",
            key="take_door_list",
            help="Where each pile goes, by opening and from A to Z.",
        )
    if record is not None:
        st.download_button(
            f"Shopping list, one page (PDF){old}",
            data=partial(format_shopping_page, record, paper, date),
            file_name=f"{household.folder.name}-{SHOPPING_LIST}",
            mime="application/pdf",
            on_click="ignore",
            key="take_shopping_page",
        )
