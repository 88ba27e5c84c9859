"""What may a plan file say? Routes, ties, runs, reasons, places of tees; and its JSON Schema.

How a plan is written and read is in plan_file.py; what a plan is, in plans.py.
"""

from typing import Annotated, Any, Literal

from pydantic import Field

from routeviz.scene.description import MOST_POINTS
from routeviz.scene.quantities import Entry, Number, Word
from routeviz.scene.schema import DIALECT
from routeviz.scene.wiring import MOST_WIRES

FORMAT = 1
FARTHEST_MM = 1e5  # beyond any instrument, and a micrometre is still told apart
LONGEST = 10_000  # letters of a text; names of 2,000 tubes in a row have fewer where they count on

Text = Annotated[str, Field(strict=True, max_length=LONGEST)]
Place = Annotated[Number, Field(ge=-FARTHEST_MM, le=FARTHEST_MM)]
Span = Annotated[Number, Field(ge=0, le=FARTHEST_MM)]
Names = Annotated[tuple[Text, ...], Field(max_length=MOST_WIRES)]


class PlanPoint(Entry):
    """A point in the case's frame, millimetres."""

    right: Place
    back: Place
    up: Place


class PlanCorner(PlanPoint):
    """A corner of a tube's route; at the ends, and where it goes straight on, there is no radius."""

    radius: Span | None = Field(None, description="to the centreline")


class PlanTie(Entry):
    """What holds a tube between its ends: how far along it, and to what."""

    along: Span = Field(description="from the tube's start, on the centreline")
    to: Text = Field(description="a part, or 'bundle' for tube to tube")


class PlanTube(Entry):
    """The route of one tube."""

    name: Text
    through: Names = Field(description="passages in order")
    corners: tuple[PlanCorner, ...] = Field(min_length=2, max_length=MOST_POINTS)
    ties: tuple[PlanTie, ...] = Field(max_length=MOST_POINTS)


class PlanRun(Entry):
    """Tubes that go the same way, one after the other."""

    says: Text
    through: Names
    tubes: Names


class PlanPlace(Entry):
    """Where a tee or a coupler lies to which the scene gives no place, and which way it runs."""

    name: Text
    at: PlanPoint = Field(description="where the lines of its nipples meet")
    runs: Word = Field(description="from nipple 1 to nipple 2")
    branches: Word | None = Field(description="where the branch of a tee points; null for a coupler")


class PlanNoWay(Entry):
    """Why tubes could not be laid, or why there is no place for a tee or coupler."""

    tubes: Names
    passage: Text | None
    point: PlanPoint | None
    cause: Text
    frees: Text
    wanted: Number | None
    there: Number | None
    unit: Text
    part: Text | None = Field(None, description="the tee or coupler for which there is no place")


class PlanFile(Entry):
    """Routes that were found for a scene's tubes, and places for tees; nothing in it is taken for proved."""

    format: Literal[1]
    made_by: Text
    inputs: Text = Field(description="hash of all that it was made from")
    runs: tuple[PlanRun, ...] = Field(max_length=MOST_WIRES)
    no_ways: tuple[PlanNoWay, ...] = Field(max_length=MOST_WIRES)
    places: tuple[PlanPlace, ...] = Field(
        (), max_length=MOST_WIRES, description="left out where every tee and coupler has one in the scene"
    )
    tubes: tuple[PlanTube, ...] = Field(max_length=MOST_WIRES)


def plan_schema() -> dict[str, Any]:
    """Return the JSON Schema of a plan file, draft 2020-12; lengths are millimetres."""
    return {"$schema": DIALECT, **PlanFile.model_json_schema(), "title": "A plan"}
