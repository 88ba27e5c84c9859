"""Does a tube come too near to something that moves? What stands still is in touch.py."""

from collections.abc import Sequence

from routeviz.cabinet.motions import Fixed
from routeviz.cabinet.solids import Cabinet
from routeviz.checks.findings import Finding
from routeviz.checks.keeping_off import too_near
from routeviz.checks.words import travelled
from routeviz.tubes.measured import Fouling, Measured
from routeviz.tubes.routes import Tube

ABOUT = """\
rub: a tube comes too near to something that moves.

Every key, hammer, pedal or lever is followed through its whole travel, its doubt included, and the least
distance between its surface and the tube's wall is held against [clearance] moving, or the part's own
clearance where that is more. The place in the travel is told. A tie does not excuse a rub.
A part that sweeps into another part is a caution: one of them was taped wrongly.

Mend it: lead the tube round, tie it back out of the travel, or choose another passage.
"""


def check(cabinet: Cabinet, tubes: Sequence[Tube], measured: Measured) -> list[Finding]:
    """Return what rubs, worst place of each tube and part."""
    moving = [n for n in measured.solids if not isinstance(cabinet.solids[n.other].movement, Fixed)]
    found = too_near("rub", moving, cabinet, tubes, measured)
    return found + [
        _fouling(one, cabinet)
        for one in measured.foulings
        if not isinstance(cabinet.solids[one.moving].movement, Fixed)
    ]


def _fouling(one: Fouling, cabinet: Cabinet) -> Finding:
    moving, other = cabinet.solids[one.moving], cabinet.solids[one.other]
    return Finding(
        rule="rub",
        severity="caution",
        tube=None,
        other=moving.name,
        says=f"{moving.name} sweeps into {other.name}, {travelled(one.travel)}",
        remedy="measure both parts and the travel again",
        point=one.point,
        travel=one.travel,
    )
