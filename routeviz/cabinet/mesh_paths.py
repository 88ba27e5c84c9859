"""Which mesh file a scene means: it lies in the scene's folder or below, and is read whole or not at all."""

import stat
from pathlib import Path, PureWindowsPath

from routeviz.cabinet.mesh_refusals import MOST_BYTES, SIMPLIFY, WRITE_ANEW, MeshError

BELOW = "a path within the scene's own folder, such as meshes/case.stl"
MOVE = "put the mesh file beside the scene file and name it from there"


def mesh_bytes(path_text: str, folder: Path) -> bytes:
    """Return what a mesh file holds.

    Parameters
    ----------
    path_text : str
        As the scene names it, with either slash.
    folder : Path
        The scene's folder.

    Returns
    -------
    data : bytes
        At least one byte, at most 64 MB.

    Raises
    ------
    MeshError
        The path leads out of the folder, or to nothing that can be read.
    """
    try:
        path = path_below(path_text, folder)
        facts = path.stat()
        if not stat.S_ISREG(facts.st_mode):
            raise MeshError("not a file", "a file", "name the mesh file itself")
        check_length(facts.st_size)
        with path.open("rb") as file:
            data = file.read(MOST_BYTES + 1)
    except FileNotFoundError:
        raise MeshError(
            found="no such file", allowed=BELOW, remedy="correct the name, or add the file"
        ) from None
    except (OSError, RuntimeError, ValueError) as error:
        reason = error.strerror if isinstance(error, OSError) and error.strerror else "no usable path"
        raise MeshError(found=f"cannot be read: {reason}", allowed=BELOW, remedy=MOVE) from None
    check_length(len(data))
    return data


def path_below(path_text: str, folder: Path) -> Path:
    """Return the file's place with links followed; the same on all systems for the same text."""
    # Read by the stricter rules, so that a scene means the same file everywhere.
    path = PureWindowsPath(path_text)
    if path.anchor or ".." in path.parts or ":" in path_text or not path.parts:
        raise MeshError("a path that leads out of the scene's folder", BELOW, MOVE)
    home = folder.resolve()
    real = home.joinpath(*path.parts).resolve()
    if not real.is_relative_to(home):
        raise MeshError("a link that leads out of the scene's folder", BELOW, MOVE)
    return real


def check_length(length: int) -> None:
    """Refuse an empty file and one that is too long."""
    if length == 0:
        raise MeshError("an empty file", "a mesh", WRITE_ANEW)
    if length > MOST_BYTES:
        raise MeshError(
            found=f"{length / 2**20:,.1f} MB", allowed=f"at most {MOST_BYTES >> 20} MB", remedy=SIMPLIFY
        )
