"""What to look out for while a tube is laid: in plain words, with places that a tape can follow."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from routeviz.lay import Lay
from routeviz.scene.lengths import as_mm
from routeviz.tubes.kinking import LeastBend
from routeviz.tubes.routes import Tube
from routeviz.views.work_ends import FirstEnd, end_name

NEAR_LEAST = 1.1  # of the least bend: a bend up to so wide is told
MOST_TOLD = 3  # bends of one tube, or ties to one thing, that are told one by one


@dataclass(frozen=True, slots=True, kw_only=True)
class From:
    """Where along a tube something is, counted from the end that goes on first."""

    tube: Tube
    length_mm: float
    first: FirstEnd

    def along(self, along_mm: float) -> float:
        """Return how far from the first end a place is, given how far along the tube it is."""
        return along_mm if self.first.at_start else self.length_mm - along_mm

    def says(self, alongs_mm: Sequence[float]) -> str:
        """Return places in words: ``at 110, 310 and 500 mm from stack 3``."""
        numbers = [f"{far:.0f}" for far in sorted(self.along(along) for along in alongs_mm)]
        told = numbers[0] if len(numbers) == 1 else f"{', '.join(numbers[:-1])} and {numbers[-1]}"
        end = self.tube.start if self.first.at_start else self.tube.end
        return f"at {told} mm from {end_name(end)}"


def notes_on(lay: Lay, index: int, place: From) -> list[str]:
    """Return what to look out for on a tube that is laid, whatever the order of the work.

    Parameters
    ----------
    lay : Lay
        As checked.
    index : int
        The tube.
    place : From
        Where things are said to be.

    Returns
    -------
    notes : list of str
        Findings, tight bends, ties, a loose end, the scene's own remark.
    """
    tube = place.tube
    return [
        *_findings(lay, tube),
        *_tight_bends(tube, lay.measured.least_bends.get(tube.kind.name), place),
        *_ties(tube, place),
        *_loose(tube),
        *([tube.note] if tube.note else []),
    ]


def notes_on_left(lay: Lay, index: int) -> list[str]:
    """Return what there is to say of a tube that is not laid: findings, what it waits for, a remark."""
    tube = lay.tubes[index]
    return [*_findings(lay, tube), *_loose(tube), *([tube.note] if tube.note else [])]


def _findings(lay: Lay, tube: Tube) -> list[str]:
    found = [
        f"{number} ({one.rule})"
        for number, one in enumerate(lay.findings, 1)
        if one.severity != "note" and tube.name in (one.tube, one.other, *one.tubes)
    ]
    return [f"see finding{'s' if len(found) > 1 else ''} {', '.join(found)}"] if found else []


def _tight_bends(tube: Tube, least: LeastBend | None, place: From) -> list[str]:
    """Return the bends that come near the least that the tubing takes, the tightest first."""
    if tube.curve is None or least is None or least.radius_mm is None or not math.isfinite(least.radius_mm):
        return []
    tight = np.nonzero(tube.curve.curvatures * NEAR_LEAST * least.radius_mm >= 1.0)[0]
    order = sorted(tight.tolist(), key=lambda k: (-tube.curve.curvatures[k] if tube.curve else 0.0, k))
    middles = tube.curve.begins[:-1] + 0.5 * tube.curve.lengths
    told = [
        f"bend {as_mm(1.0 / float(tube.curve.curvatures[k]), 0)} {place.says([float(middles[k])])}, "
        f"least {as_mm(least.radius_mm, 0)}"
        for k in order[:MOST_TOLD]
    ]
    left = len(order) - len(told)
    more = "bend" if left == 1 else "bends"
    return [*told, f"{left} more {more} near the least"] if left > 0 else told


def _ties(tube: Tube, place: From) -> list[str]:
    """Return the ties, those to one thing together."""
    by_thing: dict[str, list[float]] = {}
    for tie in tube.ties:
        by_thing.setdefault(tie.to, []).append(tie.along_mm)
    told = []
    for thing, alongs in by_thing.items():
        to = "into the bundle" if thing == "bundle" else f"to {thing}"
        if len(alongs) > MOST_TOLD:
            first = min(alongs, key=place.along)
            told.append(f"{len(alongs)} ties {to}, the first {place.says([first])}")
        else:
            told.append(f"tie{'s' if len(alongs) > 1 else ''} {place.says(alongs)} {to}")
    return told


def _loose(tube: Tube) -> list[str]:
    if "loose" not in (tube.start.state, tube.end.state):
        return []
    waits = f" for {tube.waits_for}" if tube.waits_for else ""
    spare = f", {as_mm(tube.spare_mm, 0)} to spare" if tube.spare_mm > 0 else ""
    return [f"its loose end waits{waits}{spare}"]
