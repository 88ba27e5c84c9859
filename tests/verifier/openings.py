"""What tubes go through: openings of boards and free-standing passages, as flat outlines with a thickness.

Through one means: past its middle plane inside the outline, once more one way than the other, and inside the
outline by the margin wherever any of the tube's section is within the thickness.
"""

from dataclasses import dataclass
from typing import Any

import numpy as np
from verifier.parts import Case
from verifier.scenes import SPAN, Scene, Standing, standing
from verifier.tubes import SAGITTA, Centreline

SIDES = 720  # of a round outline
WAYS = ("right", "back", "up")
FINE = 0.02  # between places at which a margin is taken; half of it is taken off


@dataclass(frozen=True)
class Opening:
    """A passage: the middle of its thickness, two directions across and the way through, its outline."""

    name: str
    origin: np.ndarray
    axes: np.ndarray  # rows: first, second, through
    outline: np.ndarray  # corners in turn, in the first two directions
    thick: float
    most: int | None


@dataclass(frozen=True)
class Crossing:
    """How often more one way than back a tube goes through, where first, how far inside its wall is."""

    net: int
    along: float
    margin: float


def openings(whole: Case) -> dict[str, Opening]:
    """Every passage of the scene, by name."""
    scene, found = whole.scene, {}
    for part_name, part in scene.tables.get("part", {}).items():
        if part["kind"] != "board":
            continue
        size = scene.size(part["size"])
        stands = standing(scene, part, size)
        through = int(np.argmin(size))
        for name, said in part.get("opening", {}).items():
            one = _opening(f"{part_name} {name}", said, stands, through, size[through])
            found[one.name] = one
    for name, said in scene.tables.get("passage", {}).items():
        through, thick = WAYS.index(said["along"]), scene.mm(said.get("thick", "0 mm"))
        size = _sizes(scene, said)
        size[through] = thick
        zero = said.get("zero", "case")
        at = scene.point(said["at"], zero, size)
        stands = Standing(scene, zero, at, np.eye(3), [None, None, None])
        inside = {key: value for key, value in said.items() if key != "at"}
        found[name] = _opening(name, {**inside, "at": {}}, stands, through, thick)
    return found


def _sizes(scene: Scene, said: dict[str, Any]) -> list[float]:
    return [scene.mm(said.get("size", {}).get(span, "0 mm")) for span in SPAN]


def _opening(name: str, said: dict[str, Any], stands: Standing, through: int, thick: float) -> Opening:
    first, second = (axis for axis in range(3) if axis != through)
    sizes = _sizes(stands.scene, said)
    at = stands.inside(said["at"], sizes)
    if "diameter" in said:
        turns = np.arange(SIDES) * 2 * np.pi / SIDES
        ring = stands.scene.mm(said["diameter"]) / 2 * np.column_stack([np.cos(turns), np.sin(turns)])
        outline = at[[first, second]] + ring
    elif "outline" in said:
        outline = np.array([(at + stands.inside(one))[[first, second]] for one in said["outline"]])
    else:
        low, high = at[[first, second]], (at + sizes)[[first, second]]
        outline = np.array([low, (high[0], low[1]), high, (low[0], high[1])])
    middle = np.zeros(3)
    middle[through] = thick / 2
    axes = stands.turn[:, [first, second, through]].T
    return Opening(name, stands.case(middle), axes, outline, thick, said.get("most"))


def crossing(line: Centreline, radius: float, opening: Opening) -> Crossing | None:
    """How a tube goes through a passage; None if it does not, or comes back as often."""
    local = (line.points - opening.origin) @ opening.axes.T
    above = local[:, 2] >= 0
    places = np.flatnonzero(above[1:] != above[:-1])
    net, taken = 0, []
    for k in places:
        share = local[k, 2] / (local[k, 2] - local[k + 1, 2])
        spot = local[k] + share * (local[k + 1] - local[k])
        if _inside(spot[None, :2], opening.outline)[0]:
            net += 1 if above[k + 1] else -1
            taken.append((k, float(line.along[k] + share * (line.along[k + 1] - line.along[k]))))
    if net == 0:
        return None
    margin = min(_margin(line, local, radius, opening, along) for _, along in taken)
    return Crossing(abs(net), taken[0][1], margin)


def _margin(line: Centreline, local: np.ndarray, radius: float, opening: Opening, at: float) -> float:
    """At least how far the tube's wall is inside the outline while any of its section is in the thickness.

    A section lies square to the tube: along the way through it reaches ahead of its middle by the radius
    times the cosine of the angle between the tube and the outline's plane.
    """
    within = np.abs(local[:, 2]) <= opening.thick / 2 + radius
    first = last = int(np.searchsorted(line.along, at))
    while first > 0 and within[first - 1]:
        first -= 1
    while last < len(local) - 1 and within[last]:
        last += 1
    begin, end = line.along[max(first - 1, 0)], line.along[last]
    along = np.union1d(np.linspace(begin, end, int((end - begin) / FINE) + 2), [at])
    spots = np.column_stack([np.interp(along, line.along, axis) for axis in local.T])
    chord = np.clip(np.searchsorted(line.along, along), 1, len(local) - 1)
    ways = local[chord] - local[chord - 1]
    slants = (ways[:, 2] / np.linalg.norm(ways, axis=1)).clip(-1, 1)
    section = opening.thick / 2 + radius * np.sqrt(1 - slants**2) + FINE
    spots = spots[(np.abs(spots[:, 2]) <= section) | (along == at)][:, :2]
    off = np.min([_off_side(spots, a, b) for a, b in _sides(opening.outline)], axis=0)
    inside = np.where(_inside(spots, opening.outline), off, -off)
    return float(inside.min()) - radius - SAGITTA - FINE / 2


def _sides(outline: np.ndarray) -> list[tuple[np.ndarray, np.ndarray]]:
    return list(zip(outline, np.roll(outline, -1, axis=0), strict=True))


def _off_side(points: np.ndarray, a: np.ndarray, b: np.ndarray) -> np.ndarray:
    way = b - a
    share = np.clip((points - a) @ way / (way @ way), 0, 1)
    return np.linalg.norm(points - a - share[:, None] * way, axis=1)


def _inside(points: np.ndarray, outline: np.ndarray) -> np.ndarray:
    """Whether points are inside an outline: a ray to the right meets its sides an odd number of times."""
    odd = np.zeros(len(points), bool)
    for a, b in _sides(outline):
        spans = (a[1] > points[:, 1]) != (b[1] > points[:, 1])
        if spans.any():
            at = a[0] + (points[:, 1] - a[1]) * (b[0] - a[0]) / ((b[1] - a[1]) or 1.0)
            odd ^= spans & (points[:, 0] < at)
    return odd
