"""Does what an archive says of itself follow from the scene in it? Its record, its bag-info.txt, its LIDO.

What it says of the case and its tubes is compared in recomputing.py.
"""

from collections.abc import Iterator
from datetime import UTC, datetime

from routeviz.archive.bag import INFO, one_line
from routeviz.archive.bag_info import AGENT, info_about
from routeviz.archive.bag_opening import Bag
from routeviz.archive.bag_reading import INSIDE, OXUM, quoted, wrong
from routeviz.archive.deposit import Deposit
from routeviz.archive.legibility import Understood
from routeviz.archive.lido import lido
from routeviz.archive.record_statements import TABLE, record_register
from routeviz.archive.table_differences import REMEDY, SOUND
from routeviz.archive.table_reading import Table
from routeviz.errors import Problem

ARCHIVED, PROGRAM = "archived", "program"
LIDO = f"{INSIDE}metadata/lido.xml"
COUNTED = ("Bag-Size", OXUM)


def moment_of(understood: Understood) -> datetime:
    """Return when an archive says that it was made; now, where it does not say so."""
    stored = _record(understood)
    said = {} if stored is None else dict(_statements(stored))
    try:
        moment = datetime.fromisoformat(said.get(ARCHIVED, ""))
    except ValueError:
        return datetime.now(UTC)
    return moment if moment.tzinfo else moment.replace(tzinfo=UTC)


def own_words_apart(bag: Bag, understood: Understood, deposit: Deposit) -> Iterator[Problem]:
    """Yield in what an archive speaks of itself otherwise than the scene in it gives.

    Parameters
    ----------
    bag : Bag
        As it was opened.
    understood : Understood
        What it says.
    deposit : Deposit
        The scene in it as it would be given into an archive at that moment, without its evidence.

    Yields
    ------
    problem : Problem
        For a statement, a label or a catalogue's record.
    """
    stored = _record(understood)
    if stored is not None:
        yield from _record_apart(stored, deposit)
    yield from _facts_apart(bag, deposit)
    if bag.kept(LIDO) not in (None, lido(deposit)):
        yield wrong(LIDO, "says otherwise than when it is made anew", SOUND, REMEDY)


def _record_apart(stored: Table, deposit: Deposit) -> Iterator[Problem]:
    """Yield which statements of the record are not those of the scene; some are of the moment alone."""
    lines = dict(zip(_statements(stored), stored.lines, strict=True))
    said = {(str(statement), str(says)) for _, statement, says in record_register(deposit).rows}
    for one, line in lines.items():
        if one not in said and not _of_the_moment(one[0]):
            found = f"the record says {one[0]}: {quoted(one[1])}, which the scene does not"
            yield wrong(stored.file, found, SOUND, REMEDY, line)
    for statement, says in sorted(said - lines.keys()):
        if not _of_the_moment(statement):
            found = f"the scene says {statement}: {quoted(says)}, which the record does not"
            yield wrong(stored.file, found, SOUND, REMEDY)


def _record(understood: Understood) -> Table | None:
    """Return the record; None of one with other columns, which is told where descriptions are compared."""
    stored = understood.tables.get(TABLE)
    return stored if stored is not None and stored.has("statement", "says") else None


def _statements(stored: Table) -> list[tuple[str, str]]:
    return list(zip(stored.column("statement"), stored.column("says"), strict=True))


def _of_the_moment(statement: str) -> bool:
    """Return whether a statement was known when the archive was made, and stands in no scene."""
    return statement in (ARCHIVED, PROGRAM) or statement.startswith("supersedes ")


def _facts_apart(bag: Bag, deposit: Deposit) -> Iterator[Problem]:
    """Yield which labels of bag-info.txt say otherwise than the scene."""
    made: dict[str, list[str]] = {}
    for label, says in info_about(deposit):
        made.setdefault(label, []).append(one_line(says))
    for label in dict.fromkeys([*bag.facts, *made]):
        if label in (*COUNTED, AGENT) or label.startswith("Supersedes-"):
            continue
        old, new = "; ".join(bag.facts.get(label, ())), "; ".join(made.get(label, ()))
        if old != new:
            found = f"{label}: stored {_told(old)}, made anew {_told(new)}"
            yield wrong(INFO, found, SOUND, REMEDY)


def _told(says: str) -> str:
    return quoted(says) if says else "nothing"
