"""Where are the marks from which all was taped, as a register?

How they are found is in cabinet/zeros.py.
"""

from routeviz.archive.columns import mm, point, point_fields, size_field
from routeviz.archive.registers import Field, Register
from routeviz.archive.remarks import remarks_of
from routeviz.cabinet.messages import Where
from routeviz.cabinet.zeros import marks
from routeviz.lay import Lay
from routeviz.scene.quantities import CASE

FIELDS = (
    Field(name="zero", about=f"Its name; {CASE} is the frame of all tables."),
    Field(name="seen_from", about="The zero from which it was taped; empty for the case's.", required=False),
    *point_fields("", "Where it is in the case's frame"),
    size_field("wide", "How far it is from it to the far end on the right, where taped.", required=False),
    size_field("deep", "How far it is from it to the far end at the back, where taped.", required=False),
    size_field("high", "How far it is from it to the far end at the top, where taped.", required=False),
    Field(name="remark", about="What its mark is, as far as the scene's author says.", required=False),
)


def zeros_register(lay: Lay) -> Register:
    """Return every zero with its place in the case's frame."""
    known = marks(Where(reading=lay.reading), [])
    entries, remarks, places = lay.reading.scene.zero, remarks_of(lay.reading), lay.reading.positions.places
    rows = tuple(
        (
            name,
            None if name == CASE else entries[name].at.zero or CASE,
            *point(mark.origin),
            *(mm(span) for span in mark.spans.tolist()),
            remarks.at(places.get(("zero", name))),
        )
        for name, mark in known.items()
    )
    return Register(
        name="zeros",
        title="Zeros",
        about="A mark that a tape can reach, from which positions were taken.",
        fields=FIELDS,
        rows=rows,
        key=("zero",),
        refers={"seen_from": ("zeros", "zero")},
    )
