"""How is a text set that needs nothing but an editor to be read? Lines of 76 letters, of ASCII alone.

What is written so is the reading guide; see reading_guide.py.
"""

import textwrap
from collections.abc import Iterable

WIDTH = 76
INDENT = 4  # of formulas and sums
ESCAPES = (  # written as they are, for in_ascii would double the backslashes
    "Letters outside ASCII stand in this text as \\uXXXX or \\UXXXXXXXX, the number",
    "of the letter in Unicode, and a backslash as two. Tables and sources have",
    "the letters themselves.",
)
PLAINLY = str.maketrans(
    {
        "\N{EN DASH}": "-",
        "\N{EM DASH}": "-",
        "\N{HORIZONTAL ELLIPSIS}": "...",
        "\N{MULTIPLICATION SIGN}": "x",
        "\N{LEFT SINGLE QUOTATION MARK}": "'",
        "\N{RIGHT SINGLE QUOTATION MARK}": "'",
        "\N{LEFT DOUBLE QUOTATION MARK}": '"',
        "\N{RIGHT DOUBLE QUOTATION MARK}": '"',
    }
)


def in_ascii(text: str) -> str:
    """Return a text on one line with every letter outside ASCII escaped, as ``ESCAPES`` says."""
    return "".join(_escaped(letter) for letter in " ".join(text.split()).translate(PLAINLY))


def heading(number: int, title: str) -> list[str]:
    """Return the lines of a numbered heading, with room before and after it."""
    line = f"{number}. {title.upper()}"
    return ["", "", line, "=" * len(line), ""]


def paragraph(text: str, *, indent: int = 0, hang: int | None = None) -> list[str]:
    """Return a text as lines of ASCII.

    Parameters
    ----------
    text : str
        Any; what is not ASCII is escaped.
    indent : int
        Spaces before its first line.
    hang : int or None
        Spaces before its other lines; as many as before the first where not given.

    Returns
    -------
    lines : list of str
        None longer than ``WIDTH``; a word that is longer is parted.
    """
    later = " " * (indent if hang is None else hang)
    lines = textwrap.wrap(
        in_ascii(text), WIDTH, initial_indent=" " * indent, subsequent_indent=later, break_on_hyphens=False
    )
    return lines or [""]


def items(texts: Iterable[str], *, indent: int = 0) -> list[str]:
    """Return texts as a list, each with a dash before it."""
    return [line for text in texts for line in paragraph(f"- {text}", indent=indent, hang=indent + 2)]


def fixed(text: str) -> list[str]:
    """Return lines of a formula or a sum, of ASCII already; they keep their form."""
    return [" " * INDENT + line for line in text.strip("\n").splitlines()]


def _escaped(letter: str) -> str:
    if letter == "\\":
        return "\\\\"
    number = ord(letter)
    if 32 <= number < 127:
        return letter
    return f"\\u{number:04x}" if number < 0x10000 else f"\\U{number:08x}"
