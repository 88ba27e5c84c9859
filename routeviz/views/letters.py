"""How wide words are on a sheet, and where they stand in a row without lying on each other."""

from collections.abc import Sequence
from functools import cache
from itertools import accumulate, pairwise

from PIL import ImageFont

from routeviz.views.inking import font_file
from routeviz.views.lines import plain

CAPITALS = 0.729  # height of DejaVu Sans' capitals, in shares of the letters' size
FINE = 1000  # pixels of a letter on which widths are measured


@cache
def _font(bold: bool) -> ImageFont.FreeTypeFont:
    return ImageFont.truetype(font_file(bold=bold), FINE)


@cache
def width_mm(text: str, height_mm: float, *, bold: bool = False) -> float:
    """Return how wide words are whose capitals are so high."""
    return float(_font(bold).getlength(plain(text))) / FINE * height_mm / CAPITALS


def shortened(text: str, height_mm: float, room_mm: float, *, bold: bool = False) -> str:
    """Return words that fit in a room: whole, or as much as there is room for and an ellipsis."""
    if width_mm(text, height_mm, bold=bold) <= room_mm:
        return text
    short = plain(text)
    while short and width_mm(short + "…", height_mm, bold=bold) > room_mm:
        short = short[:-1]
    return short.removesuffix("…").rstrip() + "…"


def broken(text: str, height_mm: float, room_mm: float, *, bold: bool = False) -> list[str]:
    """Return words as lines that fit in a room; a word that is too long is broken anywhere.

    Parameters
    ----------
    text : str
        Any.
    height_mm : float
        Of capitals.
    room_mm : float
        How wide a line may be; at least a letter is put in each.
    bold : bool
        Whether they are written in heavier letters.

    Returns
    -------
    lines : list of str
        At least one.
    """
    lines = [""]
    for word in plain(text).split():
        if lines[-1] and width_mm(f"{lines[-1]} {word}", height_mm, bold=bold) <= room_mm:
            lines[-1] += f" {word}"
            continue
        if lines[-1]:
            lines.append("")
        for letter in word:
            if lines[-1] and width_mm(lines[-1] + letter, height_mm, bold=bold) > room_mm:
                lines.append("")
            lines[-1] += letter
    return lines


def spread(wanted: Sequence[float], sizes: Sequence[float]) -> list[float]:
    """Return middles as near as can be to those wanted, so that nothing lies on its neighbour.

    Parameters
    ----------
    wanted : sequence of float
        Ascending.
    sizes : sequence of float
        How much room each takes about its middle.

    Returns
    -------
    places : list of float
        In the same order: of all that keep apart those with the least sum of squared shifts.

    References
    ----------
    Pool adjacent violators, for the places less the room that all before them take.
    """
    before = [0.0, *accumulate(0.5 * (a + b) for a, b in pairwise(sizes))]
    blocks: list[tuple[float, int]] = []
    for place, room in zip(wanted, before, strict=False):
        total, count = place - room, 1
        while blocks and blocks[-1][0] / blocks[-1][1] >= total / count:
            sum_before, many = blocks.pop()
            total, count = total + sum_before, count + many
        blocks.append((total, count))
    level = [total / count for total, count in blocks for _ in range(count)]
    return [place + room for place, room in zip(level, before, strict=False)]
