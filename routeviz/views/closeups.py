"""From where each finding can really be seen, and what must fade so that it can.

An eye is tried in every direction; what stands on its line of sight is counted. Where nothing is clear, the
direction with least in its way is taken, and that is faded. What stands about a place is in surroundings.py.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from routeviz.cabinet.motions import Fixed
from routeviz.cabinet.solids import Cabinet
from routeviz.checks.findings import Finding
from routeviz.geometry.arrays import Floats, Ints
from routeviz.geometry.curves import points_along, tangents_along
from routeviz.geometry.frames import unit
from routeviz.geometry.sight import directions_around, first_met
from routeviz.geometry.skins import chosen
from routeviz.tubes.measured import Measured, Nearest
from routeviz.tubes.routes import Tube
from routeviz.views.cameras import SLOPE, Side, View, axes_of, looking
from routeviz.views.surroundings import Surroundings, between, surroundings, with_moved, within_reach

DIRECTIONS = directions_around(240)  # 14 degrees apart: finer ones look alike
FRONT = unit((0.3, -1.0, 0.55))  # from where a fitter looks into the case
FIELD_MM = 60.0  # height of a close-up, and so many outside diameters of the tube more
FIELD_OUTSIDES = 11.0
USUAL_MM = 5.56  # outside of the tube most used, for findings about none
MOST_MM = 700.0  # largest height of a close-up
FAR = 6.0  # times the distance of the place shown, to which it is looked what is seen
EYES = 32  # that are tried at once, the least awkward first
NEAR = 0.8  # share of the line of sight that is cleared round about: what is nearer frames nothing, it hides


@dataclass(frozen=True, slots=True, kw_only=True)
class Closeup:
    """How a finding is shown from near by.

    Parameters
    ----------
    number : int
        The finding's.
    view : View
        From where.
    faded : frozenset of str
        Solids and tubes that stand in the way and are drawn faintly.
    moved : tuple of str and float, or None
        The moving solid, and where in its travel it is shown.
    about : tuple of str
        Tubes and solids that the finding is about.
    """

    number: int
    view: View
    faded: frozenset[str]
    moved: tuple[str, float] | None
    about: tuple[str, ...]


def closeup(
    number: int, finding: Finding, cabinet: Cabinet, tubes: Sequence[Tube], measured: Measured
) -> Closeup | None:
    """Return how a finding is best seen, or None for one that has no place.

    Parameters
    ----------
    number : int
        The finding's.
    finding : Finding
        What is shown.
    cabinet, tubes, measured
        What it is found in.

    Returns
    -------
    closeup : Closeup or None
        The same for the same input, always.
    """
    return next(iter(closeups_of([(number, finding)], cabinet, tubes, measured)), None)


def closeups_of(
    numbered: Sequence[tuple[int, Finding]], cabinet: Cabinet, tubes: Sequence[Tube], measured: Measured
) -> tuple[Closeup, ...]:
    """Return how findings are best seen, in their order; those that have no place are left out."""
    found = []
    resting = surroundings(cabinet, tubes, None)
    for number, finding in numbered:
        if finding.point is not None:
            moved = moved_in(finding, cabinet)
            around = resting if moved is None else with_moved(resting, cabinet, moved)
            view, faded = _seen(finding, finding.point, around, (cabinet, tubes, measured))
            view = replace(view, name=f"fault-{number:02d}")
            about = about_of(finding)
            found.append(Closeup(number=number, view=view, faded=faded, moved=moved, about=about))
    return tuple(found)


def _seen(
    finding: Finding, point: Floats, around: Surroundings, known: tuple[Cabinet, Sequence[Tube], Measured]
) -> tuple[View, frozenset[str]]:
    """Return from where a finding is best seen at its place, and what must fade for it."""
    cabinet, tubes, measured = known
    here = [nipple.name for nipple in cabinet.nipples.values() if np.array_equal(nipple.tip, point)]
    about = (*about_of(finding), *here)  # what is to be seen hides nothing
    height = _height_mm(finding, cabinet, tubes)
    distance = 0.5 * height / SLOPE
    tube = next((t for t in tubes if t.name == finding.tube), None)
    targets = [point, *_beside(finding, tube, height)]
    around = within_reach(around, point, distance + height)
    awkward = _awkward(finding, tube, tubes, measured)
    best, hidden = _best(point + distance * DIRECTIONS, targets, around, about, awkward)
    side = Side(name="", title="", out=DIRECTIONS[best], up=(0, 0, 1), parallel=False)
    view = looking(side, point, distance)
    hides, in_way = hidden[0] > 0.0, np.any(hidden, axis=0) | _in_front(view, around, about)
    names = (*around.names, *around.tubes)
    # What the finding is about is faded only where it hides the very place.
    faded = frozenset(
        name for name, h, w in zip(names, hides, in_way, strict=True) if h or (w and name not in about)
    )
    return view, faded


def _best(
    eyes: Floats, targets: Sequence[Floats], around: Surroundings, about: Sequence[str], awkward: Floats
) -> tuple[int, list[Floats]]:
    """Return the eye with least in its way and least awkward, and what hides each target from it.

    None is tried that cannot be that any more.
    """  # noqa: DOC201
    total = np.full(len(eyes), np.inf)
    best, hides = -1, [np.zeros(0)]
    order = np.argsort(awkward, kind="stable")
    for begin in range(0, len(order), EYES):
        some = order[begin : begin + EYES]
        if awkward[some[0]] > total.min():
            break
        hidden = [between(eyes[some], target, around, about) for target in targets]
        total[some] = awkward[some] + _blame(hidden, around)
        if best != int(np.argmin(total)):
            best = int(np.argmin(total))
            hides = [rows[some == best][0] for rows in hidden]
    return best, hides


def about_of(finding: Finding) -> tuple[str, ...]:
    """Return the tubes and solids that a finding is about."""
    return tuple(name for name in (finding.tube, finding.other) if name is not None)


def moved_in(finding: Finding, cabinet: Cabinet) -> tuple[str, float] | None:
    """Return the moving solid of a finding and where in its travel it is meant, or None."""
    if finding.travel is None:
        return None
    for solid in cabinet.solids:
        if solid.name == finding.other and not isinstance(solid.movement, Fixed):
            return solid.name, float(finding.travel)
    return None


@dataclass(frozen=True, slots=True, kw_only=True)
class Sight:
    """What is seen where in a close-up.

    Parameters
    ----------
    cells : array of int, shape (down, across)
        For each cell of the picture the first solid there that is not faded, -1 for none; solids with one
        name in ``names`` have one number.
    names : mapping
        By that number what is seen: a part, or a single solid that the finding is about.
    """

    cells: Ints
    names: dict[int, str]


def in_sight(closeup: Closeup, around: Surroundings, aspect: float, grid: tuple[int, int]) -> Sight:
    """Return what is seen where in a close-up.

    Parameters
    ----------
    closeup : Closeup
        From where, and what is faded.
    around : Surroundings
        Everything, moved as the close-up shows it.
    aspect : float
        Width over height of the picture.
    grid : tuple of int
        Cells across and down.

    Returns
    -------
    sight : Sight
        By the rays through the middles of the cells.
    """
    right, above, _ = axes_of(closeup.view)
    across = ((np.arange(grid[0]) + 0.5) / grid[0] - 0.5) * closeup.view.height_mm * aspect
    down = (0.5 - (np.arange(grid[1]) + 0.5) / grid[1]) * closeup.view.height_mm
    places = closeup.view.target + down[:, None, None] * above + across[None, :, None] * right
    far = closeup.view.eye + FAR * (places.reshape(-1, 3) - closeup.view.eye)
    stays = np.array([name not in closeup.faded for name in around.names], dtype=bool)
    pieces = chosen(around.pieces, stays[around.pieces.bodies])
    met = first_met(closeup.view.eye, far, pieces)
    about = {p for n, p in zip(around.names, around.parts, strict=True) if n in closeup.about}
    texts = [n if n in closeup.about else p for n, p in zip(around.names, around.parts, strict=True)]
    numbers = {text: number for number, text in enumerate(dict.fromkeys(texts))}
    by_solid = np.array([numbers[text] for text in texts] + [-1], dtype=np.int64)
    return Sight(
        cells=by_solid[met].reshape(grid[1], grid[0]),
        names={number: text for text, number in numbers.items() if text not in about - set(closeup.about)},
    )


def _in_front(view: View, around: Surroundings, about: Sequence[str]) -> NDArray[np.bool_]:
    """Return what stands well before the place shown, near the middle of the picture."""
    out = unit(view.eye - view.target)
    right = unit(np.cross(view.up, out))
    above = np.cross(out, right)
    turns = (np.arange(12) * (np.pi / 6.0))[:, None]
    rim = view.target + 0.36 * view.height_mm * (np.cos(turns) * right + np.sin(turns) * above)
    hidden = between(view.eye + NEAR * (rim - view.eye), view.eye, around, about)
    return np.asarray(hidden.any(axis=0))


def _beside(finding: Finding, tube: Tube | None, height_mm: float) -> list[Floats]:
    """Return two places on the tube a little before and after the finding's."""
    at = _along_mm(finding, tube)
    if tube is None or tube.curve is None or at is None:
        return []
    whole = float(tube.curve.begins[-1])
    along = np.clip(at + np.array([-0.15, 0.15]) * height_mm, 0.0, whole)
    return list(points_along(tube.curve, along))


def _along_mm(finding: Finding, tube: Tube | None) -> float | None:
    """Return where on its tube a finding is: as it says, or the end of the tube at which its place is."""
    if finding.along_mm is not None or finding.point is None or tube is None or tube.curve is None:
        return finding.along_mm
    ends = ((tube.start.point, 0.0), (tube.end.point, float(tube.curve.begins[-1])))
    return next(
        (at for point, at in ends if point is not None and np.array_equal(point, finding.point)), None
    )


def _height_mm(finding: Finding, cabinet: Cabinet, tubes: Sequence[Tube]) -> float:
    sizes = [t.kind.outside_mm for t in tubes if t.name in (finding.tube, finding.other)]
    height = FIELD_MM + FIELD_OUTSIDES * max(sizes, default=USUAL_MM)
    passage = cabinet.passages.get(finding.other or "")
    if passage is not None:
        height = max(height, 1.6 * float(np.linalg.norm(np.ptp(passage.outline, axis=0))))
    return min(height, MOST_MM)


def _blame(hidden: Sequence[Floats], around: Surroundings) -> Floats:
    """Return how much is in the way of each eye: solids count more than tubes, the place itself most."""
    weights = np.array([5.0] * len(around.names) + [3.0] * len(around.tubes))
    return np.asarray(sum((1.0 if k == 0 else 0.25) * (h @ weights) for k, h in enumerate(hidden)))


def _awkward(finding: Finding, tube: Tube | None, tubes: Sequence[Tube], measured: Measured) -> Floats:
    """Return how awkwardly each direction looks: from behind or below, along the tube, or along the gap."""
    awkward = 6.0 * (1.0 - DIRECTIONS @ FRONT) + 60.0 * np.maximum(np.abs(DIRECTIONS[:, 2]) - 0.7, 0.0)
    at = _along_mm(finding, tube)
    if tube is not None and tube.curve is not None and at is not None:
        along = np.clip(at, 0.0, float(tube.curve.begins[-1]))
        awkward += 3.0 * np.abs(DIRECTIONS @ tangents_along(tube.curve, [along])[0])
    gap = gap_of(finding, tubes, measured)
    if gap is not None:
        awkward += 3.0 * np.abs(DIRECTIONS @ gap)
    return np.asarray(awkward)


def gap_of(finding: Finding, tubes: Sequence[Tube], measured: Measured) -> Floats | None:
    """Return the direction from a finding's place to the other thing, or None where that is not known."""
    index = next((i for i, t in enumerate(tubes) if t.name == finding.tube), None)
    pairs: tuple[Nearest, ...] = (*measured.solids, *measured.tubes, *measured.keep_clear)
    for pair in pairs:
        if pair.tube == index and finding.point is not None and np.array_equal(pair.point, finding.point):
            away = np.asarray(pair.other_point) - finding.point
            size = float(np.linalg.norm(away))
            return away / size if size > 0.0 else None
    return None
