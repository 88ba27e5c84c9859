"""Does what an archive says follow from the scene in it? The scene is taken out, checked, and told anew.

How it is taken out is in restoring.py, how tables are compared in table_differences.py.
"""

import json
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path, PurePosixPath
from tempfile import TemporaryDirectory
from typing import Any

from routeviz.archive.all_registers import registers_of
from routeviz.archive.answers import Answer, answer, counted, not_too_many
from routeviz.archive.bag_opening import Bag
from routeviz.archive.bag_reading import INSIDE, shown, wrong
from routeviz.archive.completeness import THIS, made_by
from routeviz.archive.csvw import BESIDE, GROUP, csvw_group, csvw_of
from routeviz.archive.deposit import Deposit, deposited
from routeviz.archive.legibility import Understood
from routeviz.archive.own_words import moment_of, own_words_apart
from routeviz.archive.record_statements import TABLE as STATEMENTS
from routeviz.archive.record_statements import record_register
from routeviz.archive.registers import Register, csv_of
from routeviz.archive.restoring import FILES, restored
from routeviz.archive.source_copies import source_copies
from routeviz.archive.sources import FOLDER, MODELS
from routeviz.archive.table_differences import REMEDY, SOUND, differences, rules_apart
from routeviz.archive.table_files import FOLDER as TABLES
from routeviz.archive.table_files import files_register
from routeviz.archive.table_reading import Table, description_in, table_in
from routeviz.errors import Problem, RoutevizError, SceneError
from routeviz.lay import Lay
from routeviz.scene.catalogue import models_of
from routeviz.writing import WritingError

ABOUT = "recomputation"
FINDINGS, RULE = "findings.csv", "rule"
UNUSABLE = "the scene in the archive cannot be used, so nothing could be made anew"


def recomputation(bag: Bag, understood: Understood, check: Callable[[Path], Lay]) -> Answer:
    """Return whether what an archive says follows from the scene in it.

    Parameters
    ----------
    bag : Bag
        Opened with the scene's files kept.
    understood : Understood
        What it says.
    check : function
        Reads a scene file, and measures and checks what it describes.

    Returns
    -------
    answer : Answer
        Open where this program, or a model that it brings, is not the one that made the archive.

    Raises
    ------
    WritingError
        There is no room to take the scene out.
    """
    try:
        anew = _made_anew(bag, check, moment_of(understood))
    except WritingError:  # no room to take the scene out: nothing is wrong with the archive
        raise
    except SceneError as error:
        return Answer(about=ABOUT, says=UNUSABLE, problems=not_too_many(error.problems))
    except RoutevizError as error:
        problem = wrong(f"{INSIDE}{FOLDER}/", shown(str(error).split("\n")[0]), "a scene that can be read")
        return Answer(about=ABOUT, says=UNUSABLE, problems=(problem,))
    problems = (
        *_tables_apart(bag, understood, anew.registers),
        *own_words_apart(bag, understood, anew.deposit),
        *_documents_apart(bag, understood, anew.documents),
    )
    others = tuple(_not_the_same(bag))
    if others and problems:
        says = f"{counted(len(problems), 'difference')}, but nothing follows: {'; '.join(others)}"
        return Answer(about=ABOUT, says=says, problems=not_too_many(problems), open=True)
    made = f"{counted(len(anew.registers), 'table')} and {counted(len(anew.documents), 'document')}"
    good = f"{made} made anew from the scene, all say the same"
    return answer(ABOUT, good, "the archive says otherwise than the scene in it", problems)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Anew:
    """What an archive says, made anew of the scene in it."""

    registers: tuple[Register, ...]
    deposit: Deposit
    documents: Mapping[str, bytes]


def _made_anew(bag: Bag, check: Callable[[Path], Lay], when: datetime) -> _Anew:
    """Return the scene in an archive, told anew; its problems name files as the scene does."""
    with TemporaryDirectory(prefix="routeviz-") as aside:
        scene = restored(lambda path: bag.kept(f"{INSIDE}{path}"), Path(aside))
        try:
            lay = check(scene)
            registers = registers_of(lay)
            deposit = deposited(lay, when, ())
            described = _descriptions((record_register(deposit), *registers, files_register(())))
            copies = {one.path: one.content for one in source_copies(lay.reading)}
            return _Anew(registers=registers, deposit=deposit, documents=copies | described)
        except SceneError as error:
            told = [replace(one, file=one.file.replace(f"{aside}/", "scene: ")) for one in error.problems]
            raise SceneError(tuple(told)) from None


def _descriptions(registers: Sequence[Register]) -> dict[str, bytes]:
    """Return what describes tables, by path; what it says does not depend on their rows."""
    beside = {f"{TABLES}/{one.name}.csv{BESIDE}": csvw_of(one) for one in registers}
    return beside | {f"{TABLES}/{GROUP}": csvw_group(registers)}


def _tables_apart(bag: Bag, understood: Understood, registers: Sequence[Register]) -> Iterator[Problem]:
    """Yield in what the tables differ from those made anew; one that cannot be read was told before."""
    made = {f"{register.name}.csv": register for register in registers}
    for name, register in made.items():
        path = f"{INSIDE}{TABLES}/{name}"
        if path not in bag.lying:
            yield wrong(path, "missing: it comes anew from the scene", SOUND, REMEDY)
        elif name in understood.tables and bag.kept(path) != (content := csv_of(register)):
            stored, anew = understood.tables[name], _read(path, register, content)
            if name == FINDINGS and stored.has(RULE):
                yield from rules_apart(stored, anew, RULE)
            yield from differences(stored, anew)
    for name, table in understood.tables.items():
        if name not in made and name != STATEMENTS and f"{TABLES}/{name}" != FILES:
            yield wrong(table.file, "a table that does not come anew from the scene", SOUND, REMEDY)


def _read(path: str, register: Register, content: bytes) -> Table:
    description, _ = description_in(path, json.loads(csvw_of(register)))
    assert description is not None
    table, _ = table_in(path, content, description)
    assert table is not None
    return table


def _documents_apart(bag: Bag, understood: Understood, made: Mapping[str, bytes]) -> Iterator[Problem]:
    """Yield which documents say otherwise than those made anew; a missing one was told before."""
    for path, content in made.items():
        stored = bag.kept(INSIDE + path)
        if stored is None or stored == content:
            continue
        place: str | None = "one of its lines"
        if path.endswith(".json"):
            told = understood.documents.get(path)
            place = None if told is None else first_difference(told, json.loads(content))
        if place is not None:
            found = f"says otherwise than when it is made anew, first at {shown(place)}"
            yield wrong(INSIDE + path, found, SOUND, REMEDY)


def first_difference(old: Any, new: Any, place: str = "") -> str | None:
    """Return where two JSON documents differ first, as a dotted place; None where they do not."""
    if isinstance(old, dict) and isinstance(new, dict) and old.keys() == new.keys():
        pairs = [(f"{place}.{key}".lstrip("."), old[key], new[key]) for key in old]
    elif isinstance(old, list) and isinstance(new, list) and len(old) == len(new):
        pairs = [
            (f"{place}.{number}".lstrip("."), *both) for number, both in enumerate(zip(old, new, strict=True))
        ]
    else:
        same = type(old) is type(new) and old == new
        return None if same else place or "its top"
    return next((there for name, a, b in pairs if (there := first_difference(a, b, name))), None)


def _not_the_same(bag: Bag) -> Iterator[str]:
    """Yield why this program may come to something else than the one that made an archive."""
    if made_by(bag) != THIS:
        yield f"it was made by {shown(made_by(bag))}, and this is {THIS}"
    start = f"{INSIDE}{FOLDER}/{MODELS}/"
    for path in bag.lying:
        if path.startswith(start) and path.endswith(".toml"):
            group, _, name = path.removeprefix(start).rpartition("/")
            known = models_of(group).get(PurePosixPath(name).stem) if group in ("parts", "tubing") else None
            if known is None or known.read_bytes() != bag.kept(path):
                yield f"the model {shown(name.removesuffix('.toml'))} is another here"
