"""Can tees and couplers lie where a plan says? What cannot be is refused, before it is placed there."""

from collections.abc import Iterator

from routeviz.cabinet.joins import JoinPlace, with_places
from routeviz.cabinet.solids import Cabinet, extents
from routeviz.errors import Problem, SceneError
from routeviz.scene.parts import JoinPart
from routeviz.scene.positions import dotted
from routeviz.scene.quantities import WORDS
from routeviz.scene.reading import Reading
from routeviz.tubes.plan_file import REMEDY
from routeviz.tubes.plans import Plan

GRAIN_MM = 1e-3  # by which what lies at the rim of the case may be written beyond it


def settled(reading: Reading, plan: Plan, cabinet: Cabinet, file: str) -> Reading:
    """Return a scene in which its tees and couplers without a place lie where a plan says.

    Parameters
    ----------
    reading : Reading
        The scene as read.
    plan : Plan
        Made for this scene as it is.
    cabinet : Cabinet
        The scene placed without them.
    file : str
        The plan's.

    Returns
    -------
    reading : Reading
        All else as it was.

    Raises
    ------
    SceneError
        The plan places what the scene does not leave without a place, or places it as it cannot lie; carries
        every problem found.
    """
    problems: list[Problem] = []
    for number, one in enumerate(plan.places):
        for word, found, allowed in _wrong(reading, one, cabinet):
            key = dotted(("places", number, word))
            problems.append(Problem(file=file, key=key, found=found, allowed=allowed, remedy=REMEDY))
    if problems:
        raise SceneError(tuple(problems))
    return with_places(reading, plan.places)


def _wrong(reading: Reading, one: JoinPlace, cabinet: Cabinet) -> Iterator[tuple[str, str, str]]:
    """Yield what is wrong with a place: the word, what was found, what is allowed."""
    part = reading.scene.part.get(one.name)
    if not isinstance(part, JoinPart) or part.at is not None:
        names = [n for n, p in reading.scene.part.items() if isinstance(p, JoinPart) and p.at is None]
        allowed = f"what the scene leaves without a place: {', '.join(names) or 'nothing'}"
        yield "name", f"a place for {one.name[:60]!r}", allowed
        return
    low, high = extents(cabinet)
    if (one.at < low - GRAIN_MM).any() or (one.at > high + GRAIN_MM).any():
        right, back, up = one.at.tolist()
        found = f"{one.name} at right {right:.0f}, back {back:.0f}, up {up:.0f}"
        yield "at", found, "a place in the case, between the outermost of what stands there"
    if (part.kind == "tee") != (one.branches is not None):
        found = f"{'no' if one.branches is None else 'a'} branch on a {part.kind}"
        yield "branches", found, "a branch on a tee, none on a coupler"
    elif one.branches is not None and any(
        a and b for a, b in zip(WORDS[one.runs], WORDS[one.branches], strict=True)
    ):
        yield "branches", "a branch that lies along the run", "a branch to the side"
