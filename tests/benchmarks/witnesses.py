"""How much room a drawn lay leaves, told by the separate checker: to everything, and between tubes."""

from pathlib import Path

import numpy as np
from scipy.spatial import cKDTree
from verifier.lays import Case, Laid, case_of, drawn, sleeves, tube_to_thing, tube_to_tube

BEYOND = 0.6  # what is free by more than this beyond its limit is not looked at
STRIDE = 6.0  # between points when near pairs are sought; sleeves have a point every 10


def laid_in(path: Path) -> tuple[Case, list[Laid]]:
    """The scene as the separate checker reads it, and its tubes as drawn."""
    whole = case_of(path)
    return whole, [drawn(whole, tube, tube["from"], tube["to"]) for tube in whole.scene.tables["tubes"]]


def least_beyond_limits(whole: Case, tubes: list[Laid]) -> float:
    """The least clearance of any tube to any thing, over the whole travel, less what is asked for there."""
    least = np.inf
    for thing in whole.things.values():
        limit = whole.scene.limit("moving" if thing.motion else "fixed", 2.0)
        if thing.kind == "keep_clear":
            limit = 0.0
        for tube in tubes:
            if _apart(tube, thing) > limit + BEYOND:
                continue
            found = tube_to_thing(whole, tube, thing, limit + BEYOND)
            least = min(least, found.distance - found.sampling - limit)
    return float(least)


def least_between(whole: Case, tubes: list[Laid]) -> float:
    """The least room between two tubes, their ends over the nipples included."""
    found = (tube_to_tube(whole, tubes[i], tubes[j], BEYOND).distance for i, j in _near_pairs(whole, tubes))
    return float(min(found, default=np.inf))


def _near_pairs(whole: Case, tubes: list[Laid]) -> list[tuple[int, int]]:
    """Pairs whose centrelines, their ends over the nipples included, come near; others are not looked at."""
    points, owners = [], []
    for number, tube in enumerate(tubes):
        along = np.arange(0.0, tube.line.length + STRIDE, STRIDE)
        rows = [np.column_stack([np.interp(along, tube.line.along, axis) for axis in tube.line.points.T])]
        rows += [line.points for _, line, _ in sleeves(whole, tube)]
        points.append(np.vstack(rows))
        owners.append(np.full(len(points[-1]), number))
    widest = max(wide for tube in tubes for _, _, wide in sleeves(whole, tube))
    near = cKDTree(np.vstack(points)).query_pairs(BEYOND + widest + 2 * STRIDE, output_type="ndarray")
    pairs = np.sort(np.concatenate(owners)[near], axis=1)
    return [(int(i), int(j)) for i, j in np.unique(pairs, axis=0) if i != j]


def _apart(tube: Laid, thing) -> float:
    """At least how far a tube's wall and sleeves are from what stands still; 0 for what moves."""
    if thing.motion is not None:
        return 0.0
    over = 20.0  # the ends over the nipples and what they are wider
    far = []
    for shape in thing.shapes:
        if shape.halves is None:
            near = np.linalg.norm(tube.line.points - shape.place, axis=1) - shape.reach
        else:
            local = (tube.line.points - shape.place) @ shape.turn
            near = np.linalg.norm(np.maximum(np.abs(local) - shape.halves, 0.0), axis=1)
        far.append(near.min())
    return float(min(far)) - over
