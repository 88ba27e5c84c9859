"""Where in the file does a value stand? Line and column of every key, for the messages.

The text has been parsed before: what is scanned here is known to be right TOML of bounded depth.
"""

import re
import tomllib
from bisect import bisect_right
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import NamedTuple

from routeviz.errors import Problem

Key = tuple[str | int, ...]


class Place(NamedTuple):
    """A line and a column of a file, both from 1."""

    file: str
    line: int
    column: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Positions:
    """Where the keys of a scene stand.

    Parameters
    ----------
    file : str
        The scene's file as the user named it.
    places : mapping
        From a key, such as ``("tubes", 0, "from")``, to its place: the first letter of its name, or of the
        list's item; a place may lie in another file, as the rows of a wiring table do.
    """

    file: str
    places: Mapping[Key, Place]


def problem_at(positions: Positions, key: Key, found: str, allowed: str, remedy: str) -> Problem:
    """Return a problem at a key, or at the nearest table around it that the file itself names.

    Parameters
    ----------
    positions : Positions
        Of the scene.
    key : tuple of str and int
        From the top, list items counted from 0.
    found, allowed, remedy : str
        The message.

    Returns
    -------
    problem : Problem
        With line and column; without them where the file names no part of the key.
    """
    place = next(
        (positions.places[key[:n]] for n in range(len(key), 0, -1) if key[:n] in positions.places),
        Place(positions.file, 0, 0),
    )
    return Problem(
        file=place.file,
        key=dotted(key),
        found=found,
        allowed=allowed,
        remedy=remedy,
        line=place.line,
        column=place.column,
    )


def dotted(key: Key) -> str:
    """Return a key as the file would write it, list items counted from 1: ``tubes.3.from``."""
    return ".".join(_written(word) for word in key)


def positions_in(text: str, file: str) -> Positions:
    """Return where each key of a TOML text stands.

    Parameters
    ----------
    text : str
        Right TOML: what is wrong with it has been refused before.
    file : str
        As the user named it.

    Returns
    -------
    positions : Positions
        Of every key and of every item of a list.
    """
    starts = [0, *(match.end() for match in re.finditer("\n", text))]
    scan = _Scan(text=text, file=file, starts=starts)
    at = _past(_SPACE, text, 0)
    table: Key = ()
    while at < len(text):
        if text[at] == "[":
            table, at = _header(scan, at)
        else:
            at = _pair(scan, at, table)
        at = _past(_SPACE, text, at)
    return Positions(file=file, places=scan.places)


# ── the scanner ──────────────────────────────────────────────────────────────────────────────────
_SPACE = re.compile(r"(?:[ \t\r\n]|#[^\n]*)*")
_BARE = re.compile(r"[A-Za-z0-9_-]+")
_PLAIN = re.compile(r"([A-Za-z0-9_-]+)[ \t]*=[ \t]*")  # most keys: one word without quotes
_QUOTED = re.compile(r"\"(?:[^\"\\\n]|\\.)*\"|'[^'\n]*'")
_SCALAR = re.compile(
    r'"""(?:\\[\s\S]|(?!""")[\s\S])*"""(?:"{0,2})'
    r"|'''(?:(?!''')[\s\S])*'''(?:'{0,2})"
    r"|\"(?:[^\"\\\n]|\\.)*\"|'[^'\n]*'"
    r"|[^,\]}#\n]+"
)


@dataclass(slots=True, kw_only=True)
class _Scan:
    """A text under way: what has been noted so far, and how many items each list has."""

    text: str
    file: str
    starts: list[int]
    places: dict[Key, Place] = field(default_factory=dict)
    implied: set[Key] = field(default_factory=set)
    items: dict[Key, int] = field(default_factory=dict)


def _past(pattern: re.Pattern[str], text: str, at: int) -> int:
    match = pattern.match(text, at)
    assert match is not None, "the text was parsed before"
    return match.end()


def _note(scan: _Scan, key: Key, at: int, *, implied: bool = False) -> None:
    """Note a key's place; a place that only follows from a deeper key gives way to the key's own."""
    if key in scan.places and (implied or key not in scan.implied):
        return
    line = bisect_right(scan.starts, at)
    scan.places[key] = Place(scan.file, line, at - scan.starts[line - 1] + 1)
    if implied:
        scan.implied.add(key)
    else:
        scan.implied.discard(key)


def _words(scan: _Scan, at: int) -> tuple[list[tuple[str, int]], int]:
    """Return the words of a dotted key with their places, and where it ends."""
    words: list[tuple[str, int]] = []
    while True:
        at = _past(_SPACE, scan.text, at)
        bare = scan.text[at] not in "\"'"
        end = _past(_BARE if bare else _QUOTED, scan.text, at)
        words.append((scan.text[at:end] if bare else _unquoted(scan.text[at:end]), at))
        at = _past(_SPACE, scan.text, end)
        if scan.text[at] != ".":
            return words, at
        at += 1


def _header(scan: _Scan, at: int) -> tuple[Key, int]:
    """Note a table's or a list item's header; return its key and where it ends."""
    opens = 2 if scan.text.startswith("[[", at) else 1
    words, end = _words(scan, at + opens)
    key: Key = ()
    for word, place in words[:-1]:
        key = (*key, word)
        _note(scan, key, place, implied=True)
        key = _last_item(scan, key)
    name, place = words[-1]
    key = (*key, name)
    if opens == 1:
        _note(scan, key, place)
        return key, end + 1
    _note(scan, key, place)
    scan.items[key] = scan.items.get(key, 0) + 1
    key = _last_item(scan, key)
    _note(scan, key, place)
    return key, end + 2


def _last_item(scan: _Scan, key: Key) -> Key:
    return (*key, scan.items[key] - 1) if key in scan.items else key


def _pair(scan: _Scan, at: int, table: Key) -> int:
    """Note ``key = value`` and what lies in the value; return where it ends."""
    plain = _PLAIN.match(scan.text, at)
    if plain:
        _note(scan, (*table, plain[1]), at)
        return _value(scan, plain.end(), (*table, plain[1]))
    words, at = _words(scan, at)
    key = table
    for word, place in words[:-1]:
        key = (*key, word)
        _note(scan, key, place, implied=True)
    key = (*key, words[-1][0])
    _note(scan, key, words[-1][1])
    return _value(scan, _past(_SPACE, scan.text, at + 1), key)


def _value(scan: _Scan, at: int, key: Key) -> int:
    """Note what lies in a value; return where it ends."""
    opening = scan.text[at]
    if opening not in "[{":
        return _past(_SCALAR, scan.text, at)
    closing = "]" if opening == "[" else "}"
    count = 0
    at = _past(_SPACE, scan.text, at + 1)
    while scan.text[at] != closing:
        if opening == "[":
            item = (*key, count)
            _note(scan, item, at)
            at = _value(scan, at, item)
            count += 1
        else:
            at = _pair(scan, at, key)
        at = _past(_SPACE, scan.text, at)
        if scan.text[at] == ",":
            at = _past(_SPACE, scan.text, at + 1)
    return at + 1


def _unquoted(quoted: str) -> str:
    if "\\" in quoted and quoted[0] == '"':
        return str(tomllib.loads(f"word = {quoted}")["word"])
    return quoted[1:-1]


def _written(word: str | int) -> str:
    if isinstance(word, int):
        return str(word + 1)
    return word if _BARE.fullmatch(word) else f'"{word}"'
