"""Does the description of an archive list every file in it, and no other? Its RO-Crate, read again.

How it is written is in crate.py.
"""

from collections.abc import Iterator, Mapping
from typing import Any

from routeviz.archive.bag_reading import FRESH, quoted, wrong
from routeviz.archive.crate import CRATE, PREVIEW, ROOT
from routeviz.errors import Problem

OF_ITSELF = (CRATE, PREVIEW)  # what describes need not describe itself
FILE = "File"
FORM = "an RO-Crate as `routeviz archive` writes it"


def crate_problems(crate: Any, sizes: Mapping[str, int]) -> tuple[Problem, ...]:
    """Return everything in which a description does not fit what lies in the archive.

    Parameters
    ----------
    crate : object
        The JSON document.
    sizes : mapping of int
        Of each file in ``data/``, by its path there, how many bytes it has.

    Returns
    -------
    problems : tuple of Problem
        With the file that is described, or that is not.
    """
    graph = crate.get("@graph") if isinstance(crate, dict) else None
    if not isinstance(graph, list) or not all(_is_thing(one) for one in graph):
        return (_wrong("no graph of things, each with its @id"),)
    things: dict[str, Any] = {one["@id"]: one for one in graph}
    problems = [] if len(things) == len(graph) else [_wrong("things that are described twice")]
    root = things.get(ROOT)
    if root is None:
        return (*problems, _wrong(f"the archive itself, {ROOT!r}, is not described"))
    parts = root.get("hasPart")
    listed = {one["@id"] for one in parts if _is_thing(one)} if isinstance(parts, list) else set()
    files = {path: one for path, one in things.items() if FILE in _types(one)}
    return (*problems, *_unlike(files, sizes), *_no_parts(files, listed))


def _is_thing(one: Any) -> bool:
    return isinstance(one, dict) and isinstance(one.get("@id"), str)


def _types(thing: Mapping[str, Any]) -> list[Any]:
    types = thing.get("@type")
    return types if isinstance(types, list) else [types]


def _unlike(files: Mapping[str, Any], sizes: Mapping[str, int]) -> Iterator[Problem]:
    for path in sorted(sizes.keys() - files.keys() - {*OF_ITSELF}):
        yield _wrong(f"the file {quoted(path)} is not described")
    for path, thing in files.items():
        if path not in sizes:
            yield _wrong(f"the file {quoted(path)} is described, but is not there")
        elif thing.get("contentSize") != str(sizes[path]):
            said = quoted(str(thing.get("contentSize")))
            yield _wrong(f"the file {quoted(path)} has {sizes[path]} bytes, but is said to have {said}")


def _no_parts(files: Mapping[str, Any], listed: set[Any]) -> Iterator[Problem]:
    for path in sorted(files.keys() - listed):
        yield _wrong(f"the file {quoted(path)} is not among the parts of the archive")


def _wrong(found: str) -> Problem:
    allowed = f"{FORM}, which describes every file there is and no other"
    return wrong(f"data/{CRATE}", found, allowed, FRESH)
