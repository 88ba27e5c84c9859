"""What a scene's parts are: shapes for python-fcl with their places, and how they move."""

import math
from dataclasses import dataclass, field, replace
from itertools import pairwise
from typing import Any

import fcl
import numpy as np
from verifier import keys
from verifier.lengths import degrees, numbers
from verifier.scenes import Scene, Standing, rotation, standing, way

READABLE = ("box", "board", "bar", "cylinder", "keyboard", "nipples", "keep_clear", "tee", "coupler")
SIDES = 720  # of a round opening's wall: the chords cut off 1e-5 of its radius
WHOLE = 1e-9


@dataclass(frozen=True)
class Shape:
    """An fcl geometry, how it is turned and where its middle is; half sizes of a box; how far it reaches."""

    geometry: Any
    turn: np.ndarray
    place: np.ndarray
    reach: float
    halves: np.ndarray | None = None


@dataclass(frozen=True)
class Motion:
    """A hinge (a point of its axis, the axis, radians at full travel) or a slide (no point, way, length)."""

    point: np.ndarray | None
    axis: np.ndarray
    full: float

    def pose(self, travel: float) -> tuple[np.ndarray, np.ndarray]:
        """Turn and shift at a share of the travel."""
        if self.point is None:
            return np.eye(3), travel * self.full * self.axis
        turn = rotation(self.axis, travel * self.full)
        return turn, self.point - turn @ self.point


@dataclass(frozen=True)
class Thing:
    """A part, a single key, a copy of a part that repeats, or a space to be kept clear."""

    name: str
    part: str
    kind: str
    shapes: list[Shape]
    motion: Motion | None = None
    clearance: float = 0.0


@dataclass(frozen=True)
class Nipple:
    """A nipple's tip, the way its tube leaves, its diameter, how much tube goes over it, who carries it."""

    tip: np.ndarray
    direction: np.ndarray
    outside: float
    over: float
    carrier: str | None


@dataclass(frozen=True)
class Case:
    """Everything that this reader understands of a scene."""

    scene: Scene
    things: dict[str, Thing] = field(default_factory=dict)
    nipples: dict[str, Nipple] = field(default_factory=dict)
    unread: list[str] = field(default_factory=list)


def case(scene: Scene) -> Case:
    """Build every part that can be read."""
    whole = Case(scene)
    for name, part in scene.tables.get("part", {}).items():
        if part["kind"] in ("tee", "coupler") and "at" not in part:
            continue  # nobody has said yet where it lies
        if part["kind"] not in READABLE:
            whole.unread.append(name)
            continue
        things, nipples = _part(scene, name, part)
        whole.things.update({thing.name: thing for thing in things})
        whole.nipples.update(nipples)
    return whole


def _part(scene: Scene, name: str, part: dict[str, Any]) -> tuple[list[Thing], dict[str, Nipple]]:
    if part["kind"] == "keyboard":
        return _keyboard(scene, name, part), {}
    stands = standing(scene, part, scene.size(part["size"]) if "size" in part else None)
    motion = _motion(part.get("motion"), stands)
    clearance = scene.mm(part["clearance"]) if "clearance" in part else 0.0
    shapes = _shapes(part, stands)
    thing = Thing(name, name, part["kind"], shapes, motion, clearance)
    nipples = _nipples(scene, name, part, stands)
    if "repeat" not in part:
        return [thing] if shapes else [], nipples
    step = scene.point({**part["repeat"]["step"], "zero": "case"}, "case")
    copies = [_copy(thing, name, i, i * step) for i in range(part["repeat"]["count"])]
    moved = {}
    for i in range(part["repeat"]["count"]):
        for known, nipple in nipples.items():
            number = known.removeprefix(f"{name} ")
            carrier = nipple.carrier and f"{nipple.carrier} {i + 1}"
            moved[f"{name} {i + 1} {number}"] = replace(nipple, tip=nipple.tip + i * step, carrier=carrier)
    return copies, moved


def _copy(thing: Thing, name: str, i: int, shift: np.ndarray) -> Thing:
    motion = thing.motion
    if motion is not None and motion.point is not None:
        motion = replace(motion, point=motion.point + shift)
    shapes = [replace(shape, place=shape.place + shift) for shape in thing.shapes]
    return replace(thing, name=f"{name} {i + 1}", shapes=shapes, motion=motion)


def _motion(said: dict[str, Any] | None, stands: Standing) -> Motion | None:
    if said is None:
        return None
    if "slides" in said:
        full = stands.scene.mm(said["travel"]) + stands.scene.mm(said.get("doubt", "0 mm"))
        return Motion(None, stands.turn @ way(said["slides"]), full)
    travel, doubt = degrees(said["travel"]), degrees(said.get("doubt", 0))
    full = travel + doubt if travel > 0 else travel - doubt
    point = stands.case(stands.inside(said.get("at", {})))
    return Motion(point, stands.turn @ way(said["turns_about"]), np.radians(full))


# ── shapes ───────────────────────────────────────────────────────────────────────────────────────
def _shapes(part: dict[str, Any], stands: Standing) -> list[Shape]:
    scene = stands.scene
    match part["kind"]:
        case "box" | "keep_clear":
            return [_box([0, 0, 0], scene.size(part["size"]), stands)]
        case "board":
            return _board(part, stands)
        case "bar":
            return [_bar(part, stands)]
        case "cylinder":
            far = stands.turn @ (scene.point(part["to"], stands.zero) - stands.at)
            return [rod(stands.at, stands.at + far, scene.mm(part["diameter"]) / 2)]
        case "tee" | "coupler":
            return _join(part, stands)
        case _:
            return []


def _box(low: Any, high: Any, stands: Standing) -> Shape:
    low, high = np.asarray(low, float), np.asarray(high, float)
    halves = (high - low) / 2
    middle = stands.case((low + high) / 2)
    return Shape(fcl.Box(*(2 * halves)), stands.turn, middle, float(np.linalg.norm(halves)), halves)


def rod(begin: np.ndarray, end: np.ndarray, radius: float) -> Shape:
    """A round bar with flat ends."""
    length = float(np.linalg.norm(end - begin))
    turn = turn_of((end - begin) / length)
    return Shape(fcl.Cylinder(radius, length), turn, (begin + end) / 2, float(np.hypot(length / 2, radius)))


def turn_of(direction: np.ndarray) -> np.ndarray:
    """A rotation that takes z to a unit direction; its columns are two directions across, and that one."""
    x, y, z = (float(part) for part in direction)
    # across: the direction crossed with right, or with back where it runs to the right
    across = (0.0, z, -y) if abs(x) < 0.9 else (-z, 0.0, x)
    far = math.hypot(*across)
    a, b, c = (part / far for part in across)
    return np.array([[a, y * c - z * b, x], [b, z * a - x * c, y], [c, x * b - y * a, z]])


def _bar(part: dict[str, Any], stands: Standing) -> Shape:
    """A bar along its middle line: wide is level, thick square to it; upright, wide is to the right."""
    scene = stands.scene
    far = scene.point(part["to"], stands.zero) - stands.at
    along = far / np.linalg.norm(far)
    level = np.cross(along, [0.0, 0, 1])
    level = level / np.linalg.norm(level) if np.linalg.norm(level) > 1e-6 else np.array([1.0, 0, 0])
    axes = np.column_stack([level, along, np.cross(level, along)])
    halves = np.array([scene.mm(part["wide"]), np.linalg.norm(far), scene.mm(part["thick"])]) / 2
    turn, middle = stands.turn @ axes, stands.at + stands.turn @ (far / 2)
    return Shape(fcl.Box(*(2 * halves)), turn, middle, float(np.linalg.norm(halves)), halves)


def _board(part: dict[str, Any], stands: Standing) -> list[Shape]:
    """A board cut along the edges of its openings into boxes; a round one adds its wall and its corners."""
    scene = stands.scene
    size = scene.size(part["size"])
    through = int(np.argmin(size))
    first, second = (axis for axis in range(3) if axis != through)
    holes, rounds = [], []
    for opening in part.get("opening", {}).values():
        if "diameter" in opening:
            radius = scene.mm(opening["diameter"]) / 2
            middle = stands.inside(opening["at"])
            rounds.append((middle[[first, second]], radius))
            low, high = middle - radius, middle + radius
        else:
            assert "size" in opening, "this reader knows straight-sided and round openings"
            wide = [scene.mm(opening["size"].get(span, "0 mm")) for span in ("wide", "deep", "high")]
            low = stands.inside(opening["at"], wide)
            high = low + wide
        holes.append((low[first], high[first], low[second], high[second]))
    xs = sorted({0.0, size[first], *(x for hole in holes for x in hole[:2])})
    ys = sorted({0.0, size[second], *(y for hole in holes for y in hole[2:])})
    shapes = []
    for left, right in pairwise(xs):
        for near, back in pairwise(ys):
            x, y = (left + right) / 2, (near + back) / 2
            if not any(a < x < b and c < y < d for a, b, c, d in holes):
                low, high = np.zeros(3), np.array(size)
                low[[first, second]], high[[first, second]] = (left, near), (right, back)
                shapes.append(_box(low, high, stands))
    return shapes + [_round_hole(m, r, size[through], (first, second, through), stands) for m, r in rounds]


def _round_hole(
    middle: np.ndarray, radius: float, thick: float, axes: tuple[int, int, int], stands: Standing
) -> Shape:
    """The surface between a round hole and the square about it: its wall, and both faces of the corners."""
    turns = np.arange(SIDES) * 2 * np.pi / SIDES
    ring = np.column_stack([np.cos(turns), np.sin(turns)])
    square = ring / np.abs(ring).max(axis=1, keepdims=True)
    points = np.zeros((4 * SIDES, 3))
    for row, (flat, height) in enumerate(((ring, 0), (ring, thick), (square, 0), (square, thick))):
        block = slice(row * SIDES, (row + 1) * SIDES)
        points[block, axes[0]] = middle[0] + radius * flat[:, 0]
        points[block, axes[1]] = middle[1] + radius * flat[:, 1]
        points[block, axes[2]] = height
    triangles = []
    for one in range(SIDES):
        two = (one + 1) % SIDES
        for a, b in ((0, 1), (0, 2), (1, 3)):  # wall, lower face, upper face
            triangles += [(a * SIDES + one, a * SIDES + two, b * SIDES + one)]
            triangles += [(a * SIDES + two, b * SIDES + two, b * SIDES + one)]
    mesh = fcl.BVHModel()
    mesh.beginModel(len(triangles), len(points))
    centre = np.zeros(3)
    centre[[axes[0], axes[1], axes[2]]] = middle[0], middle[1], thick / 2
    mesh.addSubModel(points - centre, np.array(triangles))
    mesh.endModel()
    reach = float(np.linalg.norm([radius * 2**0.5, thick / 2]))
    return Shape(mesh, stands.turn, stands.case(centre), reach)


def _join(part: dict[str, Any], stands: Standing) -> list[Shape]:
    _, core, ways = _join_measures(part, stands)
    radius = stands.scene.mm(part["outside"]) / 2
    bars = [rod(stands.at - core * ways[1], stands.at + core * ways[1], radius)]
    return bars + [rod(stands.at, stands.at + core * branch, radius) for branch in ways[2:]]


def _join_measures(part: dict[str, Any], stands: Standing) -> tuple[float, float, list[np.ndarray]]:
    """How far its tips are from the middle, how far its body reaches, and the ways of its nipples."""
    scene = stands.scene
    outside = scene.mm(part["outside"])
    over = scene.mm(part["on_nipple"]) if "on_nipple" in part else scene.practice("on_nipple", 11.0)
    half = scene.mm(part["long"]) / 2 if "long" in part else over + outside + scene.limit("tubes", 0.0)
    core = max(half - over, min(outside, half) / 2)
    runs = stands.turn @ way(part.get("runs", "right"))
    ways = [-runs, runs]
    if part["kind"] == "tee":
        ways.append(stands.turn @ way(part.get("branches", "up")))
    return half, core, ways


def _keyboard(scene: Scene, name: str, part: dict[str, Any]) -> list[Thing]:
    stands = standing(scene, part, keys.size(scene, part))
    clearance = scene.mm(part["clearance"]) if "clearance" in part else 0.0
    things = []
    for number, (boxes, balance, angle) in keys.keys(scene, part).items():
        hinge = None
        if angle:
            # the front goes down: right-handed about the player's right, what lies behind the axis rises
            hinge = Motion(
                stands.case([0, balance, 0]), stands.turn @ np.array([1.0, 0, 0]), np.radians(angle)
            )
        shapes = [_box(low, high, stands) for low, high in boxes]
        things.append(Thing(f"{name} {number}", name, "keyboard", shapes, hinge, clearance))
    return things


# ── nipples ──────────────────────────────────────────────────────────────────────────────────────
def _nipples(scene: Scene, name: str, part: dict[str, Any], stands: Standing) -> dict[str, Nipple]:
    own_body = part["kind"] != "nipples"
    carrier = part.get("carried_by", name if own_body else None)
    if part["kind"] in ("tee", "coupler"):
        half, core, ways = _join_measures(part, stands)
        outside = scene.mm(part["outside"])
        return {
            f"{name} {i}": Nipple(stands.at + half * one, one, outside, half - core, carrier)
            for i, one in enumerate(ways, start=1)
        }
    over = scene.mm(part["on_nipple"]) if "on_nipple" in part else scene.practice("on_nipple", 11.0)
    found = {}
    for row in part.get("rows", []):
        named = numbers(row["holes"])
        first = stands.case(stands.inside(row["first"]))
        last = stands.case(stands.inside(row["last"])) if "last" in row else first
        rooms = [
            sum(scene.mm(g["wide"]) for g in row.get("gaps", []) if named.index(g["after"]) < i)
            for i in range(len(named))
        ]
        span = float(np.linalg.norm(last - first))
        pitch = (span - rooms[-1]) / max(len(named) - 1, 1)
        direction = stands.turn @ way(row.get("faces") or part["faces"])
        outside = scene.mm(row.get("outside") or part["outside"])
        for i, number in enumerate(named):
            share = (i * pitch + rooms[i]) / span if span else 0.0
            tip = first + share * (last - first)
            found[f"{name} {number}"] = Nipple(tip, direction, outside, over, carrier)
    return found
