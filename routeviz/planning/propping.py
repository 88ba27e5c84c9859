"""How far a tube may go on from one place that holds it to the next, and how far it may fall between them.

Held loosely at both ends, as tubes/hanging.py reckons the most that a span may sag. Which places are taken is
in tying.py, which could be in tie_places.py.
"""

import math
from collections.abc import Sequence

import numpy as np

from routeviz.cabinet.solids import Cabinet, asked_mm
from routeviz.cabinet.tubing import TubeKind
from routeviz.geometry.arrays import Floats, Ints
from routeviz.geometry.chains import Samples
from routeviz.geometry.compiled import compiled, inner
from routeviz.geometry.falling import Places, rooms_below
from routeviz.tubes.hanging import SLACK_PERCENT, beam_of_section
from routeviz.tubes.spans import LEAST_SAG_MM

SAFETY_MM = 1.0  # more than is asked for: a sag is an estimate, and places between samples are not looked at
CURTAIN_MM = (
    15.0  # three tubes' thickness: what hangs lower than that looks untidy; common practice, no source
)
UNSEEN_MM = 0.9 * LEAST_SAG_MM  # spans that sag less are not looked at; with room for chords and rounding
STRETCH = 1.0 + SLACK_PERCENT / 100.0  # how much longer than drawn a tube may turn out

Limits = tuple[float, float, float]


def rooms_under(cabinet: Cabinet, places: Places) -> Floats:
    """Return how far each place may sag in a cabinet, in mm, at most ``CURTAIN_MM``."""
    asked = np.array([asked_mm(cabinet, solid) for solid in cabinet.solids])
    return rooms_below(places, cabinet.bodies, asked, down=cabinet.down, spare=SAFETY_MM, deepest=CURTAIN_MM)


def softness_of(kind: TubeKind) -> float:
    """Return how far a level span held loosely sags, over the fourth power of its length, in 1/mm3.

    ``5 w / (384 E I)``, as in ``hanging.sag_mm``; 0 for tubing without a known stiffness or weight.
    """  # noqa: DOC201
    if kind.modulus_mpa is None or kind.density_g_cm3 is None:
        return 0.0
    beam = beam_of_section(kind.outside_mm, kind.bore_mm, kind.modulus_mpa, kind.density_g_cm3)
    return 5.0 * beam.weight_n_per_mm / (384.0 * beam.stiffness_nmm2)


def farthest_held(
    places: Samples, stops: Ints, rooms: Floats, softness: Sequence[float], down: Floats
) -> Ints:
    """Return for each place that can be held the last one to which its tube may go on without a tie between.

    Parameters
    ----------
    places : Samples
        Close along all centrelines, in mm.
    stops : array of int, shape (k,)
        Which of them can be held, rising; the ends of all tubes are among them.
    rooms : array, shape (n,)
        How far each place may sag.
    softness : sequence of float
        One a tube, from ``softness_of``.
    down : array, shape (3,)
        Unit vector along which weight pulls.

    Returns
    -------
    last : array of int, shape (k,)
        Which of the stops: of the same tube, never falling along it; the next one at least.
    """
    heights = -(places.points @ down)
    level = places.points + heights[:, None] * down
    steps = np.diff(level, axis=0, prepend=level[:1])
    plans = np.cumsum(np.sqrt((steps * steps).sum(axis=1)))
    last = np.empty(len(stops), np.int64)
    table = np.column_stack([places.along, plans, heights, level, rooms])
    limits = (UNSEEN_MM, CURTAIN_MM, STRETCH)
    firsts = np.searchsorted(stops, places.firsts)
    _fill_last(table, firsts, np.array(stops), np.asarray(softness, np.float64), limits, last)
    return last


@compiled
def _fill_last(
    table: Floats, firsts: Ints, stops: Ints, softness: Floats, limits: Limits, last: Ints
) -> None:
    for tube in range(firsts.shape[0] - 1):
        begin, end = firsts[tube], firsts[tube + 1] - 1
        reached = begin
        for here in range(begin, end + 1):
            reached = max(reached, min(here + 1, end))
            while reached < end and _holds(table, stops[here], stops[reached + 1], softness[tube], limits):
                reached += 1
            last[here] = reached


@inner
def _holds(table: Floats, begin: int, end: int, softness: float, limits: Limits) -> bool:
    """Return whether a span sags into nothing; columns: along, plan length, height, level place (3), room."""
    span, plan = table[end, 0] - table[begin, 0], table[end, 1] - table[begin, 1]
    sag = softness * min(plan, span) * span * span * span
    unseen, curtain, stretch = limits
    if sag > unseen:
        sag = min(sag, _slack(table, begin, end, stretch))
    if sag <= unseen:
        return True
    if sag > curtain:
        return False
    for k in range(begin + 1, end):
        u = (table[k, 0] - table[begin, 0]) / span
        if 3.2 * sag * (u - 2.0 * u * u * u + u * u * u * u) > table[k, 6]:
            return False
    return True


@inner
def _slack(table: Floats, begin: int, end: int, stretch: float) -> float:
    """Return how far below its place any point of a span can come before its length is used up."""
    most = 0.0
    for k in range(begin + 1, end):
        room = math.inf
        for held in (begin, end):
            far = stretch * (table[k, 0] - table[held, 0])
            x, y = table[k, 3] - table[held, 3], table[k, 4] - table[held, 4]
            z = table[k, 5] - table[held, 5]
            below = math.sqrt(max(far * far - x * x - y * y - z * z, 0.0))
            room = min(room, below + table[k, 2] - table[held, 2])
        most = max(most, room)
    return most
