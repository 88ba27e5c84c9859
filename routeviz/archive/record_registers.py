"""What stands behind a record, as registers: tools, evidence, and what is not known.

How the files of the evidence come into an archive is in evidence.py.
"""

from collections import Counter
from collections.abc import Iterator

from routeviz.archive.defaults_register import defaults_register
from routeviz.archive.dimension_walk import dimensions_of
from routeviz.archive.evidence import names_in_bag
from routeviz.archive.registers import Field, Register
from routeviz.lay import Lay
from routeviz.tubes.routes import Tube

NO_SOURCE = "no source"  # how models say that a value of theirs has none
UNKNOWN_ENDS = ("unknown", "missing", "cut", "blocked")
SAID, FOLLOWS = "said", "follows"
CHOSEN = ("clearance", "practice")  # by who works there: no measures of the instrument

TOOL_FIELDS = (
    Field(name="tool", about="Its short name, as beside the dimensions."),
    Field(name="says", about="What it is, in words.", required=False),
    Field(name="dimensions", about="How many dimensions name it.", kind="whole", least=0),
)
EVIDENCE_FIELDS = (
    Field(name="file", about="Its name beside the scene."),
    Field(name="in_bag", about="Where it lies in this folder, untouched."),
    Field(name="kind", about="What it is.", one_of=("photo", "note", "scan", "drawing")),
    Field(name="caption", about="What is to be seen on it."),
    Field(name="by", about="Who made it.", required=False),
    Field(name="on", about="When, as ISO 8601.", required=False),
    Field(name="rights", about="Who may do what with it; empty: as for the record.", required=False),
)
NOT_KNOWN_FIELDS = (
    Field(name="line", about="Its number, from 1.", kind="whole", least=1),
    Field(name="says", about="What is not known."),
    Field(
        name="who",
        about="Whether those who made the record said so, or it follows from what the scene leaves open.",
        one_of=(SAID, FOLLOWS),
    ),
)


def tools_register(lay: Lay) -> Register:
    """Return what was measured with: tools that the record describes, and any other that a value names."""
    record = lay.reading.scene.record
    words = dict(record.tools) if record else {}
    used = Counter(tool for one in dimensions_of(lay.reading) if (tool := lay.reading.doubt_at(one.key).tool))
    return Register(
        name="tools",
        title="Tools",
        about="Something that was measured with.",
        fields=TOOL_FIELDS,
        rows=tuple((tool, words.get(tool), used[tool]) for tool in dict.fromkeys([*words, *used])),
        key=("tool",),
    )


def evidence_register(lay: Lay) -> Register:
    """Return the files that bear witness: photos, notes, scans, drawings."""
    record = lay.reading.scene.record
    names = names_in_bag(record) if record else {}
    rows = tuple(
        (
            one.file,
            names[one.file],
            one.kind,
            one.caption,
            ", ".join(one.by or ()) or None,
            one.on,
            one.rights,
        )
        for one in (record.evidence if record else ())
    )
    return Register(
        name="evidence",
        title="Evidence",
        about="A file that bears witness to how the instrument is or was.",
        fields=EVIDENCE_FIELDS,
        rows=rows,
        key=("file",),
    )


def not_known_register(lay: Lay) -> Register:
    """Return what is not known: as the record says, and as it follows from what the scene leaves open.

    Parameters
    ----------
    lay : Lay
        As checked.

    Returns
    -------
    register : Register
        Those of the record first.
    """
    record = lay.reading.scene.record
    told = [(says, SAID) for says in (record.not_known if record else ())]
    told += [(says, FOLLOWS) for says in _left_open(lay)]
    return Register(
        name="not-known",
        title="What is not known",
        about="Something that is not known of the instrument or its tubes.",
        fields=NOT_KNOWN_FIELDS,
        rows=tuple((number, *one) for number, one in enumerate(told, 1)),
        key=("line",),
    )


def _left_open(lay: Lay) -> Iterator[str]:
    for tube in lay.tubes:
        yield from _of_tube(tube)
    for name in lay.cabinet.without_place:
        yield f"Where {name} lies."
    for name, least in lay.measured.least_bends.items():
        if least.radius_mm is None:
            yield f"How tightly tubing {name} may be bent: {least.words}."
    for name, kind in lay.cabinet.tubing.items():
        lacks = [
            word
            for word, value in (("stiffness", kind.modulus_mpa), ("density", kind.density_g_cm3))
            if value is None
        ]
        if lacks and kind.material != "wire":
            yield f"The {' and the '.join(lacks)} of tubing {name}."
    yield from _of_dimensions(lay)
    yield from _of_defaults(lay)


def _of_tube(tube: Tube) -> Iterator[str]:
    told = f"tube {tube.name} (tag {tube.tag})"
    for what, end in (("start", tube.start), ("end", tube.end)):
        if end.state in UNKNOWN_ENDS:
            yield f"What {told} was on at its {what}, which is {end.state}."
    if tube.hidden is not None:
        yield f"How {told} runs, which cannot be seen: {tube.hidden}."
    elif tube.curve is None:
        yield f"How {told} runs: nobody has drawn, taped or found a way for it."


def _of_dimensions(lay: Lay) -> Iterator[str]:
    taken = [one for one in dimensions_of(lay.reading) if one.key[0] not in CHOSEN]
    doubts = [lay.reading.doubt_at(one.key) for one in taken]
    of_all = f"of {len(doubts)} dimensions of the instrument"
    silent = sum(one.status is None and one.source is None for one in doubts)
    assumed = sum(one.status == "assumed" for one in doubts)
    bare = sum(one.status is None and NO_SOURCE in (one.source or "") for one in doubts)
    if silent:
        yield f"How {silent} {of_all} are known: nobody said; see dimensions."
    if assumed:
        yield f"The true value of {assumed} {of_all}: they are assumed; see dimensions."
    if bare:
        yield f"Where {bare} {of_all} come from: in dimensions, their source says that there is none."


def _of_defaults(lay: Lay) -> Iterator[str]:
    """Yield for what the program took its own values, as nobody said."""
    rows = defaults_register(lay).rows
    keys = [str(row[1]) for row in rows if row[1] is not None]
    settings = sum(key.startswith(CHOSEN) for key in keys)
    if settings:
        yield (
            f"What {settings} settings and limits truly are, such as how much tube goes over a nipple: "
            "nobody said, the program's own are taken; see defaults."
        )
    tubes = sum(key.endswith(".carries") for key in keys)
    if tubes:
        yield (
            f"What goes through the tubes of {tubes} entries of the scene: nobody said, it is taken for "
            "a signal; see defaults."
        )
