"""What a notebook or a program of your own needs: a folder read, a layout found, compared, checked, drawn and cut.

Everything handed out is frozen. `capacity.read` and the rest are these functions; the commands do the same work and
print it. What is heavy (the solver, Plotly, pandas) is loaded by the function that needs it.
"""

from __future__ import annotations

import os
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from capacity.closet.closet import FILE_NAME as CLOSET_NAME
from capacity.errors import Fault, InputError
from capacity.makeover.comparison import Comparison, comparison
from capacity.makeover.folder import FolderTexts, read_folder_at_once
from capacity.makeover.plan import FILE_NAME, Plan, read_plan, require_sound

if TYPE_CHECKING:
    from capacity.checks.all_checks import Report
    from capacity.closet.closet import Closet
    from capacity.solver.effort import Effort
    from capacity.wardrobe.inventory import Inventory
    from capacity.workshop.job import Job

MISSING = "there is no layout yet; `capacity fit` writes one (in Python: capacity.fit)"
STALE = "the count or the closet has changed since this layout was found; run `capacity fit`"


@dataclass(frozen=True, slots=True)
class Makeover:
    """One household's folder as read: its closet, its inventory, and the layout found for them, None before one is.

    `texts` are both files byte for byte, and `texts.digest` is the `inputs` of a plan that was found for them.
    """

    folder: Path
    closet: Closet
    inventory: Inventory
    texts: FolderTexts
    plan: Plan | None = None

    def __repr__(self) -> str:
        found = "no layout yet" if self.plan is None else "a stale layout" if self.is_stale else "a layout"
        return (
            f"<Makeover {str(self.folder)!r}: {len(self.closet.wall)} walls, {self.inventory.pieces} pieces, {found}>"
        )

    @property
    def is_stale(self) -> bool:
        """Whether there is a layout that was found for another count or another closet."""
        return self.plan is not None and self.plan.inputs != self.texts.digest


def read(folder: str | os.PathLike[str], with_plan: bool = True) -> Makeover:
    """Read a makeover folder: `closet.toml`, `inventory.csv`, and `plan.json` where there is one.

    Parameters
    ----------
    folder
        The folder, as the commands take it.
    with_plan
        Whether `plan.json` is read too; without it a folder opens whatever is wrong with its plan.

    Raises
    ------
    InputError
        With every fault of the files, one line each.

    Examples
    --------
    >>> import capacity
    >>> makeover = capacity.read("inventory_samples/six-foot-reach-in")
    >>> makeover
    <Makeover 'inventory_samples/six-foot-reach-in': 1 walls, 62 pieces, no layout yet>
    >>> makeover.inventory.to_frame()["count"].sum()
    np.int64(62)
    """
    place = Path(folder)
    closet, inventory, texts = read_folder_at_once(place)
    plan = read_plan(place / FILE_NAME) if with_plan and (place / FILE_NAME).exists() else None
    return Makeover(place, closet, inventory, texts, plan)


def fit(makeover: Makeover, effort: Effort | None = None, keep_going: bool = False, save: bool = False) -> Makeover:
    """Find a layout, prove what can be proven, and check it, as `capacity fit` does.

    Parameters
    ----------
    makeover
        What to find it for; not altered.
    effort
        Seconds and seed of the search, and somebody to tell how far it is; None for the usual effort, which ends by
        itself and repeats to the byte.
    keep_going
        Whether to go on from the layout that is there, and store no less of what is still owned.
    save
        Whether to write `plan.json`, with the folder locked meanwhile; without it nothing is written.

    Returns
    -------
    The makeover with its new layout.

    Raises
    ------
    InputError
        When the budget does not buy the boards of the bays that must be; when another program has written
        `plan.json` meanwhile, or looks for a layout there, or nothing can be written.

    Examples
    --------
    A hundredth of the usual effort, for a first look:

    >>> import capacity
    >>> makeover = capacity.read("inventory_samples/six-foot-reach-in")
    >>> found = capacity.fit(makeover, capacity.Effort(factor=0.01))
    >>> found.plan.after.pieces, found.plan.after.value <= found.plan.value.bound
    (62, True)
    """
    from capacity.solver.effort import Effort
    from capacity.solver.planning import make_plan
    from capacity.workshop.whole_sheets import sheets_to_buy

    effort = Effort() if effort is None else effort
    start = makeover.plan if keep_going else None
    files = makeover.closet, makeover.inventory, effort, makeover.texts.digest
    if not save:
        plan = make_plan(*files, start, sheets_to_buy)
        return replace(makeover, plan=plan)

    from capacity.disk.files import require_writable
    from capacity.makeover.saved_plan import before_search, keep_plan
    from capacity.solver.best_so_far import drop_best, keeper
    from capacity.solver.progress import search_in

    require_writable(makeover.folder)
    with search_in(makeover.folder, None, effort, keeper(makeover.folder, makeover.closet, makeover.texts.digest)):
        before = before_search(makeover.folder, makeover.texts)
        plan = make_plan(*files, start, sheets_to_buy)
        keep_plan(makeover.folder, plan, before)
    drop_best(makeover.folder, plan)
    return replace(makeover, plan=plan)


def compare(makeover: Makeover) -> Comparison:
    """Before and after, by kind and by owner [pieces], and in words; `to_frame()` makes it a table.

    Raises
    ------
    InputError
        When there is no layout, or it was found for another count or closet.

    Examples
    --------
    With what `fit` found in its example:

    >>> list(capacity.compare(found).to_frame("owner").columns)
    ['owner', 'owned', 'before', 'after', 'gained']
    """
    return comparison(plan_of(makeover), makeover.inventory)


def check(makeover: Makeover) -> Report:
    """Whether it holds, goes in and is reached; without a layout, what can be said before there is one.

    Raises
    ------
    InputError
        When the layout was found for another count or closet, or breaks the fit rules, as after editing it by hand.

    Examples
    --------
    >>> import capacity
    >>> report = capacity.check(capacity.read("inventory_samples/six-foot-reach-in"))
    >>> report.has_plan, report.longest_rod
    (False, 48.0)
    >>> [item.name for item in report.short]
    ["goes upright through the closet's door"]
    """
    from capacity.makeover.plan_checks import check_plan, check_without_plan

    if makeover.plan is None:
        return check_without_plan(makeover.closet, makeover.inventory)
    return check_plan(makeover.closet, makeover.inventory, plan_of(makeover))


def draw(makeover: Makeover, wall: str | None = None) -> Any:
    """One wall before and after, side by side to one scale, 1,060 pixels across.

    Parameters
    ----------
    makeover
        With a layout.
    wall
        The name of the wall; None for the first.

    Returns
    -------
    A `plotly.graph_objects.Figure`.

    Raises
    ------
    InputError
        As for `compare`, and when there is no wall of that name.

    Examples
    --------
    With what `fit` found in its example:

    >>> capacity.draw(found, "back").layout.width
    1160
    """
    from capacity.drawings.to_plotly import LIGHT
    from capacity.page.picture import sides_of, wide_figure

    plan = plan_of(makeover)
    names = [item.name for item in makeover.closet.wall]
    if wall is not None and wall not in names:
        raise InputError([Fault("wall", "", f'"{wall}" is none of the walls: {", ".join(names)}')])
    sides = sides_of(makeover.closet, makeover.inventory, plan)
    return wide_figure(sides, 0 if wall is None else names.index(wall), LIGHT)


def cut(makeover: Makeover, effort: Effort | None = None) -> Job:
    """The parts of a layout and how each sheet and stick is cut; writes nothing (`capacity build` does).

    Parameters
    ----------
    makeover
        With a layout.
    effort
        The work allowed for cutting; None for the usual effort.

    Raises
    ------
    InputError
        As for `compare`, and when a part goes on no sheet or there is nothing to build.

    Examples
    --------
    With what `fit` found in its example:

    >>> parts = capacity.cut(found, capacity.Effort(factor=0.01)).to_frame()
    >>> list(parts.columns)[:6]
    ['label', 'part', 'material', 'length', 'width', 'thickness']
    """
    from capacity.solver.effort import Effort
    from capacity.workshop.job import prepare

    plan = plan_of(makeover)
    text = makeover.texts.files[CLOSET_NAME].decode("utf-8-sig")
    return prepare(makeover.closet, makeover.inventory, plan, Effort() if effort is None else effort, text)


def plan_of(makeover: Makeover) -> Plan:
    """The layout of a makeover.

    Raises
    ------
    InputError
        When there is none, it was found for another count or closet, or a hand edit has made it untrue.
    """
    if makeover.plan is None:
        raise InputError([Fault(FILE_NAME, "", MISSING)])
    if makeover.is_stale:
        raise InputError([Fault(FILE_NAME, "", STALE)])
    require_sound(makeover.closet, makeover.inventory, makeover.plan)
    return makeover.plan
