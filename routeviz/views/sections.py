"""What lies in the plane of a passage: wood cut and hatched, tubes cut and numbered. Nothing beyond is drawn.

A section in the sense of ISO 128-3: outlines in the cutting plane alone. Adjoining parts are hatched in
different directions or spacings, the same part everywhere alike (ISO 128-3, from memory).
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
import shapely
from shapely import LineString, MultiPolygon, Polygon

from routeviz.cabinet.passages import Passage
from routeviz.cabinet.solids import Cabinet
from routeviz.geometry.arrays import Floats
from routeviz.geometry.crossings import plane_crossings
from routeviz.geometry.curves import points_along, tangents_along
from routeviz.geometry.frames import unit
from routeviz.geometry.pieces import joined
from routeviz.geometry.shapes import Pieces, rims
from routeviz.geometry.skins import SIDES
from routeviz.tubes.routes import Tube
from routeviz.views.dimensions import HIGH
from routeviz.views.drawing import Arc, Kind, Mark, Stroke, Words
from routeviz.views.letters import spread, width_mm

SLANTED = 0.995  # cosine of a tube's slant below which its section is drawn as an ellipse
OVAL = 48  # corners of that
SPACINGS = (2.0, 2.8, 1.5)  # between hatching lines, mm on the sheet
SLIT = 1e-3  # mm, by which rounding never parts two pieces, and no paper shows it
ROW = 2.6  # between numbers in a column beside a section, mm on the sheet
OFF = 6.0  # from the section to that column


@dataclass(frozen=True, slots=True, kw_only=True)
class Plane:
    """A plane that is looked at square to it.

    Parameters
    ----------
    point : array, shape (3,)
        Its zero.
    axes : array, shape (3, 3)
        Rows: to the right, up, and towards the eye.
    """

    point: Floats
    axes: Floats


@dataclass(frozen=True, slots=True, kw_only=True)
class Cut:
    """A tube's section: its tag, where, how large, and by how much it is drawn out in which direction."""

    tag: str
    centre: tuple[float, float]
    radius: float
    slant: float
    heading: tuple[float, float]


def plane_of(passage: Passage, sides: Sequence[Floats]) -> Plane:
    """Return the plane half way through a passage, seen from the side that its way through is nearest to.

    Parameters
    ----------
    passage : Passage
        Any.
    sides : sequence of array, shape (3, 3)
        Axes of the views that there are.

    Returns
    -------
    plane : Plane
        Its zero is the passage's.
    """
    side = max(sides, key=lambda axes: abs(float(axes[2] @ passage.axes[2])))
    out = passage.axes[2] * (1.0 if side[2] @ passage.axes[2] > 0.0 else -1.0)
    right = unit(np.cross(side[1], out))
    return Plane(point=passage.origin, axes=np.stack([right, np.cross(out, right), out]))


def cuts(tubes: Sequence[Tube], plane: Plane) -> list[Cut]:
    """Return where tubes go through a plane, in the plane's own frame.

    Parameters
    ----------
    tubes : sequence of Tube
        Those without a centreline have no section.
    plane : Plane
        As it is looked at.

    Returns
    -------
    cuts : list of Cut
        Tube by tube, then along each.
    """
    drawn = [(tube, tube.curve) for tube in tubes if tube.curve is not None]
    crossings = plane_crossings(joined([curve for _, curve in drawn]), plane.point, plane.axes[2])
    found = []
    for number, along in zip(crossings.curves.tolist(), crossings.along.tolist(), strict=True):
        tube, curve = drawn[number]
        x, y, _ = (plane.axes @ (points_along(curve, [along])[0] - plane.point)).tolist()
        heading = plane.axes @ tangents_along(curve, [along])[0]
        flat = float(np.hypot(heading[0], heading[1]))
        aside = heading[:2] / flat if flat > 1e-9 else np.array([1.0, 0.0])
        found.append(
            Cut(
                tag=tube.tag,
                centre=(x, y),
                radius=tube.kind.outside_mm / 2,
                slant=max(abs(float(heading[2])), 0.05),
                heading=(float(aside[0]), float(aside[1])),
            )
        )
    return found


def cut_faces(cabinet: Cabinet, plane: Plane, window: Polygon) -> list[tuple[int, Polygon | MultiPolygon]]:
    """Return what a plane cuts out of each solid, whole, where it shows in a window.

    Parameters
    ----------
    cabinet : Cabinet
        Its solids, at rest.
    plane : Plane
        As it is looked at.
    window : Polygon
        In the plane's frame.

    Returns
    -------
    faces : list of (number of the solid, polygons)
        In the order of the solids.
    """
    pieces = cabinet.bodies.pieces
    owners = np.repeat(np.arange(len(pieces.halves)), np.diff(pieces.begins))
    flat = pieces.radii.copy()
    np.maximum.at(flat, owners, np.hypot(pieces.corners[:, 0], pieces.corners[:, 1]))
    reach = np.hypot(flat, pieces.halves)
    places = (pieces.origins - plane.point) @ plane.axes.T
    away = shapely.distance(window, shapely.points(places[:, :2]))
    near = (np.abs(places[:, 2]) <= reach) & (away <= reach)
    found = []
    for number in np.unique(pieces.bodies[near]).tolist():
        face = _face(cabinet.solids[number].pieces, plane)
        if face.area > 0.0 and shapely.intersects(face, window):
            found.append((number, face))
    return found


def _face(pieces: Pieces, plane: Plane) -> Polygon | MultiPolygon:
    parts = [_ends(pieces, index, plane) for index in range(len(pieces.halves))]
    thick = [shapely.MultiPoint(ends).convex_hull for ends, thin in parts if not thin and len(ends) > 2]
    lines = [LineString(ends) for ends, thin in parts if thin and len(ends) == 2]
    rings = shapely.get_parts(shapely.polygonize(lines)) if lines else []
    polygons = [one for one in (*thick, *rings) if one.geom_type == "Polygon"]
    whole = shapely.union_all(polygons, grid_size=1e-6) if polygons else Polygon()
    # Where two pieces meet aslant, rounding leaves a slit: it is closed, and all else stays where it was.
    return whole.buffer(SLIT, join_style="mitre").buffer(-SLIT, join_style="mitre")


def _ends(pieces: Pieces, index: int, plane: Plane) -> tuple[Floats, bool]:
    """Return where a plane crosses a piece's edges, in its frame, and whether the piece is flat."""
    low, high = (ring - plane.point for ring in rims(pieces, index, SIDES))
    thin = bool(pieces.halves[index] == 0.0)
    pairs = [(low, np.roll(low, -1, axis=0))]
    if not thin:
        pairs += [(high, np.roll(high, -1, axis=0)), (low, high)]
    starts, ends = (np.concatenate(some) @ plane.axes.T for some in zip(*pairs, strict=True))
    crosses = (starts[:, 2] < 0.0) != (ends[:, 2] < 0.0)
    share = (starts[crosses, 2] / (starts[crosses, 2] - ends[crosses, 2]))[:, None]
    return (starts[crosses] + share * (ends[crosses] - starts[crosses]))[:, :2], thin


def face_marks(
    faces: Sequence[tuple[int, Polygon | MultiPolygon]], window: Polygon, thing: float, kinds: Sequence[Kind]
) -> list[Mark]:
    """Return cut faces as strokes: hatched, outlined, broken off thinly where the window ends.

    Parameters
    ----------
    faces : sequence of (number, polygons)
        As ``cut_faces`` gives them.
    window : Polygon
        What is drawn of them.
    thing : float
        Millimetres of the thing a millimetre of the sheet.
    kinds : sequence of str
        With which kind of line each face is outlined.

    Returns
    -------
    marks : list of Stroke
        Hatching first.
    """
    marks: list[Mark] = []
    for rank, (_, face) in enumerate(faces):
        shown = shapely.intersection(face, window)
        spacing = SPACINGS[rank // 2 % len(SPACINGS)] * thing
        marks += _strokes("hatch", shapely.intersection(_slanted(shown, spacing, rank % 2), shown))
    inner = window.buffer(-1e-6)
    for (_, face), kind in zip(faces, kinds, strict=True):
        breaks = _strokes("thin", shapely.intersection(window.exterior, face))
        marks += [replace(one, points=_zigzag(one.points, thing)) for one in breaks]
        marks += _strokes(kind, shapely.intersection(face.boundary, inner))
    return marks


def _zigzag(points: Floats, thing: float) -> Floats:
    """Return a line with a zigzag in the middle of each side that is long enough: here the part goes on."""
    found = [points[:1]]
    for first, last in pairwise(points):
        long = float(np.linalg.norm(last - first))
        ahead = (last - first) / long
        aside = np.array([-ahead[1], ahead[0]])
        if long > 6.0 * thing:
            steps = np.array([(-1.0, 0.0), (-0.5, 1.2), (0.5, -1.2), (1.0, 0.0)]) * thing
            found.append(0.5 * (first + last) + steps[:, :1] * ahead + steps[:, 1:] * aside)
        found.append(last[None])
    return np.concatenate(found)


def _slanted(shown: Polygon | MultiPolygon, spacing: float, falls: int) -> shapely.MultiLineString:
    low_x, low_y, high_x, high_y = shown.bounds
    slope = -1.0 if falls else 1.0
    # Lines y = slope x + offset, offsets in steps of the spacing along the other slant.
    offsets = sorted(y - slope * x for x in (low_x, high_x) for y in (low_y, high_y))
    step = spacing * np.sqrt(2.0)
    rows = np.arange(np.ceil(offsets[0] / step), np.floor(offsets[-1] / step) + 1) * step
    return shapely.MultiLineString([[(low_x, slope * low_x + c), (high_x, slope * high_x + c)] for c in rows])


def _strokes(kind: Kind, lines: shapely.Geometry) -> Iterator[Stroke]:
    parts = [
        part
        for part in shapely.get_parts(lines)
        if part.geom_type in {"LineString", "LinearRing"} and part.length > 0.0
    ]
    whole = shapely.line_merge(shapely.MultiLineString(parts)) if len(parts) > 1 else parts
    for part in shapely.get_parts(whole).tolist():
        points = shapely.get_coordinates(part)
        ring = len(points) > 3 and bool((points[0] == points[-1]).all())
        yield Stroke(kind=kind, points=points[:-1] if ring else points, closed=ring)


def cut_marks(some: Sequence[Cut], thing: float) -> list[Mark]:
    """Return tubes' sections, numbered within where there is room.

    Parameters
    ----------
    some : sequence of Cut
        What is drawn.
    thing : float
        Millimetres of the thing a millimetre of the sheet.

    Returns
    -------
    marks : list of Arc, Stroke and Words
        A circle where a tube goes through square, else an ellipse.
    """
    marks: list[Mark] = []
    for cut in some:
        if cut.slant >= SLANTED:
            marks.append(Arc(kind="outline", centre=cut.centre, radius=cut.radius))
        else:
            turns = np.arange(OVAL) * (2.0 * np.pi / OVAL)
            along, aside = np.array(cut.heading), np.array([-cut.heading[1], cut.heading[0]])
            rim = np.cos(turns)[:, None] * along / cut.slant + np.sin(turns)[:, None] * aside
            marks.append(Stroke(kind="outline", points=cut.centre + cut.radius * rim, closed=True))
        if fits_within(cut, thing):
            marks.append(Words(text=cut.tag, at=cut.centre, height_mm=HIGH, anchor="middle"))
    return marks


def fits_within(cut: Cut, thing: float) -> bool:
    """Return whether a tube's number can be read within its section."""
    half_high, half_wide = 0.5 * HIGH + 0.1, 0.5 * width_mm(cut.tag, HIGH) + 0.1
    return float(np.hypot(half_high, half_wide)) * thing <= cut.radius


def leaders(some: Sequence[Cut], window: Polygon, thing: float) -> list[Mark]:
    """Return the numbers that have no room within, in columns at both sides, each with a line to its tube.

    Parameters
    ----------
    some : sequence of Cut
        All sections that are drawn.
    window : Polygon
        What is drawn.
    thing : float
        Millimetres of the thing a millimetre of the sheet.

    Returns
    -------
    marks : list of Stroke and Words
        Each half of the tubes to its own side, in order from below.
    """
    left_x, _, right_x, _ = window.bounds
    told = sorted((cut for cut in some if not fits_within(cut, thing)), key=lambda cut: cut.centre)
    half = len(told) // 2
    marks: list[Mark] = []
    for group, edge, sign in ((told[:half], left_x, -1.0), (told[half:], right_x, 1.0)):
        rows = sorted(group, key=lambda cut: cut.centre[1])
        places = spread([cut.centre[1] for cut in rows], [ROW * thing] * len(rows))
        column = edge + sign * OFF * thing
        for cut, place in zip(rows, places, strict=True):
            spot = np.array([column, place])
            ahead = spot - cut.centre
            begin = cut.centre + cut.radius * ahead / np.linalg.norm(ahead)
            marks.append(Stroke(kind="thin", points=np.stack([begin, spot])))
            words = (column + sign * 0.6 * thing, place)
            marks.append(Words(text=cut.tag, at=words, height_mm=HIGH, anchor="end" if sign < 0 else "start"))
    return marks


def leader_room(some: Sequence[Cut], thing: float) -> float:
    """Return how wide a column of numbers is on the sheet, with its lines; 0 where none is needed."""
    told = [width_mm(cut.tag, HIGH) for cut in some if not fits_within(cut, thing)]
    return OFF + 0.6 + max(told) if told else 0.0
