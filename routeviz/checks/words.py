"""How findings put numbers and names into words; every rule speaks through these."""

from collections.abc import Sequence

from routeviz.cabinet.solids import Solid
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


def travelled(travel: float) -> str:
    """Return where in its travel a moving part stands."""
    if travel <= 0.005:
        return "at rest"
    if travel >= 0.995:
        return "at full travel"
    return f"at {round(100 * travel)} % of its travel"


def named(names: Sequence[str], most: int = 8) -> str:
    """Return names in a row, the first few written out."""
    if len(names) > most:
        return ", ".join(names[:most]) + f" and {len(names) - most} more"
    return ", ".join(names)


def numbered(solids: Sequence[Solid]) -> str:
    """Return solids of one part by their numbers, runs drawn together: ``keys 30-34, 36``."""
    numbers = sorted(int(tail) for tail in (s.name.rpartition(" ")[2] for s in solids) if tail.isdigit())
    if len(numbers) != len(solids):
        return named(sorted(s.name for s in solids))
    runs: list[list[int]] = []
    for number in numbers:
        if runs and number == runs[-1][-1] + 1:
            runs[-1].append(number)
        else:
            runs.append([number])
    shown = ", ".join(str(r[0]) if len(r) == 1 else f"{r[0]}-{r[-1]}" for r in runs)
    return f"{solids[0].part} {shown}"


def place_on(tube: Tube, along_mm: float, length_mm: float) -> str:
    """Return how far along a tube something is, in words that a tape can follow."""
    if along_mm < 0 and tube.start.nipple:
        return f"on {tube.start.nipple}"
    if along_mm > length_mm and tube.end.nipple:
        return f"on {tube.end.nipple}"
    return f"{round(along_mm)} mm along"
