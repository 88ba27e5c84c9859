"""Can what lies in an archive be understood? Documents are read, tables held to their descriptions.

How they are read is in documents.py, table_reading.py and crate_reading.py.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import PurePosixPath
from typing import Any

from routeviz.archive.answers import Answer, answer, counted
from routeviz.archive.bag_names import READ_FIRST
from routeviz.archive.bag_opening import USUAL, Bag
from routeviz.archive.bag_reading import INSIDE, quoted, wrong
from routeviz.archive.bag_walking import Lying
from routeviz.archive.crate import CRATE
from routeviz.archive.crate_reading import OF_ITSELF, crate_problems
from routeviz.archive.csvw import BESIDE, GROUP
from routeviz.archive.documents import MOST_BYTES, json_in, xml_problems
from routeviz.archive.evidence import FOLDER as EVIDENCE
from routeviz.archive.premis_reading import PREMIS, premis_problems
from routeviz.archive.sources import FOLDER, MADE
from routeviz.archive.table_files import FOLDER as TABLES
from routeviz.archive.table_reading import Table, astray, description_in, table_in
from routeviz.cabinet.mesh_refusals import MOST_BYTES as MOST_MESH_BYTES
from routeviz.errors import Problem
from routeviz.tubes.plan_file import SUFFIX

LISTING = "files.csv"
JSON, XML = (".json",), (".xml", ".x3d", ".svg")
TEXTS = (*JSON, *XML, ".csv", ".toml", ".txt")


@dataclass(frozen=True, slots=True, kw_only=True)
class Understood:
    """What an archive says, as far as it can be read: JSON documents by path, tables by name."""

    documents: Mapping[str, Any]
    tables: Mapping[str, Table]


def wanted(one: Lying) -> bool:
    """Return whether a file's bytes are looked into: it is one of those that are read, and not too large."""
    return is_read(one.path) and one.size <= most_bytes(one.path)


def is_read(path: str) -> bool:
    """Return whether a file is more than bytes for a check: a document, a table, a source of the scene."""
    if not path.startswith(INSIDE) or path.startswith(f"{INSIDE}{EVIDENCE}/"):
        return False
    return PurePosixPath(path).suffix in TEXTS or path.startswith(f"{INSIDE}{FOLDER}/")


def is_document(path: str) -> bool:
    """Return whether a file is what its ending says; what a scene is made of has endings as people like."""
    source = f"{INSIDE}{FOLDER}/"
    ours = path.removeprefix(source) in MADE or path.endswith(SUFFIX)
    return is_read(path) and (ours or not path.startswith(source))


def most_bytes(path: str) -> int:
    """Return how large a file may be that is looked into."""
    return MOST_BYTES if PurePosixPath(path).suffix in TEXTS else MOST_MESH_BYTES


def legibility(bag: Bag) -> tuple[tuple[Answer, ...], Understood]:
    """Return whether documents, tables and description of an archive can be understood, and what they say.

    Parameters
    ----------
    bag : Bag
        Opened with what is `wanted` kept.

    Returns
    -------
    answers : tuple of Answer
        Of the questions ``documents``, ``tables`` and ``description``.
    understood : Understood
        What could be read.
    """
    documents, values = _documents(bag)
    tables, read = _tables(bag, values)
    return (documents, tables, _description(bag, values, read)), Understood(documents=values, tables=read)


def _documents(bag: Bag) -> tuple[Answer, dict[str, Any]]:
    values: dict[str, Any] = {}
    problems: list[Problem] = []
    count = 0
    for path, one in bag.lying.items():
        ends = PurePosixPath(path).suffix
        content = bag.kept(path)
        if is_read(path) and content is None and path not in bag.unread:
            problems.append(_too_large(path, one.size))
        elif content is not None and is_document(path) and ends in JSON:
            value, more = json_in(path, content)
            problems += more
            count += 1
            values |= {} if more else {path.removeprefix(INSIDE): value}
        elif content is not None and is_document(path) and ends in XML:
            problems += xml_problems(path, content)
            count += 1
    good = f"{counted(count, 'JSON and XML document')}, all can be read"
    return answer("documents", good, f"{counted(len(problems), 'problem')} with documents", problems), values


def _too_large(path: str, size: int) -> Problem:
    most = most_bytes(path)
    found = f"{size / 1e6:,.0f} MB, too large to be looked into"
    return wrong(path, found, f"at most {most / 1e6:.0f} MB of such a file, and not too many of them")


def _tables(bag: Bag, values: Mapping[str, Any]) -> tuple[Answer, dict[str, Table]]:
    """Return whether each table fits the description beside it, and all together the one of them all."""
    tables: dict[str, Table] = {}
    problems: list[Problem] = []
    group, grouped = f"{TABLES}/{GROUP}", _grouped(values)
    names = [
        path.removeprefix(f"{INSIDE}{TABLES}/")
        for path in bag.lying
        if path.startswith(f"{INSIDE}{TABLES}/") and path.endswith(".csv")
    ]
    for name in names:
        path, beside = f"{INSIDE}{TABLES}/{name}", f"{TABLES}/{name}{BESIDE}"
        content = bag.kept(path)
        if content is None or beside not in values:  # told elsewhere
            continue
        own, more = description_in(INSIDE + beside, values[beside])
        whole, about_group = description_in(INSIDE + group, grouped.get(name))
        problems += (*more, *about_group)
        if own is None or whole is None:
            continue
        if own.columns != whole.columns or own.key != whole.key:
            problems.append(wrong(INSIDE + beside, f"other columns than in {group}", "the same in both"))
        table, about_table = table_in(path, content, whole)
        problems += about_table
        if table is not None and not about_table:
            tables[name] = table
    problems += astray(tables) if len(tables) == len(names) else ()
    rows = sum(len(table.rows) for table in tables.values())
    good = f"{counted(len(tables), 'table')} with {counted(rows, 'row')}, all fit their descriptions"
    return answer("tables", good, f"{counted(len(problems), 'problem')} with tables", problems), tables


def _grouped(values: Mapping[str, Any]) -> dict[str, Any]:
    """Return the description of each table in that of them all, by the table's name."""
    whole = values.get(f"{TABLES}/{GROUP}")
    tables = whole.get("tables") if isinstance(whole, dict) else None
    told = [one for one in tables if isinstance(one, dict)] if isinstance(tables, list) else []
    return {one["url"]: one for one in told if isinstance(one.get("url"), str)}


def _description(bag: Bag, values: Mapping[str, Any], tables: Mapping[str, Table]) -> Answer:
    if CRATE not in values:
        return Answer(about="description", says=f"{CRATE} cannot be read, so nothing can be told", open=True)
    sizes = {
        path.removeprefix(INSIDE): one.size for path, one in bag.lying.items() if path.startswith(INSIDE)
    }
    files = {path: (one.sums.get(USUAL, ""), one.size) for path, one in bag.contents.items()}
    problems = [
        *crate_problems(values[CRATE], sizes),
        *_listed_apart(sizes, tables.get(LISTING)),
        *premis_problems(bag.kept(INSIDE + PREMIS) or b"", files),
    ]
    good = f"{CRATE}, {LISTING} and {PREMIS} tell of the files that lie there, and of no other"
    return answer("description", good, "what tells of the files does not tell what lies there", problems)


def _listed_apart(sizes: Mapping[str, int], listing: Table | None) -> Iterator[Problem]:
    """Yield in what the list of files is not what lies there; of tables and catalogues it does not tell."""
    if listing is None or not listing.has("file", "bytes"):  # told elsewhere
        return
    said = listing.column("file")
    for line, path, size in zip(listing.lines, said, listing.column("bytes"), strict=True):
        if str(sizes.get(path)) != size:
            there = f"has {sizes[path]}" if path in sizes else "is not there"
            found = f"the file {quoted(path)} {there}, but is said to have {size} bytes"
            yield wrong(listing.file, found, "what lies there", line=line)
    for path in sorted(sizes.keys() - set(said) - {READ_FIRST, *OF_ITSELF}):
        if not path.startswith((f"{TABLES}/", "metadata/")):
            yield wrong(listing.file, f"the file {quoted(path)} is not listed", "what lies there")
