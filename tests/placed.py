"""Words to place a small scene in tests: the cabinet of pieces from builders.py, or what is wrong with them.

The scene is not read as a whole, so that placing alone answers for what it is given.
"""

import tomllib
from pathlib import Path

import numpy as np
import pytest
from builders import a_scene

from routeviz.cabinet.placing import place
from routeviz.cabinet.solids import Cabinet, Solid
from routeviz.errors import Problem, SceneError
from routeviz.geometry.arrays import Floats
from routeviz.geometry.shapes import pose, rims
from routeviz.scene.description import Scene
from routeviz.scene.positions import positions_in
from routeviz.scene.reading import Reading


def a_reading(*pieces: str, folder: Path = Path("nowhere"), top: str = "") -> Reading:
    """The scene of these pieces in millimetres, its names and models not looked up."""
    text = a_scene(*pieces, top=top)
    scene = Scene.model_validate(tomllib.loads(text), context={"units": "mm"})
    positions = positions_in(text, "case.toml")
    return Reading(scene=scene, wires=(), file="case.toml", folder=folder, positions=positions)


def a_cabinet(
    *pieces: str, stage: str | None = None, folder: Path = Path("nowhere"), top: str = ""
) -> Cabinet:
    """The cabinet of these pieces."""
    return place(a_reading(*pieces, folder=folder, top=top), stage)


def the_problems(*pieces: str, folder: Path = Path("nowhere"), top: str = "") -> tuple[Problem, ...]:
    """All that is wrong with these pieces."""
    with pytest.raises(SceneError) as caught:
        a_cabinet(*pieces, folder=folder, top=top)
    return caught.value.problems


def the_problem(*pieces: str, folder: Path = Path("nowhere"), top: str = "") -> tuple[str, str, str, str]:
    """Key, found, allowed and remedy of the one thing that is wrong; its line is known."""
    (problem,) = the_problems(*pieces, folder=folder, top=top)
    assert problem.line > 0
    return problem.key, problem.found, problem.allowed, problem.remedy


def solid(cabinet: Cabinet, name: str) -> Solid:
    """The solid of this name."""
    (found,) = [s for s in cabinet.solids if s.name == name]
    return found


def corners(cabinet: Cabinet, name: str, travel: float = 0.0) -> Floats:
    """All corners of a solid's pieces, shape (n, 3), at a part of its travel."""
    index = [s.name for s in cabinet.solids].index(name)
    pieces = cabinet.solids[index].pieces
    points = np.concatenate([rims(pieces, i).reshape(-1, 3) for i in range(len(pieces.halves))])
    frame = pose(cabinet.bodies, index, travel)
    return np.asarray(points @ frame[:3, :3].T + frame[:3, 3])


def has_corner(points: Floats, wanted: tuple[float, float, float]) -> bool:
    """Whether one of the points is the wanted one, to a millionth of a millimetre."""
    return bool((np.abs(points - np.array(wanted)).max(axis=1) < 1e-6).any())


def bounds(points: Floats) -> tuple[list[float], list[float]]:
    """Least and greatest corner of the upright box round points, to a millionth of a millimetre."""
    return points.min(axis=0).round(6).tolist(), points.max(axis=0).round(6).tolist()
