"""Everything in which a whole lay falls short of what its scene asks for, told apart from the package.

What is judged, and how far off a verdict can be:

- bends: the radii as written, exactly; that straight pieces are left between them, to FITS
- ends: on the tips, and within the angle that the scene's practice allows
- passages: those named, in order, no others; free-standing ones by the margin, to FINE / 2 of openings.py;
  an opening of a board is held by its wood
- tubes and things, over the whole travel: to ERROR of pairs.py and RESOLVED where something moves, both
  counted against the tube; what then seems too near is put to python-fcl, flat-ended, its sampling counted
- tubes and tubes: the same
- what a passage may hold by its own mark, and the longest length of a tubing
- tees and couplers that the plan has placed: whether they stand in something, by python-fcl

Not judged: how tubes hang, fit their nipples or flatten, and what comes out for service.
"""

from collections import Counter
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from verifier.chords import Chords, chords_of
from verifier.distances import SOLVER, clearance
from verifier.lays import case_of, excused, needed_length, tube_to_thing, tube_to_tube
from verifier.openings import Crossing, crossing, openings
from verifier.pairs import BEYOND, ERROR, Near, near_things, near_tubes
from verifier.parts import Case, Thing
from verifier.places import plan_of, stands_in
from verifier.plans import Lay, Way, lay_of
from verifier.tubes import STRAIGHT, cut

GRAIN = 1e-3  # of a planned corner
FITS = 5e-3  # two roundings of corners to that grain, and what a turn of 120 degrees makes of them
OPEN = 0.01  # off a nipple's tip: a flat end may stand on the part that carries it
LAST = SOLVER + ERROR


@dataclass(frozen=True, order=True)
class Shortfall:
    """What falls short: ``distance`` is what there is, ``limit`` what is wanted, in mm, degrees or tubes."""

    rule: str
    tube: str
    other: str
    distance: float
    limit: float


def shortfalls_of(scene: Path, plan: dict[str, Any] | None = None) -> list[Shortfall]:
    """All shortfalls of a scene with the plan beside it, or with the one that is given."""
    plan = plan_of(scene) if plan is None else plan
    whole = case_of(scene, plan)
    inside = [Shortfall("inside", name, other, 0, 1) for name, other in stands_in(whole, plan)]
    return sorted([*inside, *shortfalls(whole, lay_of(whole, scene, plan))])


def shortfalls(whole: Case, lay: Lay) -> list[Shortfall]:
    """All shortfalls of a lay, in order; tubes without a way among them, unless they are given up."""
    assert not whole.unread, f"parts that this reader does not know: {whole.unread}"
    assert not lay.unread, f"tubes that this reader does not know: {lay.unread}"
    found = [Shortfall("unlaid", name, "", 0, 1) for name in lay.without if name not in lay.given_up]
    for way in lay.ways:
        found += [*_bends(whole, way), *_ends(whole, way), *_length(whole, way)]
    if not lay.ways:
        return sorted(found)
    found += _passages(whole, lay)
    chords = chords_of(whole, [way.laid for way in lay.ways])
    return sorted([*found, *_things(whole, lay, chords), *_tubes(whole, lay, chords)])


def least_room(whole: Case, lay: Lay) -> tuple[float, float]:
    """The least that is free beyond its limit, to things and between tubes; inf beyond BEYOND."""
    tubes = [way.laid for way in lay.ways]
    chords = chords_of(whole, tubes)
    things, pairs = near_things(whole, tubes, chords), near_tubes(whole, chords)
    assert all(near.decided for near in things)
    free = [min((near.distance - near.limit for near in group), default=np.inf) for group in (things, pairs)]
    return float(free[0]), float(free[1])


# ── a tube by itself ─────────────────────────────────────────────────────────────────────────────
def _bends(whole: Case, way: Way) -> list[Shortfall]:
    found = []
    kind = whole.scene.tables["tubing"][way.kind]
    least = whole.scene.mm(kind.get("least_bend", "0 mm"))
    if "least_bend_inner" in kind:
        least = whole.scene.mm(kind["least_bend_inner"]) + way.laid.outside / 2
    assert least, f"no least bend of {way.kind} is given"
    legs = np.diff(way.corners, axis=0)
    long = np.linalg.norm(legs, axis=1)
    legs = legs / long[:, None]
    turns = np.arctan2(np.linalg.norm(np.cross(legs[:-1], legs[1:]), axis=1), (legs[:-1] * legs[1:]).sum(1))
    bent = turns >= STRAIGHT  # at others a plan writes no radius
    if bent.any() and way.radii[bent].min() < least:
        found.append(Shortfall("kink", way.name, "", float(way.radii[bent].min()), least))
    used = np.where(bent, way.radii * np.tan(turns / 2), 0.0)
    free = float((long - np.concatenate([[0], used]) - np.concatenate([used, [0]])).min())
    if free < -FITS:
        found.append(Shortfall("corners", way.name, "", free, 0.0))
    if len(turns) and np.degrees(turns.max()) > 120 + 1e-3:
        found.append(Shortfall("turn", way.name, "", float(np.degrees(turns.max())), 120.0))
    return found


def _ends(whole: Case, way: Way) -> list[Shortfall]:
    found = []
    limit = whole.scene.practice("off_square_deg", 10.0)
    for k, after in ((0, 1), (-1, -2)):
        name = way.laid.ends[k]
        if way.tips[k] is None:
            found.append(Shortfall("end", way.name, "", np.inf, 2 * GRAIN))
            continue
        off = float(np.linalg.norm(way.corners[k] - way.tips[k]))
        if off > 2 * GRAIN:
            found.append(Shortfall("end", way.name, name or "", off, 2 * GRAIN))
        if name is None:
            continue
        leaves = way.corners[after] - way.corners[k]
        leaves = leaves / np.linalg.norm(leaves)
        angle = float(np.degrees(np.arccos(np.clip(leaves @ whole.nipples[name].direction, -1, 1))))
        if angle > limit + 1e-6:
            found.append(Shortfall("square", way.name, name, angle, limit))
    return found


def _length(whole: Case, way: Way) -> list[Shortfall]:
    kind = whole.scene.tables["tubing"][way.kind]
    if "longest" not in kind or needed_length(whole, way.laid) <= whole.scene.mm(kind["longest"]):
        return []
    longest = whole.scene.mm(kind["longest"])
    return [Shortfall("stretch", way.name, way.kind, needed_length(whole, way.laid), longest)]


# ── passages ─────────────────────────────────────────────────────────────────────────────────────
def _passages(whole: Case, lay: Lay) -> list[Shortfall]:
    found: list[Shortfall] = []
    every, counts = openings(whole), Counter[str]()
    for way in lay.ways:
        crossed = {name: crossing(way.laid.line, way.laid.outside / 2, one) for name, one in every.items()}
        went = {name: one for name, one in crossed.items() if one is not None}
        counts.update(went.keys())
        found += _named(whole, way, went)
        if way.is_planned:
            others = sorted(went.keys() - {*way.through})
            found += [Shortfall("unnamed", way.name, name, went[name].net, 0) for name in others]
    for name, one in every.items():
        if one.most is not None and counts[name] > one.most:
            found.append(Shortfall("crowd", "", name, counts[name], one.most))
    return found


def _named(whole: Case, way: Way, went: dict[str, Crossing]) -> list[Shortfall]:
    """What a tube misses of the passages that it names, or takes in another order."""
    found = []
    stand_free, fixed = whole.scene.tables.get("passage", {}), whole.scene.limit("fixed", 2.0)
    for name in way.through:
        net = went[name].net if name in went else 0
        if net != 1:
            found.append(Shortfall("miss", way.name, name, net, 1))
        elif name in stand_free and went[name].margin < fixed - LAST:
            found.append(Shortfall("miss", way.name, name, went[name].margin, fixed))
    order = [name for name in sorted(went, key=lambda name: went[name].along) if name in way.through]
    if order != [name for name in way.through if name in went]:
        found.append(Shortfall("order", way.name, order[0], 0, 1))
    return found


# ── distances ────────────────────────────────────────────────────────────────────────────────────
def _things(whole: Case, lay: Lay, chords: Chords) -> list[Shortfall]:
    tubes, found = [way.laid for way in lay.ways], []
    for near in near_things(whole, tubes, chords):
        if near.decided and near.distance >= near.limit:
            continue
        thing = whole.things[str(near.other)]
        exact = tube_to_thing(whole, tubes[near.tube], thing, near.limit + BEYOND)
        if exact.distance - exact.sampling < near.limit - LAST:
            found.append(_shortfall(lay, near, thing, exact.distance - exact.sampling))
    return found + _excused(whole, lay)


def _excused(whole: Case, lay: Lay) -> list[Shortfall]:
    """Tubes that enter a thing where they need not keep off it: beside their nipple there, under a tie."""
    found = []
    for number, way in enumerate(lay.ways):
        names = {name for _, name in way.laid.ties}
        names |= {whole.nipples[end].carrier or "" for end in way.laid.ends if end}
        for thing in (one for one in whole.things.values() if {one.name, one.part} & names):
            for low, high in excused(whole, way.laid, thing):
                low, high = max(low, OPEN), min(high, way.laid.line.length - OPEN)
                if high - low > OPEN:
                    piece = cut(way.laid.line, low, high)
                    least = clearance(piece, way.laid.outside, thing, BEYOND)
                    if least.distance < -LAST:
                        near = Near(number, thing.name, least.distance, 0.0)
                        found.append(_shortfall(lay, near, thing, least.distance))
    return found


def _shortfall(lay: Lay, near: Near, thing: Thing, distance: float) -> Shortfall:
    rule = "intrude" if thing.kind == "keep_clear" else "rub" if thing.motion else "touch"
    return Shortfall(rule, lay.ways[near.tube].name, thing.name, distance, near.limit)


def _tubes(whole: Case, lay: Lay, chords: Chords) -> list[Shortfall]:
    found = []
    for near in near_tubes(whole, chords):
        if near.distance >= near.limit:
            continue
        one, other = lay.ways[near.tube], lay.ways[int(near.other)]
        exact = tube_to_tube(whole, one.laid, other.laid, near.limit + BEYOND)
        if exact.distance < near.limit - LAST:
            found.append(Shortfall("squeeze", one.name, other.name, exact.distance, near.limit))
    return found
