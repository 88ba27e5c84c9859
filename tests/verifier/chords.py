"""All tubes of a lay as straight pieces in one table, and balls about a few of them each, to look at first.

A piece is free, or over a nipple; pieces are cut where a tube begins or ceases to be excused from a thing.
"""

from dataclasses import dataclass

import numpy as np
from verifier.lays import Laid, excused, sleeves
from verifier.parts import Case
from verifier.tubes import Centreline

BALL = 12.0  # length of tube in a ball


@dataclass(frozen=True)
class Chords:
    """Straight pieces: ends, radius of the tube there, which tube, how far along, over a nipple or not.

    Balls: their first pieces (and the end), middles, reaches to the farthest end of a piece, radii.
    """

    begins: np.ndarray
    ends: np.ndarray
    radii: np.ndarray
    tubes: np.ndarray
    along: np.ndarray
    carriers: np.ndarray  # over a nipple: who carries it; else empty
    firsts: np.ndarray
    middles: np.ndarray
    reaches: np.ndarray

    @property
    def ball_radii(self) -> np.ndarray:
        return self.radii[self.firsts[:-1]]

    @property
    def ball_tubes(self) -> np.ndarray:
        return self.tubes[self.firsts[:-1]]

    def pieces_of(self, balls: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """The pieces of many balls, and which of the balls given each is of."""
        counts = self.firsts[balls + 1] - self.firsts[balls]
        which = np.repeat(np.arange(len(balls)), counts)
        within = np.arange(len(which)) - np.repeat(np.cumsum(counts) - counts, counts)
        return self.firsts[balls][which] + within, which


def chords_of(whole: Case, tubes: list[Laid]) -> Chords:
    """Every tube's pieces, free ones and sleeves."""
    rows: list[tuple[int, Centreline, float, str]] = []
    for number, tube in enumerate(tubes):
        rows.append((number, _cut_at_excuses(whole, tube), tube.outside / 2, ""))
        rows += [(number, axis, wide / 2, carrier or "-") for carrier, axis, wide in sleeves(whole, tube)]
    begins = np.vstack([line.points[:-1] for _, line, _, _ in rows])
    ends = np.vstack([line.points[1:] for _, line, _, _ in rows])
    counts = [len(line.points) - 1 for _, line, _, _ in rows]
    firsts, at = [], 0
    for _, line, _, _ in rows:
        balls = np.floor((line.along[:-1] - line.along[0]) / BALL)
        firsts += [at + int(k) for k in np.flatnonzero(np.diff(balls, prepend=-1.0) > 0)]
        at += len(line.points) - 1
    bounds = np.array([*firsts, at])
    low = np.minimum(np.minimum.reduceat(begins, firsts), np.minimum.reduceat(ends, firsts))
    high = np.maximum(np.maximum.reduceat(begins, firsts), np.maximum.reduceat(ends, firsts))
    middles = (low + high) / 2
    ball = np.repeat(np.arange(len(firsts)), np.diff(bounds))
    far = np.maximum(*(np.linalg.norm(points - middles[ball], axis=1) for points in (begins, ends)))
    return Chords(
        begins=begins,
        ends=ends,
        radii=np.repeat([radius for *_, radius, _ in rows], counts),
        tubes=np.repeat([number for number, *_ in rows], counts),
        along=np.concatenate([(line.along[:-1] + line.along[1:]) / 2 for _, line, _, _ in rows]),
        carriers=np.repeat([carrier for *_, carrier in rows], counts),
        firsts=bounds,
        middles=middles,
        reaches=np.maximum.reduceat(far, firsts),
    )


def _cut_at_excuses(whole: Case, tube: Laid) -> Centreline:
    """The same line with points added where the tube begins or ceases to be excused from a thing."""
    line = tube.line
    names = {tie for _, tie in tube.ties}
    names |= {whole.nipples[end].carrier or "" for end in tube.ends if end}
    things = [thing for thing in whole.things.values() if {thing.name, thing.part} & names]
    edges = {edge for thing in things for window in excused(whole, tube, thing) for edge in window}
    inside = [edge for edge in sorted(edges) if 0 < edge < line.length]
    added = [edge for edge in inside if np.abs(line.along - edge).min() > 1e-9]
    if not added:
        return line
    points = np.column_stack([np.interp(added, line.along, axis) for axis in line.points.T])
    along = np.concatenate([line.along, added])
    ways = np.column_stack([np.interp(added, line.along, axis) for axis in line.ways.T])
    order = np.argsort(along, kind="stable")
    points, ways = np.vstack([line.points, points])[order], np.vstack([line.ways, ways])[order]
    return Centreline(points, along[order], ways, line.tightest)
