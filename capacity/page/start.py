"""Start: open or make a makeover folder, and see what is done and what is missing."""

from __future__ import annotations

from pathlib import Path

import streamlit as st

from capacity.comparing import headline
from capacity.errors import InputError
from capacity.page.household import STALE, Household, plain, read_household, show_faults
from capacity.samples import DEFAULT, FILES, SAMPLES, start_folder

MOST_LISTED = 50


def open_folder(given: Path | None) -> Path | None:
    """The folder that is open: chosen in this window, else last chosen in any, else the one of the command line."""
    st.session_state.given = str(given)
    chosen = st.session_state.get("folder") or _last_opened(str(given)).get("folder") or given
    return Path(chosen).absolute() if chosen else None


def show(folder: Path | None) -> None:
    """Draw the step."""
    if folder is None:
        st.header("No folder is open yet: open one, or make one from a sample.")
    else:
        _state(read_household(folder))
    message = st.session_state.pop("start_fault", "")
    if message:
        st.error(plain(message))
    _opening(folder)
    _making(folder)


def folder_is_open(folder: Path | None) -> bool:
    """Whether there is a folder; says what to do when there is none."""
    if folder is None:
        st.header("No folder is open yet.")
        st.write("Open one, or make one from a sample, on the page Start.")
    return folder is not None


def _state(household: Household) -> None:
    """What is counted, measured and fitted, each in a line; what is missing, in words."""
    inventory, closet, plan = household.inventory, household.closet, household.plan
    counted = f"{inventory.pieces} pieces counted" if inventory else "the count cannot be read"
    fitted = "a layout found" if plan and not household.is_stale else "no layout for it yet"
    st.header(f"{plain(household.name)}: {counted}, {fitted}.")
    st.caption(plain(str(household.folder)))
    if not any((household.folder / name).exists() for name in FILES) and household.folder.is_dir():
        st.info("This folder has no count and no measurements yet. Fill it from a sample below, then change both.")
        return
    lines = [
        f"**Counted:** {len(inventory.piles)} piles, {inventory.pieces} pieces"
        + (f" of {plain(', '.join(inventory.owners))}" if inventory.owners else "")
        if inventory
        else "**Counted:** cannot be read, see below",
        f"**Measured:** {len(closet.wall)} wall{'s' if len(closet.wall) > 1 else ''}"
        if closet
        else "**Measured:** cannot be read, see below",
        f"**Fitted:** {'' if not household.is_stale else STALE + ' It said: '}{headline(plan)}"
        if plan
        else "**Fitted:** not yet; the page Fit finds a layout",
    ]
    st.markdown("\n".join(f"- {line}" for line in lines))
    show_faults(household)


def _opening(folder: Path | None) -> None:
    st.subheader("Open a folder")
    around = _folders_in(Path.cwd(), folder)
    if around:
        st.selectbox(
            "Makeover folders here",
            [str(path) for path in around],
            format_func=lambda text: Path(text).name,
            index=None,
            placeholder="Choose one",
            key="start_choice",
            on_change=_open_chosen,
        )
    with st.form("open_form", border=False):
        st.text_input("Path of another folder", key="start_path", placeholder=str(Path.cwd() / "my-closet"))
        st.form_submit_button("Open folder", type="primary", on_click=_open_typed)


def _making(folder: Path | None) -> None:
    st.subheader("Make a folder from a sample")
    is_bare = folder is not None and folder.is_dir() and not any((folder / name).exists() for name in FILES)
    with st.form("make_form", border=False):
        st.selectbox("Sample", SAMPLES, index=SAMPLES.index(DEFAULT), key="start_sample")
        name = folder.name if is_bare and folder else "first-closet"
        st.text_input("Name of the new folder", value=name, key="start_name")
        where = folder.parent if is_bare and folder else Path.cwd()
        st.caption(plain(f"It is made in {where}. Nothing is ever overwritten."))
        st.form_submit_button("Make it", on_click=_make, args=(str(where),))


def _open_chosen() -> None:
    if st.session_state.start_choice:
        _open(Path(st.session_state.start_choice))


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
    name = st.session_state.start_name.strip()
    if not name:
        st.session_state.start_fault = "Type a name for the new folder first."
        return
    folder = Path(where, name).absolute()
    try:
        start_folder(folder, st.session_state.start_sample)
    except InputError as error:
        st.session_state.start_fault = "; ".join(str(fault) for fault in error.faults)
        return
    except (OSError, ValueError) as error:
        st.session_state.start_fault = f"A folder of that name cannot be made: {error}"
        return
    _open(folder)


def _open(folder: Path) -> None:
    st.session_state.folder = str(folder)
    _last_opened(st.session_state.given)["folder"] = str(folder)


@st.cache_resource
def _last_opened(given: str) -> dict[str, str]:
    """The folder last opened in this run of the page, so that a reload comes back to it."""
    return {}


def _folders_in(parent: Path, folder: Path | None) -> list[Path]:
    """Makeover folders in a folder, and the one that is open."""
    try:
        found = sorted(path for path in parent.iterdir() if any((path / name).is_file() for name in FILES))
    except OSError:
        found = []
    if folder is not None and folder not in found:
        found.insert(0, folder)
    return found[:MOST_LISTED]
