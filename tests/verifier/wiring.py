"""Which tubes a scene asks for, one by one: ranges at both ends taken apart, each tube with its name."""

import csv
import re
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from verifier.lengths import numbers
from verifier.scenes import Scene

STATES = ("loose", "unknown", "missing", "cut", "blocked")


@dataclass(frozen=True)
class Asked:
    """A tube: its name, the nipples at its ends, and its entry."""

    name: str
    ends: tuple[str | None, str | None]
    entry: dict[str, Any]
    index: int


def asked_for(scene: Scene, folder: Path) -> list[Asked]:
    """Every single tube in the order of the file, those of a wiring table last."""
    entries = list(scene.tables.get("tubes", []))
    if "wiring" in scene.tables:
        entries += _table(folder / scene.tables["wiring"])
    found = []
    for entry in entries:
        starts, ends = (_nipples(scene, entry[key]) for key in ("from", "to"))
        count = max(len(starts), len(ends))
        starts, ends = (side * count if len(side) == 1 else side for side in (starts, ends))
        for i, pair in enumerate(zip(starts, ends, strict=True)):
            nipple = pair[0] or pair[1] or "no nipple"
            name = entry.get("name") or nipple
            if "name" in entry and count > 1:
                name = f"{name} {nipple.rsplit(' ', 1)[1]}"
            found.append(Asked(name, pair, entry, i))
    return found


def _nipples(scene: Scene, said: str) -> list[str | None]:
    words = " ".join(said.split())
    if words in STATES:
        return [None]
    run = r"[0-9]+(?: ?\.\. ?[0-9]+(?: step [0-9]+)?)?"
    match = re.fullmatch(rf"(.*?\S) ({run}(?: ?, ?{run})*)", words)
    assert match is not None, said
    part = scene.tables["part"].get(match[1], {})
    if "repeat" in part:  # copies with a nipple each
        (own,) = (number for row in part["rows"] for number in numbers(row["holes"]))
        return [f"{match[1]} {copy} {own}" for copy in numbers(match[2])]
    return [f"{match[1]} {number}" for number in numbers(match[2])]


def _table(path: Path) -> list[dict[str, Any]]:
    """A wiring table: a row a tube or a run of tubes, ``through`` parted by semicolons."""
    lines = path.read_text(encoding="utf-8-sig").splitlines()
    rows = csv.DictReader(lines, delimiter=";" if ";" in lines[0] else ",")
    found = []
    for row in rows:
        entry: dict[str, Any] = {key.strip().casefold(): cell.strip() for key, cell in row.items() if cell}
        if "through" in entry:
            entry["through"] = [one.strip() for one in entry["through"].split(";")]
        found.append(entry)
    return found
