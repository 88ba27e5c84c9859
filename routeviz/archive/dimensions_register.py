"""Every dimension of a scene as a register: as written and in one unit, how sure it is, and who says so.

Which numbers these are is found in dimension_walk.py; what is said of them, in scene/doubted.py.
"""

from dataclasses import dataclass
from typing import get_args

from routeviz.archive.columns import degrees, length_field, mm, size_field
from routeviz.archive.dimension_walk import Dimension, dimensions_of
from routeviz.archive.registers import Field, Register, Value
from routeviz.archive.remarks import Remarks, place_in_words, remarks_of
from routeviz.lay import Lay
from routeviz.scene.doubts import Doubt, Status
from routeviz.scene.positions import Key, dotted
from routeviz.scene.quantities import CASE
from routeviz.scene.reading import Reading
from routeviz.scene.wiring import Wire

FIELDS = (
    Field(
        name="dimension",
        about="Its number, from 1, in the order of the scene's tables.",
        kind="whole",
        least=1,
    ),
    Field(name="key", about="Where it stands in the scene: words and, counted from 1, items of lists."),
    Field(
        name="group",
        about="What it is a measure of.",
        one_of=("clearance", "practice", "zero", "tubing", "part", "passage", "tubes"),
    ),
    Field(
        name="thing",
        about="The zero, kind of tube, part, passage or tubes that it is a measure of.",
        required=False,
    ),
    Field(name="what", about="What it measures, in words."),
    Field(
        name="zero",
        about="The zero from which a position counts; empty inside a part, where all counts from the part's "
        "own place.",
        required=False,
    ),
    length_field("value", "A length.", required=False),
    Field(name="value_deg", about="An angle.", kind="number", unit="deg", required=False),
    Field(name="value", about="Any other number, in the unit under unit.", kind="number", required=False),
    Field(name="unit", about="Of the value; empty for what is counted.", required=False),
    Field(name="as_written", about="As it stands in the file, with the unit in which it was written."),
    Field(
        name="status",
        about="How it is known: measured on the instrument; documented, written somewhere, see source; "
        "inferred from evidence on it; analogous, from a like instrument; assumed without evidence; "
        "designed, chosen by who restores. Empty where nobody said.",
        required=False,
        one_of=get_args(Status),
    ),
    size_field("spread", "How far off it may be, either way, as was said of it.", required=False),
    Field(name="spread_deg", about="The same of an angle.", kind="number", unit="deg", required=False),
    Field(name="spread", about="The same of any other number.", kind="number", required=False),
    size_field(
        "survey",
        "How far off the tape may be, either way, in the whole survey; of positions without a spread of "
        "their own.",
        required=False,
    ),
    Field(name="tool", about="What it was measured with.", required=False),
    Field(name="by", about="Who measured or judged.", required=False),
    Field(name="on", about="When, as ISO 8601.", required=False),
    Field(name="source", about="Where it was found.", required=False),
    Field(name="why", about="The reasoning.", required=False),
    Field(name="recorded", about="As an older source writes it, in that source's unit.", required=False),
    Field(
        name="model",
        about="The model in source/models that gives it, where the scene itself does not.",
        required=False,
    ),
    Field(name="remark", about="What stands beside it in the scene as a remark.", required=False),
    Field(
        name="line", about="File and line where it stands, as FILE:LINE; empty for a model's.", required=False
    ),
)


def dimensions_register(lay: Lay) -> Register:
    """Return every dimension that a scene writes, or a model for it.

    Parameters
    ----------
    lay : Lay
        Of the scene.

    Returns
    -------
    register : Register
        Defaults that nobody wrote are not among them, but in defaults_register.py.
    """
    told = _Told(reading=lay.reading, remarks=remarks_of(lay.reading), wires=_first_wires(lay.reading))
    rows = tuple((number, *_row(told, one)) for number, one in enumerate(dimensions_of(lay.reading), 1))
    return Register(
        name="dimensions",
        title="Dimensions",
        about="A number that the scene gives: a length, an angle, or what else is measured or counted. What "
        "nobody gave and the program took by itself is in defaults.",
        fields=FIELDS,
        rows=rows,
        key=("dimension",),
        refers={"zero": ("zeros", "zero"), "tool": ("tools", "tool")},
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Told:
    """The scene, its remarks, and the first tube of each of its entries."""

    reading: Reading
    remarks: Remarks
    wires: dict[Key, Wire]


def _first_wires(reading: Reading) -> dict[Key, Wire]:
    return {wire.key: wire for wire in reversed(reading.wires)}


def _row(told: _Told, one: Dimension) -> tuple[Value, ...]:
    reading, place = told.reading, told.reading.positions.places.get(one.key)
    doubt = reading.doubt_at(one.key)
    is_length, is_angle = one.unit == "mm", one.unit == "deg"
    return (
        dotted(one.key),
        str(one.key[0]),
        _thing(told, one.key),
        _what(one),
        one.zero,
        mm(float(one.value)) if is_length else None,
        degrees(float(one.value)) if is_angle else None,
        None if is_length or is_angle else one.value,
        one.unit or None,
        _as_written(one, reading.scene.units),
        doubt.status,
        mm(doubt.spread_mm),
        degrees(doubt.spread_deg),
        doubt.spread,
        _survey_mm(reading, one, doubt),
        doubt.tool,
        doubt.by,
        doubt.on,
        doubt.source,
        doubt.why,
        doubt.recorded,
        None if place else _model(reading, one.key),
        told.remarks.at(place),
        place_in_words(reading, place) if place else None,
    )


def _thing(told: _Told, key: Key) -> str | None:
    """Return the name of what a dimension is of; of a run of tubes, the first and how many more."""
    if len(key) < 2 or key[0] in ("clearance", "practice"):
        return None
    if key[0] != "tubes":
        return str(key[1])
    wire = told.wires.get(key[:2])
    if wire is None:
        return None
    more = sum(one.key == wire.key for one in told.reading.wires) - 1
    return f"{wire.name} and {more} more" if more else wire.name


def _what(one: Dimension) -> str:
    words = [str(word + 1) if isinstance(word, int) else word for word in one.key]
    within = words[1:] if one.key[0] in ("clearance", "practice") else words[2:]
    told = " ".join(within).replace("_", " ")
    return f"{told}: {one.about}" if one.about else told


def _as_written(one: Dimension, units: str | None) -> str:
    if isinstance(one.written, str):
        return one.written
    unit = units if one.unit == "mm" else one.unit
    return f"{one.written} {unit}" if unit else str(one.written)


def _survey_mm(reading: Reading, one: Dimension, doubt: Doubt) -> float | None:
    """Return the survey's doubt for a position that the scene itself gives and says nothing else of."""
    survey = reading.scene.clearance.survey_mm
    taped = one.position and one.key in reading.positions.places and one.key[:2] != ("zero", CASE)
    return mm(survey) if survey and taped and doubt.spread_mm is None else None


def _model(reading: Reading, key: Key) -> str | None:
    name = str(key[1])
    if key[0] == "part":
        return reading.scene.part[name].model
    return reading.scene.tubing[name].model if key[0] == "tubing" else None
