"""How a tree of named things becomes one glTF 2.0 file (GLB); what there is to write of a lay is in glb.py.

References
----------
Khronos Group, "glTF 2.0 Specification", version 2.0.1, chapters 3 to 5.
"""

import json
import struct
from collections.abc import Hashable, Mapping
from dataclasses import dataclass, field
from typing import Any, Literal

from numpy.typing import NDArray

from routeviz.geometry.arrays import Floats, Ints
from routeviz.views.shades import linear

MODES = {"triangles": 4, "lines": 1}
VERTICES, INDICES = 34962, 34963  # what a range of the buffer is for
FLOAT, SHORT, LONG = 5126, 5123, 5125  # of numbers: float, unsigned of 16 and of 32 bits
MOST_SHORT = 65_534  # the greatest index of 16 bits; one more has a meaning of its own
JSON_CHUNK, BINARY_CHUNK = 0x4E4F534A, 0x004E4942
ROUGH = 0.7  # no source: neither mirror nor chalk


@dataclass(frozen=True, slots=True, kw_only=True)
class Paint:
    """Colour, six hex digits after ``#``; opacity, 0 to 1; what its name is to tell beside the colour."""

    colour: str
    opacity: float = 1.0
    says: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Form:
    """Triangles or lines of one paint.

    Parameters
    ----------
    mode : str
        ``triangles`` or ``lines``.
    points, normals : array, shape (n, 3)
        Corners, and the unit normals there; lines have none of these.
    indices : array of int, shape (m, 3) or (m, 2)
        Corners of each triangle, or ends of each line.
    paint : Paint
        Of all of them.
    """

    mode: Literal["triangles", "lines"]
    points: Floats
    normals: Floats | None
    indices: Ints
    paint: Paint


@dataclass(frozen=True, slots=True, kw_only=True)
class Motion:
    """What moves a node: its ``rotation`` (x, y, z, w) or ``translation`` at some times in seconds."""

    path: Literal["rotation", "translation"]
    times: Floats
    values: Floats


@dataclass(frozen=True, slots=True, kw_only=True)
class Node:
    """One named thing.

    Parameters
    ----------
    name : str
        Any text.
    extras : mapping
        What is known of it, as JSON takes it.
    placing : mapping
        ``translation``, ``rotation`` and ``scale`` within its parent, as far as it has them.
    forms : tuple of Form
        What it looks like, given in itself.
    motion : Motion or None
        How it moves within its parent.
    children : tuple of Node
        What is placed within it.
    """

    name: str
    extras: Mapping[str, Any] = field(default_factory=dict)
    placing: Mapping[str, list[float]] = field(default_factory=dict)
    forms: tuple[Form, ...] = ()
    motion: Motion | None = None
    children: tuple["Node", ...] = ()


@dataclass(frozen=True, slots=True)
class _Sheets:
    """The file while it is written: the document's lists, the buffer's ranges, and what stands there."""

    document: dict[str, list[Any]] = field(default_factory=dict)
    ranges: list[bytes] = field(default_factory=list)
    known: dict[Hashable, int] = field(default_factory=dict)

    def added(self, group: str, entry: Any) -> int:
        """Return the place of a new entry of a group."""
        entries = self.document.setdefault(group, [])
        entries.append(entry)
        return len(entries) - 1


def glb(root: Node, motions: str) -> bytes:
    """Return a tree as a file; the same tree, the same bytes.

    Parameters
    ----------
    root : Node
        Everything.
    motions : str
        What the motions are called together.

    Returns
    -------
    file : bytes
        With all that is in it; equal numbers and equal paints stand there once.
    """
    sheets = _Sheets()
    moved: list[tuple[int, Motion]] = []
    top = _node(sheets, root, moved)
    document: dict[str, Any] = {
        "asset": {"version": "2.0", "generator": "routeviz"},
        "scene": 0,
        "scenes": [{"nodes": [top]}],
    }
    if moved:
        sheets.added("animations", _animation(sheets, motions, moved))
    if sheets.ranges:
        sheets.added("buffers", {"byteLength": sum(map(len, sheets.ranges))})
    return _contained(document | sheets.document, b"".join(sheets.ranges))


def _node(sheets: _Sheets, node: Node, moved: list[tuple[int, Motion]]) -> int:
    entry: dict[str, Any] = {"name": node.name, **node.placing}
    if node.extras:
        entry["extras"] = node.extras
    if node.forms:
        mesh = {"name": node.name, "primitives": [_primitive(sheets, form) for form in node.forms]}
        entry["mesh"] = sheets.added("meshes", mesh)
    children = [_node(sheets, child, moved) for child in node.children]
    if children:
        entry["children"] = children
    index = sheets.added("nodes", entry)
    if node.motion is not None:
        moved.append((index, node.motion))
    return index


def _primitive(sheets: _Sheets, form: Form) -> dict[str, Any]:
    attributes = {"POSITION": _floats(sheets, form.points, VERTICES)}
    if form.normals is not None:
        attributes["NORMAL"] = _floats(sheets, form.normals, VERTICES)
    indices = form.indices.reshape(-1)
    short = indices.max() <= MOST_SHORT
    numbers = indices.astype("<u2" if short else "<u4")
    return {
        "attributes": attributes,
        "indices": _accessor(sheets, numbers, SHORT if short else LONG, INDICES),
        "material": _material(sheets, form.paint),
        "mode": MODES[form.mode],
    }


def _material(sheets: _Sheets, paint: Paint) -> int:
    if paint not in sheets.known:
        entry: dict[str, Any] = {
            "name": f"{paint.says} {paint.colour}".lstrip(),
            "pbrMetallicRoughness": {
                "baseColorFactor": [*linear(paint.colour), paint.opacity],
                "metallicFactor": 0,
                "roughnessFactor": ROUGH,
            },
            "doubleSided": True,
        }
        if paint.opacity < 1.0:
            entry["alphaMode"] = "BLEND"
        sheets.known[paint] = sheets.added("materials", entry)
    return sheets.known[paint]


def _animation(sheets: _Sheets, name: str, moved: list[tuple[int, Motion]]) -> dict[str, Any]:
    samplers = [
        {
            "input": _floats(sheets, motion.times),
            "output": _floats(sheets, motion.values),
            "interpolation": "LINEAR",
        }
        for _, motion in moved
    ]
    channels = [
        {"sampler": k, "target": {"node": node, "path": motion.path}}
        for k, (node, motion) in enumerate(moved)
    ]
    return {"name": name, "samplers": samplers, "channels": channels}


def _floats(sheets: _Sheets, values: Floats, purpose: int | None = None) -> int:
    return _accessor(sheets, values.astype("<f4"), FLOAT, purpose)


def _accessor(sheets: _Sheets, numbers: NDArray[Any], kind: int, purpose: int | None) -> int:
    key = (kind, purpose, numbers.shape, numbers.tobytes())
    if key not in sheets.known:
        place: dict[str, Any] = {
            "buffer": 0,
            "byteOffset": sum(map(len, sheets.ranges)),
            "byteLength": numbers.nbytes,
        }
        if purpose is not None:
            place["target"] = purpose
        sheets.ranges.append(numbers.tobytes() + bytes(-numbers.nbytes % 4))
        rows = numbers.reshape(len(numbers), -1)
        entry = {
            "bufferView": sheets.added("bufferViews", place),
            "componentType": kind,
            "count": len(rows),
            "type": "SCALAR" if rows.shape[1] == 1 else f"VEC{rows.shape[1]}",
            "min": rows.min(axis=0).tolist(),
            "max": rows.max(axis=0).tolist(),
        }
        sheets.known[key] = sheets.added("accessors", entry)
    return sheets.known[key]


def _contained(document: dict[str, Any], binary: bytes) -> bytes:
    text = json.dumps(document, separators=(",", ":"), allow_nan=False).encode()
    text += b" " * (-len(text) % 4)
    parts = struct.pack("<II", len(text), JSON_CHUNK) + text
    if binary:
        parts += struct.pack("<II", len(binary), BINARY_CHUNK) + binary
    return struct.pack("<4sII", b"glTF", 2, 12 + len(parts)) + parts
