"""Two states of an instrument in one picture: how tubes lie and how they lay, and what stands elsewhere.

Which tubes those are is found elsewhere; here it is decided how they look. Now is dark, before is pale and
broken, so that they are told apart in grey and by everyone; what did not change is grey.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from routeviz.checks.findings import Finding
from routeviz.geometry.arrays import Floats
from routeviz.lay import Lay
from routeviz.tubes.routes import Tube
from routeviz.views.cameras import framed
from routeviz.views.display import SIDES, Display, Entry, Marker, display, outermost
from routeviz.views.items import Item, items_of
from routeviz.views.shades import LAY_BEFORE, LIES_NOW, LIES_SAME, STANDS_NOW, STOOD_BEFORE

WITHIN_MM = 0.3  # by which a tube is drawn thinner as it lay: where it lies so still, it is hidden in itself
MOST_MARKERS = 12  # the worst; more would cover the picture


@dataclass(frozen=True, slots=True, kw_only=True)
class Fates:
    """What became of things, by their names.

    Parameters
    ----------
    now : frozenset of str
        Tubes of the later state that lie elsewhere or are new.
    before : frozenset of str
        Tubes of the earlier state that lay elsewhere or are gone.
    stands : frozenset of str
        Parts of the later state that stand elsewhere, are of another form or new.
    stood : frozenset of str
        Parts of the earlier state that stood elsewhere, were of another form, or are gone.
    markers : tuple of Marker
        Places of the worst of it, with their numbers and words.
    """

    now: frozenset[str]
    before: frozenset[str]
    stands: frozenset[str]
    stood: frozenset[str]
    markers: tuple[Marker, ...]


def before_and_after(before: Lay, after: Lay, fates: Fates, title: str, aspect: float) -> Display:
    """Return what a picture of two states shows.

    Parameters
    ----------
    before, after : Lay
        The two states.
    fates : Fates
        What became of things.
    title : str
        What stands over it.
    aspect : float
        Width over height of what is seen.

    Returns
    -------
    display : Display
        Without close-ups.
    """
    shown = display(after.cabinet, after.tubes, after.measured, (), aspect=aspect)
    items = [_now(item, fates) for item in shown.items if item.kind not in ("tie", "measured")]
    items += _before(before, fates)
    points = outermost(np.concatenate([np.zeros((0, 3)), *_points(items)]))
    return replace(
        shown,
        title=title,
        items=tuple(items),
        markers=fates.markers[:MOST_MARKERS],
        labels=tuple(label for label in shown.labels if label.kind != "tube" or label.name in fates.now),
        legend=_legend(items),
        views=tuple(framed(side, points, aspect) for side in SIDES),
    )


def _points(items: Sequence[Item]) -> list[Floats]:
    return [item.points for item in items] + [item.lines.reshape(-1, 3) for item in items]


def _now(item: Item, fates: Fates) -> Item:
    if item.kind == "tube":
        return replace(item, look=LIES_NOW if item.name in fates.now else LIES_SAME)
    if item.kind == "solid" and item.name in fates.stands:
        return replace(item, look=STANDS_NOW)
    return item


def _before(before: Lay, fates: Fates) -> list[Item]:
    """Return what lay or stood elsewhere, as it was."""
    tubes = [tube for tube in before.tubes if tube.name in fates.before and tube.curve is not None]
    items = items_of(before.cabinet, tubes, [_band(tube) for tube in tubes])
    lay = [
        replace(item, look=LAY_BEFORE, marked=None, points=item.points - WITHIN_MM * item.normals)
        for item in items
        if item.kind == "tube"
    ]
    stood = [item for item in items if item.kind == "solid" and item.name in fates.stood]
    return [*lay, *(replace(item, look=STOOD_BEFORE, marked=None) for item in stood)]


def _band(tube: Tube) -> Finding:
    """Return what makes a tube be drawn in bands: those of a fault are as wide as the gaps between them."""
    return Finding(rule="", severity="fault", tube=tube.name, other=None, says="", remedy="")


def _legend(items: Sequence[Item]) -> tuple[Entry, ...]:
    looks = {item.look for item in items}
    entries = (
        Entry(text="lies so now", form="tube", look=LIES_NOW),
        Entry(text="lay so before", form="fault tube", look=LAY_BEFORE),
        Entry(text="lies as it did", form="tube", look=LIES_SAME),
        Entry(text="stands so now", form="solid", look=STANDS_NOW),
        Entry(text="stood so before", form="doubt", look=STOOD_BEFORE),
    )
    return tuple(entry for entry in entries if entry.look in looks)
