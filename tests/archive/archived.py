"""Words to make a small archive, and to seal it anew after something in it was changed on purpose."""

import csv
import io
import json
import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

from archive.deposits import FULL, a_deposit, filed

from routeviz.archive.bag import sum_of, tag_files
from routeviz.archive.bag_info import info_about
from routeviz.archive.bag_reading import facts_in
from routeviz.archive.storing import store

CRATE, LISTING = "ro-crate-metadata.json", "tables/files.csv"


def an_archive(folder: Path, **said: Any) -> Path:
    """An archive of a small scene with all that a record can say, beside the scene."""
    deposit = a_deposit(folder, **{**FULL, **said})
    files = {path: one.content for path, one in filed(deposit).items()}
    store(folder / "archive", files, deposit.exhibits, info_about(deposit))
    return folder / "archive"


def sealed_anew(folder: Path, *, agent: str | None = None) -> None:
    """Seal an archive again as it lies there, as one does who lies: sums and lengths are right again."""
    inside = folder / "data"
    _list_anew(inside)
    _sums_anew(folder)
    crate = json.loads((inside / CRATE).read_bytes())
    for thing in crate["@graph"]:
        if (inside / thing["@id"]).is_file() and "contentSize" in thing:
            thing["contentSize"] = str((inside / thing["@id"]).stat().st_size)
    (inside / CRATE).write_text(json.dumps(crate), encoding="utf-8")
    sealed_as_it_lies(folder, agent=agent)


def sealed_as_it_lies(folder: Path, *, agent: str | None = None) -> None:
    """Write the tag files of an archive anew for what lies in it."""
    inside = folder / "data"
    facts, _ = facts_in((folder / "bag-info.txt").read_bytes())
    counted = ("Bag-Size", "Payload-Oxum")
    info = [(label, value) for label, values in facts.items() for value in values if label not in counted]
    info = [(label, agent if agent and label == "Bag-Software-Agent" else value) for label, value in info]
    sums = {
        path.relative_to(inside).as_posix(): sum_of(path.read_bytes())
        for path in sorted(inside.rglob("*"))
        if path.is_file()
    }
    for name, content in tag_files(info, sums).items():
        (folder / name).write_bytes(content)


def _list_anew(inside: Path) -> None:
    """Write into the list of files how long each is now; leave what is no such list."""
    try:
        header, *rows = csv.reader(io.StringIO((inside / LISTING).read_text(encoding="utf-8"), newline=""))
    except (UnicodeDecodeError, ValueError):
        return
    if header[:1] != ["file"] or "bytes" not in header:
        return
    at = header.index("bytes")
    for row in rows:
        if (inside / row[0]).is_file():
            row[at] = str((inside / row[0]).stat().st_size)
    text = io.StringIO(newline="")
    csv.writer(text, lineterminator="\r\n").writerows([header, *rows])
    (inside / LISTING).write_bytes(text.getvalue().encode())


def _sums_anew(folder: Path) -> None:
    """Write into the PREMIS record which sum and size each file has now."""
    premis = folder / "data/metadata/premis.xml"

    def anew(told: "re.Match[str]") -> str:
        path = folder / told["path"]
        one = sum_of(path.read_bytes()) if path.is_file() else None
        return told[0] if one is None else f"{told['a']}{one.sha512}{told['b']}{one.size}</size>"

    between = r"(?:(?!</object>)[\s\S])*?"
    pattern = rf"(?P<a><objectIdentifierValue>(?P<path>[^<]*)<{between}<messageDigest>)\w+"
    pattern += rf"(?P<b></messageDigest>{between}<size>)\d+</size>"
    premis.write_text(re.sub(pattern, anew, premis.read_text(encoding="utf-8")), encoding="utf-8")


def changed(path: Path, change: Callable[[bytes], bytes]) -> None:
    """Change what a file holds; it must have been changed."""
    before = path.read_bytes()
    path.write_bytes(change(before))
    assert path.read_bytes() != before


def with_cell(column: str, value: str) -> Callable[[bytes], bytes]:
    """A change of a table's first row, under a heading."""

    def change(content: bytes) -> bytes:
        rows = list(csv.reader(io.StringIO(content.decode(), newline="")))
        rows[1][rows[0].index(column)] = value
        text = io.StringIO(newline="")
        csv.writer(text, lineterminator="\r\n").writerows(rows)
        return text.getvalue().encode()

    return change


def replaced(old: str, new: str) -> Callable[[bytes], bytes]:
    """A change of one text into another wherever it stands."""
    return lambda content: content.replace(old.encode(), new.encode())
