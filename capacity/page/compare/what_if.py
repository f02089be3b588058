"""What would it buy? Deeper shelves, higher built-ins, more to store, another budget: each answer is a point."""

from __future__ import annotations

from collections.abc import Hashable, Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pandas as pd
import streamlit as st

from capacity.closet.closet import Closet
from capacity.disk.files import HIDDEN
from capacity.drawings.to_svg import ON_PAPER, ON_SLATE, format_svg
from capacity.errors import InputError
from capacity.many.frontier_chart import LETTER, frontier_drawing
from capacity.many.results import PICTURE, TABLE
from capacity.many.varied_closets import ANOTHER_WALL, Variation, parse_variation, tasks_of
from capacity.page.errand import Errand, has_ended
from capacity.page.household import Household, escaped, plain
from capacity.page.words import in_page_words, told
from capacity.units import PER_INCH, PER_MM, Ticks, length_to_write

SWEEP = Errand("many", "what-if")
INTO = "what-if"
CHART_WIDE = 680
"""Width of the picture of the answers [pixels]."""

MOST = 12
"""So many layouts at once; more take longer than anybody waits."""


@dataclass(frozen=True, slots=True)
class Question:
    """Something that may vary: its words, the setting, and values to begin with."""

    words: str
    key: str
    values: tuple[str, ...]


def questions(closet: Closet) -> Iterator[Question]:
    """What may be asked of a closet."""

    def lengths(now: int, shares: tuple[float, ...], most: int | None = None) -> tuple[str, ...]:
        inch = PER_INCH if closet.units == "in" else 10 * PER_MM
        several = {round(now * share / inch) * inch for share in shares} | {now}
        kept = sorted(length for length in several if most is None or length <= most)
        return tuple(str(length_to_write(Ticks(length), closet.units)) for length in kept)

    yield Question("More to store", "counts", ("1", "1.2", "1.5"))
    for number, wall in enumerate(closet.wall, start=1):
        yield Question(f"Depth at {wall.name}", f"wall.{number}.depth", lengths(wall.depth, (0.8, 1.25)))
    widths = ("0", "24", "36") if closet.units == "in" else ("0", "600", "900")
    yield Question("A wall more, so wide", ANOTHER_WALL, widths)
    yield Question("Height of the built-ins", "top", lengths(closet.top, (0.85, 1.1), closet.ceiling))
    if closet.wishes.budget:
        budget = closet.wishes.budget
        yield Question("Budget", "wishes.budget", tuple(f"{budget * share:.0f}" for share in (0.75, 1, 1.25)))
    if closet.before:
        yield Question("Today's bays kept", "wishes.keep_bays", ("false", "true"))


def show(household: Household) -> None:
    """Draw the section."""
    closet, folder = household.closet, household.folder
    if closet is None or household.inventory is None:
        return
    st.subheader("What would it buy?")
    known = {question.words: question for question in questions(closet)}
    chosen = st.multiselect("What may change", list(known), key="if_what", max_selections=2, format_func=plain)
    variations = []
    for words in chosen:
        question = known[words]
        text = st.text_input(
            f"{plain(words)}: values with commas between", ", ".join(question.values), key=f"if_{question.key}"
        )
        variations.append(f"{question.key}={text}")
    fault = _fault(folder, variations)
    is_running = SWEEP.runs(folder)
    if fault:
        st.error(plain(fault))
    st.button(
        "Work it out",
        key="if_start",
        disabled=is_running or not variations or bool(fault),
        on_click=_start,
        args=(folder, tuple(variations)),
    )
    st.caption("Each is a search of its own, a quick one; nothing of this closet is changed.")
    st.session_state.was_asking = is_running
    st.fragment(_watch, run_every="500ms" if is_running else None)(folder)
    for line in "" if is_running else SWEEP.failure(folder).splitlines():
        st.error(plain(in_page_words(line)))
    if not is_running:
        _answers(folder / HIDDEN / INTO, {question.key: words for words, question in known.items()})


def _fault(folder: Path, variations: list[str]) -> str:
    """What is wrong with the values; empty when nothing is."""
    try:
        parsed: list[Variation] = [parse_variation(text) for text in variations]
        number = len(tasks_of([folder], parsed)) if parsed else 0
    except InputError as error:
        return "; ".join(told(error))
    return f"That would be {number} layouts; at most {MOST} at once." if number > MOST else ""


def _start(folder: Path, variations: tuple[str, ...]) -> None:
    into = folder / HIDDEN / INTO
    for name in (TABLE, PICTURE):
        (into / name).unlink(missing_ok=True)
    several = [word for text in variations for word in ("--vary", text)]
    SWEEP.start(folder, (*several, "--into", str(into), "--json"))


def _watch(folder: Path) -> None:
    if has_ended("was_asking", SWEEP.runs(folder)):
        return
    record = SWEEP.progress(folder)
    if record is None or record.all == 0:
        st.progress(0.0, text="Reading the folder.")
    else:
        st.progress(record.stored / record.all, text=f"{record.stored} of {record.all} layouts found.")
    is_stopping = SWEEP.is_stopping(folder)
    st.button("Stop", key="if_stop", on_click=SWEEP.stop, args=(folder,), disabled=is_stopping)


def _answers(into: Path, words: Mapping[str, str]) -> None:
    try:
        table = pd.read_csv(into / TABLE)
    except (OSError, ValueError):
        return
    rows = [
        {
            "what": ", ".join(f"{words[key]} {row[key]}" for key in words if key in row),
            "pieces": _words(row, "{stored:.0f} of {pieces:.0f}"),
            "likely cost": _words(row, "{currency}{cost_low:,.0f} to {cost_high:,.0f}"),
            "sheets": _words(row, "{sheets:.0f}"),
        }
        for row in table.to_dict("records")
    ]
    shown = pd.DataFrame(rows)
    st.table(escaped(shown), hide_index=True, border="horizontal")
    _picture(table, [str(row["what"]) for row in rows])


def _picture(table: pd.DataFrame, names: list[str]) -> None:
    """The answers as points of pieces against money, named as the page names them."""
    some = table.assign(name=names, cost=(table["cost_low"] + table["cost_high"]) / 2).dropna(subset=["cost", "stored"])
    if len(some) < 2:
        return
    points: list[tuple[float, int, str, bool]] = []
    most, currency = -1, str(some["currency"].iloc[0])
    for row in some.sort_values(["cost", "stored"], ascending=[True, False]).to_dict("records"):
        stored = int(row["stored"])
        words = f"{row['name']}: {stored} of {row['pieces']:.0f}, about {currency}{row['cost']:,.0f}"
        points.append((float(row["cost"]), stored, words, stored > most))
        most = max(most, stored)
    best = "Pieces that have a place against likely cost; the line joins the answers that nothing as cheap beats."
    inks = ON_SLATE if st.context.theme.type == "dark" else ON_PAPER
    with st.container(key="room_drawing_if"):
        drawing = format_svg(frontier_drawing(points, currency), best, LETTER, inks)
        st.image(drawing, caption=best, width=CHART_WIDE, alt="; ".join(words for *_, words, _ in points))


def _words(row: Mapping[Hashable, Any], form: str) -> str:
    """Some cells of a row in words; empty where its layout could not be found."""
    if isinstance(row.get("fault"), str):
        return ""
    return form.format(**{str(key): value for key, value in row.items()}).replace("nan", "")
