"""What an archive's reader is told first: what this is, of which instrument, by whom; and where to begin.

Part of the reading guide; see reading_guide.py.
"""

from collections import Counter
from collections.abc import Iterator, Sequence

from routeviz.archive.plain_text import items, paragraph
from routeviz.archive.sums import Tables
from routeviz.lay import Lay
from routeviz.scene.record import Record

SHOWS = {
    "as found": "It shows the instrument as found.",
    "as restored": "It shows the instrument as restored.",
    "proposed": "It shows what is proposed: nobody has built it so.",
    "hypothetical": "It shows what may have been: nobody has seen it so.",
}
WORST = 5  # tubes that are named
OWN = ("tube", "other")  # as what a tube is in a finding that is about it rather than about many
POINTERS = {  # by the table without which it would lead nowhere
    "tubes": "Which tube goes where, and how long to cut it: tables/tubes.csv. A row is a tube: from and to "
    "say what its ends are on, through the passages that it is meant to go through, cut_up_mm how long to "
    "cut it, tubing of what, basis what its line rests on.",
    "order-of-work": "In which order to lay the tubes, and what to look out for: tables/order-of-work.csv. "
    "A number alone is always a tag, never the number in a tube's name.",
    "to-buy": "What to buy: tables/to-buy.csv; what a substitute must be like: matters in tables/tubing.csv.",
    "tube-passages": "Which tubes go through a passage: tables/tube-passages.csv; sort it by passage, and "
    "take the rows with goes_through true.",
    "nipples": "Where a nipple, a part or a passage is: in tables, nipples.csv, parts.csv with solids.csv, "
    "and passages.csv.",
    "dimensions": "How sure a measure is: tables/dimensions.csv has each, with status and spread; look under "
    "thing for the part, the tube or the tubing.",
    "not-known": "What is not known: section {unknown}.",
}
NOTHING_AMISS = "The checks found nothing wrong or doubtful; further down stands what each of them asks."
UNCHANGED = (
    "Whether anything has changed since: in the folder with manifest-sha512.txt, run sha512sum -c "
    "manifest-sha512.txt (Linux), or let any program for SHA-512 sums print those of the files and compare."
)


def about_the_record(lay: Lay, says: Sequence[str]) -> list[str]:
    """Return what the record is of, what it says of itself, and what more is to be said, a sentence each."""
    scene = lay.reading.scene
    lines = [*paragraph(scene.about), ""] if scene.about else []
    lines += paragraph(
        "This folder describes the tubing of a self-playing piano: what stands in its case, where every "
        "tube runs, of what it is, how long it is, and how near it comes to anything else; enough to tube "
        "the instrument again without the program that made the record (routeviz). What counts is this "
        "text and the tables; drawings, pictures and models are views of the same figures. All of it was "
        "made from a text that was written by hand, the scene, in source."
    )
    told = _statements(scene.record, says)
    lines += ["", *items((*told, *(f"{one.rstrip('.')}." for one in says)))]
    stage = lay.cabinet.stage
    if stage is not None:
        lines += [
            "",
            *paragraph(
                f"The tables show the last stage of the work, {stage}; parts gone by then are not in them."
            ),
        ]
    return lines


def where_to_begin(tables: Tables, unknown: int) -> list[str]:
    """Return which table answers what, and where most is amiss; what is not known stands in some section."""
    bases = Counter(str(row["basis"]) for row in tables["tubes"])
    count, told_bases = sum(bases.values()), ", ".join(f"{n} {basis}" for basis, n in bases.items())
    lines = paragraph(f"{count} tubes; what their lines rest on (basis in tables/tubes.csv): {told_bases}.")
    told = [text.format(unknown=unknown) for name, text in POINTERS.items() if tables.get(name)]
    lines = [*lines, "", *items([*told, UNCHANGED])]
    return [*lines, "", *(_amiss(tables) if tables["findings"] else paragraph(NOTHING_AMISS))]


def _amiss(tables: Tables) -> list[str]:
    """Return how much is amiss, and with which tubes most of it."""
    severity = {row["finding"]: str(row["severity"]) for row in tables["findings"]}
    counts, tags = Counter(severity.values()), {row["tube"]: row["tag"] for row in tables["tubes"]}
    about: dict[object, list[object]] = {}
    for row in tables["finding-tubes"]:
        if row["as_what"] in OWN and severity[row["finding"]] == "fault":
            about.setdefault(row["tube"], []).append(row["finding"])
    worst = sorted(about, key=lambda tube: -len(about[tube]))
    lines = paragraph(
        f"What is wrong or doubtful: tables/findings.csv, {_counted(counts)}; which tubes each is about: "
        f"tables/finding-tubes.csv.{' Worst off are:' if worst else ''}"
    )
    lines += items(
        f'"{tube}" (tag {tags[tube]}): {_faults(len(about[tube]))}, finding '
        f"{', '.join(str(one) for one in about[tube])}"
        for tube in worst[:WORST]
    )
    more = len(worst) - WORST
    return lines + (paragraph(f"{more} more {'has' if more == 1 else 'have'} a fault.") if more > 0 else [])


def _counted(counts: Counter[str]) -> str:
    told = [
        f"{n} {word}{'' if n == 1 else 's'}" for word in ("fault", "caution", "note") if (n := counts[word])
    ]
    return ", ".join(told)


def _faults(count: int) -> str:
    return "1 fault" if count == 1 else f"{count} faults"


def _statements(record: Record | None, says: Sequence[str]) -> Iterator[str]:
    """Yield what the record says of itself, but for what is said of it elsewhere; first what it shows."""
    if record is None:
        yield "Nobody wrote down what this record shows, when it was made, by whom and why."
        return
    yield SHOWS.get(record.shows or "", "It shows the instrument in a state that nobody wrote down.")
    said = {
        "On": record.on,
        "By": ", ".join(record.by or ()),
        "Why": record.why,
        "Object number": record.object,
        "Instrument": record.name,
        "Maker": record.maker,
        "Model": record.model,
        "Serial number": record.serial,
        "Made": record.made,
        "Place": record.place,
        "Owner": record.owner,
        "Rights": record.rights,
        "Licence": record.licence,
        "Takes the place of": record.supersedes,
    }
    for word, value in said.items():
        if value and not (value == record.supersedes and any(value.rstrip(".") in one for one in says)):
            yield f"{word}: {value}"
    for tool, words in record.tools.items():
        yield f'Measured with "{tool}": {words}'
