"""Which lengths of a tube need not keep off a solid: next to its nipple there, and under a tie.

That the wall does not enter the solid there either is measured in nearing.py.
"""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from routeviz.cabinet.motions import Fixed
from routeviz.cabinet.solids import Cabinet, asked_mm
from routeviz.geometry.arrays import Floats, Ints, frozen, frozen_ints
from routeviz.geometry.chains import stretches
from routeviz.geometry.pieces import Pieces
from routeviz.tubes.routes import Tube

TIE_MM = 10.0  # width of a tie; common practice, no source
LEAST_MM = 1e-3  # shorter lengths of tube are not worth measuring by themselves
Row = tuple[int, int, float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class Windows:
    """k lengths of tubes, each with a solid.

    Parameters
    ----------
    tubes, solids : array of int, shape (k,)
        Indices.
    begins, ends : array, shape (k,)
        Along the tube, in mm.
    """

    tubes: Ints
    solids: Ints
    begins: Floats
    ends: Floats


def windows_of(cabinet: Cabinet, tubes: Sequence[Tube]) -> Windows:
    """Return where tubes are excused from keeping off a solid: next to its nipple there, and under a tie.

    Next to a nipple it is one outside diameter, or the clearance that the solid asks for and half
    the outside diameter, whichever is more. Under a tie it is the tie's width and one outside diameter to
    each side, on what stands still.

    Parameters
    ----------
    cabinet, tubes
        The lay.

    Returns
    -------
    windows : Windows
        By tube.
    """
    still: dict[str, list[int]] = defaultdict(list)
    for index, solid in enumerate(cabinet.solids):
        if isinstance(solid.movement, Fixed):
            for name in {solid.name, solid.part}:
                still[name].append(index)
    found: list[Row] = []
    for index, tube in enumerate(tubes):
        if tube.curve is not None:
            found += _by_nipples(index, tube, float(tube.curve.begins[-1]), cabinet)
            found += _under_ties(index, tube, float(tube.curve.begins[-1]), still)
    return _windows(found)


def free_lengths(windows: Windows) -> Windows:
    """Return the lengths between the windows of each tube and solid; the last goes on without end."""
    edges: dict[tuple[int, int], list[tuple[float, float]]] = defaultdict(list)
    columns = (windows.tubes, windows.solids, windows.begins, windows.ends)
    for tube, solid, begin, end in zip(*(column.tolist() for column in columns), strict=True):
        edges[tube, solid].append((begin, end))
    found: list[Row] = []
    for (tube, solid), excused in edges.items():
        free_from = 0.0
        for begin, end in [*sorted(excused), (float("inf"), float("inf"))]:
            if begin - free_from > LEAST_MM:
                found.append((tube, solid, free_from, begin))
            free_from = max(free_from, end)
    return _windows(found)


def cut(pieces: Pieces, places: Mapping[int, int], windows: Windows) -> Pieces:
    """Return the windows' lengths as curves of their own; ``places`` says which curve a tube is."""
    return stretches(pieces, [places[t] for t in windows.tubes.tolist()], windows.begins, windows.ends)


def excused_mm(cabinet: Cabinet, carrier: int, outside_mm: float) -> float:
    """Return how far from its tip a tube of an outside diameter need not keep off what carries its nipple."""
    return max(outside_mm, asked_mm(cabinet, cabinet.solids[carrier]) + outside_mm / 2)


def _by_nipples(index: int, tube: Tube, length: float, cabinet: Cabinet) -> list[Row]:
    found = []
    outside = tube.kind.outside_mm
    for end, at_start in ((tube.start, True), (tube.end, False)):
        carrier = cabinet.nipples[end.nipple].carrier if end.nipple else None
        if carrier is not None:
            excused = min(excused_mm(cabinet, carrier, outside), length)
            begin, until = (0.0, excused) if at_start else (length - excused, length)
            found.append((index, carrier, begin, until))
    return found


def _under_ties(index: int, tube: Tube, length: float, still: Mapping[str, Sequence[int]]) -> list[Row]:
    reach = TIE_MM / 2 + tube.kind.outside_mm
    return [
        (index, solid, max(tie.along_mm - reach, 0.0), min(tie.along_mm + reach, length))
        for tie in tube.ties
        for solid in still.get(tie.to, ())
    ]


def _windows(rows: Sequence[Row]) -> Windows:
    tubes, solids, begins, ends = zip(*rows, strict=True) if rows else ((), (), (), ())
    return Windows(
        tubes=frozen_ints(tubes), solids=frozen_ints(solids), begins=frozen(begins), ends=frozen(ends)
    )
