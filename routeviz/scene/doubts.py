"""How sure is a value? What may be said of it, beside it or for a whole part at once.

Where in a scene this stands, and which saying counts for which value, is found in doubted.py.
"""

from dataclasses import dataclass
from typing import Any, Literal

from pydantic import Field

from routeviz.scene.quantities import Angle, AtLeastZero, Entry, Number
from routeviz.scene.statements import Day, Names, OneLine, Text

ABOUT = """\
doubt: how sure a value is, and how you know it.

A number, length or angle may stand alone, as always, or after `is` in a table that says more of it:

    [part.shelf]
    kind  = "box"
    at    = { right = 0, back = 0, up = { is = 400, spread = 5 } }
    size  = { wide = 600, deep = 300, high = { is = 19, status = "inferred", why = "fits the groove" } }
    doubt = { status = "measured", with = "tape", by = "A. Finder", on = 2026-05-14 }

    [doubt]
    status = "documented"
    source = "drawing 7"

status     measured, documented (found on paper), inferred (follows from something else), analogous (taken
           from a like instrument), assumed (nothing to go by), designed (yours to choose)
spread     how far off the value may be, either way
with       what it was measured with; where [record.tools] names tools, one of these
by, on     who (a name or a list), and when
source     where it was found
why        the reasoning
recorded   what the old source says, in its own unit, as "3/4 in" or "4 Zoll"; beside `is` alone. Where it is
           a length that routeviz can read, it must be the same length

`doubt` speaks for all values of a part, opening, passage, zero, tubing or tube, [doubt] for all of these in
the scene, but not for the settings in [clearance] and [practice]. The nearest counts, statement by statement;
of values of another status only `by` and `on` are taken over. What a model says has the model's source, and
no status but one that is told of its part.

No check, length or plan changes by it: a value counts as it is written. The spread of the whole survey, which
the checks do count, is `survey` in [clearance].

Views show it. A thing is drawn as its value that is least sure: inferred and analogous pale with dashed
edges, assumed dotted and seen through, designed with dashes and dots.
"""

Status = Literal["measured", "documented", "inferred", "analogous", "assumed", "designed"]
LEAST_SURE_FIRST: tuple[Status, ...] = (
    "assumed",
    "analogous",
    "inferred",
    "designed",
    "documented",
    "measured",
)


class Sureness(Entry):
    """What may be said of one value or of many."""

    status: Status | None = Field(None, description="how the value is known")
    tool: OneLine | None = Field(None, alias="with", description="measured with; named in [record.tools]")
    by: Names | None = Field(None, description="who measured or judged: one name, or a list")
    on: Day | None = Field(None, description="when")
    source: Text | None = Field(None, description="where it was found: a drawing, a list, a like instrument")
    why: Text | None = Field(None, description="the reasoning")


class DoubtEntry(Sureness):
    """How sure the values of a part, opening, passage, zero, tubing, tube or scene are."""

    spread_mm: AtLeastZero | None = Field(
        None, alias="spread", description="how far off they may be, either way"
    )


class LengthBeside(Sureness):
    """What may stand beside a length after ``is``."""

    spread_mm: AtLeastZero | None = Field(
        None, alias="spread", description="how far off it may be, either way"
    )
    recorded: Text | None = Field(None, description="as the old source writes it, in its own unit")


class AngleBeside(Sureness):
    """What may stand beside an angle after ``is``."""

    spread_deg: Angle | None = Field(
        None, alias="spread", ge=0, description="how far off it may be, either way"
    )
    recorded: Text | None = Field(None, description="as the old source writes it, in its own unit")


class NumberBeside(Sureness):
    """What may stand beside another number after ``is``."""

    spread: Number | None = Field(None, ge=0, description="how far off it may be, either way")
    recorded: Text | None = Field(None, description="as the old source writes it, in its own unit")


BESIDE: dict[str, type[Sureness]] = {"length": LengthBeside, "angle": AngleBeside, "number": NumberBeside}


@dataclass(frozen=True, slots=True, kw_only=True)
class Doubt:
    """How sure a value is; None where nobody said.

    Parameters
    ----------
    status : str or None
        One of ``Status``.
    spread_mm, spread_deg, spread : float or None
        How far off a length, an angle or another number may be, either way.
    tool : str or None
        What it was measured with.
    by, on : str or None
        Who, names joined by commas; when, as ISO 8601.
    source, why : str or None
        Where it was found; the reasoning.
    recorded : str or None
        As the old source writes it.
    """

    status: Status | None = None
    spread_mm: float | None = None
    spread_deg: float | None = None
    spread: float | None = None
    tool: str | None = None
    by: str | None = None
    on: str | None = None
    source: str | None = None
    why: str | None = None
    recorded: str | None = None


def doubt_in(entry: Sureness) -> Doubt:
    """Return what a table says, as a value."""
    said: dict[str, Any] = {name: getattr(entry, name) for name in type(entry).model_fields}
    return Doubt(**said | {"by": ", ".join(said["by"]) if said["by"] else None})
