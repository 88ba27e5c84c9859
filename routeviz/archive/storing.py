"""How a bag comes to be on a disk: whole or not at all, and never over what stands there.

It is built in a hidden folder beside its place, forced to the disk, and takes its name at the end. Where it
cannot, nothing is left of it.
"""

import errno
import os
import secrets
import shutil
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import IO

from routeviz.archive.bag import PAYLOAD, Sum, sum_of, tag_files
from routeviz.archive.evidence import Exhibit, copied
from routeviz.writing import WritingError, made_folder


def refuse_what_is_there(folder: Path) -> None:
    """Refuse a place where something stands already, be it an empty folder.

    Parameters
    ----------
    folder : Path
        Where a bag is to come.

    Raises
    ------
    WritingError
        Something is there; says how to choose another name.
    """
    if os.path.lexists(folder):
        raise WritingError(_is_there(folder))


def store(
    folder: Path,
    made: Mapping[str, bytes],
    exhibits: Sequence[Exhibit],
    info: Sequence[tuple[str, str]],
) -> Mapping[str, Sum]:
    """Write a bag as a folder that was not there before.

    Parameters
    ----------
    folder : Path
        Where; the folders above it are made.
    made : mapping of bytes
        What was made for it, by path in ``data/``.
    exhibits : sequence of Exhibit
        Files that go in untouched.
    info : sequence of pairs
        For bag-info.txt.

    Returns
    -------
    payload : mapping of Sum
        Of every file in ``data/``, by its path there.

    Raises
    ------
    WritingError
        Something stands there, the folder cannot be written, or the disk is full; nothing is left of it.
    """
    refuse_what_is_there(folder)
    made_folder(folder.parent)
    payload: dict[str, Sum] = {}
    with _built_aside(folder) as aside:
        for path, content in made.items():
            with _new_file(aside / PAYLOAD / path) as file:
                file.write(content)
        for exhibit in exhibits:
            with _new_file(aside / PAYLOAD / exhibit.path) as file:
                copied(exhibit, file)
        payload |= {path: sum_of(content) for path, content in made.items()}
        payload |= {exhibit.path: exhibit.sum for exhibit in exhibits}
        for name, content in tag_files(info, payload).items():
            with _new_file(aside / name) as file:
                file.write(content)
    return payload


@contextmanager
def _built_aside(folder: Path) -> Iterator[Path]:
    """Yield a new folder beside a place, which takes that place at the end; else it is taken away."""
    aside = folder.parent / f".{folder.name[:40]}-{secrets.token_hex(4)}"
    try:
        aside.mkdir()
        yield aside
        for inner, _, _ in os.walk(aside):
            _force(Path(inner))
        _named(aside, folder)
        _force(folder.parent)
    except OSError as error:
        raise WritingError(_why(folder, error)) from None
    finally:
        shutil.rmtree(aside, ignore_errors=True)


def _named(aside: Path, folder: Path) -> None:
    """Give a folder its name, which nothing may have: an empty folder of ours holds it for the moment."""
    folder.mkdir()
    try:
        os.rename(aside, folder)
    except BaseException:
        folder.rmdir()
        raise


@contextmanager
def _new_file(path: Path) -> Iterator[IO[bytes]]:
    """Yield a new file to be written, in a folder that is made where it is missing; force it to the disk."""
    path.parent.mkdir(parents=True, exist_ok=True)
    with path.open("xb") as file:
        yield file
        file.flush()
        os.fsync(file.fileno())


def _force(folder: Path) -> None:
    """Force a folder's names to the disk, where the system does that with folders."""
    try:
        handle = os.open(folder, os.O_RDONLY)
    except PermissionError:  # as on Windows
        return
    try:
        os.fsync(handle)
    except OSError as error:
        if error.errno not in (errno.EINVAL, errno.ENOTSUP):  # as on some network disks
            raise
    finally:
        os.close(handle)


def _is_there(folder: Path) -> str:
    return (
        f"{folder}: is there already, and was left as it is; an archive is never written over\n"
        "  allowed: a name that nothing has yet\n"
        "  remedy: keep both: choose another name with --into, such as one with the date; or move it away"
    )


def _why(folder: Path, error: OSError) -> str:
    if isinstance(error, FileExistsError) or error.errno == errno.ENOTEMPTY:
        return _is_there(folder)
    return (
        f"{folder}: cannot be written ({error.strerror or error}); nothing is left of it\n"
        "  allowed: a folder on a disk with room for all files of the archive\n"
        "  remedy: choose with --into a place that you may write to, with room on its disk"
    )
