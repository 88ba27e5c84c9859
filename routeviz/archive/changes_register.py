"""What is not as it was, as a register, and as CSV for a spreadsheet."""

from dataclasses import replace
from typing import get_args

from routeviz.archive.changes import Change, Kind, OfFinding, OfThing
from routeviz.archive.columns import length_field, mm, point, point_fields
from routeviz.archive.differences import Differences
from routeviz.archive.finding_changes import SEVERITIES
from routeviz.archive.registers import Field, Register, Value, csv_of
from routeviz.records.csv_files import BYTE_ORDER_MARK, escaped

ABOUT = get_args(Kind)
WHATS = (*get_args(OfFinding), *get_args(OfThing))
DECIMALS = 4  # as those of lengths
FIELDS = (
    Field(name="change", about="Its number, from 1, the worst first.", kind="whole", least=1),
    Field(
        name="about",
        about="What it is about.",
        one_of=ABOUT,
    ),
    Field(name="name", about="What that is called; in the later state, if it is there."),
    Field(
        name="what",
        about="What happened. Findings: broken, worse, milder or mended. All else: moved, turned, resized, "
        "reshaped, added, removed, or one value altered.",
        one_of=WHATS,
    ),
    Field(name="value", about="Which value is altered; of a finding, its rule.", required=False),
    Field(name="before", about="What was, in words.", required=False),
    Field(name="after", about="What is, in words.", required=False),
    Field(
        name="low",
        about="By how much at least: how far it lies elsewhere, or the later less the earlier value.",
        kind="number",
        required=False,
    ),
    Field(name="high", about="By how much at most.", kind="number", required=False),
    Field(name="unit", about="Of low and high.", required=False),
    Field(
        name="on",
        about="Of a tube that lies elsewhere: on which of its two courses the place is.",
        required=False,
        one_of=("before", "after"),
    ),
    length_field("along", "How far along that course.", required=False),
    *point_fields("at", "Where", required=False),
    Field(
        name="severity", about="Of a finding; of a mended one, as it was.", required=False, one_of=SEVERITIES
    ),
    Field(name="says", about="All of it, as the end of a sentence that begins with the name."),
)


def changes_register(found: Differences) -> Register:
    """Return what is not as it was between two states, a row a change."""
    return Register(
        name="changes",
        title="What is not as it was",
        about="Something that differs from the state before. Lengths that differ by no more than 0.05 mm are "
        "the same.",
        fields=FIELDS,
        rows=tuple((number, *_row(one)) for number, one in enumerate(found.changes, 1)),
        key=("change",),
    )


def _row(one: Change) -> tuple[Value, ...]:
    return (
        one.kind,
        one.name,
        one.what,
        one.value or None,
        one.before or None,
        one.after or None,
        number(one.low),
        number(one.high),
        one.unit or None,
        one.on,
        mm(one.along_mm),
        *point(one.point),
        one.severity,
        one.says,
    )


def number(value: float | None) -> float | None:
    """Return a number as it is written, in whatever unit; None where there is none."""
    return None if value is None else round(float(value), DECIMALS) + 0.0


def changes_csv(found: Differences) -> bytes:
    """Return differences as a CSV file for a spreadsheet, which takes no cell of it for a formula."""
    register = changes_register(found)
    rows = tuple(
        tuple(escaped(value) if isinstance(value, str) else value for value in row) for row in register.rows
    )
    return BYTE_ORDER_MARK.encode() + csv_of(replace(register, rows=rows))
