"""Triangles of an OBJ file: its vertices and faces. Materials are named there by path and never opened.

The format has no counts: a file that was cut short between two lines cannot be told from a whole one.
"""

import io
from collections.abc import Iterator

import numpy as np

from routeviz.cabinet.mesh_numbers import numbers
from routeviz.cabinet.mesh_refusals import (
    TRIANGULATE,
    WRITE_ANEW,
    MeshError,
    Surface,
    check_counts,
    listed,
    shown,
)
from routeviz.geometry.arrays import Floats

LONGEST_LINE = 4096  # a triangle needs under 100; a cap keeps one endless line from being cut into words
WITHOUT_SHAPE = (b"vt", b"vn", b"o", b"g", b"s", b"usemtl", b"mtllib")
KNOWN = (b"v", b"f", *WITHOUT_SHAPE)


def read_obj(data: bytes) -> Surface:
    """Return the triangles of an OBJ file.

    Parameters
    ----------
    data : bytes
        The whole file.

    Returns
    -------
    surface : (points, triangles)
        Vertices as listed; triangles count from 0.

    Raises
    ------
    MeshError
        A line carries shape in another form than vertices and triangles, or cannot be read.
    """
    vertices: list[list[bytes]] = []
    triangles: list[list[int]] = []
    for number, words in lines(data):
        match words[0]:
            case b"v":
                vertices.append(coordinates(words[1:], number))
            case b"f":
                triangles.append(corners(words[1:], number, len(vertices)))
            case _:
                raise MeshError(
                    found=f"line {number:,}: '{shown(words[0])}'",
                    allowed=f"lines that begin with {listed([word.decode() for word in KNOWN])} or #",
                    remedy="write the file with triangles only, without lines, points or curves",
                )
        check_counts(triangles=len(triangles), vertices=len(vertices))
    return points_from(vertices), np.array(triangles, dtype=np.int64).reshape(-1, 3)


def lines(data: bytes) -> Iterator[tuple[int, list[bytes]]]:
    """Yield the number and the words of each line that says something about shape."""
    text = data.replace(b"\r\n", b"\n").replace(b"\r", b"\n")
    for number, line in enumerate(io.BytesIO(text), start=1):
        if len(line) > LONGEST_LINE:
            raise refused(number, f"{len(line):,} characters", f"lines of at most {LONGEST_LINE:,}")
        words = line.partition(b"#")[0].split()
        if words and words[0] not in WITHOUT_SHAPE:
            yield number, words


def points_from(vertices: list[list[bytes]]) -> Floats:
    """Return coordinates, shape (n, 3), from their words."""
    return numbers(b"\n".join(map(b" ".join, vertices)), row="vertex").reshape(-1, 3)


def coordinates(words: list[bytes], number: int) -> list[bytes]:
    """Return x, y and z; a weight of one, or a colour of three, may follow."""
    if len(words) in (3, 6) or (len(words) == 4 and words[3] in (b"1", b"1.0", b"1.000000")):
        return words[:3]
    raise refused(number, f"a vertex of {len(words)} numbers", "x y z, with or without a colour behind")


def corners(words: list[bytes], number: int, vertices: int) -> list[int]:
    """Return a triangle's three vertices, counted from 0; the file counts from 1, or back from the last."""
    if len(words) != 3:
        raise refused(number, f"a face with {len(words)} corners", "faces with three corners", TRIANGULATE)
    indices = []
    for word in words:
        index = word.partition(b"/")[0]
        if not index.removeprefix(b"-").isdigit() or len(index) > 10:
            raise refused(number, f"'{shown(word)}' in a face", "a vertex's number in the file")
        value = int(index)
        indices.append(value - 1 if value > 0 else vertices + value)
        if value == 0 or indices[-1] < 0:
            raise refused(number, f"a face names vertex {value}", "1 for the first vertex, -1 for the last")
    return indices


def refused(number: int, found: str, allowed: str, remedy: str = WRITE_ANEW) -> MeshError:
    """Return the error for one line."""
    return MeshError(found=f"line {number:,}: {found}", allowed=allowed, remedy=remedy)
