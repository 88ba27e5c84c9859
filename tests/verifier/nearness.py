"""Exact distances of many straight pieces at once, in plain numpy: from boxes, and from one another.

The round bar about a piece, its ends rounded too, holds the flat-ended one: what keeps off the first keeps
off the second. What does not is for python-fcl to decide (distances.py).
"""

import numpy as np

CHUNK = 200_000  # pairs at a time, so that memory stays small


def from_boxes(begins: np.ndarray, ends: np.ndarray, halves: np.ndarray) -> np.ndarray:
    """Distances of segments (n, 3) from boxes about the origin, half sizes (n, 3) or (3,).

    The squared distance along a segment is convex and made of parabolas that join where the segment crosses
    a face's plane: its slope is straight between those places, so its zero is found exactly.
    """
    way = ends - begins
    halves = np.broadcast_to(halves, begins.shape)
    with np.errstate(divide="ignore", invalid="ignore"):
        breaks = np.concatenate([(halves - begins) / way, (-halves - begins) / way], axis=1)
    breaks = np.clip(np.nan_to_num(breaks, nan=0.0, posinf=1.0, neginf=0.0), 0.0, 1.0)
    breaks = np.sort(
        np.concatenate([breaks, np.zeros((len(way), 1)), np.ones((len(way), 1))], axis=1), axis=1
    )
    at = begins[:, None, :] + breaks[:, :, None] * way[:, None, :]
    off = np.sign(at) * np.maximum(np.abs(at) - halves[:, None, :], 0.0)
    slopes = (off * way[:, None, :]).sum(axis=2)
    # the last place whose slope is not yet above zero, and the one after it
    low = np.maximum((slopes <= 0).sum(axis=1) - 1, 0)
    high = np.minimum(low + 1, breaks.shape[1] - 1)
    rows = np.arange(len(way))
    s0, s1 = slopes[rows, low], slopes[rows, high]
    rise = np.where(s1 > s0, s1 - s0, 1.0)
    share = np.where((s0 < 0) & (s1 > s0), np.clip(-s0 / rise, 0.0, 1.0), 0.0)
    best = breaks[rows, low] + share * (breaks[rows, high] - breaks[rows, low])
    return off_box(begins + best[:, None] * way, halves)


def off_box(points: np.ndarray, halves: np.ndarray) -> np.ndarray:
    """Distances of points from boxes about the origin; 0 inside."""
    return np.linalg.norm(np.maximum(np.abs(points) - halves, 0.0), axis=-1)


def between_segments(p: np.ndarray, q: np.ndarray, r: np.ndarray, s: np.ndarray) -> np.ndarray:
    """Distances of segments p-q from segments r-s, all (n, 3): at an end, or inside both."""
    a, b, w = q - p, s - r, p - r
    aa, ab, bb = (a * a).sum(1), (a * b).sum(1), (b * b).sum(1)
    aw, bw = (a * w).sum(1), (b * w).sum(1)
    flat = aa * bb - ab * ab
    safe = np.where(flat > 1e-12 * aa * bb, flat, 1.0)
    t, u = (ab * bw - bb * aw) / safe, (aa * bw - ab * aw) / safe
    inside = (flat > 1e-12 * aa * bb) & (t > 0) & (t < 1) & (u > 0) & (u < 1)
    across = np.where(inside, np.linalg.norm(w + t[:, None] * a - u[:, None] * b, axis=1), np.inf)
    ends = [_off_segment(p, r, b), _off_segment(q, r, b), _off_segment(r, p, a), _off_segment(s, p, a)]
    return np.minimum(across, np.minimum.reduce(ends))


def _off_segment(points: np.ndarray, begins: np.ndarray, ways: np.ndarray) -> np.ndarray:
    long = np.maximum((ways * ways).sum(1), 1e-300)
    share = np.clip(((points - begins) * ways).sum(1) / long, 0.0, 1.0)
    return np.linalg.norm(points - begins - share[:, None] * ways, axis=1)


def in_chunks(count: int) -> list[slice]:
    """Slices of so many pairs."""
    return [slice(at, at + CHUNK) for at in range(0, count, CHUNK)]
