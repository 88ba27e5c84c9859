"""Least distances between tubes, and from tubes to convex pieces anywhere in a travel, by plain search.

A stretch of tube and of a travel is cut into ever smaller cells; what cannot hold the least is dropped.
Nothing of the program is imported: what is written here follows from an archive's README.txt.
"""

import math
from dataclasses import dataclass

import numpy as np

FINE_MM = 0.1  # cells no longer than this: near a least the distance changes with the square of the way
STEP_MM = 8.0  # of the first cells
PROJECTIONS = 400
TOUCHES_MM = 1e-3  # what projecting to and fro cannot tell from touching


@dataclass(frozen=True)
class Piece:
    """A convex piece: an outline or a disc (no corners) with a thickness, where its axes are."""

    origin: np.ndarray
    axes: np.ndarray  # rows
    half: float
    radius: float
    corners: np.ndarray
    reach: float


@dataclass(frozen=True)
class Line:
    """Straight pieces and arcs, with the way along at which each starts; a tube's wall is ``radius`` off."""

    starts: np.ndarray
    tangents: np.ndarray
    normals: np.ndarray
    bends: np.ndarray
    lengths: np.ndarray
    alongs: np.ndarray
    radius: float
    low: float = 0.0
    high: float = math.inf

    @property
    def end(self):
        """How far along it goes."""
        return min(self.high, float(self.alongs[-1] + self.lengths[-1]))

    def at(self, along):
        """Points and directions at given ways along."""
        k = np.clip(np.searchsorted(self.alongs, along, side="right") - 1, 0, None)
        into, bend = along - self.alongs[k], self.bends[k]
        straight = bend == 0
        safe = np.where(straight, 1.0, bend)
        forward = np.where(straight, into, np.sin(safe * into) / safe)[:, None]
        aside = np.where(straight, 0.0, (1 - np.cos(safe * into)) / safe)[:, None]
        points = self.starts[k] + self.tangents[k] * forward + self.normals[k] * aside
        turned = np.where(straight, 0.0, bend * into)[:, None]
        return points, self.tangents[k] * np.cos(turned) + self.normals[k] * np.sin(turned)


@dataclass(frozen=True)
class Motion:
    """A hinge (a point of its axis, radians at full travel) or a slide (no point, mm at full travel)."""

    point: np.ndarray | None
    way: np.ndarray
    full: float

    def back(self, points, ways, shares):
        """Points and ways as seen from the solid, moved back to rest from given shares of its travel."""
        if self.point is None:
            return points - (shares * self.full)[:, None] * self.way, ways
        angle = -(shares * self.full)[:, None]
        turned = [_turned(rows, self.way, angle) for rows in (points - self.point, ways)]
        return turned[0] + self.point, turned[1]


@dataclass(frozen=True)
class Thing:
    """A solid or space, or a sleeve that stands for one."""

    name: str
    part: str
    sort: str
    asks: float
    pieces: list[Piece]
    motion: Motion | None = None


def line_to_line(one, other, up_to):
    """Least distance between the walls of two tubes without their sleeves; their ends are round."""
    walls = one.radius + other.radius
    (u, hu), (v, hv) = (_cells(line.low, line.end) for line in (one, other))
    u, v = (grid.ravel() for grid in np.meshgrid(u, v, indexing="ij"))
    best = math.inf
    while True:
        off = np.linalg.norm(one.at(u)[0] - other.at(v)[0], axis=1)
        best = min(best, float(off.min()))
        kept = off - hu - hv <= min(best, up_to + walls)
        if not kept.any():
            return math.inf
        if max(hu, hv) <= FINE_MM / 2:
            return best - walls if best - walls <= up_to else math.inf
        u, v = _halved(u[kept], v[kept], hu, hv)
        hu, hv = hu / 2, hv / 2


def to_thing(line, thing, up_to):
    """Least distance from a tube's wall, its ends flat, to a thing anywhere in its travel.

    Where they overlap: the radius of the thickest tube on the same line that would not, less the tube's.
    """
    return min((_to_piece(line, piece, thing.motion, up_to) for piece in thing.pieces), default=math.inf)


def _to_piece(line, piece, motion, up_to):
    u, hu = _cells(line.low, line.end)
    points = line.at(u)[0]
    path = 0.0 if motion is None else path_of(piece, motion)
    near = np.linalg.norm(points - piece.origin, axis=1) - piece.reach - path - hu - line.radius <= up_to
    if not near.any():
        return math.inf
    best = math.inf
    for shares in [np.zeros(1)] if motion is None else [np.zeros(1), np.ones(1), None]:
        best = min(best, _searched(line, piece, motion, u[near], hu, shares, path, min(best, up_to)))
    for end in (line.low, line.end):
        best = min(best, _of_end(line, piece, motion, end, path, min(best, up_to)))
    return best


def _searched(line, piece, motion, u, hu, shares, path, up_to):
    """Least over the sides of a tube and given shares of a travel, or all of them (None)."""
    s, hs = (shares, 0.0) if shares is not None else _cells(0.0, 1.0, max(STEP_MM / max(path, STEP_MM), 0.02))
    u, s = (grid.ravel() for grid in np.meshgrid(u, s, indexing="ij"))
    best = math.inf
    while True:
        points, ways = line.at(u)
        if motion is not None:
            points, ways = motion.back(points, ways, s)
        nearest = _nearest(piece, points)
        off = nearest - points
        ahead = (off * ways).sum(axis=1)
        whole = np.linalg.norm(off, axis=1)
        aside = np.sqrt(np.maximum(whole**2 - ahead**2, 0.0))
        # What is nearest to the middle is no nearer to the section's rim than this; at a least it is so near.
        walls = np.hypot(ahead, np.maximum(aside - line.radius, 0.0))
        best = min(best, float(walls.min()))
        kept = whole - line.radius - hu - path * hs <= min(best, up_to)
        if not kept.any() or max(hu, path * hs) <= FINE_MM / 2:
            break
        kept &= walls - 2 * (hu + path * hs) <= best
        u, s = _halved(u[kept], s[kept], hu, hs)
        hu, hs = hu / 2, hs / 2
    # Where the nearest point lies beside the middle, not ahead of it, it may be nearer than the wall.
    beside = np.abs(ahead) <= 2 * (hu + path * hs)
    best = min(best, float((whole - line.radius)[beside & (whole < line.radius)].min(initial=best)))
    return best if best <= up_to else math.inf


def _of_end(line, piece, motion, end, path, up_to):
    """Least distance from the flat end of a tube to a piece, anywhere in the travel."""
    count = 2 if motion is None else max(math.ceil(path / FINE_MM), 1) + 1
    s = np.linspace(0.0, 1.0, count) if motion is not None else np.zeros(1)
    middle, way = (np.repeat(rows, len(s), axis=0) for rows in line.at(np.array([end])))
    if motion is not None:
        middle, way = motion.back(middle, way, s)
    off = np.linalg.norm(_nearest(piece, middle) - middle, axis=1) - line.radius
    kept = off <= up_to
    if not kept.any():
        return math.inf
    best = _disc(piece, middle[kept], way[kept], line.radius)
    if best > TOUCHES_MM:
        return best if best <= up_to else math.inf
    thin, thick = 0.0, line.radius
    while thick - thin > TOUCHES_MM:
        between = (thin + thick) / 2
        touches = _disc(piece, middle[kept], way[kept], between) <= TOUCHES_MM
        thin, thick = (thin, between) if touches else (between, thick)
    return thin - line.radius


def _disc(piece, middle, way, radius):
    """Least distance from discs to a piece, by projecting to and fro."""
    on_disc = middle
    for _ in range(PROJECTIONS):
        there = _nearest(piece, on_disc)
        flat = there - middle
        flat -= (flat * way).sum(axis=1)[:, None] * way
        wide = np.linalg.norm(flat, axis=1)[:, None]
        on_disc = middle + flat * np.minimum(1.0, radius / np.maximum(wide, 1e-12))
    return float(np.linalg.norm(there - on_disc, axis=1).min())


def _nearest(piece, points):
    """The point of a piece nearest to each given one."""
    local = (points - piece.origin) @ piece.axes.T
    flat = local[:, :2]
    if not len(piece.corners):
        wide = np.linalg.norm(flat, axis=1)[:, None]
        flat = flat * np.minimum(1.0, piece.radius / np.maximum(wide, 1e-12))
    else:
        flat = _in_outline(piece.corners, flat)
    inside = np.column_stack([flat, np.clip(local[:, 2], -piece.half, piece.half)])
    return inside @ piece.axes + piece.origin


def _in_outline(corners, flat):
    """The point of a convex outline nearest to each given one; itself where it is inside."""
    edges = np.roll(corners, -1, axis=0) - corners
    seen = flat[:, None] - corners
    left = edges[:, 0] * seen[..., 1] - edges[:, 1] * seen[..., 0]
    share = np.clip((seen * edges).sum(axis=2) / (edges**2).sum(axis=1), 0.0, 1.0)
    places = corners + share[..., None] * edges
    best = np.linalg.norm(flat[:, None] - places, axis=2).argmin(axis=1)
    inside = (left >= 0).all(axis=1)
    return np.where(inside[:, None], flat, places[np.arange(len(flat)), best])


def _turned(vectors, axis, angle):
    """Rodrigues: turned right-handed about an axis through zero."""
    along = (vectors @ axis)[:, None] * axis
    return vectors * np.cos(angle) + np.cross(axis, vectors) * np.sin(angle) + along * (1 - np.cos(angle))


def path_of(piece, motion):
    """How far any point of a piece goes in the whole travel, at most."""
    if motion.point is None:
        return abs(motion.full)
    arm = piece.origin - motion.point
    arm = arm - (arm @ motion.way) * motion.way
    return (float(np.linalg.norm(arm)) + piece.reach) * abs(motion.full)


def _cells(low, high, step=STEP_MM):
    """Middles of equal cells from low to high, and half their length."""
    count = max(math.ceil((high - low) / step), 1)
    half = (high - low) / count / 2
    return low + half * (1 + 2 * np.arange(count)), half


def _halved(u, s, hu, hs):
    """Both halves of each cell, in both directions; a direction without length stays."""
    u = np.concatenate([u - hu / 2, u + hu / 2]) if hu > 0 else u
    s = np.concatenate([s, s]) if hu > 0 else s
    if hs > 0:
        u, s = np.concatenate([u, u]), np.concatenate([s - hs / 2, s + hs / 2])
    return u, s
