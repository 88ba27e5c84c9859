"""What is not as it was between two states of an instrument: all changes, the worst first."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import get_args

from routeviz.archive.case_changes import case_changes
from routeviz.archive.changes import Change, Kind, OfThing
from routeviz.archive.finding_changes import SEVERITIES, finding_changes
from routeviz.archive.tube_changes import Match, matches_of, tube_changes
from routeviz.checks.findings import Finding, Severity
from routeviz.lay import Lay

ABOUT = """\
compare: what is not as it was between two states of one instrument.

    routeviz compare as_found.toml as_restored.toml --into compared
    routeviz compare old.plan.json case.plan.json --scene case.toml
    routeviz compare case-archive case.toml

A state is a scene with the plan beside it, a plan with its scene, or an archive, whose scene is taken out
and checked as it is found today.

The same are: tubes of one name, else on the same two nipples, else with the same tag, if both scenes give
it; parts, nipples, passages and kinds of tube of one name; findings of one rule, one tube and one other
thing. Lengths that differ by no more than 0.05 mm are the same: nothing is measured more closely.

How far a tube lies elsewhere is the greatest distance of a point of either of its courses from the other
course. It is proven, not sampled: both bounds stand in --json and in the table. A tube that is longer by
40 mm at its end lies elsewhere by 40 mm; one that only runs the other way does not.

Told first is what is newly broken, then tubes, the worst first, then the case, settings, and what is mended.
A fault that went with its tube is said to be gone with it. What a record shows and when is told with both
states, and is no difference by itself. The schema of --json is printed by `routeviz explain changes`.
"""
KINDS: tuple[Kind, ...] = ("tube", "part", "nipple", "passage", "tubing", "setting")
NEWLY = ("broken", "worse")  # what stands before all else
STANDS: tuple[OfThing, ...] = ("moved", "turned", "resized", "reshaped")  # what is there, but not as it was
WHATS = get_args(OfThing)


@dataclass(frozen=True, slots=True, kw_only=True)
class State:
    """What is told of a state before all changes.

    Parameters
    ----------
    file, title : str
        As the user named it, and what the scene shows.
    shows, on : str
        As its record says: ``as found``, and when; empty where it says nothing.
    tubes : int
        How many it has.
    counts : tuple of int
        Findings: faults, cautions, notes.
    stale : bool
        Whether its plan was made of another scene.
    """

    file: str
    title: str
    shows: str
    on: str
    tubes: int
    counts: tuple[int, ...]
    stale: bool


@dataclass(frozen=True, kw_only=True, eq=False)
class Differences:
    """What is not as it was.

    Parameters
    ----------
    before, after : State
        The two.
    matches : tuple of Match
        Tubes that both have.
    same_tubes : tuple of tuple of str
        What each of them is called before and after.
    changes : tuple of Change
        The worst first: what is newly broken; tubes by how far they lie elsewhere; the case; what is mended.
    still : tuple of Finding
        What was found before and is there still.
    """

    before: State
    after: State
    matches: tuple[Match, ...]
    same_tubes: tuple[tuple[str, str], ...]
    changes: tuple[Change, ...]
    still: tuple[Finding, ...]

    @property
    def strangers(self) -> bool:
        """Whether both have tubes and none in common: they are hardly of one instrument."""
        return bool(self.before.tubes and self.after.tubes) and not self.matches

    def of(self, kind: Kind, *whats: str) -> tuple[Change, ...]:
        """Return the changes of a kind, of some or of all sorts, in their order."""
        return tuple(one for one in self.changes if one.kind == kind and (not whats or one.what in whats))


def differences(before: Lay, after: Lay, files: tuple[str, str] | None = None) -> Differences:
    """Return what is not as it was between two states.

    Parameters
    ----------
    before, after : Lay
        As checked, each in its last stage.
    files : tuple of str
        What they are called; else the scenes' files.

    Returns
    -------
    differences : Differences
        Lengths that differ by no more than 0.05 mm are the same.
    """
    matches = matches_of(before, after)
    same = tuple((before.tubes[m.before].name, after.tubes[m.after].name) for m in matches)
    found = finding_changes(before.findings, after.findings, dict(same))
    changes = [*found.changes, *tube_changes(before, after, matches), *case_changes(before, after)]
    named = files or (before.reading.file, after.reading.file)
    return Differences(
        before=_state(before, named[0]),
        after=_state(after, named[1]),
        matches=matches,
        same_tubes=same,
        changes=tuple(sorted(changes, key=_rank)),
        still=found.still,
    )


def _state(lay: Lay, file: str) -> State:
    record = lay.reading.scene.record
    return State(
        file=file,
        title=lay.reading.scene.title,
        shows=(record.shows if record else None) or "",
        on=str(record.on) if record and record.on else "",
        tubes=len(lay.tubes),
        counts=_counts(lay.findings),
        stale=lay.taken is not None and lay.taken.stale,
    )


def _counts(findings: Sequence[Finding]) -> tuple[int, ...]:
    return tuple(sum(finding.severity == severity for finding in findings) for severity in SEVERITIES)


def _rank(change: Change) -> tuple[float, ...]:
    """Return by what changes are sorted; equal ones keep their order."""
    severity: Severity = change.severity or "note"
    if change.kind == "finding":
        return (0 if change.what in NEWLY else 2, SEVERITIES.index(severity))
    size = -(change.high or 0.0) if change.what not in ("altered", "added", "removed") else 0.0
    return (1, KINDS.index(change.kind), WHATS.index(change.what), size)
