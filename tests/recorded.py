"""Words to write a record into a small scene, and a scene that can be archived."""

from typing import Any

from builders import a_scene, a_table, with_box
from verdicts import a_tube_up

SAID = {
    "shows": "as found",
    "on": "2026-05-14",
    "by": "A. Finder",
    "why": "to tube it again after the case is mended",
    "object": "TM 1926.12",
    "rights": "All who look after it may use it.",
}


def with_record(**more: Any) -> str:
    """A record with all that an archive asks for; None leaves a key out."""
    return a_table("record", **{**SAID, **more})


def a_recorded_scene(*pieces: str, title: str = "A small case", **more: Any) -> str:
    """A tube straight up beside a rail that is far enough from it, with a record."""
    rail = with_box("rail", (33.78, -20, 40), (10, 40, 20))
    return a_scene(a_tube_up(long=100), rail, with_record(**more), *pieces, title=title)
