"""What stands under the bottom panels: a kick board between two uprights, or a base that bays are lifted on.

On a floor that falls, the built-ins are levelled from its highest point: uprights stand on shims, and boards at the
front are that much higher and scribed to the floor. A base is a frame for each bay, from the middle of an upright to
the middle of the next: two rails and two cross pieces.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from capacity.closet.closet import Closet
from capacity.drawings.labels import length_words
from capacity.layout.layout import Bay
from capacity.layout.problem import Problem
from capacity.layout.uprights import Upright, beside_bay, has_kick
from capacity.workshop.parts.parts import Lie, Part, Role, StockKind


def kick_parts(
    closet: Closet, problem: Problem, wall: int, number: int, bays: Sequence[Bay], uprights: Sequence[Upright]
) -> Iterator[Part]:
    """The boards under the bottom panel of one bay; none where a rod stands on the floor or the floor is kept free.

    Parameters
    ----------
    closet, problem
        Setback of the kick, how far the floor falls, the way of building; height of the toe kick and thickness.
    wall, number
        Where it is, counted from 1.
    bays, uprights
        All of the wall.
    """
    bay = bays[number - 1]
    built, kick, thick = closet.construction, problem.rules.toe_kick, problem.rules.panel
    if not kick or not has_kick(problem, bay):
        return
    falls = closet.wall[wall - 1].level
    note = ""
    if falls:
        note = f"{length_words(falls, closet.units)} higher than the toe kick: scribe to the floor"

    def part(role: Role, size: tuple[int, int], place: tuple[int, int], lie: Lie, words: str) -> Part:
        return Part(
            "", role, StockKind.PANEL, *size, thick, built.grained, 0, 0, wall, number, *place, lie, words
        )  # fmt: skip

    if closet.assembly != "on a base":
        yield part(Role.KICK, (bay.width, kick + falls), (bay.left, -falls), Lie.FACING, note)
        return
    left, right = _ends(bay, bays, uprights, problem)
    for words in ("front", "back"):
        more = "; ".join(filter(None, (words, note)))
        yield part(Role.BASE, (right - left, kick + falls), (left, -falls), Lie.FACING, more)
    deep = bay.depth - built.kick_setback - 2 * thick
    if deep > 0:
        for place in (left, right - thick):
            words = "; ".join(filter(None, ("between front and back", note)))
            yield part(Role.BASE, (deep, kick + falls), (place, -falls), Lie.END_ON, words)


def _ends(bay: Bay, bays: Sequence[Bay], uprights: Sequence[Upright], problem: Problem) -> tuple[int, int]:
    """To the middle of an upright that is shared, over the whole of another; short of one that stands on the floor."""
    thick, kick = problem.rules.panel, problem.rules.toe_kick
    first, last = beside_bay(uprights, problem, bay)
    ends_before = {other.left + other.width for other in bays}
    starts_after = {other.left for other in bays}
    left = first.left + (thick // 2 if first.left in ends_before else 0)
    right = last.left + (thick // 2 if last.left + thick in starts_after else thick)
    return left if first.foot == kick else bay.left, right if last.foot == kick else last.left
