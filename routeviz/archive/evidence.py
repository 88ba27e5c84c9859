"""Which files go into a bag untouched? Photos, notes, scans and drawings that ``[record] evidence`` names.

Nothing is known of what is in them, and nobody looks: they are read as bytes, a piece at a time.
"""

import os
import stat
import unicodedata
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from hashlib import sha512
from pathlib import Path, PurePosixPath
from typing import IO

from routeviz.archive.bag import Sum
from routeviz.archive.bag_names import bag_names
from routeviz.archive.bag_walking import AT_ONCE, ONLY_FILES
from routeviz.errors import Problem, Refusal, RoutevizError, SceneError
from routeviz.scene.reading import Reading, problem
from routeviz.scene.record import Evidence, Record
from routeviz.scene.spelling import likeliest

FOLDER = "evidence"
FOLDERS = {"photo": "photos", "note": "notes", "scan": "scans", "drawing": "drawings"}
BELOW = "a file in the scene's folder or below, such as photos/bass.jpg"


class EvidenceError(RoutevizError):
    """A file that was to be copied has changed, or cannot be read any more."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Exhibit:
    """A file that goes into a bag untouched.

    Parameters
    ----------
    path : str
        Where in ``data/``.
    source : Path
        Where it lies.
    sum : Sum
        Of its bytes, as they were read first.
    said : Evidence
        What the record says of it.
    """

    path: str
    source: Path
    sum: Sum
    said: Evidence


def names_in_bag(record: Record) -> Mapping[str, str]:
    """Return where in ``data/`` each file of the evidence comes to lie, by its name in the scene."""
    names: dict[str, str] = {}
    for kind, folder in FOLDERS.items():
        plain = bag_names(said.file for said in record.evidence if said.kind == kind)
        names |= {file: f"{FOLDER}/{folder}/{name}" for file, name in plain.items()}
    return names


def exhibits_of(reading: Reading) -> tuple[Exhibit, ...]:
    """Return the files of the evidence, each read once for its sum.

    Parameters
    ----------
    reading : Reading
        A scene; where it has no record there are none.

    Returns
    -------
    exhibits : tuple of Exhibit
        In the order of the record.

    Raises
    ------
    SceneError
        With every file that cannot be taken: a link, missing, no file, unreadable.
    """
    record = reading.scene.record
    if record is None:
        return ()
    names = names_in_bag(record)
    problems: list[Problem] = []
    exhibits: list[Exhibit] = []
    for index, said in enumerate(record.evidence):
        try:
            source = _place_of(said.file, reading.folder)
            exhibits.append(Exhibit(path=names[said.file], source=source, sum=_read(source), said=said))
        except Refusal as refusal:
            problems.append(_problem(reading, index, refusal))
    if problems:
        raise SceneError(tuple(problems))
    return tuple(exhibits)


def copied(exhibit: Exhibit, file: IO[bytes]) -> None:
    """Copy a file of the evidence.

    Parameters
    ----------
    exhibit : Exhibit
        Which.
    file : file
        To be written.

    Raises
    ------
    EvidenceError
        It is not any more what it was when it was read first, or cannot be read.
    """
    whole, size = sha512(), 0
    for piece in _pieces(exhibit.source, exhibit.said.file):
        whole.update(piece)
        size += len(piece)
        file.write(piece)
    if Sum(size=size, sha512=whole.hexdigest()) != exhibit.sum:
        raise EvidenceError(
            f"{exhibit.said.file}: was changed while it was copied; nothing is left of the archive\n"
            "  allowed: a file that stays as it is meanwhile\n"
            "  remedy: close the program that writes it, and call again"
        )


def _pieces(source: Path, name: str) -> Iterator[bytes]:
    try:
        with _opened(source) as file:
            while piece := file.read(AT_ONCE):
                yield piece
    except (OSError, Refusal) as error:
        reason = error.strerror if isinstance(error, OSError) else "it is no plain file any more"
        raise EvidenceError(
            f"{name}: cannot be read any more ({reason}); nothing is left of the archive\n"
            f"  allowed: {BELOW}\n  remedy: put it back, and call again"
        ) from None


def _read(source: Path) -> Sum:
    try:
        whole, size = sha512(), 0
        with _opened(source) as file:
            while piece := file.read(AT_ONCE):
                whole.update(piece)
                size += len(piece)
    except OSError as error:
        raise _unreadable(error.strerror or str(error)) from None
    return Sum(size=size, sha512=whole.hexdigest())


def _opened(source: Path) -> IO[bytes]:
    """Open a plain file; neither a link nor what would make one wait for its other end."""
    handle = os.open(source, ONLY_FILES)
    if not stat.S_ISREG(os.fstat(handle).st_mode):
        os.close(handle)
        raise _no_file("no plain file")
    return os.fdopen(handle, "rb")


def _place_of(name: str, folder: Path) -> Path:
    """Return where a file lies that the scene names; refuse a link on the way, and what is no file."""
    place = folder
    for part in PurePosixPath(name).parts:
        place = _spelt(place, part)
        mode = _mode(place, name)
        if stat.S_ISLNK(mode):
            raise Refusal(
                found=f"{place.relative_to(folder).as_posix()!r} is a link",
                allowed="the file itself: what a link leads to may be another tomorrow",
                remedy="put a copy of the file in its place",
            )
    if stat.S_ISDIR(mode):
        raise _no_file("a folder", "name each file that is to go in")
    if not stat.S_ISREG(mode):
        raise _no_file("no plain file but a device or a channel")
    return place


def _spelt(folder: Path, part: str) -> Path:
    """Return a file as its folder spells it: some systems write é as two letters, a scene as one."""
    place = folder / part
    if part.isascii() or os.path.lexists(place) or not folder.is_dir():
        return place
    same = [one for one in os.listdir(folder) if unicodedata.normalize("NFC", one) == part]
    return folder / same[0] if len(same) == 1 else place


def _mode(place: Path, name: str) -> int:
    try:
        return place.lstat().st_mode
    except (FileNotFoundError, NotADirectoryError):
        remedy = _meant(place) or "add it, or correct its name"
        raise Refusal(found=f"no file {name[:80]!r}", allowed=BELOW, remedy=remedy) from None
    except OSError as error:
        raise _unreadable(error.strerror or "no usable name") from None


def _meant(place: Path) -> str:
    """Return which file may be meant, of those that are there; empty for none."""
    try:
        there = sorted(os.listdir(place.parent))
    except OSError:
        return ""
    alike = next((one for one in there if folded(one) == folded(place.name)), None)
    if alike is not None:
        return f"write {alike!r} as the folder spells it"
    meant = likeliest(place.name, there)
    return f"did you mean {meant!r}?" if meant else ""


def folded(name: str) -> str:
    """Return a name without what some systems do not tell apart: case, and the form of letters."""
    return unicodedata.normalize("NFC", unicodedata.normalize("NFKC", name).casefold())


def _problem(reading: Reading, index: int, refusal: Refusal) -> Problem:
    key = ("record", "evidence", index, "file")
    return problem(reading, key, refusal.found, refusal.allowed, refusal.remedy)


def _no_file(found: str, remedy: str = "name the file itself") -> Refusal:
    return Refusal(found=found, allowed=BELOW, remedy=remedy)


def _unreadable(reason: str) -> Refusal:
    return Refusal(
        found=f"cannot be read: {reason}",
        allowed=BELOW,
        remedy="look at its rights, or put a copy in its place",
    )
