"""A user's mesh file as triangles in millimetres, read wholly or refused with a reason.

How each kind of file is read is in stl.py, obj.py, ply.py and glb.py; which file is meant, in mesh_paths.py.
All four are read here, in plain array code with limits: no foreign parser sees a user's file.
"""

import math
from dataclasses import dataclass
from pathlib import Path, PureWindowsPath

import numpy as np

from routeviz.cabinet.glb import read_glb
from routeviz.cabinet.mesh_paths import mesh_bytes
from routeviz.cabinet.mesh_refusals import WRITE_ANEW, MeshError, Surface, check_counts
from routeviz.cabinet.obj import read_obj
from routeviz.cabinet.ply import read_ply
from routeviz.cabinet.stl import read_stl
from routeviz.geometry.arrays import Floats, Ints, frozen, frozen_ints
from routeviz.geometry.surfaces import heights, is_closed, merged, spans

__all__ = ["MeshData", "MeshError", "read_mesh"]

READERS = {".glb": read_glb, ".obj": read_obj, ".ply": read_ply, ".stl": read_stl}
UNITS_MM = {"mm": 1.0, "cm": 10.0, "in": 25.4, "ft": 304.8, "m": 1000.0}

FARTHEST_MM = 100_000.0
LEAST_SIDE_MM = 2.0  # smaller than the smallest nipple: the unit is wrong
MOST_SIDE_MM = 4_000.0  # longer than any piano or cabinet organ: the unit is wrong
FLAT_MM = 1e-6  # a triangle this low changes the surface by a millionth of a millimetre where it is left out


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
    try:
        reader = READERS.get(PureWindowsPath(path_text).suffix.lower())
        if reader is None:
            raise MeshError(
                found="not a known kind of mesh file",
                allowed="names that end in .stl, .obj, .ply or .glb",
                remedy="write the mesh as one of these",
            )
        surface = reader(mesh_bytes(path_text, folder))
        return mesh_from(surface, unit_mm)
    except MeshError as error:
        raise MeshError(
            found=f"{plain(path_text)}: {error.found}", allowed=error.allowed, remedy=error.remedy
        ) from None


def plain(path_text: str) -> str:
    """Return a path as it can stand in a message on one line."""
    return "".join(c if c.isprintable() else ascii(c)[1:-1] for c in path_text)[:200]


def mesh_from(surface: Surface, unit_mm: float) -> MeshData:
    """Return what was read as a mesh in millimetres, after all that holds for every kind of file."""
    points, triangles = surface
    check_surface(points, triangles)
    corners = millimetres(points, unit_mm)[triangles]
    vertices_mm, triangles = merged(corners)
    check_sides(sides(vertices_mm), unit_mm)
    has_area = spans(triangles) & (heights(vertices_mm, triangles) > FLAT_MM)
    if not has_area.any():
        raise MeshError(
            found=f"{len(triangles):,} triangles, none of which has an area",
            allowed="triangles that span a surface",
            remedy=WRITE_ANEW,
        )
    return MeshData(
        vertices_mm=frozen(vertices_mm),
        triangles=frozen_ints(triangles[has_area]),
        watertight=is_closed(triangles),
        dropped=int((~has_area).sum()),
    )


def check_surface(points: Floats, triangles: Ints) -> None:
    """Refuse too many or no triangles, numbers that are not finite, corners that do not exist."""
    check_counts(triangles=len(triangles), vertices=len(points))
    if not len(triangles):
        raise MeshError(found="no triangles", allowed="at least one triangle", remedy=WRITE_ANEW)
    wrong = np.flatnonzero(~np.isfinite(points).all(axis=1))
    if wrong.size:
        raise MeshError(
            found=f"{wrong.size:,} vertices are no finite numbers, the first is number {wrong[0] + 1:,}",
            allowed="finite numbers",
            remedy=WRITE_ANEW,
        )
    wrong = np.flatnonzero(((triangles < 0) | (triangles >= len(points))).any(axis=1))
    if wrong.size:
        raise MeshError(
            found=f"triangle {wrong[0] + 1:,} names a vertex that is not among the {len(points):,} there are",
            allowed="vertices that are in the file",
            remedy=WRITE_ANEW,
        )


def millimetres(points: Floats, unit_mm: float) -> Floats:
    """Return points in mm, none too far out."""
    farthest = float(np.abs(points).max())
    if farthest > FARTHEST_MM / unit_mm:
        raise MeshError(
            found=f"a vertex {farthest * (unit_mm / 1000):,.4g} m from the file's origin",
            allowed=f"at most {FARTHEST_MM / 1000:g} m",
            remedy="check the unit, or move the mesh to the origin",
        )
    return points * unit_mm


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
