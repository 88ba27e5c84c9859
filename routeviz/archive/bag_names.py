"""What are files called in a bag? By names that every system takes, no two of which one might mix up.

Small letters, digits, point, hyphen and underscore, at most 64 of them; a name that Windows keeps for devices
is changed. So a bag needs no escapes, and none of its names changes with the case or form of a letter. One
name stands out from these: README.txt.
"""

import re
import unicodedata
from collections.abc import Iterable, Mapping
from pathlib import PurePosixPath

MOST_LETTERS = 64
READ_FIRST = "README.txt"
UNNAMED = "unnamed"
KEPT_BY_WINDOWS = frozenset(
    ["con", "prn", "aux", "nul", *(f"{port}{n}" for port in ("com", "lpt") for n in range(10))]
)
MOST_SUFFIX = 12  # letters of an ending that are kept when a name is shortened
SPELT = {"ß": "ss", "æ": "ae", "œ": "oe", "ø": "o", "đ": "d", "ð": "d", "þ": "th", "ł": "l", "ı": "i"}
GOOD = re.compile(r"[a-z0-9_][a-z0-9._-]{0,62}[a-z0-9_]|[a-z0-9_]")


def slug(name: str) -> str:
    """Return a name as it may stand in a bag.

    Parameters
    ----------
    name : str
        Any, without folders: whatever its letters, it gives a name.

    Returns
    -------
    name : str
        Accents are taken off, capitals made small, other signs become hyphens; the ending stays.
    """
    spelt = "".join(SPELT.get(sign, sign) for sign in name.casefold())
    bare = "".join(sign for sign in unicodedata.normalize("NFKD", spelt) if not unicodedata.combining(sign))
    plain = re.sub(r"[^a-z0-9._]+", "-", bare.lower())
    plain = re.sub(r"-*\.[.-]*", ".", plain).strip("-")
    if plain.startswith(".") and not name.startswith("."):
        plain = f"{UNNAMED}{plain}"  # nothing but its ending could be spelt
    plain = plain.strip(".-")
    return _shortened(_not_a_device(plain or UNNAMED), "")


def bag_names(names: Iterable[str]) -> Mapping[str, str]:
    """Return what each of some files in one folder is called in a bag.

    Parameters
    ----------
    names : iterable of str
        Paths or names; of a path, the last part counts.

    Returns
    -------
    names : mapping of str
        From each to its name in the bag, no two the same. Of those that come to the same, the second in
        order gets a ``-2`` before its ending, and so on.
    """
    given: dict[str, str] = {}
    taken: set[str] = set()
    for name in dict.fromkeys(names):
        plain, count = slug(PurePosixPath(name).name), 1
        free = plain
        while free in taken:
            count += 1
            free = _shortened(plain, f"-{count}")
        taken.add(free)
        given[name] = free
    return given


def is_bag_path(path: str) -> bool:
    """Return whether a path keeps to the rule: folders and names of it, parted by strokes."""
    folder, _, name = path.rpartition("/")
    parts = path.split("/") if name != READ_FIRST else folder.split("/") if folder else []
    return all(GOOD.fullmatch(part) and part.split(".")[0] not in KEPT_BY_WINDOWS for part in parts)


def _not_a_device(name: str) -> str:
    stem, point, rest = name.partition(".")
    return f"{stem}_{point}{rest}" if stem in KEPT_BY_WINDOWS else name


def _shortened(name: str, end: str) -> str:
    """Return a name with more at its stem's end, short enough; a usual ending is kept whole."""
    stem, point, suffix = name.rpartition(".")
    if not stem or len(suffix) > MOST_SUFFIX:
        stem, point, suffix = name, "", ""
    room = MOST_LETTERS - len(end) - len(point) - len(suffix)
    return f"{stem[:room].rstrip('.-')}{end}{point}{suffix}"
