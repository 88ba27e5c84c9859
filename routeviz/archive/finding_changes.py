"""Which rules are newly broken, which faults are mended and which are there still, between two states."""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import get_args

from routeviz.archive.changes import Change, What
from routeviz.checks.findings import Finding, Severity

SEVERITIES: tuple[Severity, ...] = get_args(Severity)  # the worst first
Key = tuple[str, str | None, str | None, frozenset[str]]


@dataclass(frozen=True, slots=True, kw_only=True)
class FindingChanges:
    """What became of the findings.

    Parameters
    ----------
    changes : tuple of Change
        What is broken, worse, milder or mended.
    still : tuple of Finding
        What is as it was, as it is found now.
    """

    changes: tuple[Change, ...]
    still: tuple[Finding, ...]


def finding_changes(
    before: Sequence[Finding], after: Sequence[Finding], renamed: Mapping[str, str]
) -> FindingChanges:
    """Return what became of the findings: the same are those of one rule, one tube and one other thing.

    Parameters
    ----------
    before, after : sequence of Finding
        Of both states.
    renamed : mapping of str
        What tubes are called later, by what they were called; those that are gone are not among them.

    Returns
    -------
    changes : FindingChanges
        In the order of the later findings; mended ones last.
    """
    old: defaultdict[Key, list[Finding]] = defaultdict(list)
    for finding in before:
        old[_key(finding, renamed)].append(finding)
    changes, still = [], []
    for finding in after:
        found = old[_key(finding, {})]
        was = found.pop(0) if found else None
        if was is None:
            changes.append(_change(finding, "broken", after=finding))
        elif was.severity != finding.severity:
            worse = SEVERITIES.index(finding.severity) < SEVERITIES.index(was.severity)
            changes.append(_change(finding, "worse" if worse else "milder", before=was, after=finding))
        else:
            still.append(finding)
    left = [finding for finding in before if any(finding is one for one in old[_key(finding, renamed)])]
    for finding in left:
        gone = finding.tube is not None and finding.tube not in renamed
        one = _change(finding, "mended", before=finding)
        changes.append(
            replace(one, says=f"{finding.rule}, gone with its tube: {finding.says}") if gone else one
        )
    return FindingChanges(changes=tuple(changes), still=tuple(still))


def _key(finding: Finding, renamed: Mapping[str, str]) -> Key:
    tube, other = (name and renamed.get(name, name) for name in (finding.tube, finding.other))
    return finding.rule, tube, other, frozenset(renamed.get(name, name) for name in finding.tubes)


def _change(
    finding: Finding, what: What, before: Finding | None = None, after: Finding | None = None
) -> Change:
    fate = {"broken": "new", "mended": "mended"}.get(what, "")
    if before is not None and after is not None:
        fate = f"a {after.severity} now, a {before.severity} before"
    return Change(
        kind="finding",
        name=finding.tube or finding.other or "the scene",
        what=what,
        value=finding.rule,
        before=before.says if before else "",
        after=after.says if after else "",
        other=finding.other or "",
        severity=finding.severity,
        along_mm=finding.along_mm,
        point=finding.point,
        says=f"{finding.rule}, {fate}: {finding.says}",
    )
