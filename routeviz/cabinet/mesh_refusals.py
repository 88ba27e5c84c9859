"""Why a mesh file is refused, and how large one may be."""

from routeviz.errors import RoutevizError

# The largest files that are read. tests/experiments/mesh_limits.py prints time and memory at these sizes.
MOST_BYTES = 64 * 1024 * 1024
MOST_TRIANGLES = 500_000
MOST_VERTICES = 3 * MOST_TRIANGLES  # as many as triangles that share no vertex need
REFUSED = 3  # exit code of the process that reads, where it refuses a file

SIMPLIFY = "simplify the mesh in the program that made it, or give the part as boxes"
WRITE_ANEW = "write the file anew from the program that made it"
TRIANGULATE = "write the file with its faces made into triangles"


class MeshError(RoutevizError):
    """A mesh file cannot be used: what was found, what is allowed, what to do."""

    def __init__(self, found: str, allowed: str, remedy: str = WRITE_ANEW) -> None:
        self.found = found
        self.allowed = allowed
        self.remedy = remedy
        super().__init__(f"{found}\n  allowed: {allowed}\n  remedy: {remedy}")


def check_counts(*, triangles: int, vertices: int) -> None:
    """Refuse counts that are too large, before room is made for them.

    Parameters
    ----------
    triangles, vertices : int
        As the file claims.

    Raises
    ------
    MeshError
        There are too many of either.
    """
    for count, most, noun in (
        (triangles, MOST_TRIANGLES, "triangles"),
        (vertices, MOST_VERTICES, "vertices"),
    ):
        if count > most:
            raise MeshError(f"{count:,} {noun}", f"at most {most:,} {noun}", SIMPLIFY)


def plain(text: str, most: int = 200) -> str:
    """Return text from outside as it can stand in a message on one line."""
    return "".join(c if c.isprintable() else ascii(c)[1:-1] for c in text)[:most]
