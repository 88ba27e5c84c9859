"""Is a tubing flattened by the vacuum in it, even where it is straight?"""

from collections.abc import Sequence

from routeviz.cabinet.solids import Cabinet
from routeviz.checks.findings import Finding, Severity
from routeviz.checks.words import named
from routeviz.tubes.kinking import Wall
from routeviz.tubes.measured import Measured
from routeviz.tubes.routes import Tube

MARGIN = 1.5  # caution below this many times the vacuum: soft rubber's stiffness is known no better

ABOUT = """\
collapse: a tube is flattened by its own vacuum.

A long round tube flattens at a pressure difference that its wall, diameter and stiffness decide (ring
collapse). It is held against [practice] vacuum_kpa, the highest vacuum that the instrument
makes. Less than one and a half times that is a caution. Tubing whose stiffness is not known is not judged.

Mend it: use a thicker wall or a smaller bore.
"""


def check(cabinet: Cabinet, tubes: Sequence[Tube], measured: Measured) -> list[Finding]:
    """Return tubing that its vacuum flattens, one finding a kind."""
    vacuum = cabinet.practice.vacuum_kpa
    found = []
    for name, kind in cabinet.tubing.items():
        on = tuple(t.name for t in tubes if t.kind.name == name and t.carries != "wire")
        wall = Wall(
            outside_mm=kind.outside_mm,
            bore_mm=kind.bore_mm,
            material=kind.material,
            modulus_mpa=kind.modulus_mpa,
        )
        stands = wall.collapse_kpa
        if not on or stands is None or stands >= MARGIN * vacuum:
            continue
        severity: Severity = "fault" if stands <= vacuum else "caution"
        found.append(
            Finding(
                rule="collapse",
                severity=severity,
                tube=None,
                other=name,
                says=f"{name} flattens at {stands:.1f} kPa; the instrument makes {vacuum:.1f} kPa: "
                f"{named(on)}",
                remedy="use a thicker wall or a smaller bore",
                low=stands,
                high=stands,
                limit=vacuum,
                unit="kPa",
                tubes=on,
            )
        )
    return found
