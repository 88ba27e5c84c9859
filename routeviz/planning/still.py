"""Which tubes are not moved while others are laid? Drawn and taped ones, those that stay, ends over nipples.

Those that are moved are in stations.py.
"""

import itertools
from collections.abc import Mapping, Sequence
from types import MappingProxyType

import numpy as np

from routeviz.cabinet.solids import Cabinet
from routeviz.geometry.arrays import Floats, frozen, frozen_ints
from routeviz.geometry.curves import chords
from routeviz.planning.relaxing import Still
from routeviz.planning.stations import Stations
from routeviz.tubes.routes import Tube
from routeviz.tubes.sleeves import stretched_outside_mm

LONGEST_MM = 8.0  # of a chord: near ones are sought in cells as large as the longest
NONE_LIE: Mapping[int, Floats] = MappingProxyType({})
SAGITTA_MM = 0.05  # by which a chord of a drawn tube misses its arc: as fine as clearances are judged


def still_of(
    cabinet: Cabinet, tubes: Sequence[Tube], stations: Stations, lying: Mapping[int, Floats] = NONE_LIE
) -> Still:
    """Return what is a tube and stands still.

    Parameters
    ----------
    cabinet : Cabinet
        The case.
    tubes : sequence of Tube
        All tubes.
    stations : Stations
        Those that are to be laid.
    lying : mapping of array, shape (n, 3)
        Of these, by their number, those that lie somewhere for a while.

    Returns
    -------
    still : Still
        Tubes, and ends over nipples.
    """
    lines, radii, groups = [], [], []
    planned = {int(index): number for number, index in enumerate(stations.indices)}
    for index, tube in enumerate(tubes):
        line = lying.get(planned.get(index, -1))
        if tube.curve is not None:
            line = np.array(chords(tube.curve, SAGITTA_MM)[0])
        if line is not None:
            lines.append(_fine(line))
            radii.append(tube.kind.outside_mm / 2)
            groups.append(planned.get(index, -1 - index))
        if tube.curve is None and index not in planned:
            continue
        for end in (tube.start, tube.end):
            if end.nipple is not None:
                nipple = cabinet.nipples[end.nipple]
                back = nipple.tip - nipple.on_nipple_mm * nipple.direction
                lines.append(_fine(np.stack([back, nipple.tip])))
                outside = stretched_outside_mm(tube.kind.outside_mm, tube.kind.bore_mm, nipple.outside_mm)
                radii.append(outside / 2)
                groups.append(planned.get(index, -1 - index))
    return Still(lines=tuple(lines), radii=frozen(radii), groups=frozen_ints(groups))


def _fine(points: Floats) -> Floats:
    """Return a polyline with points between, so that no chord is longer than the longest."""
    rows = [points[:1]]
    for begin, end in itertools.pairwise(points):
        count = max(1, int(np.ceil(np.linalg.norm(end - begin) / LONGEST_MM)))
        rows.append(begin + (end - begin) * (np.arange(1, count + 1) / count)[:, None])
    return np.concatenate(rows)
