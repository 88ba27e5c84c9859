"""Differences as a person reads them in a terminal: what matters in a few lines, then change by change."""

from collections.abc import Iterator, Sequence
from itertools import groupby

from routeviz.archive.changes import SAME_MM, Change
from routeviz.archive.differences import NEWLY, STANDS, Differences, State
from routeviz.archive.finding_changes import SEVERITIES
from routeviz.checks.words import mm, named
from routeviz.views.lines import Line, wrapped
from routeviz.views.listing import counted_tubes

FEWEST = 3  # things of one part and one fate that are told together
FATES = {
    "moved": "stand elsewhere",
    "turned": "are turned",
    "resized": "are of another size",
    "reshaped": "are of another form",
    "added": "are new",
    "removed": "are gone",
}


def difference_lines(found: Differences, width: int | None) -> list[Line]:
    """Return all that a comparison prints, line by line.

    Parameters
    ----------
    found : Differences
        What is not as it was.
    width : int or None
        Longer lines are broken here; None breaks nothing.

    Returns
    -------
    lines : list of Line
        The two states, the sum of it, then every change.
    """
    lines = [
        *wrapped([("before: ", "strong"), (state_words(found.before, found), "plain")], width, "  "),
        *wrapped([("after:  ", "strong"), (state_words(found.after, found), "plain")], width, "  "),
        [],
    ]
    for sentence in sum_of_it(found):
        lines += wrapped([(sentence, "strong")], width, "  ")
    if found.strangers:
        return lines
    blocks = (
        ("newly broken", list(_findings(found.of("finding", *NEWLY)))),
        ("tubes", list(_tubes(found))),
        ("case and settings", list(_case(found))),
        ("mended or milder", list(_findings(found.of("finding", "mended", "milder")))),
    )
    for title, told in blocks:
        if told:
            lines += [[], *wrapped([(f"{title}:", "plain")], width, "  ")]
        for line in told:
            lines += wrapped(line, width, "    ")
    return lines


def state_words(state: State, found: Differences) -> str:
    """Return what a state is: its file, its title where they differ, what it shows, what was found."""
    shows = " ".join(one for one in (state.shows, f"({state.on})" if state.on else "") if one)
    counts = [
        f"{count or 'no'} {severity}{'' if count == 1 else 's'}"
        for severity, count in zip(SEVERITIES, state.counts, strict=True)
        if count or severity == "fault"
    ]
    stale = "its plan is stale" if state.stale else ""
    title = f'"{state.title}"' if found.before.title != found.after.title else ""
    parts = [
        state.file,
        title,
        shows or "no record of what it shows",
        counted_tubes(state.tubes),
        *counts,
        stale,
    ]
    return ", ".join(one for one in parts if one)


def sum_of_it(found: Differences) -> Iterator[str]:
    """Yield what matters of differences, a sentence each."""
    if found.strangers:
        yield (
            f"the one has {counted_tubes(found.before.tubes)}, the other {counted_tubes(found.after.tubes)}, "
            "and none is in both: these are hardly two states of one instrument"
        )
        return
    if not found.changes:
        yield f"nothing differs by more than {SAME_MM:g} mm"
        return
    yield from _sum_of_tubes(found)
    yield from _sum_of_findings(found)
    stands = [
        one for one in found.changes if one.kind in ("part", "nipple", "passage") and one.what in STANDS
    ]
    if stands:
        worst = max(
            (one for one in stands if one.unit == "mm"), key=lambda one: one.high or 0.0, default=None
        )
        told = f"; worst: {worst.name}, {mm(worst.high or 0.0)}" if worst is not None else ""
        yield f"{_count(stands, 'part', 'nipple', 'passage')} not where or as it was{told}"


def _count(changes: Sequence[Change], *kinds: str) -> str:
    counts = [(kind, len({one.name for one in changes if one.kind == kind})) for kind in kinds]
    return ", ".join(f"{count} {kind}{'' if count == 1 else 's'}" for kind, count in counts if count)


def _sum_of_tubes(found: Differences) -> Iterator[str]:
    moved = found.of("tube", "moved")
    both = len(found.matches)
    if moved:
        worst = moved[0]
        lie = "lies" if len(moved) == 1 else "lie"
        at = f"{mm(worst.high or 0.0)} at {round(worst.along_mm or 0.0)} mm along"
        yield f"{len(moved)} of {counted_tubes(both)} {lie} elsewhere; worst: {worst.name}, {at}"
    elif both:
        yield f"none of {counted_tubes(both)} lies elsewhere"
    for what, words in (("added", "new"), ("removed", "gone")):
        some = found.of("tube", what)
        if some:
            yield f"{counted_tubes(len(some))} {'is' if len(some) == 1 else 'are'} {words}: {_named(some)}"


def _named(changes: Sequence[Change]) -> str:
    return named([one.name for one in changes])


def _sum_of_findings(found: Differences) -> Iterator[str]:
    for severity in SEVERITIES:
        new = len([one for one in found.of("finding", *NEWLY) if one.severity == severity])
        gone = [one for one in found.of("finding", "mended") if one.severity == severity]
        milder = [one for one in found.of("finding", "milder") if one.severity == severity]
        still = len([one for one in found.still if one.severity == severity])
        if new or gone or milder or (still and severity != "note"):
            told = [f"{new or 'none'} new", f"{len(gone) or 'none'} mended", f"{still or 'none'} still there"]
            told += [f"{len(milder)} that were worse"] if milder else []
            yield f"{severity}s: {', '.join(told)}"


def _findings(changes: Sequence[Change]) -> Iterator[Line]:
    for one in changes:
        yield [(f"  {one.severity}", one.severity or "plain"), (f" {one.name}: {one.says}", "plain")]


def _tubes(found: Differences) -> Iterator[Line]:
    """Yield a line a tube, in the order of its worst change.

    A length to cut tells that of the centreline too; what lies elsewhere is bent and tied elsewhere.
    """
    of_tube: dict[str, list[Change]] = {}
    for one in found.of("tube"):
        of_tube.setdefault(one.name, []).append(one)
    for name, changes in of_tube.items():
        needless = {"centreline"} if any(one.value == "length to cut" for one in changes) else set()
        needless |= {"bends", "ties", "tag"} if any(one.what == "moved" for one in changes) else set()
        told = [one.says for one in changes if one.value not in needless]
        yield [(f"  {name}", "strong"), (f": {'; '.join(told)}", "plain")]


def _case(found: Differences) -> Iterator[Line]:
    """Yield a line a thing, or a line for many of one part with one fate."""
    rest = [one for one in found.changes if one.kind not in ("finding", "tube")]
    for (kind, what, part), some in groupby(rest, key=lambda one: (one.kind, one.what, one.part)):
        alike = list(some)
        if len(alike) < FEWEST or not part or what not in FATES:
            for one in alike:
                noun = f"{kind} " if kind in ("passage", "tubing") else ""
                yield [(f"  {noun}{one.name}", "strong"), (f": {one.says}", "plain")]
            continue
        worst = max(alike, key=lambda one: one.high or 0.0)
        off = f", {worst.high:.1f} {worst.unit} off at most ({worst.name})" if worst.high else ""
        noun = f"{len(alike)} {'nipples' if kind == 'nipple' else 'pieces'}"
        yield [(f"  {part}", "strong"), (f": {noun} {FATES[what]}{off}", "plain")]
