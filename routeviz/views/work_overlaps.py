"""Which tubes lie over each other, seen from one side, and which of the two lies farther off?

Tubes do not overlap in space, so that where their projections lie over each other one is plainly behind the
other. What follows for the order in which they are laid is in work_turns.py.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
import shapely

from routeviz.geometry.arrays import Floats, Ints
from routeviz.geometry.chains import sampled
from routeviz.tubes.nearing import Laid

CHORD_MM = 0.5  # how far a chord that stands for a tube may leave it: less than what counts as covered
COVERED = 0.1  # of both radii together: centrelines that come so near in the picture lie over each other
APART = 0.5  # of both radii together: what lies no farther behind than this is beside, not behind


@dataclass(frozen=True, slots=True, kw_only=True)
class Chords:
    """Tubes as straight pieces.

    Parameters
    ----------
    begins, ends : array, shape (n, 3)
        Of each piece.
    along : array, shape (n,)
        How far along its tube it begins.
    tubes : array of int, shape (n,)
        Index of its tube.
    radii : array, shape (n,)
        Of its tube.
    """

    begins: Floats
    ends: Floats
    along: Floats
    tubes: Ints
    radii: Floats


class Over(NamedTuple):
    """A place at which two tubes lie over each other.

    Fields: how far along the first and the second tube; how much farther off the first is than the second,
    axis to axis; 1 or -1 for the way in which their projections cross, 0 where they only run side by side.
    """

    along_first: float
    along_second: float
    farther_mm: float
    turn: int


Overlaps = dict[tuple[int, int], list[Over]]  # by two tubes, the lower index first; along the first


def chords_of(drawn: Laid) -> Chords:
    """Return the tubes that have a centreline as straight pieces, short where they bend."""
    samples = sampled(drawn.pieces, CHORD_MM, np.inf)
    first = np.nonzero(samples.owners[1:] == samples.owners[:-1])[0]
    owners = samples.owners[first]
    return Chords(
        begins=samples.points[first],
        ends=samples.points[first + 1],
        along=samples.along[first],
        tubes=drawn.indices[owners],
        radii=drawn.radii[owners],
    )


def overlaps(chords: Chords, axis: int, sense: int, *, crossings: bool = True) -> Overlaps:
    """Return where tubes lie over each other, seen along an axis of the case.

    Parameters
    ----------
    chords : Chords
        The tubes.
    axis, sense : int
        0 to 2, and 1 or -1: which way one looks.
    crossings : bool
        Whether each crossing is told; else, for each side, only where the two are nearest.

    Returns
    -------
    overlaps : dict
        By two tubes, the lower index first; each pair's in order along the first.
    """
    across = [k for k in range(3) if k != axis]
    flat = np.stack([chords.begins[:, across], chords.ends[:, across]], axis=1)
    first, second = _near(chords, flat)
    shares_first, shares_second, turns, off = _nearest(flat[first], flat[second])
    depth = sense * chords.begins[:, axis]
    climb = sense * (chords.ends[:, axis] - chords.begins[:, axis])
    farther = depth[first] + shares_first * climb[first] - depth[second] - shares_second * climb[second]
    both = chords.radii[first] + chords.radii[second]
    over = np.nonzero((off <= COVERED * both) & (np.abs(farther) > APART * both))[0]
    first, second, farther = first[over], second[over], farther[over]
    shares_first, shares_second = shares_first[over], shares_second[over]
    turns = turns[over] if crossings else np.zeros(len(over), np.int64)
    kept = _worth_telling(chords.tubes[first], chords.tubes[second], farther, turns)
    lengths = np.sqrt(((chords.ends - chords.begins) ** 2).sum(axis=1))
    along_first = chords.along[first] + shares_first * lengths[first]
    along_second = chords.along[second] + shares_second * lengths[second]
    found: Overlaps = {}
    columns = (chords.tubes[first], chords.tubes[second], along_first, along_second, farther, turns)
    for one, other, *place in zip(*(column[kept].tolist() for column in columns), strict=True):
        found.setdefault((one, other), []).append(Over(*place))
    return {pair: sorted(found[pair]) for pair in sorted(found)}


def without_slack(places: Iterable[Over]) -> list[Over]:
    """Return the crossings of two tubes that are left once each has been drawn straight past the other.

    Where one goes behind the other and comes back on the same side, it was not passed round it: neighbouring
    crossings of opposite turns at which the same tube is behind cancel (Reidemeister's second move).

    Parameters
    ----------
    places : iterable of Over
        Of one pair, in order along the first.

    Returns
    -------
    left : list of Over
        Of these, in the same order.
    """
    left: list[Over] = []
    for place in places:
        if place.turn == 0:
            continue
        last = left[-1] if left else None
        if last and last.turn == -place.turn and last.farther_mm * place.farther_mm > 0:
            left.pop()
        else:
            left.append(place)
    return left


def _worth_telling(first: Ints, second: Ints, farther: Floats, turns: Ints) -> Ints:
    """Return all crossings, and of places where two tubes run along each other the nearest on either side."""
    order = np.lexsort((np.abs(farther), turns, farther > 0, second, first))
    columns = np.stack([first, second, farther > 0, turns])[:, order]
    new = np.append(True, (np.diff(columns, axis=1) != 0).any(axis=0))[: len(order)]
    return np.asarray(order[new | (columns[3] != 0)], np.int64)


def _near(chords: Chords, flat: Floats) -> tuple[Ints, Ints]:
    """Return the pieces of different tubes that may come near each other in the picture, the lower first."""
    # Each looks as far as a tube that is no thicker than its own could ask for, so that none is missed.
    reach = 2 * COVERED * chords.radii[:, None]
    around = shapely.box(*(flat.min(axis=1) - reach).T, *(flat.max(axis=1) + reach).T)
    one, other = shapely.STRtree(shapely.linestrings(flat)).query(around)
    tubes, radii = chords.tubes, chords.radii
    lower = (radii[other] < radii[one]) | ((radii[other] == radii[one]) & (tubes[one] < tubes[other]))
    one, other = one[lower], other[lower]
    # What lies on one side of another's line, farther off than that, cannot come near it.
    line, reached = flat[one, 1] - flat[one, 0], reach[one, 0] * np.hypot(*(flat[one, 1] - flat[one, 0]).T)
    off = np.stack([_cross(line, flat[other, end] - flat[one, 0]) for end in (0, 1)])
    maybe = (off.min(axis=0) <= reached) & (off.max(axis=0) >= -reached)
    one, other = one[maybe], other[maybe]
    turned = tubes[one] > tubes[other]
    return np.where(turned, other, one), np.where(turned, one, other)


def _nearest(one: Floats, other: Floats) -> tuple[Floats, Floats, Ints, Floats]:
    """Return for pairs of flat pieces where they come nearest, as shares, how they cross, and how far off."""
    along, across = one[:, 1] - one[:, 0], other[:, 1] - other[:, 0]
    between = other[:, 0] - one[:, 0]
    turn = _cross(along, across)
    slanted = np.abs(turn) > 1e-9 * np.hypot(*along.T) * np.hypot(*across.T)
    divided = np.where(slanted, turn, 1.0)
    first, second = _cross(between, across) / divided, _cross(between, along) / divided
    met = slanted & (first >= 0) & (first < 1) & (second >= 0) & (second < 1)
    shares = np.stack([first, second]) * met
    off = np.where(met, 0.0, np.inf)
    for end in (0.0, 1.0):  # two that do not cross come nearest at an end of one of them
        for side in (0, 1):
            share = np.full(len(one), end)
            base, line, point = (one, along, other) if side else (other, across, one)
            spot = point[:, 0] + end * (point[:, 1] - point[:, 0])
            on = _share(base[:, 0], line, spot)
            away = np.hypot(*(base[:, 0] + on[:, None] * line - spot).T)
            nearer = away < off
            off = np.where(nearer, away, off)
            shares = np.where(nearer, np.stack([on, share] if side else [share, on]), shares)
    return shares[0], shares[1], np.where(met, np.sign(turn), 0).astype(np.int64), off


def _share(start: Floats, line: Floats, point: Floats) -> Floats:
    square = np.maximum((line * line).sum(axis=1), 1e-300)
    return np.asarray(np.clip(((point - start) * line).sum(axis=1) / square, 0.0, 1.0))


def _cross(one: Floats, other: Floats) -> Floats:
    return np.asarray(one[:, 0] * other[:, 1] - one[:, 1] * other[:, 0])
