"""How is a sum written out so that a reader with a calculator can follow it? Line by line, with results.

Every step goes on from the figures as they are printed, so that what the reader finds is what is printed.
"""

import math
from collections import defaultdict
from collections.abc import Mapping, Sequence

from routeviz.archive.columns import AXES, DIRECTION_DECIMALS
from routeviz.archive.plain_text import INDENT, WIDTH

Row = Mapping[str, object]
DECIMALS = 4
LONGEST = WIDTH - INDENT  # of a sum on one line
Tables = Mapping[str, Sequence[Row]]
Triple = tuple[float, float, float]


def grouped(rows: Sequence[Row], *columns: str) -> dict[tuple[object, ...], list[Row]]:
    """Return rows by what stands under some columns, in their order."""
    groups: dict[tuple[object, ...], list[Row]] = defaultdict(list)
    for row in rows:
        groups[tuple(row[name] for name in columns)].append(row)
    return groups


def number(value: float) -> str:
    """Return a number as it stands in a sum: without an exponent; a negative one in brackets."""
    text = repr(value)
    if "e" in text:
        text = f"{value:.{DIRECTION_DECIMALS}f}".rstrip("0")
    return text if value >= 0 else f"({text})"


def rounded(value: float) -> float:
    """Return the result of a step as it is printed."""
    return round(value, DECIMALS) + 0.0


def step(text: str, value: float) -> tuple[str, float]:
    """Return the line of a step and its result."""
    result = rounded(value)
    return f"{text} = {result!r}", result


def differences(first: Sequence[float], second: Sequence[float]) -> tuple[list[str], Triple]:
    """Return the lines for the first point less the second, and the result."""
    steps = [step(f"{number(a)} - {number(b)}", a - b) for a, b in zip(first, second, strict=True)]
    x, y, z = (value for _, value in steps)
    return [line for line, _ in steps], (x, y, z)


def root(values: Sequence[float]) -> tuple[str, float]:
    """Return the line for the root of the sum of squares, and the result."""
    squares = " + ".join(f"{number(value)}^2" for value in values)
    return step(f"sqrt({squares})", math.sqrt(sum(value * value for value in values)))


def summed(terms: Sequence[Sequence[float]]) -> tuple[list[str], float]:
    """Return the lines for a sum of products, and the result; what is multiplied by 0 is left out."""
    there = [factors for factors in terms if 0 not in factors]
    return added([(" x ".join(number(one) for one in factors), math.prod(factors)) for factors in there])


def added(terms: Sequence[tuple[str, float]]) -> tuple[list[str], float]:
    """Return the lines for a sum of terms, and the result; one line where it fits, else one a term."""
    if not terms:
        return ["0.0 = 0.0"], 0.0
    line, result = step(" + ".join(text for text, _ in terms), sum(value for _, value in terms))
    if len(line) <= LONGEST:
        return [line], result
    steps = [step(text, value) for text, value in terms]
    last, result = step(" + ".join(number(value) for _, value in steps), sum(value for _, value in steps))
    return [*(text for text, _ in steps), last], result


def lengths(row: Row, prefix: str) -> Triple:
    """Return a point of a row."""
    x, y, z = (float(str(row[f"{prefix}{axis}_mm"])) for axis in AXES)
    return x, y, z


def direction(row: Row, prefix: str) -> Triple:
    """Return a unit vector of a row."""
    x, y, z = (float(str(row[f"{prefix}_{axis}"])) for axis in AXES)
    return x, y, z


def figure(row: Row, name: str) -> float:
    """Return a number of a row."""
    return float(str(row[name]))
