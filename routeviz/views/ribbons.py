"""How tubes look from one side: two sides of an outside diameter, circles where they are seen end on.

A tube's outline is as deep as its centreline, to both sides of it; so is what it hides. Where tubes do not
cut into each other that is exact: what lies within a tube's width is wholly before or behind its middle.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from routeviz.cabinet.solids import Cabinet
from routeviz.geometry.arrays import Floats, Ints
from routeviz.geometry.curves import chords, tangents_along
from routeviz.geometry.hiding import NO_LINK, Blinds, Lines, Owned, blinds_of
from routeviz.tubes.routes import Tube
from routeviz.tubes.sleeves import stretched_outside_mm

END_ON = 0.17  # share of a direction seen square to the view, below which a tube is seen end on: 10 degrees
ROUND = 24  # corners of a circle where it is asked what hides it
INSIDE = 12.0  # radii along a tube within which its own sides are swallowed: the inside of a bend
OVERLAP_MM = 0.1  # by which strips along neighbouring chords overlap, so that nothing shows between them
SHORT = 1e-6  # what is seen shorter than this has no direction


@dataclass(frozen=True, slots=True, kw_only=True)
class Chains:
    """Points along tubes and along the sleeves at their ends, chain after chain, in the case.

    Parameters
    ----------
    points, tangents : array, shape (n, 3)
        Points on centrelines, and the directions there.
    along : array, shape (n,)
        How far along the tube; below zero on the sleeve at its start.
    radii : array, shape (n,)
        Half the outside diameter.
    owners : array of int, shape (n,)
        Number of the tube.
    chains : array of int, shape (n,)
        Number of the chain; ascending.
    """

    points: Floats
    tangents: Floats
    along: Floats
    radii: Floats
    owners: Ints
    chains: Ints


@dataclass(frozen=True, slots=True, kw_only=True)
class Ribbons:
    """Tubes seen from one side, in the view's frame.

    Parameters
    ----------
    sides, axes, rims : Lines
        Outlines and ends; centrelines; circles as ``ROUND`` lines each.
    side_chains, axis_chains : array of int
        Lines that follow one another in one chain have one number, and go on end to end.
    circles : array, shape (c, 3)
        Centre and radius of each circle.
    blinds : Blinds
        What they hide.
    """

    sides: Lines
    side_chains: Ints
    axes: Lines
    axis_chains: Ints
    rims: Lines
    circles: Floats
    blinds: Blinds


def chains_of(cabinet: Cabinet, tubes: Sequence[Tube], sagitta_mm: float) -> Chains:
    """Return points along all tubes that have a centreline, close enough for their chords to stay near it.

    Parameters
    ----------
    cabinet, tubes : Cabinet, sequence of Tube
        What there is; a tube's number is its place in the sequence.
    sagitta_mm : float
        How far a chord may be from the centreline.

    Returns
    -------
    chains : Chains
        Of each tube its run, then its sleeves.
    """
    parts: list[tuple[Floats, Floats, Floats, float, int]] = []
    for number, tube in enumerate(tubes):
        if tube.curve is None:
            continue
        points, along = chords(tube.curve, sagitta_mm)
        parts.append((points, tangents_along(tube.curve, along), along, tube.kind.outside_mm / 2, number))
        for end, base, sign in ((tube.start, 0.0, -1.0), (tube.end, float(along[-1]), 1.0)):
            if end.nipple is not None:
                nipple = cabinet.nipples[end.nipple]
                outside = stretched_outside_mm(tube.kind.outside_mm, tube.kind.bore_mm, nipple.outside_mm)
                back = nipple.tip - nipple.on_nipple_mm * nipple.direction
                reach = base + sign * np.array([0.0, nipple.on_nipple_mm])
                parts.append(
                    (
                        np.stack([nipple.tip, back]),
                        np.stack([nipple.direction] * 2),
                        reach,
                        outside / 2,
                        number,
                    )
                )
    counts = [len(part[0]) for part in parts]
    nothing = np.zeros((0, 3))
    return Chains(
        points=np.concatenate([nothing, *(part[0] for part in parts)]),
        tangents=np.concatenate([nothing, *(part[1] for part in parts)]),
        along=np.concatenate([np.zeros(0), *(part[2] for part in parts)]),
        radii=np.repeat([part[3] for part in parts], counts),
        owners=np.repeat(np.array([part[4] for part in parts], dtype=np.int64), counts),
        chains=np.repeat(np.arange(len(parts)), counts),
    )


def ribbons(chains: Chains, axes: Floats) -> Ribbons:
    """Return tubes as they are seen from one side.

    Parameters
    ----------
    chains : Chains
        The tubes.
    axes : array, shape (3, 3)
        Rows: to the right, up, and towards the eye.

    Returns
    -------
    ribbons : Ribbons
        In the view's frame, ``axes @ point``.
    """
    points, tangents = chains.points @ axes.T, chains.tangents @ axes.T
    flat = np.hypot(tangents[:, 0], tangents[:, 1])
    broad = flat >= END_ON
    aside = np.column_stack([-tangents[:, 1], tangents[:, 0], np.zeros(len(flat))])
    aside *= (chains.radii / np.maximum(flat, SHORT))[:, None]
    left, right = points + aside, points - aside
    goes_on = (chains.chains[1:] == chains.chains[:-1]) & broad[1:] & broad[:-1]
    first = np.flatnonzero(goes_on)
    bounds = np.append(True, np.diff(chains.chains) != 0)
    ends = np.flatnonzero((bounds | np.append(bounds[1:], True)[: len(bounds)]) & broad)
    groups = _groups(first)
    across = Across(chains=chains, points=points, left=left, right=right)
    circles, at = _circles(across, ~broad)
    rims = _lines(
        circles.reshape(-1, 3),
        np.roll(circles, -1, axis=1).reshape(-1, 3),
        (chains, np.repeat(at, ROUND)),
        0.0,
    )
    return Ribbons(
        sides=_lines(
            np.concatenate([left[first], right[first], left[ends]]),
            np.concatenate([left[first + 1], right[first + 1], right[ends]]),
            (chains, np.concatenate([first, first, ends])),
            np.repeat([INSIDE, 0.0], [2 * len(first), len(ends)]),
        ),
        side_chains=np.concatenate([groups, groups + len(points), 2 * len(points) + np.arange(len(ends))]),
        axes=_lines(points[first], points[first + 1], (chains, first), 0.0),
        axis_chains=groups,
        rims=replace(rims, links=np.full(len(rims.links), NO_LINK)),
        circles=np.column_stack([points[at, :2], chains.radii[at]]),
        blinds=_blinds(across, first, circles, at),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Across:
    """Chains in a view: their points, and the two points of their outline beside each."""

    chains: Chains
    points: Floats
    left: Floats
    right: Floats


def _groups(first: Ints) -> Ints:
    """Return one number for each run of numbers that follow one another."""
    return np.cumsum(np.append(0, np.diff(first) != 1))[: len(first)]


def _lines(starts: Floats, ends: Floats, owned: tuple[Chains, Ints], inside: Floats | float) -> Lines:
    chains, at = owned
    return Lines(
        starts=starts,
        ends=ends,
        owners=chains.owners[at],
        along=chains.along[at],
        near=inside * chains.radii[at],
        links=at,
    )


def _circles(across: Across, end_on: NDArray[np.bool_]) -> tuple[Floats, Ints]:
    """Return the circles of tubes seen end on, and at which points, those of each stretch next to the eye."""
    which = np.flatnonzero(end_on)
    new = np.append(True, (np.diff(which) != 1) | (np.diff(across.chains.chains[which]) != 0))[: len(which)]
    number = np.cumsum(new) - 1
    order = np.lexsort((-across.points[which, 2], number))
    at = which[order][np.append(True, np.diff(number[order]) != 0)[: len(which)]]
    turns = np.arange(ROUND) * (2.0 * np.pi / ROUND)
    rim = np.column_stack([np.cos(turns), np.sin(turns), np.zeros(ROUND)])
    return across.points[at][:, None] + across.chains.radii[at][:, None, None] * rim, at


def _blinds(across: Across, first: Ints, circles: Floats, at: Ints) -> Blinds:
    """Return what tubes hide: a strip along each chord, and the circles."""
    points, chains = across.points, across.chains
    step = points[first + 1] - points[first]
    long = np.hypot(step[:, 0], step[:, 1])
    steep = step[:, 2] / np.maximum(long, SHORT) ** 2
    slopes = step[:, :2] * steep[:, None]
    strips = np.column_stack([slopes, points[first, 2] - np.einsum("ij,ij->i", slopes, points[first, :2])])
    more = OVERLAP_MM * step / np.maximum(long, SHORT)[:, None]
    corners = np.stack(
        [
            across.left[first] - more,
            across.left[first + 1] + more,
            across.right[first + 1] + more,
            across.right[first] - more,
        ],
        axis=1,
    )
    flat = np.column_stack([np.zeros((len(at), 2)), points[at, 2]])
    has_front = np.append(long > SHORT, np.ones(len(at), dtype=bool))
    return blinds_of(
        points=np.concatenate([corners.reshape(-1, 3), circles.reshape(-1, 3)])[:, :2],
        begins=np.cumsum(np.concatenate([[0], np.full(len(first), 4), np.full(len(at), ROUND)])),
        planes=np.concatenate([strips, flat])[has_front],
        plane_begins=np.append(0, np.cumsum(has_front)),
        owned=Owned(
            owners=chains.owners[np.append(first, at)],
            along=np.append(chains.along[first], np.full(len(at), np.nan)),
            links=np.append(first, np.full(len(at), NO_LINK)),
        ),
    )
