"""The whole lay for keeping in 3D: X3D 3.3 in XML, profile Interchange, which is text and an ISO standard.

Within the node CASE numbers are those of the tables, in millimetres and in the case's frame; the node turns
them upright and to metres, as the format wants them. How parts are written is in x3d_shapes.py. There is no
document type: its file lies on the net, and a reader that asks for it would fail when it is gone.

References
----------
ISO/IEC 19775-1:2013 (X3D 3.3: nodes, fields, profile Interchange) and 19776-1 (its form in XML), from memory.
"""

import math
from collections.abc import Iterator, Sequence
from xml.etree import ElementTree as ET

import numpy as np
from scipy.spatial.transform import Rotation

from routeviz.archive.plain_xml import xml_bytes
from routeviz.archive.x3d_shapes import (
    Known,
    Paints,
    cylinder,
    faces,
    identified,
    known,
    line_set,
    points,
    strings,
    tube_skin,
    written,
)
from routeviz.cabinet.motions import Fixed, Hinge, Sliding
from routeviz.cabinet.nipples import Nipple
from routeviz.cabinet.passages import Passage
from routeviz.cabinet.solids import Cabinet, Solid, extents
from routeviz.geometry.arrays import Floats, Ints
from routeviz.geometry.curves import Curve, chords, points_along, tangents_along
from routeviz.geometry.skins import Skin, skin_of
from routeviz.lay import Lay
from routeviz.tubes.routes import Tube
from routeviz.tubes.sleeves import stretched_outside_mm
from routeviz.views.cameras import ANGLE_DEG, Side, axes_of, framed
from routeviz.views.display import SIDES, title_of
from routeviz.views.items import (
    TIE_MM,
    nipple_ends,
    nipple_look,
    passage_lines,
    solid_look,
    solid_skins,
    space_look,
)
from routeviz.views.shades import MEASURED, PASSAGE, TIE, TUBES

METRES = 0.001
LINE_MM = 0.05  # by which the drawn centreline may leave the true one: the line where a reader must see one
SKIN_MM = 0.3  # and the skin, which is to be looked at: half as many rings as in a picture
ASPECT = 1.6
UPRIGHT = np.array([[1.0, 0.0, 0.0], [0.0, 0.0, 1.0], [0.0, -1.0, 0.0]])  # z, our up, becomes their y
SAYS = (
    "Lengths are millimetres within the node CASE, which turns them to the metres of X3D.",
    "Within CASE: x to the player's right, y away from the player, z up, from the zero of the case.",
    "Moving parts are shown at rest; how they move stands in their metadata.",
    "A tube is the curve through its corners_mm, each inner one rounded to its radius of radii_mm.",
    "Skins are drawn from that to be looked at. Where this file and the tables differ, the tables count.",
)
SAYS_OF_STATUS = (
    "Under status stands how a thing is known, by its value that is least sure: measured, documented, "
    "inferred, analogous (taken from a like instrument), assumed (nobody measured it) or designed (chosen).",
    "What was neither measured nor documented is paler; what is assumed is seen through.",
)


def x3d_bytes(lay: Lay, says: Sequence[str] = ()) -> bytes:
    """Return a lay as an X3D file.

    Parameters
    ----------
    lay : Lay
        With or without routes.
    says : sequence of str
        What else the file is to say of itself, a sentence each.

    Returns
    -------
    file : bytes
        UTF-8; the same lay, the same bytes.
    """
    title = title_of(lay.cabinet)
    root = ET.Element("X3D", {"profile": "Interchange", "version": "3.3"})
    head = ET.SubElement(root, "head")
    for name, content in (("title", title), ("generator", "routeviz"), ("description", SAYS[0])):
        ET.SubElement(head, "meta", {"name": name, "content": written(content)})
    scene = ET.SubElement(root, "Scene")
    info = [f"{title}: what stands in the case, and the tubes in it.", *says, *SAYS]
    info += SAYS_OF_STATUS if lay.reading.doubts else ()
    ET.SubElement(scene, "WorldInfo", {"title": written(title), "info": strings(info)})
    ET.SubElement(scene, "NavigationInfo", {"type": strings(["EXAMINE", "ANY"])})
    ET.SubElement(scene, "Background", {"skyColor": "1 1 1"})
    case = ET.Element(
        "Transform",
        {"DEF": "CASE", "rotation": f"1 0 0 {-math.pi / 2:.9f}", "scale": " ".join([str(METRES)] * 3)},
    )
    case.extend(_everything(lay))
    scene.extend(_viewpoints(lay))
    scene.append(case)
    return xml_bytes(root, {})


def _everything(lay: Lay) -> Iterator[ET.Element]:
    paints = Paints()
    cabinet = lay.cabinet
    skins = solid_skins(cabinet.solids)
    for number, (solid, skinned) in enumerate(zip(cabinet.solids, skins, strict=True), 1):
        group = identified(_solid(solid), "solid", number)
        group.extend(_faces(solid, skinned, paints))
        yield group
    for number, space in enumerate(cabinet.keep_clear, 1):
        about = {"why": space.why or "", "part": space.part, "status": space.status or ""}
        group = identified(known("keep clear", space.name, about), "clear", number)
        skin = skin_of(space.pieces)
        group.append(faces(skin.points, skin.triangles, paints.surface(space_look(space))))
        yield group
    for number, passage in enumerate(cabinet.passages.values(), 1):
        yield _passage(passage, number, paints)
    for number, nipple in enumerate(cabinet.nipples.values(), 1):
        yield _nipple(nipple, number, paints)
    lengths = lay.measured.lengths_mm.tolist()
    for number, (tube, length_mm) in enumerate(zip(lay.tubes, lengths, strict=True), 1):
        yield _tube(tube, length_mm if tube.curve is not None else None, (cabinet, number, paints))


def _solid(solid: Solid) -> ET.Element:
    about = {
        "part": solid.part,
        "kind": solid.kind,
        "status": solid.status or "",
        "looks_like": solid.look,
        "moves": _moves(solid),
    }
    return known("part", solid.name, about)


def _faces(solid: Solid, skinned: tuple[Skin, Ints], paints: Paints) -> Iterator[ET.Element]:
    """Yield the faces of a solid, those of one colour together."""
    skin, second = skinned
    look = solid_look(solid)
    for paint, some in ((look.colour, second == 0), (look.second, second == 1)):
        if some.any():
            yield faces(skin.points, skin.triangles[some], paints.surface(look, paint))


def _moves(solid: Solid) -> str:
    match solid.movement:
        case Hinge(point=point, axis=axis, full_deg=deg):
            return f"turns by {deg:.6g} degrees about the line through {_told(point)} mm along {_told(axis)}"
        case Sliding(direction=direction, full_mm=full_mm):
            return f"slides by {full_mm:.6g} mm along {_told(direction)}"
        case Fixed():
            return ""


def _told(vector: Floats) -> str:
    return "(" + ", ".join(f"{round(value, 6) + 0.0:.10g}" for value in vector.tolist()) + ")"


def _passage(passage: Passage, number: int, paints: Paints) -> ET.Element:
    about: dict[str, Known] = {
        "status": passage.status or "",
        "thick_mm": [passage.thick_mm],
        "direction": passage.axes[2],
    }
    group = identified(known("passage", passage.name, about), "passage", number)
    lines = passage_lines(passage)
    ends = np.arange(2 * len(lines)).reshape(-1, 2)
    group.append(line_set(lines.reshape(-1, 3), ends, paints.line(PASSAGE.line)))
    return group


def _nipple(nipple: Nipple, number: int, paints: Paints) -> ET.Element:
    about: dict[str, Known] = {
        "part": nipple.part,
        "status": nipple.status or "",
        "tip_mm": nipple.tip,
        "direction": nipple.direction,
        "outside_mm": [nipple.outside_mm],
    }
    group = identified(known("nipple", nipple.name, about), "nipple", number)
    group.append(cylinder(*nipple_ends(nipple), nipple.outside_mm / 2, paints.surface(nipple_look(nipple))))
    return group


def _tube(tube: Tube, length_mm: float | None, beside: tuple[Cabinet, int, Paints]) -> ET.Element:
    cabinet, number, paints = beside
    group = identified(known("tube", tube.name, _of_tube(tube, length_mm)), "tube", number)
    if tube.curve is not None:
        group.extend(_drawn(tube, tube.curve, cabinet, paints))
    if tube.measured is not None:
        group.append(points(tube.measured, paints.line(MEASURED.line)))
    return group


def _of_tube(tube: Tube, length_mm: float | None) -> dict[str, Known]:
    return {
        "tag": tube.tag,
        "from": tube.start.name,
        "to": tube.end.name,
        "through": list(tube.through),
        "carries": tube.carries,
        "tubing": tube.kind.name,
        "bore_mm": [tube.kind.bore_mm],
        "outside_mm": [tube.kind.outside_mm],
        "length_mm": [] if length_mm is None else [length_mm],
        "corners_mm": np.zeros(0) if tube.corners is None else tube.corners,
        "radii_mm": np.zeros(0) if tube.radii is None else tube.radii,
        "measured_mm": np.zeros(0) if tube.measured is None else tube.measured,
        "status": tube.status or "",
        "route": "planned" if tube.planned else "drawn or taped" if tube.curve is not None else "not known",
    }


def _drawn(tube: Tube, curve: Curve, cabinet: Cabinet, paints: Paints) -> Iterator[ET.Element]:
    line = chords(curve, LINE_MM)[0]
    yield line_set(line, np.arange(len(line))[None], paints.line(TUBES[tube.carries].outline))
    centres, along = chords(curve, SKIN_MM)
    look = TUBES[tube.carries]
    tangents = tangents_along(curve, along)
    yield tube_skin(centres, tangents, tube.kind.outside_mm / 2, paints.surface(look))
    for end in (tube.start, tube.end):
        if end.nipple is not None:
            nipple = cabinet.nipples[end.nipple]
            outside = stretched_outside_mm(tube.kind.outside_mm, tube.kind.bore_mm, nipple.outside_mm)
            back = nipple.tip - nipple.on_nipple_mm * nipple.direction
            yield cylinder(back, nipple.tip, outside / 2, paints.surface(look))
    half, off = TIE_MM
    for tie in tube.ties:
        ends = np.clip([tie.along_mm - half, tie.along_mm + half], 0.0, float(curve.begins[-1]))
        begin, finish = points_along(curve, ends)
        yield cylinder(begin, finish, tube.kind.outside_mm / 2 + off, paints.surface(TIE))


def _viewpoints(lay: Lay) -> Iterator[ET.Element]:
    """Return from where to look: the sides of the pictures, all in perspective."""
    box = np.stack(np.meshgrid(*np.stack(extents(lay.cabinet)).T), axis=-1).reshape(-1, 3)
    held = np.concatenate([box, *(tube.corners for tube in lay.tubes if tube.corners is not None)])
    for side in SIDES:
        view = framed(
            Side(name=side.name, title=side.title, out=side.out, up=side.up, parallel=False), held, ASPECT
        )
        turn = Rotation.from_matrix(UPRIGHT @ axes_of(view).T).as_rotvec()
        angle = float(np.linalg.norm(turn))
        axis = turn / angle if angle > 0.0 else np.array([0.0, 0.0, 1.0])
        yield ET.Element(
            "Viewpoint",
            {
                "description": side.title,
                "position": _placed(METRES * UPRIGHT @ view.eye),
                "centerOfRotation": _placed(METRES * UPRIGHT @ view.target),
                "orientation": f"{_placed(axis)} {round(angle, 6):.10g}",
                "fieldOfView": f"{math.radians(ANGLE_DEG):.6f}",
            },
        )


def _placed(vector: Floats) -> str:
    return " ".join(f"{round(value, 6) + 0.0:.10g}" for value in vector.tolist())
