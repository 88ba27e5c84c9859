"""Mesh files for tests, written here byte by byte from the formats' definitions.

References
----------
STL: "StL Interface Specification", 3D Systems, 1988 (the layout is from memory). PLY: G. Turk, "The PLY
Polygon File Format", Stanford, 1994 (from memory). OBJ: Wavefront, "Advanced Visualizer Manual", appendix B1
(from memory). GLB: Khronos Group, "glTF 2.0 Specification", chapter 4.
"""

import json
import struct
from collections.abc import Callable
from typing import Any

import numpy as np
from numpy.typing import NDArray

Array = NDArray[Any]

# The corners of a unit cube in the order of their bits (x, y, z), and two triangles a face, seen from outside
# against the clock.
CUBE = np.array([[x, y, z] for x in (0, 1) for y in (0, 1) for z in (0, 1)], dtype=float)
SIDES = np.array(
    [
        [0, 1, 3], [0, 3, 2],  # x = 0
        [4, 6, 7], [4, 7, 5],  # x = 1
        [0, 4, 5], [0, 5, 1],  # y = 0
        [2, 3, 7], [2, 7, 6],  # y = 1
        [0, 2, 6], [0, 6, 4],  # z = 0
        [1, 5, 7], [1, 7, 3],  # z = 1
    ]
)  # fmt: skip


def box(wide: float, deep: float, high: float) -> Array:
    """A box's eight corners."""
    return CUBE * [wide, deep, high]


def volume(points: Array, triangles: Array) -> float:
    """Signed volume, by the divergence theorem: a sixth of the sum of a . (b x c)."""
    a, b, c = (points[triangles[:, k]] for k in range(3))
    return float(np.einsum("ij,ij->i", a, np.cross(b, c)).sum() / 6)


def binary_stl(points: Array, triangles: Array, *, header: bytes = b"", claimed: int | None = None) -> bytes:
    count = len(triangles) if claimed is None else claimed
    records = [
        struct.pack("<12fH", 0, 0, 0, *points[triangle].ravel(), 0) for triangle in np.asarray(triangles)
    ]
    return header.ljust(80, b"\0") + struct.pack("<I", count) + b"".join(records)


def ascii_stl(points: Array, triangles: Array, *, name: str = "box") -> bytes:
    lines = [f"solid {name}"]
    for triangle in triangles:
        lines += ["  facet normal 0 0 0", "    outer loop"]
        lines += ["      vertex " + " ".join(f"{v:.9g}" for v in points[k]) for k in triangle]
        lines += ["    endloop", "  endfacet"]
    return "\n".join([*lines, f"endsolid {name}", ""]).encode()


def obj(points: Array, triangles: Array) -> bytes:
    lines = ["# a box", *("v " + " ".join(f"{v:.17g}" for v in point) for point in points)]
    lines += ["f " + " ".join(str(k + 1) for k in triangle) for triangle in triangles]
    return "\n".join([*lines, ""]).encode()


def ply_header(form: str, vertices: int, faces: int) -> bytes:
    lines = ["ply", f"format {form} 1.0", "comment a box", f"element vertex {vertices}"]
    lines += [f"property double {axis}" for axis in "xyz"]
    lines += [f"element face {faces}", "property list uchar int vertex_indices", "end_header", ""]
    return "\n".join(lines).encode()


def ascii_ply(points: Array, triangles: Array) -> bytes:
    lines = [" ".join(f"{v:.17g}" for v in point) for point in points]
    lines += [" ".join(map(str, [len(face), *face])) for face in triangles]
    return ply_header("ascii", len(points), len(triangles)) + "\n".join([*lines, ""]).encode()


def binary_ply(points: Array, triangles: Array, *, order: str = "<") -> bytes:
    form = "binary_little_endian" if order == "<" else "binary_big_endian"
    rows = [struct.pack(order + "3d", *point) for point in points]
    rows += [struct.pack(f"{order}B{len(face)}i", len(face), *face) for face in triangles]
    return ply_header(form, len(points), len(triangles)) + b"".join(rows)


def gltf_document(points: Array, triangles: Array) -> tuple[dict[str, Any], bytes]:
    """One mesh in one node, and its binary part."""
    positions = np.asarray(points, "<f4").tobytes()
    indices = np.asarray(triangles, "<u2").tobytes()
    document = {
        "asset": {"version": "2.0"},
        "buffers": [{"byteLength": len(positions) + len(indices)}],
        "bufferViews": [
            {"buffer": 0, "byteLength": len(positions)},
            {"buffer": 0, "byteOffset": len(positions), "byteLength": len(indices)},
        ],
        "accessors": [
            {"bufferView": 0, "componentType": 5126, "count": len(points), "type": "VEC3"},
            {"bufferView": 1, "componentType": 5123, "count": 3 * len(triangles), "type": "SCALAR"},
        ],
        "meshes": [{"primitives": [{"attributes": {"POSITION": 0}, "indices": 1}]}],
        "nodes": [{"mesh": 0}],
        "scenes": [{"nodes": [0]}],
        "scene": 0,
    }
    return document, positions + indices


def glb_file(document: dict[str, Any] | bytes, binary: bytes) -> bytes:
    text = document if isinstance(document, bytes) else json.dumps(document).encode()
    text += b" " * (-len(text) % 4)
    binary += b"\0" * (-len(binary) % 4)
    body = struct.pack("<II", len(text), 0x4E4F534A) + text
    body += struct.pack("<II", len(binary), 0x004E4942) + binary
    return struct.pack("<III", 0x46546C67, 2, 12 + len(body)) + body


def glb(points: Array, triangles: Array) -> bytes:
    return glb_file(*gltf_document(points, triangles))


WRITERS: dict[str, tuple[str, Callable[[Array, Array], bytes]]] = {
    "binary STL": ("box.stl", binary_stl),
    "ASCII STL": ("box.stl", ascii_stl),
    "OBJ": ("box.obj", obj),
    "ASCII PLY": ("box.ply", ascii_ply),
    "little-endian PLY": ("box.ply", binary_ply),
    "big-endian PLY": ("box.ply", lambda points, triangles: binary_ply(points, triangles, order=">")),
    "GLB": ("box.glb", glb),
}
