"""What do a bag's tag files say? Declaration, manifests and facts, read strictly, each problem with its line.

BagIt 1.0 is RFC 8493. No name that a manifest holds is ever opened: names are only held against what was
found in the folder (bag_walking.py), in fixity.py. How tag files are written is in bag.py.
"""

import re
import unicodedata
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from routeviz.archive.bag import BAGIT, INFO, PAYLOAD
from routeviz.errors import Problem

FETCH = "fetch.txt"
OXUM = "Payload-Oxum"
INSIDE = f"{PAYLOAD}/"
ALGORITHMS = {"sha512": 128, "sha256": 64, "sha1": 40, "md5": 32}  # those of RFC 8493, with their digits
MANIFEST = re.compile(r"(?P<tag>tag)?manifest-(?P<algorithm>[A-Za-z0-9-]+)\.txt")
FRESH = "fetch the archive anew from where it came, or from another copy of it"
VERSION = re.compile(r"BagIt-Version: (?P<version>[0-9]{1,3}\.[0-9]{1,3})")
ENCODING = "Tag-File-Character-Encoding: UTF-8"

_ENTRY = re.compile(r"(?P<digest>[0-9a-f]+)[ \t]+(?P<path>.+)")
_FACT = re.compile(r"(?P<label>[^\s:][^:]*?)[ \t]*:[ \t]*(?P<value>.*)")
_OXUM = re.compile(r"(?P<octets>0|[1-9][0-9]{0,17})\.(?P<files>0|[1-9][0-9]{0,8})")
_ESCAPED = re.compile(r"%(?:0[AaDd]|25)")
_LONGEST = 100  # letters of a name in a message


@dataclass(frozen=True, slots=True, kw_only=True)
class Manifest:
    """What a manifest lists.

    Parameters
    ----------
    file : str
        Its name, ``manifest-sha512.txt``.
    algorithm : str
        How its sums are made; in small letters.
    of_tags : bool
        Whether it lists tag files, not the payload.
    sums : mapping of str
        From each path, in one form of its letters (NFC), to the sum; only paths that are safe.
    lines : mapping of int
        From each path to its line.
    """

    file: str
    algorithm: str
    of_tags: bool
    sums: Mapping[str, str]
    lines: Mapping[str, int]


@dataclass(frozen=True, slots=True, kw_only=True)
class Oxum:
    """How large the payload was when it was sealed: octets and files."""

    octets: int
    files: int


def shown(name: str) -> str:
    """Return a name as it can stand in a message: on one line, printable, and not too long."""
    told = "".join(sign if sign.isprintable() else ascii(sign)[1:-1] for sign in name)
    return told if len(told) <= _LONGEST else f"{told[: _LONGEST - 1]}…"


def quoted(text: str) -> str:
    """Return a text in quotes, as it can stand in a message."""
    return repr(text if len(text) <= _LONGEST else f"{text[: _LONGEST - 1]}…")


def wrong(file: str, found: str, allowed: str, remedy: str = FRESH, line: int = 0) -> Problem:
    """Return a problem with a file of a bag; a line's first letter is where it is."""
    return Problem(
        file=shown(file),
        key="",
        found=found,
        allowed=allowed,
        remedy=remedy,
        line=line,
        column=1 if line else 0,
    )


# ── bagit.txt ────────────────────────────────────────────────────────────────────────────────────
def declared_version(content: bytes) -> tuple[str, tuple[Problem, ...]]:
    """Return which version of BagIt a bag says it keeps to; empty where it says none.

    Parameters
    ----------
    content : bytes
        Of ``bagit.txt``.

    Returns
    -------
    version : str
        Such as ``1.0``.
    problems : tuple of Problem
        Of a declaration that is not two lines exactly.
    """
    lines, problems = _lines(content, BAGIT)
    said = VERSION.fullmatch(lines[0]) if lines else None
    if not problems and (said is None or lines[1:] != [ENCODING]):
        allowed = f"two lines, 'BagIt-Version: 1.0' and {ENCODING!r}"
        problems = (wrong(BAGIT, "no declaration of a bag", allowed),)
    return said["version"] if said else "", problems


# ── manifests ────────────────────────────────────────────────────────────────────────────────────
def manifest_in(file: str, content: bytes) -> tuple[Manifest, tuple[Problem, ...]]:
    """Return what a manifest lists, and everything that is wrong with it.

    Parameters
    ----------
    file : str
        Its name, which fits ``MANIFEST``.
    content : bytes
        All of it.

    Returns
    -------
    manifest : Manifest
        Its good lines.
    problems : tuple of Problem
        Lines that are none, sums of a wrong length, paths that lead out, names that stand twice.
    """
    name = MANIFEST.fullmatch(file)
    algorithm, of_tags = (name["algorithm"].lower(), name["tag"] is not None) if name else ("", False)
    lines, told = _lines(content, file)
    problems = list(told)
    sums: dict[str, str] = {}
    places: dict[str, int] = {}
    alike: dict[str, int] = {}  # lines of names that some systems would take for one
    for number, text in enumerate(lines, 1):
        entry = _ENTRY.fullmatch(text)
        path = _plain_path(entry["path"]) if entry else ""
        why = _no_entry(entry, path, algorithm, of_tags)
        if why is not None:
            problems.append(wrong(file, *why, line=number))
            continue
        first = alike.setdefault(path.casefold(), number)
        if first != number:
            found = f"{quoted(path)} again, or a name that differs in its capitals alone: line {first}"
            problems.append(wrong(file, found, "each file once", line=number))
            continue
        sums[path], places[path] = entry["digest"] if entry else "", number
    return Manifest(file=file, algorithm=algorithm, of_tags=of_tags, sums=sums, lines=places), tuple(problems)


def _no_entry(
    entry: "re.Match[str] | None", path: str, algorithm: str, of_tags: bool
) -> tuple[str, str] | None:
    """Return what stands in a line that is no entry, and what may stand there; None for an entry."""
    digits = ALGORITHMS.get(algorithm)
    if entry is None:
        return "no sum with a name after it", "a sum in small hexadecimal digits, two blanks, a path"
    if digits is not None and len(entry["digest"]) != digits:
        return f"a sum of {len(entry['digest'])} digits", f"{digits} digits, as {algorithm} has"
    why = why_unsafe(path)
    if why is not None:
        return f"the path {quoted(path)}, {why}", "paths within the archive, with / between their parts"
    if of_tags == path.startswith(INSIDE):
        where = "files outside of data/" if of_tags else "files in data/"
        return f"the path {quoted(path)}", f"{where}, in a manifest of this name"
    return None


def why_unsafe(path: str) -> str | None:
    """Return why a path may lead out of a folder on one system or another; None for one that cannot."""
    parts = path.split("/")
    if path.startswith(("/", "\\")) or re.match(r"[A-Za-z]:", path):
        return "which begins at the top of a disk"
    if path.startswith("~"):
        return "which begins in somebody's home"
    if "\\" in path:
        return "with a backslash"
    if ".." in parts:
        return "which leads out of the folder"
    if "." in parts or "" in parts:
        return "with an empty part"
    if any(unicodedata.category(sign) in ("Cc", "Cs") for sign in path):
        return "with a sign that cannot be printed"
    return None


def _plain_path(path: str) -> str:
    """Return a path with the three escapes of RFC 8493 undone, its letters in one form."""
    return normal(_ESCAPED.sub(lambda found: chr(int(found[0][1:], 16)), path))


def normal(path: str) -> str:
    """Return a path with its letters in one form (NFC): some systems write é as two."""
    return path if path.isascii() else unicodedata.normalize("NFC", path)


# ── bag-info.txt ─────────────────────────────────────────────────────────────────────────────────
def facts_in(content: bytes) -> tuple[Mapping[str, tuple[str, ...]], tuple[Problem, ...]]:
    """Return what a bag says of itself: from each label to its values, in order.

    Parameters
    ----------
    content : bytes
        Of ``bag-info.txt``.

    Returns
    -------
    facts : mapping of tuple of str
        Labels as they are written; what goes on in a line that begins with a blank is joined by one.
    problems : tuple of Problem
        Lines that are neither.
    """
    lines, told = _lines(content, INFO)
    problems = list(told)
    facts: dict[str, list[str]] = {}
    last: list[str] | None = None
    for number, text in enumerate(lines, 1):
        fact = _FACT.fullmatch(text)
        if text[:1] in (" ", "\t") and last:
            last[-1] = f"{last[-1]} {text.strip()}"
        elif fact:
            last = facts.setdefault(fact["label"], [])
            last.append(fact["value"])
        else:
            problems.append(wrong(INFO, f"{quoted(text)}", "Label: value", line=number))
    return {label: tuple(values) for label, values in facts.items()}, tuple(problems)


def oxum_in(facts: Mapping[str, tuple[str, ...]]) -> tuple[Oxum | None, tuple[Problem, ...]]:
    """Return how large a bag says its payload is; None where it does not say so once and plainly."""
    said = facts.get(OXUM, ())
    if not said:
        return None, ()
    fits = _OXUM.fullmatch(said[0])
    if fits is None or len(said) > 1:
        found = f"{OXUM} {len(said)} times" if len(said) > 1 else f"{OXUM}: {quoted(said[0])}"
        return None, (wrong(INFO, found, f"{OXUM} once, bytes and files with a point between"),)
    return Oxum(octets=int(fits["octets"]), files=int(fits["files"])), ()


def _lines(content: bytes, file: str) -> tuple[list[str], tuple[Problem, ...]]:
    """Return a tag file's lines; none, and why, of what is no text in UTF-8."""
    if content.startswith((b"\xef\xbb\xbf", b"\xff\xfe", b"\xfe\xff")):
        return [], (wrong(file, "a byte order mark at its beginning", "text in UTF-8 without a mark"),)
    try:
        text = content.decode("utf-8")
    except UnicodeDecodeError as error:
        line = content.count(b"\n", 0, error.start) + 1
        return [], (wrong(file, "letters that are not UTF-8", "text in UTF-8", line=line),)
    if "\0" in text:
        line = text.count("\n", 0, text.index("\0")) + 1
        return [], (wrong(file, "a zero byte", "text in UTF-8", line=line),)
    lines = list(_parted(text))
    return lines, ()


def _parted(text: str) -> Iterator[str]:
    """Yield lines, however they end (RFC 8493, 2.1: LF, CR, or both)."""
    whole = text.replace("\r\n", "\n").replace("\r", "\n")
    return iter(whole.removesuffix("\n").split("\n") if whole else [])
