"""Drawings and plates, made as values and as SVG elsewhere, as marks on paper: true to size, as vectors.

Of SVG only what plate_text.py writes is known: groups that are moved, paths of straight strokes, circles,
turned ellipses, words. Anything else is refused, so that nothing is left out in silence.
"""

import math
import re
from collections.abc import Iterator, Mapping
from xml.etree import ElementTree

import numpy as np

from routeviz.geometry.arrays import Floats
from routeviz.records.paper import Mark, Oval, Path, Point, Writing
from routeviz.records.typefaces import CAPITALS, MM_PER_PT, printable
from routeviz.views.drawing import LINES, Arc, Drawing, Fill, Kind, Stroke, Words

STEP_DEG = 2.0  # of an arc: from chord to chord
MOVE = re.compile(r"translate\((\S+) (\S+)\)")
TURN = re.compile(r"rotate\((\S+) \S+ \S+\)")
IGNORED = ("title", "desc")  # what is read out, not drawn


def marks_of_drawing(drawing: Drawing) -> Iterator[Mark]:
    """Return what a drawing shows, on its own sheet."""
    for mark in drawing.marks:
        match mark:
            case Stroke():
                yield _path(drawing, mark.points, mark.kind, closed=mark.closed)
            case Arc():
                yield from _arc(drawing, mark)
            case Fill():
                yield Path(points=_points(drawing, mark.points), closed=True, fill=_grey(mark.ink))
            case Words():
                yield _words(drawing, mark)


def marks_of_svg(svg: str) -> tuple[tuple[float, float], tuple[Mark, ...]]:
    """Return the size of a plate in millimetres and what it shows.

    Parameters
    ----------
    svg : str
        From views/plates.py.

    Returns
    -------
    size, marks : tuple of float, tuple of Mark
        From its upper left corner.

    Raises
    ------
    ValueError
        Something stands in it that is not known here.
    """
    root = ElementTree.fromstring(svg)  # our own text, which names no entities
    wide, high = (float(root.attrib[key].removesuffix("mm")) for key in ("width", "height"))
    return (wide, high), tuple(mark for child in root for mark in _element(child, (0.0, 0.0)))


def _element(element: ElementTree.Element, at: Point) -> Iterator[Mark]:
    tag = element.tag.rpartition("}")[2]
    if tag == "g":
        at = _moved(element.attrib.get("transform"), at)
        for child in element:
            yield from _element(child, at)
    elif tag == "text":
        yield _text(element, at)
    elif tag in ("circle", "ellipse"):
        yield _oval(element.attrib, at)
    elif tag == "path":
        yield from _strokes(element.attrib, at)
    elif tag not in IGNORED:
        raise ValueError(f"<{tag}> cannot be put on paper")


def _moved(transform: str | None, at: Point) -> Point:
    if transform is None:
        return at
    found = MOVE.fullmatch(transform)
    if found is None:
        raise ValueError(f"transform {transform} cannot be put on paper")
    return at[0] + float(found[1]), at[1] + float(found[2])


def _text(element: ElementTree.Element, at: Point) -> Writing:
    said = element.attrib
    if "transform" in said:
        raise ValueError(f"transform {said['transform']} of words cannot be put on paper")
    anchors = {"start": "start", "middle": "middle", "end": "end"}
    return Writing(
        text=printable(element.text or ""),
        at=(at[0] + float(said["x"]), at[1] + float(said["y"])),
        pt=float(said["font-size"]) / MM_PER_PT,
        anchor=anchors[said.get("text-anchor", "start")],  # type: ignore[arg-type]
    )


def _oval(said: Mapping[str, str], at: Point) -> Oval:
    radii = (said["r"], said["r"]) if "r" in said else (said["rx"], said["ry"])
    turn = TURN.fullmatch(said.get("transform", "rotate(0 0 0)"))
    if turn is None:
        raise ValueError(f"transform {said['transform']} of an ellipse cannot be put on paper")
    return Oval(
        centre=(at[0] + float(said["cx"]), at[1] + float(said["cy"])),
        radii=(float(radii[0]), float(radii[1])),
        wide=float(said.get("stroke-width", "0")),
        turn_deg=float(turn[1]),
        filled=said.get("fill") != "none",
    )


def _strokes(said: Mapping[str, str], at: Point) -> Iterator[Path]:
    d = said["d"]
    if not re.fullmatch(r"[MLZ0-9. -]*", d):
        raise ValueError(f"a path with other than straight strokes cannot be put on paper: {d[:40]}")
    dashes = tuple(float(one) for one in said.get("stroke-dasharray", "").split())
    for stroke in d.split("M")[1:]:
        pairs = [pair.split() for pair in stroke.rstrip("Z ").split("L")]
        points = tuple((at[0] + float(x), at[1] + float(y)) for x, y in pairs)
        yield Path(
            points=points, wide=float(said["stroke-width"]), closed=stroke.endswith("Z"), dashes=dashes
        )


def _points(drawing: Drawing, points: Floats) -> tuple[Point, ...]:
    """Return places on the sheet, as ``drawing.on_sheet`` does for whole arrays; a stroke has few."""
    (left, low), share, high = drawing.corner, drawing.scale.share, drawing.sheet_mm[1]
    return tuple(((x - left) * share, high - (y - low) * share) for x, y in points.tolist())


def _grey(ink: str) -> float:
    return int(ink[1:3], 16) / 255


def _path(drawing: Drawing, points: Floats, kind: Kind, *, closed: bool = False) -> Path:
    line = LINES[kind]
    return Path(
        points=_points(drawing, points),
        wide=line.width_mm,
        closed=closed,
        grey=_grey(line.ink),
        dashes=tuple(line.width_mm * dash for dash in line.dashes),
    )


def _arc(drawing: Drawing, arc: Arc) -> Iterator[Mark]:
    line = LINES[arc.kind]
    if arc.whole:
        radius = arc.radius * drawing.scale.share
        (centre,) = _points(drawing, np.array([arc.centre]))
        dashes = tuple(line.width_mm * dash for dash in line.dashes)
        yield Oval(
            centre=centre, radii=(radius, radius), wide=line.width_mm, grey=_grey(line.ink), dashes=dashes
        )
        return
    count = max(math.ceil((arc.to_deg - arc.from_deg) / STEP_DEG), 1)
    turns = np.radians(np.linspace(arc.from_deg, arc.to_deg, count + 1))
    points = np.array(arc.centre) + arc.radius * np.column_stack([np.cos(turns), np.sin(turns)])
    yield _path(drawing, points, arc.kind)


def _words(drawing: Drawing, words: Words) -> Writing:
    """Return words that stand half a capital below where a drawing has the middle of theirs."""
    (x, y), turn, low = (
        _points(drawing, np.array([words.at]))[0],
        math.radians(words.turn_deg),
        words.height_mm / 2,
    )
    return Writing(
        text=printable(words.text),
        at=(x + low * math.sin(turn), y + low * math.cos(turn)),
        pt=words.height_mm / CAPITALS / MM_PER_PT,
        bold=words.bold,
        anchor=words.anchor,
        turn_deg=words.turn_deg,
    )
