"""What a check has to say: a fault, a caution or a note, with its evidence.

The line between keeping a limit and breaking it stands here, once: see ``verdict``.
"""

from dataclasses import dataclass
from typing import Literal

from routeviz.geometry.arrays import Floats

Severity = Literal["fault", "caution", "note"]
SLACK_MM = 0.05  # width of a measured interval: what is within it of the limit keeps the limit


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """One thing to tell.

    Parameters
    ----------
    rule : str
        Its name, as in checking.py.
    severity : str
        ``fault`` (must be mended), ``caution`` or ``note``.
    tube : str or None
        The tube's name.
    other : str or None
        The other thing: a solid, another tube, a passage, a nipple.
    says : str
        The finding in one plain sentence, numbers included.
    remedy : str
        What to do.
    low, high : float or None
        The measured interval.
    limit : float or None
        What it is held against.
    unit : str
        ``mm``, ``tubes``, ``deg``, ``kPa``, ``percent`` or empty.
    point : array, shape (3,), or None
        Where.
    along_mm : float or None
        How far along the tube.
    travel : float or None
        Where in the other's travel, 0 to 1; None for what stands still.
    stage : str or None
        In which stage of the work.
    tubes : tuple of str
        Further tubes that it is about.
    """

    rule: str
    severity: Severity
    tube: str | None
    other: str | None
    says: str
    remedy: str
    low: float | None = None
    high: float | None = None
    limit: float | None = None
    unit: str = ""
    point: Floats | None = None
    along_mm: float | None = None
    travel: float | None = None
    stage: str | None = None
    tubes: tuple[str, ...] = ()


def verdict(low_mm: float, limit_mm: float, survey_mm: float = 0.0) -> Severity | None:
    """Return how a measured clearance stands against its limit, or None where it keeps it.

    Parameters
    ----------
    low_mm : float
        Lower end of the measured interval.
    limit_mm : float
        Least clearance.
    survey_mm : float
        How far off the tape may be; a fault is one even with this in its favour.

    Returns
    -------
    severity : str or None
        ``fault``, ``caution`` (a fault only if the tape was off), or None.
    """
    if low_mm >= limit_mm - SLACK_MM:
        return None
    return "fault" if low_mm + survey_mm < limit_mm - SLACK_MM else "caution"
