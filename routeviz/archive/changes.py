"""What is a change between two states of an instrument? A value with what it is about, how large, in words.

How changes are found is in case_changes.py, tube_changes.py and finding_changes.py; all together, in
differences.py.
"""

from dataclasses import dataclass
from typing import Literal

from routeviz.checks.findings import SLACK_MM, Severity
from routeviz.geometry.arrays import Floats

Kind = Literal["finding", "tube", "part", "nipple", "passage", "tubing", "setting"]
OfFinding = Literal["broken", "mended", "worse", "milder"]
OfThing = Literal["moved", "turned", "reshaped", "resized", "removed", "added", "altered"]
What = OfFinding | OfThing
SAME_MM = SLACK_MM  # lengths that are this near are the same: nothing is measured more closely
SAME_DEG = 0.05


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """One thing that is not as it was.

    Parameters
    ----------
    kind : str
        What it is about.
    name : str
        What that is called, in the later state if it is there.
    what : str
        What happened to it.
    value : str
        Of what is altered, which of its values: ``length``, ``passages``, ``clearance.moving``; of a finding
        its rule; empty where the whole is meant.
    before, after : str
        What was and what is, in words; empty where it was not or is not.
    low, high : float or None
        By how much: bounds where something lies elsewhere, equal where it is a plain difference, later less
        earlier.
    unit : str
        Of these: ``mm``, ``deg``, ``kPa``, ``percent``, ``tubes`` and so on; empty where there are none.
    says : str
        All of it as the end of a sentence that begins with the name.
    part : str
        Of a nipple or a single key, the part that it belongs to.
    other : str
        Of a finding, what else it is about.
    severity : str or None
        Of a finding, as it is now; as it was where it is mended.
    on : str or None
        Of a tube that lies elsewhere, on which of its two courses ``along_mm`` is: ``before`` or ``after``.
    along_mm : float or None
        Where on it they lie farthest apart.
    point : array, shape (3,), or None
        The same place.
    """

    kind: Kind
    name: str
    what: What
    says: str
    value: str = ""
    before: str = ""
    after: str = ""
    low: float | None = None
    high: float | None = None
    unit: str = ""
    part: str = ""
    other: str = ""
    severity: Severity | None = None
    on: Literal["before", "after"] | None = None
    along_mm: float | None = None
    point: Floats | None = None


def altered(kind: Kind, name: str, value: str, before: str, after: str) -> Change:
    """Return that a value of something is another one; an empty text says that there is none."""
    was, now = before or "nothing", after or "nothing"
    return Change(
        kind=kind,
        name=name,
        what="altered",
        value=value,
        before=before,
        after=after,
        says=f"{value}: {now}, was {was}",
    )


def number_altered(
    kind: Kind, name: str, value: str, numbers: tuple[float | None, float | None], unit: str
) -> Change:
    """Return that a number of something is another one.

    Parameters
    ----------
    kind, name, value : str
        As in ``Change``.
    numbers : tuple of float or None
        Before and after.
    unit : str
        Of both.

    Returns
    -------
    change : Change
        With the difference, where both are known.
    """
    before, after = numbers
    by = None if before is None or after is None else after - before
    words = ["nothing" if one is None else f"{one:.6g} {unit}".rstrip() for one in numbers]
    return Change(
        kind=kind,
        name=name,
        what="altered",
        value=value,
        before="" if before is None else words[0],
        after="" if after is None else words[1],
        low=by,
        high=by,
        unit=unit,
        says=f"{value}: {words[1]}, was {words[0]}",
    )
