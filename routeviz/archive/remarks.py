"""What stands beside a value of a scene as a remark? Its author's own words, which TOML readers drop."""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from routeviz.scene.parsing import text_of
from routeviz.scene.positions import Place
from routeviz.scene.reading import Reading

_REMARK = re.compile(r"""(?:[^#"'\n]|"(?:[^"\\\n]|\\.)*"|'[^'\n]*')*#[ \t]*(?P<says>[^\n]*)""")
_OPEN = re.compile(r"\"\"\"|'''")  # a text of several lines: what looks like a remark may be within it


@dataclass(frozen=True, slots=True, kw_only=True)
class Remarks:
    """The remarks of a scene's file, by line."""

    file: str
    lines: Mapping[int, str]

    def at(self, place: Place | None) -> str | None:
        """Return the remark at the end of the line of a place; None without one, or in another file."""
        return self.lines.get(place.line) if place is not None and place.file == self.file else None


def remarks_of(reading: Reading) -> Remarks:
    """Return the remarks at the ends of lines of a scene's file.

    Parameters
    ----------
    reading : Reading
        A scene whose file is still there.

    Returns
    -------
    remarks : Remarks
        Lines that hold nothing else are left out: they speak of more than one value.
    """
    lines = text_of(Path(reading.file), reading.file).split("\n")
    found = {
        number: match["says"].strip()
        for number, line in enumerate(lines, 1)
        if "#" in line
        and not line.lstrip().startswith("#")
        and not _OPEN.search(line)
        and (match := _REMARK.match(line))
    }
    return Remarks(file=reading.file, lines={number: says for number, says in found.items() if says})


def place_in_words(reading: Reading, place: Place) -> str:
    """Return a place as ``scene.toml:12``, without the folder: it differs from one machine to another."""
    name = Path(place.file).name if place.file == reading.file else reading.scene.wiring
    return f"{name}:{place.line}"
