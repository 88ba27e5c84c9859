"""Words to lay a small scene: its cabinet and its tubes, placed and shaped, before anything is measured."""

from pathlib import Path

from builders import read

from routeviz.cabinet.placing import place
from routeviz.cabinet.solids import Cabinet
from routeviz.tubes.centrelines import shape
from routeviz.tubes.routes import Tube

RADIUS = 5.56 / 2  # of the tube kind in builders.NOTE


def a_lay(folder: Path, *pieces: str, **head: str) -> tuple[Cabinet, tuple[Tube, ...]]:
    """The scene of these pieces, placed and shaped."""
    reading = read(folder, *pieces, **head)
    cabinet = place(reading, None)
    return cabinet, shape(reading, cabinet)
