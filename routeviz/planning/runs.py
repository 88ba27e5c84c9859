"""How are ways of many tubes told in few lines, as a fitter lays them, nipple after nipple?

Which way each tube takes is chosen in allocation.py.
"""

import re
from collections.abc import Sequence
from dataclasses import dataclass

from routeviz.scene.ranges import in_short
from routeviz.tubes.plans import Run

FEWEST_IN_STEPS = 4  # numbers two or more apart that are told as a range; three are as short one by one
SCATTERED = 2  # tubes of one part: with so few, all parts that send them the same way share a line

_NUMBERED = re.compile(r"(?P<part>.+) (?P<number>[0-9]+)")


@dataclass(frozen=True, slots=True, kw_only=True)
class Going:
    """The way of a tube.

    Parameters
    ----------
    tube : str
        Its name.
    start : str or None
        The nipple it starts from (``tracker bar 12``); None where it starts loose.
    through : tuple of str
        Passages in order; none where it needs none.
    """

    tube: str
    start: str | None
    through: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Place:
    """Where a tube is taken up: part, number on it, and the tube."""

    part: str
    number: int | None
    going: Going


def runs_of(goings: Sequence[Going]) -> tuple[Run, ...]:
    """Return the ways of tubes as few runs, told with ranges of nipples.

    Tubes of a part through the same passages are one run, exceptions further along among them: ``tracker bar
    1..22, 25 through shelf bass``. What starts loose is told by the tube's own name.

    Parameters
    ----------
    goings : sequence of Going
        In the order in which they are to be told, of nipples or of the file.

    Returns
    -------
    runs : tuple of Run
        In the order of their first tubes; the tubes of a part by number.
    """
    places = [_place(going) for going in goings]
    by_part: dict[tuple[str, tuple[str, ...]], list[_Place]] = {}
    for place in places:
        by_part.setdefault((place.part, place.going.through), []).append(place)
    lines: dict[tuple[str, tuple[str, ...]], list[list[_Place]]] = {}
    for (part, through), some in by_part.items():
        # Numbers in their order, whichever row of the part they are on.
        ordered = sorted(some, key=lambda place: place.number or 0)
        lines.setdefault(("" if len(some) <= SCATTERED else part, through), []).append(ordered)
    return tuple(_run(through, groups) for (_, through), groups in lines.items())


def _place(going: Going) -> _Place:
    name = going.tube if going.start is None else going.start
    if match := _NUMBERED.fullmatch(name):
        return _Place(part=match["part"], number=int(match["number"]), going=going)
    return _Place(part=name, number=None, going=going)


def _run(through: tuple[str, ...], groups: list[list[_Place]]) -> Run:
    """Return the run of some tubes of each of several parts."""
    words = []
    for group in groups:
        numbers = [place.number for place in group if place.number is not None]
        words.append(f"{group[0].part} {_told(numbers)}" if numbers else group[0].part)
    way = f"through {', then '.join(through)}" if through else "through no passage"
    return Run(
        through=through,
        tubes=tuple(place.going.tube for group in groups for place in group),
        says=f"{_listed(words)} {way}",
    )


def _listed(words: list[str]) -> str:
    """Return words in a row; those with a comma of their own are set apart by semicolons."""
    between = "; " if any("," in word for word in words) else ", "
    return words[0] if len(words) == 1 else f"{between.join(words[:-1])} and {words[-1]}"


def _told(numbers: list[int]) -> str:
    """Return numbers as ranges, those of every second nipple (``1..61 step 2``) too."""
    rest = sorted(set(numbers))
    words: list[str] = []
    plain: list[int] = []
    while rest:
        step = rest[1] - rest[0] if len(rest) > 1 else 1
        long = next((n for n, number in enumerate(rest) if number != rest[0] + n * step), len(rest))
        if step > 1 and long >= FEWEST_IN_STEPS:
            words += [in_short(tuple(plain))] * bool(plain) + [f"{rest[0]}..{rest[long - 1]} step {step}"]
            plain = []
        else:
            long = long if step == 1 else 1
            plain += rest[:long]
        rest = rest[long:]
    return ", ".join(words + [in_short(tuple(plain))] * bool(plain))
