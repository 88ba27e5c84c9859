"""Why a mesh file is refused, and how large one may be.

Which file is read is in mesh_paths.py; what is read from it is in stl.py, obj.py, ply.py and glb.py.
"""

from collections.abc import Sequence

from routeviz.errors import RoutevizError
from routeviz.geometry.arrays import Floats, Ints

# The largest files that are read. tests/experiments/mesh_limits.py prints time and memory at these sizes.
MOST_BYTES = 64 * 1024 * 1024
MOST_TRIANGLES = 500_000
MOST_VERTICES = 3 * MOST_TRIANGLES  # as many as triangles that share no vertex need

SIMPLIFY = "simplify the mesh in the program that made it, or give the part as boxes"
WRITE_ANEW = "write the file anew from the program that made it"
TRIANGULATE = "write the file with its faces made into triangles"

# What a reader gives: points (n, 3) in the file's own unit and axes, triangles (m, 3) as they stand there.
Surface = tuple[Floats, Ints]


class MeshError(RoutevizError):
    """A mesh file cannot be used: what was found, what is allowed, what to do."""

    def __init__(self, *, found: str, allowed: str, remedy: str) -> None:
        self.found = found
        self.allowed = allowed
        self.remedy = remedy
        super().__init__(f"{found}\n  allowed: {allowed}\n  remedy: {remedy}")


def refused(found: str, allowed: str, remedy: str = WRITE_ANEW) -> MeshError:
    """Return the error for what a file holds."""
    return MeshError(found=found, allowed=allowed, remedy=remedy)


def check_counts(*, triangles: int, vertices: int) -> None:
    """Refuse counts that are too large, before room is made for them.

    Parameters
    ----------
    triangles, vertices : int
        As the file claims, or as read so far.

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
            raise MeshError(found=f"{count:,} {noun}", allowed=f"at most {most:,} {noun}", remedy=SIMPLIFY)


def check_size(*, claimed: int, held: int, claim: str) -> None:
    """Refuse a file that holds less, or more, than its own header claims.

    Parameters
    ----------
    claimed, held : int
        How much must follow the header, and how much does, in the same unit.
    claim : str
        What the header says, e.g. ``12 triangles``.

    Raises
    ------
    MeshError
        The two differ.
    """
    if held == claimed:
        return
    less = held < claimed
    raise MeshError(
        found=f"the file is {'cut short' if less else 'longer than it says'}: "
        f"its header claims {claim}, and {'less' if less else 'more'} follows",
        allowed="exactly what the header claims",
        remedy=WRITE_ANEW,
    )


def shown(text: bytes) -> str:
    """Return the first word of a file's text, short and plain enough for a message."""
    words = text[:80].split(None, 1)
    word = words[0] if words else b"the end of the file"
    plain = word.decode("ascii", "backslashreplace")
    return "".join(c if c.isprintable() else f"\\x{ord(c):02x}" for c in plain)[:40]


def listed(names: Sequence[str]) -> str:
    """Return names as a list for a message."""
    return ", ".join(sorted(names))
