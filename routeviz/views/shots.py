"""Which look each thing takes in a view of the whole, and in one of a single finding."""

from dataclasses import dataclass, replace

import numpy as np

from routeviz.cabinet.solids import Cabinet
from routeviz.geometry.arrays import Floats
from routeviz.geometry.frames import unit
from routeviz.geometry.shapes import pose
from routeviz.views.cameras import View
from routeviz.views.closeups import Closeup
from routeviz.views.display import Display
from routeviz.views.items import Item
from routeviz.views.shades import (
    ABOUT_OPACITY,
    ALONE_OPACITY,
    GHOST_OPACITY,
    MANNERS,
    NEAR_WOOD_OPACITY,
    OPAQUE,
    REST_OPACITY,
    WALL_OPACITY,
    Look,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Drawn:
    """A thing as one view draws it.

    Parameters
    ----------
    item : Item
        Its form.
    look : Look
        The look that it takes here.
    banded : bool
        Whether its bands take the look's second colour.
    frame : array, shape (4, 4)
        Where it is, seen from where it rests.
    """

    item: Item
    look: Look
    banded: bool
    frame: Floats


def whole(display: Display, view: View) -> tuple[Drawn, ...]:
    """Return everything as a view of the whole draws it: what has a finding is marked.

    Parameters
    ----------
    display : Display
        All there is.
    view : View
        From where: a wall between the eye and all tubes is drawn by little more than its edges.

    Returns
    -------
    drawn : tuple of Drawn
        In the order of the display.
    """
    out = unit(view.eye - view.target)
    tubes = [item.points for item in display.items if item.kind == "tube"]
    nearest = float((np.concatenate(tubes) @ out).max()) if tubes else np.inf
    drawn = []
    for item in display.items:
        one = _marked(item) if item.marked is not None else _plain(item)
        is_before = item.kind == "solid" and float((item.points @ out).min()) >= nearest
        if is_before and one.look.opacity < OPAQUE:
            one = replace(one, look=replace(one.look, opacity=WALL_OPACITY))
        drawn.append(one)
    return tuple(drawn)


def alone(display: Display, tube: str) -> tuple[Drawn, ...]:
    """Return everything with one tube as it is and the rest faint, so that its whole way can be followed."""
    drawn = []
    for item in display.items:
        if item.name == tube:
            drawn.append(_marked(item) if item.marked is not None else _plain(item))
        elif item.kind in ("tube", "tie", "measured"):
            drawn.append(_faint(_plain(item), GHOST_OPACITY))
        else:
            drawn.append(_faint(_plain(item), min(item.look.opacity, ALONE_OPACITY)))
    return tuple(drawn)


def near(display: Display, closeup: Closeup, cabinet: Cabinet) -> tuple[Drawn, ...]:
    """Return everything as the view of one finding draws it.

    Only what the finding is about is marked; what hides it is faded, and the moving part is shown where it
    comes nearest, with a faint one at rest.

    Parameters
    ----------
    display : Display
        All there is.
    closeup : Closeup
        The finding's.
    cabinet : Cabinet
        How things move.

    Returns
    -------
    drawn : tuple of Drawn
        In the order of the display; the faint one beside the moved one.
    """
    drawn: list[Drawn] = []
    for item in display.items:
        one = _marked(item) if item.name in closeup.about and item.marked is not None else _plain(item)
        if closeup.moved is not None and item.kind == "solid" and item.name == closeup.moved[0]:
            index = [solid.name for solid in cabinet.solids].index(item.name)
            drawn.append(replace(one, frame=pose(cabinet.bodies, index, closeup.moved[1])))
            drawn.append(_faint(_plain(item), REST_OPACITY))
        elif item.kind == "keep clear" and item.name not in closeup.about:
            drawn.append(
                replace(one, item=replace(item, lines=item.lines[: item.edges]), look=_clear(one.look))
            )
        elif item.name in closeup.faded and item.kind != "passage":
            drawn.append(_see_through(one) if item.name in closeup.about else _faint(one, GHOST_OPACITY))
        else:
            drawn.append(_firmer(one))
    return tuple(drawn)


def _clear(look: Look) -> Look:
    return replace(look, opacity=0.0)


def _plain(item: Item) -> Drawn:
    return Drawn(item=item, look=item.look, banded=bool(item.look.second), frame=np.eye(4))


def _marked(item: Item) -> Drawn:
    return Drawn(
        item=item,
        look=item.marked or item.look,
        banded=bool((item.marked or item.look).second),
        frame=np.eye(4),
    )


def _firmer(drawn: Drawn) -> Drawn:
    """Return wood less translucent: near by, what is in front and what behind must be told apart.

    What nobody measured stays seen through.
    """  # noqa: DOC201
    is_thin = drawn.item.status in MANNERS and MANNERS[drawn.item.status].opacity < NEAR_WOOD_OPACITY
    if drawn.item.kind != "solid" or is_thin or drawn.look.opacity >= NEAR_WOOD_OPACITY:
        return drawn
    return replace(drawn, look=replace(drawn.look, opacity=NEAR_WOOD_OPACITY))


def _see_through(drawn: Drawn) -> Drawn:
    """Return what a finding is about where it hides the place: seen through, but with its edges marked."""
    return replace(drawn, look=replace(drawn.look, opacity=min(drawn.look.opacity, ABOUT_OPACITY)))


def _faint(drawn: Drawn, opacity: float) -> Drawn:
    look: Look = replace(
        drawn.look,
        opacity=min(drawn.look.opacity, opacity),
        line_px=0.6,
        outline_px=min(drawn.look.outline_px, 0.0),
    )
    return replace(drawn, look=look)
