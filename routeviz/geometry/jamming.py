"""Whether nearly fitting circles can be brought to fit, by small moves from linear programmes.

Where they come from is in jostling.py and packing.py.
"""

import numpy as np

from routeviz.geometry.arrays import Floats, Ints
from routeviz.geometry.compiled import compiled
from routeviz.geometry.jostling import Rim, away_from, cell_of, least_room, list_pairs

# Rounds of linear programmes; from a penalty minimum four to eight suffice, measured on N <= 37 in a circle.
ROUNDS = 12
# A round that leaves more than this share of the overlap is the last.
GAIN = 0.5
# The first move is at most this share of the size; it shrinks with the overlap left.
TRUST = 0.1
# Solved for this much more room than asked, as a share of the move, so that the solver's tolerance does no
# harm.
SPARE = 1e-6


def jam(points: Floats, halves: Floats, extra: float, rim: Rim) -> Floats:
    """Return the positions after rounds of linear programmes that make the least room as large as needed.

    Distances are convex in the positions, so what the linear programme allows is allowed; each round starts
    from the last one's positions (compare S. Torquato and Y. Jiao, Phys. Rev. E 82 (2010) 061302).

    Parameters
    ----------
    points : array, shape (n, 2)
        Centres, nearly fitting.
    halves : array, shape (n,)
        Half the distance each keeps from an equal neighbour.
    extra : float
        What a centre keeps from the rim beyond its half.
    rim : Rim
        As for ``settle``.

    Returns
    -------
    points : array, shape (n, 2)
        The best positions met.
    """
    size = 2.0 * float(halves.min())
    best, room, trust = points, least_room(points, halves, extra, rim), TRUST * size
    for _ in range(ROUNDS):
        if room >= 0.0:
            break
        trust = min(trust, max(-20.0 * room, 1e-7 * size))
        moved = best + _best_move(best, halves, extra, rim, trust)
        moved_room = least_room(moved, halves, extra, rim)
        # Near a packing each round takes most of the overlap away; where one does not, circles are stuck.
        if moved_room < GAIN * room:
            break
        best, room = moved, moved_room
    return best


def _best_move(points: Floats, halves: Floats, extra: float, rim: Rim, trust: float) -> Floats:
    """Return the move, at most the trust along each axis, that gives the most room up to the spare."""
    # A quarter of a second to import, and hardly any passage is so full that it is needed.
    from scipy.optimize import linprog

    n = len(points)
    places, values, bound = room_rows(points, halves, extra, rim, trust)
    # Unknowns are the moves in units of the trust, and the room won; the programme is solved in these units.
    matrix = np.zeros((len(bound), 2 * n + 1))
    np.add.at(matrix, (np.arange(len(bound))[:, None], places), values)
    aim = np.zeros(2 * n + 1)
    aim[-1] = -1.0
    limits = [(-1.0, 1.0)] * (2 * n) + [(-1e3, SPARE)]
    answer = linprog(aim, A_ub=matrix, b_ub=bound, bounds=limits, method="highs")
    if answer.x is None:
        return np.zeros_like(points)
    return np.asarray(answer.x[:-1].reshape(n, 2) * trust)


@compiled
def room_rows(
    points: Floats, halves: Floats, extra: float, rim: Rim, trust: float
) -> tuple[Ints, Floats, Floats]:
    """Return the rows, five places and values each, and their right-hand sides: the room in trusts."""
    reach = halves[0]
    for half in halves:
        reach = min(reach, half)
    pairs = list_pairs(points, halves, 1.0 + 2.0 * trust / reach)
    most = len(pairs) + len(points) * len(rim.edges)
    places, values = np.zeros((most, 5), dtype=np.int64), np.zeros((most, 5))
    bound = np.empty(most)
    for k in range(most):
        values[k, 4], places[k, 4] = 1.0, 2 * len(points)
    for k in range(len(pairs)):
        i, j = pairs[k, 0], pairs[k, 1]
        ux, uy = points[j, 0] - points[i, 0], points[j, 1] - points[i, 1]
        distance = max(1e-300, np.sqrt(ux * ux + uy * uy))
        places[k, 0], places[k, 1], places[k, 2], places[k, 3] = 2 * i, 2 * i + 1, 2 * j, 2 * j + 1
        values[k, 0], values[k, 1] = ux / distance, uy / distance
        values[k, 2], values[k, 3] = -ux / distance, -uy / distance
        bound[k] = (distance - halves[i] - halves[j]) / trust
    count = len(pairs)
    for i in range(len(points)):
        cell = cell_of(points[i, 0], points[i, 1], rim)
        for k in range(rim.begins[cell], rim.begins[cell + 1]):
            distance, nx, ny = away_from(points[i, 0], points[i, 1], rim.edges, rim.near[k])
            room = distance - halves[i] - extra
            if room < 2.0 * trust:
                places[count, 0], places[count, 1] = 2 * i, 2 * i + 1
                values[count, 0], values[count, 1] = -nx, -ny
                bound[count] = room / trust
                count += 1
    return places[:count], values[:count], bound[:count]
