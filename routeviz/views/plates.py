"""A passage at true size, with the tubes cut through where they go through it and numbered, as SVG text.

A user unit is a millimetre. All ink is ``currentColor`` and everything has a class, so that a page can
restyle it; without any style it is black. From which side it is seen is in plate_faces.py, where the numbers
stand in plate_tags.py.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import shapely
from shapely import Polygon

from routeviz.cabinet.passages import Passage
from routeviz.checks.words import mm
from routeviz.geometry.arrays import Floats
from routeviz.lay import Lay
from routeviz.tubes.nearing import laid
from routeviz.views.listing import counted_tubes
from routeviz.views.plate_faces import Face, Facing, Section, facing, outline_on, sections_in
from routeviz.views.plate_tags import column_height, column_width, in_margin, size_inside, tag_inside
from routeviz.views.plate_text import broken, clean, element, escaped, number, shortened, wide_em, written

EDGE_MM = 6.0  # of paper about everything
LEAST_WIDE_MM = 128.0  # so that the check line and a line of text have room
TITLE_MM, TEXT_MM, WORD_MM = 5.2, 3.3, 3.0  # sizes of letters
LEAD = 1.4  # of a size, from line to line
LONGEST_EM = 60.0  # of a name that is read out
GAP_MM = 5.0  # from the opening to the words about it
ARROW_MM = 4.0
CHECK_MM = 100.0
HATCH_MM, STROKE_MM = 3.0, 1.8  # of the wood about an opening: from stroke to stroke, and how long each is


@dataclass(frozen=True, slots=True, kw_only=True)
class _Drawn:
    """A passage as seen from a face: what is drawn at true size, from the middle of the opening."""

    passage: Passage
    view: Facing
    outline: Polygon
    sections: tuple[Section, ...]
    tags: dict[int, str]
    outside: tuple[Section, ...]
    half_wide: float
    half_high: float
    half_tall: float


def plate(lay: Lay, name: str, face: Face = "front") -> str:
    """Return a passage's plate as one ``<svg>`` element; the same text for the same lay.

    What is inside ``<g class="plate-opening">`` is counted from the middle of the opening's bounding
    rectangle, to the right and downwards as it is seen. A tube's section, half way through the thickness, is
    a ``<circle class="plate-section">`` or, where it goes through at a slant, an ``<ellipse>``, in a
    ``<g class="plate-tube" data-tube="INDEX">`` with its tag.

    Parameters
    ----------
    lay : Lay
        As checked; tubes without a centreline are told, not drawn.
    name : str
        The passage's, a key of ``lay.cabinet.passages``.
    face : str
        ``front``: a level opening from above, an upright one from the player's side, one that leads sideways
        from the player's right; ``back``: from the other side.

    Returns
    -------
    svg : str
        In millimetres, at true size; without ids, scripts, styles and addresses, so that many fit on a page.
    """
    drawn = _drawn(lay, name, face)
    words = max(map(wide_em, drawn.view.towards[:2])) * WORD_MM
    beside = 2 * GAP_MM + column_width(drawn.outside, drawn.tags) + words
    wide = max(LEAST_WIDE_MM, 2 * (drawn.half_wide + beside + EDGE_MM))
    head, below = _lines(_heading(lay, drawn), EDGE_MM, wide)
    middle = below + 2 * GAP_MM + WORD_MM + drawn.half_tall
    opening = _grouped("opening", _opening(lay, drawn), (wide / 2, middle))
    below = middle + drawn.half_tall + 2 * GAP_MM + 2 * WORD_MM
    foot, below = _lines([(text, TEXT_MM, "text") for text in _told(lay, drawn)], below, wide)
    check, below = _check_line(below + 4.0)
    high = number(below + EDGE_MM)
    return element(
        "svg",
        xmlns="http://www.w3.org/2000/svg",
        **{"class": "plate"},
        role="img",
        width=f"{number(wide)}mm",
        height=f"{high}mm",
        viewBox=f"0 0 {number(wide)} {high}",
        font_family="sans-serif",
        fill="currentColor",
        within=element("title", within=escaped(shortened(name, LONGEST_EM))) + head + opening + foot + check,
    )


def _drawn(lay: Lay, name: str, face: Face) -> _Drawn:
    passage = lay.cabinet.passages[name]
    view = facing(passage, face)
    outline = outline_on(passage, view)
    sections = sections_in(passage, view, laid(lay.tubes))
    tags = {section.tube: clean(lay.tubes[section.tube].tag) for section in sections}
    outside = tuple(s for s in sections if size_inside(tags[s.tube], s.radius_mm) is None)
    low_x, low_y, high_x, high_y = outline.bounds
    return _Drawn(
        passage=passage,
        view=view,
        outline=outline,
        sections=sections,
        tags=tags,
        outside=outside,
        half_wide=(high_x - low_x) / 2,
        half_high=(high_y - low_y) / 2,
        half_tall=max(high_y - low_y, column_height(outside)) / 2,
    )


def _heading(lay: Lay, drawn: _Drawn) -> list[tuple[str, float, str]]:
    """Return title and what is seen, as text, size and class."""
    across, down = drawn.view.spans
    wide, high = 2 * drawn.half_wide, 2 * drawn.half_high
    sizes = f"{mm(wide)} {across}, {mm(high)} {down}, {mm(drawn.passage.thick_mm)} thick."
    return [
        (drawn.passage.name, TITLE_MM, "title"),
        (f"Seen {drawn.view.seen}.", TEXT_MM, "text"),
        (f"At true size: {sizes}", TEXT_MM, "text"),
    ]


def _told(lay: Lay, drawn: _Drawn) -> list[str]:
    """Return what goes through, what the passage holds, and how the drawing is to be read."""
    name, passage = drawn.passage.name, drawn.passage
    told = []
    use = next((use for use in lay.measured.passages if use.passage == name), None)
    through = len(use.tubes) if use is not None else 0
    waiting = sum(tube.curve is None and name in tube.through for tube in lay.tubes)
    rest = f"; {counted_tubes(waiting)} more not laid yet" if waiting else ""
    told.append(f"{counted_tubes(through)} {'goes' if through == 1 else 'go'} through{rest}.".capitalize())
    if use is not None:
        holds = (
            f"exactly {use.found}"
            if use.found == use.bound
            else f"at least {use.found}, never more than {use.bound}"
        )
        told.append(f"It holds {holds} of {mm(use.outside_mm)} outside.")
    if passage.most is not None:
        told.append(f"At most {passage.most} are wanted in it.")
    fixed = lay.cabinet.limits.fixed_mm
    if fixed > 0:
        told.append(f"Dashed: {mm(fixed)} from the rim, where a tube's wall may come and no farther.")
    if drawn.sections:
        told.append("Tubes are drawn at their true outside diameter, half way through the thickness.")
    return told


def _lines(texts: Sequence[tuple[str, float, str]], begin: float, wide: float) -> tuple[str, float]:
    """Return texts in lines from the left edge on, and where the last one ends; a title takes one line."""
    svg, below = "", begin
    for text, size, kind in texts:
        room = (wide - 2 * EDGE_MM) / size
        for line in [shortened(text, room)] if kind == "title" else broken(text, room):
            svg += written((EDGE_MM, below + size), line, size, kind)
            below += LEAD * size
    return svg, below


def _opening(lay: Lay, drawn: _Drawn) -> str:
    """Return all that is counted from the middle of the opening."""
    outline, svg = drawn.outline, ""
    if drawn.passage.solid is not None:
        svg += _path("wood", _hatching(outline), 0.15)
    svg += _path("rim", _loop(outline), 0.4)
    fixed = lay.cabinet.limits.fixed_mm
    for part in shapely.get_parts(outline.buffer(-fixed, quad_segs=8)) if fixed > 0 else ():
        svg += _path("clear", _loop(part), 0.15, stroke_dasharray="1.2 0.8")
    led = in_margin(drawn.outside, drawn.tags, drawn.half_wide)
    for section in drawn.sections:
        size = size_inside(drawn.tags[section.tube], section.radius_mm)
        tag = led[drawn.outside.index(section)] if size is None else ""
        if size is not None:
            tag = tag_inside(section, drawn.tags[section.tube], size)
        svg += element(
            "g", **{"class": "plate-tube", "data-tube": str(section.tube)}, within=_cut(section) + tag
        )
    return svg + _arrows(drawn)


def _cut(section: Section) -> str:
    """Return a tube's section: a circle, or an ellipse where it goes through at a slant."""
    x, y = map(number, section.at)
    ink = {"class": "plate-section", "fill": "none", "stroke": "currentColor", "stroke_width": "0.25"}
    if section.long_mm < section.radius_mm + 0.001:
        return element("circle", cx=x, cy=y, r=number(section.radius_mm), **ink)
    turn = f"rotate({number(section.turned_deg)} {x} {y})"
    radii = {"rx": number(section.long_mm), "ry": number(section.radius_mm)}
    return element("ellipse", cx=x, cy=y, **radii, transform=turn, **ink)


def _arrows(drawn: _Drawn) -> str:
    """Return what lies which way: an arrow and words at each side of the opening."""
    left, right, down, up = drawn.view.towards
    aside = drawn.half_wide + column_width(drawn.outside, drawn.tags) + GAP_MM
    high, low = -drawn.half_tall - GAP_MM, drawn.half_tall + GAP_MM
    words = (
        (left, (-aside, -1.5), (-1, 0), (-aside, 1.0 + WORD_MM * 0.72), "end"),
        (right, (aside, -1.5), (1, 0), (aside, 1.0 + WORD_MM * 0.72), "start"),
        (up, (0.0, high), (0, -1), (2.0, high - 0.3), "start"),
        (down, (0.0, low), (0, 1), (2.0, low + WORD_MM * 0.72 + 0.3), "start"),
    )
    return "".join(
        _path("arrow", _arrow(tail, way), 0.25) + written(at, text, WORD_MM, "way", text_anchor=anchor)
        for text, tail, way, at, anchor in words
    )


def _arrow(tail: tuple[float, float], way: tuple[int, int]) -> str:
    (x, y), (dx, dy) = tail, way
    tip = x + dx * ARROW_MM, y + dy * ARROW_MM
    barbs = [(tip[0] - 1.3 * dx - s * 0.8 * dy, tip[1] - 1.3 * dy - s * 0.8 * dx) for s in (1, -1)]
    return _strokes([[tail, tip], [barbs[0], tip, barbs[1]]])


def _hatching(outline: Polygon) -> str:
    """Return short slanting strokes that stand on the rim in the wood, where the tubes are not."""
    strokes, gone = [], HATCH_MM / 2
    turn = 1.0 if outline.exterior.is_ccw else -1.0
    for (ax, ay), (bx, by) in pairwise(shapely.get_coordinates(outline.exterior).tolist()):
        far = math.hypot(bx - ax, by - ay)
        ux, uy = (bx - ax) / far, (by - ay) / far
        out = (ux + turn * uy) * STROKE_MM * 0.7, (uy - turn * ux) * STROKE_MM * 0.7
        while gone < far:
            x, y = ax + gone * ux, ay + gone * uy
            strokes.append([(x, y), (x + out[0], y + out[1])])
            gone += HATCH_MM
        gone -= far
    return _strokes(strokes)


def _check_line(at: float) -> tuple[str, float]:
    """Return a line to be measured on the print, and where its words end."""
    ends = EDGE_MM + 1.0, EDGE_MM + 1.0 + CHECK_MM
    ticks = [[(x, at - 1.5), (x, at + 1.5)] for x in ends]
    line = _path("check", _strokes([[(ends[0], at), (ends[1], at)], *ticks]), 0.25)
    says = f"This line is {CHECK_MM:.0f} mm long. Measure it where the plate is printed."
    below = at + 2.0 + TEXT_MM
    return line + written((EDGE_MM, below), says, TEXT_MM, "text"), below


def _grouped(kind: str, within: str, at: tuple[float, float]) -> str:
    move = f"translate({number(at[0])} {number(at[1])})"
    return element("g", **{"class": f"plate-{kind}"}, transform=move, within=within)


def _path(kind: str, d: str, wide: float, **more: str) -> str:
    ink = {"fill": "none", "stroke": "currentColor", "stroke_width": number(wide)}
    return element("path", **{"class": f"plate-{kind}"}, d=d, **ink, **more)


def _loop(part: Polygon) -> str:
    return _strokes([shapely.get_coordinates(part.exterior)[:-1]]) + "Z"


def _strokes(lines: Sequence[Sequence[tuple[float, float]] | Floats]) -> str:
    return "".join("M" + "L".join(f"{number(x)} {number(y)}" for x, y in line) for line in lines)
