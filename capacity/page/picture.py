"""Drawings and charts of the page as Plotly figures, in the two widths that the page has room for."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from html import escape
from typing import TYPE_CHECKING, Any, Literal

from capacity.closet.closet import Closet
from capacity.drawings.carcass_drawing import Standing, View
from capacity.drawings.drawing import Drawing
from capacity.drawings.elevation import (
    GAP,
    LEFT_MARGIN,
    RIGHT_MARGIN,
    Side,
    before_and_after,
    elevation,
    people_of,
    titled,
    with_key,
)
from capacity.drawings.to_plotly import Paper, draw_plotly
from capacity.drawings.to_svg import format_svg
from capacity.errors import Fault, InputError
from capacity.layout.fit_rules import filling_violations, violations
from capacity.layout.layout import Layout
from capacity.layout.problem import Problem
from capacity.makeover.comparison import Gain, headline
from capacity.makeover.files_to_problem import size_problem
from capacity.makeover.plan import FILE_NAME as PLAN_NAME
from capacity.makeover.plan import Plan, layout_of, stored_by_row
from capacity.solver.best_so_far import BestSoFar
from capacity.wardrobe.inventory import Inventory

if TYPE_CHECKING:
    import plotly.graph_objects as go

WIDE, HALF, NARROW = 1160, 660, 350
"""Width of a drawing with both sides, of one beside its answer, and of one side on a phone [pixels]."""

LONGEST_NAME = 22
"""Letters of a name beside a chart; a phone has room for no more."""

HIGH, LOW = 640, 420
"""Most height of a wall that is drawn alone, and of one that is still being looked for [pixels]."""

WIDE_LETTER, NARROW_LETTER = 12.0, 10.5
"""Size of the letters in each [pixels]."""

BEFORE_INK, AFTER_INK = {"light": "#0072B2", "dark": "#56B4E9"}, "#D55E00"
"""Colours of before and after in the chart (M. Okabe and K. Ito's set)."""


@dataclass(frozen=True, slots=True)
class Sides:
    """A plan's two sides, ready to be drawn for the problem that it answers."""

    problem: Problem
    inventory: Inventory
    plan: Plan
    before: Side
    after: Side
    people: tuple[Standing, ...] = ()


def sides_of(closet: Closet, inventory: Inventory, plan: Plan) -> Sides:
    """Both sides of a plan as layouts, checked once more before they are drawn.

    Raises
    ------
    InputError
        When the plan does not keep to the rules for this problem: somebody has changed it.
    """
    problem = size_problem(closet, inventory)
    first = tuple(True for _ in problem.corners)
    before = Side("Before", layout_of(plan.before.walls, plan.units, first), False)
    after = Side("After", layout_of(plan.after.walls, plan.units, _owners(problem, plan.corners)), True)
    names = [run.name for run in problem.runs]
    broken: tuple[object, ...] = violations(problem, after.layout)
    if [wall.name for wall in before.layout.walls] == names:
        broken = (*broken, *filling_violations(problem, before.layout))
    else:
        broken = (*broken, "the walls of before are others")
    if broken:
        problems = f"does not keep to the rules ({broken[0]}); find a layout again"
        raise InputError([Fault(PLAN_NAME, "", problems)])
    return Sides(problem, inventory, plan, before, after, people_of(closet))


def best_figure(
    closet: Closet, inventory: Inventory, best: BestSoFar, paper: Paper, wide: bool
) -> tuple[go.Figure, int]:
    """The best layout of a search that has not ended, the wall that holds most of it; and how many pieces it stores."""
    problem = size_problem(closet, inventory)
    layout = layout_of(best.walls, best.units, _owners(problem, best.corners))
    wall = max(range(len(layout.walls)), key=lambda number: Layout((layout.walls[number],)).stored().total())
    width, letter = (HALF, WIDE_LETTER) if wide else (NARROW, NARROW_LETTER)
    run = problem.runs[wall]
    scale = min(
        (width - letter * (LEFT_MARGIN + RIGHT_MARGIN)) / run.width, LOW / max(run.ceiling_left, run.ceiling_right)
    )
    view = View(round(letter / scale), best.units, "none")
    drawing = elevation(problem, inventory, Side("Best so far", layout, True), wall, view)
    return draw_plotly(drawing, scale, paper), layout.stored().total()


def _owners(problem: Problem, corners: tuple[str, ...]) -> tuple[bool, ...]:
    """Who owns each corner, by the names of the walls."""
    return tuple(name == problem.runs[corner.ends].name for name, corner in zip(corners, problem.corners, strict=False))


def wide_figure(sides: Sides, wall: int, paper: Paper, chosen: str = "") -> go.Figure:
    """Before and after of one wall side by side: one figure, one pair of axes, one scale."""
    drawing = _both(sides, wall, chosen)[0]
    return draw_plotly(drawing, WIDE / drawing.width, paper)


def narrow_figures(sides: Sides, wall: int, paper: Paper, chosen: str = "") -> tuple[go.Figure, go.Figure]:
    """Before and after of one wall as two figures with the same inches a pixel, for a phone."""
    drawn = [_alone(sides, side, wall, chosen, is_wide=False) for side in (sides.before, sides.after)]
    first, second = (draw_plotly(drawing, scale, paper) for drawing, scale in drawn)
    return first, second


def after_figure(sides: Sides, wall: int, paper: Paper, is_wide: bool, chosen: str = "") -> go.Figure:
    """The layout found for one wall, as large as a window of that width has room for."""
    return draw_plotly(*_alone(sides, sides.after, wall, chosen, is_wide), paper)


def framed_svg(sides: Sides, wall: int, name: str, date: str) -> str:
    """Before and after of one wall under the sentence and a date, as SVG: to be kept, printed and shown around."""
    drawing, view = _both(sides, wall, "")
    run = f", {sides.problem.runs[wall].name}" if len(sides.problem.runs) > 1 else ""
    whole = titled(drawing, (headline(sides.plan), f"{name}{run}, {date}"), view)
    return format_svg(whole, alternative_text(sides, wall), view.letter)


def _both(sides: Sides, wall: int, chosen: str) -> tuple[Drawing, View]:
    statures = [person.stature for person in sides.people if person.stature]
    real = 2 * _widest(sides) + sum(round(0.4 * stature) for stature in statures)
    margins = 2 * (LEFT_MARGIN + RIGHT_MARGIN) + GAP + 0.6 * len(statures)
    view = _view(sides, WIDE_LETTER * real / (WIDE - WIDE_LETTER * margins), "inside", chosen)
    return before_and_after(sides.problem, sides.inventory, sides.before, sides.after, wall, view), view


def _alone(sides: Sides, side: Side, wall: int, chosen: str, is_wide: bool) -> tuple[Drawing, float]:
    """One side of a wall, and its scale [pixels a tick]."""
    width, letter = (HALF, WIDE_LETTER) if is_wide else (NARROW, NARROW_LETTER)
    scale = (width - letter * (LEFT_MARGIN + RIGHT_MARGIN)) / _widest(sides)
    if is_wide:  # a narrow wall must not fill more than the screen's height
        scale = min(scale, HIGH / max(max(run.ceiling_left, run.ceiling_right) for run in sides.problem.runs))
    view = _view(sides, letter / scale, "inside" if is_wide else "list", chosen)
    drawing = elevation(sides.problem, sides.inventory, side, wall, view)
    return with_key(sides.problem, drawing, view), scale


def _view(sides: Sides, letter: float, names: Literal["inside", "list"], chosen: str) -> View:
    return View(round(letter), sides.plan.units, names, sides.people, has_floor=True, chosen=chosen)


def _widest(sides: Sides) -> int:
    return max(run.width for run in sides.problem.runs)


def gain_chart(gained: Sequence[Gain], paper: Paper, is_dark: bool) -> go.Figure:
    """One line a kind or owner from before to after, sorted by gain, with a bar where all that is owned would end.

    Parameters
    ----------
    gained
        `gains(plan, inventory, by)`.
    paper, is_dark
        Colours of the sheet.
    """
    import plotly.graph_objects as go

    by_name = sorted(gained, key=lambda item: item.name, reverse=True)
    rows = sorted(by_name, key=lambda item: (item.gained, item.owned))
    kinds = [f"{escape(_short(item.name), quote=False)} " for item in rows]
    figure = go.Figure()
    xs: list[int | None] = []
    ys: list[str | None] = []
    for kind, item in zip(kinds, rows, strict=True):
        xs += [item.before, item.after, None]
        ys += [kind, kind, None]
    figure.add_trace(go.Scatter(x=xs, y=ys, mode="lines", line={"color": paper.faint, "width": 3}, showlegend=False))
    owned = [item.owned for item in rows]
    bar = {"symbol": "line-ns", "size": 16, "line": {"width": 3, "color": paper.ink}}
    figure.add_trace(go.Scatter(x=owned, y=kinds, mode="markers", marker=bar, name="you own"))
    before_ink = BEFORE_INK["dark" if is_dark else "light"]
    circle = {"symbol": "circle", "size": 11, "color": paper.ground, "line": {"width": 2.5, "color": before_ink}}
    diamond = {"symbol": "diamond", "size": 11, "color": AFTER_INK}
    for name, marker, place in (("before", circle, "left"), ("after", diamond, "right")):
        stored = [getattr(item, name) for item in rows]
        figure.add_trace(
            go.Scatter(
                x=stored, y=kinds, mode="markers+text", marker=marker, name=name,
                text=[f"{number}" for number in stored], textposition=f"middle {place}",
                textfont={"size": 12, "color": paper.ink},
            )
        )  # fmt: skip
    figure.update_traces(hoverinfo="skip")
    figure.update_layout(_chart_layout(len(kinds), max(1, *owned), paper, is_dark))
    return figure


def _short(name: str) -> str:
    return name if len(name) <= LONGEST_NAME else f"{name[: LONGEST_NAME - 1]}…"


def _chart_layout(kinds: int, most: int, paper: Paper, is_dark: bool) -> dict[str, Any]:
    """Size, axes and look of the chart; the axis starts at 0, with room for the numbers at both ends."""
    return {
        "height": 80 + 26 * kinds,
        "margin": {"l": 4, "r": 4, "t": 34, "b": 24},
        "paper_bgcolor": paper.ground,
        "plot_bgcolor": paper.ground,
        "font": {"family": "Helvetica, Arial, sans-serif", "color": paper.ink, "size": 13},
        "dragmode": False,
        "legend": {"orientation": "h", "y": 1, "yanchor": "bottom", "x": 0},
        "xaxis": {
            "range": [-0.09 * most, 1.09 * most], "gridcolor": _grid(is_dark), "zeroline": False, "fixedrange": True,
            "tickformat": "d", "nticks": 6,
        },
        "yaxis": {"fixedrange": True, "automargin": True, "dtick": 1},
    }  # fmt: skip


def _grid(is_dark: bool) -> str:
    return "#30363d" if is_dark else "#e3e3e3"


def alternative_text(sides: Sides, wall: int) -> str:
    """What the drawing shows, for those who do not see it."""
    name = sides.problem.runs[wall].name
    rows = {
        side.title: sum(
            holding.count for bay in side.layout.walls[wall].bays for item in bay.openings for holding in item.holds
        )
        for side in (sides.before, sides.after)
    }
    total = sum(stored_by_row(sides.plan.after.walls).values())
    return (
        f"Front of the wall {name}: {rows['Before']} pieces before, {rows['After']} after, to one scale; "
        f"{total} pieces after on all walls. The openings stand in words below."
    )
