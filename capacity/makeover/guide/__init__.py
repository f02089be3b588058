"""The guide: short pages shown by `capacity guide TOPIC` and on the page; the code in them is run by a test."""

from __future__ import annotations

from importlib.resources import files

TOPICS = (
    "first-closet", "measuring", "closet-for-two", "re-spacing", "what-is-proven", "for-builders", "glossary",
)  # fmt: skip
"""In the order in which they are read."""


def guide_text(topic: str) -> str:
    """The Markdown text of one topic, its title in the first line; `KeyError` when there is none."""
    if topic not in TOPICS:
        raise KeyError(topic)
    return files(__name__).joinpath(f"{topic}.md").read_text(encoding="utf-8")


def title_of(topic: str) -> str:
    """The title of one topic."""
    return guide_text(topic).partition("\n")[0].removeprefix("# ")
