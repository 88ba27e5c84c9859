"""Words on a plate: how wide they run, how they are broken and shortened, and how they get into SVG unharmed.

Names come from the scene and may hold anything; they stand in elements of their own, so that a name that runs
from right to left turns nothing round but itself.
"""

import re
import unicodedata
from html import escape

# Widths of letters in the widest of the usual plain faces (DejaVu Sans, measured), so that all others fit.
FULL_EM = 1.0  # of a letter that fills its square, as Chinese ones do, and of those in WIDEST
CAPITAL_EM = 0.79
NARROW_EM = 0.42
PLAIN_EM = 0.64  # of all others, digits among them
NARROWEST = frozenset("fijlrt .,:;'()-")
WIDEST = frozenset("mwMW@%—…")
DIGIT_EM = 0.72  # how high a digit stands
CUT = "…"

_BETWEEN_WORDS = re.compile(r"(?<!\d)\s+|\s+(?!mm\b)")


def wide_em(text: str) -> float:
    """Return how wide a text runs at most, in widths of its size, whatever plain face it is set in."""
    return sum(_wide_em(letter) for letter in text)


def clean(text: str) -> str:
    """Return a text without what XML has no place for, and with every white space a plain one."""
    kept = (letter if _allowed(letter) else "\ufffd" for letter in text)
    return " ".join("".join(kept).split())


def shortened(text: str, room_em: float) -> str:
    """Return a text cleaned and, where it is too long, cut off with ``…`` so that it fits.

    Parameters
    ----------
    text : str
        Any.
    room_em : float
        How wide it may run, in widths of its size.

    Returns
    -------
    text : str
        At least its first letter.
    """
    whole = clean(text)
    if wide_em(whole) <= room_em:
        return whole
    room, count = room_em - wide_em(CUT), 0
    while count < len(whole) and (room := room - _wide_em(whole[count])) >= 0:
        count += 1
    return whole[: max(count, 1)].rstrip() + CUT


def broken(text: str, room_em: float) -> list[str]:
    """Return a text of our own words in lines, broken between words; a number keeps its unit."""
    lines: list[str] = []
    for word in _BETWEEN_WORDS.split(text):
        if lines and wide_em(f"{lines[-1]} {word}") <= room_em:
            lines[-1] += f" {word}"
        else:
            lines.append(word)
    return lines


def written(at: tuple[float, float], text: str, size: float, kind: str, **more: str) -> str:
    """Return a text element; ``kind`` ends its class, ``more`` are further attributes, ``_`` for ``-``."""
    return element(
        "text",
        x=number(at[0]),
        y=number(at[1]),
        font_size=number(size),
        **{"class": f"plate-{kind}"},
        **more,
        within=escaped(text),
    )


def escaped(text: str) -> str:
    """Return a text as it stands between tags."""
    return escape(clean(text), quote=False)


def element(tag: str, *, within: str = "", **attributes: str) -> str:
    """Return an element with attributes in the order given, ``_`` for ``-`` in their names."""
    told = "".join(f' {name.replace("_", "-")}="{escape(value)}"' for name, value in attributes.items())
    return f"<{tag}{told}>{within}</{tag}>" if within else f"<{tag}{told}/>"


def number(value: float) -> str:
    """Return a number of millimetres to a thousandth, without needless digits."""
    return f"{value:.3f}".rstrip("0").rstrip(".") if round(value, 3) else "0"


def _wide_em(letter: str) -> float:
    if unicodedata.combining(letter):
        return 0.0
    if unicodedata.east_asian_width(letter) in "WF":
        return FULL_EM
    if letter in WIDEST or ord(letter) > 0x2FFF:
        return FULL_EM
    if letter in NARROWEST:
        return NARROW_EM
    return CAPITAL_EM if letter.isupper() else PLAIN_EM


def _allowed(letter: str) -> bool:
    """Return whether XML 1.0 has a place for a character (its second production), controls left out."""
    code = ord(letter)
    return (
        letter in "\t\n\r"
        or 0x20 <= code <= 0x7E
        or 0xA0 <= code <= 0xD7FF
        or (0xE000 <= code <= 0xFFFD)
        or (0x10000 <= code <= 0x10FFFF)
    )
