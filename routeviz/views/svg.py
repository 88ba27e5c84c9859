"""A line drawing as SVG: a millimetre of it is a millimetre on the sheet. Same drawing, same bytes."""

import math
from collections.abc import Iterable
from itertools import groupby
from xml.sax.saxutils import escape

import numpy as np

from routeviz.geometry.arrays import Floats
from routeviz.views.drawing import LINES, Arc, Drawing, Fill, Kind, Mark, Stroke, Words, on_sheet
from routeviz.views.letters import CAPITALS
from routeviz.views.lines import plain

FONT = "DejaVu Sans, Verdana, sans-serif"
ANCHORS = {"start": "start", "middle": "middle", "end": "end"}


def svg_of(drawing: Drawing) -> str:
    """Return a drawing as the text of an SVG file.

    Parameters
    ----------
    drawing : Drawing
        Any; whatever its words hold is shown as words.

    Returns
    -------
    svg : str
        With width and height in mm, and in mm within.
    """
    wide, high = (_number(v) for v in drawing.sheet_mm)
    lines = [
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{wide}mm" height="{high}mm" '
        f'viewBox="0 0 {wide} {high}">',
        f"<title>{escape(plain(drawing.title))}</title>",
        f'<rect width="{wide}" height="{high}" fill="#ffffff"/>',
    ]
    for kind, some in groupby(drawing.marks, key=_style):
        lines += _group(drawing, kind, list(some))
    return "\n".join([*lines, "</svg>", ""])


def _style(mark: Mark) -> Kind | str:
    match mark:
        case Stroke(kind=kind) | Arc(kind=kind):
            return kind
        case Fill():
            return "fill"
        case Words():
            return "words"


def _group(drawing: Drawing, kind: Kind | str, marks: list[Mark]) -> Iterable[str]:
    if kind == "fill":
        yield from (_fill(drawing, mark) for mark in marks if isinstance(mark, Fill))
    elif kind == "words":
        yield f'<g class="words" font-family="{FONT}" fill="#000000">'
        yield from (_words(drawing, mark) for mark in marks if isinstance(mark, Words))
        yield "</g>"
    else:
        line = next(line for name, line in LINES.items() if name == kind)
        dashes = " ".join(_number(line.width_mm * dash) for dash in line.dashes)
        dashed = f' stroke-dasharray="{dashes}"' if dashes else ""
        yield (
            f'<g class="{kind}" fill="none" stroke="{line.ink}" stroke-width="{_number(line.width_mm)}" '
            f'stroke-linejoin="round" stroke-linecap="{"butt" if dashes else "round"}"{dashed}>'
        )
        rings = [mark for mark in marks if isinstance(mark, Arc) and mark.whole]
        steps = "".join(_steps(drawing, mark) for mark in marks)
        if steps:
            yield f'<path d="{steps}"/>'
        yield from (_circle(drawing, ring) for ring in rings)
        yield "</g>"


def _number(value: float) -> str:
    text = f"{value:.3f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def _pairs(points: Floats) -> list[str]:
    return [f"{_number(x)} {_number(y)}" for x, y in points.tolist()]


def _steps(drawing: Drawing, mark: Mark) -> str:
    if isinstance(mark, Stroke):
        first, *rest = _pairs(on_sheet(drawing, mark.points))
        return f"M{first}L{' '.join(rest)}{'Z' if mark.closed else ''}"
    if isinstance(mark, Arc) and not mark.whole:
        turns = np.radians([mark.from_deg, mark.to_deg])
        ends = np.array(mark.centre) + mark.radius * np.column_stack([np.cos(turns), np.sin(turns)])
        first, last = _pairs(on_sheet(drawing, ends))
        radius = _number(mark.radius * drawing.scale.share)
        large = int(mark.to_deg - mark.from_deg > 180.0)
        return f"M{first}A{radius} {radius} 0 {large} 0 {last}"
    return ""


def _circle(drawing: Drawing, mark: Arc) -> str:
    x, y = on_sheet(drawing, np.array(mark.centre))[0].tolist()
    return f'<circle cx="{_number(x)}" cy="{_number(y)}" r="{_number(mark.radius * drawing.scale.share)}"/>'


def _fill(drawing: Drawing, mark: Fill) -> str:
    return f'<path class="fill" fill="{mark.ink}" d="M{"L".join(_pairs(on_sheet(drawing, mark.points)))}Z"/>'


def _words(drawing: Drawing, mark: Words) -> str:
    x, y = on_sheet(drawing, np.array(mark.at))[0].tolist()
    turn = math.radians(mark.turn_deg)
    # Half a capital below the place, square to the writing, is the line that letters stand on.
    low = 0.5 * mark.height_mm
    x, y = x + low * math.sin(turn), y + low * math.cos(turn)
    turned = (
        f' transform="rotate({_number(-mark.turn_deg)} {_number(x)} {_number(y)})"' if mark.turn_deg else ""
    )
    bold = ' font-weight="bold"' if mark.bold else ""
    size = _number(mark.height_mm / CAPITALS)
    return (
        f'<text x="{_number(x)}" y="{_number(y)}" font-size="{size}" '
        f'text-anchor="{ANCHORS[mark.anchor]}"{bold}{turned}>{escape(plain(mark.text))}</text>'
    )
