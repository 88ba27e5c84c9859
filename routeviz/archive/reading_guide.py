"""How is an archive read with nothing but an editor, a spreadsheet and a calculator? Its README.txt.

What it says of tables is made from their registers, so that no column goes unexplained; the worked example
uses the figures of the archive itself.
"""

from collections.abc import Iterator, Sequence

from routeviz.archive.columns import AXES
from routeviz.archive.guide_geometry import about_centrelines, about_clearance, about_solids, about_the_frame
from routeviz.archive.guide_tables import Told, about_the_folder, about_the_tables
from routeviz.archive.plain_text import ESCAPES, WIDTH, heading, items, paragraph
from routeviz.archive.registers import Register
from routeviz.archive.sums import Row, Tables, direction, figure, grouped, lengths, number
from routeviz.archive.unknowns import unknowns
from routeviz.archive.worked_clearance import worked_clearance
from routeviz.archive.worked_length import worked_length
from routeviz.checks.checking import RULES
from routeviz.checks.findings import SLACK_MM
from routeviz.lay import Lay
from routeviz.scene.record import Record
from routeviz.views.safety import SAFETY

SIDES = 4  # of a rectangle
FIXED_MARKS = 3  # things by which the zero can be found again
STATUS = (
    "How a dimension is known: measured on this instrument; documented by its maker; inferred from "
    "evidence on it; analogous, from a like instrument; assumed without evidence; designed, chosen by who "
    "restores. Points taped on a tube stand in tables/measured-points.csv, apart from the centreline that "
    "was fitted to them."
)
QUICKLY = {  # by the table without which it would lead nowhere
    "tubes": "Which tube goes where: open tables/tubes.csv. A row is a tube: from and to say what its ends "
    "are on, through the passages in their order, cut_mm how long to cut it, tubing of what.",
    "tube-passages": "Which tubes go through a passage: tables/tube-passages.csv, sorted by passage.",
    "parts": "Where a nipple, a part or a passage is: in tables, nipples.csv, parts.csv with solids.csv, and "
    "passages.csv.",
    "order-of-work": "In which order to lay the tubes, and what to look out for: tables/order-of-work.csv.",
    "findings": "What is wrong or doubtful: tables/findings.csv, and the last section of this text.",
    "dimensions": "How sure the measures are: tables/dimensions.csv.",
}
UNCHANGED = (
    "Whether anything has changed since: in the folder with manifest-sha512.txt, run sha512sum -c "
    "manifest-sha512.txt (Linux), or let any program for SHA-512 sums print those of the files and compare."
)


def reading_guide(
    lay: Lay, registers: Sequence[Register], files: Sequence[Told], says: Sequence[str] = ()
) -> bytes:
    """Return the text that explains an archive to somebody who has nothing else.

    Parameters
    ----------
    lay : Lay
        What is archived.
    registers : sequence of Register
        All of its tables, in the order in which they are told.
    files : sequence of Told
        All other files in ``data/``, those of evidence too.
    says : sequence of str
        What else is to be said of the archive, a sentence each.

    Returns
    -------
    content : bytes
        ASCII alone, lines of up to 76 letters, each ended by a line feed.
    """
    tables = {
        one.name: [dict(zip((field.name for field in one.fields), row, strict=True)) for row in one.rows]
        for one in registers
    }
    sections = (
        ("What this is", _about_the_record(lay, says)),
        ("Before a hand goes in", items(SAFETY)),
        ("Where to begin", items((*(text for name, text in QUICKLY.items() if name in tables), UNCHANGED))),
        ("Frame and units", [*about_the_frame(), "", *_about_the_zero(tables)]),
        ("What is in the folder", about_the_folder(files)),
        ("The tables", [*about_the_tables(registers), "", *paragraph(STATUS)]),
        ("Tubes, parts and how they move", [*about_centrelines(), "", *about_solids()]),
        ("Clearance, limits and what was checked", _about_checks(lay, tables)),
        ("A worked example", _example(tables)),
        ("What is not known", items(unknowns(lay, tables))),
    )
    lines = _title(lay)
    for count, (title, told) in enumerate(sections, start=1):
        lines += [*heading(count, title), *told]
    return "".join(f"{line.rstrip()}\n" for line in lines).encode("ascii")


def _title(lay: Lay) -> list[str]:
    title = paragraph(lay.reading.scene.title)
    return [*title, "=" * min(len(title[0]), WIDTH), "", *paragraph("How to read this record.")]


def _about_the_record(lay: Lay, says: Sequence[str]) -> list[str]:
    scene = lay.reading.scene
    lines = paragraph(
        "This folder describes the tubing of a self-playing piano: what stands in its case, where every "
        "tube runs, of what it is, how long it is, and how near it comes to anything else; enough to tube "
        "the instrument again without the program that made the record (routeviz). What counts is this "
        "text and the tables; drawings, pictures and models are views of the same figures."
    )
    lines += ["", *items((*_statements(scene.record), *says))]
    if scene.about:
        lines += ["", *paragraph(scene.about)]
    stage = lay.cabinet.stage
    if stage is not None:
        lines += [
            "",
            *paragraph(
                f"The tables show the last stage of the work, {stage}; parts gone by then are not in them."
            ),
        ]
    laid = sum(tube.curve is not None for tube in lay.tubes)
    lines += ["", *paragraph(f"{len(lay.tubes)} tubes, {laid} of them with a centreline."), "", *ESCAPES]
    return lines


def _statements(record: Record | None) -> Iterator[str]:
    """Yield what the record says of itself; first of all what it shows."""
    if record is None:
        yield "Nobody wrote down what this record shows, when it was made, by whom and why."
        return
    yield f"It shows the instrument {record.shows or 'in a state that nobody wrote down'}."
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
        if value:
            yield f"{word}: {value}"
    for tool, words in record.tools.items():
        yield f'Measured with "{tool}": {words}'


def _about_the_zero(tables: Tables) -> list[str]:
    """Return from which marks was measured, and how the zero can be found again on the instrument."""
    lines = paragraph("The marks from which positions were taped, as they lie in the frame:")
    lines += items(_marks(tables))
    lines += [
        "",
        *paragraph(
            "To find the zero again with a rule and a square: lay the square on a part that still stands "
            "where it stood, so that its edges run with the case, and measure back from its faces by the "
            "figures below. Two parts should lead to the same zero; if they do not, one of them has moved."
        ),
    ]
    return lines + items(_faces(tables))


def _marks(tables: Tables) -> Iterator[str]:
    rows = tables.get("zeros", ())
    for row in rows:
        place = ", ".join(f"{axis} {number(float(str(row[f'{axis}_mm'])))}" for axis in AXES)
        remark = f"; {row['remark']}" if row.get("remark") else ""
        yield f"{row['zero']}: {place}{remark}"
    if not rows:
        yield "case: x 0, y 0, z 0"


def _faces(tables: Tables) -> Iterator[str]:
    """Yield between which coordinates the largest blocks lie that stand still, square to the frame."""
    movable = {row["name"] for row in tables["parts"] if row["moves"] or row["kind"] == "keep_clear"}
    movable |= {row["name"] for row in tables["parts"] if row["comes_out_x"] is not None}
    whole = {row["name"] for row in tables["parts"] if row["pieces"] == 1}
    corners = grouped(tables["solid-corners"], "solid", "piece")
    blocks = [
        (_extent(row, corners[row["solid"], row["piece"]]), row["solid"])
        for row in tables["solids"]
        if row["solid"] in whole - movable
    ]
    found = [(extent, name) for extent, name in blocks if extent is not None]
    found.sort(key=lambda one: -min(high - low for low, high in one[0]))
    for extent, name in found[:FIXED_MARKS]:
        (left, right), (front, back), (bottom, top) = extent
        yield (
            f"{name}: left face at x {left:.1f}, right face at x {right:.1f}; front at y {front:.1f}, back "
            f"at y {back:.1f}; bottom at z {bottom:.1f}, top at z {top:.1f}"
        )
    if not found:
        yield "no part is a plain block square to the frame; use the tips of nipples in tables/nipples.csv"


def _extent(piece: Row, outline: Sequence[Row]) -> tuple[tuple[float, float], ...] | None:
    """Return between which x, y and z a piece lies; None of one that is no block square to the frame."""
    axes = [direction(piece, name) for name in ("first", "second", "third")]
    corners = [(figure(one, "u_mm"), figure(one, "v_mm")) for one in outline]
    is_rectangle = len(corners) == SIDES and all(len({one[k] for one in corners}) == 2 for k in (0, 1))
    if not is_rectangle or any(part not in (-1.0, 0.0, 1.0) for axis in axes for part in axis):
        return None
    half, origin = figure(piece, "half_mm"), lengths(piece, "origin_")
    sides: list[tuple[float, float]] = []
    for k, zero in enumerate(origin):
        reached = [
            zero + u * axes[0][k] + v * axes[1][k] + w * axes[2][k] for u, v in corners for w in (-half, half)
        ]
        sides.append((min(reached), max(reached)))
    return tuple(sides)


def _about_checks(lay: Lay, tables: Tables) -> list[str]:
    """Return what a clearance counts, the limits, what each rule asks, and what was proved."""
    lines = [*about_clearance(), "", *paragraph("The limits (tables/limits.csv):")]
    limits = [(row, row["unit"] or "") for row in tables["limits"]]
    lines += items(f"{row['limit']}: {row['value']} {unit}; {row['about']}" for row, unit in limits)
    lines += [
        "",
        *paragraph(
            f"A distance keeps its limit if low_mm is no more than {SLACK_MM:g} mm below it. One that would "
            "keep it if the tape was off by the limit survey is a caution; one that would not even then is "
            "a fault. The rules, as tables/findings.csv names them, and what each asks:"
        ),
    ]
    for module in RULES.values():
        for block in str(module.ABOUT).strip().split("\n\n"):
            lines += ["", *paragraph(block, indent=2)]
    lines += ["", *paragraph("What was proved of this lay, and what was left out:"), *items(lay.proved)]
    return lines


def _example(tables: Tables) -> list[str]:
    lines = paragraph(
        "Each line below can be followed with a calculator; ^2 is a square, sqrt a square root, x times, "
        "pi 3.14159265, angles are in degrees. Each result is rounded to 0.0001 and used so in the next "
        "line."
    )
    lines += ["", *paragraph("How long to cut a tube."), "", *worked_length(tables)]
    return [*lines, "", *paragraph("How near a tube comes to something."), "", *worked_clearance(tables)]
