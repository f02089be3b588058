"""The building packet as a PDF: every word and number as data for one typst document, pictures from the drawings."""

from __future__ import annotations

import json
import tempfile
from collections.abc import Iterable, Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any, Literal

from capacity.checks.cautions import cautions
from capacity.drawings.labels import contents, length_words, lettered, sawn_words
from capacity.drawings.to_svg import FONT
from capacity.errors import Fault, InputError
from capacity.makeover.comparison import headline, multiple_in_words, proof
from capacity.units import Ticks, format_length
from capacity.workshop.build_record import sheet_name
from capacity.workshop.cutting.cutting_plan import SheetLayout
from capacity.workshop.cutting.saw_steps import cuts_of, offcuts_of
from capacity.workshop.job import CutList, Job
from capacity.workshop.parts.parts import Part
from capacity.workshop.pictures import Picture
from capacity.workshop.printable import in_words, is_written, missing_signs, scripts_of
from capacity.workshop.shopping import NAMES, ShoppingList, bound_words
from capacity.workshop.shortfalls import marks, shortfalls_of
from capacity.workshop.stock import saw_of
from capacity.workshop.story_stick import story_sticks
from capacity.workshop.work_order import order_of_work

Paper = Literal["letter", "a4"]
PAPERS: dict[Paper, str] = {"letter": "us-letter", "a4": "a4"}
LONGEST_WORD = 18
TEMPLATE = "packet.typ"

NO_FONT = (
    "Letters for which no font of this machine has a shape are printed as empty boxes; install a font for them and run "
    "capacity build again"
)

STICKS_UPRIGHT = 4
"""More story sticks than these are printed on a page lying on its side."""


def write_packet(job: Job, shopping: ShoppingList, drawn: Sequence[Picture], paper: Paper) -> bytes:
    """Typeset the packet.

    Parameters
    ----------
    job, shopping
        What is built and bought.
    drawn
        All pictures of the job.
    paper
        Letter or A4.

    Returns
    -------
    The bytes of the PDF; the same job gives the same bytes on one machine (its fonts decide on the letters).

    Raises
    ------
    InputError
        When there is no room for temporary files, or typst fails.
    """
    import typst

    data = packet_data(job, shopping, paper)
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
    if not isinstance(pdf, bytes):
        msg = "typst gave no single document"
        raise AssertionError(msg)
    return pdf


def _json(data: dict[str, Any]) -> str:
    return json.dumps(data, ensure_ascii=False)


def breakable(words: str) -> str:
    """Text with a place to break in every word too long for a column, and on one line."""
    found = []
    for word in " ".join(words.split()).split(" "):
        pieces = [word[start : start + LONGEST_WORD] for start in range(0, len(word), LONGEST_WORD)] or [""]
        found.append("\u200b".join(pieces))
    return " ".join(found)


def packet_data(job: Job, shopping: ShoppingList, paper: Paper) -> dict[str, Any]:
    """Everything that the document says, as plain lists, dictionaries and texts."""
    units = job.closet.units
    walls = [(n, run.name) for n, run in enumerate(job.problem.runs, 1) if job.layout.walls[n - 1].bays]
    found = shortfalls_of(job)
    data = {
        "paper": PAPERS[paper],
        "fonts": [*FONT.removesuffix(", sans-serif").split(", "), "Libertinus Serif"],
        "title": job.plan.name or "Closet",
        "revision": job.revision,
        "footer": "Built-ins, lengths in inches" if units == "in" else "Built-ins, lengths in mm",
        "headline": headline(job.plan),
        "proof": [proof(job.plan), *multiple_in_words(job.plan, job.inventory)],
        "chart": "gain.svg",
        "short": [[str(item.number), item.what, item.figures, item.cure, ", ".join(item.labels)] for item in found],
        "not_checked": list(job.report.not_checked),
        "contents": list(_summary(job, shopping)),
        "cautions": [[item.topic.capitalize(), item.words] for item in cautions(job.closet, job.problem, job.layout)],
        "remarks": list(job.carcass.remarks),
        "plan": "plan.svg",
        "scale_note": "Each drawing is to one scale in itself; the scale bars print true.",
        "walls": [
            {
                "number": n,
                "name": name,
                "before_after": f"wall-{n}-before-after.svg",
                "parts": f"wall-{n}-parts.svg",
                "sticks": f"wall-{n}-story-sticks.svg",
                "many_sticks": len(story_sticks(job.carcass.parts, n)) > STICKS_UPRIGHT,
            }
            for n, name in walls
        ],
        "shopping": _shopping(shopping),
        "cut_note": _cut_note(job),
        "cut_list": list(_cut_list(job, marks(found))),
        "sticks": [_sticks(job, use, cut_list) for use, cut_list in job.sticks.items() if use != "edge band"],
        "sheets": list(_sheets(job)),
        "steps": [[step.title, step.words] for step in order_of_work(job)],
        "places": list(_places(job)),
        "left_out": [f"{item.count} × {job.inventory.pile(item.row).name}" for item in job.plan.left_out],
    }
    return {key: _broken(value) for key, value in data.items()}


FILES = ("chart", "plan", "before_after", "parts", "sticks", "picture", "paper", "fonts", "revision")


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


def _summary(job: Job, shopping: ShoppingList) -> Iterator[str]:
    for material, cut_list in job.sheets.items():
        count = sum(cut_list.plan.counts().values())
        sheets = "sheet" if count == 1 else "sheets"
        yield f"{NAMES[material.value]}: {count} {sheets}; {bound_words(job, cut_list)}"
    partial = " (partial: some prices are missing)" if shopping.is_partial else ""
    yield f"shopping list: {shopping.money(shopping.total)}{partial}"
    yield f"{len(job.carcass.parts)} parts, a diagram for each sheet, story sticks, order of work, where each pile goes"


def _shopping(shopping: ShoppingList) -> dict[str, Any]:
    def money(cents: int | None) -> str:
        return "no price" if cents is None else shopping.money(cents)

    rows = [
        [str(line.packs), line.item, line.pack, f"{line.need}: {line.how}", money(line.cents), money(line.total)]
        for line in shopping.lines
    ]
    sums = [["Sum", shopping.money(shopping.subtotal)]]
    if shopping.tax_share:
        sums.append([f"Tax, {_percent(shopping.tax_share)}", shopping.money(shopping.tax)])
    if shopping.reserve_share:
        sums.append([f"Reserve, {_percent(shopping.reserve_share)}", shopping.money(shopping.reserve)])
    sums.append(["Total" + (" of what has a price" if shopping.is_partial else ""), shopping.money(shopping.total)])
    notes = []
    if shopping.is_partial:
        notes.append("The total is partial: add the missing prices to the table [prices] of closet.toml.")
    if shopping.budget:
        word = "above" if shopping.is_over_budget else "within"
        notes.append(f"This is {word} the budget of {shopping.money(shopping.budget)}.")
    if shopping.is_over_budget:
        dearest = ", ".join(f"{line.item} {shopping.money(line.total or 0)}" for line in shopping.dearest())
        notes.append(f"The dearest lines: {dearest}.")
    return {"rows": rows, "sums": sums, "notes": notes}


def _percent(share: Any) -> str:
    return f"{float(100 * share):g} %"


def _cut_note(job: Job) -> str:
    built, units = job.closet.construction, job.closet.units
    band = f"{sawn_words(built.band, units)} of edge band is taken off the sizes. " if built.band else ""
    return (
        f"Sizes as cut; length runs with the grain. {band}"
        "A length on no mark of the rule is marked about and given to the mark below; the exact one is in cut-list.csv."
    )


def _cut_list(job: Job, marked: Mapping[str, str]) -> Iterator[dict[str, Any]]:
    units = job.closet.units
    where = {
        placed.label: f"sheet {number}"
        for cut_list in job.sheets.values()
        for number, layout in enumerate(cut_list.plan.layouts, 1)
        for placed in layout.placed
    }
    for material in job.sheets:
        parts = job.carcass.sheet_parts(material)
        rows = [
            [
                part.label, part.role.value, sawn_words(part.length, units), sawn_words(part.width, units),
                _bands(part), where[part.label], "; ".join(filter(None, (marked.get(part.label), part.note))),
            ]
            for part in parts
        ]  # fmt: skip
        thick = format_length(Ticks(parts[0].thickness), units)
        yield {"title": f"{NAMES[material.value].capitalize()}, {thick} thick: {len(parts)} parts", "rows": rows}


def _bands(part: Part) -> str:
    words = [f"{number} {name}" for number, name in ((part.long_bands, "long"), (part.short_bands, "short")) if number]
    return ", ".join(words)


def _sticks(job: Job, use: str, cut_list: CutList) -> dict[str, Any]:
    units = job.closet.units
    rows = []
    for layout in cut_list.plan.layouts:
        pieces = layout.placed
        words = ", ".join(f"{piece.label} {sawn_words(piece.along, units)}" for piece in pieces)
        rest = layout.stock.length - (pieces[-1].y + pieces[-1].along)
        rows.append([layout.stock.name, words, length_words(rest, units)])
    return {
        "title": f"{use.capitalize()}: {len(rows)} length{'s' * (len(rows) != 1)}",
        "note": bound_words(job, cut_list),
        "rows": rows,
    }


def _sheets(job: Job) -> Iterator[dict[str, Any]]:
    units, saw = job.closet.units, saw_of(job.closet)
    for material, cut_list in job.sheets.items():
        number_of = len(cut_list.plan.layouts)
        for number, layout in enumerate(cut_list.plan.layouts, 1):
            cuts = [
                [str(cut.number), cut.what, sawn_words(cut.setting, units), cut.makes] for cut in cuts_of(layout, saw)
            ]
            offcuts = [
                [offcut.name, f"{sawn_words(offcut.across, units)} × {sawn_words(offcut.along, units)}"]
                for offcut in offcuts_of(layout, saw, number)
                if offcut.name
            ]
            yield {
                "title": f"{NAMES[material.value].capitalize()}: sheet {number} of {number_of}, {layout.stock.name}",
                "note": _sheet_note(job, layout),
                "picture": f"{sheet_name(material.value, number)}.svg",
                "cuts": cuts,
                "offcuts": offcuts,
                "size": 8.0 if len(cuts) <= 40 else 320 / len(cuts),
            }


def _sheet_note(job: Job, layout: SheetLayout) -> str:
    built, units = job.closet.construction, job.closet.units
    trim = f"trim {sawn_words(built.trim, units)} off each edge first; " if built.trim else ""
    way = "rip the strips, then crosscut them" if layout.first.value == "rip" else "crosscut the strips, then rip them"
    return f"{trim.capitalize()}{way}; kerf {sawn_words(built.kerf, units)}. Sizes are width × length as drawn."


def _places(job: Job) -> Iterator[dict[str, Any]]:
    units = job.closet.units
    for number, run in enumerate(job.problem.runs, 1):
        rows = [
            [
                item.letter,
                f"{number}-{item.bay + 1}",
                {"hang": "rod"}.get(item.opening.kind.value, item.opening.kind.value),
                sawn_words(item.opening.bottom, units),
                ", ".join(contents(item.opening, job.inventory, with_owners=True)) or "room to spare",
            ]
            for item in lettered(job.layout)
            if item.wall == number - 1
        ]
        if rows:
            yield {"number": number, "name": run.name, "rows": rows}
