"""The bounds behind sweeps.py: how near what is in a cell can come to a piece at least.

Let y be a point of the cell, d its distance from the piece, g the slope of the distance there (a unit vector
away from the piece's nearest point). The distance is convex, so at any point x it is at least d + g.(x - y).
What remains is how far against g the points of the cell lie from y: along the tangent, through the bend,
through the turn of the body, and across the section, which reaches r sin(a) against g, a the angle between g
and the tangent. Where that is not enough, at the rim of a flat end near a corner, a y nearer to the piece
gives a better plane.
"""

import math

from routeviz.geometry.arrays import Floats
from routeviz.geometry.cells import (
    ACROSS,
    ASIDE,
    BEND,
    BY_LENGTH,
    BY_SECTION,
    BY_TRAVEL,
    HALF,
    HALVE,
    HIGH,
    INTO,
    LEAST,
    NOT_AGAIN,
    PART,
    RADIUS,
    SIDE,
    TRAVEL,
    Task,
    crossed,
    dot,
    frame_at,
    inner_edge,
    moved,
    note,
)
from routeviz.geometry.compiled import inner
from routeviz.geometry.distances import BODY, FULL, KIND, SKIN, THICK, Point, nearest_on
from routeviz.geometry.shapes import HINGED, SLIDING, STILL

MOST_PLANES = 16  # tries to find the section's nearest point; beyond it halving is as good
LOST = 2e-13  # by how much rounding may misplace a nearest point two metres away; over d, a slope
EDGEWISE = 0.25  # slope across a section below which halving it does more than halving length or travel
ENOUGH = 0.25  # share of the tolerance that a bound may lose before something is halved for it


@inner
def look(task: Task, link: int, piece: int, row: int, cells: Floats, i: int) -> None:
    """Write a cell's proven least and what to halve next; note a nearer place where one is found."""
    if cells[i, SIDE] < 0.0:
        look_at_whole_section(task, link, piece, row, cells, i)
    else:
        look_at_square(task, link, piece, row, cells, i)


@inner
def look_at_whole_section(  # noqa: C901, PLR0915  one loop with its state: a call for each step compiles slower
    task: Task, link: int, piece: int, row: int, cells: Floats, i: int
) -> None:
    """Do what ``look`` does where the cell holds the whole section.

    Planes are taken at the centreline, at the rim that they point to, and where the section is nearest to the
    nearest point so far. Any mixture of planes is one too; the best of the last mixture and the newest
    is kept. Where an overlap is known, it is enough to keep a section free that is thinner by that overlap.
    """
    radius, body = task.links[link, RADIUS], int(task.swept.pieces[piece, BODY])
    enough, into, travel = ENOUGH * task.tolerance, cells[i, INTO], cells[i, TRAVEL]
    apart = surely_apart(task.swept.pieces, piece)
    point, tangent, normal = frame_at(task, link, body, into, travel)
    across = crossed(tangent, normal)
    u, v, best_u, best_v, nearest_yet, height = 0.0, 0.0, 0.0, 0.0, math.inf, 0.0
    by_length, by_travel, slope, parts, meets = 0.0, 0.0, (0.0, 0.0, 0.0), (0.0, 0.0, 0.0), point
    for tries in range(MOST_PLANES):
        thin = thinner(task, row, radius)
        base = moved(point, u, normal, v, across)
        distance, nearest = nearest_on(task.swept, piece, base)
        if distance <= SKIN:
            known = task.found[row, HIGH]
            note(task, row, link, piece, (into, travel, u, v))
            if tries == 0 or task.found[row, HIGH] > known - enough:
                break
            u, v = to_rim(u, v, thinner(task, row, radius))
            continue
        newest = away(base, nearest, distance)
        above = distance - dot(newest, normal) * u - dot(newest, across) * v
        above -= LOST * (radius + cells[i, HALF]) / distance
        if tries > 0:
            ahead = (dot(newest, tangent), dot(newest, normal), dot(newest, across))
            share = best_share(parts, height, ahead, above, thin)
            newest = moved((0.0, 0.0, 0.0), 1.0 - share, slope, share, newest)
            above = (1.0 - share) * height + share * above
        slope, height = newest, above
        parts = (dot(slope, tangent), dot(slope, normal), dot(slope, across))
        drift = travel_drift(task.swept.bodies, body, slope, point, cells[i, PART], cells[i, HALF])
        tube = (radius, thin, task.links[link, BEND], apart)
        by_length, by_travel, least = of_whole_section(tube, cells, i, parts, drift, height)
        cells[i, LEAST] = max(least, cells[i, LEAST], -radius)
        if is_settled(task, row, cells[i, LEAST]):
            cells[i, HALVE] = NOT_AGAIN
            return
        if distance < nearest_yet:
            nearest_yet, best_u, best_v, meets = distance, u, v, nearest
        to_u, to_v = to_rim(parts[1], parts[2], -thin)
        roughly = by_length + by_travel >= max(enough, 2.0 * thin * abs(parts[0]))
        if tries == 0 and (roughly or (apart > 0.0 and least <= -radius)):
            best_u, best_v = to_rim(parts[1], parts[2], -radius)
            break
        lowest = height + parts[1] * to_u + parts[2] * to_v
        if tries > 0 and nearest_yet - lowest <= max(enough, by_length + by_travel):
            break
        if tries % 2 == 0:
            u, v = to_u, to_v
        else:
            offset = (meets[0] - point[0], meets[1] - point[1], meets[2] - point[2])
            u, v = drawn_in(dot(offset, normal), dot(offset, across), thin)
    if nearest_yet == math.inf:
        # On the surface, between two pieces perhaps, the rim tells what the middle does not.
        for k in range(4):
            aside, over = (radius, -radius, 0.0, 0.0)[k], (0.0, 0.0, radius, -radius)[k]
            note(task, row, link, piece, (into, travel, aside, over))
        cells[i, LEAST], cells[i, HALVE] = -radius, NOT_AGAIN
        if not is_settled(task, row, -radius):
            moves = cells[i, PART] * abs(task.swept.bodies[body, FULL])
            cells[i, HALVE] = what_to_halve(cells[i, HALF], moves, 0.0)
        return
    if by_length + by_travel > enough or cells[i, LEAST] <= -radius:
        into -= math.copysign(cells[i, HALF], parts[0])
        travel += against(task.swept.bodies, body, slope, point) * cells[i, PART]
        note(task, row, link, piece, (into, min(1.0, max(0.0, travel)), best_u, best_v))
        cells[i, HALVE] = what_to_halve(by_length, by_travel, 0.0)
        if cells[i, HALF] <= SKIN and cells[i, PART] <= SKIN:
            cells[i, HALVE] = NOT_AGAIN
        if cells[i, HALVE] == NOT_AGAIN and radius > 0.0:
            # No plane parts the whole section from the piece; its squares may be.
            cells[i, HALVE] = BY_SECTION
        return
    note(task, row, link, piece, (into, travel, best_u, best_v))
    settled = radius == 0.0 or is_settled(task, row, cells[i, LEAST])
    cells[i, HALVE] = NOT_AGAIN if settled else BY_SECTION


@inner
def surely_apart(pieces: Floats, piece: int) -> float:
    """Return from which bound on nothing overlaps: touching a solid is not in it, touching a surface is."""
    return SKIN if pieces[piece, THICK] == 0.0 else -SKIN


@inner
def thinner(task: Task, row: int, radius: float) -> float:
    """Return the radius that must be shown to be free, so that nothing overlaps more than what is known."""
    known = float(task.found[row, HIGH])
    return max(0.0, min(radius, known + radius - 0.5 * task.tolerance))


@inner
def best_share(one: Point, height: float, other: Point, above: float, radius: float) -> float:
    """Return which share of a second plane, mixed with a first, lies highest over the whole section.

    Over the section the mixture is least at height - r |slope across|: with the share s it is
    a + b s - r sqrt(c + 2 d s + e s^2), whose one maximum has a closed form.

    Returns
    -------
    share : float
        0 to 1.
    """
    rise = above - height
    u, v = other[1] - one[1], other[2] - one[2]
    e = u * u + v * v
    if e <= SKIN * SKIN:
        return 1.0 if rise > 0.0 else 0.0
    d = one[1] * u + one[2] * v
    least = max(0.0, one[1] * one[1] + one[2] * one[2] - d * d / e)
    under = e * (radius * radius * e - rise * rise)
    if under <= 0.0:
        return 1.0 if rise > 0.0 else 0.0
    return min(1.0, max(0.0, rise * math.sqrt(least / under) - d / e))


@inner
def look_at_square(task: Task, link: int, piece: int, row: int, cells: Floats, i: int) -> None:
    """Do what ``look`` does where the cell holds a square of the section."""
    radius, body = task.links[link, RADIUS], int(task.swept.pieces[piece, BODY])
    point, tangent, normal = frame_at(task, link, body, cells[i, INTO], cells[i, TRAVEL])
    across = crossed(tangent, normal)
    u, v = drawn_in(cells[i, ASIDE], cells[i, ACROSS], radius)
    note(task, row, link, piece, (cells[i, INTO], cells[i, TRAVEL], u, v))
    edge = inner_edge(cells, i) - radius
    base = moved(point, cells[i, ASIDE], normal, cells[i, ACROSS], across)
    distance, nearest = nearest_on(task.swept, piece, base)
    by_length, by_travel, by_section, least = 0.0, 0.0, cells[i, SIDE], edge
    if distance > SKIN:
        slope = away(base, nearest, distance)
        parts = (dot(slope, tangent), dot(slope, normal), dot(slope, across))
        wider = 1.0 + task.links[link, BEND] * radius
        spread = cells[i, HALF] * wider + cells[i, SIDE] * math.sqrt(2.0)
        drift = travel_drift(task.swept.bodies, body, slope, base, cells[i, PART], spread)
        bulge = 0.5 * task.links[link, BEND] * cells[i, HALF]
        by_length = wider * cells[i, HALF] * (abs(parts[0]) + bulge)
        by_travel = drift[0]
        by_section = across_square(cells, i, parts, radius)
        least = distance - by_length - by_travel - by_section
        least = least if least >= surely_apart(task.swept.pieces, piece) else edge
    cells[i, LEAST] = max(least, cells[i, LEAST], -radius)
    settled = is_settled(task, row, cells[i, LEAST])
    cells[i, HALVE] = NOT_AGAIN if settled else what_to_halve(by_length, by_travel, by_section)


@inner
def is_settled(task: Task, row: int, least: float) -> bool:
    """Return whether what comes no nearer than this need not be looked at more closely."""
    return least > task.reach or least >= task.found[row, HIGH] - task.tolerance


@inner
def away(base: Point, nearest: Point, distance: float) -> Point:
    """Return the unit vector from a piece's nearest point to a point off the piece."""
    return (
        (base[0] - nearest[0]) / distance,
        (base[1] - nearest[1]) / distance,
        (base[2] - nearest[2]) / distance,
    )


@inner
def to_rim(u: float, v: float, radius: float) -> tuple[float, float]:
    """Return (u, v) at the length of the radius; zero where it has no direction."""
    off = math.sqrt(u * u + v * v)
    out = radius / off if off > SKIN else 0.0
    return out * u, out * v


@inner
def drawn_in(u: float, v: float, radius: float) -> tuple[float, float]:
    """Return (u, v), drawn in to the rim of the section where it is outside."""
    off = math.sqrt(u * u + v * v)
    inward = radius / off if off > radius else 1.0
    return inward * u, inward * v


@inner
def travel_drift(
    bodies: Floats, body: int, slope: Point, point: Point, part: float, spread: float
) -> tuple[float, float]:
    """Return how far against the slope the travel takes points within ``spread`` of one, and the turn.

    A turn by a takes a point X off the axis by sin(a) w x X - (1 - cos(a)) X, X across the axis; points
    within the spread add at most a times the spread.

    Returns
    -------
    drift, turn : float
        A length, and radians; 0 for what does not turn.
    """
    if bodies[body, KIND] == STILL:
        return 0.0, 0.0
    way = (bodies[body, 4], bodies[body, 5], bodies[body, 6])
    amount = part * abs(bodies[body, FULL])
    if bodies[body, KIND] == SLIDING:
        return abs(dot(slope, way)) * amount, 0.0
    arm = (point[0] - bodies[body, 1], point[1] - bodies[body, 2], point[2] - bodies[body, 3])
    outward = dot(slope, arm) - dot(slope, way) * dot(arm, way)
    sideways = abs(dot(slope, crossed(way, arm)))
    return amount * (sideways + spread + 0.5 * amount * max(0.0, outward)), amount


@inner
def against(bodies: Floats, body: int, slope: Point, point: Point) -> float:
    """Return which way along the travel leads against the slope: -1, 0 or 1."""
    if bodies[body, KIND] == STILL:
        return 0.0
    way = (bodies[body, 4], bodies[body, 5], bodies[body, 6])
    if bodies[body, KIND] == HINGED:
        way = crossed(
            way, (point[0] - bodies[body, 1], point[1] - bodies[body, 2], point[2] - bodies[body, 3])
        )
    return 1.0 if dot(slope, way) * bodies[body, FULL] >= 0.0 else -1.0


@inner
def of_whole_section(
    tube: tuple[float, float, float, float],
    cells: Floats,
    i: int,
    parts: Point,
    drift: tuple[float, float],
    height: float,
) -> tuple[float, float, float]:
    """Return what length and travel take off, and the least, for the whole section of the tube.

    The section reaches r sin(a) against the slope, a the angle between slope and tangent; over the cell a
    changes by at most the bend and the turn, and sin(a + e) <= sin(a) + e cos(a). Where the tube is thick
    enough to reach the piece, the least tells how much thinner it would have to be: the radius that is surely
    free, less the radius.

    Returns
    -------
    by_length, by_travel, least : float
        ``height`` is the plane's, above the centreline in the cell's middle.
    """
    radius, thin, bend, apart = tube
    half, turn = cells[i, HALF], drift[1]
    steep = abs(parts[0])
    reaching = math.sqrt(parts[1] * parts[1] + parts[2] * parts[2])
    widest = min(math.sqrt(steep * steep + reaching * reaching), reaching + steep * (bend * half + turn))
    by_length = steep * half + 0.5 * bend * half * half * max(0.0, -parts[1])
    free = height - by_length - drift[0]
    tilting = radius * (widest - reaching) / max(SKIN, bend * half + turn)
    by_length, by_travel = by_length + tilting * bend * half, drift[0] + tilting * turn
    least = free - radius * widest
    if least >= apart:
        return by_length, by_travel, least
    if free - thin * widest >= apart:
        return by_length, by_travel, thin - radius
    # What is left of the height may be rounding, and so may the width that it is divided by.
    least = max(free - SKIN, 0.0) / max(widest, SKIN) - radius
    return by_length / max(widest, EDGEWISE), by_travel / max(widest, EDGEWISE), least


@inner
def across_square(cells: Floats, i: int, parts: Point, radius: float) -> float:
    """Return how far against the slope a square's part of the section reaches from the square's middle."""
    over_square = cells[i, SIDE] * (abs(parts[1]) + abs(parts[2]))
    over_section = radius * math.sqrt(parts[1] * parts[1] + parts[2] * parts[2])
    over_section += parts[1] * cells[i, ASIDE] + parts[2] * cells[i, ACROSS]
    return float(min(over_square, max(0.0, over_section)))


@inner
def what_to_halve(by_length: float, by_travel: float, by_section: float) -> float:
    """Return what takes most off the bound."""
    if max(by_length, by_travel, by_section) <= 0.1 * SKIN:
        return NOT_AGAIN
    if by_section >= by_length and by_section >= by_travel:
        return BY_SECTION
    return BY_LENGTH if by_length >= by_travel else BY_TRAVEL
