"""From first strings to strings that keep off everything: coarse points first, then fine ones.

What moves the points is in spreading.py and settling.py.
"""

import itertools
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from routeviz.geometry.arrays import Floats, Ints
from routeviz.planning import adjacency, settling, spreading
from routeviz.planning.adjacency import Watched
from routeviz.planning.obstacles import Obstacles, Table
from routeviz.planning.spreading import QUARTERS, Forces, Needs, Sights
from routeviz.planning.stations import Stations
from routeviz.planning.strings import Strings
from routeviz.planning.threading import LEG, Stretch

COARSE_MM, FINE_MM = 16.0, 6.0
REACH_MM = 4.0  # beyond touching within which edges are watched: they are sought anew every few rounds
ROOM = 400_000  # pairs of edges to begin with
SOON = 0.5  # share of how far points may stray from which on they are sought anew with those that must be
UNEVEN = 0.8  # share of the mean leg: where one is shorter, points are spread out again
KEEPS = 0.9  # of its last move that a string adds to the next, while both go the same way
EASED = 0.6  # share of the rounds after which nothing is pulled taut or smoothed any more
EVEN = 0.5  # share of their firmness by which bends move points along, until legs are even
PATIENCE = 40  # rounds after which it is asked whether anything has been gained by them
GAINS = 0.95  # share of what is lacking that may be left after those, for it to be worth going on
STEP_HELD_MM = 8.0  # between points that are held: the last must not be far from the first that moves
TOLD = 10  # rounds between two steps that are told


@dataclass(frozen=True, slots=True, kw_only=True)
class Level:
    """How strings are relaxed.

    Parameters
    ----------
    step_mm : float
        Between points.
    rounds : int
        At most.
    begins, grows : float, int
        By what share of their thickness tubes begin, and in how many rounds they grow to all of it.
    tension, fairness : float
        How hard they are pulled taut, and by which share bends are eased; less from round to round.
    firm : float
        Weight of bends against that of two tubes that touch.
    most_mm : float
        That a point moves in a round: one that cannot come to rest does not throw others about.
    """

    step_mm: float
    rounds: int
    begins: float
    tension: float
    fairness: float
    firm: float
    grows: int
    most_mm: float


# Firm bends at the coarse level: what is bent too tight there is not opened by a finer one.
COARSE = Level(
    step_mm=COARSE_MM, rounds=160, begins=0.1, tension=0.1, fairness=0.02, firm=10.0, grows=40, most_mm=3.0
)
MIDDLE = Level(
    step_mm=10.0, rounds=60, begins=1.0, tension=0.02, fairness=0.02, firm=6.0, grows=1, most_mm=1.5
)
FINE = Level(
    step_mm=FINE_MM, rounds=400, begins=1.0, tension=0.0, fairness=0.0, firm=10.0, grows=1, most_mm=0.5
)


@dataclass(frozen=True, slots=True, kw_only=True)
class State:
    """How it stands with n points: what is free about each, as ``spreading.fill_rooms`` writes it."""

    rooms: Floats

    @property
    def bend(self) -> float:
        """Return the worst bend as a share of the least that is aimed at."""
        return float(self.rooms[:, 2].min(initial=np.inf))

    @property
    def between_mm(self) -> float:
        """Return the least room between two tubes."""
        return float(self.rooms[:, 0].min(initial=np.inf))

    @property
    def off_mm(self) -> float:
        """Return the least room to everything else, beyond what it asks for."""
        return float(self.rooms[:, 1].min(initial=np.inf))

    def lacking(self, strings: Strings, bend: float, least_mm: float) -> Floats:
        """Return by how much each tube falls short of a share of its bends and a room, in mm; 0 for enough.

        What is held where it is cannot do better, and is not counted.
        """  # noqa: DOC201
        lack = np.where(strings.free > 0, np.maximum(least_mm - self.rooms[:, :2].min(axis=1), 0.0), 0.0)
        bent = np.maximum(bend - self.rooms[:, 2], 0.0) * strings.bends[strings.owners]
        return np.maximum.reduceat(np.maximum(lack, bent), strings.firsts[:-1])


@dataclass(frozen=True, slots=True, kw_only=True)
class Still:
    """Tubes that are not moved, and ends over nipples: s polylines.

    Parameters
    ----------
    lines : tuple of array, shape (k, 3)
        Where they lie.
    radii : array, shape (s,)
        Of their outside.
    groups : array of int, shape (s,)
        The tube, by its number among the stations, that an end over a nipple belongs to; below 0 for others,
        each of its own.
    """

    lines: tuple[Floats, ...]
    radii: Floats
    groups: Ints


def strings_of(
    tubes: Sequence[Sequence[Stretch]], stations: Stations, own: Sequence[int], step_mm: float, still: Still
) -> Strings:
    """Return strings with points a step apart; of held stretches no point can move.

    Parameters
    ----------
    tubes : sequence of sequence of Stretch
        Each tube's stretches in order.
    stations : Stations
        All tubes.
    own : sequence of int
        Which of them these are.
    step_mm : float
        Between points; never nearer than an outside diameter.
    still : Still
        Tubes that are not moved; their strings follow the others.

    Returns
    -------
    strings : Strings
        To be moved.
    """
    points, free, exempt = [], [], []
    for tube, stretches in zip(own, tubes, strict=True):
        row, loose = _string(
            stretches, 2 * float(stations.radii[tube]) * LEG, step_mm, float(stations.bends[tube])
        )
        points.append(row)
        free.append(loose)
        exempt.append(_exempt(row, stations, tube))
    for line in still.lines:
        points.append(line)
        free.append(np.zeros(len(line)))
        exempt.append(np.full(len(line), -1))
    firsts = np.append(0, np.cumsum([len(row) for row in points]))
    return Strings(
        points=np.ascontiguousarray(np.concatenate(points)),
        firsts=firsts,
        free=np.concatenate(free),
        owners=np.repeat(np.arange(len(points)), np.diff(firsts)),
        groups=np.append(np.array(own, dtype=np.int64), still.groups),
        radii=np.append(stations.radii[list(own)], still.radii),
        bends=np.append(stations.bends[list(own)], np.ones(len(still.radii))),
        exempt=np.concatenate(exempt),
    )


def _string(stretches: Sequence[Stretch], least: float, step_mm: float, bend: float) -> tuple[Floats, Floats]:
    """Return a tube's points, and 1 for each that may move."""
    rows, flags = [stretches[0].points[:1]], [np.zeros(1)]
    for stretch in stretches:
        step = max(least, min(step_mm, STEP_HELD_MM)) if stretch.held else max(least, step_mm)
        row = evenly(stretch.points, step, stretch.held, bend)
        rows.append(row[1:])
        flags.append(np.append(np.full(len(row) - 2, 0.0 if stretch.held else 1.0), 0.0))
    return np.concatenate(rows), np.concatenate(flags)


def _exempt(points: Floats, stations: Stations, tube: int) -> Ints:
    """Return for each point the thing that carries a nipple so near to it that it need not be kept off."""
    found = np.full(len(points), -1, dtype=np.int64)
    for end in (0, 1):
        near = np.linalg.norm(points - stations.tips[tube, end], axis=1) <= stations.excused[tube, end]
        if stations.carriers[tube, end] >= 0:
            found[near] = stations.carriers[tube, end]
    return found


def evenly(points: Floats, step: float, held: bool, reach: float) -> Floats:
    """Return points about a step apart along a polyline, its corners cut as tubes are bent; ends kept.

    Parameters
    ----------
    points : array, shape (n, 3)
        The polyline.
    step : float
        Between points.
    held : bool
        Of a held stretch: no corner is cut, and no step is shorter than asked.
    reach : float
        No corner is cut from further: what lies within the corner is not met.

    Returns
    -------
    points : array, shape (m, 3)
        The first and the last as they were.
    """
    if not held and len(points) > 2:
        points = _rounded(points, reach)
    along = np.append(0.0, np.cumsum(np.linalg.norm(np.diff(points, axis=0), axis=1)))
    count = max(int(along[-1] / step), 1) if held else max(round(along[-1] / step), 2)
    shares = np.linspace(0.0, along[-1], count + 1)
    return np.stack([np.interp(shares, along, axis) for axis in points.T], axis=1)


def _rounded(points: Floats, reach: float, pieces: int = 6) -> Floats:
    """Return points along parabolas that cut corners, from half way between them or from within reach."""
    legs = np.diff(points, axis=0)
    sizes = np.linalg.norm(legs, axis=1)
    cut = np.minimum(0.5, reach / np.maximum(sizes, 1e-9))[:, None] * legs
    t = np.linspace(0.0, 1.0, pieces + 1)[None, :, None]
    corner = points[1:-1, None]
    begin, end = corner - cut[:-1, None], corner + cut[1:, None]
    curves = (1 - t) ** 2 * begin + 2 * t * (1 - t) * corner + t**2 * end
    return np.concatenate([points[:1], curves.reshape(-1, 3), points[-1:]])


def stretches_of(strings: Strings, count: int) -> list[list[Stretch]]:
    """Return the first strings as stretches again, held ones and free ones."""
    found = []
    for first, last in itertools.pairwise(strings.firsts[: count + 1]):
        points, free = strings.points[first:last], strings.free[first:last] > 0
        loose = free[1:] | free[:-1]
        cuts = [0, *(np.nonzero(loose[1:] != loose[:-1])[0] + 1).tolist(), len(loose)]
        # Two free stretches meet in a held point.
        found.append(
            [Stretch(points=points[a : b + 1].copy(), held=not loose[a]) for a, b in itertools.pairwise(cuts)]
        )
    return found


def relaxed(strings: Strings, obstacles: Obstacles, level: Level, gaps: Floats) -> Iterator[State | None]:
    """Move strings until they keep apart, off everything and gently bent, or the rounds are over.

    Parameters
    ----------
    strings : Strings
        Moved in place.
    obstacles : Obstacles
        What to keep off.
    level : Level
        How.
    gaps : array, shape (2, n)
        What is to be free about each point to other tubes, and to everything else.

    Yields
    ------
    state : State or None
        None every few rounds; at the end how it stands.
    """
    watch, before = _Watch(strings, gaps[0]), np.inf
    n = len(strings.points)
    forces = Forces(own=np.zeros(n), next=np.zeros(n), after=np.zeros(n), moves=np.zeros((n, 3)))
    going = np.zeros((n, 3))
    needs = Needs(lacks=np.zeros(len(strings.radii)), idle=np.zeros(len(strings.radii), dtype=np.int64))
    things = obstacles.table, obstacles.reach
    for number in range(level.rounds):
        share = level.begins + (1.0 - level.begins) * min(1.0, number / level.grows)
        pulled = max(0.0, 1 - number / (EASED * level.rounds))
        pulls = (level.tension * pulled, level.fairness * pulled)
        watched = watch.look(share)
        settling.begin(forces, needs)
        spreading.touch(strings, watched, watch.count, (gaps[0], share), forces, needs)
        spreading.keep_off(strings, things, (gaps[1], share), watch.sights, forces, needs)
        settling.hold_bends(strings, level.firm, EVEN, pulls, forces, needs)
        if share >= 1.0 and not needs.lacks.any():
            break
        if share >= 1.0 and pulls == (0.0, 0.0):
            needs.idle[:] = np.where(needs.lacks > 0.0, 0, needs.idle + 1)
            if number % PATIENCE == PATIENCE - 1:
                total = float(needs.lacks.sum())
                if total > GAINS * before:
                    break
                before = total
        watch.furthest = settling.settle(strings, forces, (going, KEEPS, level.most_mm), watched, needs)
        if number % TOLD == TOLD - 1:
            yield None
    yield watch.state(things)


class _Watch:
    """What strings may meet: edges near each other are sought anew where points have gone far."""

    def __init__(self, strings: Strings, gaps: Floats) -> None:
        self.strings, self.gaps = strings, gaps
        n = len(strings.points)
        self.sights = Sights(places=np.zeros((QUARTERS * n, 3)), clear=np.full(QUARTERS * n, -1.0))
        self.watched = Watched(
            pairs=np.zeros((ROOM, 2), dtype=np.int64),
            spare=np.zeros(ROOM),
            start=strings.points.copy(),
            strayed=np.full(n, np.inf),
        )
        self.count, self.furthest = 0, np.inf
        self.thinnest = 2 * float(strings.radii.min())

    def look(self, share: float) -> Watched:
        """Seek pairs of edges where it is time: tubes that still grow are far from touching."""
        most = REACH_MM - float(self.gaps.max()) + (1.0 - share) * self.thinnest
        if 2 * self.furthest > most:
            settling.respace(self.strings, UNEVEN, self.watched.strayed)
            self._seek(most / 2 * SOON)
            self.furthest = float(self.watched.strayed.max())
        return self.watched

    def _seek(self, far: float) -> None:
        known, kept = self.watched, self.count
        self.count = adjacency.near_pairs(self.strings, self.gaps, REACH_MM, known, kept, far)
        if self.count > len(known.pairs):
            room = np.zeros((2 * self.count, 2), dtype=np.int64), np.zeros(2 * self.count)
            self.watched = known._replace(pairs=room[0], spare=room[1])
            self.watched.strayed[:], self.count = np.inf, 0
            self._seek(far)

    def state(self, things: tuple[Table, float]) -> State:
        """Return how it stands with every point."""
        self._seek(0.0)
        rooms = np.zeros((len(self.strings.points), 3))
        spreading.fill_rooms(self.strings, self.watched, self.count, things, self.sights, rooms)
        return State(rooms=rooms)


def state_of(strings: Strings, obstacles: Obstacles) -> State:
    """Return how it stands with every point."""
    return _Watch(strings, np.zeros(len(strings.points))).state((obstacles.table, obstacles.reach))
