"""Lengths as a scene writes them, in millimetres. Written apart from the package, to be held against it."""

from fractions import Fraction

IN_MM = {
    "mm": Fraction(1),
    "cm": Fraction(10),
    "m": Fraction(1000),
    "in": Fraction(254, 10),
    "ft": Fraction(3048, 10),
}


def mm(value: int | float | str, units: str | None) -> float:
    """A number in the scene's units, or a text such as '5/32 in', '1 1/4 in', '12 mm'."""
    if isinstance(value, str):
        *numbers, unit = value.split()
        return float(sum(Fraction(number) for number in numbers) * IN_MM[unit])
    assert units is not None, "a bare number in a scene without units"
    return float(Fraction(str(value)) * IN_MM[units])


def degrees(value: int | float | str) -> float:
    """A number, or a text such as '70 deg'."""
    return float(str(value).removesuffix("deg"))


def numbers(text: str) -> list[int]:
    """The numbers that '1..61 step 2, 64' names, in order."""
    found: list[int] = []
    for piece in text.split(","):
        words = piece.replace("..", " .. ").split()
        if ".." not in words:
            found.append(int(words[0]))
            continue
        first, last = int(words[0]), int(words[2])
        step = int(words[4]) if len(words) > 4 else 1
        found += range(first, last + 1, step) if first <= last else range(first, last - 1, -step)
    return found
