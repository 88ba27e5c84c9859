"""What the checks say of a small scene, through the whole pipeline; and tubes that are easy to reckon with.

The tube kind of these scenes is builders.NOTE: 5.56 outside, so its wall is 2.78 from its centreline.
"""

from pathlib import Path
from typing import Any

from builders import corners_of, read, with_nipple, with_tube

from routeviz.checks.findings import Finding
from routeviz.pipeline import check_reading

RADIUS = 5.56 / 2
Point = tuple[float, float, float]


def findings(folder: Path, rule: str, *pieces: str, **head: Any) -> list[Finding]:
    """What one rule says of the scene of these pieces."""
    return [f for f in check_reading(read(folder, *pieces, **head)).findings if f.rule == rule]


def the_one(found: list[Finding]) -> Finding:
    """The only finding."""
    assert len(found) == 1, [f.says for f in found]
    return found[0]


def severity(found: list[Finding]) -> str | None:
    """The severity of the only finding, or None for none."""
    return the_one(found).severity if found else None


def a_tube_up(
    name: str = "a", at: Point = (0, 0, 0), long: float = 300, outside: float = 4.5, **more: Any
) -> str:
    """A tube straight up from the nipple 'NAME low 1' to 'NAME high 1', which nothing carries."""
    return a_tube(name, [at, (at[0], at[1], at[2] + long)], ("up", "down"), outside=outside, **more)


def a_tube_right(name: str = "a", at: Point = (0, 0, 0), long: float = 300, **more: Any) -> str:
    """A tube straight to the right, between two nipples which nothing carries."""
    return a_tube(name, [at, (at[0] + long, at[1], at[2])], ("right", "left"), **more)


def a_tube(
    name: str,
    points: list[Point],
    faces: tuple[Any, Any],
    radius: float | None = None,
    outside: float = 4.5,
    **more: Any,
) -> str:
    """A tube along points, from the nipple 'NAME low 1' to 'NAME high 1', which nothing carries."""
    if "measured" not in more:
        more["corners"] = corners_of(*points[1:-1], radius=radius)
    return "\n".join(
        [
            with_nipple(f"{name} low", points[0], faces=faces[0], outside=outside),
            with_nipple(f"{name} high", points[-1], faces=faces[1], outside=outside),
            with_tube(f"{name} low 1", f"{name} high 1", name=name, **more),
        ]
    )


def limits(**values: float) -> str:
    """The scene's [clearance], for its head."""
    return "clearance = { " + ", ".join(f"{key} = {value}" for key, value in values.items()) + " }"


def practice(**values: float) -> str:
    """The scene's [practice], for its head."""
    return "practice = { " + ", ".join(f"{key} = {value}" for key, value in values.items()) + " }"
