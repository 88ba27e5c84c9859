"""Which tubes are not as they should be, and why? They stand on every list all the same, with these words."""

from routeviz.checks.findings import Finding
from routeviz.lay import Lay
from routeviz.tubes.routes import Tube
from routeviz.views.listing import subject

ALL_WELL = ""


def marks_of(lay: Lay) -> tuple[str, ...]:
    """Return for each tube why it is marked: no way, hidden, at fault; ``ALL_WELL`` where it is not."""
    return tuple("; ".join([*_no_way(lay, tube), *_faults(lay, tube)]) for tube in lay.tubes)


def _no_way(lay: Lay, tube: Tube) -> list[str]:
    if tube.curve is not None:
        return []
    if tube.hidden is not None:
        return [f"no length: its way is hidden ({tube.hidden})"]
    causes = [one.cause for one in lay.measured.no_ways if tube.name in one.tubes]
    return [f"no way: {causes[0]}" if causes else "no way is known for it"]


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
