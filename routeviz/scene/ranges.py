"""Which numbers does a person mean by ``1..61 step 2, 64``? Order is kept: a range may run down.

What the numbers are of (nipples, keys) is the business of whoever asks.
"""

import re
from collections import Counter

from routeviz.errors import Refusal

HIGHEST = 1000  # beyond any bar, stack or keyboard, and a slip of the finger stays harmless
ALLOWED = "numbers such as '5', '1..61', '61..1', '1..61 step 2' or '1, 3, 7..9'"
LONGEST = 200  # characters; every second number of a bar, written out, has 170
LONGEST_SHOWN = 40  # characters of a text in a message

_RUN = re.compile(r"(?P<first>[0-9]+)(?: ?\.\. ?(?P<last>[0-9]+)(?: step (?P<step>[0-9]+))?)?")


class RangeError(Refusal):
    """Numbers that cannot be read."""


def numbers_in(text: str) -> tuple[int, ...]:
    """Return the numbers that a text names, in its order.

    Parameters
    ----------
    text : str
        ``5``, ``1..61``, ``61..1``, ``1..61 step 2``, ``1, 3, 7..9``; the step counts either way.

    Returns
    -------
    numbers : tuple of int
        Each once, from 1 to ``HIGHEST``.

    Raises
    ------
    RangeError
        Anything else, a number named twice among it.
    """
    if len(text) > LONGEST:
        raise RangeError(
            found=f"{_shown(text)} has {len(text)} characters",
            allowed=f"{ALLOWED}, in at most {LONGEST} characters",
            remedy="use ranges, such as '1..61 step 2'",
        )
    numbers: list[int] = []
    for piece in " ".join(text.split()).split(","):
        numbers += _run(piece.strip(), text)
    twice = [number for number, times in Counter(numbers).items() if times > 1]
    if twice:
        raise RangeError(
            found=f"{_shown(text)} names {min(twice)} twice", allowed=ALLOWED, remedy="name each number once"
        )
    return tuple(numbers)


def in_short(numbers: tuple[int, ...]) -> str:
    """Return numbers as a person would write them, rising: ``1..61, 64``.

    Parameters
    ----------
    numbers : tuple of int
        In any order.

    Returns
    -------
    text : str
        Readable by ``numbers_in``; ``none`` for no numbers.
    """
    runs: list[list[int]] = []
    for number in sorted(set(numbers)):
        if runs and number == runs[-1][1] + 1:
            runs[-1][1] = number
        else:
            runs.append([number, number])
    words = [str(a) if a == b else f"{a}{', ' if b == a + 1 else '..'}{b}" for a, b in runs]
    return ", ".join(words) or "none"


def _run(piece: str, text: str) -> range:
    match = _RUN.fullmatch(piece)
    if match is None:
        raise RangeError(
            found=f"{_shown(text)} is not a row of numbers",
            allowed=ALLOWED,
            remedy="write whole numbers, two points between the ends of a range, commas between ranges",
        )
    first = _number(match["first"], text)
    last = _number(match["last"] or match["first"], text)
    step = _number(match["step"] or "1", text)
    return range(first, last + 1, step) if first <= last else range(first, last - 1, -step)


def _number(digits: str, text: str) -> int:
    number = int(digits[:10])
    if not 1 <= number <= HIGHEST:
        raise RangeError(
            found=f"{_shown(text)} holds the number {digits[:10]}",
            allowed=f"whole numbers from 1 to {HIGHEST}",
            remedy="correct the number",
        )
    return number


def _shown(text: str) -> str:
    return repr(text if len(text) <= LONGEST_SHOWN else text[: LONGEST_SHOWN - 1] + "…")
