"""Which tubes of two states are the same, and what is not as it was with them."""

from collections import Counter
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from routeviz.archive.changes import SAME_MM, Change, altered, number_altered
from routeviz.checks.words import mm
from routeviz.geometry.curves import tightest_bend
from routeviz.geometry.shifts import farthest_apart
from routeviz.lay import Lay
from routeviz.records.cut_lengths import expected_lengths
from routeviz.records.settings import Settings
from routeviz.tubes.routes import Tube

By = Literal["name", "nipples", "tag"]
GRAIN_MM = 5e-4  # half of what corners are kept to


@dataclass(frozen=True, slots=True, kw_only=True)
class Match:
    """A tube that both states have: its number in each, and by what it is known to be the same."""

    before: int
    after: int
    by: By


def matches_of(before: Lay, after: Lay) -> tuple[Match, ...]:
    """Return which tubes are the same: of one name, else on the same two nipples, else with the same tag.

    Parameters
    ----------
    before, after : Lay
        The two states.

    Returns
    -------
    matches : tuple of Match
        In the order of the later one. A tag counts only where the scene gives it: else it is a number.
    """
    given = [{wire.name for wire in lay.reading.wires if wire.entry.tag} for lay in (before, after)]
    keys: Sequence[tuple[By, Callable[[Tube, set[str]], object]]] = (
        ("name", lambda tube, _: tube.name),
        ("nipples", lambda tube, _: _nipples(tube)),
        ("tag", lambda tube, tagged: tube.tag if tube.name in tagged else None),
    )
    found: dict[int, Match] = {}
    taken: set[int] = set()
    for by, key in keys:
        old = _alone({k: key(t, given[0]) for k, t in enumerate(before.tubes) if k not in taken})
        new = _alone({k: key(t, given[1]) for k, t in enumerate(after.tubes) if k not in found})
        for value in new.keys() & old.keys():
            found[new[value]] = Match(before=old[value], after=new[value], by=by)
            taken.add(old[value])
    return tuple(found[k] for k in sorted(found))


def _nipples(tube: Tube) -> object:
    names = (tube.start.nipple, tube.end.nipple)
    return frozenset(names) if None not in names else None


def _alone(keys: Mapping[int, object]) -> dict[object, int]:
    """Return by its key each tube that has one which no other has."""
    count = Counter(keys.values())
    return {key: number for number, key in keys.items() if key is not None and count[key] == 1}


def tube_changes(before: Lay, after: Lay, matches: Sequence[Match]) -> Iterator[Change]:
    """Yield all that is not as it was with tubes.

    Parameters
    ----------
    before, after : Lay
        The two states.
    matches : sequence of Match
        Which are the same.

    Yields
    ------
    change : Change
        In the order of the later state, tube by tube; then those that are gone.
    """
    same = {match.after: match for match in matches}
    cuts = [expected_lengths(lay, Settings()) for lay in (before, after)]
    for number, tube in enumerate(after.tubes):
        match = same.get(number)
        if match is None:
            yield Change(
                kind="tube", name=tube.name, what="added", after=_ends(tube), says=f"is new, {_ends(tube)}"
            )
            continue
        old = before.tubes[match.before]
        yield from _renamed(old, tube, match)
        yield from _lies(old, tube)
        yield from _numbers(old, tube, (cuts[0][match.before], cuts[1][number]))
        yield from _words(old, tube)
    kept = {match.before for match in matches}
    for number, tube in enumerate(before.tubes):
        if number not in kept:
            yield Change(
                kind="tube",
                name=tube.name,
                what="removed",
                before=_ends(tube),
                says=f"is gone, {_ends(tube)}",
            )


def _ends(tube: Tube) -> str:
    return f"from {tube.start.name} to {tube.end.name}"


def _renamed(old: Tube, new: Tube, match: Match) -> Iterator[Change]:
    if old.name != new.name:
        known = "with the same tag" if match.by == "tag" else "on the same nipples"
        yield Change(
            kind="tube",
            name=new.name,
            what="altered",
            value="name",
            before=old.name,
            after=new.name,
            says=f"was called {old.name}; it is {known}",
        )
    if old.tag != new.tag:
        yield altered("tube", new.name, "tag", old.tag, new.tag)


def _lies(old: Tube, new: Tube) -> Iterator[Change]:
    """Yield whether a tube lies elsewhere, or has a route that it had not."""
    if old.curve is None or new.curve is None:
        if (old.curve is None) != (new.curve is None):
            was, now = ("has no route", "has one") if old.curve is None else ("had a route", "has none")
            words = "its route is known now" if old.curve is None else "its route is not known any more"
            yield Change(
                kind="tube", name=new.name, what="altered", value="route", before=was, after=now, says=words
            )
        return
    if _alike(old, new):
        return
    shift = farthest_apart(old.curve, new.curve)
    if shift.high <= SAME_MM:
        return
    on: Literal["before", "after"] = "before" if shift.on == "one" else "after"
    course = " its earlier course" if on == "before" else ""
    yield Change(
        kind="tube",
        name=new.name,
        what="moved",
        low=shift.low,
        high=shift.high,
        unit="mm",
        on=on,
        along_mm=shift.along,
        point=shift.point,
        says=f"lies elsewhere, {mm(shift.high)} off at {round(shift.along)} mm along{course}",
    )


def _alike(old: Tube, new: Tube) -> bool:
    pairs = ((old.corners, new.corners), (old.radii, new.radii))
    return all(
        a is not None and b is not None and a.shape == b.shape and np.allclose(a, b, rtol=0.0, atol=GRAIN_MM)
        for a, b in pairs
    )


def _numbers(old: Tube, new: Tube, cuts: tuple[float | None, float | None]) -> Iterator[Change]:
    """Yield how lengths, bends and ties differ."""
    lengths = tuple(None if tube.curve is None else float(tube.curve.begins[-1]) for tube in (old, new))
    if lengths[0] is not None and lengths[1] is not None:
        yield from _longer(new.name, "centreline", (lengths[0], lengths[1]))
    if cuts[0] is not None and cuts[1] is not None:
        yield from _longer(new.name, "length to cut", (cuts[0], cuts[1]))
    bends = [_bends(tube) for tube in (old, new)]
    if bends[0] and bends[1] and bends[0] != bends[1]:
        yield altered("tube", new.name, "bends", *bends)
    ties = [_ties(tube) for tube in (old, new)]
    if ties[0] != ties[1]:
        counts = f"{len(new.ties)}, was {len(old.ties)}" if len(new.ties) != len(old.ties) else "elsewhere"
        yield replace(altered("tube", new.name, "ties", *ties), says=f"ties: {counts}")


def _longer(name: str, value: str, lengths: tuple[float, float]) -> Iterator[Change]:
    by = lengths[1] - lengths[0]
    if abs(by) > SAME_MM:
        more = "longer" if by > 0 else "shorter"
        yield Change(
            kind="tube",
            name=name,
            what="altered",
            value=value,
            before=mm(lengths[0]),
            after=mm(lengths[1]),
            low=by,
            high=by,
            unit="mm",
            says=f"{value} {mm(abs(by))} {more}: {mm(lengths[1])}, was {mm(lengths[0])}",
        )


def _bends(tube: Tube) -> str:
    if tube.curve is None:
        return ""
    count = int((tube.curve.curvatures > 0.0).sum())
    if not count:
        return "none"
    return f"{count}, the tightest {mm(tightest_bend(tube.curve)[0])}"


def _ties(tube: Tube) -> str:
    return ", ".join(f"{round(tie.along_mm)} mm to {tie.to}" for tie in tube.ties)


def _words(old: Tube, new: Tube) -> Iterator[Change]:
    """Yield how ends, passages, tubing and what goes through it differ."""
    values: tuple[tuple[str, Callable[[Tube], str]], ...] = (
        ("ends", _ends),
        ("passages", lambda tube: ", ".join(tube.through)),
        ("tubing", lambda tube: tube.kind.name),
        ("carries", lambda tube: tube.carries),
        ("hidden", lambda tube: tube.hidden or ""),
        ("label", lambda tube: tube.label or ""),
    )
    for value, told in values:
        if told(old) != told(new):
            yield altered("tube", new.name, value, told(old), told(new))
    if (old.cut_mm or new.cut_mm) and old.cut_mm != new.cut_mm:
        yield number_altered("tube", new.name, "length as cut", (old.cut_mm, new.cut_mm), "mm")
