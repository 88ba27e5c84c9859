"""A lay as a checker of its own sees it: tubes by corners and radii, against everything that can be read.

Corners and radii are taken as given: from a scene's ``corners`` with a ``radius`` each, or from whoever asks.
"""

from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from verifier.distances import NOTHING, Least, between, clearance
from verifier.parts import Case, Thing, case
from verifier.places import plan_of, settle
from verifier.scenes import read
from verifier.tubes import Centreline, centreline, cut


@dataclass(frozen=True)
class Laid:
    """A tube: its centreline, bore, outside diameter, nipples at its ends, ties (how far along, to what)."""

    line: Centreline
    bore: float
    outside: float
    ends: tuple[str | None, str | None]
    ties: tuple[tuple[float, str], ...] = ()


def case_of(path: Path, plan: dict[str, Any] | None = None) -> Case:
    """Read a scene file; tees without a place lie where the plan beside it says, or the one that is given."""
    scene = read(path)
    settle(scene, plan_of(path) if plan is None else plan)
    return case(scene)


def tubing(whole: Case, name: str) -> tuple[float, float]:
    """Bore and outside diameter of a kind of tube."""
    kind = whole.scene.tables["tubing"][name]
    bore = whole.scene.mm(kind["bore"])
    return bore, whole.scene.mm(kind["outside"]) if "outside" in kind else bore + 2 * whole.scene.mm(
        kind["wall"]
    )


def drawn(whole: Case, tube: dict[str, Any], start: str, end: str) -> Laid:
    """A tube of the scene from one nipple to another, each of its corners with a radius."""
    zero = tube.get("zero", "case")
    inner = [whole.scene.point(corner, zero) for corner in tube.get("corners", [])]
    radii = [whole.scene.mm(corner["radius"]) for corner in tube.get("corners", [])]
    rows = [whole.nipples[start].tip, *inner, whole.nipples[end].tip]
    bore, outside = tubing(whole, tube["tubing"])
    return Laid(centreline(np.array(rows), np.array(radii)), bore, outside, (start, end))


def by_name(whole: Case, name: str) -> Laid:
    """The scene's tube of that name, from nipple to nipple."""
    tube = next(t for t in whole.scene.tables["tubes"] if t.get("name") == name)
    return drawn(whole, tube, tube["from"], tube["to"])


def asked(whole: Case, thing: Thing) -> float:
    """The clearance that a thing asks for: that of what stands or moves, or its own if that is more."""
    if thing.kind == "keep_clear":
        return thing.clearance
    least = whole.scene.limit("moving", 3.0) if thing.motion else whole.scene.limit("fixed", 2.0)
    return max(least, thing.clearance)


def excused(whole: Case, tube: Laid, thing: Thing) -> list[tuple[float, float]]:
    """Where a tube need not keep off a thing: next to its nipple there, and under a tie to it.

    Next to a nipple that is one outside diameter, or the clearance asked for and half of that; a tie is 10
    wide, and one outside diameter more on both sides.
    """
    length = tube.line.length
    near = max(tube.outside, max(whole.scene.limit("fixed", 2.0), thing.clearance) + tube.outside / 2)
    found = []
    if tube.ends[0] and whole.nipples[tube.ends[0]].carrier == thing.name:
        found.append((0.0, near))
    if tube.ends[1] and whole.nipples[tube.ends[1]].carrier == thing.name:
        found.append((length - near, length))
    for along, to in tube.ties:
        if to in (thing.name, thing.part) and thing.motion is None:
            found.append((along - 5 - tube.outside, along + 5 + tube.outside))
    return sorted(found)


def free_lengths(whole: Case, tube: Laid, thing: Thing) -> list[Centreline]:
    """What of a tube must keep off a thing."""
    length = tube.line.length
    pieces, begin = [], 0.0
    for low, high in [*excused(whole, tube, thing), (length, length)]:
        if min(low, length) - begin > 1e-3:
            pieces.append(cut(tube.line, begin, min(low, length)))
        begin = max(begin, high)
    return pieces


def sleeves(whole: Case, tube: Laid) -> list[tuple[str | None, Centreline, float]]:
    """The ends of a tube over its nipples: who carries each, its axis, its stretched outside diameter.

    The wall's section stays what it was: outside'^2 - nipple^2 = outside^2 - bore^2.
    """
    found = []
    for name in tube.ends:
        if name is not None:
            nipple = whole.nipples[name]
            axis = np.array([nipple.tip, nipple.tip - nipple.over * nipple.direction])
            wider = (tube.outside**2 - tube.bore**2 + max(nipple.outside, tube.bore) ** 2) ** 0.5
            found.append((nipple.carrier, centreline(axis, np.zeros(0)), wider))
    return found


def tube_to_thing(whole: Case, tube: Laid, thing: Thing, up_to: float = np.inf) -> Least:
    """How near a tube, its sleeves included, comes to a thing."""
    found = [clearance(free, tube.outside, thing, up_to) for free in free_lengths(whole, tube, thing)]
    for carrier, axis, wider in sleeves(whole, tube):
        if carrier != thing.name:
            found.append(clearance(axis, wider, thing, up_to))
    return min(found, key=lambda least: least.distance, default=NOTHING)


def tube_to_tube(whole: Case, one: Laid, other: Laid, up_to: float = np.inf) -> Least:
    """How near two tubes come to each other, their sleeves included."""
    firsts = [(one.line, one.outside), *((axis, wide) for _, axis, wide in sleeves(whole, one))]
    seconds = [(other.line, other.outside), *((axis, wide) for _, axis, wide in sleeves(whole, other))]
    found = []
    for a, wide_a in firsts:
        for b, wide_b in seconds:
            if _boxes_apart(a, b) - (wide_a + wide_b) / 2 <= up_to:
                found.append(between(a, wide_a, b, wide_b, up_to))
    return min(found, key=lambda least: least.distance, default=NOTHING)


def needed_length(whole: Case, tube: Laid) -> float:
    """The length to cut: the centreline, and what goes over the nipples."""
    return tube.line.length + sum(whole.nipples[name].over for name in tube.ends if name is not None)


def _boxes_apart(a: Centreline, b: Centreline) -> float:
    gaps = np.maximum(
        a.points.min(axis=0) - b.points.max(axis=0), b.points.min(axis=0) - a.points.max(axis=0)
    )
    return float(np.linalg.norm(np.maximum(gaps, 0.0)))
