"""Can a document be read within bounds? JSON and XML, so strictly that two readers understand the same.

Tables are held to their descriptions in table_reading.py.
"""

import json
from typing import Any
from xml.parsers import expat

from routeviz.archive.bag_reading import shown, wrong
from routeviz.errors import Problem

MOST_BYTES = 32 << 20  # an archive of 150 tubes has documents of a megabyte
DEEPEST = 64  # lists, tables or elements in one another; an archive needs a dozen
DEEP = f"at most {DEEPEST} in one another"


class _Refused(Exception):
    """Something in a document that one reader may take otherwise than another, or that has no end."""


def json_in(file: str, content: bytes) -> tuple[Any, tuple[Problem, ...]]:
    """Return the value of a JSON document (RFC 8259), or why it has none.

    Parameters
    ----------
    file : str
        Its path in the archive.
    content : bytes
        All of it.

    Returns
    -------
    value : object
        None where there are problems.
    problems : tuple of Problem
        Not UTF-8, no JSON, a key twice in one table, numbers that are none, nested too deep.
    """
    if len(content) > MOST_BYTES:
        return None, (_too_large(file, content),)
    try:
        value = json.loads(content.decode("utf-8"), parse_constant=_no_number, object_pairs_hook=_table)
        too_deep = _is_deep(value)
    except UnicodeDecodeError:
        return None, (wrong(file, "letters that are not UTF-8", "text in UTF-8 without a mark"),)
    except json.JSONDecodeError as error:
        return None, (wrong(file, f"no JSON: {shown(error.msg)}", "JSON (RFC 8259)", line=error.lineno),)
    except RecursionError:
        too_deep = True
    except (_Refused, ValueError) as error:  # a number of thousands of digits
        return None, (wrong(file, shown(str(error)), "JSON that all readers understand alike"),)
    if too_deep:
        return None, (wrong(file, "lists or tables too deep in one another", DEEP),)
    return value, ()


def _no_number(word: str) -> None:
    raise _Refused(f"the number {word}")


def _table(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    table = dict(pairs)
    if len(table) < len(pairs):
        names = [name for name, _ in pairs]
        raise _Refused(
            f"the key {next(name for name in names if names.count(name) > 1)!r} twice in one table"
        )
    return table


def _is_deep(value: Any) -> bool:
    """Return whether lists and tables lie deeper in one another than they may."""
    level = [value] if isinstance(value, dict | list) else []
    for _ in range(DEEPEST):
        inner = (one for held in level for one in (held.values() if isinstance(held, dict) else held))
        level = [one for one in inner if isinstance(one, dict | list)]
    return bool(level)


def xml_problems(file: str, content: bytes) -> tuple[Problem, ...]:
    """Return why an XML document cannot be read; nothing where it is well-formed and holds all it means.

    Parameters
    ----------
    file : str
        Its path in the archive.
    content : bytes
        All of it.

    Returns
    -------
    problems : tuple of Problem
        Not well-formed, with a document type or entities of its own, nested too deep.
    """
    if len(content) > MOST_BYTES:
        return (_too_large(file, content),)
    depth = 0

    def begins(_name: str, _attributes: dict[str, str]) -> None:
        nonlocal depth
        depth += 1
        if depth > DEEPEST:
            raise _Refused(f"elements more than {DEEPEST} deep")

    def ends(_name: str) -> None:
        nonlocal depth
        depth -= 1

    def refuse(*_declared: object) -> None:
        raise _Refused("a document type, which may bring entities that grow without end, or call others")

    parser = expat.ParserCreate(namespace_separator=" ")
    parser.StartElementHandler, parser.EndElementHandler = begins, ends
    parser.StartDoctypeDeclHandler = parser.EntityDeclHandler = refuse
    try:
        parser.Parse(content, True)
    except _Refused as error:
        allowed = "XML without one, elements " + DEEP
        return (wrong(file, str(error), allowed, line=parser.CurrentLineNumber),)
    except (
        expat.ExpatError,
        LookupError,
        ValueError,
    ) as error:  # the last two: in an encoding not known to it
        found = f"no XML: {shown(str(error).partition(':')[0])}"
        return (wrong(file, found, "well-formed XML 1.0", line=parser.ErrorLineNumber),)
    return ()


def _too_large(file: str, content: bytes) -> Problem:
    found = f"{len(content) / 1e6:.0f} MB, too large to be read"
    return wrong(file, found, f"at most {MOST_BYTES / 1e6:.0f} MB of a document or table")
