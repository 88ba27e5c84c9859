"""Where marks and words stand on a picture so that none covers another; pixels in, pixels out."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import NamedTuple

import numpy as np

from routeviz.geometry.arrays import Floats, Ints

Box = tuple[float, float, float, float]  # left, top, right, bottom
Strand = tuple[str, Floats, float]  # name, places along it, half its width
GRAIN = 14.0  # pixels between the places of a strand: less than any word is high
TURNS = 24  # directions tried round a place
RINGS = (1.5, 2.0, 2.6, 3.4, 4.4, 5.6)  # how far off, in sizes of the mark


@dataclass(slots=True)
class Room:
    """What is taken on a picture already, filled by those who place something.

    Parameters
    ----------
    whole : tuple of float
        The picture.
    taken : list of tuple of float
        Boxes in which nothing more may stand.
    strands : list of Strand
        Bands that words of another name should not cover.
    table : Table or None
        The same as arrays, while no strand is added.
    """

    whole: Box
    taken: list[Box] = field(default_factory=list)
    strands: list[Strand] = field(default_factory=list)
    table: "Table | None" = None

    def add_strand(self, name: str, places: Floats, half: float) -> None:
        """Note a band along places, shape (n, 2), that only words of the same name may cover."""
        steps = np.linalg.norm(np.diff(places, axis=0), axis=1)
        pieces = [
            first + (last - first) * (np.arange(count) / count)[:, None]
            for first, last, count in zip(
                places[:-1], places[1:], np.clip(steps / GRAIN + 1, 1, 400).astype(int), strict=False
            )
        ]
        if pieces:
            self.strands.append((name, np.concatenate(pieces), half))
            self.table = None

    def crosses_strand(self, box: Box, name: str) -> bool:
        """Return whether a box covers a strand of another name."""
        if not self.strands:
            return False
        if self.table is None:
            self.table = _table(self.strands)
        left, top, right, bottom = box
        x, y, half, owners = self.table.x, self.table.y, self.table.half, self.table.owners
        covered = (x > left - half) & (x < right + half) & (y > top - half) & (y < bottom + half)
        return any(self.strands[owner][0] != name for owner in set(owners[covered].tolist()))

    def is_free(self, box: Box) -> bool:
        """Return whether a box lies on the picture and covers nothing."""
        left, top, right, bottom = self.whole
        inside = box[0] >= left and box[1] >= top and box[2] <= right and box[3] <= bottom
        return inside and not any(overlap(box, other) for other in self.taken)


class Table(NamedTuple):
    """All places of all strands: where, half the width there, and the number of the strand."""

    x: Floats
    y: Floats
    half: Floats
    owners: Ints


def _table(strands: Sequence[Strand]) -> Table:
    counts = [len(places) for _, places, _ in strands]
    x, y = np.concatenate([places for _, places, _ in strands]).T
    half = np.repeat([half for _, _, half in strands], counts)
    return Table(x=x.copy(), y=y.copy(), half=half, owners=np.repeat(np.arange(len(strands)), counts))


def overlap(one: Box, other: Box) -> bool:
    """Return whether two boxes have a point in common."""
    return one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]


def around(centre: tuple[float, float], wide: float, high: float) -> Box:
    """Return the box of a size about a centre."""
    return (centre[0] - wide / 2, centre[1] - high / 2, centre[0] + wide / 2, centre[1] + high / 2)


def mark_spots(places: Floats, size: float, room: Room) -> list[tuple[float, float] | None]:
    """Return where the marks of places stand: near their place, outwards, off all others.

    Parameters
    ----------
    places : array, shape (n, 2)
        What is marked; it stays uncovered.
    size : float
        Width and height of a mark.
    room : Room
        What is taken; places and marks are added.

    Returns
    -------
    spots : list of tuple of float, or None
        Centres of the marks; None where there is no room at all.
    """
    left, top, right, bottom = room.whole
    middle = np.array([(left + right) / 2, (top + bottom) / 2])
    room.taken += [around((x, y), 0.4 * size, 0.4 * size) for x, y in places.tolist()]
    spots: list[tuple[float, float] | None] = []
    for place in places:
        spot = _mark_spot(place, size, middle, room)
        if spot is not None:
            room.taken.append(around(spot, size * 1.08, size * 1.08))
        spots.append(spot)
    return spots


def word_spot(
    places: Sequence[tuple[float, float]], wide: float, high: float, room: Room, strand: str = ""
) -> tuple[float, float] | None:
    """Return the first of some places where words have room, and take it; None where none has.

    Parameters
    ----------
    places : sequence of tuple of float
        Centres, best first.
    wide, high : float
        Of the words.
    room : Room
        What is taken; the words are added.
    strand : str
        The strand that the words name: they may cover that one.

    Returns
    -------
    spot : tuple of float, or None
        One of the places.
    """
    for place in places:
        box = around(place, wide, high)
        if room.is_free(box) and not room.crosses_strand(box, strand):
            room.taken.append(box)
            return place
    return None


def _mark_spot(place: Floats, size: float, middle: Floats, room: Room) -> tuple[float, float] | None:
    outwards = float(np.arctan2(*(place - middle)[::-1]))
    # Outwards first, then more and more aside, to both sides in turn.
    steps = [(k + 1) // 2 * (1 if k % 2 else -1) for k in range(TURNS)]
    covering: tuple[float, float] | None = None
    for ring in RINGS:
        for step in steps:
            turn = outwards + step * 2.0 * np.pi / TURNS
            x, y = (place + ring * size * np.array([np.cos(turn), np.sin(turn)])).tolist()
            box = around((x, y), size, size)
            if room.is_free(box):
                covering = covering or (x, y)
                if not room.crosses_strand(box, ""):
                    return x, y
    return covering
