"""The whole lay for other 3D programs, as a glTF file: named things, what is known of them, and their travel.

How such a file is put together is in binary_gltf.py. Within the root everything is in the case's frame and in
millimetres; the root turns it upright and to metres, as the format wants it.
"""

import math
from collections import defaultdict
from collections.abc import Iterator, Sequence
from typing import Any

import numpy as np

from routeviz.cabinet.motions import Fixed, Hinge, Sliding
from routeviz.cabinet.nipples import Nipple
from routeviz.cabinet.solids import Solid
from routeviz.checks.findings import Finding
from routeviz.geometry.arrays import Floats
from routeviz.geometry.frames import rigid
from routeviz.lay import Lay
from routeviz.tubes.routes import Tube
from routeviz.views.batches import Batch, batches
from routeviz.views.binary_gltf import Form, Motion, Node, Paint, glb
from routeviz.views.items import Item, Kind, items_of
from routeviz.views.shades import MANNERS
from routeviz.views.shots import Drawn

METRES = 0.001
UPRIGHT = (-math.sqrt(0.5), 0.0, 0.0, math.sqrt(0.5))  # a quarter turn about x: z, our up, becomes their y
WHOLE_S = 2.0  # from rest to full travel and back
STEP_DEG = 120.0  # between two poses: programs take the shorter way round, so it must be below half a turn
ZERO = np.zeros(3)
Known = dict[str, Any]


def glb_bytes(lay: Lay) -> bytes:
    """Return a lay as a GLB file.

    Parameters
    ----------
    lay : Lay
        With its findings; what has one looks as in the pictures.

    Returns
    -------
    file : bytes
        glTF 2.0, binary, self-contained; the same lay, the same bytes.
    """
    root = Node(
        name=lay.cabinet.title,
        extras={
            "kind": "lay",
            "stage": lay.cabinet.stage,
            "units": "mm within this node",
            "findings": [_finding(number, finding) for number, finding in enumerate(lay.findings, 1)],
        },
        placing={"rotation": list(UPRIGHT), "scale": [METRES] * 3},
        children=tuple(_everything(lay)),
    )
    return glb(root, "travel")


def _everything(lay: Lay) -> Iterator[Node]:
    items: defaultdict[Kind, list[Item]] = defaultdict(list)
    for item in items_of(lay.cabinet, lay.tubes, lay.findings):
        items[item.kind].append(item)
    yield from _parts(lay.cabinet.solids, items["solid"])
    for space, item in zip(lay.cabinet.keep_clear, items["keep clear"], strict=True):
        extras = {**_known(item), "why": space.why}
        yield Node(name=item.name, extras=extras, forms=_forms([item], drawn=("faces", "lines")))
    for item in items["passage"]:
        yield Node(name=item.name, extras=_known(item), forms=_forms([item], drawn=("lines",)))
    yield from _rows(list(lay.cabinet.nipples.values()), items["nipple"])
    yield from _tubes(lay, items["tube"], items["tie"])


def _parts(solids: Sequence[Solid], items: Sequence[Item]) -> Iterator[Node]:
    """Return the solids; several that make up a part, within a node of the part's name."""
    parts: dict[str, list[Node]] = {}
    for solid, item in zip(solids, items, strict=True):
        parts.setdefault(solid.part, []).append(_solid(solid, item))
    for part, nodes in parts.items():
        many = len(nodes) > 1
        extras = {"kind": "part", **{k: v for k, v in nodes[0].extras.items() if k == "status"}}
        yield Node(name=part, extras=extras, children=tuple(nodes)) if many else nodes[0]


def _solid(solid: Solid, item: Item) -> Node:
    known = {**_known(item), "kind": solid.kind, "part": solid.part}
    middle = 0.5 * (item.points.min(axis=0) + item.points.max(axis=0))
    motion: Motion | None
    match solid.movement:
        case Hinge(point=point, axis=axis, full_deg=deg):
            origin = point + ((middle - point) @ axis) * axis  # on the axis, beside the solid's middle
            known["moves"] = {"hinge": axis.tolist(), "travel_deg": deg}
            motion = _turning(axis, deg)
        case Sliding(direction=direction, full_mm=full_mm):
            origin = middle
            known["moves"] = {"slide": direction.tolist(), "travel_mm": full_mm}
            places = origin + np.array([[0.0], [full_mm], [0.0]]) * direction
            motion = Motion(path="translation", times=np.linspace(0.0, WHOLE_S, 3), values=places)
        case Fixed():
            return Node(name=solid.name, extras=known, forms=_forms([item]))
    placing = {"translation": origin.tolist()}
    return Node(name=solid.name, extras=known, placing=placing, forms=_forms([item], origin), motion=motion)


def _turning(axis: Floats, full_deg: float) -> Motion:
    steps = math.ceil(abs(full_deg) / STEP_DEG)
    shares = 1.0 - np.abs(np.linspace(-1.0, 1.0, 2 * steps + 1))
    half = np.radians(0.5 * full_deg * shares)[:, None]
    turns = np.concatenate([np.sin(half) * axis, np.cos(half)], axis=1)
    return Motion(path="rotation", times=np.linspace(0.0, WHOLE_S, len(turns)), values=turns)


def _rows(nipples: Sequence[Nipple], items: Sequence[Item]) -> Iterator[Node]:
    """Return the nipples, those of a part in one node."""
    parts: dict[str, list[tuple[Nipple, Item]]] = {}
    for nipple, item in zip(nipples, items, strict=True):
        parts.setdefault(nipple.part, []).append((nipple, item))
    for part, pairs in parts.items():
        tips = {nipple.name: nipple.tip.tolist() for nipple, _ in pairs}
        forms = _forms([item for _, item in pairs])
        extras = {"kind": "nipples", "part": part, **_status(pairs[0][1]), "tips": tips}
        yield Node(name=f"{part} nipples", extras=extras, forms=forms)


def _tubes(lay: Lay, items: Sequence[Item], ties: Sequence[Item]) -> Iterator[Node]:
    """Return the tubes that are drawn, each with its ties."""
    lengths = zip(lay.tubes, lay.measured.lengths_mm.tolist(), strict=True)
    drawn = [(tube, length_mm) for tube, length_mm in lengths if tube.curve is not None]
    unused = iter(ties)
    for (tube, length_mm), item in zip(drawn, items, strict=True):
        own = [next(unused) for _ in tube.ties]
        yield Node(name=tube.name, extras=_of_tube(tube, length_mm, item), forms=_forms([item, *own]))


def _of_tube(tube: Tube, length_mm: float, item: Item) -> Known:
    return {
        **_known(item),
        "tag": tube.tag,
        "from": tube.start.name,
        "to": tube.end.name,
        "through": list(tube.through),
        "carries": tube.carries,
        "outside_mm": tube.kind.outside_mm,
        "length_mm": length_mm,
        "planned": tube.planned,
    }


def _known(item: Item) -> Known:
    return {"kind": item.kind, "findings": list(item.numbers), **_status(item)}


def _status(item: Item) -> Known:
    """Return how a thing is known, where the scene says it."""
    return {} if item.status is None else {"status": item.status}


def _finding(number: int, finding: Finding) -> Known:
    return {
        "number": number,
        "rule": finding.rule,
        "severity": finding.severity,
        "tube": finding.tube,
        "other": finding.other,
        "says": finding.says,
        "remedy": finding.remedy,
        "point": None if finding.point is None else finding.point.tolist(),
    }


def _forms(
    items: Sequence[Item], origin: Floats = ZERO, drawn: Sequence[str] = ("faces",)
) -> tuple[Form, ...]:
    """Return what things look like, seen from an origin; those of one paint together.

    All are known as the first is; where they were not measured, the names of their paints tell it.
    """  # noqa: DOC201
    frame = rigid(np.eye(3), -origin)
    looks = [(item, item.marked or item.look) for item in items]
    together = batches(
        [Drawn(item=item, look=look, banded=bool(look.second), frame=frame) for item, look in looks]
    )
    status = items[0].status
    says = status if status in MANNERS else ""
    return tuple(_form(batch, says) for batch in together if batch.stroke.form in drawn)


def _form(batch: Batch, says: str) -> Form:
    paint = Paint(colour=batch.stroke.colour, opacity=batch.stroke.opacity, says=says)
    if batch.stroke.form == "lines":
        ends = np.arange(len(batch.points)).reshape(-1, 2)
        return Form(mode="lines", points=batch.points, normals=None, indices=ends, paint=paint)
    return Form(
        mode="triangles", points=batch.points, normals=batch.normals, indices=batch.triangles, paint=paint
    )
