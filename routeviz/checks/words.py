"""How findings put numbers and names into words; every rule speaks through these."""

import re
from collections.abc import Sequence

from routeviz.tubes.routes import Tube


def mm(value: float) -> str:
    """Return a length as findings print it, to a tenth of a millimetre."""
    shown = round(value, 1)
    return f"{0.0 if shown == 0 else shown:.1f} mm"


def meets(name: str, low_mm: float) -> str:
    """Return in words how near something comes to a thing, or how far it goes into it."""
    if low_mm > 0.05:
        return f"comes within {mm(low_mm)} of {name}"
    if low_mm < -0.05:
        return f"runs {mm(-low_mm)} into {name}"
    return f"touches {name}"


def doubted(severity: str, survey_mm: float) -> str:
    """Return why what breaks a limit is only a caution, as the end of a sentence; nothing for a fault."""
    return f"; within the survey's doubt of {mm(survey_mm)}" if severity == "caution" else ""


def travelled(travel: float) -> str:
    """Return where in its travel a moving part stands."""
    if travel <= 0.005:
        return "at rest"
    if travel >= 0.995:
        return "at full travel"
    return f"at {round(100 * travel)} % of its travel"


def named(names: Sequence[str], most: int | None = 8) -> str:
    """Return names in a row, those that count on drawn together: ``stack 1-4, 7, pump 1``.

    Parameters
    ----------
    names : sequence of str
        In the order wanted.
    most : int or None
        How many items are written out; None for all.

    Returns
    -------
    text : str
        What is left out is counted: ``a, b and 3 more``.
    """
    runs: list[tuple[str, list[int], int]] = []
    for name in names:
        stem, number = parted(name)
        if runs and number is not None and runs[-1][0] == stem and runs[-1][1][-1:] == [number - 1]:
            runs[-1][1].append(number)
        else:
            runs.append((stem, [] if number is None else [number], len(runs)))
    shown = runs if most is None else runs[:most]
    items = [_run(stem, numbers, shown[k - 1][0] if k else "") for stem, numbers, k in shown]
    left = sum(max(len(numbers), 1) for _, numbers, _ in runs[len(shown) :])
    return ", ".join(items) + (f" and {left} more" if left else "")


def parted(name: str) -> tuple[str, int | None]:
    """Return what stands before a name's closing number, and the number, or None."""
    match = re.fullmatch(r"(.*\D|)([0-9]{1,9})", name)
    return (match[1], int(match[2])) if match else (name, None)


def counted_on(name: str) -> tuple[str, int]:
    """Return what names are sorted by, so that 2 comes before 10."""
    stem, number = parted(name)
    return stem, -1 if number is None else number


def _run(stem: str, numbers: Sequence[int], before: str) -> str:
    if not numbers:
        return stem
    shown = str(numbers[0]) if len(numbers) == 1 else f"{numbers[0]}-{numbers[-1]}"
    return shown if stem == before else f"{stem}{shown}"


def place_on(tube: Tube, along_mm: float, length_mm: float) -> str:
    """Return how far along a tube something is, in words that a tape can follow."""
    if along_mm < 0 and tube.start.nipple:
        return f"on {tube.start.nipple}"
    if along_mm > length_mm and tube.end.nipple:
        return f"on {tube.end.nipple}"
    return f"{round(along_mm)} mm along"
