"""What may stand in a case: the kinds of part and the keys that each takes.

Where a part ends up in the case's frame is decided in cabinet/placing.py.
"""

from typing import Annotated, Literal

from pydantic import Field, field_validator

from routeviz.scene.doubts import DoubtEntry
from routeviz.scene.quantities import (
    CASE,
    AtLeastZero,
    Direction,
    Entry,
    Gap,
    Motion,
    Numbers,
    Position,
    PositiveLength,
    Repeat,
    Size,
    Turn,
    Whole,
)

NOTE_NAME = r"^[A-G][#b]?[0-9]$"


class Row(Entry):
    """A row of nipples, given by its taped ends; those between lie evenly, with room at the gaps."""

    holes: Numbers = Field(description="the numbers: '1..61 step 2', '5', '1, 3, 7..9'")
    first: Position = Field(description="the tip of the first nipple")
    last: Position | None = Field(
        None, description="the tip of the last one; needed for more than one number"
    )
    faces: Direction | None = Field(None, description="where the tubes leave; else the part's")
    outside_mm: PositiveLength | None = Field(None, alias="outside", description="else the part's")
    gaps: tuple[Gap, ...] = Field((), description="where the row is wider than elsewhere")


class OpeningSize(Entry):
    """Two of the three; the third is the board's thickness."""

    wide_mm: PositiveLength | None = Field(None, alias="wide", description="from left to right")
    deep_mm: PositiveLength | None = Field(None, alias="deep", description="from front to back")
    high_mm: PositiveLength | None = Field(None, alias="high", description="from bottom to top")


class Opening(Entry):
    """A hole through a board; it is also the passage 'BOARD NAME'. Straight sides, round, or an outline."""

    at: Position = Field(
        description="left, front, lower corner of a straight-sided hole; centre of a round one"
    )
    size: OpeningSize | None = Field(None, description="of one with straight sides")
    diameter_mm: PositiveLength | None = Field(None, alias="diameter", description="of a round one")
    outline: tuple[Position, ...] = Field((), description="corners in order, of any other, seen from at")
    most: Whole | None = Field(
        None, ge=0, description="what the fitter will put through, whatever geometry says"
    )
    doubt: DoubtEntry | None = Field(None, description="how sure all its values are")


class PartEntry(Entry):
    """What every part may say. Positions inside a part are seen from its ``at``."""

    model: str | None = Field(
        None, description="a model of routeviz, whose values hold where the scene is silent"
    )
    zero: str = Field(CASE, description="from which its positions count")
    at: Position | None = Field(
        default_factory=lambda: Position.model_validate({}), description="where it stands"
    )
    turned: tuple[Turn, ...] = Field((), description="turns about its place, one after the other")
    repeat: Repeat | None = Field(None, description="the same part again and again")
    motion: Motion | None = Field(None, description="how it moves; else it stands still")
    comes_out: Direction | None = Field(None, description="the way the part is taken out for service")
    clearance_mm: AtLeastZero | None = Field(
        None, alias="clearance", description="where it asks for more than [clearance]"
    )
    stage: str | None = Field(None, description="from which stage it is there")
    until: str | None = Field(None, description="the last stage in which it is there")
    look: Literal["wood", "metal", "felt", "rubber", "ivory"] = Field(
        "wood", description="what it looks like"
    )
    why: str | None = Field(None, description="why it is as it is")
    rows: tuple[Row, ...] = Field((), description="its nipples")
    faces: Direction | None = Field(None, description="where tubes leave its nipples")
    outside_mm: PositiveLength | None = Field(
        None, alias="outside", description="outside diameter of the nipples"
    )
    on_nipple_mm: PositiveLength | None = Field(
        None, alias="on_nipple", description="tube that goes over each nipple"
    )
    pitch_mm: PositiveLength | None = Field(
        None, alias="pitch", description="from one number to the next, to hold the tape against"
    )
    carried_by: str | None = Field(None, description="the part that carries the nipples; else this one")
    describes: str = Field("", description="what it is, in words")
    source: dict[str, str] = Field(default_factory=dict, description="where each value comes from")
    doubt: DoubtEntry | None = Field(None, description="how sure all its values are")

    @field_validator("turned", mode="before")
    @classmethod
    def _one_turn_is_a_list(cls, value: object) -> object:
        return [value] if isinstance(value, dict) else value


class BoxPart(PartEntry):
    """A box: left, front, lower corner and size."""

    kind: Literal["box"]
    size: Size = Field(description="how large it is")


class BoardPart(PartEntry):
    """A box with openings through its thinnest side; each opening is a passage."""

    kind: Literal["board"]
    size: Size = Field(description="how large it is")
    opening: dict[str, Opening] = Field(default_factory=dict, description="holes by name")


class BarPart(PartEntry):
    """A straight bar of rectangular section from ``at`` to ``to``, its middle line given."""

    kind: Literal["bar"]
    to: Position = Field(description="the other end of its middle line")
    wide_mm: PositiveLength = Field(alias="wide", description="level, across the bar")
    thick_mm: PositiveLength = Field(alias="thick", description="square to that")


class CylinderPart(PartEntry):
    """A round bar from ``at`` to ``to``."""

    kind: Literal["cylinder"]
    to: Position = Field(description="the other end of its middle line")
    diameter_mm: PositiveLength = Field(alias="diameter", description="across it")


class PrismPart(PartEntry):
    """A flat outline with thickness: the outline lies square to ``along`` and is thick that way."""

    kind: Literal["prism"]
    along: Literal["right", "back", "up"] = Field(description="square to the outline")
    outline: tuple[Position, ...] = Field(min_length=3, description="corners in order")
    thick_mm: PositiveLength = Field(alias="thick", description="along that way")


class MeshPart(PartEntry):
    """A part from a mesh file; the unit must be said, the file lies in the scene's folder."""

    kind: Literal["mesh"]
    file: str = Field(description="STL, OBJ, PLY or GLB")
    unit: Literal["mm", "cm", "m", "in", "ft"] = Field(description="of the file's numbers")


class KeepClearPart(PartEntry):
    """A box in which nothing may lie, and why."""

    kind: Literal["keep_clear"]
    size: Size = Field(description="how large it is")
    why: str = Field(description="what the room is for")


class NipplesPart(PartEntry):
    """Rows of nipples alone; what carries them is another part, or is left out."""

    kind: Literal["nipples"]


class JoinPart(PartEntry):
    """A tee or a coupler. Nipples 1 and 2 are the run's ends, 3 is the branch of a tee.

    Without ``at`` nobody says yet where it lies and which way it runs: `routeviz plan` finds a place for it.
    """

    kind: Literal["tee", "coupler"]
    at: Position | None = Field(
        None, description="where the lines of its nipples meet; left out, `routeviz plan` finds a place"
    )
    runs: Direction = Field("right", description="from nipple 1 to nipple 2")
    branches: Direction = Field("up", description="where the branch of a tee points")
    long_mm: PositiveLength | None = Field(
        None, alias="long", description="from tip to tip; left out, so long that its tubes keep apart"
    )
    outside_mm: PositiveLength = Field(alias="outside", description="outside diameter of its nipples")


class Lever(Entry):
    """The measures of a natural or a sharp, from its own front end."""

    long_mm: PositiveLength = Field(alias="long", description="from front to back")
    front_mm: PositiveLength = Field(
        alias="front", description="length of the wide head, or of the sharp's raised block"
    )
    balance_mm: PositiveLength = Field(alias="balance", description="from its front to the balance pin")
    thick_mm: PositiveLength = Field(alias="thick", description="height of the stick")
    stands_mm: AtLeastZero = Field(
        0.0, alias="stands", description="how far a sharp stands above the naturals"
    )
    dip_mm: PositiveLength = Field(alias="dip", description="how far its front goes down")


class KeyboardPart(PartEntry):
    """A keyboard: ``at`` is the left, front, lower corner of the lowest natural's stick, at rest."""

    kind: Literal["keyboard"]
    keys: Whole = Field(ge=1, le=128, description="how many")
    lowest: str = Field(pattern=NOTE_NAME, description="note name of key 1, as 'A0' or 'C2'")
    octave_mm: PositiveLength = Field(alias="octave", description="width of seven naturals")
    between_mm: AtLeastZero = Field(alias="between", description="free room between neighbours")
    sharps_back_mm: PositiveLength = Field(
        alias="sharps_back", description="from the naturals' fronts to the sharps'"
    )
    natural: Lever = Field(description="measures of the naturals")
    sharp: Lever = Field(description="measures of the sharps")
    dip_doubt_mm: AtLeastZero = Field(
        0.5, alias="dip_doubt", description="how much further a key may go down"
    )
    locked: Numbers | None = Field(None, description="keys that do not move: '1..4, 60'")
    absent: Numbers | None = Field(None, description="keys that are not there")
    gaps: tuple[Gap, ...] = Field((), description="where keys stand wider apart")


class PassagePart(Entry):
    """A free-standing passage: a flat outline that tubes go through, with nothing to be cut."""

    zero: str = Field(CASE, description="from which its positions count")
    at: Position = Field(description="left, front, lower corner, or the centre of a round one")
    size: OpeningSize | None = Field(None, description="of one with straight sides")
    diameter_mm: PositiveLength | None = Field(None, alias="diameter", description="of a round one")
    outline: tuple[Position, ...] = Field((), description="corners in order, of any other, seen from at")
    along: Literal["right", "back", "up"] = Field(description="the way through")
    thick_mm: AtLeastZero = Field(0.0, alias="thick", description="along the way through")
    most: Whole | None = Field(
        None, ge=0, description="what the fitter will put through, whatever geometry says"
    )
    doubt: DoubtEntry | None = Field(None, description="how sure all its values are")


Part = Annotated[
    BoxPart
    | BoardPart
    | BarPart
    | CylinderPart
    | PrismPart
    | MeshPart
    | KeepClearPart
    | NipplesPart
    | JoinPart
    | KeyboardPart,
    Field(discriminator="kind"),
]
