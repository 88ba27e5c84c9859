"""A tube's centreline from its corners and radii, in short straight chords."""

from dataclasses import dataclass

import numpy as np

SAGITTA = 0.002  # how far a chord may leave its arc, in millimetres
STRAIGHT = 1e-5  # radians; a corner that turns by less is none: it leaves its arc by less than SAGITTA
LEAD = 0.2  # length of the first and last chord of a cut piece: more than the rim of a tilted end stands out
STEP = 10.0  # longest chord, so that bounds from a chord's middle are worth something


@dataclass(frozen=True)
class Centreline:
    """Points in order, how far along the true curve each lies and how it goes there, the tightest radius."""

    points: np.ndarray
    along: np.ndarray
    ways: np.ndarray
    tightest: float

    @property
    def length(self) -> float:
        return float(self.along[-1])


def centreline(corners: np.ndarray, radii: np.ndarray) -> Centreline:
    """Straight pieces and arcs that touch both legs of each corner."""
    corners = np.asarray(corners, float)
    points, along = [corners[0]], [0.0]
    ways = [(corners[1] - corners[0]) / np.linalg.norm(corners[1] - corners[0])]
    for i, radius in enumerate(np.asarray(radii, float), start=1):
        before, after = corners[i] - corners[i - 1], corners[i + 1] - corners[i]
        before, after = before / np.linalg.norm(before), after / np.linalg.norm(after)
        turn = np.arctan2(np.linalg.norm(np.cross(before, after)), before @ after)
        if turn < STRAIGHT:
            continue
        cut = radius * np.tan(turn / 2)
        begin = corners[i] - cut * before
        _straight(points, along, ways, begin)
        inwards = after - (after @ before) * before
        middle = begin + radius * inwards / np.linalg.norm(inwards)
        # sagitta = R (1 - cos(half the chord's angle))
        count = max(int(np.ceil(turn / (2 * np.arccos(1 - min(SAGITTA / max(radius, SAGITTA), 1))))), 1)
        begun = along[-1]
        for k in range(1, count + 1):
            angle = turn * k / count
            points.append(
                middle
                - radius * np.cos(angle) * inwards / np.linalg.norm(inwards)
                + radius * np.sin(angle) * before
            )
            along.append(begun + radius * angle)
            ways.append(np.cos(angle) * before + np.sin(angle) * inwards / np.linalg.norm(inwards))
    _straight(points, along, ways, corners[-1])
    turned = [
        r for r, i in zip(radii, range(1, len(corners) - 1), strict=True)
        if np.linalg.norm(np.cross(corners[i] - corners[i - 1], corners[i + 1] - corners[i])) > 1e-9
    ]  # fmt: skip
    return Centreline(np.array(points), np.array(along), np.array(ways), float(min(turned, default=np.inf)))


def cut(line: Centreline, begin: float, end: float) -> Centreline:
    """The part of a centreline between two arc lengths, its ends square to the true curve, not to a chord."""
    lead = min(LEAD, (end - begin) / 3)
    inside = (line.along > begin + lead) & (line.along < end - lead)
    places = np.array([begin, end])
    tips = np.column_stack([np.interp(places, line.along, axis) for axis in line.points.T])
    ways = np.column_stack([np.interp(places, line.along, axis) for axis in line.ways.T])
    ways /= np.linalg.norm(ways, axis=1)[:, None]
    points = np.vstack(
        [tips[0], tips[0] + lead * ways[0], line.points[inside], tips[1] - lead * ways[1], tips[1]]
    )
    along = np.concatenate([[begin, begin + lead], line.along[inside], [end - lead, end]])
    return Centreline(
        points, along, np.vstack([ways[[0, 0]], line.ways[inside], ways[[1, 1]]]), line.tightest
    )


def _straight(points: list[np.ndarray], along: list[float], ways: list[np.ndarray], end: np.ndarray) -> None:
    begin, length = points[-1], float(np.linalg.norm(end - points[-1]))
    if length < 1e-9:
        return
    count = int(np.ceil(length / STEP))
    begun = along[-1]
    for k in range(1, count + 1):
        points.append(begin + (end - begin) * k / count)
        along.append(begun + length * k / count)
        ways.append((end - begin) / length)
