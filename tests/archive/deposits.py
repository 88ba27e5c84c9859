"""Words to give a small scene into an archive, with all that a record can say."""

from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from builders import written
from recorded import a_recorded_scene

from routeviz.archive.contents import contents
from routeviz.archive.deposit import Deposit, Earlier, deposited
from routeviz.archive.evidence import exhibits_of
from routeviz.archive.filing import Filed
from routeviz.pipeline import check_scene
from routeviz.records.settings import Settings

MOMENT = datetime(2026, 11, 3, 12, tzinfo=UTC)
HOSTILE = "</script><b>\" & ' ]]> <!-- é \u200d"
FULL: dict[str, Any] = {
    "by": ["A. Finder", "Museum of Thistles / Workshop"],
    "name": "Thistlebank No. 4",
    "maker": "Thistle & Sons",
    "model": "B",
    "serial": "0417",
    "made": "about 1926",
    "place": "Store 2, <left> & low",
    "owner": "Museum of Thistles",
    "licence": "CC-BY-4.0",
    "language": "en-GB",
    "keywords": ["player piano", "vacuum"],
    "classification": {"Hornbostel-Sachs": "314.122-4-8"},
    "tools": {"tape": "a steel tape, read by two people", "calliper": "150 mm"},
    "not_known": ["What is behind the bass bellows", "Who tubed it"],
    "supersedes": "TM 1926.12, as found 1998, on paper",
    "evidence": [
        {
            "file": "photos/Bass End.JPG",
            "kind": "photo",
            "caption": "The bass end from <above> & behind",
            "by": "B. Looker",
            "on": "2026-05-13",
            "rights": "ask B. Looker",
        },
        {"file": "notes/page 1.txt", "kind": "note", "caption": "Field notes"},
    ],
}
PHOTO, NOTE = b"\xff\xd8\xff\xe0 not looked into \x00\n", "Höhe 12 Zoll\r\n".encode()


def with_evidence(folder: Path) -> None:
    """Write the files that FULL names."""
    for name, content in (("photos/Bass End.JPG", PHOTO), ("notes/page 1.txt", NOTE)):
        (folder / name).parent.mkdir(exist_ok=True)
        (folder / name).write_bytes(content)


def a_deposit(
    folder: Path, *, title: str = "A small case", earlier: Earlier | None = None, **said: Any
) -> Deposit:
    """A small scene with its record, given in."""
    if "evidence" in said:
        with_evidence(folder)
    lay = check_scene(written(folder, a_recorded_scene(title=title, **said)))
    return deposited(lay, MOMENT, exhibits_of(lay.reading), earlier)


def filed(deposit: Deposit) -> dict[str, Filed]:
    """All files of an archive, by path."""
    return {one.path: one for one in contents(deposit, Settings())}


def laid_out(folder: Path, deposit: Deposit) -> Path:
    """Write the files of an archive into a folder, without the bag around them."""
    for path, one in filed(deposit).items():
        (folder / path).parent.mkdir(parents=True, exist_ok=True)
        (folder / path).write_bytes(one.content)
    for exhibit in deposit.exhibits:
        (folder / exhibit.path).parent.mkdir(parents=True, exist_ok=True)
        (folder / exhibit.path).write_bytes(exhibit.source.read_bytes())
    return folder
