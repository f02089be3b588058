"""A drawing as a Plotly figure: one trace a style, one scale for both axes, letters as high as the drawing says."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from html import escape
from typing import TYPE_CHECKING, Any

from capacity.drawings.drawing import LAYERS, PERSON, Dimension, Drawing, Line, Marker, Path, Rectangle, Style, Text

if TYPE_CHECKING:
    import plotly.graph_objects as go

    from capacity.drawings.solid import Block

FAMILY_COLOURS = {
    Style.FOOTWEAR: "#56B4E9",
    Style.BOOTS: "#0072B2",
    Style.BAGS: "#999999",
    Style.FOLDED: "#E69F00",
    Style.HUNG_SHORT: "#009E73",
    Style.HUNG_LONG: "#CC79A7",
    Style.SMALL: "#F0E442",
}
"""Colours that most colour-blind people can tell apart (M. Okabe and K. Ito's set, and grey)."""


@dataclass(frozen=True, slots=True)
class Paper:
    """Colours of a sheet: ground, ink, faint ink, wood, and plates under letters."""

    ground: str
    ink: str
    faint: str
    wood: str
    plate: str


LIGHT = Paper("#ffffff", "#222222", "#8a8a8a", "#d9b98a", "rgba(255,255,255,0.9)")
DARK = Paper("#171614", "#e8e8e8", "#97928a", "#9c7a48", "rgba(23,22,20,0.9)")

CONFIG = {"displaylogo": False, "displayModeBar": False, "scrollZoom": False, "doubleClick": False}
"""Options of the browser's part: a thumb that scrolls the page must not zoom the picture."""

_WIDTHS = {Style.WALL: 2.4, Style.DETAIL: 0.7, Style.DRAWER: 1.6, Style.CHOSEN: 4.0, Style.REACH: 1.2}
"""Lines that are not 0.8 pixels wide."""

_HOVER_EVERY = 24
"""A piece that is larger than this answers to a pointer at several places [pixels]."""


def draw_plotly(drawing: Drawing, pixels_per_tick: float, paper: Paper) -> go.Figure:
    """The drawing at a fixed scale.

    Parameters
    ----------
    drawing
        What to draw [ticks].
    pixels_per_tick
        The one scale, for both axes and the letters.
    paper
        Colours of the sheet.

    Returns
    -------
    A figure of exactly the drawing's size in pixels, with no axes; one marker an opening can be selected, its
    `customdata` is the marker's name.
    """
    import plotly.graph_objects as go

    rectangles: dict[Style, list[Rectangle]] = defaultdict(list)
    lines: dict[Style, list[Path]] = defaultdict(list)
    for shape in drawing.shapes:
        if isinstance(shape, Rectangle):
            rectangles[shape.style].append(shape)
            lines[Style.DETAIL] += shape.strokes
        elif isinstance(shape, Line):
            lines[shape.style].append(shape.ends)
        elif isinstance(shape, Dimension):
            lines[Style.DIMENSION] += (line.ends for line in shape.lines)
    figure = go.Figure()
    for style in LAYERS:
        if rectangles[style]:
            figure.add_trace(_rectangles(rectangles[style], style, paper))
        if lines[style]:
            figure.add_trace(_lines(lines[style], style, paper))
    named = [shape for shape in drawing.shapes if isinstance(shape, Rectangle) and shape.words]
    if named:
        figure.add_trace(_piles(named, pixels_per_tick))
    markers = [shape for shape in drawing.shapes if isinstance(shape, Marker)]
    if markers:
        figure.add_trace(_markers(markers, pixels_per_tick, paper))
    figure.update_layout(
        width=round(drawing.width * pixels_per_tick),
        height=round(drawing.height * pixels_per_tick),
        margin={"l": 0, "r": 0, "t": 0, "b": 0},
        paper_bgcolor=paper.ground,
        plot_bgcolor=paper.ground,
        showlegend=False,
        dragmode=False,
        hovermode="closest",
        hoverdistance=_HOVER_EVERY,
        font={"family": "Helvetica, Arial, sans-serif", "color": paper.ink},
        hoverlabel={"bgcolor": paper.ground, "font": {"color": paper.ink}},
        xaxis={"visible": False, "range": [0, drawing.width], "fixedrange": True},
        yaxis={
            "visible": False, "range": [0, drawing.height], "fixedrange": True,
            "scaleanchor": "x", "scaleratio": 1,
        },
        annotations=[_annotation(text, pixels_per_tick, paper) for text in drawing.texts()],
    )  # fmt: skip
    return figure


def solid_colours(paper: Paper) -> dict[Style, str]:
    """The colour of each kind of block."""
    return {**FAMILY_COLOURS, Style.PANEL: paper.wood, Style.DRAWER: paper.wood, Style.ROD: "#8a8a8a"}


def draw_solid(blocks: Iterable[Block], height: int, paper: Paper) -> go.Figure:
    """Blocks seen from the front, a little from the right and from above; a finger turns them.

    Parameters
    ----------
    blocks
        What to draw [ticks].
    height
        Of the figure [pixels]; it is as wide as its place.
    paper
        Colours of the sheet.
    """
    import plotly.graph_objects as go

    by_style: dict[Style, list[Block]] = defaultdict(list)
    for block in blocks:
        by_style[block.style].append(block)
    figure = go.Figure()
    for style, colour in solid_colours(paper).items():
        own = by_style[style]
        if own:
            figure.add_trace(_solids(own, style, colour))
    axis = {"visible": False}
    figure.update_layout(
        height=height,
        margin={"l": 0, "r": 0, "t": 0, "b": 0},
        paper_bgcolor=paper.ground,
        showlegend=False,
        scene={
            "xaxis": axis, "yaxis": axis, "zaxis": axis, "aspectmode": "data",
            "camera": {"eye": {"x": 0.6, "y": -1.5, "z": 0.5}, "projection": {"type": "orthographic"}},
        },
    )  # fmt: skip
    return figure


def _solids(blocks: Iterable[Block], style: Style, colour: str) -> Any:
    """Boxes as one trace: eight corners and twelve triangles each."""
    import plotly.graph_objects as go

    corners: list[tuple[int, int, int]] = []
    triangles: list[tuple[int, int, int]] = []
    for block in blocks:
        first = len(corners)
        ends = (block.low, block.high)
        corners += [(ends[x][0], ends[y][1], ends[z][2]) for z in (0, 1) for y in (0, 1) for x in (0, 1)]
        triangles += [(first + a, first + b, first + c) for a, b, c in _TRIANGLES]
    x, y, z = zip(*corners, strict=True)
    i, j, k = zip(*triangles, strict=True)
    return go.Mesh3d(
        x=x, y=y, z=z, i=i, j=j, k=k, color=colour, flatshading=True, name=style.value, hoverinfo="name",
        lighting={"ambient": 0.75, "diffuse": 0.5, "specular": 0.0},
    )  # fmt: skip


_TRIANGLES = (
    (0, 2, 1), (1, 2, 3), (4, 5, 6), (5, 7, 6), (0, 1, 4), (1, 5, 4),
    (2, 6, 3), (3, 6, 7), (0, 4, 2), (2, 4, 6), (1, 3, 5), (3, 7, 5),
)  # fmt: skip
"""The triangles of a box by the numbers of its corners: x first, then y, then z."""


def _rectangles(shapes: Iterable[Rectangle], style: Style, paper: Paper) -> Any:
    import plotly.graph_objects as go

    paths = [(*path, path[0]) for shape in shapes for path in shape.outlines]
    xs, ys = _joined(paths)
    line = {"color": _ink(style, paper), "width": _WIDTHS.get(style, 0.8)}
    if style in (Style.CORNER, Style.BLOCKED):
        line["dash"] = "dash"
    return go.Scatter(
        x=xs, y=ys, mode="lines", hoverinfo="skip", name=style.value, fill="toself", fillcolor=_fill(style, paper),
        line=line,
    )  # fmt: skip


def _lines(paths: Iterable[Path], style: Style, paper: Paper) -> Any:
    import plotly.graph_objects as go

    xs, ys = _joined(paths)
    dash = "dash" if style in (Style.SPLIT, Style.REACH) else "solid"
    line = {"color": _ink(style, paper), "width": _WIDTHS.get(style, 0.8), "dash": dash}
    return go.Scatter(x=xs, y=ys, mode="lines", hoverinfo="skip", name=f"{style.value} lines", line=line)


def _joined(paths: Iterable[Path]) -> tuple[list[int | None], list[int | None]]:
    """All points of some paths, with a break after each."""
    xs: list[int | None] = []
    ys: list[int | None] = []
    for path in paths:
        xs += [*(x for x, _ in path), None]
        ys += [*(y for _, y in path), None]
    return xs, ys


def _piles(pieces: Iterable[Rectangle], scale: float) -> Any:
    """Unseen points over the pieces, so that a pointer or a finger on one is told what it is, and picks its opening."""
    import plotly.graph_objects as go

    spots = [
        (box.left + box.width // 2, box.bottom + box.height * (2 * number + 1) // (2 * rows), box)
        for box in pieces
        for rows in [max(1, round(box.height * scale / _HOVER_EVERY))]
        for number in range(rows)
    ]
    return go.Scatter(
        x=[x for x, _, _ in spots],
        y=[y for _, y, _ in spots],
        mode="markers",
        customdata=[box.opening for *_, box in spots],
        hovertext=[escape(box.words, quote=False) for *_, box in spots],
        hoverinfo="text",
        name="piles",
        marker={"size": 8, "opacity": 0},
        selected={"marker": {"opacity": 0}},
        unselected={"marker": {"opacity": 0}},
    )


def _markers(shapes: list[Marker], scale: float, paper: Paper) -> Any:
    import plotly.graph_objects as go

    size = shapes[0].diameter * scale
    return go.Scatter(
        x=[shape.x for shape in shapes],
        y=[shape.y for shape in shapes],
        mode="markers+text",
        text=[shape.letter for shape in shapes],
        customdata=[shape.name for shape in shapes],
        hovertext=[escape(shape.words, quote=False) for shape in shapes],
        hoverinfo="text",
        name="openings",
        marker={"size": size, "color": paper.ground, "line": {"color": paper.ink, "width": 1.2}, "opacity": 1},
        textfont={"size": size * 0.58, "color": paper.ink},
        # a chosen opening keeps all others in full strength
        selected={"marker": {"opacity": 1, "color": "#F0E442"}, "textfont": {"color": "#222222"}},
        unselected={"marker": {"opacity": 1}, "textfont": {"color": paper.ink}},
    )


def _annotation(text: Text, scale: float, paper: Paper) -> dict[str, Any]:
    words = escape(text.words, quote=False).replace("\n", "<br>")
    annotation: dict[str, Any] = {
        "x": text.x,
        "y": text.y,
        "text": f"<b>{words}</b>" if text.bold else words,
        "showarrow": False,
        "font": {"size": text.height * scale, "color": paper.ink},
        "xanchor": "center" if text.turned or text.anchor == "middle" else text.anchor,
        "yanchor": "middle",
        "borderpad": 0,
    }
    if text.turned:
        annotation["textangle"] = -90
    if text.plate:
        annotation["bgcolor"] = paper.plate
    return annotation


def _fill(style: Style, paper: Paper) -> str:
    if style in FAMILY_COLOURS:
        return _tint(FAMILY_COLOURS[style], 0.55)
    fills = {Style.PANEL: paper.wood, Style.ROD: paper.ink, Style.LOCK: paper.ink, Style.PERSON: PERSON}
    return fills.get(style, "rgba(0,0,0,0)")


def _ink(style: Style, paper: Paper) -> str:
    if style in (Style.OPENING, Style.HATCH, Style.SPLIT, Style.CORNER):
        return paper.faint
    return PERSON if style is Style.PERSON else paper.ink


def _tint(colour: str, strength: float) -> str:
    red, green, blue = (int(colour[at : at + 2], 16) for at in (1, 3, 5))
    return f"rgba({red},{green},{blue},{strength})"
