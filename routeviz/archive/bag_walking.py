"""What lies in a bag's folder? Files are found and read once each; no link is followed, no device opened.

What the tag files say of them is in bag_reading.py.
"""

import hashlib
import os
import stat
from collections.abc import Sequence
from dataclasses import dataclass, field
from io import FileIO
from pathlib import Path

from routeviz.archive.bag_reading import FRESH, shown, wrong
from routeviz.errors import Problem

MOST_FOUND = 500_000  # files and folders; a large archive has some thousands
DEEPEST = 40  # folders in one another
AT_ONCE = 1 << 20  # bytes that are read in one go
PLAIN_FILES = "files and folders only"
TAKE_OUT = "take it out of the folder; if it came with the archive, " + FRESH
# No link is followed, and opening never waits; where a system lacks these words, the identity tells.
ONLY_FILES = (
    os.O_RDONLY | getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0)
)
LEFT_BY_DESKTOPS = (".DS_Store", "Thumbs.db", "desktop.ini")


@dataclass(frozen=True, slots=True, kw_only=True)
class Lying:
    """A file that lies in the folder: where, how long, and which it is on its disk."""

    path: str
    size: int
    identity: tuple[int, int]


@dataclass(frozen=True, slots=True, kw_only=True)
class Content:
    """A file that was read: its length, its sums by algorithm, and its bytes where they were wanted."""

    size: int
    sums: dict[str, str]
    kept: bytes | None


@dataclass(slots=True)
class _Found:
    files: list[Lying] = field(default_factory=list)
    problems: list[Problem] = field(default_factory=list)
    count: int = 0


def found_in(folder: Path) -> tuple[tuple[Lying, ...], tuple[Problem, ...]]:
    """Return the files in a folder and below, and everything there that is none.

    Parameters
    ----------
    folder : Path
        Of a bag.

    Returns
    -------
    files : tuple of Lying
        By path, with strokes between its parts.
    problems : tuple of Problem
        Links, devices, empty folders, names that are no text, what cannot be looked into.
    """
    found = _Found()
    waiting = [""]
    while waiting and found.count <= MOST_FOUND:
        inside = waiting.pop()
        waiting += _looked_into(folder, inside, found)
    if found.count > MOST_FOUND:
        few = f"at most {MOST_FOUND:,} files and folders"
        found.problems.append(wrong(".", "more files than can be looked through", few))
    return tuple(sorted(found.files, key=lambda one: one.path)), tuple(found.problems)


def _looked_into(folder: Path, inside: str, found: _Found) -> list[str]:
    """Add what lies right in a folder, and return the folders in it."""
    folders: list[str] = []
    try:
        names = sorted(os.listdir(folder / inside))
        for name in names:
            path = f"{inside}{name}"
            found.count += 1
            facts = os.lstat(folder / path)
            if stat.S_ISDIR(facts.st_mode):
                folders.append(f"{path}/")
            else:
                _add_file(path, facts, found)
    except OSError as error:
        found.problems.append(_unread(inside or ".", error))
        return []
    if not names and inside:
        found.problems.append(wrong(inside, "an empty folder", "folders with files in them", TAKE_OUT))
    if inside.count("/") >= DEEPEST and folders:
        deep = f"at most {DEEPEST} folders in one another"
        found.problems.append(wrong(inside, f"folders more than {DEEPEST} deep", deep))
        return []
    return folders


def _add_file(path: str, facts: os.stat_result, found: _Found) -> None:
    if not path.isprintable():
        allowed = "names that can be printed"
        found.problems.append(
            wrong(path, "a name that is no text, or with signs that cannot be seen", allowed)
        )
    if stat.S_ISREG(facts.st_mode):
        found.files.append(Lying(path=path, size=facts.st_size, identity=(facts.st_dev, facts.st_ino)))
        return
    is_link = stat.S_ISLNK(facts.st_mode)
    what = "a link to another place; it was not followed" if is_link else "neither a file nor a folder"
    found.problems.append(wrong(path, what, PLAIN_FILES, TAKE_OUT))


def read_once(folder: Path, one: Lying, algorithms: Sequence[str], *, keep: bool) -> Content | Problem:
    """Return what a file holds, read from its beginning to its end, once.

    Parameters
    ----------
    folder : Path
        Of the bag.
    one : Lying
        As it was found.
    algorithms : sequence of str
        Of the sums; known to hashlib.
    keep : bool
        Whether its bytes are wanted.

    Returns
    -------
    content : Content or Problem
        Why not, where it cannot be read or is no longer what was found.
    """
    try:
        handle = os.open(folder / one.path, ONLY_FILES)
    except OSError as error:
        return _unread(one.path, error)
    with os.fdopen(handle, "rb", buffering=0) as file:
        facts = os.fstat(file.fileno())
        if not stat.S_ISREG(facts.st_mode) or (facts.st_dev, facts.st_ino) != one.identity:
            return _exchanged(one)
        try:
            content = _streamed(file, one.size, algorithms, keep)
        except OSError as error:
            return _unread(one.path, error)
    return content if content.size == one.size else _exchanged(one)


def _streamed(file: FileIO, size: int, algorithms: Sequence[str], keep: bool) -> Content:
    """Return what an open file holds, up to one byte beyond its length."""
    sums = {name: hashlib.new(name, usedforsecurity=False) for name in algorithms}
    pieces: list[bytes] = []
    length = 0
    while length <= size:
        piece = file.read(min(AT_ONCE, size + 1 - length))
        if not piece:
            break
        length += len(piece)
        for one in sums.values():
            one.update(piece)
        if keep:
            pieces.append(piece)
    told = {name: one.hexdigest() for name, one in sums.items()}
    return Content(size=length, sums=told, kept=b"".join(pieces) if keep else None)


def _exchanged(one: Lying) -> Problem:
    return wrong(
        one.path,
        "a file that was changed while it was looked at",
        "an archive that nobody writes to",
        "wait until nobody works in the folder, and check again",
    )


def _unread(path: str, error: OSError) -> Problem:
    found = f"cannot be read: {shown(error.strerror or str(error))}"
    return wrong(path, found, "files that may be read", "check the rights and the disk; else " + FRESH)
