"""Where a tube's tag stands on a plate: inside its section where it can be read there, else in the margin.

Tags in the margin stand in two columns; which is where follows from the least sum of the leaders' lengths, in
which no two leaders of a column cross.
"""

import math
from collections.abc import Mapping, Sequence

import numpy as np
from scipy.optimize import linear_sum_assignment

from routeviz.views.plate_faces import Section
from routeviz.views.plate_text import DIGIT_EM, element, number, shortened, wide_em, written

INSIDE_MM = (2.0, 3.8)  # size of a tag in its tube: the smallest that is read at the wood, and the largest
RIM_MM = 0.35  # free between a tag and the wall about it
MARGIN_TAG_MM = 3.0  # size of a tag in the margin
SLOT_MM = 4.4  # from one tag in the margin to the next
ROOM_EM = 16.0  # what runs wider is cut off
NEXT_TO_MM = 4.0  # from the opening to the tags


def size_inside(tag: str, radius_mm: float) -> float | None:
    """Return the size in which a tag is set inside a tube's section; None where it cannot be read there."""
    half = math.hypot(wide_em(tag), DIGIT_EM) / 2
    size = min((radius_mm - RIM_MM) / half, INSIDE_MM[1])
    return size if size >= INSIDE_MM[0] else None


def tag_inside(section: Section, tag: str, size: float) -> str:
    """Return a tag in the middle of its tube."""
    x, y = section.at
    return written((x, y + DIGIT_EM * size / 2), tag, size, "tag", text_anchor="middle")


def column_height(outside: Sequence[Section]) -> float:
    """Return how high the tags in the margin stand, the higher column of the two."""
    return max(map(len, _columns(outside))) * SLOT_MM


def column_width(outside: Sequence[Section], tags: Mapping[int, str]) -> float:
    """Return how wide the tags in the margin run, from the opening on; 0 without any."""
    widths = [wide_em(shortened(tags[s.tube], ROOM_EM)) * MARGIN_TAG_MM + NEXT_TO_MM for s in outside]
    return max(widths, default=0.0)


def in_margin(outside: Sequence[Section], tags: Mapping[int, str], half_wide_mm: float) -> dict[int, str]:
    """Return tags in the margin with their leaders, by where their section stands in ``outside``.

    Parameters
    ----------
    outside : sequence of Section
        Whose tags do not fit inside.
    tags : mapping of str
        By tube.
    half_wide_mm : float
        Of the opening.

    Returns
    -------
    svg : dict of str
        A leader that ends with a dot in the middle of its tube, and the tag.
    """
    found: dict[int, str] = {}
    for side, rows in zip((-1, 1), _columns(outside), strict=True):
        spots = np.array([outside[k].at for k in rows]).reshape(-1, 2)
        heights = (np.arange(len(rows)) - (len(rows) - 1) / 2) * SLOT_MM
        begin = side * (half_wide_mm + NEXT_TO_MM)
        lengths = np.hypot(spots[:, :1] - begin, spots[:, 1:] - heights[None])
        for row, slot in zip(*linear_sum_assignment(lengths), strict=True):
            section = outside[rows[row]]
            found[rows[row]] = _led(section, tags[section.tube], (begin, float(heights[slot])), side)
    return found


def _columns(outside: Sequence[Section]) -> tuple[list[int], list[int]]:
    """Return which sections are told at the left and which at the right: half of them each."""
    order = sorted(range(len(outside)), key=lambda k: (outside[k].at, k))
    return order[: len(order) // 2], order[len(order) // 2 :]


def _led(section: Section, tag: str, at: tuple[float, float], side: int) -> str:
    x, y = section.at
    line = element(
        "path",
        **{"class": "plate-leader"},
        d=f"M{number(at[0])} {number(at[1])}L{number(x)} {number(y)}",
        fill="none",
        stroke="currentColor",
        stroke_width="0.15",
    )
    dot = element("circle", cx=number(x), cy=number(y), r="0.4", **{"class": "plate-dot"})
    text = written(
        (at[0] + side * 0.8, at[1] + DIGIT_EM * MARGIN_TAG_MM / 2),
        shortened(tag, ROOM_EM),
        MARGIN_TAG_MM,
        "tag",
        text_anchor="start" if side > 0 else "end",
    )
    return line + dot + text
