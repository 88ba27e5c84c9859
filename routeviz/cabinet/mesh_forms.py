"""How many triangles an STL, OBJ or PLY file claims, if it is of a form that is certain to be read right.

A general reader passes over what it does not know, and guesses where rows differ; hence nothing else is given
to it. GLB files are held to their standard in gltf.py. The shape itself is read in mesh_reading.py.
"""

import re
from functools import reduce

import numpy as np

from routeviz.cabinet.mesh_refusals import TRIANGULATE, WRITE_ANEW, MeshError, check_counts, plain

# All patterns are possessive, hence linear in the text.
NUMBER = rb"[-+]?+(?:\d{1,40}+(?:\.\d{0,40}+)?+|\.\d{1,40}+)(?:[eE][-+]?+\d{1,4}+)?+"
BLANK = rb"[ \t]++"
END = rb"[ \t]*+\r?+(?:\n|\Z)"
POINT = 3 * (BLANK + NUMBER)
NUMBERS = "finite decimal numbers of at most 40 digits"

VERTEX = rb"\s++vertex" + POINT + rb"[ \t]*+\r?+(?=\n)"
OUTER = rb"\s++outer\s++loop"
FACET_PARTS = [
    rb"\s*+facet\s++normal(?:\s++\S++){3}",
    OUTER,
    *3 * [VERTEX],
    rb"\s++endloop",
    rb"\s++endfacet(?!\S)",
]
FACET = b"".join(FACET_PARTS)
OPENED = rb"\s*+solid(?!\S)[^\n]*+\n(?:" + FACET + rb")"
SOLID = OPENED + rb"++\s*+endsolid(?!\S)[^\n]*+"
# Behind whole solids, the part that was cut shows how far the text is right.
CUT = reduce(
    lambda behind, part: rb"(?:" + part + behind + rb")?+", reversed([OPENED + rb"*+", *FACET_PARTS]), b""
)
STL = re.compile(rb"(?:" + SOLID + rb")*+\s*+(?P<cut>" + CUT + rb")", re.IGNORECASE)
STL_FACET = re.compile(FACET, re.IGNORECASE)

INDEX = rb"[1-9]\d{0,9}+"
CORNERS = (INDEX, INDEX + b"/" + INDEX, INDEX + b"//" + INDEX, INDEX + b"/" + INDEX + b"/" + INDEX)
FACE = rb"f(?:" + b"|".join(3 * (BLANK + corner) + END for corner in CORNERS) + rb")"
OBJ_VERTEX = rb"v(?= )" + POINT + rb"(?:" + POINT + rb"|" + BLANK + rb"1(?:\.0{0,9}+)?+)?+" + END
OTHER = rb"[ \t]*+(?:#[^\n]*+|(?:vt|vn|o|g|s|usemtl|mtllib)(?:[ \t][^\n]*+)?+)?+\r?+(?:\n|\Z)"
OBJ = re.compile(rb"(?:" + FACE + rb"|" + OBJ_VERTEX + rb"|(?!\Z)" + OTHER + rb")*+")
OBJ_CORNERS = re.compile(rb"^f" + 3 * rb"[ \t]++(\d++)\S*+", re.MULTILINE)

KINDS = {
    b"char": "i1", b"uchar": "u1", b"short": "i2", b"ushort": "u2", b"int": "i4", b"uint": "u4",
    b"int8": "i1", b"uint8": "u1", b"int16": "i2", b"uint16": "u2", b"int32": "i4", b"uint32": "u4",
    b"float": "f4", b"double": "f8", b"float32": "f4", b"float64": "f8",
}  # fmt: skip
WHOLE = rb"u?(?:char|short|int(?:8|16|32)?)"
COLUMN = rb"property[ \t]++(" + b"|".join(KINDS) + rb")[ \t]++(\w++)"
ROW_END = rb"[ \t]*+\r?\n(?:(?:comment|obj_info)(?:[ \t](?![^\n]*end_header)[^\n]*+)?\n)*+"
COLUMNS = rb"(?:property[ \t]++(?:" + b"|".join(KINDS) + rb")[ \t]++\w++" + ROW_END + rb")*+"
PLY = re.compile(
    rb"ply\r?\nformat (?P<form>ascii|binary_little_endian|binary_big_endian) 1\.0" + ROW_END
    + rb"element vertex (?P<vertices>\d{1,10})" + ROW_END + rb"(?P<columns>" + COLUMNS + rb")"
    + rb"element face (?P<faces>\d{1,10})" + ROW_END + rb"(?P<before>" + COLUMNS + rb")"
    + rb"property list (?P<length>" + WHOLE + rb") (?P<index>" + WHOLE + rb") vertex_ind(?:ex|ices)" + ROW_END
    + rb"(?P<behind>" + COLUMNS + rb")end_header[ \t]*\r?\n"
)  # fmt: skip
LONGEST_HEADER = 64 * 1024


def stl_triangles(data: bytes) -> int:
    """Return how many triangles an STL file, binary or ASCII, claims and has room for."""
    claimed = int.from_bytes(data[80:84], "little")
    # A text cannot pass for binary here: four characters as a count claim more than the largest file holds.
    if len(data) == 84 + 50 * claimed:
        return claimed
    if re.match(rb"\s*+solid(?!\S)", data, re.IGNORECASE) and b"\0" not in data:
        check_form(STL, data, f"solids of whole facets, lines of x y z, {NUMBERS}")
        return len(STL_FACET.findall(data))
    if len(data) < 84:
        raise MeshError(
            f"{len(data)} bytes, which is neither a binary nor an ASCII STL file",
            "84 bytes and 50 for each triangle, or text that opens with 'solid'",
        )
    claim = f"{claimed:,} triangles (there is room for {(len(data) - 84) / 50:,.5g})"
    raise wrong_length(len(data) < 84 + 50 * claimed, claim)


def obj_triangles(data: bytes) -> int:
    """Return how many triangles an OBJ file lists."""
    # It claims no count: a file that was cut short between two lines cannot be told from a whole one.
    if re.search(rb"\\[ \t]*\r?\n", data):
        raise MeshError("a line that goes on behind a backslash", "lines of their own")
    check_form(
        OBJ,
        data,
        f"v x y z, f with three corners counted from 1, {NUMBERS}, and #, g, mtllib, o, s, usemtl, vn, vt",
        f"{WRITE_ANEW}, with its faces made into triangles, without lines, points and curves",
    )
    vertices = len(re.findall(rb"^v ", data, re.MULTILINE))
    corners = np.array(re.findall(OBJ_CORNERS, data), dtype="S10").astype(np.int64).reshape(-1, 3)
    check_counts(triangles=len(corners), vertices=vertices)
    wrong = np.flatnonzero((corners > vertices).any(axis=1))
    if wrong.size:
        found = f"triangle {wrong[0] + 1:,} names a vertex that is not among the {vertices:,} there are"
        raise MeshError(found, "vertices that are in the file")
    return len(corners)


def ply_triangles(data: bytes) -> int:
    """Return how many faces a PLY file's header claims, if they follow, and all are triangles."""
    header = PLY.match(data, 0, LONGEST_HEADER)
    if header is None:
        raise MeshError(
            f"no PLY header, or one for more than a mesh: '{plain(data[:20].decode('latin-1'))}'",
            "vertices, then faces with one list, vertex_indices, of whole numbers, within 64 kB",
        )
    form, vertices, faces = header["form"], int(header["vertices"]), int(header["faces"])
    check_counts(triangles=faces, vertices=vertices)
    columns = [re.findall(COLUMN, header[part]) for part in ("columns", "before", "behind")]
    names = [name for _, name in columns[0]]
    if len(set(names)) < len(names) or not {b"x", b"y", b"z"} <= set(names):
        raise MeshError("vertices without x, y and z, or with a name twice", "columns of different names")
    vertex, before, behind = ([KINDS[kind] for kind, _ in part] for part in columns)
    if form == b"ascii":
        check_text_rows(data[header.end() :], (vertices, len(vertex)), (faces, len(before), len(behind)))
        return faces
    face = [*before, KINDS[header["length"]], *3 * [KINDS[header["index"]]], *behind]
    order = "<" if form == b"binary_little_endian" else ">"
    check_binary_rows(
        data[header.end() :], (vertices, row(vertex, order)), (faces, row(face, order), len(before))
    )
    return faces


def row(kinds: list[str], order: str) -> np.dtype[np.void]:
    """Return the layout of a row of numbers, named by their place."""
    return np.dtype([(str(place), order + kind) for place, kind in enumerate(kinds)])


def check_binary_rows(
    body: bytes, vertex: tuple[int, np.dtype[np.void]], face: tuple[int, np.dtype[np.void], int]
) -> None:
    """Refuse faces that are no triangles, and less or more than the header claims."""
    faces, face_row, length_place = face
    start = vertex[0] * vertex[1].itemsize
    # Rows have this size up to the first face that is no triangle.
    held = max(0, min(faces, (len(body) - start) // face_row.itemsize))
    lengths = np.frombuffer(body, face_row, count=held, offset=start if held else 0)[str(length_place)]
    wrong = np.flatnonzero(lengths != 3)
    if wrong.size:
        found = f"face {wrong[0] + 1:,} has {lengths[wrong[0]]:,} corners"
        raise MeshError(found, "triangles only", TRIANGULATE)
    claimed = start + faces * face_row.itemsize
    if len(body) != claimed:
        raise wrong_length(len(body) < claimed, f"{vertex[0]:,} vertices and {faces:,} triangles")


def check_text_rows(body: bytes, vertex: tuple[int, int], face: tuple[int, int, int]) -> None:
    """Refuse rows that are no vertex or no triangle, and less or more of them than the header claims."""
    vertices, columns = vertex
    faces, before, behind = face
    number = b"(?:[ \t]*+(?<!\\S)" + NUMBER + b")"
    vertex_row = number + b"{%d}" % columns + END
    face_row = number + b"{%d}[ \t]*+3(?:[ \t]++\\d{1,10}+){3}" % before + (BLANK + NUMBER) * behind + END
    form = re.compile(b"(?:(?!\\Z)%b){0,%d}+(?:(?!\\Z)%b){0,%d}+" % (vertex_row, vertices, face_row, faces))
    claim = f"{vertices:,} vertices and {faces:,} triangles"
    body = body.rstrip()
    held = body.count(b"\n") + 1
    if held != vertices + faces:
        raise wrong_length(held < vertices + faces, f"{claim}, a row each")
    remedy = f"{WRITE_ANEW}, with its faces made into triangles"
    check_form(form, body, f"{claim} of whole numbers, a row each, {NUMBERS}", remedy, row="row")


def check_form(
    form: re.Pattern[bytes], text: bytes, allowed: str, remedy: str = WRITE_ANEW, *, row: str = "line"
) -> None:
    """Refuse text that is not wholly of a form, and say where it first is not."""
    match = form.match(text)
    end = match.end() if match else 0
    if match and end == len(text) and not match.groupdict().get("cut"):
        return
    end += len(text) - end - len(text[end:].lstrip())
    number = text.count(b"\n", 0, end) + 1
    line = text[text.rfind(b"\n", 0, end) + 1 :][:200].partition(b"\n")[0].strip()
    shown = f"not understood: '{plain(line.decode('ascii', 'backslashreplace'), 60)}'"
    found = f"{row} {number:,}: {shown if end < len(text) else 'the file ends too soon'}"
    raise MeshError(found, allowed, remedy)


def wrong_length(is_short: bool, claim: str) -> MeshError:
    """Return the error for a file that holds less, or more, than its header claims."""
    found, follows = ("cut short", "less") if is_short else ("longer than it says", "more")
    return MeshError(
        f"the file is {found}: its header claims {claim}, and {follows} follows",
        "exactly what the header claims",
    )
