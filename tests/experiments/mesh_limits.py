"""Time and memory to read, or refuse, the worst mesh files that the limits let through.

Run: ``python tests/experiments/mesh_limits.py`` (Linux). Each file is read in a process of its own, so that
its peak is seen. It decided MOST_BYTES, MOST_TRIANGLES, MOST_JSON_BYTES and MOST_PIECES: no file may take
half a minute or a gigabyte.
"""

import json
import resource
import struct
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import numpy as np

from routeviz.cabinet.mesh_refusals import MOST_BYTES, MOST_TRIANGLES
from routeviz.cabinet.meshes import MeshError, read_mesh

MOST = MOST_BYTES


def grid(triangles: int) -> np.ndarray:
    """A wavy sheet of separate triangles, shape (m, 3, 3)."""
    side = int(np.sqrt(triangles / 2))
    x, y = np.meshgrid(np.arange(side + 1.0), np.arange(side + 1.0), indexing="ij")
    points = np.stack([x, y, np.sin(x) + np.cos(y)], axis=-1)
    a, b, c, d = points[:-1, :-1], points[1:, :-1], points[1:, 1:], points[:-1, 1:]
    return np.concatenate([np.stack([a, b, c], -2), np.stack([a, c, d], -2)]).reshape(-1, 3, 3)


def stl(corners: np.ndarray) -> bytes:
    record = np.dtype([("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("attribute", "<u2")])
    rows = np.zeros(len(corners), record)
    rows["corners"] = corners
    return bytes(80) + struct.pack("<I", len(rows)) + rows.tobytes()


def filled(head: bytes, line: bytes) -> bytes:
    return head + line * ((MOST - len(head)) // len(line))


def glb(document: dict, binary: bytes) -> bytes:
    text = json.dumps(document).encode()
    text += b" " * (-len(text) % 4)
    body = struct.pack("<II", len(text), 0x4E4F534A) + text
    body += struct.pack("<II", len(binary), 0x004E4942) + binary
    return struct.pack("<III", 0x46546C67, 2, 12 + len(body)) + body


def rows(head: str, numbers: np.ndarray) -> bytes:
    return "".join(f"{head}{a} {b} {c}\n" for a, b, c in numbers.tolist()).encode()


def text_obj(corners: np.ndarray) -> bytes:
    points = corners.reshape(-1, 3)
    return rows("v ", points) + rows("f ", 1 + np.arange(len(points)).reshape(-1, 3))


def text_ply(corners: np.ndarray) -> bytes:
    points = corners.reshape(-1, 3)
    head = PLY.replace(b"vertex 1000", b"vertex %d" % len(points))
    head = head.replace(b"face 1000", b"face %d" % len(corners))
    return head + rows("", points) + rows("3 ", np.arange(len(points)).reshape(-1, 3))


def many_nodes(nodes: int, *, deep: bool = False) -> bytes:
    place = {"mesh": 0, "translation": [1, 0, 0]}
    chain = [{**place, "children": [k + 1]} for k in range(nodes - 1)] + [place]
    binary = np.random.default_rng(1).random(3 * 150).astype("<f4").tobytes()
    return glb(
        {
            "buffers": [{"byteLength": len(binary)}],
            "bufferViews": [{"buffer": 0, "byteLength": len(binary)}],
            "accessors": [{"bufferView": 0, "componentType": 5126, "count": 150, "type": "VEC3"}],
            "meshes": [{"primitives": [{"attributes": {"POSITION": 0}}]}],
            "nodes": chain if deep else [{**place, "translation": [k % 97, k % 89, 0]} for k in range(nodes)],
            "scenes": [{"nodes": [0] if deep else list(range(nodes))}],
        },
        binary,
    )


FACET = b"facet normal 0 0 1\nouter loop\nvertex 0 0 0\nvertex 9 0 0\nvertex 0 9 0\nendloop\nendfacet\n"
PLY = b"ply\nformat ascii 1.0\nelement vertex 1000\nproperty float x\nproperty float y\nproperty float z\n"
PLY += b"element face 1000\nproperty list uchar int vertex_index\nend_header\n"
FILES = {
    "most triangles.stl": lambda: stl(grid(MOST_TRIANGLES - 2000)),
    "most facets.stl": lambda: filled(b"solid\n", FACET)[: MOST - 200] + b"\n",
    "facets to the limit.stl": lambda: b"solid\n" + FACET * (MOST_TRIANGLES) + b"endsolid\n",
    "blanks.stl": lambda: b"solid" + b" " * (MOST - 5),
    "one word.stl": lambda: b"solid facet normal " + b"1" * (MOST - 30),
    "solids.stl": lambda: filled(b"", b"solid\nendsolid\n"),
    "vertices.obj": lambda: filled(b"", b"v 1 2 3\n"),
    "comments.obj": lambda: filled(b"", b"#\n"),
    "no line end.obj": lambda: filled(b"", b"1 "),
    "relative faces.obj": lambda: filled(b"v 0 0 0\nv 9 0 0\nv 0 9 0\n", b"f -3 -2 -1\n"),
    "short numbers.ply": lambda: filled(PLY, b"1 "),
    "digits.ply": lambda: filled(PLY, b"1"),
    "blanks.ply": lambda: filled(PLY, b" "),
    "most facets.ply": lambda: text_ply(grid(MOST_TRIANGLES - 2000)),
    "most faces.obj": lambda: text_obj(grid(MOST_TRIANGLES - 2000)),
    "deep pieces.glb": lambda: many_nodes(2_000, deep=True),
    "pieces.glb": lambda: many_nodes(2_000),
    "deep.glb": lambda: _raw_json(b"[" * 8_000_000),
    "lists.glb": lambda: _raw_json(b'{"nodes":[' + b"{}," * 2_600_000 + b"{}]}"),
    "strings.glb": lambda: _raw_json(b'{"extensionsUsed":[' + b'"",' * 2_600_000 + b'""]}'),
    "numbers.glb": lambda: _raw_json(b'{"scenes":[{"nodes":[' + b"0," * 3_900_000 + b"0]}]}"),
}


def _raw_json(text: bytes) -> bytes:
    body = struct.pack("<II", len(text), 0x4E4F534A) + text + struct.pack("<II", 0, 0x004E4942)
    return struct.pack("<III", 0x46546C67, 2, 12 + len(body)) + body


def read_one(path: Path) -> None:
    start = time.perf_counter()
    try:
        mesh = read_mesh(path.name, folder=path.parent, unit_mm=1.0)
        result = f"{len(mesh.triangles):,} triangles, {mesh.dropped:,} dropped"
    except MeshError as error:
        result = error.found
    seconds = time.perf_counter() - start
    size = path.stat().st_size / 2**20
    here, apart = (
        resource.getrusage(who).ru_maxrss / 1024 for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN)
    )
    memory = f"{here:6.0f} MB here {apart:6.0f} MB apart"
    sys.stdout.write(f"{path.name:26s} {size:5.1f} MB {seconds:6.2f} s {memory}  {result[:100]}\n")


def main() -> None:
    with tempfile.TemporaryDirectory() as folder:
        for name, make in FILES.items():
            path = Path(folder) / name
            path.write_bytes(make()[:MOST])
            subprocess.run([sys.executable, __file__, str(path)], check=False)
            path.unlink()


if __name__ == "__main__":
    if len(sys.argv) > 1:
        read_one(Path(sys.argv[1]))
    else:
        main()
