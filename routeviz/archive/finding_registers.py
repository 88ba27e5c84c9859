"""What the checks found and proved, as registers: findings, the tubes that they are about, what was expected.

Findings are numbered as in pictures, page and sheets.
"""

import math
from typing import get_args

from routeviz.archive.columns import joined_names, length_field, mm, point, point_fields, share
from routeviz.archive.registers import Field, Register, Value
from routeviz.archive.remarks import place_in_words
from routeviz.checks.findings import Finding, Severity
from routeviz.lay import Lay

SEVERITIES = get_args(Severity)
DECIMALS = 4  # of what was measured, in whatever unit

FINDING_FIELDS = (
    Field(
        name="finding",
        about="Its number, from 1: faults, then cautions, then notes; within these rule by rule, of each "
        "what is farthest off first. So the lower number is not the worse where rules differ.",
        kind="whole",
        least=1,
    ),
    Field(name="rule", about="The rule that found it; what each asks is told in README.txt."),
    Field(
        name="severity",
        about="A fault must be mended; a caution is one if a measure is off, or is to be weighed; a note "
        "is to be known.",
        one_of=SEVERITIES,
    ),
    Field(name="tube", about="The tube.", required=False),
    Field(name="other", about="The other thing: a part, a passage, a nipple, another tube.", required=False),
    Field(name="says", about="The finding in a sentence."),
    Field(name="remedy", about="What to do.", required=False),
    Field(name="low", about="What was measured is not below this.", kind="number", required=False),
    Field(
        name="high",
        about="What was measured is not above this; empty where nothing bounds it.",
        kind="number",
        required=False,
    ),
    Field(name="limit", about="What it was held against.", kind="number", required=False),
    Field(name="unit", about="Of low, high and limit.", required=False),
    *point_fields("at", "Where", required=False),
    length_field("along", "How far along the tube's centreline, from its start.", required=False),
    Field(
        name="travel",
        about="Where in the other thing's travel, 0 at rest to 1 at full travel, as it was found by halving: "
        "in words, up to 0.005 from an end is that end. Empty where the thing stands.",
        kind="number",
        required=False,
    ),
    Field(name="stage", about="In which stage of the work it is found first.", required=False),
    Field(
        name="lines",
        about="File and line where it can be mended, as FILE:LINE, several parted by a semicolon.",
        required=False,
    ),
)
ABOUT_FIELDS = (
    Field(name="finding", about="The finding's number.", kind="whole", least=1),
    Field(name="tube", about="A tube that it is about."),
    Field(
        name="as_what",
        about="Whether it is the tube of the finding, the other thing, or one of further ones.",
        one_of=("tube", "other", "further"),
    ),
)
PROVED_FIELDS = (
    Field(name="line", about="Its number, from 1.", kind="whole", least=1),
    Field(name="says", about="What was proved and to what tolerance, or what was not looked at."),
)
EXPECTED_FIELDS = (
    Field(name="line", about="Its number, from 1.", kind="whole", least=1),
    Field(name="rule", about="The rule that is to find it."),
    Field(name="severity", about="How bad.", one_of=SEVERITIES),
    Field(name="tube", about="The tube.", required=False),
    Field(name="other", about="The other thing.", required=False),
    Field(name="value", about="What is to be measured, in the rule's unit.", kind="number", required=False),
    Field(name="reckoned", about="Where the value comes from.", required=False),
)


def findings_register(lay: Lay) -> Register:
    """Return what the checks have to say, faults first, with the evidence.

    Parameters
    ----------
    lay : Lay
        As checked.

    Returns
    -------
    register : Register
        Every finding.
    """
    return Register(
        name="findings",
        title="Findings",
        about="Something that a check has to say of the tubes, with what was measured and the limit.",
        fields=FINDING_FIELDS,
        rows=tuple(_finding(lay, number, one) for number, one in enumerate(lay.findings, 1)),
        key=("finding",),
        refers={"tube": ("tubes", "tube"), "stage": ("stages", "stage")},
    )


def finding_tubes_register(lay: Lay) -> Register:
    """Return the tubes that each finding is about.

    Parameters
    ----------
    lay : Lay
        As checked.

    Returns
    -------
    register : Register
        A row a finding and tube.
    """
    tubes = {tube.name for tube in lay.tubes}
    rows = tuple(
        (number, name, what)
        for number, one in enumerate(lay.findings, 1)
        for name, what in _told(one).items()
        if name in tubes
    )
    return Register(
        name="finding-tubes",
        title="Tubes of findings",
        about="A tube that a finding is about.",
        fields=ABOUT_FIELDS,
        rows=rows,
        key=("finding", "tube"),
        refers={"finding": ("findings", "finding"), "tube": ("tubes", "tube")},
    )


def proved_register(lay: Lay) -> Register:
    """Return what was proved and what was not looked at, in sentences."""
    return Register(
        name="proved",
        title="What was proved",
        about="A sentence on what was proved of the tubes, or what was not looked at.",
        fields=PROVED_FIELDS,
        rows=tuple(enumerate(lay.proved, 1)),
        key=("line",),
    )


def expected_register(lay: Lay) -> Register:
    """Return the findings that an example was made to show; nothing for any other scene."""
    rows = tuple(
        (number, one.rule, one.severity, one.tube, one.other, one.value, one.reckoned or None)
        for number, one in enumerate(lay.reading.scene.expect, 1)
    )
    return Register(
        name="expected",
        title="What the example is to show",
        about="A finding that an example says it is made to show; no row in the record of an instrument.",
        fields=EXPECTED_FIELDS,
        rows=rows,
        key=("line",),
    )


def _finding(lay: Lay, number: int, one: Finding) -> tuple[Value, ...]:
    return (
        number,
        one.rule,
        one.severity,
        one.tube,
        one.other,
        one.says,
        one.remedy,
        _measured(one.low),
        _measured(one.high),
        _measured(one.limit),
        one.unit,
        *point(one.point),
        mm(one.along_mm),
        share(one.travel),
        one.stage,
        joined_names([place_in_words(lay.reading, place) for place in lay.places_of(one)]),
    )


def _measured(value: float | None) -> float | None:
    return None if value is None or not math.isfinite(value) else round(float(value), DECIMALS)


def _told(one: Finding) -> dict[str, str]:
    """Return the names that a finding tells, and as what each first comes."""
    told = dict.fromkeys(one.tubes, "further")
    if one.other is not None:
        told[one.other] = "other"
    if one.tube is not None:
        told[one.tube] = "tube"
    return told
