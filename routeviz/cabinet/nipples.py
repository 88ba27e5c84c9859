"""Where tubes go on: tips, directions, and how rows are laid out between their taped ends."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from routeviz.cabinet.messages import Where, gathered
from routeviz.cabinet.standing import Standing
from routeviz.errors import Problem
from routeviz.geometry.arrays import Floats, frozen
from routeviz.scene.doubts import Status
from routeviz.scene.lengths import as_mm
from routeviz.scene.parts import PartEntry, Row
from routeviz.scene.quantities import Gap
from routeviz.scene.ranges import in_short, numbers_in

COINCIDE_MM = 1e-6  # ends nearer than this are one place: far below any tape
WRITTEN_MM = (
    0.1  # by which two taped ends may be off together without any doubt: figures are written to 0.1 mm
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Nipple:
    """A nipple.

    Parameters
    ----------
    name : str
        Part and number, ``tracker bar 12``.
    part : str
        The scene's part, or the copy of one that repeats: ``pump 2``.
    number : int
        Its number in the part or the copy.
    tip : array, shape (3,)
        Where the tube's free run begins.
    direction : array, shape (3,)
        Unit; the way in which the tube leaves.
    outside_mm : float
        Outside diameter.
    on_nipple_mm : float
        How much tube goes over it, back from the tip.
    carrier : int or None
        The solid that carries it (index in the cabinet's solids).
    status : str or None
        How its part is known, by the value that is least sure.
    """

    name: str
    part: str
    number: int
    tip: Floats
    direction: Floats
    outside_mm: float
    on_nipple_mm: float
    carrier: int | None
    status: Status | None = None


def nipples_of(
    part: PartEntry, stands: Standing, where: Where, problems: list[Problem]
) -> tuple[Nipple, ...]:
    """Return the nipples in a part's rows, row after row; what carries them is filled in by placing.

    Parameters
    ----------
    part : PartEntry
        As in the scene.
    stands : Standing
        How it stands.
    where : Where
        The part's place in the file.
    problems : list of Problem
        What is wrong with single rows is added; those are left out.

    Returns
    -------
    nipples : tuple of Nipple
        Each number once.
    """
    found: list[Nipple] = []
    for index, row in enumerate(part.rows):
        place = where.at("rows", index)
        with gathered(problems):
            numbers = numbers_in(row.holes)
            _check_new(numbers, found, place.at("holes"))
            found += _row(row, numbers, part, stands, place)
    return tuple(found)


def tips_along(first: Floats, last: Floats, rooms: Sequence[float]) -> Floats:
    """Return evenly spaced places from first to last, each followed by its extra room.

    Parameters
    ----------
    first, last : array, shape (3,)
        The ends; equal for a single place.
    rooms : sequence of float
        One a place: extra room after it.

    Returns
    -------
    tips : array, shape (n, 3)
        ``n`` is the number of rooms; the ends are met exactly.
    """
    count = len(rooms)
    span = float(np.linalg.norm(last - first))
    if count == 1 or span == 0:
        return np.repeat(first[None], count, axis=0)
    before = np.append(0.0, np.cumsum(rooms[:-1]))
    pitch = (span - before[-1]) / (count - 1)
    shares = (np.arange(count) * pitch + before) / span
    return np.asarray(first + shares[:, None] * (last - first))


def sleeve_mm(part: PartEntry, where: Where) -> float:
    """Return how much tube goes over each nipple of a part: its own figure, else the workshop's."""
    return part.on_nipple_mm if part.on_nipple_mm is not None else where.reading.scene.practice.on_nipple_mm


def _row(row: Row, numbers: tuple[int, ...], part: PartEntry, stands: Standing, where: Where) -> list[Nipple]:
    faces, outside_mm = row.faces or part.faces, row.outside_mm or part.outside_mm
    if faces is None:
        raise where.wrong(
            "nipples that face nowhere", "faces, in the row or the part", "add where the tubes leave them"
        )
    if outside_mm is None:
        raise where.wrong(
            "nipples without a diameter", "outside, in the row or the part", "add their outside diameter"
        )
    rooms = _rooms(row.gaps, numbers, where)
    first, last = _ends(row, numbers, stands, where)
    _check_span(part, numbers, rooms, float(np.linalg.norm(last - first)), where)
    direction, on_nipple_mm = stands.direction(faces), sleeve_mm(part, where)
    return [
        Nipple(
            name=f"{stands.name} {number}",
            part=stands.name,
            number=number,
            tip=frozen(tip),
            direction=direction,
            outside_mm=outside_mm,
            on_nipple_mm=on_nipple_mm,
            carrier=None,
        )
        for number, tip in zip(numbers, tips_along(first, last, rooms), strict=True)
    ]


def _check_new(numbers: tuple[int, ...], found: Sequence[Nipple], where: Where) -> None:
    known = {nipple.number for nipple in found}
    twice = tuple(number for number in numbers if number in known)
    if twice:
        raise where.wrong(
            f"numbers that another row of this part has too: {in_short(twice)}",
            "each number once in a part",
            "correct the numbers of one of the rows",
        )


def _rooms(gaps: Sequence[Gap], numbers: tuple[int, ...], where: Where) -> list[float]:
    """Return the extra room after each number."""
    rooms = [0.0] * len(numbers)
    for index, gap in enumerate(gaps):
        if gap.after not in numbers[:-1]:
            raise where.at("gaps", index, "after").wrong(
                f"a gap after {gap.after}, after which nothing follows in this row",
                f"one of {in_short(numbers[:-1])}",
                "correct the number, or leave the gap out",
            )
        rooms[numbers.index(gap.after)] += gap.wide_mm
    return rooms


def _ends(row: Row, numbers: tuple[int, ...], stands: Standing, where: Where) -> tuple[Floats, Floats]:
    """Return where the first and the last nipple of a row are, in the case."""
    first = stands.in_case(stands.in_part(row.first, where.at("first")))
    if (row.last is None) != (len(numbers) == 1):
        raise where.at("last").wrong(
            f"a row of {len(numbers)} {'without' if row.last is None else 'with'} a last",
            "both ends of a row of two or more; only a first for a single nipple",
            "tape the last one too" if row.last is None else "leave last out, or correct holes",
        )
    if row.last is None:
        return first, first
    last = stands.in_case(stands.in_part(row.last, where.at("last")))
    if float(np.linalg.norm(last - first)) <= COINCIDE_MM:
        raise where.at("last").wrong(
            f"first and last nipple of a row of {len(numbers)} in one place",
            "ends apart from each other",
            "tape both ends again",
        )
    return first, last


def _check_span(
    part: PartEntry, numbers: tuple[int, ...], rooms: Sequence[float], span_mm: float, where: Where
) -> None:
    """Hold the taped ends against the gaps, and against the pitch where every step in the row is alike."""
    if len(numbers) == 1:
        return
    spaces = len(numbers) - 1
    pitch_mm = (span_mm - sum(rooms)) / spaces
    if pitch_mm <= 0:
        raise where.at("gaps").wrong(
            f"gaps of {as_mm(sum(rooms))} in a row whose ends lie {as_mm(span_mm)} apart",
            "gaps that leave room for the nipples",
            "tape the ends and the gaps again",
        )
    steps = {abs(after - before) for before, after in pairwise(numbers)}
    if part.pitch_mm is None or len(steps) > 1:
        return
    wanted_mm = part.pitch_mm * steps.pop()
    off_mm = span_mm - sum(rooms) - wanted_mm * spaces
    doubt_mm = WRITTEN_MM + 2 * where.reading.scene.clearance.survey_mm
    if abs(off_mm) > doubt_mm:
        raise where.at("last").wrong(
            f"ends {as_mm(span_mm)} apart, so {as_mm(pitch_mm, 3)} from one nipple to the next",
            f"{as_mm(wanted_mm, 3)} by the part's pitch, so ends {as_mm(span_mm - off_mm)} apart, within "
            f"{as_mm(doubt_mm)}",
            f"tape both ends again, they are {as_mm(abs(off_mm))} too {'far' if off_mm > 0 else 'near'}; "
            "or correct pitch, gaps, holes or [clearance] survey",
        )
