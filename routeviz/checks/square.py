"""Does a tube leave its nipples straight?"""

from collections.abc import Sequence

from routeviz.cabinet.solids import Cabinet
from routeviz.checks.findings import Finding
from routeviz.tubes.measured import Measured
from routeviz.tubes.routes import Tube

ABOUT = """\
square: a tube leaves its nipple at an angle.

A tube that is pulled sideways at the tip leaks and creeps off. The angle between the nipple's line and the
tube at the tip is held against [practice] off_square_deg (common practice, no source).

Mend it: let the tube run straight for one outside diameter before it turns.
"""


def check(cabinet: Cabinet, tubes: Sequence[Tube], measured: Measured) -> list[Finding]:
    """Return nipples that a tube leaves at an angle."""
    limit = cabinet.practice.off_square_deg
    return [
        Finding(
            rule="square",
            severity="fault",
            tube=tubes[one.tube].name,
            other=one.nipple,
            says=f"leaves {one.nipple} {one.off_deg:.3g} degrees off its line; {limit:.3g} at most",
            remedy="let it run straight for one outside diameter before it turns",
            low=one.off_deg,
            high=one.off_deg,
            limit=limit,
            unit="deg",
            point=one.point,
        )
        for one in measured.leaving
        if one.off_deg > limit + 1e-6
    ]
