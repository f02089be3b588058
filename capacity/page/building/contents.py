"""What a packet holds, on the page: the shopping list against the budget, sheets and drawings, every part."""

from __future__ import annotations

from functools import partial
from pathlib import Path

import pandas as pd
import streamlit as st

from capacity.disk.files import read_bytes
from capacity.drawings.labels import length_words, sawn_words
from capacity.page.household import escaped, plain
from capacity.units import counted, from_number
from capacity.workshop.build_record import BuildRecord, BuiltDrawing, BuiltPart
from capacity.workshop.pages.shopping_page import cost_of

SHEET_WIDTH, DRAWING_WIDTH = 480, 720
"""As wide as a sheet, which stands upright, and another drawing are shown at most [pixels]."""

CHART = "gain"


def content(path: Path) -> bytes:
    """A file to take away; empty when somebody has taken it away meanwhile, or put a link in its place."""
    try:
        return b"" if path.is_symlink() else read_bytes(path)
    except OSError:
        return b""


def show_shopping(record: BuildRecord) -> None:
    """Draw what to buy, line by line, against the budget."""
    shopping = record.shopping
    if shopping.is_over_budget:
        dearest = ", ".join(f"{line.article} {shopping.money(line.total or 0)}" for line in shopping.dearest())
        st.warning(plain(f"{shopping.in_words} The dearest lines: {dearest}."))
    else:
        st.write(plain(shopping.in_words))
    for line in shopping.hangs:
        st.write(plain(line))
    rows = [
        {"article": line.article, "buy": f"{line.packs} × {line.packed_as}", "total": cost_of(shopping, line)}
        for line in shopping.lines
    ]
    whole = "total of what has a price" if shopping.is_partial else "total"
    sums = [("sum", shopping.sum), ("tax", shopping.tax), ("reserve", shopping.reserve), (whole, shopping.total)]
    rows += [{"article": name, "buy": "", "total": shopping.money(amount)} for name, amount in sums]
    st.table(escaped(pd.DataFrame(rows)), hide_index=True, border="horizontal")
    with st.expander("How each number was reckoned"):
        rows = [
            {
                "article": line.article,
                "needed": line.needed,
                "how": line.how,
                "price each": "" if line.price is None else shopping.money(line.price),
            }
            for line in shopping.lines
        ]
        st.table(escaped(pd.DataFrame(rows)), hide_index=True, border="horizontal")


def show_drawings(build: Path, record: BuildRecord) -> None:
    """One drawing at a time: every sheet as it is cut, then the walls, the sticks and the plan."""
    sheets = record.sheets_by_name
    # the record is a file like any other: only names of files directly in the folder, which it lists, are taken
    listed = {name for name in record.files if Path(name).name == name}
    known = {item.name: item for item in record.drawings if f"{item.name}.svg" in listed}
    known = {name: item for name, item in known.items() if (build / f"{name}.svg").is_file()}
    names = [*(name for name in sheets if name in known), *(name for name in known if name not in (*sheets, CHART))]
    if not names:
        st.write("This packet has no drawings; make it again.")
        return
    if st.session_state.get("build_drawing") not in (None, *names):
        st.session_state.build_drawing = names[0]
    name = st.selectbox(
        "Drawing", names, format_func=lambda name: _title(known[name]), key="build_drawing", persist_state="session"
    )
    if name is None:
        return
    words = _title(known[name])
    with st.container(width=SHEET_WIDTH if name in sheets else DRAWING_WIDTH, key="drawing_of_build"):
        svg = content(build / f"{name}.svg").decode("utf-8", errors="replace")
        labels = ", ".join(piece.label for piece in sheets[name].placed) if name in sheets else ""
        if svg:
            st.image(svg, width="stretch", alt=f"{words}: {labels}" if labels else words)
    with st.container(horizontal=True):
        for ending, kind in (("svg", "image/svg+xml"), ("dxf", "image/vnd.dxf")):
            if (build / f"{name}.{ending}").is_file():
                st.download_button(
                    f"This drawing ({ending.upper()})",
                    data=partial(content, build / f"{name}.{ending}"),
                    file_name=f"{name}.{ending}",
                    mime=kind,
                    on_click="ignore",
                    key=f"take_drawing_{ending}",
                )
    if name in sheets:
        _table(record, [record.part(piece.label) for piece in sheets[name].placed], with_material=False)


def _title(drawing: BuiltDrawing) -> str:
    return drawing.shows[:1].upper() + drawing.shows[1:]


def show_parts(record: BuildRecord) -> None:
    """Draw the parts as they are cut, and what needs a look at them."""
    if record.remarks:
        st.markdown("**Look at**")
        st.markdown("\n".join(f"- {plain(remark)}" for remark in record.remarks))
    number = len(record.parts)
    st.write(f"{counted(number, 'part')}; put together they are the openings of the layout.")
    _table(record, list(record.parts), with_material=True)


def _table(record: BuildRecord, parts: list[BuiltPart], with_material: bool) -> None:
    """Parts with the sizes that are cut; what no part has is no column."""
    units = record.units

    def size(part: BuiltPart) -> str:
        return " × ".join(sawn_words(from_number(number, units), units) for number in (part.length, part.width))

    rows = [
        {
            "part": f"{part.label} {part.part}",
            "length × width": size(part),
            "material": f"{part.material} {length_words(from_number(part.thickness, units), units)}",
            "edges banded": _bands(part),
            "note": part.note,
        }
        for part in parts
    ]
    table = pd.DataFrame(rows)
    idle = [name for name in table.columns if not any(table[name])] + ([] if with_material else ["material"])
    st.table(escaped(table.drop(columns=idle)), hide_index=True, border="horizontal")


def _bands(part: BuiltPart) -> str:
    counts = ((part.banded_long, "long"), (part.banded_short, "short"))
    return ", ".join(f"{number} {name}" for number, name in counts if number)
