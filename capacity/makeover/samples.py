"""The makeover folders that come with the repository, in `inventory_samples/`."""

from __future__ import annotations

import re
from pathlib import Path

from capacity.disk.files import clear_leftovers, read_bytes, read_text, sync_folder, write_text
from capacity.errors import Fault, InputError

SAMPLES = ("couple-walk-in", "family-walk-in", "published-count", "six-foot-reach-in")
DEFAULT = "six-foot-reach-in"
FILES = ("inventory.csv", "closet.toml")
MOST_BYTES = 1_000_000


def start_folder(folder: Path, sample: str = DEFAULT) -> tuple[Path, ...]:
    """Make a makeover folder from a sample; never overwrites.

    Raises
    ------
    InputError
        When the sample is not known, a file is already there, or the folder cannot be written.
    """
    if sample not in SAMPLES:
        raise InputError([Fault("--sample", "", f'"{sample}" is not a sample; the samples: {", ".join(SAMPLES)}')])
    try:
        clear_leftovers(folder, "|".join(map(re.escape, FILES)))
        texts = {name: _text(sample, name) for name in FILES}
        there = [name for name in FILES if (folder / name).exists()]
        is_ours = all(read_bytes(folder / name) == texts[name].encode() for name in there)
        if is_ours and len(there) < len(FILES):  # nothing, or what a start that was broken off has left
            texts, there = {name: texts[name] for name in FILES if name not in there}, []
        if not there:
            _make(folder)
    except OSError as error:
        raise InputError([Fault(str(folder), "", f"cannot be made: {error.strerror}")]) from None
    if there:
        raise InputError([Fault(name, "", f"is already in {folder}; nothing is overwritten") for name in there])
    for name, text in texts.items():
        write_text(folder / name, text, is_new=True)
    return tuple(folder / name for name in FILES)


def _make(folder: Path) -> None:
    """Make a folder with those above it, each of which then lasts through a power cut."""
    missing = [place for place in (folder, *folder.parents) if not place.exists()]
    folder.mkdir(parents=True, exist_ok=True)
    for place in missing:
        sync_folder(place.parent)


def _text(sample: str, name: str) -> str:
    package = Path(__file__).resolve().parents[1]
    # beside the package in the repository, within it where it was installed from a wheel
    places = [place / "inventory_samples" / sample / name for place in (package.parent, package)]
    return read_text(next((path for path in places if path.exists()), places[0]), MOST_BYTES)
