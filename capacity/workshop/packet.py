"""The building packet as a PDF: every word and number as data for one typst document, pictures from the drawings."""

from __future__ import annotations

import json
import re
import tempfile
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any, Literal

from capacity.checks.cautions import DEFER, cautions
from capacity.checks.check import down_to_mark
from capacity.drawings.labels import contents, lettered, sawn_words, thickness_words
from capacity.drawings.to_svg import FONT
from capacity.errors import Fault, InputError
from capacity.layout.layout import Opening
from capacity.layout.problem import OpeningKind
from capacity.layout.rod_height import rod_height
from capacity.makeover.comparison import headline, multiple_in_words, proof
from capacity.units import counted, to_mm
from capacity.workshop.build_record import sheet_name
from capacity.workshop.cutting.cutting_plan import SheetLayout
from capacity.workshop.cutting.saw_steps import cuts_of
from capacity.workshop.job import CutList, Job
from capacity.workshop.pages.cut_list import BLOCKS, fence_rows, group_rows, offcut_rows
from capacity.workshop.pages.drawer_section import section_drawings
from capacity.workshop.pages.drilling import PIN_EDGE, PITCH, HoleKind, bay_rows, notes
from capacity.workshop.pages.stickers import stickers
from capacity.workshop.parts_concerned import marks, shortfalls_of
from capacity.workshop.pictures import Picture
from capacity.workshop.printable import in_words, is_written, missing_signs, scripts_of
from capacity.workshop.shopping import GUESSED, NAMES, ShoppingLine, ShoppingList, bound_words
from capacity.workshop.stock import saw_of
from capacity.workshop.work_order import order_of_work

Paper = Literal["letter", "a4"]
PAPERS: dict[Paper, str] = {"letter": "us-letter", "a4": "a4"}
LONGEST_WORD = 18
TEMPLATE = "packet.typ"

LENGTHS = {"in": "inches", "ft": "feet and inches", "mm": "mm"}
"""How the foot of each page says what lengths are in."""

NO_FONT = (
    "Letters for which no font of this machine has a shape are printed as empty boxes; install a font for them and run "
    "capacity build again"
)


def write_packet(job: Job, shopping: ShoppingList, drawn: Sequence[Picture], paper: Paper, date: str) -> bytes:
    """Typeset the packet.

    Parameters
    ----------
    job, shopping
        What is built and bought.
    drawn
        All pictures of the job.
    paper
        Letter or A4.
    date
        When it was made, as printed on page 1.

    Returns
    -------
    The bytes of the PDF; the same job gives the same bytes on one machine (its fonts decide on the letters).

    Raises
    ------
    InputError
        When there is no room for temporary files, or typst fails.
    """
    import typst

    data = packet_data(job, shopping, paper, drawn, date)
    try:
        missing = missing_signs((_json(data), *(picture.svg for picture in drawn)), data["fonts"])
        lost = scripts_of(filter(is_written, missing))
        if lost:
            data["remarks"].append(f"{NO_FONT}: {', '.join(lost)}.")
        with tempfile.TemporaryDirectory() as name:
            folder = Path(name)
            for picture in drawn:
                (folder / f"{picture.name}.svg").write_text(in_words(picture.svg, missing), encoding="utf-8")
            (folder / "packet.json").write_text(in_words(_json(data), missing), encoding="utf-8")
            template = Path(__file__).with_name(TEMPLATE).read_text(encoding="utf-8")
            (folder / TEMPLATE).write_text(template, encoding="utf-8")
            pdf = typst.compile(folder / TEMPLATE, root=folder, format="pdf", timestamp=0)
    except OSError as error:
        problem = f"the folder for temporary files cannot be written: {error.strerror}"
        raise InputError([Fault("packet.pdf", "", problem)]) from None
    except RuntimeError as error:
        raise InputError([Fault("packet.pdf", "", f"cannot be typeset: {error}")]) from None
    if isinstance(pdf, bytes):  # typst writes what some readers take for an error, and what is the default anyhow
        pdf = pdf.replace(b"/Suspects false", b" " * len(b"/Suspects false"))
    if not isinstance(pdf, bytes):
        msg = "typst gave no single document"
        raise AssertionError(msg)
    return pdf


def _files(drawn: Sequence[Picture], name: str) -> list[str]:
    """The files of a drawing that may take several sheets."""
    return [f"{picture.name}.svg" for picture in drawn if re.fullmatch(rf"{name}(-[0-9]+)?", picture.name)]


def _json(data: dict[str, Any]) -> str:
    return json.dumps(data, ensure_ascii=False)


def breakable(words: str) -> str:
    """Text with a place to break in every word too long for a column, and on one line."""
    found = []
    for word in " ".join(words.split()).split(" "):
        pieces = [word[start : start + LONGEST_WORD] for start in range(0, len(word), LONGEST_WORD)] or [""]
        found.append("\u200b".join(pieces))
    return " ".join(found)


def packet_data(
    job: Job, shopping: ShoppingList, paper: Paper, drawn: Sequence[Picture] = (), date: str = ""
) -> dict[str, Any]:
    """Everything that the document says, as plain lists, dictionaries and texts."""
    found = shortfalls_of(job)
    data = {
        "paper": PAPERS[paper],
        "fonts": [*FONT.removesuffix(", sans-serif").split(", "), "Libertinus Serif"],
        "title": job.plan.name or "Closet",
        "revision": job.revision,
        "footer": f"Built-ins, lengths in {LENGTHS[job.closet.lengths.unit]}",
        "date": date,
        "short": [[str(item.number), item.what, item.figures, item.cure, ", ".join(item.labels)] for item in found],
        **_overview(job, shopping),
        **_pictures(job, drawn),
        "shopping": _shopping(shopping),
        "cut_note": _cut_note(job),
        "cut_list": list(_cut_list(job, marks(found))),
        "sticks": [_sticks(job, use, cut_list) for use, cut_list in job.sticks.items() if use != "edge band"],
        "sheets": list(_sheets(job)),
        **_drilling(job),
        **_order_of_work(job),
        "labels": list(stickers(job)),
        "label_columns": job.closet.print.label_columns,
        "label_rows": job.closet.print.label_rows,
        "label_margin": _millimetres(job.closet.print.label_margin),
        "places": list(_places(job)),
        "left_out": [f"{item.count} × {job.inventory.pile(item.row).name}" for item in job.plan.left_out],
    }
    return {key: _broken(value) for key, value in data.items()}


def _overview(job: Job, shopping: ShoppingList) -> dict[str, Any]:
    """What the first pages say besides what falls short."""
    return {
        "headline": headline(job.plan),
        "proof": [proof(job.plan), *multiple_in_words(job.plan, job.inventory)],
        "budget": shopping.budget_words(),
        "not_checked": list(job.report.not_checked),
        "contents": list(_summary(job, shopping)),
        "cautions": [
            [item.topic.capitalize(), item.words.removesuffix(DEFER).strip()]
            for item in cautions(job.closet, job.problem, job.layout)
        ],
        "defer": DEFER,
        "remarks": list(job.carcass.remarks),
    }


def _pictures(job: Job, drawn: Sequence[Picture]) -> dict[str, Any]:
    """The files of all drawings but those of sheets, by what they show."""
    walls = [(n, run.name) for n, run in enumerate(job.problem.runs, 1) if job.layout.walls[n - 1].bays]
    sections = zip(_files(drawn, "drawer-section"), section_drawings(job), strict=False)
    return {
        "chart": "gain.svg",
        "cover": "before-after.svg",
        "plan": "plan.svg",
        "scale_note": "Each drawing is to one scale in itself; the scale bars print true.",
        "walls": [
            {
                "number": n,
                "name": name,
                "before_after": f"wall-{n}-before-after.svg",
                "parts": f"wall-{n}-parts.svg",
                "heights": _files(drawn, f"wall-{n}-heights"),
                "sticks": _files(drawn, f"wall-{n}-story-sticks"),
            }
            for n, name in walls
        ],
        "drawers": [{"picture": file, "fronts": fronts} for file, (fronts, _) in sections],
    }


def _drilling(job: Job) -> dict[str, Any]:
    rows = list(bay_rows(job))
    return {
        "drilling": rows,
        "drilling_notes": list(notes(job)),
        "pitch": _millimetres(PITCH[job.closet.units]),
        "pin_edge": _millimetres(PIN_EDGE[job.closet.units]),
        "has_pins": any(row[1] == HoleKind.PIN for row in rows),
    }


def _order_of_work(job: Job) -> dict[str, Any]:
    steps = order_of_work(job)
    return {
        "steps": [[step.title, step.words, _time(step.minutes)] for step in steps],
        "hours": f"Counted by the rates of [minutes], which are guesses: {_time(sum(step.minutes for step in steps))}.",
    }


FILES = (
    "chart", "cover", "plan", "before_after", "parts", "sticks", "picture", "paper", "fonts", "revision",
    "label_margin",
)  # fmt: skip


def _broken(value: Any) -> Any:
    """Every text with places to break, file names and settings left as they are."""
    if isinstance(value, str):
        is_file = value.endswith(".svg")
        return value if is_file else breakable(value)
    if isinstance(value, Mapping):
        return {key: item if key in FILES and isinstance(item, str) else _broken(item) for key, item in value.items()}
    if isinstance(value, Iterable):
        return [_broken(item) for item in value]
    return value


def _time(minutes: int) -> str:
    """Minutes as hours and quarters, rounded up."""
    if not minutes:
        return ""
    return f"{minutes} min" if minutes < 60 else f"{-(-minutes // 15) * 15 / 60:g} h"


def _millimetres(length: int) -> str:
    return f"{to_mm(length):g}"


def _dollars(cents: int) -> str:
    return f"{cents // 100}"


def _summary(job: Job, shopping: ShoppingList) -> Iterator[str]:
    for material, cut_list in job.sheets.items():
        count = sum(cut_list.plan.counts().values())
        yield f"{NAMES[material.value]}: {counted(count, 'sheet')}; {bound_words(job, cut_list)}"
    yield f"shopping list: {shopping.range_words()}"
    parts = counted(len(job.carcass.parts), "part")
    yield f"{parts}, a diagram for each sheet, story sticks, order of work, where each pile goes"


def _shopping(shopping: ShoppingList) -> dict[str, Any]:
    def money(cents: int | None) -> str:
        return "no price" if cents is None else shopping.money(cents)

    def each(line: ShoppingLine) -> list[str]:
        if not line.packs:
            return ["", money(0)]
        if line.cents is not None or line.guess is None:
            return [money(line.cents), money(line.total)]
        low, high = line.guess
        return [f"{_dollars(low)}–{_dollars(high)} ?", f"{_dollars(line.likely[0])}–{_dollars(line.likely[1])} ?"]

    rows = [
        [
            str(line.packs), line.item, line.pack,
            "; ".join(filter(None, (f"{line.need}: {line.how}", line.owned))), *each(line),
        ]
        for line in shopping.lines
    ]  # fmt: skip
    sums = [["Sum", shopping.money(shopping.subtotal)]] if shopping.subtotal else []
    if shopping.tax_share and sums:
        sums.append([f"Tax, {_percent(shopping.tax_share)}", shopping.money(shopping.tax)])
    if shopping.reserve_share and sums:
        sums.append([f"Reserve, {_percent(shopping.reserve_share)}", shopping.money(shopping.reserve)])
    if sums:
        sums.append(["Total" + (" of what has a price" if shopping.is_partial else ""), shopping.money(shopping.total)])
    notes = [f"All of it: {shopping.range_words()}.", *shopping.hangs]
    if shopping.has_guesses:
        notes.append(
            f"A ? marks a guess of ours for {GUESSED}, US shops; write your shop's prices into [prices] of closet.toml."
        )
    elif shopping.is_partial:
        notes.append("The total is partial: add the missing prices to the table [prices] of closet.toml.")
    if shopping.budget:
        notes.append(shopping.compared())
    if shopping.is_over_budget:
        dearest = ", ".join(f"{line.item} {shopping.money(line.total or 0)}" for line in shopping.dearest())
        notes.append(f"The dearest lines: {dearest}.")
    return {"rows": rows, "sums": sums, "notes": notes}


def _percent(share: Any) -> str:
    return f"{float(100 * share):g} %"


def _cut_note(job: Job) -> str:
    built, units = job.closet.construction, job.closet.lengths
    band = f"{sawn_words(built.band, units)} of edge band is taken off the sizes. " if built.band else ""
    return (
        f"Sizes as cut, in {LENGTHS[units.unit]}; length runs with the grain. Behind each label stands "
        f"its sheet. {band}A + is less "
        "than a mark over what is named: cut to the mark and fit; cut-list.csv has it exactly."
    )


def _cut_list(job: Job, marked: Mapping[str, str]) -> Iterator[dict[str, Any]]:
    where = {
        placed.label: str(number)
        for cut_list in job.sheets.values()
        for number, layout in enumerate(cut_list.plan.layouts, 1)
        for placed in layout.placed
    }
    for material, cut_list in job.sheets.items():
        parts = job.carcass.sheet_parts(material)
        thick = thickness_words(parts[0].thickness, job.closet.lengths)
        offcuts = list(offcut_rows(job, material, cut_list))
        yield {
            "title": f"{NAMES[material.value].capitalize()}, {thick} thick: {counted(len(parts), 'part')}",
            "rows": list(group_rows(job, parts, where, marked)),
            "fence": list(fence_rows(job, cut_list)),
            "offcuts": [row for row in offcuts if row[2] != BLOCKS],
            "blocks": ", ".join(f"{name} {size}" for name, size, use in offcuts if use == BLOCKS),
        }


def _sticks(job: Job, use: str, cut_list: CutList) -> dict[str, Any]:
    units = job.closet.lengths
    rows = []
    for layout in cut_list.plan.layouts:
        pieces = layout.placed
        words = ", ".join(f"{piece.label} {sawn_words(piece.along, units, False)}" for piece in pieces)
        rest = layout.stock.length - (pieces[-1].y + pieces[-1].along)
        rows.append([layout.stock.name, words, sawn_words(rest, units)])
    return {
        "title": f"{use.capitalize()}: {counted(len(rows), 'length')}",
        "note": bound_words(job, cut_list),
        "rows": rows,
    }


def _sheets(job: Job) -> Iterator[dict[str, Any]]:
    units, saw = job.closet.lengths, saw_of(job.closet)
    for material, cut_list in job.sheets.items():
        number_of, owned = len(cut_list.plan.layouts), Counter[str]()
        for number, layout in enumerate(cut_list.plan.layouts, 1):
            owned[layout.stock.name] += 1
            yours = ", from what is owned" if owned[layout.stock.name] <= layout.stock.owned else ""
            cuts = [
                [
                    str(cut.number),
                    cut.what,
                    sawn_words(cut.setting, units, False),
                    re.sub(r" from strip (\d+)$", r" (\1)", cut.makes),
                ]
                for cut in cuts_of(layout, saw)
            ]
            what = NAMES[material.value].capitalize()
            yield {
                "title": f"{what}: sheet {number} of {number_of}, {layout.stock.name}{yours}",
                "note": _sheet_note(job, layout),
                "first": number == 1,
                "picture": f"{sheet_name(material.value, number)}.svg",
                "cuts": cuts,
            }


def _sheet_note(job: Job, layout: SheetLayout) -> str:
    built, units = job.closet.construction, job.closet.lengths
    trim = f"trim {thickness_words(built.trim, units)} off each edge first; " if built.trim else ""
    way = "rip the strips, then crosscut them" if layout.first.value == "rip" else "crosscut the strips, then rip them"
    return f"{trim.capitalize()}{way}; kerf {thickness_words(built.kerf, units)}. Sizes are width × length as drawn."


def _height(job: Job, opening: Opening) -> str:
    """Where an opening is: its lower face over the floor, or the middle of its rod."""
    height = opening.bottom
    if opening.kind is OpeningKind.HANG:
        height = down_to_mark(rod_height(job.problem, opening), job.closet.units)
    return sawn_words(height, job.closet.lengths)


def _places(job: Job) -> Iterator[dict[str, Any]]:
    for number, run in enumerate(job.problem.runs, 1):
        rows = [
            [
                item.letter,
                f"{number}-{item.bay + 1}",
                {"hang": "rod"}.get(item.opening.kind.value, item.opening.kind.value),
                _height(job, item.opening),
                ", ".join(contents(item.opening, job.inventory, with_owners=True)) or "room to spare",
            ]
            for item in lettered(job.layout)
            if item.wall == number - 1
        ]
        if rows:
            yield {"number": number, "name": run.name, "rows": rows}
