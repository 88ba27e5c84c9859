"""The forms of things in a view: skins, lines and dots of everything in a case, each with its look.

Which looks there are is decided in shades.py; markers, labels and views come in display.py.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from routeviz.cabinet.nipples import Nipple
from routeviz.cabinet.passages import Passage
from routeviz.cabinet.solids import Cabinet, Solid
from routeviz.checks.findings import Finding, Severity
from routeviz.geometry.arrays import Floats, Ints, frozen, frozen_ints
from routeviz.geometry.blocks import cylinder
from routeviz.geometry.curves import Curve, chords, points_along, tangents_along
from routeviz.geometry.shapes import Pieces
from routeviz.geometry.skins import Skin, chosen, hatching, skin_of, skins_of, swept
from routeviz.scene.doubts import Status
from routeviz.tubes.routes import Tube
from routeviz.tubes.sleeves import stretched_outside_mm
from routeviz.views.shades import (
    BANDS,
    FAULT_EDGE,
    KEEP_CLEAR,
    MANNERS,
    MARKED,
    MEASURED,
    NIPPLE,
    PASSAGE,
    SOLIDS,
    STICK,
    TIE,
    TUBES,
    Bands,
    Look,
    as_known,
    tube_as_known,
)

Kind = Literal["solid", "tube", "nipple", "tie", "keep clear", "passage", "measured"]
SAGITTA_MM = 0.1  # by which a drawn tube may leave the checked one: a tenth of a pixel in the closest view
SIDES = 16  # corners of a tube's section: its silhouette is within 2 % of its radius
HATCH_MM = 40.0  # between the lines that mark a space
NIPPLE_MM = 2.0  # of a nipple that shows where a tube is on it
KEY_FRONTS = {"ivory": 2, "ebony": 1}  # pieces of a key from its front that are not bare wood
TIE_MM = (3.0, 0.7)  # half the width of a tie, and how far it stands off its tube
SEVERITIES: tuple[Severity, ...] = ("fault", "caution", "note")


@dataclass(frozen=True, slots=True, kw_only=True)
class Item:
    """One thing drawn.

    Parameters
    ----------
    name : str
        As findings name it; of a nipple, tie or measured points the tube's or the nipple's.
    kind : str
        What it is.
    points, normals : array, shape (n, 3)
        Corners of its triangles, and the unit normals there.
    triangles : array of int, shape (m, 3)
        Anticlockwise from outside.
    bands : array of int, shape (m,)
        1 for triangles of the second colour when the item is marked.
    lines : array, shape (k, 2, 3)
        Edges or outlines first, then hatching.
    edges : int
        How many lines are no hatching.
    dots : array, shape (d, 3)
        Single places.
    look : Look
        As it is drawn.
    marked : Look or None
        As it is drawn where its findings are to be seen.
    severity : str or None
        The worst of its findings.
    numbers : tuple of int
        Its findings.
    status : str or None
        How it is known.
    """

    name: str
    kind: Kind
    points: Floats
    normals: Floats
    triangles: Ints
    bands: Ints
    lines: Floats
    edges: int
    dots: Floats
    look: Look
    marked: Look | None = None
    severity: Severity | None = None
    numbers: tuple[int, ...] = ()
    status: Status | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Blame:
    """Which findings a thing has, and the worst severity among them."""

    severity: Severity | None = None
    numbers: tuple[int, ...] = ()


UNBLAMED = Blame()


def items_of(cabinet: Cabinet, tubes: Sequence[Tube], findings: Sequence[Finding]) -> tuple[Item, ...]:
    """Return everything in a case as it is drawn, at rest.

    Parameters
    ----------
    cabinet, tubes : Cabinet, sequence of Tube
        What there is.
    findings : sequence of Finding
        In the order in which they are printed.

    Returns
    -------
    items : tuple of Item
        Solids, spaces, passages, nipples, then tube by tube what belongs to it.
    """
    blames = blames_of(findings)
    skins = solid_skins(cabinet.solids)
    items = [_solid(s, skin, blames) for s, skin in zip(cabinet.solids, skins, strict=True)]
    items += [_space(s, blames.get(s.name, UNBLAMED)) for s in cabinet.keep_clear]
    items += [_passage(p, blames.get(p.name, UNBLAMED)) for p in cabinet.passages.values()]
    nipples = list(cabinet.nipples.values())
    skinned = skins_of(cylinder(*nipple_ends(n), n.outside_mm / 2) for n in nipples)
    items += [_nipple(n, skin) for n, skin in zip(nipples, skinned, strict=True)]
    for tube in tubes:
        items += _tube(tube, cabinet, blames.get(tube.name, UNBLAMED))
    return tuple(items)


def blames_of(findings: Sequence[Finding]) -> dict[str, Blame]:
    """Return by name what each thing is blamed with; a passage or part only where no tube is."""
    found: dict[str, list[tuple[int, Severity]]] = {}
    for number, finding in enumerate(findings, 1):
        for name in dict.fromkeys((finding.tube, finding.other)):
            if name is not None:
                found.setdefault(name, []).append((number, finding.severity))
    return {
        name: Blame(
            severity=min((severity for _, severity in pairs), key=SEVERITIES.index),
            numbers=tuple(number for number, _ in pairs),
        )
        for name, pairs in found.items()
    }


def _item(
    name: str,
    kind: Kind,
    look: Look,
    skin: Skin | None = None,
    lines: Floats | None = None,
    dots: Floats | None = None,
) -> Item:
    empty = np.zeros((0, 3))
    edges = np.zeros((0, 2, 3)) if skin is None else skin.edges
    return Item(
        name=name,
        kind=kind,
        points=frozen(empty if skin is None else skin.points),
        normals=frozen(empty if skin is None else skin.normals),
        triangles=frozen_ints(np.zeros((0, 3)) if skin is None else skin.triangles),
        bands=frozen_ints(np.zeros(0 if skin is None else len(skin.triangles))),
        lines=frozen(edges if lines is None else lines),
        edges=len(edges) if skin is not None or lines is None else len(lines),
        dots=frozen(empty if dots is None else dots),
        look=look,
    )


def _blamed(item: Item, blame: Blame, marked: Look | None, bands: Ints | None = None) -> Item:
    return replace(
        item,
        marked=marked,
        severity=blame.severity,
        numbers=blame.numbers,
        bands=item.bands if bands is None else frozen_ints(bands),
    )


def edged(look: Look, blame: Blame) -> Look | None:
    """Return the look of a thing with a fault: its edges tell it."""
    return replace(look, line=FAULT_EDGE, line_px=2.4) if blame.severity == "fault" else None


def _solid(solid: Solid, skinned: tuple[Skin, Ints], blames: Mapping[str, Blame]) -> Item:
    look, blame = solid_look(solid), blames.get(solid.name, UNBLAMED)
    skin, bands = skinned
    item = replace(_item(solid.name, "solid", look, skin), status=solid.status)
    return _blamed(item, blame, edged(look, blame), bands)


def solid_look(solid: Solid) -> Look:
    """Return how a solid is drawn that has no finding; the second colour of a key is that of bare wood."""
    look = SOLIDS[solid.look]
    return as_known(replace(look, second=STICK) if solid.kind == "keyboard" else look, solid.status)


def space_look(space: Solid) -> Look:
    """Return how a space is drawn that is to be kept clear and has no finding."""
    return as_known(KEEP_CLEAR, space.status)


def passage_look(passage: Passage) -> Look:
    """Return how a passage is drawn that has no finding."""
    return as_known(PASSAGE, passage.status)


def nipple_look(nipple: Nipple) -> Look:
    """Return how a nipple is drawn."""
    return as_known(NIPPLE, nipple.status)


def tube_look(tube: Tube) -> Look:
    """Return how a tube is drawn that has no finding."""
    return tube_as_known(TUBES[tube.carries], tube.status)


def solid_skins(solids: Sequence[Solid]) -> list[tuple[Skin, Ints]]:
    """Return the skin of each solid at rest, and 1 for each triangle that takes the second colour.

    A key is ivory to its balance, a sharp is black as far as its block; what lies behind is bare wood.
    """  # noqa: DOC201
    parts = [_coloured(solid) for solid in solids]
    skins = iter(skins_of(pieces for some in parts for pieces in some))
    found = []
    for some in parts:
        own = [next(skins) for _ in some]
        bands = np.repeat(np.arange(len(own)), [len(skin.triangles) for skin in own])
        found.append((own[0] if len(own) == 1 else _together(own), frozen_ints(bands)))
    return found


def _coloured(solid: Solid) -> list[Pieces]:
    """Return the pieces of a solid that are of its first colour, and those of the second where it has one."""
    if solid.kind != "keyboard":
        return [solid.pieces]
    front = np.arange(len(solid.pieces.halves)) < KEY_FRONTS[solid.look]
    return [chosen(solid.pieces, front), chosen(solid.pieces, ~front)]


def space_lines(space: Solid) -> Floats:
    """Return the edges of a space that is to be kept clear, and after them the lines that mark it."""
    return np.concatenate([skin_of(space.pieces).edges, hatching(space.pieces, HATCH_MM)])


def _space(space: Solid, blame: Blame) -> Item:
    look = space_look(space)
    item = _item(space.name, "keep clear", look, skin_of(space.pieces), space_lines(space))
    return _blamed(replace(item, status=space.status), blame, edged(look, blame))


def passage_lines(passage: Passage) -> Floats:
    """Return the outline of a passage as lines, at both faces where it has a thickness."""
    flat = passage.origin + passage.outline @ passage.axes[:2]
    shift = 0.5 * passage.thick_mm * passage.axes[2]
    rings = [flat - shift, flat + shift] if passage.thick_mm > 0.0 else [flat]
    return np.concatenate([np.stack([ring, np.roll(ring, -1, axis=0)], axis=1) for ring in rings])


def _passage(passage: Passage, blame: Blame) -> Item:
    look = passage_look(passage)
    item = _item(passage.name, "passage", look, lines=passage_lines(passage))
    return _blamed(replace(item, status=passage.status), blame, edged(look, blame))


def nipple_ends(nipple: Nipple) -> tuple[Floats, Floats]:
    """Return root and tip of a nipple as it is drawn.

    Longer than the sleeve at its root, so that it shows, and shorter at its tip, so that no two ends meet.
    """  # noqa: DOC201
    back = nipple.tip - nipple.on_nipple_mm * nipple.direction
    return back - NIPPLE_MM * nipple.direction, nipple.tip - 0.2 * NIPPLE_MM * nipple.direction


def _nipple(nipple: Nipple, skin: Skin) -> Item:
    item = _item(nipple.name, "nipple", nipple_look(nipple), skin, np.zeros((0, 2, 3)))
    return replace(item, status=nipple.status)


def _tube(tube: Tube, cabinet: Cabinet, blame: Blame) -> list[Item]:
    items: list[Item] = []
    if tube.curve is not None:
        items.append(_run(tube, tube.curve, cabinet, blame))
        items += _ties(tube, tube.curve)
    if tube.measured is not None:
        items.append(_item(tube.name, "measured", MEASURED, dots=tube.measured))
    return items


def _run(tube: Tube, curve: Curve, cabinet: Cabinet, blame: Blame) -> Item:
    """Return a tube along its checked centreline, with sleeves, and with bands where it has a finding."""
    radius = tube.kind.outside_mm / 2
    severity = blame.severity
    bands = tube_bands(tube, severity)
    along = chords(curve, SAGITTA_MM)[1]
    if bands is not None:
        along = np.unique(np.concatenate([along, _band_ends(bands, tube, float(along[-1]))]))
        along = along[np.append(True, np.diff(along) > 1e-6)]
    skins = [swept(points_along(curve, along), tangents_along(curve, along), radius, SIDES)]
    second = np.repeat(_second(bands, tube, 0.5 * (along[1:] + along[:-1])), 2 * SIDES)
    skins += _sleeves(tube, cabinet)
    whole = _together(skins)
    item = replace(_item(tube.name, "tube", tube_look(tube), whole), status=tube.status)
    padded = np.zeros(len(whole.triangles))
    padded[: len(second)] = second
    marked = MARKED.get(severity) if severity is not None else None
    return _blamed(item, blame, marked, np.asarray(padded, dtype=np.int64))


def tube_bands(tube: Tube, severity: Severity | None) -> Bands | None:
    """Return the pattern of a tube's second colour: of its worst finding, else of how it is known."""
    manner = MANNERS.get(tube.status) if tube.status is not None else None
    of_status = None if manner is None else manner.bands
    return BANDS.get(severity, of_status) if severity is not None else of_status


def _band_ends(bands: Bands, tube: Tube, whole: float) -> Floats:
    every = bands.every * tube.kind.outside_mm
    starts = np.arange(0.0, whole, every)
    ends = np.concatenate([starts, starts + bands.share * every])
    return ends[ends < whole]


def _second(bands: Bands | None, tube: Tube, along: Floats) -> Floats:
    if bands is None:
        return np.zeros(len(along))
    every = bands.every * tube.kind.outside_mm
    return np.asarray(along % every < bands.share * every, dtype=np.float64)


def _sleeves(tube: Tube, cabinet: Cabinet) -> list[Skin]:
    skins = []
    for end in (tube.start, tube.end):
        if end.nipple is not None:
            nipple = cabinet.nipples[end.nipple]
            outside = stretched_outside_mm(tube.kind.outside_mm, tube.kind.bore_mm, nipple.outside_mm)
            back = nipple.tip - nipple.on_nipple_mm * nipple.direction
            points = np.stack([back, nipple.tip])
            skins.append(swept(points, np.stack([nipple.direction] * 2), outside / 2, SIDES))
    return skins


def _ties(tube: Tube, curve: Curve) -> list[Item]:
    half, off = TIE_MM
    middles = np.array([tie.along_mm for tie in tube.ties])
    along = np.clip(middles[:, None] + np.array([-half, half]), 0.0, float(curve.begins[-1]))
    places = points_along(curve, along.ravel()).reshape(-1, 2, 3)
    ways = tangents_along(curve, along.ravel()).reshape(-1, 2, 3)
    radius = tube.kind.outside_mm / 2 + off
    return [
        _item(tube.name, "tie", TIE, swept(*ends, radius, SIDES)) for ends in zip(places, ways, strict=True)
    ]


def _together(skins: Sequence[Skin]) -> Skin:
    offsets = np.cumsum([0, *(len(s.points) for s in skins)])
    return Skin(
        points=np.concatenate([s.points for s in skins]),
        normals=np.concatenate([s.normals for s in skins]),
        triangles=np.concatenate([s.triangles + o for s, o in zip(skins, offsets[:-1], strict=True)]),
        edges=np.concatenate([s.edges for s in skins]),
    )
