"""How tubes hang between what holds them, and what they then come near to.

How far a span sags is in hanging.py; whether that is too far, in checks/hang.py.
"""

from collections.abc import Sequence

import numpy as np

from routeviz.cabinet.solids import Cabinet
from routeviz.geometry.arrays import Floats
from routeviz.geometry.curves import Curve, chords, rounded_polyline
from routeviz.geometry.sweeps import Near, least_distances
from routeviz.tubes.hanging import Sag, beam_of_section, sags
from routeviz.tubes.measured import Span
from routeviz.tubes.routes import Tube

CHORD_MM = 4.0  # samples along a span: a sag of a quarter of the span still turns gently between them
SAGITTA_MM = 0.05
LEAST_SAG_MM = 0.5  # less is within the thickness of a pencil line on the drawing


def spans_of(cabinet: Cabinet, tubes: Sequence[Tube], reach: float) -> tuple[Span, ...]:
    """Return each span that sags, with the solid that it then comes nearest to."""
    hung: list[tuple[int, Sag, Floats, Floats]] = []
    for index, tube in enumerate(tubes):
        kind = tube.kind
        if tube.curve is None or kind.modulus_mpa is None or kind.density_g_cm3 is None:
            continue
        beam = beam_of_section(kind.outside_mm, kind.bore_mm, kind.modulus_mpa, kind.density_g_cm3)
        points, along = _samples(tube.curve)
        supports = np.unique([0.0, *(tie.along_mm for tie in tube.ties), along[-1]])
        for sag in sags(points, along, supports, down=cabinet.down, beam=beam):
            if sag.high_mm >= LEAST_SAG_MM:
                hung.append((index, sag, points, along))
    if not hung:
        return ()
    most = _nearest(cabinet, tubes, hung, reach, loosely=True)
    least = _nearest(cabinet, tubes, hung, reach, loosely=False)
    return tuple(_span(one, most[k], least[k]) for k, one in enumerate(hung))


def _samples(curve: Curve) -> tuple[Floats, Floats]:
    """Return samples no farther apart than a chord, with their arc lengths."""
    points, along = chords(curve, SAGITTA_MM)
    fine_points, fine_along = [points[:1]], [along[:1]]
    for k in range(len(along) - 1):
        parts = max(int(np.ceil((along[k + 1] - along[k]) / CHORD_MM)), 1)
        shares = np.arange(1, parts + 1)[:, None] / parts
        fine_points.append(points[k] + shares * (points[k + 1] - points[k]))
        fine_along.append(along[k] + shares[:, 0] * (along[k + 1] - along[k]))
    return np.concatenate(fine_points), np.concatenate(fine_along)


def _hanging(one: tuple[int, Sag, Floats, Floats], down: Floats, *, loosely: bool) -> tuple[Curve, float]:
    """Return a span as it hangs, in chords, and the arc length at which its samples begin.

    Held stiffly a span takes the form 16 u^2 (1 - u)^2 of its sag, held loosely that of a
    loaded beam on two supports, 16/5 (u - 2 u^3 + u^4); u runs from 0 to 1 (handbook forms, from memory).
    """  # noqa: DOC201
    _, sag, points, along = one
    within = (along >= sag.begin_mm - 1e-9) & (along <= sag.end_mm + 1e-9)
    u = (along[within] - sag.begin_mm) / (sag.end_mm - sag.begin_mm)
    form = 16 / 5 * (u - 2 * u**3 + u**4) if loosely else 16 * u**2 * (1 - u) ** 2
    drop = (sag.high_mm if loosely else sag.low_mm) * form
    places = points[within] + drop[:, None] * down
    return rounded_polyline(places, np.zeros(len(places) - 2)), float(along[within][0])


def _nearest(
    cabinet: Cabinet,
    tubes: Sequence[Tube],
    hung: Sequence[tuple[int, Sag, Floats, Floats]],
    reach: float,
    *,
    loosely: bool,
) -> list[tuple[float, float, int, float, Floats] | None]:
    """Return for each span: clearance, arc length, solid, travel, point; None where nothing is near."""
    curves, begins = zip(*(_hanging(one, cabinet.down, loosely=loosely) for one in hung), strict=True)
    radii = [tubes[index].kind.outside_mm / 2 for index, *_ in hung]
    carriers = [
        (k, nipple.carrier)
        for k, (index, *_) in enumerate(hung)
        for end in (tubes[index].start, tubes[index].end)
        if end.nipple and (nipple := cabinet.nipples[end.nipple]).carrier is not None
    ]
    held = [
        (k, s)
        for k, (index, *_) in enumerate(hung)
        for tie in tubes[index].ties
        for s, solid in enumerate(cabinet.solids)
        if tie.to in (solid.name, solid.part)
    ]
    skip = np.array(carriers + held, dtype=np.int64).reshape(-1, 2)
    near = least_distances(curves, radii, cabinet.bodies, reach, skip=skip)
    return [_below(near, k, begins[k], cabinet) for k in range(len(hung))]


def _below(
    near: Near, span: int, begin: float, cabinet: Cabinet
) -> tuple[float, float, int, float, Floats] | None:
    """Return the nearest solid towards which a span sags."""
    best = None
    for k in np.nonzero(near.curves == span)[0]:
        towards = float((near.touches[k] - near.points[k]) @ cabinet.down)
        if towards < 0 and near.lows[k] > 0:
            continue  # it lies above: sagging only leads away from it
        if best is None or near.lows[k] < near.lows[best]:
            best = k
    if best is None:
        return None
    return (
        float(near.lows[best]),
        begin + float(near.alongs[best]),
        int(near.bodies[best]),
        float(near.travels[best]),
        near.points[best],
    )


def _span(
    one: tuple[int, Sag, Floats, Floats],
    most: tuple[float, float, int, float, Floats] | None,
    least: tuple[float, float, int, float, Floats] | None,
) -> Span:
    index, sag, points, along = one
    middle = points[int(np.argmin(np.abs(along - sag.middle_mm)))]
    return Span(
        tube=index,
        from_mm=sag.begin_mm,
        to_mm=sag.end_mm,
        sag_low_mm=sag.low_mm,
        sag_high_mm=sag.high_mm,
        below=most[2] if most else None,
        clear_low_mm=most[0] if most else np.inf,
        clear_high_mm=least[0] if least and most and least[2] == most[2] else np.inf,
        along_mm=most[1] if most else sag.middle_mm,
        point=most[4] if most else middle,
        travel=most[3] if most else 0.0,
    )
