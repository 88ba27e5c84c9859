"""How a new scene begins: a copy of the smallest whole example, its comments included."""

from pathlib import Path

from routeviz.writing import write_whole


def write_new(file: Path, example: Path) -> None:
    """Write an example scene under a new name; a file that is there is never touched.

    Parameters
    ----------
    file : Path
        Where.
    example : Path
        The scene to start from.

    Raises
    ------
    WritingError
        The file is there already, or cannot be written.
    """
    write_whole(file, example.read_bytes(), keep_old=True)
