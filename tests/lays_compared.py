"""Words to compare scenes: two texts are written, checked, and compared."""

from functools import cache
from pathlib import Path

from builders import written

from routeviz.archive.differences import differences
from routeviz.pipeline import check_scene

SCENES = Path(__file__).parents[1] / "scenes"


@cache
def example(name):
    """One of the example scenes, checked once."""
    return check_scene(SCENES / f"{name}.toml")


def lay_in(folder, name, text):
    """A scene, checked."""
    path = folder / name
    path.mkdir(exist_ok=True)
    return check_scene(written(path, text))


def found_between(folder, before, after):
    """What is not as it was from one text to another."""
    return differences(lay_in(folder, "before", before), lay_in(folder, "after", after))
