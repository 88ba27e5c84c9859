"""Which tubes are not as they should be, and why? They stand on every list all the same, with these words."""

from routeviz.checks.findings import Finding
from routeviz.lay import Lay
from routeviz.tubes.routes import Tube
from routeviz.views.listing import subject
from routeviz.views.work_left import left_of

ALL_WELL = ""


def marks_of(lay: Lay) -> tuple[str, ...]:
    """Return for each tube why it is marked: not to be laid, at fault; ``ALL_WELL`` where it is not."""
    return tuple(
        "; ".join([*([left.says] if left else []), *_faults(lay, tube)])
        for tube, left in zip(lay.tubes, left_of(lay), strict=True)
    )


def _faults(lay: Lay, tube: Tube) -> list[str]:
    """Return the faults of a tube, numbered as everywhere; that it has no way has been said already."""
    return [
        f"fault {number}{'' if tube.name == one.tube else f', of {subject(one)}'}: {one.says}"
        for number, one in enumerate(lay.findings, 1)
        if one.severity == "fault" and tube.name in (one.tube, one.other, *one.tubes)
        if not _says_no_way(one)
    ]


def _says_no_way(finding: Finding) -> bool:
    """Return whether a finding says of tubes that they have no way."""
    return finding.rule == "no_way" or (finding.rule == "unconnected" and finding.other is None)
