"""What on a case is worth a dimension: zeros, boards with openings, keys, rows of nipples, passages."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from routeviz.cabinet.messages import Where
from routeviz.cabinet.passages import Passage
from routeviz.cabinet.solids import Cabinet
from routeviz.cabinet.zeros import Zeros, marks
from routeviz.geometry.arrays import Floats
from routeviz.geometry.shapes import rims
from routeviz.lay import Lay
from routeviz.scene.quantities import CASE
from routeviz.views.dimensions import PASSAGE, SAME_MM, Entry

ROW = 8  # nipples from which a part's are a row worth a dimension


@dataclass(frozen=True, slots=True, kw_only=True)
class Feature:
    """Something that is measured.

    Parameters
    ----------
    name, kind : str
        What it is called; ``zero``, ``board``, ``keys``, ``row`` or ``passage``.
    zero : str
        From which zero it is taped.
    low, high : array, shape (3,)
        The upright box that holds it.
    """

    name: str
    kind: str
    zero: str
    low: Floats
    high: Floats


def zeros_of(lay: Lay) -> Zeros:
    """Return every zero of a scene that has been placed."""
    return marks(Where(reading=lay.reading), [])


def features_of(lay: Lay, zeros: Zeros, letters: Mapping[str, str]) -> tuple[Feature, ...]:
    """Return what is worth a dimension, zeros first, all else as in the scene.

    Parameters
    ----------
    lay : Lay
        A scene with all that is known.
    zeros : mapping of Mark
        Its zeros.
    letters : mapping
        Of each passage: it is called by it.

    Returns
    -------
    features : tuple of Feature
        At rest.
    """
    cabinet, parts = lay.cabinet, lay.reading.scene.part
    found = [
        Feature(name=f"zero {name}", kind="zero", zero=CASE, low=mark.origin, high=mark.origin)
        for name, mark in zeros.items()
        if name != CASE
    ]
    cut = {cabinet.solids[p.solid].part for p in cabinet.passages.values() if p.solid is not None}
    for name, part in parts.items():
        pieces = [solid.pieces for solid in cabinet.solids if solid.part == name]
        kind = "board" if name in cut else "keys" if part.kind == "keyboard" else ""
        if kind and pieces:
            points = np.concatenate([rims(p, k).reshape(-1, 3) for p in pieces for k in range(len(p.halves))])
            found.append(_feature(name, kind, part.zero, points))
        tips = [n.tip for n in cabinet.nipples.values() if n.part == name]
        if len(tips) >= ROW:
            found.append(_feature(name, "row", part.zero, np.array(tips)))
    for passage in cabinet.passages.values():
        found.append(
            _feature(
                PASSAGE + letters[passage.name],
                "passage",
                _zero_of(passage, cabinet, lay),
                _box_of(passage),
            )
        )
    return tuple(found)


def _feature(name: str, kind: str, zero: str, points: Floats) -> Feature:
    return Feature(name=name, kind=kind, zero=zero, low=points.min(axis=0), high=points.max(axis=0))


def _zero_of(passage: Passage, cabinet: Cabinet, lay: Lay) -> str:
    if passage.solid is None:
        return lay.reading.scene.passage[passage.name].zero
    return lay.reading.scene.part[cabinet.solids[passage.solid].part].zero


def _box_of(passage: Passage) -> Floats:
    flat = passage.origin + passage.outline @ passage.axes[:2]
    shift = 0.5 * passage.thick_mm * passage.axes[2]
    return np.concatenate([flat - shift, flat + shift])


def entries(
    features: Sequence[Feature], zeros: Zeros, axis: int, across: int, kinds: Sequence[str]
) -> list[Entry]:
    """Return what is measured along one of the case's axes, each place once a thing.

    Parameters
    ----------
    features : sequence of Feature
        What may be measured.
    zeros : mapping of Mark
        From where.
    axis, across : int
        Along which of the case's axes, and which lies square to it in the view.
    kinds : sequence of str
        Which features are.

    Returns
    -------
    entries : list of Entry
        Those from the case's own zero first.
    """
    found = []
    for feature in features:
        if feature.kind not in kinds:
            continue
        origin = float(zeros[feature.zero].origin[axis])
        places = [float(feature.low[axis]), float(feature.high[axis])]
        if places[1] - places[0] < SAME_MM:
            places = places[:1]
        found += [
            Entry(
                name=feature.name,
                zero=feature.zero,
                from_mm=origin,
                at_mm=at,
                begins_mm=float(feature.low[across]),
            )
            for at in places
            if abs(at - origin) >= SAME_MM
        ]
    return sorted(found, key=lambda entry: entry.zero != CASE)
