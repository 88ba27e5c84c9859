"""Small bags to be checked, sealed by the general bagit library or by the writer of archives."""

from collections.abc import Mapping
from pathlib import Path

import bagit

from routeviz.archive.bag import sum_of, tag_files
from routeviz.archive.bag_opening import opened
from routeviz.archive.bag_walking import Lying
from routeviz.archive.fixity import fixity, form
from routeviz.errors import Problem

PAYLOAD: Mapping[str, bytes] = {
    "README.txt": b"Read me.\n",
    "tables/tubes.csv": b"tube,long_mm\r\nbass 1,512.5\r\n",
    "source/case.toml": b"format = 1\n",
    "pictures/front.png": bytes(range(256)),
    "evidence/photos/empty.jpg": b"",
}


def sealed(folder: Path, payload: Mapping[str, bytes] = PAYLOAD, **facts: str) -> Path:
    """A bag as the writer of archives seals it."""
    for path, content in payload.items():
        put(folder / "data" / path, content)
    info = [("Bag-Software-Agent", "routeviz 0.1.0"), *facts.items()]
    for name, content in tag_files(info, {path: sum_of(one) for path, one in payload.items()}).items():
        put(folder / name, content)
    return folder


def by_bagit(folder: Path, payload: Mapping[str, bytes] = PAYLOAD, *algorithms: str) -> Path:
    """A bag as the bagit library makes it."""
    for path, content in payload.items():
        put(folder / path, content)
    bagit.make_bag(str(folder), checksums=list(algorithms) or None)
    return folder


def put(path: Path, content: bytes) -> Path:
    """A file with its folders."""
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_bytes(content)
    return path


def wants_nothing(_one: Lying) -> bool:
    """That no bytes are kept."""
    return False


def problems_of(folder: Path) -> tuple[Problem, ...]:
    """What is wrong with a bag's form and with its files."""
    bag = opened(folder, wants_nothing)
    return (*form(bag).problems, *fixity(bag).problems)


def files_of(folder: Path) -> list[Path]:
    """Every file of a bag."""
    return sorted(path for path in folder.rglob("*") if path.is_file())


def valid_for_bagit(folder: Path) -> bool:
    """Whether the bagit library takes it."""
    try:
        return bool(bagit.Bag(str(folder)).is_valid())
    except (bagit.BagError, UnicodeDecodeError):  # it stumbles over what is not UTF-8
        return False
