"""What does a tube's entry say against itself? Two ways at once, half a point, the same point twice.

What entries say of each other is in references.py; what needs sizes is found in cabinet/.
"""

from collections.abc import Iterator, Sequence

from routeviz.errors import Problem
from routeviz.scene.description import TubeEntry
from routeviz.scene.positions import Key, problem_at
from routeviz.scene.quantities import NEAR_AND_FAR, Position
from routeviz.scene.references import Known
from routeviz.scene.wiring import STATES


def problems_of_entries(known: Known) -> Iterator[Problem]:
    """Yield what single entries of a scene say against themselves.

    Parameters
    ----------
    known : Known
        The scene.

    Yields
    ------
    problem : Problem
        With the key that is one too many, or the entry's own where one is missing.
    """
    for index, tube in zip(known.entries, known.scene.tubes, strict=True):
        yield from _tube(known, ("tubes", index), tube)


def _tube(known: Known, key: Key, tube: TubeEntry) -> Iterator[Problem]:
    if tube.corners is not None and tube.measured is not None:
        found, allowed = "both corners and measured", "corners as drawn, or points as measured"
        yield problem_at(known.at, (*key, "measured"), found, allowed, "keep one of them")
    yield from _ends(known, key, tube)
    for word, points in (("corners", tube.corners), ("measured", tube.measured)):
        yield from _points(known, (*key, word), points or ())
    for word, point in (("starts_at", tube.starts_at), ("waits", tube.ends_at)):
        yield from _points(known, (*key, word), () if point is None else (point,), in_a_list=False)


def _ends(known: Known, key: Key, tube: TubeEntry) -> Iterator[Problem]:
    """Yield what does not fit the tube's ends."""
    if tube.start in STATES and tube.end in STATES and tube.name is None:
        found = "a tube with no nipple at either end and no name"
        yield problem_at(known.at, key, found, "a name for it", 'write name = "..."')
    for word, end, lies in (("starts_at", tube.start, tube.starts_at), ("waits", tube.end, tube.ends_at)):
        if lies is not None and end not in STATES:
            found = f"{word} beside the nipple {end!r}"
            allowed = f"{word} for an end without a nipple: {', '.join(STATES)}"
            yield problem_at(known.at, (*key, word), found, allowed, f"leave {word} out")
    for word, value in (("spare", tube.spare_mm or None), ("for", tube.waits_for)):
        if value is not None and "loose" not in (tube.start, tube.end):
            found = f"{word} on a tube without a loose end"
            yield problem_at(known.at, (*key, word), found, "'loose' as 'from' or 'to'", f"leave {word} out")


def _points(
    known: Known, key: Key, points: Sequence[Position], *, in_a_list: bool = True
) -> Iterator[Problem]:
    """Yield points of a tube that lack a direction, and neighbours that are the same point."""
    before: tuple[object, ...] = ()
    for index, point in enumerate(points):
        place = (*key, index) if in_a_list else key
        lacking = [ways for ways in NEAR_AND_FAR if all(getattr(point, f"{way}_mm") is None for way in ways)]
        for one, other in lacking:
            found = f"a point of the tube without {one}"
            yield problem_at(known.at, place, found, f"{one} or {other}", "tape it, and write it down")
        where = (*(getattr(point, f"{way}_mm") for ways in NEAR_AND_FAR for way in ways), point.zero)
        if where == before:
            found = f"the same point as the one before, number {index}"
            yield problem_at(known.at, place, found, "points apart from each other", "leave one out")
        before = where
