"""Triangles of an STL file, binary or ASCII.

Normals and attributes are not used: the order of corners says which side is out.
"""

import re

import numpy as np

from routeviz.cabinet.mesh_numbers import doubles, numbers
from routeviz.cabinet.mesh_refusals import WRITE_ANEW, MeshError, Surface, check_counts, check_size, shown
from routeviz.geometry.arrays import Floats

HEADER_BYTES = 84  # 80 of text, then the number of triangles
RECORD = np.dtype([("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("attribute", "<u2")])  # 50 bytes

SOLID = re.compile(rb"\s*+solid(?!\S)", re.IGNORECASE)
FIRST_FACET = re.compile(rb"(?<!\S)facet\s++normal(?!\S)", re.IGNORECASE)
VERTEX = rb"\s++vertex\s++(\S++)\s++(\S++)\s++(\S++)"
FACET = re.compile(
    rb"\s*+facet\s++normal(?:\s++\S++){3}\s++outer\s++loop" + 3 * VERTEX + rb"\s++endloop\s++endfacet(?!\S)",
    re.IGNORECASE,
)
END = re.compile(rb"\s*+endsolid(?!\S)([^\r\n]*+)\s*+", re.IGNORECASE)


def read_stl(data: bytes) -> Surface:
    """Return the triangles of an STL file.

    Parameters
    ----------
    data : bytes
        The whole file.

    Returns
    -------
    surface : (points, triangles)
        Three points a triangle.

    Raises
    ------
    MeshError
        The file is not wholly and only an STL file.
    """
    claimed = int.from_bytes(data[80:HEADER_BYTES], "little")
    # A text cannot pass for binary here: four characters as a count claim more than the largest file holds.
    is_binary = len(data) == HEADER_BYTES + claimed * RECORD.itemsize
    corners = ascii_corners(data) if not is_binary and is_text(data) else binary_corners(data, claimed)
    points = doubles(corners.reshape(-1, 3))
    return points, np.arange(len(points)).reshape(-1, 3)


def is_text(data: bytes) -> bool:
    """Return whether a file opens as an ASCII one; some binary ones open with the same word."""
    return SOLID.match(data) is not None and b"\0" not in data


def binary_corners(data: bytes, claimed: int) -> Floats:
    """Return corners, shape (m, 3, 3), of a binary file."""
    if len(data) < HEADER_BYTES:
        raise MeshError(
            found=f"{len(data)} bytes, which is neither a binary nor an ASCII STL file",
            allowed=f"{HEADER_BYTES} bytes and 50 for each triangle, or text that opens with 'solid'",
            remedy=WRITE_ANEW,
        )
    held = len(data) - HEADER_BYTES
    claim = f"{claimed:,} triangles (there is room for {held / RECORD.itemsize:,.5g})"
    check_size(claimed=claimed * RECORD.itemsize, held=held, claim=claim)
    check_counts(triangles=claimed, vertices=0)
    corners: Floats = np.frombuffer(data, RECORD, offset=HEADER_BYTES)["corners"]
    return corners


def ascii_corners(data: bytes) -> Floats:
    """Return corners, shape (m, 3, 3), of all solids of an ASCII file."""
    rows: list[bytes] = []
    position = 0
    while position < len(data):
        position = after_name(data, position)
        while facet := FACET.match(data, position):
            rows.append(b" ".join(facet.groups()))
            position = facet.end()
        check_counts(triangles=len(rows), vertices=0)
        position = after_solid(data, position, len(rows))
    return numbers(b"\n".join(rows), row="facet").reshape(-1, 3, 3)


def after_name(data: bytes, position: int) -> int:
    """Return where a solid's first facet begins."""
    opening = SOLID.match(data, position)
    first = FIRST_FACET.search(data, opening.end()) if opening else None
    if opening and first and b"\n" not in data[opening.end() : first.start()].strip():
        return first.start()
    raise MeshError(
        found=f"'{shown(data[position : position + 80])}' opens no solid with facets",
        allowed="'solid', a name on the same line, then facets",
        remedy=WRITE_ANEW,
    )


def after_solid(data: bytes, position: int, facets: int) -> int:
    """Return where the text goes on behind ``endsolid`` and the name on its line."""
    end = END.match(data, position)
    # A file on one line would hide the next solid in the name.
    if end and not FIRST_FACET.search(end[1]):
        return end.end()
    follows = shown(data[position : position + 80])
    raise MeshError(
        found=f"cut short or damaged: after {facets:,} whole facets comes '{follows}'",
        allowed="facets of three vertices, then 'endsolid' on a line of its own",
        remedy=WRITE_ANEW,
    )
