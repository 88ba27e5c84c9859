"""When is a scene to be read again? When a file that it is made from has changed, and is written to its end.

Editors write a file aside and rename it, or empty it and fill it; some have it vanish for a moment.
"""

import os
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import NoReturn

from routeviz.errors import RoutevizError
from routeviz.scene.parsing import tables_of, text_of
from routeviz.scene.wiring_table import path_in
from routeviz.tubes.plan_file import plan_beside

EVERY_S = 0.05  # how often the files are looked at
BROKEN_S = 0.3  # how long what cannot be used has to stand so before that is told: it may be half written

Mark = tuple[int, int, int]


@dataclass(frozen=True, slots=True, kw_only=True)
class Stand:
    """How the files stood that a scene is made from.

    Parameters
    ----------
    files : tuple of Path
        The scene, its plan, and what the scene names.
    marks : tuple
        Of each, what changes when it does; None for one that is not there.
    """

    files: tuple[Path, ...]
    marks: tuple[Mark | None, ...]


def stand_of(scene: Path, before: Stand | None = None) -> Stand:
    """Return how a scene's files stand now.

    Parameters
    ----------
    scene : Path
        The scene file.
    before : Stand or None
        How they stood; a scene that cannot be read is made from the same files as it was.

    Returns
    -------
    stand : Stand
        Equal to the one before where nothing has changed.
    """
    mark = _mark(scene)
    if before is not None and before.marks[0] == mark:
        named = before.files
    else:
        named = _named_in(scene) or (before.files if before is not None else (scene, plan_beside(scene)))
    return Stand(files=named, marks=(mark, *(_mark(file) for file in named[1:])))


def follow(
    scene: Path,
    stood: Stand,
    show: Callable[[], None],
    fail: Callable[[RoutevizError], None],
    rest: Callable[[float], None],
) -> NoReturn:
    """Call back at each change of a scene, without end; one call is over before the next is made.

    Parameters
    ----------
    scene : Path
        The scene file.
    stood : Stand
        How its files stood when it was last shown.
    show : function
        Reads the scene and shows it; raises where it cannot be used.
    fail : function
        Tells why it cannot be used; is called once that is known to last.
    rest : function
        Waits so many seconds; what it raises ends all.
    """
    while True:
        stood = _changed(scene, stood, rest)
        try:
            show()
        except RoutevizError as error:
            if _lasts(scene, stood, rest):
                fail(error)


def _changed(scene: Path, stood: Stand, rest: Callable[[float], None]) -> Stand:
    """Return how the files stand once they do not stand as before, and stand still."""
    before, now = stood, stand_of(scene, stood)
    while now == stood or now != before:
        rest(EVERY_S)
        before, now = now, stand_of(scene, now)
    return now


def _lasts(scene: Path, stood: Stand, rest: Callable[[float], None]) -> bool:
    """Return whether the files stand still for a while."""
    for _ in range(round(BROKEN_S / EVERY_S)):
        if stand_of(scene, stood) != stood:
            return False
        rest(EVERY_S)
    return stand_of(scene, stood) == stood


def _mark(file: Path) -> Mark | None:
    try:
        facts = os.stat(file)
    except (OSError, ValueError):
        return None
    return facts.st_mtime_ns, facts.st_size, facts.st_ino


def _named_in(scene: Path) -> tuple[Path, ...] | None:
    """Return the files that a scene is made from, right or wrong; None where it cannot be read."""
    try:
        tables = tables_of(text_of(scene, str(scene)), str(scene))
    except RoutevizError:
        return None
    parts = tables.get("part")
    entries = parts.values() if isinstance(parts, dict) else ()
    said = [tables.get("wiring"), *(part.get("file") for part in entries if isinstance(part, dict))]
    beside = [path_in(scene.parent, name) for name in said if isinstance(name, str)]
    return (scene, plan_beside(scene), *(path for path in beside if path is not None))
