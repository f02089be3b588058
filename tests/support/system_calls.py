"""Every system call that writes, counted and made to fail: killed, refused, half done; or noted for a power cut.

`watched` takes the place of the calls of `os` and of opened files in this process, for paths under one folder. The
process is a fork made for one case, so nothing is put back.
"""

from __future__ import annotations

import builtins
import errno
import io
import os
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

KILLED = 137


@dataclass(frozen=True, slots=True)
class Fault:
    """What goes wrong at the call of this number (from 1): `kind` says what, and whether it stays so.

    killed: the process ends before the call. half: it ends when half of a write is done (before any other call).
    full: no room, at every call from there on that needs some. denied: no permission from there on. broken: the
    device fails this one call. once full: no room for this one call. interrupted: Ctrl-C.
    """

    kind: str
    at: int


KINDS = ("killed", "half", "full", "once full", "denied", "broken", "interrupted")
NEEDS_ROOM = ("create", "write", "mkdir", "link", "fsync")
NEEDS_PERMISSION = ("create", "mkdir", "link", "replace", "unlink", "rmdir", "chmod", "utime")


@dataclass(slots=True)
class Calls:
    """The calls so far, and what happened to the disk as a list of steps for `power_cut`."""

    root: str
    fault: Fault | None
    number: int = 0
    steps: list[tuple[Any, ...]] = field(default_factory=list)
    inodes: dict[int, int] = field(default_factory=dict)
    made: int = 0

    def enter(self, name: str, path: str) -> bool:
        """Count a call before it is made; True: do half of it and end."""
        if not self.is_ours(path):
            return False
        self.number += 1
        fault = self.fault
        if fault is None or self.number < fault.at:
            return False
        if self.number == fault.at:
            if fault.kind == "killed" or (fault.kind == "half" and name != "write"):
                os._exit(KILLED)
            if fault.kind == "half":
                return True
            if fault.kind == "broken":
                raise OSError(errno.EIO, os.strerror(errno.EIO), path)
            if fault.kind == "interrupted":
                raise KeyboardInterrupt
            if fault.kind == "once full" and name in NEEDS_ROOM:
                raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC), path)
        if fault.kind == "full" and name in NEEDS_ROOM:
            raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC), path)
        if fault.kind == "denied" and name in NEEDS_PERMISSION:
            raise PermissionError(errno.EACCES, os.strerror(errno.EACCES), path)
        return False

    def is_ours(self, path: str) -> bool:
        """Whether a path lies in the folder that is watched, or is it or its parent."""
        return path == self.root or path.startswith(self.root + os.sep) or path == os.path.dirname(self.root)

    def node(self, path: str, is_new: bool = False) -> int:
        """A number for the file or folder at a path that is never used again, unlike an inode's."""
        inode = os.lstat(path).st_ino
        if is_new or inode not in self.inodes:
            self.made += 1
            self.inodes[inode] = self.made
        return self.inodes[inode]

    def note(self, path: str, *step: object) -> None:
        """Add a step, with the number of calls so far."""
        if self.is_ours(path):
            self.steps.append((self.number, *step))


def path_of(file: int | str | bytes | os.PathLike[str], dir_fd: int | None = None) -> str:
    """The full path of a file by name, by descriptor, or by name under a descriptor."""
    if isinstance(file, int):
        return os.readlink(f"/proc/self/fd/{file}").removesuffix(" (deleted)")
    name = os.fsdecode(file)
    if dir_fd is not None:
        return os.path.join(os.readlink(f"/proc/self/fd/{dir_fd}"), name)
    return os.path.abspath(name)


def watched(root: Path, fault: Fault | None = None) -> Calls:
    """Watch this process from now on."""
    calls = Calls(str(root), fault)
    for folder, names, files in os.walk(root.parent):
        calls.node(folder)
        for name in (*names, *files):
            calls.node(os.path.join(folder, name))
    for name in ("replace", "rename"):
        _set(os, name, _moving(calls, getattr(os, name)))
    for name in ("unlink", "remove", "rmdir"):
        _set(os, name, _removing(calls, name.replace("remove", "unlink"), getattr(os, name)))
    for name in ("chmod", "utime"):
        _set(os, name, _plain(calls, name, getattr(os, name)))
    _set(os, "mkdir", _mkdir(calls, os.mkdir))
    _set(os, "link", _link(calls, os.link))
    _set(os, "fsync", _fsync(calls, os.fsync))
    _set(os, "open", _os_open(calls, os.open))
    opener = _io_open(calls, io.open)
    _set(io, "open", opener)
    _set(builtins, "open", opener)
    _set(os, "sendfile", _no_sendfile)
    return calls


def _set(module: Any, name: str, call: Callable[..., Any]) -> None:
    for known in (os.supports_dir_fd, os.supports_fd, os.supports_follow_symlinks):
        if getattr(module, name) in known:
            known.add(call)
    setattr(module, name, call)


def _no_sendfile(*_: object) -> int:
    raise OSError(errno.ENOTSUP, os.strerror(errno.ENOTSUP))  # so that a copy goes through `write`


def _moving(calls: Calls, really: Callable[..., None]) -> Callable[..., None]:
    def call(source: Any, target: Any, *, src_dir_fd: int | None = None, dst_dir_fd: int | None = None) -> None:
        old, new = path_of(source, src_dir_fd), path_of(target, dst_dir_fd)
        calls.enter("replace", new)
        if calls.is_ours(new):
            node, parents = calls.node(old), (calls.node(os.path.dirname(old)), calls.node(os.path.dirname(new)))
            really(source, target, src_dir_fd=src_dir_fd, dst_dir_fd=dst_dir_fd)
            names = os.path.basename(old), os.path.basename(new)
            calls.note(new, "move", parents[0], names[0], parents[1], names[1], node)
        else:
            really(source, target, src_dir_fd=src_dir_fd, dst_dir_fd=dst_dir_fd)

    return call


def _removing(calls: Calls, kind: str, really: Callable[..., None]) -> Callable[..., None]:
    def call(path: Any, *, dir_fd: int | None = None) -> None:
        full = path_of(path, dir_fd)
        calls.enter(kind, full)
        really(path, dir_fd=dir_fd)
        if calls.is_ours(full):
            calls.note(full, "remove", calls.node(os.path.dirname(full)), os.path.basename(full))

    return call


def _plain(calls: Calls, kind: str, really: Callable[..., None]) -> Callable[..., None]:
    def call(path: Any, *arguments: Any, **named: Any) -> None:
        calls.enter(kind, path_of(path))
        really(path, *arguments, **named)

    return call


def _mkdir(calls: Calls, really: Callable[..., None]) -> Callable[..., None]:
    def call(path: Any, mode: int = 0o777, *, dir_fd: int | None = None) -> None:
        full = path_of(path, dir_fd)
        calls.enter("mkdir", full)
        really(path, mode, dir_fd=dir_fd)
        if calls.is_ours(full):
            parent = calls.node(os.path.dirname(full))
            calls.note(full, "add", parent, os.path.basename(full), calls.node(full, is_new=True), "folder")

    return call


def _link(calls: Calls, really: Callable[..., None]) -> Callable[..., None]:
    def call(source: Any, target: Any, **named: Any) -> None:
        full = path_of(target)
        calls.enter("link", full)
        really(source, target, **named)
        if calls.is_ours(full):
            parent = calls.node(os.path.dirname(full))
            calls.note(full, "add", parent, os.path.basename(full), calls.node(full), "file")

    return call


def _fsync(calls: Calls, really: Callable[[int], None]) -> Callable[[int], None]:
    def call(descriptor: Any) -> None:
        full = path_of(descriptor if isinstance(descriptor, int) else descriptor.fileno())
        calls.enter("fsync", full)
        if calls.is_ours(full):
            calls.note(full, "sync", calls.node(full))

    return call  # really flushing would only take time: what lasts is reckoned by `power_cut`


def _os_open(calls: Calls, really: Callable[..., int]) -> Callable[..., int]:
    def call(path: Any, flags: int, mode: int = 0o777, *, dir_fd: int | None = None) -> int:
        full = path_of(path, dir_fd)
        is_new = bool(flags & os.O_CREAT) and not os.path.lexists(full)
        calls.enter("create" if is_new else "open", full)
        descriptor = really(path, flags, mode, dir_fd=dir_fd)
        if is_new and calls.is_ours(full):
            parent = calls.node(os.path.dirname(full))
            calls.note(full, "add", parent, os.path.basename(full), calls.node(full, is_new=True), "file")
        return descriptor

    return call


class _Raw(io.FileIO):
    """A file whose writes are counted."""

    calls: Calls

    def write(self, data: Any) -> int:
        full = path_of(self.fileno())
        content = bytes(data)
        is_half = self.calls.enter("write", full)
        if is_half:
            super().write(content[: len(content) // 2])
            os._exit(KILLED)
        written = super().write(content) or 0
        if self.calls.is_ours(full):
            self.calls.note(full, "write", self.calls.node(full), self.tell() - written, content[:written])
        return written


def _io_open(calls: Calls, really: Callable[..., Any]) -> Callable[..., Any]:
    def call(
        file: Any, mode: str = "r", buffering: int = -1, encoding: str | None = None, errors: str | None = None,
        newline: str | None = None, closefd: bool = True, opener: Any = None,
    ) -> Any:  # fmt: skip
        if not set(mode) & set("wxa+") or not calls.is_ours(path_of(file)):
            return really(file, mode, buffering, encoding, errors, newline, closefd, opener)
        full = path_of(file)
        if not isinstance(file, int):
            is_new = not os.path.lexists(full)
            calls.enter("create" if is_new else "open", full)
        raw = _Raw(file, mode.replace("b", "").replace("t", ""), closefd, opener)
        raw.calls = calls
        if not isinstance(file, int) and is_new:
            parent = calls.node(os.path.dirname(full))
            calls.note(full, "add", parent, os.path.basename(full), calls.node(full, is_new=True), "file")
        elif "w" in mode:
            calls.note(full, "cut", calls.node(full))
        buffer: Any = io.BufferedRandom(raw) if "+" in mode else io.BufferedWriter(raw)
        return buffer if "b" in mode else io.TextIOWrapper(buffer, encoding, errors, newline)

    return call
