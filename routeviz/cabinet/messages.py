"""How placing points at the line of the scene file that is wrong, and how all such problems are gathered.

What a problem is stands in errors.py; where a key stands in the file is known to scene/reading.py.
"""

from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass

from routeviz.errors import Problem, SceneError
from routeviz.scene.reading import Reading, problem
from routeviz.scene.spelling import nearest_first


@dataclass(frozen=True, slots=True, kw_only=True)
class Where:
    """A place in the scene file.

    Parameters
    ----------
    reading : Reading
        The scene, and where each of its values stands.
    key : tuple of str or int
        The keys from the top of the file down to the place.
    """

    reading: Reading
    key: tuple[str | int, ...] = ()

    def at(self, *more: str | int) -> "Where":
        """Return the place further down at these keys."""
        return Where(reading=self.reading, key=self.key + more)

    def wrong(self, found: str, allowed: str, remedy: str) -> SceneError:
        """Return the error that says what is wrong here, to be raised."""
        return SceneError((problem(self.reading, self.key, found, allowed, remedy),))


@contextmanager
def gathered(problems: list[Problem]) -> Iterator[None]:
    """Note what is wrong inside the block, and go on after it, so that one run shows all problems."""
    try:
        yield
    except SceneError as error:
        problems.extend(error.problems)


def listed(names: Iterable[str], like: str = "") -> str:
    """Return names for a message, the likest first; ``none`` where there are none."""
    return ", ".join(nearest_first(like, names)) or "none"
