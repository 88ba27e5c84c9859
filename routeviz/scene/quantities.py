"""How one value of a scene is read: lengths, angles, directions, positions, sizes.

The exact arithmetic on lengths is in lengths.py; the parts made of these values are in parts.py.
"""

from typing import Annotated, Any, Literal

from pydantic import (
    AfterValidator,
    BaseModel,
    BeforeValidator,
    ConfigDict,
    Discriminator,
    Field,
    Tag,
    ValidationInfo,
    WithJsonSchema,
    model_validator,
)
from pydantic_core import PydanticCustomError

from routeviz.scene.lengths import LengthError, angle_deg, length_mm
from routeviz.scene.ranges import HIGHEST, RangeError, numbers_in

CASE = "case"  # the zero that is always there
NEAR_AND_FAR = (("right", "right_end"), ("back", "back_end"), ("up", "top_end"))  # the two ways to tape each
WORDS = {
    "right": (1, 0, 0),
    "left": (-1, 0, 0),
    "back": (0, 1, 0),
    "front": (0, -1, 0),
    "up": (0, 0, 1),
    "down": (0, 0, -1),
}


class Entry(BaseModel):
    """A table of the scene file: frozen, and no key that is not described."""

    model_config = ConfigDict(frozen=True, extra="forbid", populate_by_name=False, allow_inf_nan=False)


def refusal(found: str, allowed: str, remedy: str) -> PydanticCustomError:
    """Return the refusal of a value, in the three parts of a problem."""
    return PydanticCustomError("refused", "{found}", {"found": found, "allowed": allowed, "remedy": remedy})


BESIDE_VALUES = ("is", "recorded")  # what stands with a single value alone


def without_value(table: dict[str, Any]) -> tuple[str, str, str]:
    """Return found, allowed and remedy for a table that stands where a value stands and gives none."""
    if "is" in table:
        found, remedy = "a table with 'is' inside another", "write the value itself after 'is'"
    else:
        found, remedy = (
            "a table without 'is'",
            "write is = ... and the value; what is said of it stands beside it",
        )
    return found, '{ is = the value, status = "measured", ... }', remedy


BARE = "a number without a unit"  # refused by the scene's head as a whole, not number by number


def _length(value: Any, info: ValidationInfo) -> float:
    _check_value(value)
    units = (info.context or {}).get("units")
    try:
        return length_mm(value, units, negative=True)
    except LengthError as error:
        raise refusal(error.found, error.allowed, error.remedy) from None


def _positive_length(value: Any, info: ValidationInfo) -> float:
    length = _length(value, info)
    if length <= 0:
        raise refusal(f"{value!r} is not more than zero", "a length above zero", "correct the number")
    return length


def _size_length(value: Any, info: ValidationInfo) -> float:
    length = _length(value, info)
    if length < 0:
        raise refusal(f"{value!r} is below zero", "zero or more", "correct the number")
    return length


def _angle(value: Any) -> float:
    _check_value(value)
    try:
        return angle_deg(value)
    except LengthError as error:
        raise refusal(error.found, error.allowed, error.remedy) from None


def _check_value(value: Any) -> None:
    if isinstance(value, dict):
        raise refusal(*without_value(value))


_LENGTH_SCHEMA = WithJsonSchema(
    {
        "type": ["number", "string"],
        "description": "a number in the scene's units, or text with its own unit: '5/32 in'",
    }
)
_ANGLE_SCHEMA = WithJsonSchema({"type": ["number", "string"], "description": "degrees: 70 or '70 deg'"})
Length = Annotated[float, BeforeValidator(_length), _LENGTH_SCHEMA]
PositiveLength = Annotated[float, BeforeValidator(_positive_length), _LENGTH_SCHEMA]
AtLeastZero = Annotated[float, BeforeValidator(_size_length), _LENGTH_SCHEMA]
Angle = Annotated[float, BeforeValidator(_angle), _ANGLE_SCHEMA]
Number = Annotated[float, Field(strict=True)]  # text is no number where no unit is expected
Whole = Annotated[int, Field(strict=True)]
Word = Literal["right", "left", "back", "front", "up", "down"]


def _numbers(text: str) -> str:
    try:
        numbers_in(text)
    except RangeError as error:
        raise refusal(error.found, error.allowed, error.remedy) from None
    return text


Numbers = Annotated[str, AfterValidator(_numbers), Field(description="such as '1..61 step 2, 64'")]


class Position(Entry):
    """A point, taped from a zero: to the right, to the back, upwards; or from the zero's far ends."""

    right_mm: Length | None = Field(None, alias="right", description="to the right")
    back_mm: Length | None = Field(None, alias="back", description="to the back, away from the player")
    up_mm: Length | None = Field(None, alias="up", description="upwards")
    right_end_mm: Length | None = Field(
        None, alias="right_end", description="from the zero's right end, leftwards"
    )
    back_end_mm: Length | None = Field(
        None, alias="back_end", description="from the zero's back end, forwards"
    )
    top_end_mm: Length | None = Field(None, alias="top_end", description="from the zero's top end, downwards")
    zero: str | None = Field(None, description="another zero than that of the part or tube")

    @model_validator(mode="after")
    def _said_once(self) -> "Position":
        for one, other in NEAR_AND_FAR:
            if getattr(self, f"{one}_mm") is not None and getattr(self, f"{other}_mm") is not None:
                raise refusal(f"both {one} and {other}", f"{one} or {other}", "keep the one that was taped")
        return self


class Size(Entry):
    """How large a box is, along the player's right, away from the player, and upwards."""

    wide_mm: PositiveLength = Field(alias="wide", description="from left to right")
    deep_mm: PositiveLength = Field(alias="deep", description="from front to back")
    high_mm: PositiveLength = Field(alias="high", description="from bottom to top")


class Vector(Entry):
    """A direction that no single word names; its length does not matter."""

    right: Number = Field(0.0, description="its part to the right")
    back: Number = Field(0.0, description="its part to the back")
    up: Number = Field(0.0, description="its part upwards")

    @model_validator(mode="after")
    def _has_length(self) -> "Vector":
        if not any((self.right, self.back, self.up)):
            raise refusal(
                "all of right, back, up are zero", "at least one of them not zero", "give the direction"
            )
        return self


def _word_or_vector(value: Any) -> str:
    return "<vector>" if isinstance(value, dict | Vector) else "<word>"


Direction = Annotated[
    Annotated[Word, Tag("<word>")] | Annotated[Vector, Tag("<vector>")], Discriminator(_word_or_vector)
]


class Turn(Entry):
    """A turn about an axis through the part's ``at``; positive is right-handed about the axis."""

    about: Word = Field(description="the axis")
    by_deg: Angle = Field(alias="by", description="how far")


class Gap(Entry):
    """Extra room in a row, after a number."""

    after: Whole = Field(ge=1, le=HIGHEST, description="the number before it")
    wide_mm: PositiveLength = Field(
        alias="wide", description="how much wider it is there than between others"
    )


class Repeat(Entry):
    """The same part again and again: PART 1, PART 2 and so on, each a step further."""

    count: Whole = Field(ge=1, le=500, description="how many there are")
    step: Position = Field(description="from each to the next")


class Swing(Entry):
    """A hinge: the part turns about an axis through ``at``; positive is right-handed about the axis."""

    turns_about: Direction = Field(description="the axis of the hinge")
    at: Position = Field(
        default_factory=lambda: Position.model_validate({}),
        description="a point of the axis, seen from the part's own place",
    )
    travel_deg: Angle = Field(alias="travel", description="from rest to full travel, in degrees")
    doubt_deg: Angle = Field(0.0, alias="doubt", description="how much further it may turn")


class Slide(Entry):
    """A straight movement."""

    slides: Direction = Field(description="which way, from rest")
    travel_mm: PositiveLength = Field(alias="travel", description="from rest to full travel")
    doubt_mm: AtLeastZero = Field(0.0, alias="doubt", description="how much further it may go")


def _swing_or_slide(value: Any) -> str | None:
    if isinstance(value, Swing) or (isinstance(value, dict) and "turns_about" in value):
        return "<swing>"
    if isinstance(value, Slide) or (isinstance(value, dict) and "slides" in value):
        return "<slide>"
    return None


Motion = Annotated[
    Annotated[Swing, Tag("<swing>")] | Annotated[Slide, Tag("<slide>")],
    Discriminator(_swing_or_slide),
]
