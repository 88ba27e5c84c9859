"""Time and memory to read, or refuse, the worst mesh files that the limits let through.

Run: ``python tests/experiments/mesh_limits.py`` (Linux). Each file is read in a process of its own, so that
its peak is seen. It decided MOST_BYTES, MOST_TRIANGLES, MOST_JSON_BYTES and MOST_PIECES: no file may take
half a minute or a gigabyte.
"""

import json
import re
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


def many_nodes(nodes: int) -> bytes:
    binary = np.random.default_rng(1).random(3 * 150).astype("<f4").tobytes()
    return glb(
        {
            "buffers": [{"byteLength": len(binary)}],
            "bufferViews": [{"buffer": 0, "byteLength": len(binary)}],
            "accessors": [{"bufferView": 0, "componentType": 5126, "count": 150, "type": "VEC3"}],
            "meshes": [{"primitives": [{"attributes": {"POSITION": 0}}]}],
            "nodes": [{"mesh": 0, "translation": [k % 97, k % 89, 0]} for k in range(nodes)],
            "scenes": [{"nodes": list(range(nodes))}],
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
    "pieces.glb": lambda: many_nodes(9_999),
    "deep.glb": lambda: _raw_json(b"[" * 8_000_000),
    "lists.glb": lambda: _raw_json(b'{"nodes":[' + b"{}," * 2_600_000 + b"{}]}"),
    "strings.glb": lambda: _raw_json(b'{"extensionsUsed":[' + b'"",' * 2_600_000 + b'""]}'),
    "numbers.glb": lambda: _raw_json(b'{"scenes":[{"nodes":[' + b"0," * 3_900_000 + b"0]}]}"),
}


def _raw_json(text: bytes) -> bytes:
    body = struct.pack("<II", len(text), 0x4E4F534A) + text + struct.pack("<II", 0, 0x004E4942)
    return struct.pack("<III", 0x46546C67, 2, 12 + len(body)) + body


def peak_mb() -> float:
    """The most memory this process has held (Linux)."""
    return int(re.search(r"VmHWM:\s+(\d+)", Path("/proc/self/status").read_text())[1]) / 1024


def read_one(path: Path) -> None:
    before = peak_mb()
    start = time.perf_counter()
    try:
        mesh = read_mesh(path.name, folder=path.parent, unit_mm=1.0)
        result = f"{len(mesh.triangles):,} triangles, {mesh.dropped:,} dropped"
    except MeshError as error:
        result = error.found
    seconds = time.perf_counter() - start
    size = path.stat().st_size / 2**20
    memory = peak_mb() - before
    sys.stdout.write(f"{path.name:26s} {size:5.1f} MB {seconds:6.2f} s {memory:7.0f} MB  {result[:100]}\n")


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
