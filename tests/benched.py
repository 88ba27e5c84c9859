"""The example scenes, checked once for all tests of the sheets."""

from functools import cache
from pathlib import Path

from routeviz.lay import Lay
from routeviz.pipeline import check_scene

SCENES = Path(__file__).parents[1] / "scenes"
NAMES = (
    "thistledown",
    "harbour_hall",
    "as_found",
)  # the last as a restorer finds one: faults, ends of all kinds


@cache
def lay_of(name: str) -> Lay:
    """An example scene, checked."""
    return check_scene(SCENES / f"{name}.toml")


def column(table, name):
    """The cells of a table's column."""
    at = [one.name for one in table.columns].index(name)
    return [row[at] for row in table.rows]
