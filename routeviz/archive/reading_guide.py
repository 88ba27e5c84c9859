"""How is an archive read with nothing but an editor, a spreadsheet and a calculator? Its README.txt.

What it says of tables is made from their registers, so that no column goes unexplained; the worked examples
use the figures of the archive itself.
"""

from collections.abc import Sequence

from routeviz.archive.guide_checks import about_checks
from routeviz.archive.guide_geometry import about_centrelines, about_solids, about_taped, about_the_frame
from routeviz.archive.guide_record import about_the_record, where_to_begin
from routeviz.archive.guide_tables import Told, about_the_folder, about_the_tables
from routeviz.archive.guide_zero import about_the_zero
from routeviz.archive.plain_text import ESCAPES, WIDTH, heading, items, paragraph
from routeviz.archive.registers import Register
from routeviz.archive.sums import Tables
from routeviz.archive.unknowns import unknowns
from routeviz.archive.worked_clearance import worked_clearance
from routeviz.archive.worked_length import worked_length
from routeviz.archive.worked_moving import worked_moving
from routeviz.archive.worked_tubes import worked_tubes
from routeviz.lay import Lay
from routeviz.views.safety import SAFETY

UNKNOWN = "What is not known"
EXAMPLES = {
    "How long to cut a tube.": worked_length,
    "How near a tube comes to something.": worked_clearance,
    "How near a tube comes to another.": worked_tubes,
    "How near a tube comes to what moves.": worked_moving,
}


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
    sections = {
        "What this is": about_the_record(lay, says),
        "Before a hand goes in": items(SAFETY),
        "Where to begin": [],
        "Frame and units": [*about_the_frame(), "", *about_the_zero(tables)],
        UNKNOWN: unknowns(tables),
        "Tubes, parts and how they move": _shapes(tables),
        "Clearance, limits and what was checked": about_checks(lay, tables),
        "Worked examples": _examples(tables),
        "What is in the folder": about_the_folder(files),
        "The tables": about_the_tables(registers),
    }
    titles = list(sections)
    sections["Where to begin"] = where_to_begin(tables, titles.index(UNKNOWN) + 1)
    if any("\\" in line for told in sections.values() for line in told):
        sections["What this is"] += ["", *ESCAPES]
    lines = _title(lay)
    for count, (title, told) in enumerate(sections.items(), start=1):
        lines += [*heading(count, title), *told]
    return "".join(f"{line.rstrip()}\n" for line in lines).encode("ascii")


def _title(lay: Lay) -> list[str]:
    title = paragraph(lay.reading.scene.title)
    return [*title, "=" * min(len(title[0]), WIDTH), "", *paragraph("How to read this record.")]


def _shapes(tables: Tables) -> list[str]:
    taped = about_taped() if tables.get("measured-points") else []
    return [*about_centrelines(), *(["", *taped] if taped else []), "", *about_solids()]


def _examples(tables: Tables) -> list[str]:
    lines = paragraph(
        "Each line below can be followed with a calculator; ^2 is a square, sqrt a square root, x times, "
        "pi 3.14159265, angles are in degrees. Each result is rounded to 0.0001 and used so in the next "
        "line; what is multiplied by 0 is left out."
    )
    for title, worked in EXAMPLES.items():
        told = worked(tables)
        lines += ["", *paragraph(title), "", *told] if told else []
    return lines
