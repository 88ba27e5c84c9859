"""A tube's centreline from its corners and radii, in short straight chords."""

from dataclasses import dataclass

import numpy as np

SAGITTA = 0.002  # how far a chord may leave its arc, in millimetres
STRAIGHT = 1e-5  # radians; a corner that turns by less is none: it leaves its arc by less than SAGITTA
STEP = 10.0  # longest chord, so that bounds from a chord's middle are worth something


@dataclass(frozen=True)
class Centreline:
    """Points in order, how far along the true curve each lies, and the tightest radius."""

    points: np.ndarray
    along: np.ndarray
    tightest: float

    @property
    def length(self) -> float:
        return float(self.along[-1])


def centreline(corners: np.ndarray, radii: np.ndarray) -> Centreline:
    """Straight pieces and arcs that touch both legs of each corner."""
    corners = np.asarray(corners, float)
    points, along = [corners[0]], [0.0]
    for i, radius in enumerate(np.asarray(radii, float), start=1):
        before, after = corners[i] - corners[i - 1], corners[i + 1] - corners[i]
        before, after = before / np.linalg.norm(before), after / np.linalg.norm(after)
        turn = np.arctan2(np.linalg.norm(np.cross(before, after)), before @ after)
        if turn < STRAIGHT:
            continue
        cut = radius * np.tan(turn / 2)
        begin = corners[i] - cut * before
        _straight(points, along, begin)
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
    _straight(points, along, corners[-1])
    turned = [
        r for r, i in zip(radii, range(1, len(corners) - 1), strict=True)
        if np.linalg.norm(np.cross(corners[i] - corners[i - 1], corners[i + 1] - corners[i])) > 1e-9
    ]  # fmt: skip
    return Centreline(np.array(points), np.array(along), float(min(turned, default=np.inf)))


def cut(line: Centreline, begin: float, end: float) -> Centreline:
    """The part of a centreline between two arc lengths."""
    inside = (line.along > begin) & (line.along < end)
    ends = [np.array([np.interp(at, line.along, line.points[:, k]) for k in range(3)]) for at in (begin, end)]
    points = np.vstack([ends[0], line.points[inside], ends[1]])
    return Centreline(points, np.concatenate([[begin], line.along[inside], [end]]), line.tightest)


def _straight(points: list[np.ndarray], along: list[float], end: np.ndarray) -> None:
    begin, length = points[-1], float(np.linalg.norm(end - points[-1]))
    if length < 1e-9:
        return
    count = int(np.ceil(length / STEP))
    begun = along[-1]
    for k in range(1, count + 1):
        points.append(begin + (end - begin) * k / count)
        along.append(begun + length * k / count)
