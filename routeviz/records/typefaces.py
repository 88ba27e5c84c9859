r"""How wide words run on paper, what is written of them, and how they are broken into lines.

The face is DejaVu Sans, which comes with matplotlib: most alphabets, no Chinese, Japanese and Korean. What
it has no letter for is spelt out, as signs that are no print are everywhere: ``\u6f22``; so two names
that differ are never printed alike. Names that run from right to left are put in the order in which they
are seen; Arabic letters are not joined.
"""

import unicodedata
from collections.abc import Mapping
from functools import cache

from fontTools.ttLib import TTFont

from routeviz.views.inking import font_file
from routeviz.views.lines import plain

MM_PER_PT = 25.4 / 72
ASCENT, DESCENT = (
    0.76,
    0.24,
)  # of a size: what a line of letters takes up above and below the line they stand on
CAPITALS = 0.729  # height of capitals, likewise
CUT = "…"
TURNING = frozenset(("R", "AL", "AN"))  # classes of signs (Unicode, annex 9) that turn the order of writing


def rise_mm(pt: float) -> float:
    """Return how far below its top a line of letters stands."""
    return ASCENT * pt * MM_PER_PT


def printable(text: str) -> str:
    """Return what is printed of a text: white space as blanks, what the face lacks spelt out."""
    known = advances(False)
    spaced = "".join(" " if letter.isspace() else letter for letter in text)
    return "".join(letter if ord(letter) in known else f"\\u{ord(letter):04x}" for letter in plain(spaced))


def width_mm(text: str, pt: float, *, bold: bool = False) -> float:
    """Return how wide printable words run."""
    known = advances(bold)
    return sum(known.get(ord(letter), 0.6) for letter in text) * pt * MM_PER_PT


def lines_of(text: str, pt: float, room_mm: float, *, bold: bool = False) -> list[str]:
    """Return any text as printable lines that fit; a word that is too long is broken anywhere.

    Parameters
    ----------
    text : str
        Any.
    pt : float
        Size of the letters.
    room_mm : float
        How wide a line may be; at least a letter is put in each.
    bold : bool
        Heavier letters.

    Returns
    -------
    lines : list of str
        None for a text without letters.
    """
    lines: list[str] = []
    blank, left = width_mm(" ", pt, bold=bold), 0.0
    for word in printable(text).split():
        wide = width_mm(word, pt, bold=bold)
        if lines and blank + wide <= left:
            lines[-1] += f" {word}"
            left -= blank + wide
        else:
            pieces = [word] if wide <= room_mm else _pieces(word, pt, room_mm, bold)
            lines += pieces
            left = room_mm - width_mm(pieces[-1], pt, bold=bold)
    return lines


def shortened(text: str, pt: float, room_mm: float, *, bold: bool = False) -> str:
    """Return any text as one printable line, cut off with an ellipsis where it is too long."""
    whole = " ".join(printable(text).split())
    if width_mm(whole, pt, bold=bold) <= room_mm:
        return whole
    room = room_mm - width_mm(CUT, pt, bold=bold)
    return _pieces(whole, pt, room, bold)[0].rstrip() + CUT


def as_seen(text: str) -> str:
    """Return a printable line with its letters in the order in which they stand on paper, from the left."""
    if not any(unicodedata.bidirectional(letter) in TURNING for letter in text):
        return text
    from fpdf.bidi import BidiParagraph

    return BidiParagraph(text).get_reordered_string()


def longest_word_mm(text: str, pt: float, *, bold: bool = False) -> float:
    """Return how wide the widest word of a text is."""
    return max((width_mm(word, pt, bold=bold) for word in printable(text).split()), default=0.0)


@cache
def advances(bold: bool) -> Mapping[int, float]:
    """Return how wide each letter of the face is, in shares of its size, by its number in Unicode."""
    with TTFont(font_file(bold=bold), lazy=True) as font:
        per_em, widths = font["head"].unitsPerEm, font["hmtx"]
        return {code: widths[name][0] / per_em for code, name in font.getBestCmap().items()}


def _pieces(word: str, pt: float, room_mm: float, bold: bool) -> list[str]:
    """Return a word in pieces that fit."""
    pieces, left = [""], room_mm
    for letter in word:
        wide = width_mm(letter, pt, bold=bold)
        if pieces[-1] and wide > left:
            pieces.append("")
            left = room_mm
        pieces[-1] += letter
        left -= wide
    return pieces
