"""How sheets are to be made: paper, units, what is added to lengths, from where the worker looks.

Every default says where it comes from; what is asked for on the command line is read here, all faults at
once.
"""

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Literal, TypeVar

from routeviz.errors import Refusal, RoutevizError
from routeviz.scene.description import Scene
from routeviz.scene.lengths import length_mm
from routeviz.scene.spelling import likeliest

PAPERS = ("A4", "Letter")
SIDES = ("front", "back", "left", "right", "leaned")
MOST_OVER_MM = 100.0  # no nipple of any tubing is longer
MOST_TRIM_MM = 1000.0
MOST_PERCENT = 100.0
LEAST_STEP_MM = 5.0  # less cannot be told apart at a glance

TRADE = "mmdigest.com 2004.12.20.08 and 2004.12.21.13"
SOURCES = {
    "over_nipple_mm": "what goes over each nipple: as the scene says at the part or in [practice] on_nipple; "
    "where it says nothing 11 mm (memory, medium-low: 3/8 to 1/2 in)",
    "trim_mm": "trim: none unless asked for; fitters cut in place (common practice, no source)",
    "step_mm": "loose ends that wait for one unit grow by 20 mm each, to be told apart (common practice, "
    "no source)",
    "error_percent": f"10 % for error ({TRADE})",
    "waste_percent": f"10 % for waste ({TRADE})",
}

Paper = Literal["A4", "Letter"]
Unit = Literal["mm", "in"]
Value = TypeVar("Value")


@dataclass(frozen=True, slots=True, kw_only=True)
class Settings:
    """How sheets are made; see ``SOURCES`` for where the defaults come from.

    Parameters
    ----------
    paper : str
        ``A4`` or ``Letter``.
    first_unit : str
        ``mm`` or ``in``: which column of a length comes first on paper.
    worker : str
        One of ``SIDES``: where the worker stands; ``leaned`` looks down on the case as it lies on its back.
    over_nipple_mm : float or None
        What goes over each nipple, in place of what the scene says; None leaves that.
    trim_mm : float
        Added to each tube, for those who cut before they lay.
    step_mm : float
        By how much each loose end that waits for a unit is longer than the one before it.
    error_percent, waste_percent : float
        What is bought beyond the sum of the lengths.
    """

    paper: Paper = "A4"
    first_unit: Unit = "mm"
    worker: str = "front"
    over_nipple_mm: float | None = None
    trim_mm: float = 0.0
    step_mm: float = 20.0
    error_percent: float = 10.0
    waste_percent: float = 10.0

    @property
    def allowance_percent(self) -> float:
        """Return what is bought beyond the sum: error and waste are added, as the trade does it."""
        return self.error_percent + self.waste_percent

    @property
    def side(self) -> str:
        """Return from which side of the case the worker looks; one on its back is seen at its front."""
        return "front" if self.worker == "leaned" else self.worker


class SettingsError(RoutevizError):
    """What was asked for cannot be used; carries every refusal with the option's name."""

    def __init__(self, refusals: tuple[tuple[str, Refusal], ...]) -> None:
        self.refusals = refusals
        super().__init__("\n".join(f"{option}: {refusal}" for option, refusal in refusals))


def settings_of(asked: Mapping[str, str], scene: Scene, first_unit: Unit = "mm") -> Settings:
    """Return the settings that a person asks for; what is not asked for stays at its default.

    Parameters
    ----------
    asked : mapping
        Text by option, a key of ``READERS``: ``{"--trim": "1/2 in", "--worker": "back"}``.
    scene : Scene
        Whose sheets they are.
    first_unit : str
        Which column of a length comes first on paper.

    Returns
    -------
    settings : Settings
        Within their limits.

    Raises
    ------
    SettingsError
        With everything that is wrong.
    """
    values: dict[str, object] = {"first_unit": first_unit}
    refusals: list[tuple[str, Refusal]] = []
    for option, text in asked.items():
        name, read = READERS[option]
        try:
            values[name] = read(text)
        except Refusal as refusal:
            refusals.append((option, refusal))
    if values.get("worker") == "leaned" and scene.pose == "upright":
        refusals.append(("--worker", _not_leaned()))
    if refusals:
        raise SettingsError(tuple(refusals))
    return Settings(**values)  # type: ignore[arg-type]


def _not_leaned() -> Refusal:
    return Refusal(
        found="leaned, and the scene's case stands upright",
        allowed="leaned where the scene says so: things hang another way then",
        remedy='write pose = "leaned back 70 deg" in the scene, or choose front, back, left or right',
    )


def _one_of(*known: str) -> Callable[[str], str]:
    def read(text: str) -> str:
        found = next((one for one in known if one.casefold() == text.strip().casefold()), None)
        if found is None:
            meant = likeliest(text[:40], known)
            remedy = f"did you mean {meant}?" if meant else "choose one of these"
            raise Refusal(found=repr(text[:40]), allowed=", ".join(known), remedy=remedy)
        return found

    return read


def _length(least_mm: float, most_mm: float) -> Callable[[str], float]:
    def read(text: str) -> float:
        mm = length_mm(text, None)
        if not least_mm <= mm <= most_mm:
            allowed = f"{least_mm:g} to {most_mm:g} mm"
            raise Refusal(found=repr(text), allowed=allowed, remedy="correct the number or the unit")
        return mm

    return read


def _percent(text: str) -> float:
    try:
        percent = float(text.strip().removesuffix("%"))
    except ValueError:
        percent = math.nan
    if not 0 <= percent <= MOST_PERCENT:
        allowed = f"a number from 0 to {MOST_PERCENT:g}, in percent"
        raise Refusal(found=repr(text[:40]), allowed=allowed, remedy='write it such as "10"')
    return percent


READERS: Mapping[str, tuple[str, Callable[[str], object]]] = {
    "--paper": ("paper", _one_of(*PAPERS)),
    "--worker": ("worker", _one_of(*SIDES)),
    "--over-nipple": ("over_nipple_mm", _length(1.0, MOST_OVER_MM)),
    "--trim": ("trim_mm", _length(0.0, MOST_TRIM_MM)),
    "--step": ("step_mm", _length(LEAST_STEP_MM, MOST_TRIM_MM)),
    "--error": ("error_percent", _percent),
    "--waste": ("waste_percent", _percent),
}
