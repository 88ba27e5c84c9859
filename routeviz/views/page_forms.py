"""The forms of solids on the page: points, triangles and edges, those that are alike only once.

What stands where, and how it looks, is in page_things.py.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from routeviz.cabinet.solids import Solid
from routeviz.geometry.arrays import Floats, Ints, frozen
from routeviz.views.items import solid_skins, space_lines
from routeviz.views.page_numbers import DECIMALS, packed, packed_counts


@dataclass(frozen=True, slots=True, kw_only=True)
class Standing:
    """Which form a solid has, and where its zero stands.

    Parameters
    ----------
    form : int
        Its place in the list of forms.
    at : array, shape (3,)
        In the case's frame, at rest.
    """

    form: int
    at: Floats


@dataclass(frozen=True, slots=True, kw_only=True)
class Forms:
    """The forms of many solids.

    Parameters
    ----------
    entries : tuple of dict
        As the page's data lists them.
    points : tuple of array, shape (n, 3)
        The corners of each.
    """

    entries: tuple[dict[str, Any], ...]
    points: tuple[Floats, ...]


def forms_of(
    solids: Sequence[Solid], spaces: Sequence[Solid]
) -> tuple[Forms, list[Standing], list[Standing]]:
    """Return the forms that solids and spaces have.

    Parameters
    ----------
    solids, spaces : sequence of Solid
        What is drawn with faces, and what is hatched.

    Returns
    -------
    forms : Forms
        Each once, in the order of the first that has it.
    solids, spaces : list of Standing
        One each.
    """
    numbers: dict[bytes, int] = {}
    entries: list[dict[str, Any]] = []
    points: list[Floats] = []
    standing: list[Standing] = []
    for index, solid in enumerate([*solids, *spaces]):
        is_space = index >= len(solids)
        at = frozen(np.round(solid.pieces.origins[0], DECIMALS) + 0.0)
        number = numbers.setdefault(_likeness(solid, is_space=is_space), len(entries))
        if number == len(entries):
            corners, entry = _form(solid, at, is_space=is_space)
            entries.append(entry)
            points.append(corners)
        standing.append(Standing(form=number, at=at))
    forms = Forms(entries=tuple(entries), points=tuple(points))
    return forms, standing[: len(solids)], standing[len(solids) :]


def _likeness(solid: Solid, *, is_space: bool) -> bytes:
    """Return what two solids share exactly where one is the other, shifted."""
    pieces = solid.pieces
    near = [
        pieces.rotations,
        pieces.origins - pieces.origins[0],
        pieces.halves,
        pieces.radii,
        pieces.corners,
        pieces.begins,
    ]
    words = f"{solid.kind == 'keyboard'} {solid.look} {is_space} {len(pieces.halves)} "
    return words.encode() + b"".join((np.round(a, DECIMALS) + 0.0).astype("<f8").tobytes() for a in near)


def _form(solid: Solid, at: Floats, *, is_space: bool) -> tuple[Floats, dict[str, Any]]:
    ((skin, bands),) = solid_skins([solid])
    edges = space_lines(solid) if is_space else skin.edges
    every = np.concatenate([skin.points, edges.reshape(-1, 3)]) - at
    points, number = np.unique(np.round(every, DECIMALS) + 0.0, axis=0, return_inverse=True)
    numbers = number.ravel()
    triangles = numbers[skin.triangles]
    a, b, c = triangles.T
    stays = (a != b) & (b != c) & (c != a)
    lines = _lines(numbers[len(skin.points) :].reshape(-1, 2))
    second = int(np.count_nonzero(stays & (bands == 0)))
    entry = {
        "points": packed(points),
        "triangles": packed_counts(triangles[stays]),
        "second": second if bands.any() else None,
        "lines": packed_counts(lines),
        "edges": len(_lines(numbers[len(skin.points) :].reshape(-1, 2)[: len(skin.edges)])),
    }
    return np.asarray(points), entry


def _lines(ends: Ints) -> Ints:
    """Return lines between numbered points, each once and in their order; none of no length."""
    sorted_ends = np.sort(ends, axis=1)
    _, first = np.unique(sorted_ends, axis=0, return_index=True)
    kept = sorted_ends[np.sort(first)]
    return np.asarray(kept[kept[:, 0] != kept[:, 1]])
