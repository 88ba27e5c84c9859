"""A plan as it lies beside its scene, read apart: the tubes of the scene as they are planned or drawn."""

from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from verifier.lays import Laid, tubing
from verifier.parts import Case
from verifier.places import plan_of, without_place
from verifier.scenes import NEAR
from verifier.tubes import centreline
from verifier.wiring import Asked, asked_for


@dataclass(frozen=True)
class Way:
    """A tube of a lay: where its ends belong, corners, radii at the inner ones, passages named."""

    name: str
    kind: str
    tips: tuple[np.ndarray | None, np.ndarray | None]
    corners: np.ndarray
    radii: np.ndarray
    through: tuple[str, ...]
    is_planned: bool
    laid: Laid


@dataclass(frozen=True)
class Lay:
    """All tubes with a way; names of those without one; of these, those that the plan says it has no way for.

    A tube that nobody can lay, for want of a place for an end or because it is hidden, is in none of them.
    ``unread``: tubes that are drawn in a form that this reader does not know.
    """

    ways: list[Way]
    without: list[str]
    given_up: list[str]
    unread: list[str]


def lay_of(whole: Case, scene: Path, plan: dict[str, Any] | None = None) -> Lay:
    """The tubes of a scene by its plan, which is read from beside it unless it is given; else as drawn."""
    plan = plan_of(scene) if plan is None else plan
    waiting = [f"{name} {i}" for name in without_place(whole.scene) for i in (1, 2, 3)]
    planned = {tube["name"]: tube for tube in plan.get("tubes", [])}
    assert len(planned) == len(plan.get("tubes", [])), "the plan has a tube twice"
    ways, without, unread = [], [], []
    tubes = asked_for(whole.scene, scene.parent)
    for asked in tubes:
        entry = asked.entry
        if "measured" in entry or any("radius" not in corner for corner in entry.get("corners", [])):
            unread.append(asked.name)
        elif "corners" in entry:
            ways.append(_drawn(whole, asked))
        elif any(end in waiting for end in asked.ends):
            without.append(asked.name)
        elif asked.name in planned:
            ways.append(_planned(whole, asked, planned[asked.name]))
        elif all(tip is not None for tip in _tips(whole, asked)) and "hidden" not in entry:
            without.append(asked.name)
    unknown = sorted(planned.keys() - {asked.name for asked in tubes})
    assert not unknown, f"the plan has tubes that the scene does not ask for: {unknown}"
    given_up = [name for no_way in plan.get("no_ways", []) for name in no_way["tubes"]]
    return Lay(ways, without, given_up, unread)


def _planned(whole: Case, asked: Asked, tube: dict[str, Any]) -> Way:
    corners = np.array([[corner[side] for side in NEAR] for corner in tube["corners"]], float)
    radii = np.array([corner.get("radius", 0.0) for corner in tube["corners"][1:-1]], float)
    ties = tuple((float(tie["along"]), tie["to"]) for tie in tube["ties"])
    return _way(whole, asked, corners, radii, tuple(tube["through"]), ties, True)


def _drawn(whole: Case, asked: Asked) -> Way:
    entry, zero = asked.entry, asked.entry.get("zero", "case")
    step = np.zeros(3)
    if "step" in entry:
        step = whole.scene.point({**entry["step"], "zero": "case"}, "case")
    inner = [whole.scene.point(corner, zero) + asked.index * step for corner in entry["corners"]]
    ends = _tips(whole, asked)
    radii = np.array([whole.scene.mm(corner["radius"]) for corner in entry["corners"]])
    ties = tuple((whole.scene.mm(tie["along"]), tie["to"]) for tie in entry.get("ties", []))
    return _way(
        whole,
        asked,
        np.array([ends[0], *inner, ends[1]]),
        radii,
        tuple(entry.get("through", ())),
        ties,
        False,
    )


def _tips(whole: Case, asked: Asked) -> tuple[Any, Any]:
    """Where a tube's ends belong: at its nipples, or where the scene says; None where it does not."""
    found = []
    for nipple, key in zip(asked.ends, ("starts_at", "ends_at"), strict=True):
        if nipple is not None:
            found.append(whole.nipples[nipple].tip)
        elif key in asked.entry:
            found.append(whole.scene.point(asked.entry[key], asked.entry.get("zero", "case")))
        else:
            found.append(None)
    return found[0], found[1]


def _way(
    whole: Case,
    asked: Asked,
    corners: np.ndarray,
    radii: np.ndarray,
    through: tuple[str, ...],
    ties: tuple[tuple[float, str], ...],
    is_planned: bool,
) -> Way:
    kind = asked.entry["tubing"]
    bore, outside = tubing(whole, kind)
    laid = Laid(centreline(corners, radii), bore, outside, asked.ends, ties)
    return Way(asked.name, kind, _tips(whole, asked), corners, radii, through, is_planned, laid)
