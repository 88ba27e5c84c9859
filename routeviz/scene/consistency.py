"""What does an entry say against itself? Two ways at once, half a point, a key that would say nothing.

What entries say of each other is in references.py; what needs sizes is found in cabinet/.
"""

from collections.abc import Iterator, Sequence

from routeviz.errors import Problem
from routeviz.scene.description import TubeEntry
from routeviz.scene.parts import JoinPart, KeepClearPart, KeyboardPart, NipplesPart, Part
from routeviz.scene.positions import Key, problem_at
from routeviz.scene.quantities import NEAR_AND_FAR, Position
from routeviz.scene.references import Known
from routeviz.scene.wiring import STATES

ABOUT_ROWS = ("faces", "outside", "on_nipple", "pitch", "carried_by")
# Where a tee lies and which way it runs is found together; copies of it would each want a place of their own.
_ONLY_AT_A_PLACE = ("zero", "runs", "turned", "repeat")
_INSTEAD_OF_FACES = {
    "coupler": ("runs, the way from nipple 1 to nipple 2", "write runs, or leave faces out"),
    "tee": ("runs and branches, the ways of its nipples", "write runs and branches, or leave faces out"),
}


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
    for name, part in known.scene.part.items():
        yield from _idle(known, ("part", name), part)
    for index, tube in zip(known.entries, known.scene.tubes, strict=True):
        yield from _tube(known, ("tubes", index), tube)


def _idle(known: Known, key: Key, part: Part) -> Iterator[Problem]:
    """Yield the keys of a part that would be passed over in silence: about nipples without any, and such."""
    for word, of_what, allowed, remedy in _idle_words(part):
        if f"{word}_mm" in part.model_fields_set or word in part.model_fields_set:
            found = f"{word} on {of_what}, where it says nothing"
            yield problem_at(known.at, (*key, word), found, allowed, remedy)


def _idle_words(part: Part) -> Iterator[tuple[str, str, str, str]]:
    """Yield the words that say nothing on such a part: word, of what, allowed, remedy."""
    if isinstance(part, NipplesPart):
        for word in ("clearance", "comes_out"):
            remedy = f"give {word} to the part that carries the nipples"
            yield word, "nipples alone", f"{word} on a part with a body", remedy
    if isinstance(part, JoinPart):
        yield from _idle_on_joins(part)
    elif not part.rows:
        for word in ABOUT_ROWS:
            bears = not isinstance(part, KeyboardPart | KeepClearPart)
            remedy = f"add the rows, or leave {word} out" if bears else f"leave {word} out"
            yield word, f"a {part.kind} without rows", f"{word} beside rows of nipples", remedy


def _idle_on_joins(part: JoinPart) -> Iterator[tuple[str, str, str, str]]:
    """Yield the words that say nothing on a tee or coupler, as above."""
    yield "faces", f"a {part.kind}", *_INSTEAD_OF_FACES[part.kind]
    yield "pitch", f"a {part.kind}", "pitch beside rows of nipples", "leave pitch out"
    if part.kind == "coupler":
        yield "branches", "a coupler", "branches on a tee", "leave branches out, or make it a tee"
    elif part.at is None:
        yield "branches", "a tee without at", "branches beside at", "write at, or leave branches out"
    for word in _ONLY_AT_A_PLACE if part.at is None else ():
        yield word, f"a {part.kind} without at", f"{word} beside at", f"write at, or leave {word} out"


def _tube(known: Known, key: Key, tube: TubeEntry) -> Iterator[Problem]:
    if tube.corners is not None and tube.measured is not None:
        found, allowed = "both corners and measured", "corners as drawn, or points as measured"
        yield problem_at(known.at, (*key, "measured"), found, allowed, "keep one of them")
    yield from _ends(known, key, tube)
    for word, points in (("corners", tube.corners), ("measured", tube.measured)):
        yield from _points(known, (*key, word), points or ())
    for word, point in (("starts_at", tube.starts_at), ("ends_at", tube.ends_at)):
        yield from _points(known, (*key, word), () if point is None else (point,), in_a_list=False)


def _ends(known: Known, key: Key, tube: TubeEntry) -> Iterator[Problem]:
    """Yield what does not fit the tube's ends."""
    if tube.start in STATES and tube.end in STATES and tube.name is None:
        found = "a tube with no nipple at either end and no name"
        yield problem_at(known.at, key, found, "a name for it", 'write name = "..."')
    for word, end, lies in (("starts_at", tube.start, tube.starts_at), ("ends_at", tube.end, tube.ends_at)):
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
