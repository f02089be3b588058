"""The page opened without a browser: what stands on it, one step after the other, on a folder with a layout."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import tomlkit
from streamlit.testing.v1 import AppTest

from capacity.makeover.folder import fingerprint, read_folder
from capacity.makeover.plan import Plan, read_plan, write_plan
from capacity.solver.effort import Effort
from capacity.solver.planning import make_plan

APP = Path(__file__).parents[2] / "app.py"
Open = Callable[..., AppTest]


def turn_to(page: AppTest, step: str) -> AppTest:
    """Go to another step in the same window."""
    places = {info["url_pathname"]: place for place, info in page._registered_pages.items()}
    page._page_hash = places[step]
    page.run()
    assert not page.exception
    return page


def fitted(folder: Path) -> Plan:
    closet, inventory = read_folder(folder)
    plan = make_plan(closet, inventory, Effort(factor=0.01), fingerprint(folder))
    write_plan(plan, folder / "plan.json")
    return plan


def said(page: AppTest) -> str:
    parts = (page.title, page.header, page.subheader, page.markdown, page.caption, page.error, page.warning, page.info)
    return "\n".join(str(element.value) for part in parts for element in part).replace("\\", "")


def refreshed(folder: Path, wishes: dict[str, object]) -> None:
    """Add wishes to a folder with a layout and a packet, and make the packet again; the layout stays."""
    path = folder / "closet.toml"
    document = tomlkit.parse(path.read_text(encoding="utf-8"))
    document.setdefault("wishes", tomlkit.table()).update(wishes)
    path.write_text(tomlkit.dumps(document), encoding="utf-8")
    plan = read_plan(folder / "plan.json").model_copy(update={"inputs": fingerprint(folder)})
    write_plan(plan, folder / "plan.json")
    packed(folder)


def packed(folder: Path) -> None:
    """Make the packet of a folder with a layout, its boards cut in the first way that is found."""
    from capacity.workshop.build_files import build
    from capacity.workshop.job import prepare

    effort = Effort(factor=0.01)
    effort.stop()
    text = (folder / "closet.toml").read_text(encoding="utf-8")
    build(folder, prepare(*read_folder(folder), read_plan(folder / "plan.json"), effort, text), "letter")
