"""Tees and couplers: a short body between two or three nipples, so that tubes can be joined anywhere.

Where one lies, and which way it runs, is taped, or found by the planner: then a plan says it.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from routeviz.cabinet.messages import Where
from routeviz.cabinet.nipples import Nipple, sleeve_mm
from routeviz.cabinet.standing import Standing
from routeviz.geometry.arrays import Floats, frozen
from routeviz.geometry.blocks import cylinder
from routeviz.geometry.shapes import Pieces, united
from routeviz.scene.parts import JoinPart
from routeviz.scene.quantities import Position
from routeviz.scene.reading import Reading

SQUAREST = (
    0.9  # cosine up to which a branch counts as leaving the run: nearer than 26 degrees two tubes collide
)


@dataclass(frozen=True, slots=True, kw_only=True)
class JoinPlace:
    """Where a tee or a coupler lies of which the scene does not say it.

    Parameters
    ----------
    name : str
        The part's.
    at : array, shape (3,)
        Where the lines of its nipples meet, in the case's frame.
    runs : str
        From nipple 1 to nipple 2, by word.
    branches : str or None
        Where the branch of a tee points, by word; None for a coupler.
    """

    name: str
    at: Floats
    runs: str
    branches: str | None


def with_places(reading: Reading, places: Sequence[JoinPlace]) -> Reading:
    """Return a scene in which tees and couplers without a place are said to lie where they were found to.

    Parameters
    ----------
    reading : Reading
        The scene as read.
    places : sequence of JoinPlace
        For any of them.

    Returns
    -------
    reading : Reading
        All else as it was.
    """
    parts = dict(reading.scene.part)
    for one in places:
        right, back, up = one.at.tolist()
        told = {"right_mm": right, "back_mm": back, "up_mm": up}
        said: dict[str, object] = {"at": Position.model_validate({}).model_copy(update=told)}
        said |= {"runs": one.runs} if one.branches is None else {"runs": one.runs, "branches": one.branches}
        parts[one.name] = parts[one.name].model_copy(update=said)
    return replace(reading, scene=reading.scene.model_copy(update={"part": parts}))


def half_of(part: JoinPart, where: Where) -> float:
    """Return how far each tip is from the middle, in millimetres.

    Where the scene does not say it, what goes over a nipple ends one diameter of the nipples from the middle,
    and what tubes must keep of each other: two at right angles then do, stretched over them, as far as they
    are free no thicker than twice a nipple. So are tees for soft tubes made (common practice, no source).
    """  # noqa: DOC201
    if part.long_mm is not None:
        return part.long_mm / 2
    return sleeve_mm(part, where) + part.outside_mm + where.reading.scene.clearance.tubes_mm


def core_of(part: JoinPart, where: Where) -> float:
    """Return how far the body reaches from its middle, in millimetres."""
    half_mm = half_of(part, where)
    return max(half_mm - sleeve_mm(part, where), min(part.outside_mm, half_mm) / 2)


def join(part: JoinPart, stands: Standing, where: Where) -> tuple[Pieces, tuple[Nipple, ...]]:
    """Return a tee's or a coupler's body and its nipples; its ``at`` is where their lines meet.

    Nipple 1 faces against ``runs``, 2 along it, 3 along ``branches``; ``half_of`` says how far each tip is
    from the middle. The body reaches to where the tubes end that go over the nipples, and at least half a
    diameter from the middle (a quarter of ``long`` where that is less); the tubes then go on so much less.

    Parameters
    ----------
    part : JoinPart
        As in the scene.
    stands : Standing
        How it stands.
    where : Where
        The part's place in the file.

    Returns
    -------
    body : Pieces
        Of body 0; it carries the nipples.
    nipples : tuple of Nipple
        Two, or three of a tee.

    Raises
    ------
    SceneError
        The branch of a tee lies along its run.
    """
    runs = stands.direction(part.runs)
    ways = [-runs, runs]
    if part.kind == "tee":
        branch = stands.direction(part.branches)
        if abs(float((runs * branch).sum())) > SQUAREST:
            raise where.at("branches").wrong(
                "a branch that lies along the run", "a branch to the side", "correct runs or branches"
            )
        ways.append(branch)
    half_mm, core_mm = half_of(part, where), core_of(part, where)
    middle = stands.at
    bars = [cylinder(middle - core_mm * runs, middle + core_mm * runs, part.outside_mm / 2)]
    bars += [cylinder(middle, middle + core_mm * way, part.outside_mm / 2) for way in ways[2:]]
    nipples = tuple(
        Nipple(
            name=f"{stands.name} {number}",
            part=stands.name,
            number=number,
            tip=frozen(middle + half_mm * way),
            direction=frozen(np.asarray(way)),
            outside_mm=part.outside_mm,
            on_nipple_mm=half_mm - core_mm,
            carrier=None,
        )
        for number, way in enumerate(ways, start=1)
    )
    return united(bars), nipples
