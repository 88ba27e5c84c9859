"""A lay made before its cabinet: ribbons of tubes from a bar's holes to a stack's pegs, which keep apart.

Every ribbon has depths of its own. From the bar its tubes run level to their depth and turn down; at that
depth they shift sideways to the columns of their passage, go through it, and shift again to their pegs: as
parallel offsets of one line-and-arc spine, radii growing outwards. Last they leave the depth for the stack,
each in the plane of its own peg. Within a depth tubes keep their order; between depths any wiring can be had.

Of two holes side by side in the bar's two rows, the lower must not go deeper past the upper where the upper
comes down: the runs of ribbons along the bar end at holes where this cannot happen.
"""

from dataclasses import dataclass
from itertools import pairwise

import numpy as np

OUTSIDE, BORE, LEAST = (
    5.16,
    3.57,
    20.6,
)  # a small gum tube: 9/64 in bore, 1/32 in wall, four times its outside
NIPPLE, OVER = 3.969, 11.0  # 5/32 in, and how much tube goes over it
HOLE, PEG = (
    25.4 / 9,
    6.35,
)  # along the bar in two rows, nine to the inch; along the stack in two rows, half an inch
MARGIN = 0.5  # beyond every limit
SLACK = 0.05  # clearances are judged to this; so are proofs
FIXED, MOVING = 2.0, 3.0  # limits
KEY_LONG, KEYS_FRONT = 380.0, 20.0
ANGLES = np.radians([90, 80, 70, 60, 52, 45])  # of a ribbon's sideways run, off the vertical


class NoSuch(Exception):
    """These draws give no cabinet; others will."""


@dataclass(frozen=True)
class Ribbon:
    """Tubes of one passage: layers of one depth each, with their holes, pegs and columns in order."""

    spacing: float
    radius: float
    depths: np.ndarray
    holes: list[np.ndarray]
    pegs: list[np.ndarray]

    @property
    def wide(self) -> int:
        return max(len(layer) for layer in self.holes)

    @property
    def count(self) -> int:
        return sum(len(layer) for layer in self.holes)


@dataclass(frozen=True)
class Levels:
    """Heights from the stack up, and how the stack's pegs point."""

    faces: str
    peg: float
    fall: float  # below this each tube is in the plane of its peg
    boards: list[tuple[float, float]]  # lower and upper face, from the top down
    shift_low: tuple[float, float]
    shift_up: tuple[float, float]
    bar: float
    rows: float


@dataclass(frozen=True)
class Lay:
    """The witness: corners and radii of every tube, by hole, and what it was made from."""

    wide: float
    levels: Levels
    bar: np.ndarray  # tips by hole
    stack: np.ndarray  # tips by peg
    peg_of: np.ndarray
    ribbon_of: np.ndarray
    corners: list[np.ndarray]
    radii: list[np.ndarray]
    ribbons: list[Ribbon]
    lefts: np.ndarray  # the first column of each ribbon's passage
    rights: np.ndarray


def a_lay(draw: np.random.Generator, tubes: int) -> Lay:
    """Draw a lay of so many tubes; raises NoSuch where the draws contradict each other."""
    count = max(2, round(tubes / 26))
    rank = draw.permutation(count)
    holes = _runs(draw, tubes, rank)
    pegs = _blocks(draw, np.bincount(holes, minlength=count))
    ribbons = _ribbons(draw, holes, pegs, rank)
    levels = _levels(draw, ribbons)
    wide = round(PEG * tubes + draw.uniform(300, 420), 1)
    bar, stack = _tips(draw, tubes, wide, ribbons, levels)
    lefts, shifts = _passages(draw, ribbons, levels, bar, stack, wide)
    corners: list[np.ndarray] = [np.empty(0)] * tubes
    radii: list[np.ndarray] = [np.empty(0)] * tubes
    peg_of = np.zeros(tubes, int)
    for ribbon, left, (upper, lower) in zip(ribbons, lefts, shifts, strict=True):
        for layer, depth in enumerate(ribbon.depths):
            columns = left + ribbon.spacing * np.arange(len(ribbon.holes[layer]))
            for i, (hole, peg) in enumerate(zip(ribbon.holes[layer], ribbon.pegs[layer], strict=True)):
                ways = (upper[layer][:, i], lower[layer][:, i])
                corners[hole], radii[hole] = _way(
                    ribbon, levels, bar[hole], stack[peg], columns[i], depth, ways
                )
                peg_of[hole] = peg
    rights = lefts + np.array([ribbon.spacing * (ribbon.wide - 1) for ribbon in ribbons])
    lay = Lay(wide, levels, bar, stack, peg_of, holes, corners, radii, ribbons, lefts, rights)
    return _mirrored(lay) if draw.random() < 0.5 else lay


# ── who goes where ───────────────────────────────────────────────────────────────────────────────
def _runs(draw: np.random.Generator, tubes: int, rank: np.ndarray) -> np.ndarray:
    """The ribbon of each hole: runs along the bar, some ribbons with two, never two of one side by side."""
    count = len(rank)
    twice = draw.choice(count, draw.integers(0, count // 2 + 1), replace=False)
    order = draw.permutation([*range(count), *twice])
    while any(a == b for a, b in pairwise(order)):
        order = draw.permutation(order)
    shares = np.array([1 / np.sum(order == label) for label in order]) * draw.uniform(0.85, 1.15, len(order))
    ends = np.round(np.cumsum(shares) / shares.sum() * tubes).astype(int)
    for i, (left, right) in enumerate(pairwise(order)):
        # even holes are in the lower row; the shallower ribbon ends so that no lower hole goes past it
        if (ends[i] % 2 == 1) != (rank[left] < rank[right]):
            ends[i] += 1
    if (np.diff(ends, prepend=0) < 4).any():
        raise NoSuch("a run of less than four")
    return np.repeat(order, np.diff(ends, prepend=0))


def _blocks(draw: np.random.Generator, sizes: np.ndarray) -> np.ndarray:
    """The ribbon of each peg: blocks in any order, interleaved to a depth about their borders."""
    labels = np.repeat(order := draw.permutation(len(sizes)), sizes[order])
    for border in np.cumsum(sizes[order])[:-1]:
        reach = int(draw.integers(0, 11))
        labels[border - reach : border + reach] = draw.permutation(labels[border - reach : border + reach])
    return labels


def _ribbons(
    draw: np.random.Generator, holes: np.ndarray, pegs: np.ndarray, rank: np.ndarray
) -> list[Ribbon]:
    """Layers of each ribbon: lower holes in front, upper ones behind; depths one after another by rank."""
    made: dict[int, Ribbon] = {}
    depth = KEYS_FRONT + KEY_LONG + MOVING + MARGIN + OUTSIDE / 2
    for label in np.argsort(rank):
        spacing, radius = draw.uniform(5.66, 5.9), LEAST * draw.uniform(1.03, 1.5)
        own = np.flatnonzero(holes == label)
        lower, upper = own[own % 2 == 0], own[own % 2 == 1]
        layers = [lower, upper]
        if len(own) > 16 and draw.random() < 0.5:
            layers = [*_halves(draw, lower), *_halves(draw, upper)]
        taken = draw.permutation(np.repeat(np.arange(len(layers)), [len(layer) for layer in layers]))
        if draw.random() < 0.4:
            taken = np.sort(taken)
        own_pegs = np.flatnonzero(pegs == label)
        depths = depth + spacing * np.arange(len(layers))
        split = [own_pegs[taken == i] for i in range(len(layers))]
        made[label] = Ribbon(spacing, radius, depths, layers, split)
        depth = depths[-1] + 6.0 + draw.uniform(0, 8)
    return [made[label] for label in range(len(rank))]


def _halves(draw: np.random.Generator, holes: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Every other one, or the first and the last half."""
    if draw.random() < 0.5:
        return holes[::2], holes[1::2]
    return holes[: len(holes) // 2], holes[len(holes) // 2 :]


# ── where things are ─────────────────────────────────────────────────────────────────────────────
def _levels(draw: np.random.Generator, ribbons: list[Ribbon]) -> Levels:
    faces = "up" if draw.random() < 0.6 else "front"
    radius = max(ribbon.radius for ribbon in ribbons)
    deep = max(r.depths[-1] for r in ribbons) - min(r.depths[0] for r in ribbons)
    peg = 150.0
    fall = peg + (2 * 25.0 + 20 + max(90.0, deep) if faces == "up" else radius + 45)
    shift_low = (fall, fall + draw.uniform(200, 270))
    lowest = shift_low[1] + 4
    boards = [(lowest, lowest + draw.uniform(18, 40))]
    if draw.random() < 0.4:
        upper = boards[0][1] + draw.uniform(60, 110)
        boards.insert(0, (upper, upper + draw.uniform(18, 40)))
    shift_up = (boards[0][1] + 4, boards[0][1] + 4 + draw.uniform(200, 270))
    return Levels(
        faces, peg, fall, boards, shift_low, shift_up, shift_up[1] + radius + 4, draw.uniform(9, 12)
    )


def _tips(
    draw: np.random.Generator, tubes: int, wide: float, ribbons: list[Ribbon], levels: Levels
) -> tuple[np.ndarray, np.ndarray]:
    """Where the nipples of bar and stack end."""
    radius = max(ribbon.radius for ribbon in ribbons)
    first, last = min(r.depths[0] for r in ribbons), max(r.depths[-1] for r in ribbons)
    numbers = np.arange(tubes)
    middle = wide / 2 + draw.uniform(-60, 60)
    bar = np.zeros((tubes, 3))
    bar[:, 0] = middle + HOLE * (numbers - (tubes - 1) / 2)
    bar[:, 1] = first - radius - 8 - draw.uniform(20, 140)
    bar[:, 2] = levels.bar + levels.rows * (numbers % 2)
    stack = np.zeros((tubes, 3))
    stack[:, 0] = wide / 2 + draw.uniform(-40, 40) + PEG * (numbers - (tubes - 1) / 2)
    if levels.faces == "up":
        stack[:, 1] = draw.uniform(first, last) + 14 * (numbers % 2)
        stack[:, 2] = levels.peg
    else:
        stack[:, 1] = last + radius + 10
        stack[:, 2] = levels.peg + 20 * (numbers % 2)
    return np.round(bar, 3), np.round(stack, 3)


def _passages(
    draw: np.random.Generator,
    ribbons: list[Ribbon],
    levels: Levels,
    bar: np.ndarray,
    stack: np.ndarray,
    wide: float,
) -> tuple[np.ndarray, list[tuple[list[np.ndarray], list[np.ndarray]]]]:
    """A place for each passage from which both shifts can be made; and the shifts."""
    lefts, shifts = np.full(len(ribbons), np.nan), [None] * len(ribbons)
    for number in draw.permutation(len(ribbons)):
        ribbon = ribbons[number]
        across = ribbon.spacing * (ribbon.wide - 1)
        found = []
        for left in np.arange(22.0, wide - 22 - across, 4.0):
            others = [(lefts[i], lefts[i] + r.spacing * (r.wide - 1)) for i, r in enumerate(ribbons)]
            if any(left < high + 45 and low - 45 < left + across for low, high in others):
                continue
            both = _both_shifts(ribbon, levels, bar, stack, left)
            if both is not None:
                tips = [np.concatenate(ribbon.holes), np.concatenate(ribbon.pegs)]
                reach = sum(
                    np.abs(side[own, 0] - left).sum() for side, own in zip((bar, stack), tips, strict=True)
                )
                found.append((reach, left, both))
        if not found:
            raise NoSuch("no place for a passage")
        found.sort(key=lambda one: one[0])
        _, lefts[number], shifts[number] = found[int(draw.integers(0, max(1, len(found) // 2)))]
    return lefts, shifts  # type: ignore[return-value]


def _both_shifts(
    ribbon: Ribbon, levels: Levels, bar: np.ndarray, stack: np.ndarray, left: float
) -> tuple[list[np.ndarray], list[np.ndarray]] | None:
    columns = [left + ribbon.spacing * np.arange(len(layer)) for layer in ribbon.holes]
    above = [(bar[own, 0], t) for own, t in zip(ribbon.holes, columns, strict=True)]
    below = [(t, stack[own, 0]) for own, t in zip(ribbon.pegs, columns, strict=True)]
    upper = _shifts(above, ribbon, levels.shift_up)
    lower = None if upper is None else _shifts(below, ribbon, levels.shift_low)
    return None if upper is None or lower is None else (upper, lower)


# ── shifts ───────────────────────────────────────────────────────────────────────────────────────
def _shifts(
    layers: list[tuple[np.ndarray, np.ndarray]], ribbon: Ribbon, room: tuple[float, float]
) -> list[np.ndarray] | None:
    """All layers of a ribbon shifted at one angle, in the middle of the room; None if no angle will do."""
    for angle in ANGLES:
        made = [_layer_shift(high, low, angle, ribbon.spacing, ribbon.radius) for high, low in layers]
        if any(one is None for one in made):
            continue
        every = np.hstack(made)  # type: ignore[arg-type]
        top = float((every[0] + every[2] * np.tan(angle / 2)).max())
        bottom = float((every[1] - every[3] * np.tan(angle / 2)).min())
        if top - bottom <= room[1] - room[0]:
            move = np.array([[1.0], [1.0], [0.0], [0.0]]) * ((room[0] + room[1]) / 2 - (top + bottom) / 2)
            return [one + move for one in made if one is not None]
    return None


def _layer_shift(
    high: np.ndarray, low: np.ndarray, angle: float, spacing: float, radius: float
) -> np.ndarray | None:
    """Heights of both corners and both radii of each tube; those moving right and those moving left apart."""
    right = low > high
    found = np.zeros((4, len(high)))
    for wing, sign in ((right, 1.0), (~right, -1.0)):
        if not wing.any():
            continue
        a, b = sign * high[wing], sign * low[wing]
        if sign < 0:
            a, b = a[::-1], b[::-1]
        if (b - a).min() < (2 * radius + (len(a) - 1) * spacing) * (1 - np.cos(angle)) + 1:
            return None
        made = _parallel(a, b, angle, spacing, radius)
        found[:, wing] = made if sign > 0 else made[:, ::-1]
    return found


def _parallel(a: np.ndarray, b: np.ndarray, angle: float, spacing: float, radius: float) -> np.ndarray:
    """Tubes coming down at a, going right at an angle side by side, and down again at b; the last is highest.

    A sloped line's offset along its normal (cos, sin) grows by the spacing from tube to tube.
    """
    numbers = np.arange(len(a))
    offsets = spacing * numbers
    upper = (offsets - a * np.cos(angle)) / np.sin(angle)
    lower = (offsets - b * np.cos(angle)) / np.sin(angle)
    return np.array([upper, lower, radius + offsets[::-1], radius + offsets])


def _way(
    ribbon: Ribbon,
    levels: Levels,
    tip: np.ndarray,
    peg: np.ndarray,
    column: float,
    depth: float,
    shifts: tuple[np.ndarray, np.ndarray],
) -> tuple[np.ndarray, np.ndarray]:
    """Corners and radii of one tube, its tips included."""
    (a, b, ra, rb), (c, d, rc, rd) = shifts
    x, to = tip[0], peg[0]
    rows = [tip, (x, depth, tip[2]), (x, depth, a), (column, depth, b), (column, depth, c), (to, depth, d)]
    radii = [ribbon.radius, ra, rb, rc, rd]
    if levels.faces == "up":
        begin, end = levels.fall - 14, levels.peg + 32
        if abs(peg[1] - depth) > 0.05:
            half = np.arctan2(abs(peg[1] - depth), begin - end) / 2
            most = np.hypot(peg[1] - depth, begin - end) * 0.45 / np.tan(half)
            rows += [(to, depth, begin), (to, peg[1], end)]
            radii += [min(ribbon.radius, most)] * 2
    else:
        rows.append((to, depth, peg[2]))
        radii.append(ribbon.radius)
    return np.round(np.array([*rows, peg], float), 3), np.round(radii, 3)


def _mirrored(lay: Lay) -> Lay:
    """The same with right and left exchanged."""

    def other(points: np.ndarray) -> np.ndarray:
        return np.round(points * [-1, 1, 1] + [lay.wide, 0, 0], 3)

    return Lay(
        lay.wide, lay.levels, other(lay.bar), other(lay.stack), lay.peg_of, lay.ribbon_of,
        [other(one) for one in lay.corners], lay.radii, lay.ribbons,
        lay.wide - lay.rights, lay.wide - lay.lefts,
    )  # fmt: skip


def points_along(corners: np.ndarray, radii: np.ndarray, step: float) -> np.ndarray:
    """Points of a rounded polyline, no two further apart than a step."""
    found, begin = [], corners[0]
    for before, corner, after, radius in zip(corners, corners[1:], corners[2:], radii, strict=False):
        u, v = (
            (corner - before) / np.linalg.norm(corner - before),
            (after - corner) / np.linalg.norm(after - corner),
        )
        turn = np.arctan2(np.linalg.norm(np.cross(u, v)), u @ v)
        cut = radius * np.tan(turn / 2)
        found.append(_even(begin, corner - cut * u, step))
        inwards = (v - (v @ u) * u) / max(np.sin(turn), 1e-12)
        angles = np.linspace(0, turn, int(np.ceil(radius * turn / step)) + 1)[:, None]
        found.append(corner - cut * u + radius * (np.sin(angles) * u + (1 - np.cos(angles)) * inwards))
        begin = corner + cut * v
    return np.vstack([*found, _even(begin, corners[-1], step)])


def _even(begin: np.ndarray, end: np.ndarray, step: float) -> np.ndarray:
    count = int(np.ceil(np.linalg.norm(end - begin) / step)) + 1
    return begin + (end - begin) * np.linspace(0, 1, count)[:, None]
