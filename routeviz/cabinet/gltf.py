"""How many triangles a glTF 2.0 file (GLB) places, if its shape is given so that it is certain to be read.

Whatever carries no shape is ignored. Names are the standard's own. The shape is read in mesh_reading.py.

References
----------
Khronos Group, "glTF 2.0 Specification", version 2.0.1, chapters 3.5 to 3.7, 4 and 5.
"""

import struct
from typing import Annotated, Any

from pydantic import BaseModel, ConfigDict, Field, FiniteFloat, ValidationError

from routeviz.cabinet.mesh_refusals import TRIANGULATE, MeshError, check_counts, plain

MOST_JSON_BYTES = 8 * 1024 * 1024
MOST_ENTRIES = 10_000
MOST_PIECES = 2_000
POSITIONS = ("VEC3", (5126,))
INDICES = ("SCALAR", (5121, 5123, 5125))
DEFORM = "apply the deformation before writing the file"

Whole = Annotated[int, Field(ge=0, lt=2**32)]


class Entry(BaseModel):
    """Any object of the file."""

    model_config = ConfigDict(strict=True, extra="ignore", frozen=True)


class Buffer(Entry):
    """The place of all numbers."""

    byteLength: Whole
    uri: str | None = None


class BufferView(Entry):
    """A range of the buffer."""

    buffer: Whole
    byteLength: Whole
    byteOffset: Whole = 0
    byteStride: Annotated[int, Field(ge=4, le=252)] | None = None


class Accessor(Entry):
    """How numbers lie in a range."""

    componentType: Whole
    count: Annotated[int, Field(ge=1, lt=2**32)]
    type: str
    bufferView: Whole | None = None
    byteOffset: Whole = 0
    sparse: Any = None


class Primitive(Entry):
    """Triangles over positions."""

    attributes: dict[str, Whole]
    indices: Whole | None = None
    mode: Whole = 4
    targets: Any = None


class Mesh(Entry):
    """Pieces that are placed together."""

    primitives: Annotated[list[Primitive], Field(min_length=1, max_length=MOST_ENTRIES)]


class Node(Entry):
    """A place for a mesh, and for other nodes."""

    mesh: Whole | None = None
    skin: Whole | None = None
    camera: Whole | None = None
    children: list[Whole] = []
    matrix: Annotated[list[FiniteFloat], Field(min_length=16, max_length=16)] | None = None
    translation: Annotated[list[FiniteFloat], Field(min_length=3, max_length=3)] | None = None
    rotation: Annotated[list[FiniteFloat], Field(min_length=4, max_length=4)] | None = None
    scale: Annotated[list[FiniteFloat], Field(min_length=3, max_length=3)] | None = None


class Scene(Entry):
    """The nodes that stand for themselves."""

    nodes: list[Whole] = []


class Document(Entry):
    """The whole file, as far as it says something about shape."""

    buffers: Annotated[list[Buffer], Field(min_length=1, max_length=1)]
    bufferViews: Annotated[list[BufferView], Field(max_length=MOST_ENTRIES)] = []
    accessors: Annotated[list[Accessor], Field(max_length=MOST_ENTRIES)] = []
    meshes: Annotated[list[Mesh], Field(max_length=MOST_ENTRIES)] = []
    nodes: Annotated[list[Node], Field(max_length=MOST_ENTRIES)] = []
    scenes: Annotated[list[Scene], Field(min_length=1, max_length=1)]
    extensionsUsed: list[str] = []
    extensionsRequired: list[str] = []


def glb_triangles(data: bytes) -> int:
    """Return how many triangles the scene of a GLB file places; meshes in two places count twice."""
    text, binary_bytes = chunks(data)
    try:
        read = Document.model_validate_json(text)
    except ValidationError as error:
        first = error.errors(include_url=False, include_context=False, include_input=False)[0]
        place = ".".join(str(step) for step in first["loc"]) or "the file"
        found = f"glTF, {plain(place, 80)}: {first['msg'][:200]}"
        raise MeshError(found, "one scene in one file, as the glTF 2.0 standard says") from None
    check_contained(read, binary_bytes)
    try:
        counts = [mesh_counts(read, mesh) for mesh in read.meshes]
        placed = [counts[k] for k in placed_meshes(read)]
    except IndexError:
        raise MeshError("an entry is named that does not exist", "entries that are in the file") from None
    triangles, vertices, primitives = (sum(counts[k] for counts in placed) for k in range(3))
    check_counts(triangles=triangles, vertices=vertices)
    if primitives > MOST_PIECES:
        raise MeshError(f"{primitives:,} pieces", f"at most {MOST_PIECES:,}", "join the meshes")
    return triangles


def chunks(data: bytes) -> tuple[bytes, int]:
    """Return the JSON part, and the length of the binary one."""
    header = struct.unpack("<IIIII", data[:20]) if len(data) >= 20 else (0, 0, 0, 0, 0)
    if header[:3] != (0x46546C67, 2, len(data)):
        raise MeshError(
            "no header of a glTF 2 file of this length", "GLB, version 2, of the length it claims"
        )
    end = 20 + header[3]
    behind = struct.unpack("<II", data[end : end + 8]) if end + 8 <= len(data) else (0, 0)
    if (header[4], behind[1]) != (0x4E4F534A, 0x004E4942) or end + 8 + behind[0] != len(data):
        raise MeshError("other than a JSON and a binary chunk that fill the file", "both, in this order")
    if header[3] > MOST_JSON_BYTES:
        raise MeshError(f"{header[3] / 2**20:.1f} MB of JSON", f"at most {MOST_JSON_BYTES >> 20} MB")
    return data[20:end], behind[0]


def check_contained(read: Document, binary_bytes: int) -> None:
    """Refuse data in another place, and shape that is packed, or repeated by an extension."""
    buffer = read.buffers[0]
    if buffer.uri is not None:
        found = "a buffer in another place than the file's own binary part"
        raise MeshError(found, "self-contained files", "write one .glb file with everything in it")
    ends = [view.byteOffset + view.byteLength for view in read.bufferViews if view.buffer == 0]
    if (
        max([0, *ends]) > buffer.byteLength
        or buffer.byteLength > binary_bytes
        or len(ends) < len(read.bufferViews)
    ):
        raise MeshError("numbers that reach behind the data's end", "numbers within the file")
    known = ("KHR_materials_", "KHR_texture_", "KHR_lights_")
    unread = {name for name in read.extensionsRequired if not name.startswith(known)}
    unread |= {name for name in read.extensionsUsed if name == "EXT_mesh_gpu_instancing"}
    if unread:
        remedy = "write the file without compression and instancing"
        raise MeshError(f"the extension {plain(', '.join(sorted(unread)), 100)}", "plain glTF 2.0", remedy)


def mesh_counts(read: Document, mesh: Mesh) -> tuple[int, int, int]:
    """Return how many triangles, vertices and primitives a mesh has."""
    triangles = vertices = 0
    for primitive in mesh.primitives:
        if primitive.mode != 4:
            raise MeshError(f"a primitive of mode {primitive.mode}", "mode 4, triangles", TRIANGULATE)
        if primitive.targets:
            raise MeshError("a mesh with morph targets", "rigid meshes", DEFORM)
        if "POSITION" not in primitive.attributes:
            raise MeshError("a primitive without POSITION", "triangles with positions")
        corners = rows(read, primitive.attributes["POSITION"], *POSITIONS)
        vertices += corners
        if primitive.indices is not None:
            corners = rows(read, primitive.indices, *INDICES)
        if corners % 3:
            raise MeshError(f"a primitive with {corners:,} corners", "three for each triangle")
        triangles += corners // 3
    check_counts(triangles=triangles, vertices=vertices)
    return triangles, vertices, len(mesh.primitives)


def rows(read: Document, index: int, form: str, kinds: tuple[int, ...]) -> int:
    """Return how many rows of numbers an accessor has, if they are of the right form."""
    accessor = read.accessors[index]
    if (accessor.type, accessor.sparse) != (form, None) or accessor.componentType not in kinds:
        found = f"numbers of kind {accessor.componentType}, {plain(accessor.type, 20)}"
        found += ", sparse" if accessor.sparse is not None else ""
        raise MeshError(found, f"{form} of kind {' or '.join(map(str, kinds))}, not sparse")
    if accessor.bufferView is None:
        raise MeshError("an accessor without buffer view", "numbers that stand in the file")
    return accessor.count


def placed_meshes(read: Document) -> list[int]:
    """Return the mesh of every node that has one; nodes must form a tree and be rigid."""
    placed: list[int] = []
    seen: set[int] = set()
    waiting = list(read.scenes[0].nodes)
    while waiting:
        index = waiting.pop()
        if index in seen:
            raise MeshError(f"node {index} in two places, or within itself", "nodes that form a tree")
        seen.add(index)
        node = read.nodes[index]
        check_node(node)
        waiting += node.children
        if node.mesh is not None:
            placed.append(node.mesh)
    if len(set(placed)) < len(read.meshes):
        found = f"{len(read.meshes)} meshes, of which {len(set(placed))} are in the scene"
        raise MeshError(found, "all", "write only what shall be used")
    return placed


def check_node(node: Node) -> None:
    """Refuse what bends a mesh, and places that may be read in two ways."""
    if node.skin is not None:
        raise MeshError("a mesh bent by a skin", "rigid meshes", DEFORM)
    if node.camera is not None and (node.children or node.mesh is not None):
        raise MeshError("a node that is a camera and places a mesh", "cameras in nodes of their own")
    if node.matrix is not None and node.matrix[3::4] != [0.0, 0.0, 0.0, 1.0]:
        raise MeshError("a node with a perspective matrix", "turning, moving and scaling")
    if node.matrix is not None and (node.translation or node.rotation or node.scale):
        raise MeshError("a node with a matrix and other ways of placing", "one or the other")
    if node.rotation is not None and abs(sum(q * q for q in node.rotation) - 1.0) > 1e-3:
        raise MeshError("a node's rotation that is no unit quaternion", "unit quaternions")
