"""Words to write plans by hand in tests, and a small scene in which one tube waits for its route.

The tube kind is builders.NOTE: 5.56 outside, so its wall is 2.78 from its centreline, 2 mm is asked to wood.
"""

from pathlib import Path

import numpy as np
from builders import a_scene, with_box, with_nipple, with_tube, written

from routeviz.cabinet.inputs import inputs_of
from routeviz.scene.reading import read_scene
from routeviz.tubes.plan_file import plan_beside, write_plan
from routeviz.tubes.plans import NoWay, Plan, PlannedTube, Run
from routeviz.tubes.routes import Tie

Point = tuple[float, float, float]

# Up from the case's zero, then to the right; the board's under side is 0.5 mm farther from the level leg's
# wall than it need be: 200 + 2.78 + 2 + 0.5.
LOW = with_nipple("low", (0, 0, 0), faces="up", outside=4.5)
HIGH = with_nipple("high", (400, 0, 200), faces="left", outside=4.5)
BOARD = with_box("board", (40, -20, 205.28), (20, 40, 20))
UNDRAWN = with_tube("low 1", "high 1", name="a")
SCENE = a_scene(LOW, HIGH, BOARD, UNDRAWN)
CORNERS: list[Point] = [(0, 0, 0), (0, 0, 200), (400, 0, 200)]
RADIUS = 30.0


def a_route(
    name: str = "a",
    corners: list[Point] = CORNERS,
    radii: list[float] | None = None,
    through: tuple[str, ...] = (),
    ties: tuple[tuple[float, str], ...] = (),
) -> PlannedTube:
    """A planned route; every corner has the usual radius unless radii are given."""
    return PlannedTube(
        name=name,
        through=through,
        corners=np.array(corners, dtype=np.float64),
        radii=np.array([RADIUS] * (len(corners) - 2) if radii is None else radii),
        ties=tuple(Tie(along_mm=along, to=to) for along, to in ties),
    )


def a_plan(
    *tubes: PlannedTube, no_ways: tuple[NoWay, ...] = (), runs: tuple[Run, ...] = (), inputs: str = ""
) -> Plan:
    """A plan of these routes."""
    return Plan(tubes=tubes, no_ways=no_ways, runs=runs, inputs=inputs)


def planned(folder: Path, text: str, plan: Plan) -> Path:
    """Write a scene and, as one that was made for it, its plan; return the scene's path."""
    path = written(folder, text)
    fresh = Plan(tubes=plan.tubes, no_ways=plan.no_ways, runs=plan.runs, inputs=inputs_of(read_scene(path)))
    write_plan(plan_beside(path), fresh)
    return path


def moved(corner: Point, by: Point) -> list[Point]:
    """The usual corners, one of them moved."""
    right, back, up = (float(a + b) for a, b in zip(corner, by, strict=True))
    return [(right, back, up) if point == corner else point for point in CORNERS]


def full(*names: str, passage: str | None = None, point: Point | None = None) -> NoWay:
    """A reason in words and numbers."""
    return NoWay(
        tubes=names,
        passage=passage,
        point=None if point is None else np.array(point, dtype=np.float64),
        cause="bed hole is full: 3 tubes must go through, it holds at most 2",
        frees="make bed hole larger, or send one of them another way",
        wanted=3.0,
        there=2.0,
        unit="tubes",
    )
