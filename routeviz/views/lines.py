"""Lines of text and how they look: broken to a width, made harmless, and set out, but not printed.

What a check says in such lines is in report.py. Nothing is imported here that a broken machine may lack.
"""

import re
from collections.abc import Sequence

Span = tuple[str, str]  # some words and how they look: fault, caution, note, strong, faint or plain
Line = list[Span]


def wrapped(spans: Sequence[Span], width: int | None, hanging: str) -> list[Line]:
    """Return words in lines of at most a width; a longer word has a line by itself.

    Parameters
    ----------
    spans : sequence of Span
        The words, with the blanks between them.
    width : int or None
        Of a line; None for a single line.
    hanging : str
        What the second line and those after it begin with.

    Returns
    -------
    lines : list of Line
        At least one.
    """
    lines: list[Line] = [[]]
    used, begun = 0, 0
    for text, look in spans:
        for word in re.findall(r"\s*\S+|\s+$", text):
            if width is not None and used > begun and used + len(word) > width:
                lines.append([(hanging, "plain")])
                word, used = word.lstrip(), len(hanging)
                begun = used
            _put(lines[-1], word, look)
            used += len(word)
    return lines


def _put(line: Line, word: str, look: str) -> None:
    if line and line[-1][1] == look:
        line[-1] = (line[-1][0] + word, look)
    else:
        line.append((word, look))


def plain(text: str) -> str:
    """Return a text in which nothing can command the terminal: signs that are not print are spelt out."""
    return "".join(sign if sign.isprintable() or sign == "\n" else f"\\u{ord(sign):04x}" for sign in text)


def what_next(calls: Sequence[tuple[str, str]]) -> list[Line]:
    """Return lines that say which commands may come next, each with what it does."""
    if not calls:
        return []
    widest = max(len(call) for call, _ in calls)
    begins = ["next: ", *["      "] * (len(calls) - 1)]
    return [
        [],
        *(
            [(begin, "faint"), (f"{call:{widest}}", "strong"), (f"  {does}", "faint")]
            for begin, (call, does) in zip(begins, calls, strict=True)
        ),
    ]
