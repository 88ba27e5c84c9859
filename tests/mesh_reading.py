"""Reading a mesh in the tests' own process, as a process for each of hundreds of files would take minutes."""

from routeviz.cabinet import mesh_reading, meshes


def read_here(data: bytes, kind: str, unit_mm: float, claimed: int) -> meshes.MeshData:
    """What `meshes.surface_apart` does, but here."""
    return meshes.MeshData(**mesh_reading.read_surface(data, kind=kind, unit_mm=unit_mm, claimed=claimed))


def surface(data: bytes, kind: str) -> meshes.MeshData:
    """The surface in a file's bytes."""
    return read_here(data, kind, 1.0, meshes.claimed_triangles(data, f".{kind}"))


def corners(data: bytes, kind: str) -> list:
    """The corners of each triangle in a file's bytes."""
    mesh = surface(data, kind)
    return mesh.vertices_mm[mesh.triangles].tolist()
