"""How tubes hang between what holds them, and what they then come near to.

How far a span sags is in hanging.py; whether that is too far, in checks/hang.py.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from routeviz.cabinet.solids import Cabinet
from routeviz.cabinet.tubing import TubeKind
from routeviz.geometry.arrays import Floats, Ints
from routeviz.geometry.chains import Samples, polylines, sampled, stretches
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
    tubes : array of int, shape (n,)
        Whose spans.
    radii : array, shape (n,)
        Their outside radii.
    sags : tuple of Sag
        How far, and from where to where.
    samples : Samples
        Places on the drawn centrelines, a curve a span.
    """

    tubes: Ints
    radii: Floats
    sags: tuple[Sag, ...]
    samples: Samples


def spans_of(
    cabinet: Cabinet,
    tubes: Sequence[Tube],
    drawn: Laid,
    windows: Windows,
    solids: Sequence[Nearest],
    reach: float,
) -> tuple[Span, ...]:
    """Return each span that sags, with the solid that it then comes nearest to.

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
        if known is not None and known.low_mm <= one.low_mm:
            continue
        if _comes_nearer(one, hung, as_drawn, cabinet.down):
            best[one.tube] = one
    every[:] = False
    every[list(best), [one.other for one in best.values()]] = True
    held = _near(cabinet, hung, windows, every, reach, loosely=False)
    stiffly = {one.tube: one.low_mm for one in held}
    return tuple(_span(k, hung, best.get(k), stiffly.get(k, np.inf)) for k in range(len(hung.sags)))


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
    deep = np.array([k for k, sag in enumerate(found) if sag.high_mm >= LEAST_SAG_MM], dtype=np.int64)
    if len(deep) < len(found):
        parts = stretches(drawn.pieces, curves[deep], begins[deep], ends[deep])
        samples = sampled(parts, SAGITTA_MM, CHORD_MM)
    return Hung(
        tubes=drawn.indices[curves[deep]],
        radii=drawn.radii[curves[deep]],
        sags=tuple(found[k] for k in deep.tolist()),
        samples=samples,
    )


def _beam(kind: TubeKind) -> Beam | None:
    if kind.modulus_mpa is None or kind.density_g_cm3 is None:
        return None
    return beam_of_section(kind.outside_mm, kind.bore_mm, kind.modulus_mpa, kind.density_g_cm3)


def _as_hanging(hung: Hung, down: Floats, *, loosely: bool) -> Pieces:
    """Return the spans as they hang, in chords; arc lengths are those of the drawn centrelines.

    Held stiffly a span takes the form 16 u^2 (1 - u)^2 of its sag, held loosely that of a
    loaded beam on two supports, 16/5 (u - 2 u^3 + u^4); u runs from 0 to 1 (handbook forms, from memory).
    """  # noqa: DOC201
    samples, owners = hung.samples, hung.samples.owners
    begins = np.array([sag.begin_mm for sag in hung.sags])
    ends = np.array([sag.end_mm for sag in hung.sags])
    deepest = np.array([sag.high_mm if loosely else sag.low_mm for sag in hung.sags])
    u = np.clip((samples.along - begins[owners]) / (ends - begins)[owners], 0.0, 1.0)
    form = 16 / 5 * (u - 2 * u**3 + u**4) if loosely else 16 * u**2 * (1 - u) ** 2
    drops = (deepest[owners] * form)[:, None] * down
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
    pieces = _as_hanging(hung, cabinet.down, loosely=loosely)
    excused, by = np.nonzero(hung.tubes[spans][:, None] == windows.tubes)
    partly, parts = np.nonzero(hung.tubes[spans][:, None] == free.tubes)
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
    cut = stretches(pieces, owners, begins[rows], ends[rows])
    near = asked_distances(cut, hung.radii[owners], cabinet.bodies, asked, reach)
    return least_of_each(pairs_of(near, owners, len(owners)))


def _comes_nearer(one: Nearest, hung: Hung, as_drawn: dict[tuple[int, int], Nearest], down: Floats) -> bool:
    """Return whether a span comes nearer to a solid by sagging: not away from it, not as near as drawn."""
    if one.low_mm > 0 and float((one.other_point - one.point) @ down) < 0:
        return False
    sag = hung.sags[one.tube]
    before = as_drawn.get((int(hung.tubes[one.tube]), one.other))
    if before is None or not sag.begin_mm <= before.along_mm <= sag.end_mm:
        return True
    return one.low_mm < before.low_mm - SAME_MM


def _span(number: int, hung: Hung, below: Nearest | None, stiffly_mm: float) -> Span:
    sag = hung.sags[number]
    own = slice(hung.samples.firsts[number], hung.samples.firsts[number + 1])
    middle = int(np.argmin(np.abs(hung.samples.along[own] - sag.middle_mm)))
    return Span(
        tube=int(hung.tubes[number]),
        from_mm=sag.begin_mm,
        to_mm=sag.end_mm,
        sag_low_mm=sag.low_mm,
        sag_high_mm=sag.high_mm,
        below=below.other if below else None,
        clear_low_mm=below.low_mm if below else np.inf,
        clear_high_mm=stiffly_mm,
        along_mm=min(below.along_mm, sag.end_mm) if below else sag.middle_mm,
        point=below.point if below else hung.samples.points[own][middle],
        travel=below.travel if below else 0.0,
    )
