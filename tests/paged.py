"""The page's data as a reader of the page has them, decoded by the words of the format and nothing else.

Solids are triangles, moved through their travel by rotations of scipy; tubes are rounded polylines.
"""

import base64
import json
from collections.abc import Iterator
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.spatial.transform import Rotation

from routeviz.pipeline import check_scene
from routeviz.views.page_data import page_data

Floats = NDArray[np.float64]
Data = dict[str, Any]
SCENES = Path(__file__).parents[1] / "scenes"


def data_of(path: Path | str) -> Data:
    """The page's data of a scene's file, or of one of ours by its name, once through JSON."""
    scene = SCENES / f"{path}.toml" if isinstance(path, str) else path
    return json.loads(json.dumps(page_data(check_scene(scene)), allow_nan=False))


def numbers(text: str) -> NDArray[Any]:
    """The numbers of an array, in millimetres where it holds lengths."""
    kind, raw = text[:4], base64.b64decode(text[4:], validate=True)
    if kind == "i24:":
        whole = [int.from_bytes(raw[k : k + 3], "little", signed=True) for k in range(0, len(raw), 3)]
        return np.array(whole) / 1000.0
    return np.frombuffer(raw, {"f32:": "<f4", "u16:": "<u2", "u32:": "<u4"}[kind])


def triples(text: str) -> NDArray[Any]:
    """An array in rows of three."""
    return numbers(text).reshape(-1, 3)


def named(data: Data, group: str, name: str) -> Any:
    """The one thing of a group that has a name."""
    (found,) = [thing for thing in data[group] if thing["name"] == name]
    return found


def corners_at(data: Data, solid: Any, travel: float = 0.0) -> Floats:
    """The corners of a solid, so far on in its travel."""
    points = triples(data["forms"][solid["form"]]["points"]) + solid["at"]
    match solid.get("movement"):
        case {"kind": "hinge", "at": at, "axis": axis, "deg": deg}:
            turn = Rotation.from_rotvec(np.radians(deg * travel) * np.array(axis))
            return np.asarray(turn.apply(points - at) + at)
        case {"kind": "slide", "axis": axis, "mm": mm}:
            return np.asarray(points + travel * mm * np.array(axis))
        case _:
            return points


def faces_at(data: Data, solid: Any, travel: float = 0.0) -> Floats:
    """The triangles of a solid, shape (m, 3, 3)."""
    return corners_at(data, solid, travel)[triples(data["forms"][solid["form"]]["triangles"])]


def line_of(tube: Any, step: float = 0.5) -> Floats:
    """Points along a tube's centreline, at most so far apart: straight, and arcs that touch both legs."""
    corners, radii = triples(tube["corners"]), numbers(tube["radii"])
    stops = [corners[:1]]
    for before, corner, after, radius in zip(corners, corners[1:], corners[2:], radii, strict=False):
        stops.append(_arc(before, corner, after, float(radius)))
    stops.append(corners[-1:])
    chain = np.concatenate(stops)
    return np.concatenate([*_filled(chain, step), chain[-1:]])


def _arc(before: Floats, corner: Floats, after: Floats, radius: float) -> Floats:
    one = (before - corner) / np.linalg.norm(before - corner)
    other = (after - corner) / np.linalg.norm(after - corner)
    half = 0.5 * np.arccos(np.clip(one @ other, -1.0, 1.0))  # between a leg and the line to the centre
    if radius == 0.0 or np.pi / 2 - half < 1e-5:
        return corner[None]
    centre = corner + radius / np.sin(half) * (one + other) / np.linalg.norm(one + other)
    first, last = corner + radius / np.tan(half) * one, corner + radius / np.tan(half) * other
    shares = np.linspace(0.0, 1.0, 40)[:, None]
    spokes = (1.0 - shares) * (first - centre) + shares * (last - centre)
    return np.asarray(centre + radius * spokes / np.linalg.norm(spokes, axis=1, keepdims=True))


def _filled(chain: Floats, step: float) -> Iterator[Floats]:
    for one, other in pairwise(chain):
        count = int(np.ceil(np.linalg.norm(other - one) / step))
        yield one + (other - one) * (np.arange(count) / max(count, 1))[:, None]
