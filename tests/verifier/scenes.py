"""A scene file read a second time: its tables, models under them, zeros, positions, directions.

A fixed subset of what a scene may say: boxes, boards with straight-sided and round openings, bars, cylinders,
keyboards, rows of nipples, tees and couplers, spaces to be kept clear. Nothing of the package is used.
"""

import tomllib
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from verifier.lengths import degrees, mm

MODELS = Path(__file__).parents[2] / "models"
WAYS = {
    "right": (1, 0, 0), "left": (-1, 0, 0),
    "back": (0, 1, 0), "front": (0, -1, 0),
    "up": (0, 0, 1), "down": (0, 0, -1),
}  # fmt: skip
NEAR, FAR, SPAN = ("right", "back", "up"), ("right_end", "back_end", "top_end"), ("wide", "deep", "high")
REPLACED = {
    "outside": "wall",
    "wall": "outside",
    "least_bend": "least_bend_inner",
    "least_bend_inner": "least_bend",
}


@dataclass(frozen=True)
class Scene:
    """A scene's tables, models filled in, and its zeros: name to (place, spans)."""

    tables: dict[str, Any]
    zeros: dict[str, tuple[np.ndarray, list[float | None]]]

    @property
    def units(self) -> str | None:
        return self.tables.get("units")

    def mm(self, value: Any) -> float:
        return mm(value, self.units)

    def limit(self, key: str, otherwise: float) -> float:
        """One of [clearance], with its default."""
        return self.mm(self.tables.get("clearance", {}).get(key, f"{otherwise} mm"))

    def practice(self, key: str, otherwise: float) -> float:
        value = self.tables.get("practice", {}).get(key, otherwise)
        return value if not isinstance(value, str) else self.mm(value)

    def point(self, position: dict[str, Any], zero: str, size: Any = (0.0, 0.0, 0.0)) -> np.ndarray:
        """Where a position is in the case; from a far end, where the near corner of what has a size is."""
        origin, spans = self.zeros[position.get("zero", zero)]
        return origin + along(self, position, spans, size)

    def size(self, table: dict[str, Any]) -> list[float]:
        return [self.mm(table[span]) for span in SPAN]


@dataclass(frozen=True)
class Standing:
    """Where a part stands: its corner, how it is turned, its own size if it has one."""

    scene: Scene
    zero: str
    at: np.ndarray
    turn: np.ndarray
    spans: list[float | None]

    def inside(self, position: dict[str, Any], size: Any = (0.0, 0.0, 0.0)) -> np.ndarray:
        """A position inside the part, from its corner, in its own directions."""
        if "zero" in position:
            return self.turn.T @ (self.scene.point(position, self.zero, size) - self.at)
        return along(self.scene, position, self.spans, size)

    def case(self, inside: Any) -> np.ndarray:
        """A point inside the part as it is in the case."""
        return self.at + self.turn @ np.asarray(inside, float)


def read(path: Path) -> Scene:
    """Read a scene file."""
    tables = without_doubt(tomllib.loads(path.read_text(encoding="utf-8")))
    for group, folder in (("part", "parts"), ("tubing", "tubing")):
        for name, table in tables.get(group, {}).items():
            if "model" in table:
                model = tomllib.loads(
                    (MODELS / folder / f"{table['model']}.toml").read_text(encoding="utf-8")
                )
                tables[group][name] = over(model, table)
    scene = Scene(tables, {})
    spans_of_case = tables.get("zero", {}).get("case", {})
    scene.zeros["case"] = (np.zeros(3), _spans(scene, spans_of_case))
    waiting = {name: zero for name, zero in tables.get("zero", {}).items() if name != "case"}
    while waiting:
        for name, zero in list(waiting.items()):
            if zero["at"].get("zero", "case") in scene.zeros:
                scene.zeros[name] = (scene.point(zero["at"], "case"), _spans(scene, zero))
                del waiting[name]
    return scene


def without_doubt(said: Any) -> Any:
    """Tables without what they say of how sure they are: bare values, no tables of doubt."""
    if isinstance(said, list):
        return [without_doubt(one) for one in said]
    if not isinstance(said, dict):
        return said
    if "is" in said:
        return said["is"]
    sure = {key: without_doubt(value) for key, value in said.items()}
    return {key: value for key, value in sure.items() if not (key == "doubt" and isinstance(value, dict))}


def over(model: dict[str, Any], said: dict[str, Any]) -> dict[str, Any]:
    """A model's values under what the scene says."""
    whole = {key: value for key, value in model.items() if REPLACED.get(key) not in said}
    for key, value in said.items():
        both = isinstance(value, dict) and isinstance(whole.get(key), dict) and key != "at"
        whole[key] = over(whole[key], value) if both else value
    return whole


def along(scene: Scene, position: dict[str, Any], spans: list[float | None], size: Any) -> np.ndarray:
    """A position's three coordinates."""
    place = []
    for axis in range(3):
        if FAR[axis] in position:
            span = spans[axis]
            assert span is not None, f"{FAR[axis]} where no {SPAN[axis]} is given"
            place.append(span - scene.mm(position[FAR[axis]]) - size[axis])
        else:
            place.append(scene.mm(position.get(NEAR[axis], "0 mm")))
    return np.array(place)


def way(said: Any) -> np.ndarray:
    """A direction by word, or by its components."""
    parts = WAYS[said] if isinstance(said, str) else [said.get(key, 0.0) for key in NEAR]
    vector = np.array(parts, float)
    return vector / np.linalg.norm(vector)


def rotation(axis: np.ndarray, angle: float) -> np.ndarray:
    """A turn about a unit axis, right-handed, in radians (Rodrigues)."""
    x, y, z = axis
    cross = np.array([[0, -z, y], [z, 0, -x], [-y, x, 0]])
    return np.eye(3) + np.sin(angle) * cross + (1 - np.cos(angle)) * cross @ cross


def standing(scene: Scene, part: dict[str, Any], size: list[float] | None) -> Standing:
    """How a part stands."""
    turns = part.get("turned", [])
    turn = np.eye(3)
    for one in [turns] if isinstance(turns, dict) else turns:
        turn = rotation(way(one["about"]), np.radians(degrees(one["by"]))) @ turn
    zero = part.get("zero", "case")
    at = scene.point(part.get("at", {}), zero, size or (0.0, 0.0, 0.0))
    return Standing(scene, zero, at, turn, list(size) if size else [None, None, None])


def _spans(scene: Scene, zero: dict[str, Any]) -> list[float | None]:
    return [scene.mm(zero[span]) if span in zero else None for span in SPAN]
