"""Words to see in tests what is chosen for a small scene: its stations, free space and passages."""

import tempfile
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from builders import read

from routeviz.cabinet.passages import Passage
from routeviz.cabinet.placing import place
from routeviz.cabinet.solids import Cabinet, extents
from routeviz.planning.choosing import Choice, chosen_ways
from routeviz.planning.freespace import Grid, grid_of
from routeviz.planning.obstacles import Obstacles, obstacles_of
from routeviz.planning.stations import Stations, stations_of
from routeviz.tubes.centrelines import shape

AROUND_MM = 7.0  # as the planner looks beyond the thickest tube


@dataclass(frozen=True, slots=True, kw_only=True)
class Scene:
    """A small scene as the choice of ways takes it."""

    cabinet: Cabinet
    obstacles: Obstacles
    stations: Stations
    passages: list[Passage]
    grid: Grid


def a_scene_of(*pieces: str, top: str = "") -> Scene:
    """The scene of these pieces."""
    with tempfile.TemporaryDirectory() as folder:
        reading = read(Path(folder), *pieces, top=top)
        cabinet = place(reading, None)
        tubes = shape(reading, cabinet)
    widest = max(tube.kind.outside_mm for tube in tubes) / 2
    obstacles = obstacles_of([cabinet], extents(cabinet), widest + AROUND_MM)
    stations = stations_of(cabinet, tubes, obstacles.names)
    passages = [cabinet.passages[name] for name in sorted(cabinet.passages)]
    return Scene(
        cabinet=cabinet,
        obstacles=obstacles,
        stations=stations,
        passages=passages,
        grid=grid_of(obstacles, passages, float(np.median(stations.radii))),
    )


def the_choice(*pieces: str, top: str = "") -> Choice:
    """What is chosen in the scene of these pieces."""
    scene = a_scene_of(*pieces, top=top)
    return chosen_ways(scene.cabinet, scene.stations, scene.passages, scene.grid, scene.obstacles)
