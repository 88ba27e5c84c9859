"""How far a tube hangs below its drawn line between what holds it: an estimate, low and high.

A tube is drawn as if it weighed nothing. Whether it then comes too near to something is in checks/hang.py.

Between two supports the tube is taken as a straight elastic beam as long as the span is along the tube.
Nobody knows how firmly a nipple or a tie holds its direction, so the answer is a range: clamped at both ends
(low), pinned at both (high). The formulas hold while the sag is small: at a tenth of the span they tell 5 %
too much. Beyond, no estimate is given; one thing still holds: a tube cannot hang lower than its length lets
it. Only what moves down is estimated, not what falls over sideways.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import isfinite, pi

import numpy as np

from routeviz.geometry.arrays import Floats, Ints, check_shape

GRAVITY_M_S2 = 9.80665  # standard gravity, CGPM 1901

# How much longer than drawn a tube may turn out: tape, slack in cutting, slip on the nipple, stretch over the
# years. Common practice, no source.
SLACK_PERCENT = 5.0

# Share of the span up to which the straight-beam formulas are taken at their word: 5 % off there, a third at
# 0.3, as the same beam bent however far shows (tests/tubes/test_hanging.py).
SMALL = 0.1


@dataclass(frozen=True, slots=True, kw_only=True)
class Beam:
    """What resists hanging, and what causes it.

    Parameters
    ----------
    stiffness_nmm2 : float
        Bending stiffness E I in N mm2, > 0.
    weight_n_per_mm : float
        Weight along the tube in N/mm, >= 0.
    """

    stiffness_nmm2: float
    weight_n_per_mm: float

    def __post_init__(self) -> None:
        """Refuse what cannot be a tube's."""
        if not (isfinite(self.stiffness_nmm2) and self.stiffness_nmm2 > 0):
            raise ValueError(f"stiffness_nmm2: above 0 wanted, {self.stiffness_nmm2} given")
        if not (isfinite(self.weight_n_per_mm) and self.weight_n_per_mm >= 0):
            raise ValueError(f"weight_n_per_mm: 0 or more wanted, {self.weight_n_per_mm} given")


@dataclass(frozen=True, slots=True, kw_only=True)
class Sag:
    """How far a tube hangs between two neighbouring supports.

    Parameters
    ----------
    begin_mm, end_mm : float
        Arc lengths of the supports.
    low_mm, high_mm : float
        The sag at the middle, clamped and pinned, neither above `limit_mm`: looked at, estimate or not.
    limit_mm : float
        No point of the span can come lower than this below its drawn place, for want of length.
    """

    begin_mm: float
    end_mm: float
    low_mm: float
    high_mm: float
    limit_mm: float

    @property
    def unsupported_mm(self) -> float:
        """Return the length along the tube between the supports."""
        return self.end_mm - self.begin_mm

    @property
    def middle_mm(self) -> float:
        """Return the arc length at which the sag is given."""
        return (self.begin_mm + self.end_mm) / 2

    @property
    def estimates_mm(self) -> tuple[float | None, float | None]:
        """Return the sag, clamped and pinned; None where it is beyond what the formulas hold for."""
        most = SMALL * self.unsupported_mm
        low, high = (
            sag if (sag < self.limit_mm and sag <= most) or sag == 0 else None
            for sag in (self.low_mm, self.high_mm)
        )
        return low, high


def beam_of_section(outside_mm: float, bore_mm: float, modulus_mpa: float, density_g_cm3: float) -> Beam:
    """Return stiffness and weight of a round tube.

    ``I = pi/64 (OD^4 - ID^4)``, weight = wall section x density x standard gravity.

    Parameters
    ----------
    outside_mm, bore_mm : float
        Diameters; 0 <= bore < outside.
    modulus_mpa : float
        Young's modulus, > 0.
    density_g_cm3 : float
        Density of the material of the wall.

    Returns
    -------
    beam : Beam
        Stiffness in N mm2, weight in N/mm.

    Raises
    ------
    ValueError
        The section is no tube.
    """
    if not 0 <= bore_mm < outside_mm:
        raise ValueError(f"0 <= bore < outside wanted, bore {bore_mm} and outside {outside_mm} given")
    second_moment = pi / 64 * (outside_mm**4 - bore_mm**4)
    section = pi / 4 * (outside_mm**2 - bore_mm**2)
    return Beam(
        stiffness_nmm2=modulus_mpa * second_moment,
        weight_n_per_mm=section * density_g_cm3 * 1e-6 * GRAVITY_M_S2,
    )


def sag_mm(span_mm: float, stiffness_nmm2: float, weight_n_per_mm: float) -> tuple[float, float]:
    """Return the sag at the middle of a straight level span: ends clamped, ends pinned.

    ``w L^4 / (384 E I)`` and ``5 w L^4 / (384 E I)``: small-deflection theory, so up to about a tenth
    of the span.

    Parameters
    ----------
    span_mm : float
        Length between the supports, >= 0.
    stiffness_nmm2 : float
        E I in N mm2, > 0.
    weight_n_per_mm : float
        Weight across the span in N/mm.

    Returns
    -------
    clamped_mm, pinned_mm : float
        The two ends of what may be expected.

    References
    ----------
    S. Timoshenko, Strength of Materials, part I, deflection of uniformly loaded beams (from memory).
    """
    clamped = weight_n_per_mm * span_mm**4 / (384 * stiffness_nmm2)
    return clamped, 5 * clamped


def gravity_length_mm(beam: Beam) -> float:
    """Return the length ``(E I / w)^(1/3)`` from which on a tube bends visibly under its own weight.

    Parameters
    ----------
    beam : Beam
        The tube.

    Returns
    -------
    length_mm : float
        ``inf`` for a tube without weight.
    """
    if beam.weight_n_per_mm == 0:
        return float("inf")
    return float((beam.stiffness_nmm2 / beam.weight_n_per_mm) ** (1 / 3))


def sags(
    points: Floats,
    along: Floats,
    supports: Floats,
    *,
    down: Floats,
    beam: Beam,
    slack_percent: float = SLACK_PERCENT,
) -> tuple[Sag, ...]:
    """Return the sag of each span of a tube, in order.

    Only the weight across the tube bends it: a level span takes all, a plumb one none, a bent one its mean
    (plan length over length). A bent span is reckoned as a straight one of the same length. Clamped and
    pinned sag are both cut where the length ends: a point cannot be farther from either support, as the crow
    flies, than the tube is long between them.

    Parameters
    ----------
    points : array, shape (n, 3)
        Samples of the drawn centreline in order, n >= 2, in mm.
    along : array, shape (n,)
        Their arc lengths, increasing.
    supports : array, shape (k,)
        Arc lengths at which the tube is held, sorted, both ends of the tube included; those that coincide
        count once.
    down : array, shape (3,)
        Unit vector along which weight pulls.
    beam : Beam
        Stiffness and weight.
    slack_percent : float
        How much longer than drawn the tube may turn out, >= 0.

    Returns
    -------
    sags : tuple of Sag
        One for each pair of neighbouring supports.

    Raises
    ------
    ValueError
        A wrong shape, samples or supports out of order or off the tube, `down` not of unit length,
        negative slack.
    """
    _check(points, along, supports, down)
    runs = [_cut(points, along, begin, end) for begin, end in pairwise(supports.tolist()) if end > begin]
    firsts = np.cumsum([0, *(len(arcs) for arcs, _ in runs)])
    return sags_of_spans(
        np.concatenate([np.zeros((0, 3)), *(drawn for _, drawn in runs)]),
        np.concatenate([np.zeros(0), *(arcs for arcs, _ in runs)]),
        firsts.astype(np.int64),
        down=down,
        beams=[beam] * len(runs),
        slack_percent=slack_percent,
    )


def sags_of_spans(
    points: Floats,
    along: Floats,
    firsts: Ints,
    *,
    down: Floats,
    beams: Sequence[Beam],
    slack_percent: float = SLACK_PERCENT,
) -> tuple[Sag, ...]:
    """Return the sag of many spans at once, as ``sags`` does for those of a single tube.

    Parameters
    ----------
    points : array, shape (k, 3)
        Samples of the drawn centrelines, span after span, the ends of each among them.
    along : array, shape (k,)
        Their arc lengths, increasing within a span.
    firsts : array of int, shape (n + 1,)
        The samples of span i are ``firsts[i]`` to ``firsts[i + 1] - 1``: two at least.
    down : array, shape (3,)
        Unit vector along which weight pulls.
    beams : sequence of Beam
        One a span.
    slack_percent : float
        How much longer than drawn a tube may turn out, >= 0.

    Returns
    -------
    sags : tuple of Sag
        One a span.

    Raises
    ------
    ValueError
        Negative slack.
    """
    if not slack_percent >= 0:
        raise ValueError(f"slack_percent: 0 or more wanted, {slack_percent} given")
    if not beams:
        return ()
    plans, limits = _plans_and_limits(points, along, firsts, down, 1 + slack_percent / 100)
    found = []
    edges = (along[firsts[:-1]].tolist(), along[firsts[1:] - 1].tolist(), plans.tolist(), limits.tolist())
    for beam, begin, end, plan, limit in zip(beams, *edges, strict=True):
        across = beam.weight_n_per_mm * min(plan / (end - begin), 1.0)
        clamped, pinned = sag_mm(end - begin, beam.stiffness_nmm2, across)
        found.append(
            Sag(
                begin_mm=begin,
                end_mm=end,
                low_mm=min(clamped, limit),
                high_mm=min(pinned, limit),
                limit_mm=limit,
            )
        )
    return tuple(found)


def _cut(points: Floats, along: Floats, begin: float, end: float) -> tuple[Floats, Floats]:
    """Return arc lengths and points of a span: its ends, and between them its middle and the samples."""
    inside = along[np.searchsorted(along, begin, "right") : np.searchsorted(along, end, "left")]
    middle = (begin + end) / 2
    half = int(np.searchsorted(inside, middle))
    arcs = np.concatenate(([begin], inside[:half], [middle], inside[half:], [end]))
    after = np.clip(np.searchsorted(along, arcs), 1, len(along) - 1)
    shares = (arcs - along[after - 1]) / (along[after] - along[after - 1])
    return arcs, points[after - 1] + shares[:, None] * (points[after] - points[after - 1])


def _plans_and_limits(
    points: Floats, along: Floats, firsts: Ints, down: Floats, stretch: float
) -> tuple[Floats, Floats]:
    """Return each span's plan length, and how far below its drawn place any of its points can come."""
    owners = np.repeat(np.arange(len(firsts) - 1), np.diff(firsts))
    drops = points @ down
    level = points - drops[:, None] * down
    steps = np.diff(level, axis=0, prepend=level[:1])
    steps[firsts[:-1]] = 0.0
    plans = np.add.reduceat(np.sqrt((steps * steps).sum(axis=1)), firsts[:-1])
    room = np.full(len(points), np.inf)
    for ends in (firsts[:-1], firsts[1:] - 1):
        own = ends[owners]
        off = level - level[own]
        tether = stretch * (along - along[own])
        below = np.sqrt(np.maximum(tether * tether - (off * off).sum(axis=1), 0.0))
        room = np.minimum(room, below - (drops - drops[own]))
    return plans, np.maximum(np.maximum.reduceat(room, firsts[:-1]), 0.0)


def _check(points: Floats, along: Floats, supports: Floats, down: Floats) -> None:
    n = check_shape("points", points, (None, 3))
    check_shape("along", along, (n,))
    k = check_shape("supports", supports, (None,))
    check_shape("down", down, (3,))
    if n < 2 or not (np.diff(along) > 0).all():
        raise ValueError("along: two or more increasing arc lengths wanted")
    if k < 2 or not (np.diff(supports) >= 0).all():
        raise ValueError("supports: two or more sorted arc lengths wanted")
    if supports[0] < along[0] - 1e-6 or supports[-1] > along[-1] + 1e-6:
        tube, given = f"{along[0]:g} to {along[-1]:g}", f"{supports[0]:g} to {supports[-1]:g}"
        raise ValueError(f"supports: within {tube} wanted, {given} given")
    if abs(float((down**2).sum()) - 1) > 1e-6:
        raise ValueError("down: a unit vector wanted")
