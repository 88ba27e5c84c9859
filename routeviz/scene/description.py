"""What a scene file may say, as values; the parts are in parts.py, single quantities in quantities.py.

How a file becomes these values is in reading.py.
"""

from typing import Literal

from pydantic import Field

from routeviz.scene.doubts import DoubtEntry
from routeviz.scene.parts import Part, PassagePart
from routeviz.scene.quantities import CASE, AtLeastZero, Entry, Number, Position, PositiveLength
from routeviz.scene.record import Record

Carries = Literal["signal", "switched vacuum", "always-on vacuum", "wire"]
Found = Literal["unknown", "missing", "cut", "blocked", "loose"]

MOST_POINTS = 200  # of one tube; a dozen corners is many


class Zero(Entry):
    """A mark that a tape can reach, seen from another; its spans let positions count from the far ends."""

    at: Position = Field(description="where it is")
    wide_mm: PositiveLength | None = Field(None, alias="wide", description="how far it is to its right end")
    deep_mm: PositiveLength | None = Field(None, alias="deep", description="how far it is to its back end")
    high_mm: PositiveLength | None = Field(None, alias="high", description="how far it is to its top end")
    doubt: DoubtEntry | None = Field(None, description="how sure all its values are")


class Clearance(Entry):
    """Least free distances, wall to thing; and how far off the tape may be, either way."""

    fixed_mm: AtLeastZero = Field(2.0, alias="fixed", description="to what stands still")
    moving_mm: AtLeastZero = Field(3.0, alias="moving", description="to what moves, anywhere in its travel")
    tubes_mm: AtLeastZero = Field(0.0, alias="tubes", description="between tubes; neighbours may touch")
    survey_mm: AtLeastZero = Field(0.0, alias="survey", description="how far off the tape may be, either way")


class Practice(Entry):
    """The workshop's own settings, each with a default from common practice (no source)."""

    on_nipple_mm: PositiveLength = Field(
        11.0, alias="on_nipple", description="tube that goes over each nipple"
    )
    off_square_deg: Number = Field(
        10.0, ge=0, le=90, description="how far a tube may leave off its nipple's line"
    )
    fit_stretch_percent: Number = Field(
        35.0, gt=0, description="how far a bore may be stretched over a nipple"
    )
    slack_percent: Number = Field(5.0, ge=0, description="how much longer than drawn a cut tube may be")
    vacuum_kpa: Number = Field(
        6.2, ge=0, le=100, description="the highest vacuum in the tubes (25 inches of water)"
    )


class Tubing(Entry):
    """A kind of tube."""

    model: str | None = Field(
        None, description="a model of routeviz, whose values hold where the scene is silent"
    )
    describes: str = Field("", description="what it is, in words")
    material: str = Field("other", description="what it is made of")
    bore_mm: PositiveLength = Field(alias="bore", description="inner diameter")
    outside_mm: PositiveLength | None = Field(None, alias="outside", description="or wall")
    wall_mm: PositiveLength | None = Field(None, alias="wall", description="or outside")
    least_bend_mm: PositiveLength | None = Field(None, alias="least_bend", description="to the centreline")
    least_bend_inner_mm: PositiveLength | None = Field(
        None, alias="least_bend_inner", description="to the inner side"
    )
    modulus_mpa: Number | None = Field(None, alias="modulus", gt=0, description="MPa")
    density_g_cm3: Number | None = Field(
        None, alias="density", gt=0, description="grams in a cubic centimetre"
    )
    longest_mm: PositiveLength | None = Field(
        None, alias="longest", description="no tube of it may be longer"
    )
    source: dict[str, str] = Field(default_factory=dict, description="where each value comes from")
    doubt: DoubtEntry | None = Field(None, description="how sure all its values are")


class TieEntry(Entry):
    """What holds a tube between its ends: how far along, and to what."""

    along_mm: AtLeastZero = Field(alias="along", description="from the tube's start, on the centreline")
    to: str = Field(description="a part, or 'bundle' for tube to tube")


class Corner(Position):
    """A corner of a drawn route; the radius is chosen as gentle as the legs allow unless given."""

    radius_mm: PositiveLength | None = Field(None, alias="radius", description="to the centreline")


class TubeEntry(Entry):
    """One tube, or a run of tubes by ranges."""

    name: str | None = Field(None, description="what it is called; else as the nipple at its start")
    tag: str | None = Field(None, description="what is tied to both ends; else the next free number")
    label: str | None = Field(None, description="the old label found on it, apart from our tag")
    start: str = Field(
        alias="from",
        max_length=200,
        description="'PART NUMBERS', 'loose', 'unknown', 'missing', 'cut' or 'blocked'",
    )
    end: str = Field(alias="to", max_length=200, description="the same")
    tubing: str = Field(description="the kind of tube, by its name in [tubing]")
    carries: Carries = Field("signal", description="what goes through it")
    zero: str = Field(CASE, description="from which its positions count")
    through: tuple[str, ...] = Field((), description="passages in order, from its start")
    corners: tuple[Corner, ...] | None = Field(
        None, max_length=MOST_POINTS, description="corners of the drawn route between the nipples"
    )
    measured: tuple[Position, ...] | None = Field(
        None, max_length=MOST_POINTS, description="points taped on the tube as found, between the nipples"
    )
    step: Position | None = Field(
        None, description="how the route shifts from each tube of a run to the next"
    )
    hidden: str | None = Field(None, description="words for a run that cannot be seen")
    starts_at: Position | None = Field(None, description="where a start without a nipple lies")
    ends_at: Position | None = Field(None, description="where an end without a nipple lies")
    spare_mm: AtLeastZero = Field(0.0, alias="spare", description="extra length left at a loose end")
    waits_for: str | None = Field(None, alias="for", description="what a loose end waits for")
    cut_mm: PositiveLength | None = Field(
        None, alias="cut", description="its length as cut or found, end to end"
    )
    ties: tuple[TieEntry, ...] = Field((), description="what holds it between its ends")
    stage: str | None = Field(None, description="from which stage of the work it lies there")
    note: str | None = Field(None, description="a remark")
    doubt: DoubtEntry | None = Field(None, description="how sure all its values are")


class Stage(Entry):
    """A stage of the work, checked by itself; later stages keep what earlier ones brought."""

    name: str = Field(description="what it is called")
    pose: str | None = Field(None, description="else the scene's")


class Expected(Entry):
    """A finding that an example scene is made to show."""

    rule: str = Field(description="which rule finds it")
    tube: str | None = Field(None, description="the tube")
    severity: Literal["fault", "caution", "note"] = Field("fault", description="how bad it is")
    other: str | None = Field(None, description="the other thing")
    value: Number | None = Field(None, description="measured, in the finding's own unit")
    reckoned: str = Field(
        "", description="where the value comes from: the arithmetic, or the separate verifier"
    )


class Scene(Entry):
    """A scene file, read."""

    format: Literal[1] = Field(description="the version of this format")
    title: str = Field(min_length=1, description="what the scene shows")
    units: Literal["mm", "cm", "m", "in", "ft"] | None = Field(
        None, description="of lengths without a unit of their own; without it each length has one"
    )
    pose: str = Field("upright", description="'upright' or 'leaned back 70 deg'")
    about: str = Field("", description="how it came about")
    record: Record | None = Field(None, description="what this is a record of, and the evidence for it")
    doubt: DoubtEntry | None = Field(None, description="how sure all values are that say nothing else")
    clearance: Clearance = Field(
        default_factory=lambda: Clearance.model_validate({}), description="least free distances"
    )
    practice: Practice = Field(
        default_factory=lambda: Practice.model_validate({}), description="the workshop's settings"
    )
    zero: dict[str, Zero] = Field(default_factory=dict, description="marks from which positions are taped")
    tubing: dict[str, Tubing] = Field(default_factory=dict, description="kinds of tube")
    part: dict[str, Part] = Field(default_factory=dict, description="what stands in the case")
    passage: dict[str, PassagePart] = Field(
        default_factory=dict, description="openings and gaps that no board of the scene has"
    )
    stages: tuple[Stage, ...] = Field((), description="stages of the work, in order")
    wiring: str | None = Field(None, description="a CSV file with more tubes")
    tubes: tuple[TubeEntry, ...] = Field((), description="the tubes, one by one or in runs")
    expect: tuple[Expected, ...] = Field(
        (), description="in an example: the findings that it is made to show"
    )
