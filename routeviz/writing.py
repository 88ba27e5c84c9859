"""How files are written: whole or not at all, and never half over an old one."""

import errno
import os
import tempfile
from collections.abc import Mapping
from pathlib import Path

from routeviz.errors import RoutevizError


class WritingError(RoutevizError):
    """A file or folder could not be written; what stood there before still stands."""


def made_folder(folder: Path) -> Path:
    """Return a folder, made where it was missing.

    Parameters
    ----------
    folder : Path
        Where; those above it are made too.

    Returns
    -------
    folder : Path
        The same.

    Raises
    ------
    WritingError
        It cannot be made, or a file stands in its place.
    """
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise WritingError(_why(folder, error)) from None
    return folder


def write_whole(path: Path, content: bytes, *, keep_old: bool = False) -> None:
    """Write a file so that it is there whole or not at all.

    Parameters
    ----------
    path : Path
        Where; its folder must exist.
    content : bytes
        All of it.
    keep_old : bool
        Refuse where a file of this name stands already.

    Raises
    ------
    WritingError
        The folder cannot be written, the disk is full, or the file is there and is to be kept.
    """
    temporary = None
    try:
        temporary = _kept_aside(path, content)
        if not (keep_old and _linked(temporary, path)):
            os.replace(temporary, path)
            temporary = None
    except OSError as error:
        raise WritingError(_why(path, error)) from None
    finally:
        if temporary is not None:
            Path(temporary).unlink(missing_ok=True)


def write_set(folder: Path, files: Mapping[str, bytes]) -> None:
    """Write files that belong together: none takes its place before all are on the disk.

    Parameters
    ----------
    folder : Path
        Where; it must exist.
    files : mapping of bytes
        What each holds, by its name in the folder.

    Raises
    ------
    WritingError
        The folder cannot be written, or the disk is full; all old files are whole.
    """
    for path in (folder / name for name in files):
        if path.is_dir():
            raise WritingError(
                f"{path}: a folder stands in the place of a file; nothing was changed\n"
                "  remedy: move it away, or choose another folder"
            )
    aside: dict[Path, str] = {}
    path = folder
    try:
        for name, content in files.items():
            path = folder / name
            aside[path] = _kept_aside(path, content)
        for path in list(aside):
            os.replace(aside[path], path)
            del aside[path]
    except OSError as error:
        raise WritingError(_why(path, error)) from None
    finally:
        for temporary in aside.values():
            Path(temporary).unlink(missing_ok=True)


def _kept_aside(path: Path, content: bytes) -> str:
    """Return the name of a new file beside a path, with its content, safe on the disk."""
    handle, temporary = tempfile.mkstemp(prefix=".routeviz-", dir=path.parent)
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        os.chmod(temporary, 0o666 & ~_umask())
    except BaseException:
        Path(temporary).unlink(missing_ok=True)
        raise
    return temporary


def _linked(temporary: str, path: Path) -> bool:
    """Give a file a second name that nothing has yet; or, where it can have one only, take that name."""
    try:
        os.link(temporary, path)
    except OSError as error:
        if error.errno not in (errno.EPERM, errno.ENOTSUP, errno.EOPNOTSUPP, errno.ENOSYS):
            raise
        os.close(os.open(path, os.O_CREAT | os.O_EXCL))
        return False
    return True


def _umask() -> int:
    """Return which rights new files do not get; it can only be read by setting it."""
    mask = os.umask(0)
    os.umask(mask)
    return mask


def _why(path: Path, error: OSError) -> str:
    if isinstance(error, FileExistsError):
        return (
            f"{path}: is there already, and was left as it is\n  remedy: choose another name, or move it away"
        )
    if isinstance(error, FileNotFoundError) and not path.parent.is_dir():
        return f"{path}: there is no folder {path.parent}\n  remedy: make it first, or choose another"
    return (
        f"{path}: cannot be written ({error.strerror or error}); nothing was changed\n"
        "  remedy: choose a folder that you may write to, with room on its disk"
    )
