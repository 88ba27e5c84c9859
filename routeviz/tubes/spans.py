"""How tubes hang between what holds them, and what they then come near to.

How far a span sags is in hanging.py; whether that is too far, in checks/hang.py.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from routeviz.cabinet.solids import Cabinet, asked_mm
from routeviz.cabinet.tubing import TubeKind
from routeviz.geometry.arrays import Floats, Ints, frozen_ints
from routeviz.geometry.chains import places_on, polylines, sampled, stretches
from routeviz.geometry.pieces import Pieces
from routeviz.geometry.sweeps import asked_distances
from routeviz.tubes.hanging import Beam, Sag, beam_of_section, sags_of_spans
from routeviz.tubes.measured import Nearest, Span
from routeviz.tubes.nearing import Laid, least_of_each, pairs_of
from routeviz.tubes.routes import Tube
from routeviz.tubes.windows import Windows, free_lengths

CHORD_MM = (
    15.0  # between samples: a sag of 10 mm over 150 mm leaves such chords by 0.4 mm, well within an estimate
)
SAGITTA_MM = 0.1
LEAST_SPAN_MM = 1.0  # shorter ones do not sag
LEAST_SAG_MM = 0.5  # less is within the thickness of a pencil line on the drawing
SAME_MM = 0.05  # width of a measured interval: what comes no nearer by more than that has come no nearer


@dataclass(frozen=True, slots=True, kw_only=True)
class Hung:
    """n spans that sag, by tube, then along it.

    Parameters
    ----------
    drawn : Laid
        The tubes.
    places : array of int, shape (n,)
        Where in ``drawn`` the tube of each span stands.
    sags : tuple of Sag
        How far, and from where to where.
    """

    drawn: Laid
    places: Ints
    sags: tuple[Sag, ...]


def spans_of(
    cabinet: Cabinet,
    tubes: Sequence[Tube],
    drawn: Laid,
    windows: Windows,
    solids: Sequence[Nearest],
    reach: float,
) -> tuple[Span, ...]:
    """Return each span that sags, with the solid that it then comes nearest to, for what that asks for.

    Parameters
    ----------
    cabinet, tubes, drawn, windows
        The lay.
    solids : sequence of Nearest
        How near the tubes come as drawn: where sagging brings nothing nearer, hanging is not to blame.
    reach : float
        How far is looked.

    Returns
    -------
    spans : tuple of Span
        By tube, then along it.
    """
    hung = _hung(cabinet, tubes, drawn)
    as_drawn = {(one.tube, one.other): one for one in solids}
    best: dict[int, Nearest] = {}
    every = np.ones((len(hung.sags), len(cabinet.solids)), dtype=bool)
    for one in _near(cabinet, hung, windows, every, reach, loosely=True):
        known = best.get(one.tube)
        if known is not None and _spare_mm(cabinet, known) <= _spare_mm(cabinet, one):
            continue
        if _comes_nearer(one, hung, as_drawn, cabinet.down):
            best[one.tube] = one
    every[:] = False
    every[list(best), [one.other for one in best.values()]] = True
    held = _near(cabinet, hung, windows, every, reach, loosely=False)
    stiffly = {one.tube: one.low_mm for one in held}
    middles = places_on(drawn.pieces, hung.places, [sag.middle_mm for sag in hung.sags]).points
    return tuple(
        _span(k, hung, middles[k], best.get(k), stiffly.get(k, np.inf)) for k in range(len(hung.sags))
    )


def _spare_mm(cabinet: Cabinet, one: Nearest) -> float:
    return one.low_mm - asked_mm(cabinet, cabinet.solids[one.other])


def _hung(cabinet: Cabinet, tubes: Sequence[Tube], drawn: Laid) -> Hung:
    places: list[int] = []
    beams: list[Beam] = []
    edges: list[tuple[float, float]] = []
    for place, index in enumerate(drawn.indices.tolist()):
        beam = _beam(tubes[index].kind)
        if beam is not None:
            held = sorted({0.0, *(tie.along_mm for tie in tubes[index].ties), float(drawn.lengths[place])})
            spans = [(begin, end) for begin, end in pairwise(held) if end - begin > LEAST_SPAN_MM]
            places += [place] * len(spans)
            beams += [beam] * len(spans)
            edges += spans
    curves, begins, ends = np.array(places, dtype=np.int64), *np.array(edges).reshape(-1, 2).T
    samples = sampled(stretches(drawn.pieces, curves, begins, ends), SAGITTA_MM, CHORD_MM)
    found = sags_of_spans(samples.points, samples.along, samples.firsts, down=cabinet.down, beams=beams)
    deep = [k for k, sag in enumerate(found) if sag.high_mm >= LEAST_SAG_MM]
    return Hung(drawn=drawn, places=frozen_ints(curves[deep]), sags=tuple(found[k] for k in deep))


def _beam(kind: TubeKind) -> Beam | None:
    if kind.modulus_mpa is None or kind.density_g_cm3 is None:
        return None
    return beam_of_section(kind.outside_mm, kind.bore_mm, kind.modulus_mpa, kind.density_g_cm3)


def _as_hanging(
    hung: Hung, spans: Ints, begins: Floats, ends: Floats, down: Floats, *, loosely: bool
) -> Pieces:
    """Return lengths of spans as they hang, in chords; arc lengths are those of the drawn centrelines.

    Held stiffly a span takes the form 16 u^2 (1 - u)^2 of its sag, held loosely that of a
    loaded beam on two supports, 16/5 (u - 2 u^3 + u^4); u runs from 0 to 1 (handbook forms, from memory).
    """  # noqa: DOC201
    first = np.array([sag.begin_mm for sag in hung.sags])[spans]
    last = np.array([sag.end_mm for sag in hung.sags])[spans]
    deepest = np.array([sag.high_mm if loosely else sag.low_mm for sag in hung.sags])[spans]
    parts = stretches(
        hung.drawn.pieces, hung.places[spans], np.maximum(begins, first), np.minimum(ends, last)
    )
    samples = sampled(parts, SAGITTA_MM, CHORD_MM)
    rows = samples.owners
    u = np.clip((samples.along - first[rows]) / (last - first)[rows], 0.0, 1.0)
    form = 16 / 5 * (u - 2 * u**3 + u**4) if loosely else 16 * u**2 * (1 - u) ** 2
    drops = (deepest[rows] * form)[:, None] * down
    return polylines(samples.points + drops, samples.along, samples.firsts)


def _near(
    cabinet: Cabinet, hung: Hung, windows: Windows, wanted: NDArray[np.bool_], reach: float, *, loosely: bool
) -> list[Nearest]:
    """Return how near spans come to wanted solids as they hang; the span's number stands for the tube's.

    Parameters
    ----------
    cabinet, hung, windows
        The lay.
    wanted : array of bool, shape (n, solids)
        What each span is held against.
    reach : float
        How far is looked.
    loosely : bool
        Hanging the most, else the least.

    Returns
    -------
    nearest : list of Nearest
        One a span and solid, outside the windows.
    """
    free, spans = free_lengths(windows), np.nonzero(wanted.any(axis=1))[0]
    tubes = hung.drawn.indices[hung.places[spans]][:, None]
    excused, by = np.nonzero(tubes == windows.tubes)
    partly, parts = np.nonzero(tubes == free.tubes)
    owners = np.concatenate([spans, spans[partly]])
    asked = np.zeros((len(owners), len(cabinet.solids)), dtype=bool)
    asked[: len(spans)] = wanted[spans]
    asked[excused, windows.solids[by]] = False
    solids = free.solids[parts]
    asked[len(spans) + np.arange(len(parts)), solids] = wanted[spans[partly], solids]
    begins = np.concatenate([np.full(len(spans), -np.inf), free.begins[parts]])
    ends = np.concatenate([np.full(len(spans), np.inf), free.ends[parts]])
    rows = np.nonzero(asked.any(axis=1))[0]
    owners, asked = owners[rows], asked[rows]
    hanging = _as_hanging(hung, owners, begins[rows], ends[rows], cabinet.down, loosely=loosely)
    radii = hung.drawn.radii[hung.places[owners]]
    near = asked_distances(hanging, radii, cabinet.bodies, asked, reach)
    return least_of_each(pairs_of(near, owners, len(owners)))


def _comes_nearer(one: Nearest, hung: Hung, as_drawn: dict[tuple[int, int], Nearest], down: Floats) -> bool:
    """Return whether a span comes nearer to a solid by sagging: not away from it, not as near as drawn."""
    if one.low_mm > 0 and float((one.other_point - one.point) @ down) < 0:
        return False
    sag = hung.sags[one.tube]
    before = as_drawn.get((_tube(hung, one.tube), one.other))
    if before is None or max(before.along_mm, 0.0) < sag.begin_mm:
        return True
    if before.along_mm > sag.end_mm and not before.sleeve:
        return True
    return one.low_mm < before.low_mm - SAME_MM


def _tube(hung: Hung, span: int) -> int:
    return int(hung.drawn.indices[hung.places[span]])


def _span(number: int, hung: Hung, middle: Floats, below: Nearest | None, stiffly_mm: float) -> Span:
    sag = hung.sags[number]
    low, high = sag.estimates_mm
    return Span(
        tube=_tube(hung, number),
        from_mm=sag.begin_mm,
        to_mm=sag.end_mm,
        sag_low_mm=low,
        sag_high_mm=high,
        sag_most_mm=sag.limit_mm,
        below=below.other if below else None,
        clear_low_mm=below.low_mm if below else np.inf,
        clear_high_mm=stiffly_mm,
        along_mm=min(below.along_mm, sag.end_mm) if below else sag.middle_mm,
        point=below.point if below else middle,
        travel=below.travel if below else 0.0,
    )
