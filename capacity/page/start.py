"""Start: open or make a makeover folder, and see what is done and what is missing."""

from __future__ import annotations

import hashlib
import os
import sys
from pathlib import Path

import streamlit as st

from capacity.closet.closet import FILE_NAME as CLOSET_NAME
from capacity.errors import InputError
from capacity.makeover.comparison import headline
from capacity.makeover.new_folder import COPIED, copy_variant, folder_name, make_empty
from capacity.makeover.plan import Plan
from capacity.makeover.samples import FILES, SAMPLES, start_folder
from capacity.page.household import STALE, Household, one_writer, plain, read_household, show_faults
from capacity.page.words import told
from capacity.units import counted
from capacity.wardrobe.inventory import FILE_NAME as INVENTORY_NAME
from capacity.wardrobe.inventory_edits import is_blank
from capacity.workshop.build_record import current_revision, read_build

MOST_LISTED = 50
EMPTY = "nothing yet: your own closet"
CODE = "closet"
"""What an address calls the code of the folder that a window has open."""

PAGES = "pages"
"""Where a window keeps its pages by title, for links from one to another."""

SHARED = "--lan"
"""Second argument of the page's script when other machines may open it."""


def open_folder(given: Path | None) -> Path | None:
    """The folder of this window: chosen in it, else the one whose code its address holds, else the command line's.

    What another window opens never changes this one.
    """
    chosen = st.session_state.get("folder") or _folder_of_code(st.query_params.get(CODE, ""), given) or given
    if not chosen:
        return None
    folder = Path(chosen).absolute()
    st.session_state.folder = str(folder)
    code = _code_of(folder)
    _opened_folders()[code] = str(folder)
    if st.query_params.get(CODE) != code:
        st.query_params[CODE] = code
    return folder


def _code_of(folder: Path) -> str:
    """What stands in an address for a folder: neither its path nor its name, and the same after a new start."""
    return hashlib.sha256(os.fsencode(folder)).hexdigest()[:12]


def _folder_of_code(code: str, given: Path | None) -> str | None:
    """The folder that an address means, among those opened since the page was started and those beside them."""
    if code in _opened_folders():
        return _opened_folders()[code]
    around = _folders_in(_home(given.absolute() if given else None), None)
    return next((str(folder) for folder in around if _code_of(folder) == code), None)


@st.cache_resource
def _opened_folders() -> dict[str, str]:
    """The folders opened since the page was started, by their codes."""
    return {}


def show(folder: Path | None) -> None:
    """Draw the step."""
    if folder is None:
        st.header("No closet is open yet: make one, or open one.")
    else:
        household = read_household(folder)
        _state(household)
        _next_step(household)
    message = st.session_state.pop("start_fault", "")
    if message:
        st.error(plain(message))
    if folder is None:
        _making(folder)
        _opening(folder)
    else:
        _opening(folder)
        _making(folder)
    _copying(folder)


def is_shared() -> bool:
    """Whether other machines in the network may open this page."""
    return SHARED in sys.argv[2:]


def folder_is_open(folder: Path | None) -> bool:
    """Whether there is a folder; says what to do when there is none."""
    if folder is None:
        st.header("No closet is open yet.")
        st.write("Make one, or open one, on the page Start.")
    return folder is not None


def planned(folder: Path | None, to_do: str) -> tuple[Household, Plan] | None:
    """The folder and its layout, or None and what to do first; `to_do` is what a layout is wanted for."""
    if not folder_is_open(folder) or folder is None:
        return None
    household = read_household(folder)
    if household.plan is None:
        st.header(f"Nothing to {to_do} yet: there is no layout for this folder.")
        show_faults(household)
        st.write("The page Fit finds one.")
        return None
    return household, household.plan


def _state(household: Household) -> None:
    """What is counted, measured, fitted and built, each in a line; what is missing, in words."""
    inventory, plan = household.inventory, household.plan
    number = f"{counted(inventory.pieces, 'piece')} counted" if inventory else "nothing counted yet"
    if inventory is None and not is_blank(household.folder / INVENTORY_NAME):
        number = "the count cannot be read"
    fitted = "a layout found" if plan and not household.is_stale else "no layout for it yet"
    st.header(f"{plain(household.name)}: {number}, {fitted}.")
    st.caption(plain(household.folder.name if is_shared() else str(household.folder)))
    if household.folder.is_dir():
        lines = (_counted(household), _measured(household), _fitted(household), _built(household))
        st.markdown("\n".join(f"- {line}" for line in lines))
    show_faults(household)


def _next_step(household: Household) -> None:
    """One line on what comes first, and the way there."""
    if household.faults or not household.folder.is_dir():
        return
    if household.inventory is None:
        words, title = "First count what comes out of the closet.", "Count"
    elif household.closet is None:
        words, title = "Next, measure the walls and what stands there today.", "Closet"
    elif household.plan is None or household.is_stale:
        words, title = "All is there for a layout.", "Fit"
    else:
        words, title = "A layout is there.", "Compare"
    st.write(words)
    page = st.session_state.get(PAGES, {}).get(title)
    if page is not None:
        st.page_link(page, label=f"Go on: {title}")


def _counted(household: Household) -> str:
    inventory = household.inventory
    if inventory is None:
        is_missing = is_blank(household.folder / INVENTORY_NAME)
        return "**Counted:** " + ("not yet; the page Count takes it in" if is_missing else "cannot be read, see below")
    owners = f" of {plain(', '.join(inventory.owners))}" if inventory.owners else ""
    return f"**Counted:** {counted(len(inventory.piles), 'pile')}, {counted(inventory.pieces, 'piece')}{owners}"


def _measured(household: Household) -> str:
    closet = household.closet
    if closet is None:
        is_there = (household.folder / CLOSET_NAME).exists()
        missing = "not yet; the page Closet takes the walls and what stands there today"
        return "**Measured:** " + ("not wholly yet, see below" if is_there else missing)
    return f"**Measured:** {counted(len(closet.wall), 'wall')}"


def _fitted(household: Household) -> str:
    if household.plan is None:
        return "**Fitted:** not yet; the page Fit finds a layout"
    stale = f"{STALE} It said: " if household.is_stale else ""
    return f"**Fitted:** {stale}{headline(household.plan)}"


def _built(household: Household) -> str:
    try:
        record = read_build(household.folder)
    except InputError as error:
        return f"**Built:** {plain('; '.join(told(error)))}"
    if record is None:
        return "**Built:** not yet; the page Build makes the packet"
    plan = household.plan
    is_current = plan is not None and record.revision == current_revision(plan, household.folder)
    old = "" if is_current and not household.is_stale else "; something has changed since it was made"
    return f"**Built:** a packet with {counted(record.sheet_count, 'sheet')}{old}"


def _opening(folder: Path | None) -> None:
    st.subheader("Open a folder")
    around = _folders_in(_home(folder), folder)
    if around:
        st.selectbox(
            "Makeover folders here",
            [str(path) for path in around],
            format_func=lambda text: Path(text).name,
            index=None,
            placeholder="Choose one",
            key="start_choice",
            on_change=_open_chosen,
            args=(folder,),
        )
    if is_shared():
        st.caption("This page is open to the network: only folders beside the one it was started with can be opened.")
        return
    with st.form("open_form", border=False):
        st.text_input("Path of another folder", key="start_path", placeholder=str(Path.cwd() / "my-closet"))
        st.form_submit_button("Open folder", type="primary", on_click=_open_typed)


def _making(folder: Path | None) -> None:
    st.subheader("Make a folder")
    where = _home(folder)
    with st.form("make_form", border=False):
        st.selectbox("Filled with", (EMPTY, *SAMPLES), key="start_sample")
        st.text_input("Name of the new folder", value="my-closet", key="start_name")
        place = "beside this one" if is_shared() else f"in {where}"
        st.caption(plain(f"It is made {place}. Nothing is ever overwritten. The samples are invented households."))
        st.form_submit_button("Make it", on_click=_make, args=(str(where),))


def _copying(folder: Path | None) -> None:
    if folder is None or not any((folder / name).is_file() for name in COPIED):
        return
    st.subheader("Copy this one as a variant")
    with st.form("copy_form", border=False):
        st.text_input("Name of the copy", value=f"{folder.name} 2", key="start_copy")
        st.caption("The count, the closet and the layout are copied; both can then be changed and compared.")
        st.form_submit_button("Copy it", on_click=_copy, args=(folder,))


def _home(folder: Path | None) -> Path:
    """Where folders are looked for and made: beside the one that is shared, else where the page was started."""
    return folder.parent if folder is not None and is_shared() else Path.cwd()


def _open_chosen(folder: Path | None) -> None:
    chosen = st.session_state.start_choice
    if chosen in [str(path) for path in _folders_in(_home(folder), folder)]:  # a browser can send any text
        _open(Path(chosen))


def _open_typed() -> None:
    text = st.session_state.start_path.strip()
    if not text:
        st.session_state.start_fault = "Type the path of a folder first."
        return
    try:
        path = Path(text).expanduser().absolute()
        is_there = path.is_dir()
    except (OSError, RuntimeError, ValueError):
        path, is_there = Path(text), False
    if is_there:
        _open(path)
    else:
        st.session_state.start_fault = f"There is no folder {path}."


def _make(where: str) -> None:
    text, sample = st.session_state.start_name, st.session_state.start_sample
    try:
        if sample == EMPTY:
            folder = make_empty(Path(where), text)
        else:
            folder = Path(where, folder_name(text))
            start_folder(folder, sample)
    except InputError as error:
        st.session_state.start_fault = "; ".join(told(error))
        return
    _open(folder)


def _copy(folder: Path) -> None:
    try:
        with one_writer(folder):  # a copy of one moment
            made = copy_variant(folder, st.session_state.start_copy)
    except InputError as error:
        st.session_state.start_fault = "; ".join(told(error))
        return
    _open(made)


def _open(folder: Path) -> None:
    st.session_state.folder = str(folder)


def _folders_in(parent: Path, folder: Path | None) -> list[Path]:
    """Makeover folders in a folder, and the one that is open; to a network no link that leads elsewhere."""
    try:
        found = sorted(path for path in parent.iterdir() if any((path / name).is_file() for name in FILES))
    except OSError:
        found = []
    if is_shared():
        found = [path for path in found if path.resolve().parent == parent.resolve()]
    if folder is not None and folder not in found:
        found.insert(0, folder)
    return found[:MOST_LISTED]
