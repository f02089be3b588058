"""What a disk may hold after the power goes: only what was flushed is sure, the rest is there or is not.

The model is harsh where file systems differ: a file's content lasts from its own flush only; a name in a folder lasts
from a flush of that folder only; names that were not flushed are lost from some point in their order onward. A file
that never was flushed is empty or half.
"""

from __future__ import annotations

import os
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

Content = bytes | str | None
"""What is in a file; where a link leads to; None for a folder."""

Tree = dict[str, Content]
"""The files of a folder by path."""


@dataclass(slots=True)
class _Disk:
    """Names by folder, and the content of files, by node."""

    folders: dict[int, dict[str, int]] = field(default_factory=dict)
    files: dict[int, bytes | str] = field(default_factory=dict)

    def tree(self, root: int) -> Tree:
        found: Tree = {}
        waiting = [("", root)]
        while waiting:
            path, node = waiting.pop()
            for name, child in self.folders[node].items():
                place = os.path.join(path, name)
                if child in self.folders:
                    found[place] = None
                    waiting.append((place, child))
                else:
                    found[place] = self.files.get(child, b"")
        return found


def read_tree(folder: Path) -> Tree:
    """The files below a folder as they are."""
    found: Tree = {}
    for place, names, files in os.walk(folder):
        inside = os.path.relpath(place, folder)
        for name in names:
            found[os.path.normpath(os.path.join(inside, name))] = None
        for name in files:
            found[os.path.normpath(os.path.join(inside, name))] = _content(Path(place, name))
    return found


def _content(path: Path) -> bytes | str:
    return os.readlink(path) if path.is_symlink() else path.read_bytes()


def write_tree(tree: Tree, folder: Path) -> None:
    """Make the files of a tree below a folder."""
    for place, content in sorted(tree.items()):
        path = folder / place
        if content is None:
            path.mkdir(parents=True, exist_ok=True)
        else:
            path.parent.mkdir(parents=True, exist_ok=True)
            if isinstance(content, str):
                path.symlink_to(content)
            else:
                path.write_bytes(content)


def states(before: tuple[Any, ...], steps: list[tuple[Any, ...]], root: int, calls: int) -> Iterator[Tree]:
    """Everything that the disk may hold below `root` when the power goes after so many calls.

    `before` is what `snapshot` gave; each state comes once.
    """
    done = [step[1:] for step in steps if step[0] <= calls]
    changes = [index for index, step in enumerate(done) if step[0] in ("add", "remove", "move")]
    sure = {index for index in changes if _is_flushed(done, index)}
    seen = set()
    open_changes = [index for index in changes if index not in sure]
    for kept in range(len(open_changes) + 1):
        for unflushed in ("empty", "half"):
            disk = _Disk({node: dict(names) for node, names in before[0].items()}, dict(before[1]))
            for index in sorted(sure | set(open_changes[:kept])):
                _apply(disk, done[index])
            disk.files |= _contents(before[1], done, unflushed)
            tree = disk.tree(root)
            key = tuple(sorted(tree.items(), key=lambda item: item[0]))
            if key not in seen:
                seen.add(key)
                yield tree


def snapshot(folder: Path, calls: Any) -> tuple[dict[int, dict[str, int]], dict[int, bytes | str]]:
    """The disk below a folder before the steps, in the numbers of `calls`."""
    folders: dict[int, dict[str, int]] = {}
    files: dict[int, bytes | str] = {}
    for place, names, contents in os.walk(folder):
        inside = folders.setdefault(calls.node(place), {})
        for name in names:
            inside[name] = calls.node(os.path.join(place, name))
        for name in contents:
            inside[name] = calls.node(os.path.join(place, name))
            files[inside[name]] = _content(Path(place, name))
    return folders, files


def _is_flushed(done: list[tuple[Any, ...]], index: int) -> bool:
    step = done[index]
    parents = {step[1], step[3]} if step[0] == "move" else {step[1]}
    return parents <= {later[1] for later in done[index:] if later[0] == "sync"}


def _apply(disk: _Disk, step: tuple[Any, ...]) -> None:
    if step[0] == "add":
        _, parent, name, node, kind = step
        disk.folders.setdefault(parent, {})[name] = node
        if kind == "folder":
            disk.folders.setdefault(node, {})
    elif step[0] == "remove":
        disk.folders.setdefault(step[1], {}).pop(step[2], None)
    else:
        _, source, old, target, new, node = step
        disk.folders.setdefault(source, {}).pop(old, None)
        disk.folders.setdefault(target, {})[new] = node


def _contents(before: dict[int, bytes | str], done: list[tuple[Any, ...]], unflushed: str) -> dict[int, bytes]:
    """What is in each file that was written: as of its last flush, and what came later empty or half."""
    sure = {node: content for node, content in before.items() if isinstance(content, bytes)}
    now = {node: bytearray(content) for node, content in sure.items()}
    written = set()
    for step in done:
        if step[0] == "write":
            _, node, place, data = step
            now.setdefault(node, bytearray())[place : place + len(data)] = data
            written.add(node)
        elif step[0] == "cut":
            now[step[1]] = bytearray()
            written.add(step[1])
        elif step[0] == "sync" and step[1] in now:
            sure[step[1]] = bytes(now[step[1]])
    found = {}
    for node in written:
        content = bytes(now[node])
        if sure.get(node) == content:
            found[node] = content
        else:
            found[node] = sure.get(node, b"") if unflushed == "empty" else content[: len(content) // 2]
    return found
