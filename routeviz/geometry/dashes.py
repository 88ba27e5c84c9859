"""Lines broken into dashes: straight lines that go on from one another, as round a rim, are broken as one."""

import numpy as np

from routeviz.geometry.arrays import Floats

BENDS = np.cos(np.radians(35.0))  # a line that turns more begins anew, with a whole dash at its corner
LEAST = 1e-9  # of a dash, in the unit of the lines


def dashed(lines: Floats, pattern: Floats) -> Floats:
    """Return the dashes of lines.

    Parameters
    ----------
    lines : array, shape (n, 2, d)
        Both ends of each; one that begins where the last ended goes on with it, unless it turns.
    pattern : array, shape (2k,)
        Lengths drawn and left out in turn. It is stretched or shrunk so that each chain of lines begins and
        ends with its first dash; a chain that is too short for that is drawn whole.

    Returns
    -------
    dashes : array, shape (m, 2, d)
        In the order of the lines.
    """
    steps = lines[:, 1] - lines[:, 0]
    lengths = np.linalg.norm(steps, axis=1)
    keep = lengths > LEAST
    lines, steps, lengths = lines[keep], steps[keep], lengths[keep]
    if not len(lines):
        return lines
    chain = _chains(lines, steps / lengths[:, None])
    period, first = float(pattern.sum()), float(pattern[0])
    whole = np.bincount(chain, weights=lengths)
    repeats = np.round((whole - first) / period)
    stretch = whole / (np.maximum(repeats, 0.0) * period + first)
    # Each chain in lengths of the pattern, one after the other, all beginning with a period.
    begins = np.append(0.0, np.cumsum(np.maximum(repeats, 0.0) + 1.0)[:-1]) * period
    along = np.cumsum(lengths) - lengths
    along -= along[np.searchsorted(chain, np.arange(len(whole)))][chain]
    starts = begins[chain] + along / stretch[chain]
    ends = starts + lengths / stretch[chain]
    drawn = np.concatenate([[0.0], np.cumsum(pattern)])
    marks = np.arange(int(np.ceil(ends[-1] / period)))[:, None] * period
    lows, highs = (marks + drawn[:-1:2]).ravel(), (marks + drawn[1::2]).ravel()
    return _within(lines, (starts, ends), (lows, highs))


def _chains(lines: Floats, ways: Floats) -> np.ndarray:
    """Return which chain each line belongs to, rising from 0."""
    meets = np.linalg.norm(lines[1:, 0] - lines[:-1, 1], axis=1) < LEAST
    goes_on = meets & (np.einsum("ij,ij->i", ways[1:], ways[:-1]) > BENDS)
    return np.append(0, np.cumsum(~goes_on))


def _within(lines: Floats, spans: tuple[Floats, Floats], dashes: tuple[Floats, Floats]) -> Floats:
    """Return where dashes lie on lines; both are given from where to where, along one length."""
    (starts, ends), (lows, highs) = spans, dashes
    first = np.searchsorted(highs, starts, side="right")
    last = np.searchsorted(lows, ends, side="left")
    counts = np.maximum(last - first, 0)
    owner = np.repeat(np.arange(len(lines)), counts)
    number = np.arange(counts.sum()) - np.repeat(np.cumsum(counts) - counts, counts) + first[owner]
    size = (ends - starts)[owner]
    low = np.clip((lows[number] - starts[owner]) / size, 0.0, 1.0)
    high = np.clip((highs[number] - starts[owner]) / size, 0.0, 1.0)
    shares = np.stack([low, high], axis=1)[:, :, None]
    step = (lines[:, 1] - lines[:, 0])[owner][:, None]
    return np.asarray((lines[owner, 0][:, None] + shares * step)[high - low > LEAST])
