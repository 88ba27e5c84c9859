"""How far a point is from a convex piece of a solid, worked out by hand: in the piece's own axes.

Which point that is, is worked out in worked_places.py.
"""

from dataclasses import dataclass

from routeviz.archive.sums import (
    Row,
    Tables,
    Triple,
    differences,
    direction,
    figure,
    grouped,
    lengths,
    number,
    root,
    step,
    summed,
)

MOST_PIECES = 500  # of a mesh of more nobody works anything out by hand
FEW = 6  # corners that are worth listing in a line or two
ALONG = [(1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0)]  # axes that run with the case
Outline = list[tuple[float, float]]


@dataclass(frozen=True, slots=True, kw_only=True)
class Beside:
    """How far a point is from a piece: words and sums in turn, the result, what they ask of a reader."""

    told: list[str]
    parts: list[list[str]]
    result: float
    effort: tuple[int, ...]


def pieces_of(tables: Tables) -> dict[object, list[tuple[Row, Outline]]]:
    """Return by solid its pieces, each with its outline; none of a solid of very many."""
    corners = grouped(tables["solid-corners"], "solid", "piece")
    return {
        solid: [
            (one, [(figure(c, "u_mm"), figure(c, "v_mm")) for c in corners.get((solid, one["piece"]), ())])
            for one in (rows if len(rows) <= MOST_PIECES else ())
        ]
        for (solid,), rows in grouped(tables["solids"], "solid").items()
    }


def beside_piece(point: Triple, solid: Row, outline: Outline, outside: float) -> Beside | None:
    """Return the sums from a point of a tube's middle to a piece and to the tube's wall.

    Parameters
    ----------
    point : tuple of float
        In the frame of the table of solids.
    solid : Row
        The piece.
    outline : list
        Its corners; empty for a disc.
    outside : float
        The tube's outside diameter.

    Returns
    -------
    beside : Beside or None
        None where the point is inside, or takes more than these sums.
    """
    less, off = differences(point, lengths(solid, "origin_"))
    axes = [direction(solid, axis) for axis in ("first", "second", "third")]
    along = axes == ALONG
    seen = [([], value) for value in off] if along else [summed(list(zip(off, a, strict=True))) for a in axes]
    u, v, w = (value for _, value in seen)
    beyond = _beyond(solid, outline, u, v)
    if beyond is None:
        return None
    words, sums, outs = beyond
    half = figure(solid, "half_mm")
    if abs(w) > half:
        text, out = step(f"{number(abs(w))} - {number(half)}", abs(w) - half)
        sums, outs = [*sums, text], [*outs, out]
    if not outs:
        return None
    distance = outs[0]
    if len(outs) > 1:
        text, distance = root(outs)
        sums = [*sums, text]
    text, result = step(f"{number(distance)} - {number(outside)} / 2", distance - outside / 2)
    origin = f"That point less the origin of the solid's piece {solid['piece']} in tables/solids.csv"
    told = [
        f"{origin}; its axes run with the case, so these are u, v and w:" if along else f"{origin}:",
        *([] if along else ["The same along the piece's axes first, second and third: u, v and w."]),
        f"{words} Along w it reaches half_mm, {number(half)}, to either side. How far outside the point is, "
        "less the tube's half outside diameter:",
    ]
    turned = [line for lines, _ in seen for line in lines]
    parts = [less, *([turned] if turned else []), [*sums, text]]
    return Beside(told=told, parts=parts, result=result, effort=(len(outs), len(outline)))


def _beyond(solid: Row, outline: Outline, u: float, v: float) -> tuple[str, list[str], list[float]] | None:
    """Return in words, sums and lengths how far a point lies outside an outline; None where it takes more."""
    if not outline:
        return _beyond_disc(figure(solid, "radius_mm"), u, v)
    told = ", ".join(f"({a!r}, {b!r})" for a, b in outline)
    if _inside(outline, u, v):
        shown = f" of the corners (u, v) {told}" if len(outline) <= FEW else ", see tables/solid-corners.csv"
        return f"u and v lie inside its outline{shown}.", [], []
    lows, highs = ([f(one[k] for one in outline) for k in (0, 1)] for f in (min, max))
    if set(outline) != {(a, b) for a in (lows[0], highs[0]) for b in (lows[1], highs[1])}:
        return None
    steps = [
        step(f"{number(low)} - {number(value)}", low - value)
        if value < low
        else step(f"{number(value)} - {number(high)}", value - high)
        for value, low, high in zip((u, v), lows, highs, strict=True)
        if not low <= value <= high
    ]
    words = f"Its outline is a rectangle with the corners (u, v) {told}."
    return words, [text for text, _ in steps], [out for _, out in steps]


def _beyond_disc(radius: float, u: float, v: float) -> tuple[str, list[str], list[float]]:
    text, wide = root((u, v))
    words = f"It is a disc of radius {number(radius)}."
    if wide <= radius:
        return words, [text], []
    more, out = step(f"{number(wide)} - {number(radius)}", wide - radius)
    return words, [text, more], [out]


def _inside(corners: Outline, u: float, v: float) -> bool:
    pairs = zip(corners, [*corners[1:], corners[0]], strict=True)
    return all((c - a) * (v - b) - (d - b) * (u - a) >= 0 for (a, b), (c, d) in pairs)
