"""Things of one look put together, so that hundreds of them are drawn in a few strokes."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from routeviz.geometry.arrays import Floats, Ints
from routeviz.geometry.frames import directions_from, points_from
from routeviz.views.shades import GHOST_OPACITY
from routeviz.views.shots import Drawn

DOT_PX = 6.0  # width of a measured point
NO_TRIANGLES = np.zeros((0, 3), dtype=np.int64)


@dataclass(frozen=True, slots=True, kw_only=True)
class Stroke:
    """How a batch is drawn: everything in it alike.

    Parameters
    ----------
    form : str
        ``faces``, ``rims`` (the insides of slightly larger skins, seen round what they hold), ``lines`` or
        ``dots``.
    colour : str
        Its colour.
    opacity : float
        0 to 1.
    wide_px : float
        Of lines and dots, and of rims round what they hold; in pixels of the picture.
    dashes : tuple of float
        Of lines, drawn and left out in turn, in the same pixels; empty for whole ones.
    """

    form: str
    colour: str
    opacity: float = 1.0
    wide_px: float = 0.0
    dashes: tuple[float, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Batch:
    """Many things in one: triangles with normals, lines as pairs of points, or dots as points alone."""

    stroke: Stroke
    points: Floats
    normals: Floats
    triangles: Ints


def batches(drawn: Sequence[Drawn]) -> list[Batch]:
    """Return things as few batches, those of one stroke in one.

    Parameters
    ----------
    drawn : sequence of Drawn
        What is to be seen.

    Returns
    -------
    batches : list of Batch
        What is not translucent first; always in the same order.
    """
    gathered: dict[Stroke, list[tuple[Floats, Floats, Ints]]] = {}
    for one in drawn:
        for stroke, form in _strokes(one):
            gathered.setdefault(stroke, []).append(form)
    found = [_joined(stroke, forms) for stroke, forms in gathered.items()]
    return sorted(
        found,
        key=lambda b: (
            b.stroke.opacity < 1.0,
            b.stroke.form,
            b.stroke.colour,
            b.stroke.wide_px,
            b.stroke.dashes,
        ),
    )


def _strokes(one: Drawn) -> list[tuple[Stroke, tuple[Floats, Floats, Ints]]]:
    item, look = one.item, one.look
    points = points_from(one.frame, item.points)
    normals = directions_from(one.frame, item.normals)
    found = []
    if len(item.triangles) and look.opacity > 0.0:
        second = (item.bands == 1) & one.banded
        for colour, chosen in ((look.colour, ~second), (look.second, second)):
            if chosen.any():
                faces = Stroke(form="faces", colour=colour, opacity=look.opacity)
                found.append((faces, _used(points, normals, item.triangles[chosen])))
        if look.outline_px > 0.0:
            rims = Stroke(form="rims", colour=look.outline, wide_px=look.outline_px)
            found.append((rims, (points, normals, item.triangles)))
    found += _line_strokes(one)
    if len(item.dots):
        places = points_from(one.frame, item.dots)
        dots = Stroke(form="dots", colour=look.colour, opacity=look.opacity, wide_px=DOT_PX)
        found.append((dots, (places, np.zeros_like(places), NO_TRIANGLES)))
    return found


def _line_strokes(one: Drawn) -> list[tuple[Stroke, tuple[Floats, Floats, Ints]]]:
    """Return edges, broken where the look says so, and hatching, which never is: its lines are short."""
    item, look = one.item, one.look
    faint = 3.0 * look.opacity if item.kind == "solid" and look.opacity <= GHOST_OPACITY else 1.0
    whole = Stroke(form="lines", colour=look.line, opacity=faint, wide_px=look.line_px)
    broken = item.edges if look.dashes else 0
    found = []
    for stroke, lines in (
        (replace(whole, dashes=look.dashes), item.lines[:broken]),
        (whole, item.lines[broken:]),
    ):
        if len(lines):
            ends = points_from(one.frame, lines.reshape(-1, 3))
            found.append((stroke, (ends, np.zeros_like(ends), NO_TRIANGLES)))
    return found


def _used(points: Floats, normals: Floats, triangles: Ints) -> tuple[Floats, Floats, Ints]:
    """Return triangles with only the points that they use."""
    used, numbers = np.unique(triangles, return_inverse=True)
    return points[used], normals[used], numbers.reshape(-1, 3)


def _joined(stroke: Stroke, forms: Sequence[tuple[Floats, Floats, Ints]]) -> Batch:
    offsets = np.cumsum([0, *(len(points) for points, _, _ in forms)])
    return Batch(
        stroke=stroke,
        points=np.concatenate([points for points, _, _ in forms]),
        normals=np.concatenate([normals for _, normals, _ in forms]),
        triangles=np.concatenate([t + o for (_, _, t), o in zip(forms, offsets[:-1], strict=True)]),
    )
