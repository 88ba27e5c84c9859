"""A GLB file taken apart in tests, from the format's definition: JSON, numbers, and where a node puts them.

References
----------
Khronos Group, "glTF 2.0 Specification", version 2.0.1: 3.5.3 (transformations), 3.6.2 (accessors), 3.11
(animations), 4.4 (the binary container).
"""

import json
import struct
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.spatial.transform import Rotation, Slerp

Array = NDArray[Any]
NUMBERS = {5123: "<u2", 5125: "<u4", 5126: "<f4"}
WIDTHS = {"SCALAR": 1, "VEC3": 3, "VEC4": 4}


@dataclass(frozen=True, slots=True)
class Parsed:
    """The JSON of a file and its binary part."""

    document: dict[str, Any]
    binary: bytes

    def node(self, name: str) -> dict[str, Any]:
        """The only node of a name."""
        (node,) = [node for node in self.document["nodes"] if node["name"] == name]
        return node

    def numbers(self, accessor: int) -> Array:
        """The rows of an accessor."""
        entry = self.document["accessors"][accessor]
        view = self.document["bufferViews"][entry["bufferView"]]
        width = WIDTHS[entry["type"]]
        flat = np.frombuffer(
            self.binary, NUMBERS[entry["componentType"]], entry["count"] * width, view["byteOffset"]
        )
        return flat.reshape(-1, width).astype(float)

    def primitives(self, name: str) -> list[dict[str, Any]]:
        """What a node is made of."""
        return self.document["meshes"][self.node(name)["mesh"]]["primitives"]

    def colours(self, name: str) -> list[list[float]]:
        """The base colour factors of what a node is made of."""
        materials = self.document["materials"]
        found = [materials[one["material"]] for one in self.primitives(name)]
        return [material["pbrMetallicRoughness"]["baseColorFactor"] for material in found]

    def corners(self, name: str, share: float | None = None) -> Array:
        """A node's corners in the world, at rest or at a share of the time of the animation."""
        index = self.document["nodes"].index(self.node(name))
        points = np.concatenate([self.numbers(p["attributes"]["POSITION"]) for p in self.primitives(name)])
        moved = {} if share is None else self._moved(index, share)
        while True:
            points = _placed(points, self.document["nodes"][index] | moved)
            above = [k for k, n in enumerate(self.document["nodes"]) if index in n.get("children", ())]
            if not above:
                return points
            (index,), moved = above, {}

    def _moved(self, node: int, share: float) -> dict[str, Any]:
        (animation,) = self.document["animations"]
        (channel,) = [c for c in animation["channels"] if c["target"]["node"] == node]
        sampler = animation["samplers"][channel["sampler"]]
        assert sampler["interpolation"] == "LINEAR"
        times = self.numbers(sampler["input"])[:, 0]
        values = self.numbers(sampler["output"])
        at = times[0] + share * (times[-1] - times[0])
        if channel["target"]["path"] == "rotation":  # LINEAR is spherical there, the shorter way round
            return {"rotation": Slerp(times, Rotation.from_quat(values))(at).as_quat()}
        return {"translation": [np.interp(at, times, column) for column in values.T]}


def parsed(data: bytes) -> Parsed:
    """A GLB file in its two chunks, each length held against the file's."""
    magic, version, whole, text_bytes, kind = struct.unpack("<4sIIII", data[:20])
    assert (magic, version, whole, kind) == (b"glTF", 2, len(data), 0x4E4F534A)
    rest = data[20 + text_bytes :]
    if rest:
        binary_bytes, kind = struct.unpack("<II", rest[:8])
        assert (binary_bytes, kind) == (len(rest) - 8, 0x004E4942)
    return Parsed(json.loads(data[20 : 20 + text_bytes]), rest[8:])


def _placed(points: Array, node: dict[str, Any]) -> Array:
    """Points given in a node as its parent sees them: scaled, then turned, then moved."""
    scaled = points * node.get("scale", [1.0, 1.0, 1.0])
    turned = Rotation.from_quat(node.get("rotation", [0.0, 0.0, 0.0, 1.0])).apply(scaled)
    return turned + node.get("translation", [0.0, 0.0, 0.0])
