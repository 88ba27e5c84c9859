"""Any byte of any file of an archive that is changed is caught, and bagit agrees wherever it looks."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from archive.archived import an_archive, sealed_as_it_lies
from archive.bags import files_of, valid_for_bagit
from archive.tampering import altered, cuts, flips, renamed, swaps

from routeviz.archive.bag_opening import opened
from routeviz.archive.completeness import completeness
from routeviz.archive.fixity import fixity, form
from routeviz.archive.legibility import wanted
from routeviz.errors import Problem

SEED = 1926
LONGEST = 4000  # bytes of a file: all are read for each change, and nobody looks at what they say


@pytest.fixture(scope="module")
def archive(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = an_archive(tmp_path_factory.mktemp("made"))
    for path in files_of(folder / "data"):
        path.write_bytes(path.read_bytes()[:LONGEST])
    sealed_as_it_lies(folder)
    return folder


def problems_of(folder: Path) -> list[Problem]:
    """What is wrong with a sealed archive, without a look at what it says."""
    bag = opened(folder, wanted)
    return [one for answer in (form(bag), fixity(bag), completeness(bag)) for one in answer.problems]


def changes(archive: Path) -> Iterator[tuple[Path, str, bytes]]:
    """Every file with every change that is made to it."""
    for number, path in enumerate(files_of(archive)):
        content = path.read_bytes()
        for what, other in (*flips(content, SEED + number), *cuts(content, SEED - number)):
            yield path, what, other


def test_an_archive_holds_before_it_is_tampered_with(archive: Path) -> None:
    assert problems_of(archive) == []
    assert valid_for_bagit(archive)


def test_any_byte_of_any_file_that_is_changed_put_in_or_taken_out_is_caught(archive: Path) -> None:
    uncaught, tampered = [], set()
    for path, what, other in changes(archive):
        with altered(path, other):
            tampered.add(path)
            if not problems_of(archive):
                uncaught.append(f"{path.relative_to(archive)}: {what}")
    assert uncaught == []
    assert tampered == {*files_of(archive)}


def test_any_file_of_another_name_is_caught(archive: Path) -> None:
    uncaught = []
    for path in files_of(archive):
        for name in (f"{path.name}x", path.name.upper() + "-"):
            with renamed(path, name):
                if not problems_of(archive):
                    uncaught.append(f"{path.relative_to(archive)} as {name}")
    assert uncaught == []


def test_any_two_files_that_are_swapped_are_caught(archive: Path) -> None:
    pairs = swaps(files_of(archive), 60, SEED)
    for one, other in pairs:
        first, second = one.read_bytes(), other.read_bytes()
        with altered(one, second), altered(other, first):
            assert problems_of(archive), (one, other)
    assert len(pairs) == 60


def test_bagit_refuses_whatever_is_changed_in_the_payload_and_the_first_three_tag_files(
    archive: Path,
) -> None:
    chosen = list(changes(archive))[::12]  # it needs twenty times as long
    for path, what, other in chosen:
        if (
            path.name == "tagmanifest-sha512.txt"
        ):  # blanks there, and lines that are missing, are nothing to it
            continue
        with altered(path, other):
            assert not valid_for_bagit(archive), f"{path.relative_to(archive)}: {what}"
    assert len(chosen) > 30
