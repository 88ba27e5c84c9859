"""Triangles of a PLY file, ASCII or binary of either byte order.

An ASCII body is turned into one of eight-byte numbers first; from there the kinds share one way.
"""

import re
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from routeviz.cabinet.mesh_numbers import doubles, numbers
from routeviz.cabinet.mesh_refusals import (
    TRIANGULATE,
    WRITE_ANEW,
    MeshError,
    Surface,
    check_counts,
    check_size,
    listed,
    refused,
    shown,
)

LONGEST_HEADER = 64 * 1024
MOST_PROPERTIES = 64
BYTE_ORDERS = {b"ascii": "<", b"binary_little_endian": "<", b"binary_big_endian": ">"}
NUMBER_KINDS = {
    b"char": "i1", b"uchar": "u1", b"short": "i2", b"ushort": "u2", b"int": "i4", b"uint": "u4",
    b"int8": "i1", b"uint8": "u1", b"int16": "i2", b"uint16": "u2", b"int32": "i4", b"uint32": "u4",
    b"float": "f4", b"double": "f8", b"float32": "f4", b"float64": "f8",
}  # fmt: skip
END = re.compile(rb"\nend_header[ \t]*(\r\n|\n|\r)")
INDEX_NAMES = ("vertex_indices", "vertex_index")


@dataclass(frozen=True, slots=True, kw_only=True)
class Property:
    """One column; a list has the kind of its length as well."""

    name: str
    kind: str
    length_kind: str | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Element:
    """One table: how many rows, and their columns in order."""

    name: str
    count: int
    properties: tuple[Property, ...]


def read_ply(data: bytes) -> Surface:
    """Return the triangles of a PLY file.

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
        The file is not wholly and only vertices and triangles.
    """
    end = END.search(data, 0, LONGEST_HEADER)
    if not data.startswith((b"ply\n", b"ply\r")) or end is None:
        allowed = "'ply' on the first line and 'end_header' within 64 kB"
        raise MeshError(found="no PLY header", allowed=allowed, remedy=WRITE_ANEW)
    lines = [line.split() for line in data[: end.start()].splitlines()[1:]]
    form = file_form(lines)
    vertex, face = elements(lines)
    body = data[end.end() :]
    if form == b"ascii":
        body = numbers(body, row="line after the header").tobytes()
        vertex, face = as_doubles(vertex), as_doubles(face)
    return surface(body, vertex, face, BYTE_ORDERS[form])


def file_form(lines: list[list[bytes]]) -> bytes:
    """Return the word for how the body is written."""
    match lines:
        case [[b"format", form, b"1.0"], *_] if form in BYTE_ORDERS:
            return form
    allowed = listed([form.decode() for form in BYTE_ORDERS])
    raise refused("no known format on the second line", f"'format', one of {allowed}, and '1.0'")


def elements(lines: list[list[bytes]]) -> tuple[Element, Element]:
    """Return what the header says about vertices and faces."""
    tables: list[Element] = []
    for words in lines[1:]:
        match words:
            case [] | [b"comment", *_] | [b"obj_info", *_]:
                pass
            case [b"element", name, count] if count.isdigit() and len(count) <= 10:
                tables.append(Element(name=shown(name), count=int(count), properties=()))
            case [b"property", b"list", length, kind, name] if (
                tables and {length, kind} <= NUMBER_KINDS.keys()
            ):
                tables[-1] = with_property(tables[-1], shown(name), NUMBER_KINDS[kind], NUMBER_KINDS[length])
            case [b"property", kind, name] if tables and kind in NUMBER_KINDS:
                tables[-1] = with_property(tables[-1], shown(name), NUMBER_KINDS[kind], None)
            case _:
                raise refused(f"'{shown(b'_'.join(words))}' in the header", "elements and their properties")
    tables = [table for table in tables if table.count or table.name in ("vertex", "face")]
    match tables:
        case [Element(name="vertex") as vertex, Element(name="face") as face]:
            check_counts(triangles=face.count, vertices=vertex.count)
            return vertex, face
    found = ", ".join(table.name for table in tables[:5])
    raise refused(f"the elements '{found}'", "the elements vertex and face, in this order")


def with_property(table: Element, name: str, kind: str, length_kind: str | None) -> Element:
    """Return a table with one more column."""
    names = {known.name for known in table.properties}
    if name in names or len(names) == MOST_PROPERTIES:
        raise refused(
            f"property '{name}' once more", f"up to {MOST_PROPERTIES} properties of different names"
        )
    column = Property(name=name, kind=kind, length_kind=length_kind)
    return Element(name=table.name, count=table.count, properties=(*table.properties, column))


def as_doubles(table: Element) -> Element:
    """Return the table as it stands in a body of eight-byte numbers."""
    columns = tuple(
        Property(name=p.name, kind="f8", length_kind=p.length_kind and "f8") for p in table.properties
    )
    return Element(name=table.name, count=table.count, properties=columns)


def surface(body: bytes, vertex: Element, face: Element, order: str) -> Surface:
    """Return points and triangles from a body of numbers of fixed size."""
    names = [p.name for p in vertex.properties if p.length_kind is None]
    if not {"x", "y", "z"} <= set(names) or len(names) < len(vertex.properties):
        raise refused(f"vertices with {listed(names)}", "vertices with x, y and z, and no lists")
    row = np.dtype([(p.name, order + p.kind) for p in vertex.properties])
    vertex_bytes = vertex.count * row.itemsize
    claim = f"{vertex.count:,} vertices and {face.count:,} faces"
    if len(body) < vertex_bytes:
        check_size(claimed=vertex_bytes, held=len(body), claim=claim)
    vertices = np.frombuffer(body, row, count=vertex.count)
    points = np.stack([doubles(vertices[axis]) for axis in "xyz"], axis=1)
    return points, triangles(body[vertex_bytes:], face, order, claim)


def triangles(body: bytes, face: Element, order: str, claim: str) -> NDArray[np.int64]:
    """Return the faces, which must all be triangles, counted from 0."""
    row = face_row(body, face, order)
    # Rows have this size up to the first face that is no triangle; that one is found where it stands.
    faces = np.frombuffer(body, row, count=min(face.count, len(body) // row.itemsize))
    for name in [name for name in row.names or () if name.startswith("length ")]:
        lengths = doubles(faces[name])
        wrong = np.flatnonzero(lengths != lengths[:1])
        if wrong.size:
            raise refused(
                f"face {wrong[0] + 1:,} has another number of corners", "triangles only", TRIANGULATE
            )
    check_size(claimed=face.count * row.itemsize, held=len(body), claim=f"{claim} of three corners")
    name = next(p.name for p in face.properties if p.name in INDEX_NAMES)
    indices = doubles(faces[name])
    if not (np.abs(indices) < 2**53).all() or (indices % 1 != 0).any():
        raise refused("a vertex number with a fraction", "whole numbers")
    return indices.astype(np.int64)


def face_row(body: bytes, face: Element, order: str) -> np.dtype[np.void]:
    """Return how a face is laid out, from the lengths of the first one's lists."""
    fields: list[tuple[str, str, tuple[int, ...]]] = []
    offset = 0
    lengths: dict[str, int] = {}
    for column in face.properties:
        if column.length_kind is not None:
            kind = np.dtype(order + column.length_kind)
            length = first_length(body[offset : offset + kind.itemsize], kind)
            fields.append((f"length {column.name}", kind.str, ()))
            fields.append((column.name, order + column.kind, (length,)))
            lengths[column.name] = length
        else:
            fields.append((column.name, order + column.kind, ()))
        offset = np.dtype(fields).itemsize
        if offset > len(body) and face.count:
            raise refused("the file ends within its first face", "as many faces as the header claims")
    corners = [lengths[name] for name in INDEX_NAMES if name in lengths]
    if len(corners) != 1:
        raise refused("faces without a list of vertices", f"one list named {' or '.join(INDEX_NAMES)}")
    if corners[0] != 3 and face.count:
        raise refused(f"face 1 has {corners[0]:,} corners", "triangles only", TRIANGULATE)
    return np.dtype(fields)


def first_length(body: bytes, kind: np.dtype[np.generic]) -> int:
    """Return the length of a list, 0 where the file has ended."""
    if len(body) < kind.itemsize:
        return 0
    length = float(doubles(np.frombuffer(body, kind))[0])
    if not 0 <= length <= 64 or length % 1:
        raise refused(f"a face with a list of {length:,.15g} numbers", "triangles", TRIANGULATE)
    return int(length)
