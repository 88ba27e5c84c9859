"""Which tubes must be pulled before a part can come out?"""

from collections import defaultdict
from collections.abc import Sequence

from routeviz.cabinet.solids import Cabinet
from routeviz.checks.findings import Finding
from routeviz.checks.words import named
from routeviz.tubes.measured import Measured, Trapped
from routeviz.tubes.routes import Tube

ABOUT = """\
trap: a part cannot come out before tubes are pulled.

For each part that says in which direction it comes out, its whole way out of the case is followed. Tubes that
lie in that way, and tubes that join the part to something that stays, are listed in a note.

Mend it: nothing need be mended; lead tubes clear of the way out where service is frequent.
"""


def check(cabinet: Cabinet, tubes: Sequence[Tube], measured: Measured) -> list[Finding]:
    """Return a note for each part that tubes hold in, with the tubes to pull."""
    held: dict[str, list[Trapped]] = defaultdict(list)
    for one in measured.trapped:
        held[cabinet.solids[one.solid].part].append(one)
    return [_note(part, traps, tubes) for part, traps in held.items()]


def _note(part: str, traps: list[Trapped], tubes: Sequence[Tube]) -> Finding:
    order = sorted({t.tube for t in traps})
    joined = {t.tube for t in traps if t.joined}
    across = [tubes[i].name for i in order if i not in joined]
    ways = []
    if joined:
        ways.append(f"{len(joined)} joined to it ({named([tubes[i].name for i in order if i in joined])})")
    if across:
        ways.append(f"{len(across)} across its way ({named(across)})")
    return Finding(
        rule="trap",
        severity="note",
        tube=None,
        other=part,
        says=f"{part} comes out only after {len(order)} tubes are pulled: {'; '.join(ways)}",
        remedy="pull these first when it is taken out",
        low=float(len(order)),
        high=float(len(order)),
        limit=0.0,
        unit="tubes",
        point=traps[0].point,
        tubes=tuple(tubes[i].name for i in order),
    )
