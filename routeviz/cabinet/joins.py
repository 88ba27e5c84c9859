"""Tees and couplers: a short body between two or three nipples, so that tubes can be joined anywhere."""

import numpy as np

from routeviz.cabinet.messages import Where
from routeviz.cabinet.nipples import Nipple, sleeve_mm
from routeviz.cabinet.standing import Standing
from routeviz.geometry.arrays import frozen
from routeviz.geometry.blocks import cylinder
from routeviz.geometry.shapes import Pieces, united
from routeviz.scene.parts import JoinPart

SQUAREST = (
    0.9  # cosine up to which a branch counts as leaving the run: nearer than 26 degrees two tubes collide
)


def join(part: JoinPart, stands: Standing, where: Where) -> tuple[Pieces, tuple[Nipple, ...]]:
    """Return a tee's or a coupler's body and its nipples; its ``at`` is where their lines meet.

    Nipple 1 faces against ``runs``, 2 along it, 3 along ``branches``; each tip is half of ``long`` from the
    middle. The body reaches to where the tubes end that go over the nipples, and at least half a diameter
    from the middle (a quarter of ``long`` where that is less); the tubes then go on so much less.

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
    half_mm = part.long_mm / 2
    core_mm = max(half_mm - sleeve_mm(part, where), min(part.outside_mm, half_mm) / 2)
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
