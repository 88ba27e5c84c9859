"""Where planned tubes are tied: few places, on wood where there is some, else tube to tube.

Tubes hang between what holds them (tubes/hanging.py). A tie is placed only where a span would sag into
something, or so far that it looks untidy (propping.py), and where one can be made (tie_places.py). It holds a
tube where it lies; that a bundle may sag as a whole is not looked at. Whether the lay is content is not said
here: checks/ alone say that.
"""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from routeviz.cabinet.solids import Cabinet
from routeviz.geometry.arrays import Ints, frozen, frozen_ints
from routeviz.geometry.chains import Samples, places_on, sampled
from routeviz.geometry.falling import NOBODY, Places
from routeviz.geometry.pieces import Pieces, joined
from routeviz.planning.bundling import places_taken
from routeviz.planning.propping import farthest_held, rooms_under, softness_of
from routeviz.planning.tie_places import FROM_AFAR_MM, ON_WOOD_MM, STEP_MM, TiePlaces, tie_places
from routeviz.tubes.routes import Tie, Tube
from routeviz.tubes.windows import windows_of

SAGITTA_MM = 1.0  # by which chords may miss arcs, as much as the safety in propping.py
CLOSE_MM = 1.5  # between places at which it is looked what is below: a tube passes an edge within a few
BUNDLE = "bundle"


def ties_for(
    cabinets: Sequence[Cabinet], tubes: Sequence[Tube], beside: Sequence[Tube] = ()
) -> tuple[tuple[Tie, ...], ...]:
    """Return where tubes are to be tied so that they hang into nothing, in every stage's pose.

    Parameters
    ----------
    cabinets : sequence of Cabinet
        The case in each stage of the work, the last stage last.
    tubes : sequence of Tube
        Those to be tied; ties that they have already are not looked at. One without a centreline gets none.
    beside : sequence of Tube
        Those that stay as they are, to which others can be tied.

    Returns
    -------
    ties : tuple of tuple of Tie
        One a tube, in order along it. A tube that nothing near can hold is left to hang.
    """
    numbers = [k for k, tube in enumerate(tubes) if tube.curve is not None]
    drawn = [replace(tube, ties=()) for tube in (*tubes, *beside) if tube.curve is not None]
    stages = _stages(cabinets, drawn)
    pieces = joined([t.curve for t in drawn if t.curve is not None])
    samples = sampled(pieces, SAGITTA_MM, STEP_MM)
    radii = frozen([tube.kind.outside_mm / 2 for tube in drawn])
    places = tie_places(cabinets, samples, radii, stages)
    last = _farthest(cabinets, drawn, _looked_at(pieces, samples), stages)
    taken = places_taken(samples, places, last, len(numbers))
    found: list[list[Tie]] = [[] for _ in tubes]
    for sample in taken:
        to = _tied_to(places, sample, cabinets[-1])
        tie = Tie(along_mm=round(float(samples.along[sample]), 1), to=to)
        found[numbers[int(samples.owners[sample])]].append(tie)
    return tuple(tuple(ties) for ties in found)


def _stages(cabinets: Sequence[Cabinet], tubes: Sequence[Tube]) -> Ints:
    """Return the first cabinet in which each tube is there."""
    numbers = {cabinet.stage: number for number, cabinet in enumerate(cabinets)}
    return frozen_ints([0 if tube.stage is None else numbers[tube.stage] for tube in tubes])


def _looked_at(pieces: Pieces, samples: Samples) -> tuple[Samples, Ints]:
    """Return places close along all tubes, and which of them the samples are."""
    chords = np.where(np.diff(samples.owners) == 0, np.diff(samples.along), 0.0)
    parts = np.maximum(np.ceil(chords / CLOSE_MM), 1.0).astype(np.int64)
    stops = np.concatenate([[0], np.cumsum(parts)])[: len(samples.along)]
    before = np.repeat(np.arange(len(parts)), parts)
    share = (np.arange(len(before)) - stops[before]) / parts[before]
    along = np.append(samples.along[before] + share * chords[before], samples.along[-1:])
    owners = samples.owners[np.append(before, len(parts))] if len(samples.along) else samples.owners
    return places_on(pieces, owners, along), frozen_ints(stops)


def _farthest(
    cabinets: Sequence[Cabinet], tubes: Sequence[Tube], looked: tuple[Samples, Ints], stages: Ints
) -> Ints:
    """Return the last sample to which a tube may go on from each without a tie, whichever stage it is."""
    places, stops = looked
    owners = places.owners[stops]
    last = np.searchsorted(owners, owners, side="right") - 1
    softness = [softness_of(tube.kind) for tube in tubes]
    radii = np.array([tube.kind.outside_mm / 2 for tube in tubes])[places.owners]
    for stage, cabinet in enumerate(cabinets):
        there = stages <= stage
        excused = _excused(cabinet, tubes, places, np.nonzero(there)[0])
        rooms = rooms_under(cabinet, Places(places.points, places.tangents, radii, excused))
        held = farthest_held(places, stops, rooms, softness, cabinet.down)
        last = np.where(there[owners], np.minimum(last, held), last)
    return frozen_ints(last)


def _excused(cabinet: Cabinet, tubes: Sequence[Tube], samples: Samples, there: Ints) -> Ints:
    """Return for each sample the solids that carry its tube's nipples, where they are that near."""
    excused = np.full((len(samples.along), 2), NOBODY, np.int64)
    windows = windows_of(cabinet, [tubes[k] for k in there.tolist()])
    for k, solid, begin, end in zip(
        windows.tubes.tolist(), windows.solids.tolist(), windows.begins, windows.ends, strict=True
    ):
        first, beyond = samples.firsts[there[k]], samples.firsts[there[k] + 1]
        low, high = np.searchsorted(samples.along[first:beyond], [begin, end])
        excused[first + low : first + high + 1, int(begin > 0)] = solid
    return excused


def _tied_to(places: TiePlaces, sample: int, cabinet: Cabinet) -> str:
    reach = ON_WOOD_MM if places.bundled[sample] else FROM_AFAR_MM
    if places.solids[sample] != NOBODY and places.off_mm[sample] <= reach:
        return cabinet.solids[int(places.solids[sample])].name
    return BUNDLE
