"""What is in a bag? All of it is read, each file once, so that what is judged later is what was sealed.

What the tag files say is read in bag_reading.py; what lies in the folder is found in bag_walking.py. Whether
the two agree is for fixity.py to say.
"""

import os
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import NamedTuple

from routeviz.archive.bag import BAGIT, INFO
from routeviz.archive.bag import MANIFEST as PAYLOAD_MANIFEST
from routeviz.archive.bag_reading import (
    ALGORITHMS,
    FRESH,
    INSIDE,
    MANIFEST,
    Manifest,
    Oxum,
    declared_version,
    facts_in,
    manifest_in,
    normal,
    oxum_in,
    quoted,
    shown,
    wrong,
)
from routeviz.archive.bag_walking import Content, Lying, found_in, read_once
from routeviz.errors import Problem, RoutevizError

MOST_TAG_BYTES = 64 << 20  # a manifest of 300,000 files
MOST_HELD = 512 << 20  # bytes that are kept to be looked into; an archive of 150 tubes has some 10 MB of them
ROOM = 1 << 30  # bytes of payload that are read even where there are more than were sealed
USUAL = "sha512"
PACKED = {b"PK": "a zip file", b"\x1f\x8b": "a packed file (gzip)", b"7z": "a packed file (7z)"}


class NotABagError(RoutevizError):
    """What was named is no bag, or none that can be looked at."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Bag:
    """A bag that was read: what its tag files say, and what its files hold.

    Parameters
    ----------
    folder : Path
        Where it lies.
    version : str
        Of BagIt, as it declares; empty where that is no declaration.
    facts : mapping of tuple of str
        Of bag-info.txt.
    oxum : Oxum or None
        How large the payload is said to be.
    manifests : tuple of Manifest
        For the payload and for tag files.
    lying : mapping of Lying
        Every file in the folder, by its path with letters in one form.
    contents : mapping of Content
        Those of them that were read.
    unread : mapping of Problem
        Why the others were not.
    problems : tuple of Problem
        What is wrong with the folder and the tag files.
    """

    folder: Path
    version: str
    facts: Mapping[str, tuple[str, ...]]
    oxum: Oxum | None
    manifests: tuple[Manifest, ...]
    lying: Mapping[str, Lying]
    contents: Mapping[str, Content]
    unread: Mapping[str, Problem]
    problems: tuple[Problem, ...]

    def kept(self, path: str) -> bytes | None:
        """Return the bytes of a file that was kept; None for one that was not, or is not there."""
        content = self.contents.get(path)
        return None if content is None else content.kept


def opened(folder: Path, keeps: Callable[[Lying], bool]) -> Bag:
    """Return a bag, every file of it read once.

    Parameters
    ----------
    folder : Path
        As the user named it.
    keeps : function
        Whether the bytes of a file in ``data/`` are wanted beyond their sums.

    Returns
    -------
    bag : Bag
        With everything that is wrong with its form; whether the sums hold was not looked at.

    Raises
    ------
    NotABagError
        No folder, or one that is no bag; says what to do.
    """
    _refuse_what_is_none(folder)
    found, told = found_in(folder)
    lying, problems = _by_name(found), list(told)
    tags = [one for path, one in lying.items() if not path.startswith(INSIDE)]
    names = [name for one in tags if (name := MANIFEST.fullmatch(one.path))]
    algorithms = _algorithms([name["algorithm"].lower() for name in names])
    few = f"at most {MOST_TAG_BYTES >> 20} MB of files beside data/"
    beside = _read(folder, tags, algorithms, lambda one: "/" not in one.path, Room(MOST_TAG_BYTES, few))
    texts = {path: one.kept for path, one in beside.contents.items() if one.kept is not None}
    version, more = declared_version(texts[BAGIT]) if BAGIT in texts else ("", _missing(BAGIT, lying))
    facts, about_facts = facts_in(texts[INFO]) if INFO in texts else ({}, ())
    oxum, about_oxum = oxum_in(facts)
    manifests, about_manifests = _manifests(texts, lying)
    payload = [one for path, one in lying.items() if path.startswith(INSIDE)]
    inside = _read(folder, payload, algorithms, keeps, _room(payload, oxum))
    return Bag(
        folder=folder,
        version=version,
        facts=facts,
        oxum=oxum,
        manifests=manifests,
        lying=lying,
        contents=beside.contents | inside.contents,
        unread=beside.unread | inside.unread,
        problems=(
            *problems,
            *_alike(found),
            *beside.unread.values(),
            *more,
            *about_facts,
            *about_oxum,
            *about_manifests,
        ),
    )


def _refuse_what_is_none(folder: Path) -> None:
    """Refuse what is no folder, and a folder that has nothing of a bag."""
    named = shown(str(folder))
    try:
        if folder.is_file():
            with folder.open("rb") as file:
                begins = file.read(2)
            what = next((name for mark, name in PACKED.items() if begins == mark), "a file")
            raise NotABagError(
                f"{named}: {what}, not a folder\n  allowed: the folder of an archive\n"
                f"  remedy: {'unpack it first, and name' if what != 'a file' else 'name'} the folder"
            )
        names = sorted(path.name for path in folder.iterdir())
    except (OSError, ValueError) as error:
        why = getattr(error, "strerror", None) or "the name cannot be used"
        raise NotABagError(
            f"{named}: cannot be looked at: {why}\n  allowed: the folder of an archive\n"
            "  remedy: correct the name, or check the rights"
        ) from None
    if BAGIT not in names and not any(MANIFEST.fullmatch(name) for name in names):
        inner = [name for name in names if os.path.isfile(folder / name / BAGIT)]
        did = f"did you mean {shown(str(folder / inner[0]))}?" if inner else FRESH
        raise NotABagError(
            f"{named}: not an archive: there is no {BAGIT}, and no list of sums\n"
            f"  allowed: a folder that `routeviz archive` has made, with all that lies in it\n  remedy: {did}"
        )


def _by_name(found: Sequence[Lying]) -> dict[str, Lying]:
    return {normal(one.path): one for one in found}


def _alike(found: Sequence[Lying]) -> Iterator[Problem]:
    """Yield files whose names some systems would take for one."""
    first: dict[str, str] = {}
    for one in found:
        other = first.setdefault(normal(one.path).casefold(), one.path)
        if other != one.path:
            found_there = f"a name that some systems take for that of {quoted(other)}"
            yield wrong(one.path, found_there, "names that differ in more than capitals and accents' form")


def _algorithms(named: Sequence[str]) -> tuple[str, ...]:
    return tuple(name for name in ALGORITHMS if name in named) or (USUAL,)


def _manifests(
    texts: Mapping[str, bytes], lying: Mapping[str, Lying]
) -> tuple[tuple[Manifest, ...], tuple[Problem, ...]]:
    manifests: list[Manifest] = []
    problems: list[Problem] = []
    for name, text in texts.items():
        if MANIFEST.fullmatch(name):
            manifest, more = manifest_in(name, text)
            manifests.append(manifest)
            problems += more
            if manifest.algorithm not in ALGORITHMS:
                known = ", ".join(ALGORITHMS)
                problems.append(wrong(name, f"sums of the kind {quoted(manifest.algorithm)}", known))
    if all(one.of_tags for one in manifests):
        problems += _missing(PAYLOAD_MANIFEST, lying)
    return tuple(manifests), tuple(problems)


def _missing(name: str, lying: Mapping[str, Lying]) -> tuple[Problem, ...]:
    """Return that a file is not there; nothing of one that is there but was not read, as was told."""
    return () if name in lying else (wrong(name, "there is no such file", "a bag with its lists"),)


class _Read(NamedTuple):
    """Files as they were read, by path, and why others were not."""

    contents: dict[str, Content]
    unread: dict[str, Problem]


class Room(NamedTuple):
    """How many bytes are read at most, and that in words."""

    octets: int
    says: str


def _room(payload: Sequence[Lying], oxum: Oxum | None) -> Room | None:
    """Return how much of the payload is read; None for all, where there are as many bytes as were sealed."""
    octets = sum(one.size for one in payload)
    if oxum is not None and oxum.octets == octets:
        return None
    return Room(max(ROOM, oxum.octets if oxum else 0), "as many bytes as the archive says it has")


def _read(
    folder: Path,
    files: Sequence[Lying],
    algorithms: Sequence[str],
    keeps: Callable[[Lying], bool],
    room: Room | None,
) -> _Read:
    """Return files as they were read, small ones first as long as there is room."""
    contents: dict[str, Content] = {}
    unread: dict[str, Problem] = {}
    held = done = 0
    for one in sorted(files, key=lambda one: (one.size, one.path)):
        if room is not None and done + one.size > room.octets:
            found = f"not read: {one.size / 1e6:,.0f} MB are too many"
            unread[normal(one.path)] = wrong(one.path, found, room.says)
            continue
        keep = keeps(one) and held + one.size <= MOST_HELD
        read = read_once(folder, one, algorithms, keep=keep)
        if isinstance(read, Problem):
            unread[normal(one.path)] = read
            continue
        contents[normal(one.path)] = read
        held += one.size if keep else 0
        done += one.size
    return _Read(contents, unread)
