"""What the JSON of a glTF 2.0 file must look like for its shape to be read wholly.

Whatever carries no shape is ignored. Names are the standard's own. How shape is read from it is in glb.py.

References
----------
Khronos Group, "glTF 2.0 Specification", version 2.0.1, chapters 3.5 to 3.7 and 5.
"""

from typing import Annotated, Any

from pydantic import BaseModel, ConfigDict, Field, FiniteFloat, ValidationError

from routeviz.cabinet.mesh_refusals import TRIANGULATE, WRITE_ANEW, MeshError, listed, refused

MOST_NODES = 10_000
SELF_CONTAINED = "write one .glb file with everything in it"

Whole = Annotated[int, Field(ge=0, lt=2**32)]
Numbers3 = Annotated[list[FiniteFloat], Field(min_length=3, max_length=3)]
Numbers4 = Annotated[list[FiniteFloat], Field(min_length=4, max_length=4)]
Numbers16 = Annotated[list[FiniteFloat], Field(min_length=16, max_length=16)]


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

    primitives: Annotated[list[Primitive], Field(min_length=1, max_length=MOST_NODES)]


class Node(Entry):
    """A place for a mesh, and for other nodes."""

    mesh: Whole | None = None
    skin: Whole | None = None
    children: list[Whole] = []
    matrix: Numbers16 | None = None
    translation: Numbers3 = [0.0, 0.0, 0.0]
    rotation: Numbers4 = [0.0, 0.0, 0.0, 1.0]
    scale: Numbers3 = [1.0, 1.0, 1.0]


class Scene(Entry):
    """The nodes that stand for themselves."""

    nodes: list[Whole] = []


class Document(Entry):
    """The whole file, as far as it says something about shape."""

    buffers: list[Buffer] = []
    bufferViews: list[BufferView] = []
    accessors: list[Accessor] = []
    meshes: list[Mesh] = []
    nodes: Annotated[list[Node], Field(max_length=MOST_NODES)] = []
    scenes: list[Scene] = []
    extensionsUsed: list[str] = []
    extensionsRequired: list[str] = []


def document(text: bytes, binary_bytes: int) -> Document:
    """Return the JSON of a glTF file whose shape can be read wholly.

    Parameters
    ----------
    text : bytes
        The JSON.
    binary_bytes : int
        Length of the binary chunk that follows it.

    Returns
    -------
    document : Document
        Of the right form; what its numbers point to is not checked yet.

    Raises
    ------
    MeshError
        The form is wrong, or shape is given in a way that is not read.
    """
    try:
        read = Document.model_validate_json(text)
    except ValidationError as error:
        first = error.errors(include_url=False, include_context=False, include_input=False)[0]
        place = ".".join(str(step) for step in first["loc"]) or "the file"
        raise MeshError(
            found=f"glTF, {ascii(place)[1:-1][:80]}: {first['msg'][:200]}",
            allowed="what the glTF 2.0 standard says",
            remedy=WRITE_ANEW,
        ) from None
    refuse_outside(read, binary_bytes)
    refuse_other_shapes(read)
    return read


def refuse_outside(read: Document, binary_bytes: int) -> None:
    """Refuse a file that is not whole in itself."""
    if any(buffer.uri is not None for buffer in read.buffers):
        raise refused(
            "a buffer in another place than the file's own binary part",
            "self-contained files",
            SELF_CONTAINED,
        )
    if len(read.buffers) != 1 or read.buffers[0].byteLength > binary_bytes:
        claimed = ", ".join(f"{buffer.byteLength:,} bytes" for buffer in read.buffers[:5]) or "none"
        raise refused(
            f"buffers: {claimed}; the file holds {binary_bytes:,} bytes", "one buffer, wholly in the file"
        )
    if len(read.scenes) != 1:
        raise refused(f"{len(read.scenes)} scenes", "one scene", "write a file with a single scene")


def refuse_other_shapes(read: Document) -> None:
    """Refuse shape that is packed, bent, repeated by an extension, or no triangles."""
    plain = ("KHR_materials_", "KHR_texture_", "KHR_lights_")
    unread = {name for name in read.extensionsRequired if not name.startswith(plain)}
    unread |= {name for name in read.extensionsUsed if name == "EXT_mesh_gpu_instancing"}
    if unread:
        found = ascii(listed(list(unread)))[1:-1][:100]
        raise refused(
            f"the extension {found}", "plain glTF 2.0", "write the file without compression and instancing"
        )
    if any(node.skin is not None for node in read.nodes):
        raise refused(
            "a mesh bent by a skin", "rigid meshes", "apply the deformation before writing the file"
        )
    for primitive in (p for mesh in read.meshes for p in mesh.primitives):
        if primitive.mode != 4:
            raise refused(f"a primitive of mode {primitive.mode}", "mode 4, triangles", TRIANGULATE)
        if primitive.targets:
            raise refused(
                "a mesh with morph targets", "rigid meshes", "apply the deformation before writing the file"
            )
