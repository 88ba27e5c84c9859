"""The triangles in a mesh file, read by trimesh and held against how many the file claims.

Run as a module it reads one file from its standard input: meshes.py has it do so in a process of its own.
"""

import io
import json
import sys
import warnings
from typing import Any

import numpy as np
import trimesh

from routeviz.cabinet.mesh_refusals import REFUSED, MeshError, plain
from routeviz.geometry.arrays import Floats, Ints

AS_IT_STANDS = {"process": False, "maintain_order": True, "fix_texture": False, "skip_materials": True}
# In text other letters stand in names only; so nothing depends on how they are guessed.
ASCII = bytes(range(128)) + 128 * b"?"
FARTHEST_MM = 100_000.0
FLAT_MM = 1e-6  # a triangle this low changes the surface by a millionth of a millimetre where it is left out
MOST_MEMORY = 4 * 2**30  # tests/experiments/mesh_limits.py: no file that is read needs half of it
MOST_SECONDS = 30


def read_surface(data: bytes, *, kind: str, unit_mm: float, claimed: int) -> dict[str, Any]:
    """Return the surface in a mesh file.

    Parameters
    ----------
    data : bytes
        The whole file.
    kind : str
        ``stl``, ``obj``, ``ply`` or ``glb``.
    unit_mm : float
        Length of the file's unit in mm.
    claimed : int
        How many triangles the file claims to hold, at least one.

    Returns
    -------
    surface : dict
        What `MeshData` wants: ``vertices_mm``, ``triangles``, ``watertight``, ``dropped``.

    Raises
    ------
    MeshError
        The file is not wholly read, or no surface.
    """
    points, triangles = loaded(data, kind, claimed)
    if len(triangles) != claimed:
        found = f"of {claimed:,} triangles {len(triangles):,} could be read"
        raise MeshError(found, "files that are read wholly")
    check_surface(points, triangles)
    mesh = trimesh.Trimesh(millimetres(points, unit_mm), triangles, process=False)
    mesh.merge_vertices()
    # Without these edges from a corner to itself a closed surface stays closed.
    mesh.update_faces((mesh.faces != np.roll(mesh.faces, 1, axis=1)).all(axis=1))
    watertight = bool(len(mesh.faces) and mesh.is_watertight and mesh.is_winding_consistent)
    if len(mesh.faces):
        mesh.update_faces(mesh.nondegenerate_faces(height=FLAT_MM))
    if not len(mesh.faces):
        raise MeshError(f"{claimed:,} triangles, none of which has an area", "triangles that span a surface")
    return {
        "vertices_mm": np.asarray(mesh.vertices),
        "triangles": np.asarray(mesh.faces),
        "watertight": watertight,
        "dropped": claimed - len(mesh.faces),
    }


def loaded(data: bytes, kind: str, claimed: int) -> tuple[Floats, Ints]:
    """Return points (n, 3) and triangles (m, 3) of all that a file places, in its own unit and axes."""
    if kind == "obj" or (kind == "stl" and len(data) != 84 + 50 * claimed):
        data = data.translate(ASCII)
    if kind == "ply":
        head, end, body = data.partition(b"end_header")
        data = head.translate(ASCII) + end + body
    try:
        with warnings.catch_warnings(), np.errstate(over="ignore", invalid="ignore"):
            warnings.simplefilter("error")  # what is not understood is sometimes only warned of
            scene = trimesh.load_scene(io.BytesIO(data), file_type=kind, **AS_IT_STANDS)
            pieces = [piece for piece in scene.dump() if isinstance(piece, trimesh.Trimesh)]
            points, triangles = trimesh.util.append_faces(
                [piece.vertices for piece in pieces], [piece.faces for piece in pieces]
            )
            return np.asarray(points, np.float64), np.asarray(triangles, np.int64)
    except IndexError:
        raise MeshError(
            "a vertex is named that is not in the file", "vertices that are in the file"
        ) from None
    except Exception as error:  # whatever a reader stumbles over is a reason to refuse
        reason = plain(f"{type(error).__name__} {error}", 100)
        raise MeshError(f"not understood: {reason}", "a file of its kind") from None


def check_surface(points: Floats, triangles: Ints) -> None:
    """Refuse numbers that are not finite, and corners that do not exist."""
    wrong = np.flatnonzero(~np.isfinite(points).all(axis=1))
    if wrong.size:
        raise MeshError(
            f"{wrong.size:,} vertices are no finite numbers, the first is number {wrong[0] + 1:,}",
            "finite numbers",
        )
    wrong = np.flatnonzero(((triangles < 0) | (triangles >= len(points))).any(axis=1))
    if wrong.size:
        raise MeshError(
            f"triangle {wrong[0] + 1:,} names a vertex that is not among the {len(points):,} there are",
            "vertices that are in the file",
        )


def millimetres(points: Floats, unit_mm: float) -> Floats:
    """Return points in mm, none too far out."""
    farthest = float(np.abs(points).max())
    if farthest > FARTHEST_MM / unit_mm:
        raise MeshError(
            f"a vertex {farthest * (unit_mm / 1000):,.4g} m from the file's origin",
            f"at most {FARTHEST_MM / 1000:g} m",
            "check the unit, or move the mesh to the origin",
        )
    return points * unit_mm


def limit() -> None:
    """Let the system end this process if it takes too much."""
    if sys.platform != "win32":
        import resource

        resource.setrlimit(resource.RLIMIT_CPU, (MOST_SECONDS, MOST_SECONDS))
        if sys.platform == "linux":  # elsewhere the system refuses, or pays no heed
            resource.setrlimit(resource.RLIMIT_AS, (MOST_MEMORY, MOST_MEMORY))


def main() -> None:
    """Read a file from standard input; write its surface, or why it is refused, to standard output."""
    limit()
    try:
        kind, unit, claimed = sys.argv[1:]
        data = sys.stdin.buffer.read()
        surface = read_surface(data, kind=kind, unit_mm=float(unit), claimed=int(claimed))
    except MeshError as error:
        sys.stdout.write(json.dumps([error.found, error.allowed, error.remedy]))
        sys.exit(REFUSED)
    np.savez(sys.stdout.buffer, **surface)


if __name__ == "__main__":
    main()
