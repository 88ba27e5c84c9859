"""Where do parts come by on their way out of the case? There a tube holds a part in, and costs more to lay.

Which tubes do so is told by checks/trap.py, of the lay as it is.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from routeviz.cabinet.solids import Cabinet
from routeviz.geometry.arrays import Floats, frozen
from routeviz.geometry.shapes import Pieces, assembled, joined
from routeviz.planning.hulls import swept_pieces
from routeviz.planning.obstacles import Table, clearances_at, table_of
from routeviz.tubes.removal import MOST_PIECES, is_on, leaving_of, way_out

FAR_MM = 1e3  # from ways out where there are none
BESIDE_MM = 50.0  # from a nipple on the part itself: there its own tubes must lie, whichever way they go


@dataclass(frozen=True, slots=True, kw_only=True)
class WaysOut:
    """The room that parts take on their way out.

    Parameters
    ----------
    table : Table or None
        None where no part comes out.
    nipples : array, shape (k, 3)
        On parts that come out.
    """

    table: Table | None
    nipples: Floats


def ways_out(cabinets: Sequence[Cabinet], room: tuple[Floats, Floats], reach: float) -> WaysOut:
    """Return the room that parts take on their way out, in all stages together.

    Parameters
    ----------
    cabinets : sequence of Cabinet
        The stages.
    room, reach
        As in ``obstacles.obstacles_of``.

    Returns
    -------
    ways : WaysOut
        Scanned parts of very many pieces are left out.
    """
    swept: list[Pieces] = []
    nipples = [np.zeros((0, 3))]
    for cabinet in cabinets:
        for part, indices in leaving_of(cabinet).items():
            pieces, slide = way_out(cabinet, indices)
            if len(pieces.halves) <= MOST_PIECES:
                swept.append(swept_pieces(assembled([pieces], [slide])))
            nipples += [one.tip[None] for name, one in cabinet.nipples.items() if is_on(cabinet, name, part)]
    if not swept:
        return WaysOut(table=None, nipples=frozen(np.zeros((0, 3))))
    pieces = joined(swept)
    table = table_of(pieces, np.zeros(len(pieces.halves)), room, reach)
    return WaysOut(table=table, nipples=frozen(np.concatenate(nipples)))


def off_ways_out(ways: WaysOut, points: Floats, reach: float) -> Floats:
    """Return how far points are from where parts come by, shape (n,); beside their own nipples, far.

    Parameters
    ----------
    ways : WaysOut
        Of all parts.
    points : array, shape (n, 3)
        Anywhere.
    reach : float
        The most that is told; no more than that of the ways.

    Returns
    -------
    off : array, shape (n,)
        Below 0 within.
    """
    if ways.table is None:
        return np.full(len(points), FAR_MM)
    off = clearances_at(ways.table, points, reach)
    for tip in ways.nipples:
        off[((points - tip) ** 2).sum(axis=1) < BESIDE_MM**2] = FAR_MM
    return off
