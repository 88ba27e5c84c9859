"""Triangles of a self-contained glTF 2.0 file (GLB), each mesh where the file's nodes put it.

Points stay in the file's own axes and unit. The form of the file's JSON, and what is refused there, is in
gltf.py.
"""

import struct
from collections.abc import Iterator, Sequence
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from routeviz.cabinet.gltf import Accessor, Document, Node, Primitive, document
from routeviz.cabinet.mesh_numbers import doubles
from routeviz.cabinet.mesh_refusals import Surface, check_counts, refused
from routeviz.geometry.arrays import Floats, Ints

MAGIC = 0x46546C67
JSON_CHUNK = 0x4E4F534A
BINARY_CHUNK = 0x004E4942
MOST_JSON_BYTES = 8 * 1024 * 1024
MOST_PIECES = 10_000
POSITION_KINDS = {5126: "<f4"}
INDEX_KINDS = {5121: "<u1", 5123: "<u2", 5125: "<u4"}

Row = TypeVar("Row")


def read_glb(data: bytes) -> Surface:
    """Return the triangles of a GLB file.

    Parameters
    ----------
    data : bytes
        The whole file.

    Returns
    -------
    surface : (points, triangles)
        All pieces one behind the other; mirrored ones are turned so that their outside stays out.

    Raises
    ------
    MeshError
        The file cannot be read wholly.
    """
    text, binary = chunks(data)
    read = document(text, len(binary))
    points: list[Floats] = []
    triangles: list[Ints] = []
    vertices = corners = 0
    for primitive, world in pieces(read):
        piece, indices = piece_surface(read, binary, primitive)
        check_counts(triangles=(corners + indices.size) // 3, vertices=vertices + len(piece))
        points.append(moved(piece, world))
        triangles.append(facing(indices, world) + vertices)
        vertices += len(piece)
        corners += indices.size
    return np.concatenate(points or [np.empty((0, 3))]), np.concatenate(
        triangles or [np.empty((0, 3), np.int64)]
    )


def chunks(data: bytes) -> tuple[bytes, bytes]:
    """Return the JSON and the binary part."""
    magic, version, length = struct.unpack("<III", data[:12]) if len(data) >= 12 else (0, 0, 0)
    if magic != MAGIC or version != 2 or length != len(data):
        found = f"a header for glTF {version} of {length:,} bytes, in a file of {len(data):,} bytes"
        raise refused(
            found if magic == MAGIC else "no glTF header", "GLB, version 2, of the length that it claims"
        )
    found_chunks: list[tuple[int, bytes]] = []
    position = 12
    while position < length:
        size, kind = (
            struct.unpack("<II", data[position : position + 8]) if position + 8 <= length else (length, 0)
        )
        if position + 8 + size > length:
            raise refused("a chunk that reaches behind the file's end", "chunks that fill the file exactly")
        found_chunks.append((kind, data[position + 8 : position + 8 + size]))
        position += 8 + size
    match found_chunks:
        case [(kind, text), (binary_kind, binary), *_] if (kind, binary_kind) == (JSON_CHUNK, BINARY_CHUNK):
            if len(text) <= MOST_JSON_BYTES:
                return text, binary
    raise refused("no JSON chunk (up to 8 MB) with a binary one behind it", "both, in this order")


def pieces(read: Document) -> Iterator[tuple[Primitive, Floats]]:
    """Yield every primitive with the transform (4, 4) that puts it into the scene."""
    seen: set[int] = set()
    placed: set[int] = set()
    count = 0
    waiting = [(node, np.eye(4)) for node in reversed(read.scenes[0].nodes)]
    while waiting:
        index, world_from_parent = waiting.pop()
        node = at(read.nodes, index, "node")
        if index in seen:
            raise refused(f"node {index} in two places, or within itself", "nodes that form a tree")
        seen.add(index)
        world = product(world_from_parent, parent_from(node))
        waiting += [(child, world) for child in reversed(node.children)]
        if node.mesh is None:
            continue
        placed.add(node.mesh)
        for primitive in at(read.meshes, node.mesh, "mesh").primitives:
            count += 1
            if count > MOST_PIECES:
                raise refused(f"over {MOST_PIECES:,} pieces", f"at most {MOST_PIECES:,}", "join the meshes")
            yield primitive, world
    if len(placed) < len(read.meshes):
        remedy = "write only what shall be used"
        raise refused(f"{len(read.meshes)} meshes, of which {len(placed)} are in the scene", "all", remedy)


def piece_surface(read: Document, binary: bytes, primitive: Primitive) -> tuple[Floats, Ints]:
    """Return points (n, 3) and triangles (m, 3) of a primitive in its own frame."""
    if "POSITION" not in primitive.attributes:
        raise refused("a primitive without POSITION", "triangles with positions")
    accessor = at(read.accessors, primitive.attributes["POSITION"], "accessor")
    check_counts(triangles=0, vertices=accessor.count)
    points = doubles(column(read, binary, accessor, POSITION_KINDS, "VEC3"))
    indices = np.arange(len(points))
    if primitive.indices is not None:
        accessor = at(read.accessors, primitive.indices, "accessor")
        check_counts(triangles=accessor.count // 3, vertices=0)
        indices = column(read, binary, accessor, INDEX_KINDS, "SCALAR")[:, 0].astype(np.int64)
    if indices.size % 3:
        raise refused(f"a primitive with {indices.size:,} corners", "three for each triangle")
    if indices.max() >= len(points):
        raise refused(
            f"a triangle names a vertex that is not among the {len(points):,} there are",
            "vertices that exist",
        )
    return points, indices.reshape(-1, 3)


def column(
    read: Document, binary: bytes, accessor: Accessor, kinds: dict[int, str], form: str
) -> NDArray[np.generic]:
    """Return an accessor's numbers, shape (n, 3) or (n, 1)."""
    if accessor.type != form or accessor.componentType not in kinds or accessor.sparse is not None:
        found = f"numbers of kind {accessor.componentType}, {ascii(accessor.type)[1:-1][:20]}"
        found += ", sparse" if accessor.sparse is not None else ""
        raise refused(found, f"{form} of kind {' or '.join(map(str, kinds))}, not sparse")
    if accessor.bufferView is None:
        raise refused("an accessor without buffer view", "numbers that stand in the file")
    view = at(read.bufferViews, accessor.bufferView, "buffer view")
    at(read.buffers, view.buffer, "buffer")
    kind = np.dtype(kinds[accessor.componentType])
    width = 3 if form == "VEC3" else 1
    stride = view.byteStride or width * kind.itemsize
    end = accessor.byteOffset + (accessor.count - 1) * stride + width * kind.itemsize
    if end > view.byteLength or view.byteOffset + view.byteLength > read.buffers[0].byteLength:
        raise refused(
            f"{accessor.count:,} numbers that reach behind the data's end", "numbers within the file"
        )
    start = view.byteOffset + accessor.byteOffset
    return np.ndarray((accessor.count, width), kind, binary, start, (stride, kind.itemsize))


def parent_from(node: Node) -> Floats:
    """Return a node's own transform, shape (4, 4)."""
    if node.matrix is not None:
        matrix = np.array(node.matrix).reshape(4, 4).T  # by columns in the file
        if matrix[3].tolist() != [0.0, 0.0, 0.0, 1.0]:
            raise refused("a node with a perspective matrix", "turning, moving and scaling")
        return matrix
    x, y, z, w = node.rotation
    if abs(x * x + y * y + z * z + w * w - 1.0) > 1e-3:
        raise refused("a node's rotation that is no unit quaternion", "unit quaternions")
    turn = np.array(
        [
            [1 - 2 * (y * y + z * z), 2 * (x * y - z * w), 2 * (x * z + y * w)],
            [2 * (x * y + z * w), 1 - 2 * (x * x + z * z), 2 * (y * z - x * w)],
            [2 * (x * z - y * w), 2 * (y * z + x * w), 1 - 2 * (x * x + y * y)],
        ]
    )
    matrix = np.eye(4)
    matrix[:3, :3] = turn * np.array(node.scale)
    matrix[:3, 3] = node.translation
    return matrix


def product(first: Floats, second: Floats) -> Floats:
    """Return ``first @ second``; what overflows is refused later, as a number that is not finite."""
    with np.errstate(over="ignore", invalid="ignore"):
        result: Floats = (first[:, :, None] * second[None, :, :]).sum(axis=1)
    return result


def moved(points: Floats, world: Floats) -> Floats:
    """Return points in the scene; written out, so that equal points stay equal to the last bit."""
    x, y, z = points.T
    with np.errstate(over="ignore", invalid="ignore"):
        return np.stack([x * a + y * b + z * c + d for a, b, c, d in world[:3]], axis=1)


def facing(triangles: Ints, world: Floats) -> Ints:
    """Return triangles wound the other way round where the transform mirrors."""
    a, b, c = world[:3, :3]
    with np.errstate(over="ignore", invalid="ignore"):
        mirrors = (a * np.cross(b, c)).sum() < 0
    return triangles[:, ::-1] if mirrors else triangles


def at(rows: Sequence[Row], index: int, noun: str) -> Row:
    """Return one entry of the file, which must exist."""
    if index >= len(rows):
        raise refused(f"{noun} {index:,} is named, there are {len(rows):,}", "entries that exist, from 0")
    return rows[index]
