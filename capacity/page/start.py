"""Start: open or make a makeover folder, and see what is done and what is missing."""

from __future__ import annotations

import sys
from pathlib import Path

import streamlit as st

from capacity.closet.closet import FILE_NAME as CLOSET_NAME
from capacity.errors import InputError
from capacity.makeover.comparison import headline
from capacity.makeover.new_folder import COPIED, copy_variant, folder_name, make_empty
from capacity.makeover.plan import Plan
from capacity.makeover.samples import DEFAULT, FILES, SAMPLES, start_folder
from capacity.page.household import STALE, Household, one_writer, plain, read_household, show_faults
from capacity.wardrobe.inventory import FILE_NAME as INVENTORY_NAME
from capacity.wardrobe.inventory_rows import is_blank
from capacity.workshop.build_record import read_build, revision_of

MOST_LISTED = 50
EMPTY = "nothing yet"
SHARED = "--lan"
"""Second argument of the page's script when other machines may open it."""


def open_folder(given: Path | None) -> Path | None:
    """The folder that is open: chosen in this window, else last chosen in any, else the one of the command line."""
    st.session_state.given = str(given)
    chosen = st.session_state.get("folder") or _last_opened(str(given)).get("folder") or given
    if not chosen:
        return None
    st.session_state.folder = str(Path(chosen).absolute())  # another window that opens another leaves this one alone
    return Path(chosen).absolute()


def show(folder: Path | None) -> None:
    """Draw the step."""
    if folder is None:
        st.header("No folder is open yet: open one, or make one.")
    else:
        _state(read_household(folder))
    message = st.session_state.pop("start_fault", "")
    if message:
        st.error(plain(message))
    _opening(folder)
    _making(folder)
    _copying(folder)


def is_shared() -> bool:
    """Whether other machines in the network may open this page."""
    return SHARED in sys.argv[2:]


def folder_is_open(folder: Path | None) -> bool:
    """Whether there is a folder; says what to do when there is none."""
    if folder is None:
        st.header("No folder is open yet.")
        st.write("Open one, or make one from a sample, on the page Start.")
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
    counted = f"{inventory.pieces} pieces counted" if inventory else "nothing counted yet"
    if inventory is None and not is_blank(household.folder / INVENTORY_NAME):
        counted = "the count cannot be read"
    fitted = "a layout found" if plan and not household.is_stale else "no layout for it yet"
    st.header(f"{plain(household.name)}: {counted}, {fitted}.")
    st.caption(plain(household.folder.name if is_shared() else str(household.folder)))
    if household.folder.is_dir():
        lines = (_counted(household), _measured(household), _fitted(household), _built(household))
        st.markdown("\n".join(f"- {line}" for line in lines))
    show_faults(household)


def _counted(household: Household) -> str:
    inventory = household.inventory
    if inventory is None:
        is_missing = is_blank(household.folder / INVENTORY_NAME)
        return "**Counted:** " + ("not yet; the page Count takes it in" if is_missing else "cannot be read, see below")
    owners = f" of {plain(', '.join(inventory.owners))}" if inventory.owners else ""
    return f"**Counted:** {len(inventory.piles)} piles, {inventory.pieces} pieces{owners}"


def _measured(household: Household) -> str:
    closet = household.closet
    if closet is None:
        is_there = (household.folder / CLOSET_NAME).exists()
        missing = "not yet; the page Closet takes the walls and what stands there today"
        return "**Measured:** " + ("not wholly yet, see below" if is_there else missing)
    return f"**Measured:** {len(closet.wall)} wall{'s' if len(closet.wall) > 1 else ''}"


def _fitted(household: Household) -> str:
    if household.plan is None:
        return "**Fitted:** not yet; the page Fit finds a layout"
    stale = f"{STALE} It said: " if household.is_stale else ""
    return f"**Fitted:** {stale}{headline(household.plan)}"


def _built(household: Household) -> str:
    try:
        record = read_build(household.folder)
    except InputError as error:
        return f"**Built:** {plain(str(error))}"
    if record is None:
        return "**Built:** not yet; the page Build makes the packet"
    try:
        text = (household.folder / CLOSET_NAME).read_text(encoding="utf-8-sig")
    except (OSError, UnicodeDecodeError):
        text = ""
    is_current = household.plan is not None and record.revision == revision_of(household.plan, text)
    sheets = f"{record.sheet_count} sheet{'' if record.sheet_count == 1 else 's'}"
    old = "" if is_current and not household.is_stale else "; something has changed since it was made"
    return f"**Built:** a packet with {sheets}{old}"


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
        st.selectbox("Filled with", (EMPTY, *SAMPLES), index=1 + SAMPLES.index(DEFAULT), key="start_sample")
        st.text_input("Name of the new folder", value="first-closet", key="start_name")
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
        st.session_state.start_fault = "; ".join(str(fault) for fault in error.faults)
        return
    _open(folder)


def _copy(folder: Path) -> None:
    try:
        with one_writer(folder):  # a copy of one moment
            made = copy_variant(folder, st.session_state.start_copy)
    except InputError as error:
        st.session_state.start_fault = "; ".join(str(fault) for fault in error.faults)
        return
    _open(made)


def _open(folder: Path) -> None:
    st.session_state.folder = str(folder)
    _last_opened(st.session_state.given)["folder"] = str(folder)


@st.cache_resource
def _last_opened(given: str) -> dict[str, str]:
    """The folder last opened in this run of the page, so that a reload comes back to it."""
    return {}


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
