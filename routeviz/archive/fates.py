"""What a picture of two states shows of their differences: what became of each tube and part, and where."""

from routeviz.archive.changes import Change
from routeviz.archive.differences import NEWLY, STANDS, Differences
from routeviz.checks.words import mm
from routeviz.views.before_and_after import Fates
from routeviz.views.display import Marker


def fates_of(found: Differences) -> Fates:
    """Return what became of things, as a picture shows it.

    Parameters
    ----------
    found : Differences
        Between the two.

    Returns
    -------
    fates : Fates
        Markers bear the numbers of the changes, and stand in their order.
    """
    was_called = {after: before for before, after in found.same_tubes}
    moved = [one.name for one in found.of("tube", "moved")]
    names = {what: [one.name for one in found.of("tube", what)] for what in ("added", "removed")}
    elsewhere = [one.name for one in found.of("part", *STANDS)]
    return Fates(
        now=frozenset([*moved, *names["added"]]),
        before=frozenset([*(was_called[name] for name in moved), *names["removed"]]),
        stands=frozenset([*elsewhere, *(one.name for one in found.of("part", "added"))]),
        stood=frozenset([*elsewhere, *(one.name for one in found.of("part", "removed"))]),
        markers=tuple(
            marker for number, one in enumerate(found.changes, 1) for marker in _markers(number, one)
        ),
    )


def _markers(number: int, one: Change) -> list[Marker]:
    if one.point is None:
        return []
    if one.kind == "finding" and one.what in NEWLY and one.severity != "note":
        says = f"{one.value}: {one.name}" + (f" – {one.other}" if one.other else "")
        return [Marker(number=number, severity=one.severity or "note", point=one.point, says=says)]
    if one.kind == "tube" and one.what == "moved":
        says = f"{one.name}: {mm(one.high or 0.0)}"
        return [Marker(number=number, severity="note", point=one.point, says=says)]
    return []
