"""A user's mesh file as triangles in millimetres, read wholly or refused with a reason.

Which file is meant is in mesh_paths.py; what it claims to hold, in mesh_forms.py and gltf.py. It is read by
mesh_reading.py in a process of its own, so that none takes the program down.
"""

import io
import json
import math
import os
import subprocess
import sys
from dataclasses import dataclass
from importlib.metadata import version
from pathlib import Path, PureWindowsPath

import numpy as np

from routeviz.cabinet.gltf import glb_triangles
from routeviz.cabinet.mesh_forms import obj_triangles, ply_triangles, stl_triangles
from routeviz.cabinet.mesh_paths import mesh_bytes
from routeviz.cabinet.mesh_refusals import REFUSED, SIMPLIFY, MeshError, check_counts, plain
from routeviz.geometry.arrays import Floats, Ints, frozen, frozen_ints
from routeviz.geometry.keeping import kept

__all__ = ["MeshData", "MeshError", "read_mesh"]

CLAIMS = {".stl": stl_triangles, ".obj": obj_triangles, ".ply": ply_triangles, ".glb": glb_triangles}
UNITS_MM = {"mm": 1.0, "cm": 10.0, "in": 25.4, "ft": 304.8, "m": 1000.0}

LEAST_SIDE_MM = 2.0  # smaller than the smallest nipple: the unit is wrong
MOST_SIDE_MM = 4_000.0  # longer than any piano or cabinet organ: the unit is wrong
READER = "routeviz.cabinet.mesh_reading"
READER_FILE = Path(__file__).with_name("mesh_reading.py")
MOST_SECONDS = 90


@dataclass(frozen=True, slots=True, kw_only=True)
class MeshData:
    """The surface in a mesh file.

    Parameters
    ----------
    vertices_mm : array, shape (n, 3)
        Each different corner once, in the file's own axes.
    triangles : array, shape (m, 3)
        Corners in ``vertices_mm``, in the file's order and winding; every one has an area.
    watertight : bool
        Whether every edge belongs to exactly two triangles that run along it in opposite directions,
        triangles without area counted.
    dropped : int
        How many triangles without area the file holds besides; they are left out of ``triangles``.
    """

    vertices_mm: Floats
    triangles: Ints
    watertight: bool
    dropped: int

    @property
    def sides_mm(self) -> Floats:
        """Return the bounding box's sides along x, y and z, shape (3,)."""
        return sides(self.vertices_mm)

    @property
    def size_text(self) -> str:
        """Return the bounding box's sides in millimetres and inches, for a message."""
        return size_text(self.sides_mm)


def read_mesh(path_text: str, *, folder: Path, unit_mm: float) -> MeshData:
    """Return the surface that a mesh file holds.

    Parameters
    ----------
    path_text : str
        The file as the scene names it: STL, OBJ, PLY or GLB, in the scene's folder or below.
    folder : Path
        The scene's folder.
    unit_mm : float
        Length of the file's unit in mm; mesh files do not tell it, or tell it wrongly.

    Returns
    -------
    mesh : MeshData
        All that the file holds, save the triangles without area that it counts.

    Raises
    ------
    MeshError
        The file cannot be used.
    ValueError
        ``unit_mm`` is not a positive number.
    """
    if not (math.isfinite(unit_mm) and unit_mm > 0):
        raise ValueError(f"unit_mm: a positive number wanted, {unit_mm} given")
    kind = PureWindowsPath(path_text).suffix.lower()
    try:
        if kind not in CLAIMS:
            raise MeshError(
                "not a known kind of mesh file",
                "names that end in .stl, .obj, .ply or .glb",
                "write the mesh as one of these",
            )
        data = mesh_bytes(path_text, folder)
        mesh = surface_apart(data, kind[1:], unit_mm, claimed_triangles(data, kind))
        check_sides(mesh.sides_mm, unit_mm)
    except MeshError as error:
        raise MeshError(f"{plain(path_text)}: {error.found}", error.allowed, error.remedy) from None
    return mesh


def claimed_triangles(data: bytes, kind: str) -> int:
    """Return how many triangles a file claims, if all of it is of a form that is certain to be read right."""
    claimed = CLAIMS[kind](data)
    check_counts(triangles=claimed, vertices=0)
    if not claimed:
        raise MeshError("no triangles", "at least one triangle")
    return claimed


def surface_apart(data: bytes, kind: str, unit_mm: float, claimed: int) -> MeshData:
    """Return the surface as a process of its own reads it, or as it was read the last time."""
    about = f"{kind} {unit_mm!r} {claimed} {version('trimesh')} ".encode() + READER_FILE.read_bytes()
    content = kept("meshes", about + data, lambda: read_apart(data, kind, unit_mm, claimed))
    read = np.load(io.BytesIO(content), allow_pickle=False)
    return MeshData(
        vertices_mm=frozen(read["vertices_mm"]),
        triangles=frozen_ints(read["triangles"]),
        watertight=bool(read["watertight"]),
        dropped=int(read["dropped"]),
    )


def read_apart(data: bytes, kind: str, unit_mm: float, claimed: int) -> bytes:
    """Return what a process of its own reads, with limits on time and memory, as numpy writes arrays."""
    places = os.pathsep.join(os.path.abspath(place) for place in sys.path)
    # A thread pool for sums would reserve more memory than the limit, and has nothing to do.
    settings = {"PYTHONPATH": places, "OPENBLAS_NUM_THREADS": "1", "OMP_NUM_THREADS": "1"}
    try:
        done = subprocess.run(
            [sys.executable, "-P", "-m", READER, kind, repr(unit_mm), str(claimed)],
            input=data,
            capture_output=True,
            timeout=MOST_SECONDS,
            env={**os.environ, **settings},
            check=False,
        )
    except subprocess.TimeoutExpired:
        raise MeshError("takes too long to read", f"{MOST_SECONDS} s at most", SIMPLIFY) from None
    if done.returncode == REFUSED:
        raise MeshError(*json.loads(done.stdout))
    if done.returncode:
        last = done.stderr.decode("utf-8", "replace").strip().rpartition("\n")[2]
        found = (
            f"the reader ended with code {done.returncode}: {plain(last, 100) or 'time or memory used up'}"
        )
        raise MeshError(found, "files that are read wholly", SIMPLIFY)
    return done.stdout


def sides(points: Floats) -> Floats:
    """Return the sides of the box around points, shape (3,)."""
    extent: Floats = points.max(axis=0) - points.min(axis=0)
    return extent


def size_text(sides_mm: Floats) -> str:
    """Return sides in millimetres and inches."""
    inches = " x ".join(figures(side / 25.4) for side in sides_mm)
    return " x ".join(figures(side) for side in sides_mm) + f" mm ({inches} in)"


def figures(length: float) -> str:
    """Return a length to four figures, or to the whole where it is long."""
    return f"{length:,.0f}" if length >= 1000 else f"{length:.4g}"


def check_sides(sides_mm: Floats, unit_mm: float) -> None:
    """Refuse a size that only a wrong unit explains."""
    largest = float(sides_mm.max())
    if LEAST_SIDE_MM <= largest <= MOST_SIDE_MM:
        return
    others = ", ".join(f"{figures(largest / unit_mm * mm)} mm if in {name}" for name, mm in UNITS_MM.items())
    raise MeshError(
        found=f"a size of {size_text(sides_mm)}",
        allowed=f"a largest side between {LEAST_SIDE_MM:g} mm and {MOST_SIDE_MM / 1000:g} m",
        remedy=f"check the unit: the largest side would be {others}",
    )
