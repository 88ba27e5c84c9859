"""How badges, words, plates, samples and bars are inked on a page; where they stand is decided elsewhere."""

from dataclasses import dataclass
from functools import cache
from importlib.util import find_spec
from pathlib import Path

import numpy as np
from PIL import Image, ImageDraw, ImageFont

from routeviz.checks.findings import Severity
from routeviz.geometry.dashes import dashed
from routeviz.views.shades import BADGES, INK, PAPER, Form, Look, paler

Place = tuple[float, float]
FACES = {False: "DejaVuSans.ttf", True: "DejaVuSans-Bold.ttf"}
CORNERS = {"disc": 40, "triangle": 3, "square": 4}


@dataclass(frozen=True, slots=True)
class Letters:
    """How words are set: size in thousandths of the picture's height, weight, ink, what stands at the place.

    ``anchor`` is ``lm`` for their left end, ``mm`` for their middle, ``rm`` for their right end.
    """

    size: float
    bold: bool = False
    ink: str = INK
    anchor: str = "lm"


@dataclass(frozen=True, slots=True, kw_only=True)
class Pen:
    """What draws on a page, and how many of its pixels are a thousandth of the picture's height."""

    draw: ImageDraw.ImageDraw
    unit: float


def font_file(*, bold: bool, even: bool = False) -> str:
    """Return the file of a font with the letters of most European languages; it comes with matplotlib.

    Parameters
    ----------
    bold : bool
        Heavier letters.
    even : bool
        Letters of one width.

    Returns
    -------
    path : str
        A TrueType file.
    """
    found = find_spec("matplotlib")
    folder = Path(str(found.origin)).parent if found is not None else Path()
    return str(folder / "mpl-data" / "fonts" / "ttf" / ("DejaVuSansMono.ttf" if even else FACES[bold]))


@cache
def font(pixels: int, bold: bool) -> ImageFont.FreeTypeFont:
    """Return the font in a size."""
    return ImageFont.truetype(font_file(bold=bold), pixels)


def face(pen: Pen, size: float, bold: bool = False) -> ImageFont.FreeTypeFont:
    """Return the font of a size in thousandths of the picture's height."""
    return font(max(6, round(size * pen.unit)), bold)


def width(pen: Pen, text: str, size: float, *, bold: bool = False) -> float:
    """Return how wide words are, in page pixels."""
    return float(face(pen, size, bold).getlength(text))


def words(pen: Pen, at: Place, text: str, letters: Letters) -> None:
    """Write words on a line."""
    written = face(pen, letters.size, letters.bold)
    pen.draw.text(at, text, fill=letters.ink, font=written, anchor=letters.anchor)


def haloed(pen: Pen, at: Place, text: str, size: float, ink: str) -> None:
    """Write words about a place, with paper round each letter so that they can be read on anything."""
    halo = max(1, round(2.2 * pen.unit))
    written = face(pen, size, bold=True)
    pen.draw.text(at, text, fill=ink, font=written, anchor="mm", stroke_width=halo, stroke_fill=PAPER)


def plate(pen: Pen, at: Place, text: str, size: float, rim: str = INK) -> None:
    """Write words on a small white plate about a place."""
    wide, high = plate_size(pen, text, size)
    box = (at[0] - wide / 2, at[1] - high / 2, at[0] + wide / 2, at[1] + high / 2)
    pen.draw.rounded_rectangle(box, 0.25 * high, fill=PAPER, outline=rim, width=max(1, round(pen.unit)))
    words(pen, at, text, Letters(size, bold=True, anchor="mm"))


def plate_size(pen: Pen, text: str, size: float) -> tuple[float, float]:
    """Return width and height of a plate for words."""
    return width(pen, text, size, bold=True) + 0.7 * size * pen.unit, 1.45 * size * pen.unit


def wrapped(pen: Pen, text: str, letters: Letters, wide: float, most: int) -> list[str]:
    """Return words as lines no wider than they may be; what does not fit in the last ends in an ellipsis."""
    lines: list[str] = []
    rest = text.split()
    while rest and len(lines) < most:
        count = 1
        while count < len(rest) and _width(pen, " ".join(rest[: count + 1]), letters) <= wide:
            count += 1
        lines.append(" ".join(rest[:count]))
        rest = rest[count:]
    if rest:
        lines[-1] += " …"
    return [_shortened(pen, line, letters, wide) for line in lines]


def badge(pen: Pen, at: Place, size: float, text: str, severity: Severity) -> None:
    """Draw the mark of a finding with its number, about a place."""
    look = BADGES[severity]
    radius = 0.5 * size * pen.unit
    corners = CORNERS[look.shape]
    first = {"disc": 0.0, "triangle": -np.pi / 2, "square": np.pi / 4}[look.shape]
    reach = {"disc": 1.0, "triangle": 1.5, "square": 1.25}[look.shape]
    low = 0.3 * radius if look.shape == "triangle" else 0.0
    rim = 2.0 * pen.unit
    for grown, ink in ((rim * 1.6, PAPER if look.rim != PAPER else INK), (rim, look.rim), (0.0, look.fill)):
        turns = first + np.arange(corners) * 2.0 * np.pi / corners
        far = radius * reach + grown * (1.9 if corners == 3 else 1.2 if corners == 4 else 0.8)
        pen.draw.polygon(
            [(at[0] + far * np.cos(t), at[1] + low + far * np.sin(t)) for t in turns.tolist()], fill=ink
        )
    share = (0.62, 0.54, 0.42)[min(len(text), 3) - 1]
    letters = size * share * (0.84 if look.shape == "triangle" else 1.0)
    words(pen, (at[0], at[1] + 0.9 * low), text, Letters(letters, bold=True, ink=look.text, anchor="mm"))


def leader(pen: Pen, place: Place, spot: Place, severity: Severity) -> None:
    """Draw a line from a place to its mark, and a small ring at the place."""
    ink = BADGES[severity].fill if severity != "note" else BADGES[severity].rim
    dot = 3.2 * pen.unit
    for wide, colour in ((4.5, PAPER), (2.0, ink)):
        pen.draw.line([place, spot], fill=colour, width=max(1, round(wide * pen.unit)))
    for grown, colour in ((1.6 * pen.unit, PAPER), (0.0, ink)):
        reach = dot + grown
        pen.draw.ellipse(
            (place[0] - reach, place[1] - reach, place[0] + reach, place[1] + reach), fill=colour
        )


def sample(pen: Pen, left: Place, form: Form, look: Look, severity: Severity | None) -> float:
    """Draw what a line of the legend explains, from its left end on a line; return how wide it is."""
    wide, high = 34.0 * pen.unit, 11.0 * pen.unit
    x, y = left
    box = (x, y - high / 2, x + wide, y + high / 2)
    thin = max(1, round(1.2 * pen.unit))
    match form:
        case "badge":
            badge(pen, (x + 11 * pen.unit, y), 19.0, "1", severity or "note")
            return 24.0 * pen.unit
        case "tube" | "fault tube" | "caution tube":
            _tube_sample(pen, box, form, look)
        case "lines":
            pen.draw.rectangle(box, outline=look.line, width=max(1, round(2.4 * pen.unit)))
        case "hatched":
            _hatched(pen, box, look)
        case "dots":
            _dots(pen, left, wide, look)
        case "solid":
            pen.draw.rectangle(box, fill=look.colour, outline=look.line, width=thin)
        case "doubt":
            _broken_sample(pen, box, look)
    return wide


def _dots(pen: Pen, left: Place, wide: float, look: Look) -> None:
    for share in (0.2, 0.5, 0.8):
        x, y, reach = left[0] + share * wide, left[1], 3.0 * pen.unit
        pen.draw.ellipse((x - reach, y - reach, x + reach, y + reach), fill=look.colour)


def _broken_sample(pen: Pen, box: tuple[float, float, float, float], look: Look) -> None:
    """Draw a thing with broken edges, as see-through as it is."""
    left, top, right, bottom = box
    pen.draw.rectangle(box, fill=paler(look.colour, 1.0 - look.opacity))
    corners = np.array([(left, top), (right, top), (right, bottom), (left, bottom)])
    sides = np.stack([corners, np.roll(corners, -1, axis=0)], axis=1)
    wide = max(1, round(1.2 * look.line_px * pen.unit))
    for start, end in dashed(sides, pen.unit * np.array(look.dashes)).tolist():
        pen.draw.line([tuple(start), tuple(end)], fill=look.line, width=wide)


def _tube_sample(pen: Pen, box: tuple[float, float, float, float], form: Form, look: Look) -> None:
    left, top, right, bottom = box
    pen.draw.rectangle(box, fill=look.colour)
    if form != "tube":
        every, share = (0.34, 0.5) if form == "fault tube" else (0.4, 0.22)
        for start in np.arange(0.08, 1.0, every).tolist():
            end = min(start + share * every, 1.0)
            wide = right - left
            pen.draw.rectangle((left + start * wide, top, left + end * wide, bottom), fill=look.second)
    pen.draw.rectangle(box, outline=look.outline, width=max(1, round(max(1.2, look.outline_px) * pen.unit)))


def _hatched(pen: Pen, box: tuple[float, float, float, float], look: Look) -> None:
    left, top, right, bottom = box
    thin = max(1, round(1.1 * pen.unit))
    high = bottom - top
    for start in np.arange(left - high, right, 6.0 * pen.unit).tolist():
        low, end = max(start, left), min(start + high, right)
        pen.draw.line(
            [(low, bottom - (low - start)), (end, bottom - (end - start))], fill=look.line, width=thin
        )
    pen.draw.rectangle(box, outline=look.line, width=thin)


def scale_bar(pen: Pen, right: Place, long: float, text: str) -> None:
    """Draw a bar of two halves, dark and light, that ends at a place, with its words above."""
    x, y = right
    high = 7.0 * pen.unit
    thin = max(1, round(1.2 * pen.unit))
    pen.draw.rectangle((x - long, y, x, y + high), fill=PAPER, outline=INK, width=thin)
    pen.draw.rectangle((x - long, y, x - long / 2, y + high), fill=INK)
    words(pen, (x, y - 11.0 * pen.unit), text, Letters(14.0, anchor="rm"))


def _width(pen: Pen, text: str, letters: Letters) -> float:
    return width(pen, text, letters.size, bold=letters.bold)


def _shortened(pen: Pen, line: str, letters: Letters, wide: float) -> str:
    while len(line) > 2 and _width(pen, line, letters) > wide:
        line = line.removesuffix(" …").removesuffix("…")[:-1].rstrip() + "…"
    return line


def blank(size: tuple[int, int]) -> Image.Image:
    """Return an empty page."""
    return Image.new("RGB", size, PAPER)
