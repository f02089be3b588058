"""What falls short on page 1: each check names the parts that would be other ones if it passed."""

from __future__ import annotations

from dataclasses import replace

import pytest
from support.built_samples import INVENTORY, closet, hand_made_plan

from capacity.checks.check import Check, Place
from capacity.checks.way_in import CarriedItem, part_name
from capacity.errors import InputError
from capacity.solver.effort import Effort
from capacity.wardrobe.inventory import parse_inventory
from capacity.workshop.job import Job, prepare
from capacity.workshop.parts.parts import Role
from capacity.workshop.parts_concerned import marks, shortfalls_of


@pytest.fixture(scope="module")
def job() -> Job:
    house, effort = closet(), Effort()
    effort.stop()
    return prepare(house, parse_inventory(INVENTORY, "in"), hand_made_plan(house), effort)


def _roles(job: Job, name: str, **place: object) -> dict[Role, int]:
    """How many parts of each role a check that falls short concerns."""
    check = Check(
        name=name, place=Place.model_validate(place), computed=2, limit=1, sense="at most", unit="in", ratio=2,
        passed=False, source="", how_known="computed",
    )  # fmt: skip
    (found,) = shortfalls_of(replace(job, report=job.report.model_copy(update={"checks": (check,)})))
    assert set(marks((found,)).values()) <= {"falls short: see 1 on page 1"}
    roles: dict[Role, int] = {}
    for label in found.labels:
        role = next(part.role for part in job.carcass.parts if part.label == label)
        roles[role] = roles.get(role, 0) + 1
    return roles


def test_a_check_names_the_parts_that_it_is_about(job: Job) -> None:
    left = "left & first"
    assert _roles(job, "drawer comes out fully", wall=left, bay=1, opening=1) == {Role.FRONT: 2}
    assert _roles(job, "rod sag", wall=left, bay=2, opening=1) == {Role.ROD: 1}
    assert _roles(job, "shelf sag", wall="back", bay=1, opening=7) == {Role.TOP: 1}
    assert sum(_roles(job, "shelf sag", wall="back", bay=1, opening=2).values()) == 1
    assert set(_roles(job, "shims under the kick", wall="back")) == {Role.KICK}
    assert _roles(job, "scribe to the wall", wall="back") == {}  # its ends are straight
    assert set(_roles(job, "built-ins under the ceiling", wall="back")) == {Role.UPRIGHT}
    assert _roles(job, "goes through the door", wall=left, bay=1) == {Role.UPRIGHT: 2}
    for role, name in ((Role.UPRIGHT, "upright"), (Role.KICK, "toe kick"), (Role.FIXED, "shelf")):
        part = next(part for part in job.carcass.parts if part.role is role)
        bay = job.layout.walls[part.wall - 1].bays[max(0, part.bay - 1)]
        sizes = (bay.width, bay.depth, part.thickness) if name == "shelf" else (part.length, part.width, part.thickness)
        if name == "upright":
            sizes = (part.thickness, job.problem.runs[part.wall - 1].depth, part.length)
        found = _roles(job, "goes round the corner", thing=part_name(CarriedItem(name, *sizes), "in"))
        assert role in found, name


def test_a_plan_for_other_files_is_refused_before_anything_is_cut() -> None:
    house, inventory = closet(), parse_inventory(INVENTORY, "in")
    plan = hand_made_plan(house)
    more = parse_inventory(INVENTORY.replace("sneakers,6", "sneakers,7"), "in")
    for other, count, said in (
        (plan.model_copy(update={"walls": plan.walls[:1]}), inventory, "was found for other walls"),
        (plan.model_copy(update={"corners": ()}), inventory, "was found for other corners"),
        (plan, more, "was found for another count .row 1 of the inventory"),
    ):
        with pytest.raises(InputError, match=said):
            prepare(house, count, other, Effort())
