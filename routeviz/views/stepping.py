"""What each key of the window does: from what is looked at to what is looked at next, and what is then seen.

Nothing here opens a window or draws; that is in window.py.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from textwrap import wrap

import numpy as np

from routeviz.cabinet.motions import Fixed
from routeviz.cabinet.solids import Cabinet
from routeviz.checks.findings import Finding
from routeviz.geometry.shapes import pose
from routeviz.tubes.measured import Measured
from routeviz.tubes.routes import Tube
from routeviz.views.cameras import View
from routeviz.views.closeups import closeup
from routeviz.views.display import Display, briefly, display
from routeviz.views.knowing import doubtful_words
from routeviz.views.shades import MANNERS
from routeviz.views.shots import Drawn, alone, near, whole

WIDE = 120  # letters of a line of words
PRESSES = 4  # presses of the key from rest to full travel
HELP = """\
n, b   next tube, the one before
f, g   next finding, the one before
k      press all that moves, a quarter further
r      show the whole again
h      show or hide these words
q      close

left button: turn    middle: shift    wheel: nearer"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Lay:
    """What a window shows: the case and what is known of it, and all there is to see."""

    cabinet: Cabinet
    tubes: tuple[Tube, ...]
    measured: Measured
    findings: tuple[Finding, ...]
    shown: Display


@dataclass(frozen=True, slots=True, kw_only=True)
class Looking:
    """What is looked at.

    Parameters
    ----------
    tube, finding : int or None
        By its place in the list; at most one of them, or neither for the whole.
    pressed : int
        How far all that moves is pressed, in quarters of its travel.
    helps : bool
        Whether the keys are explained.
    resets : int
        How often the whole was asked for: the eye then goes back to where it began.
    """

    tube: int | None = None
    finding: int | None = None
    pressed: int = 0
    helps: bool = True
    resets: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Scene:
    """What is then seen: things, from where (None: as before), and words about it."""

    drawn: tuple[Drawn, ...]
    view: View | None
    words: str


def lay_of(
    cabinet: Cabinet,
    tubes: Sequence[Tube],
    measured: Measured,
    findings: Sequence[Finding],
    aspect: float,
) -> Lay:
    """Return what a window of an aspect shows of a lay."""
    shown = display(cabinet, tubes, measured, findings, aspect=aspect)
    return Lay(cabinet=cabinet, tubes=tuple(tubes), measured=measured, findings=tuple(findings), shown=shown)


def stepped(looking: Looking, key: str, lay: Lay) -> Looking:
    """Return what is looked at after a key.

    Parameters
    ----------
    looking : Looking
        Before.
    key : str
        ``n``, ``b``, ``f``, ``g``, ``k``, ``r`` or ``h``; any other changes nothing.
    lay : Lay
        What there is to step through; from the last one it goes on to the first.

    Returns
    -------
    looking : Looking
        After.
    """
    match key:
        case "n" | "b":
            tube = _next(looking.tube, len(lay.tubes), 1 if key == "n" else -1)
            return replace(looking, tube=tube, finding=None)
        case "f" | "g":
            finding = _next(looking.finding, len(lay.findings), 1 if key == "f" else -1)
            return replace(looking, finding=finding, tube=None)
        case "k":
            return replace(looking, pressed=(looking.pressed + 1) % (PRESSES + 1))
        case "r":
            return Looking(helps=looking.helps, resets=looking.resets + 1)
        case "h":
            return replace(looking, helps=not looking.helps)
        case _:
            return looking


def scene(looking: Looking, before: Looking | None, lay: Lay) -> Scene:
    """Return what is seen of a lay.

    Parameters
    ----------
    looking : Looking
        What is looked at.
    before : Looking or None
        What was looked at; the eye stays where it is until another finding, or the whole, is looked at.
    lay : Lay
        All there is.

    Returns
    -------
    scene : Scene
        A tube by itself with the rest faint, a finding from where it can be seen, or the whole.
    """
    view: View | None = None
    if looking.finding is not None:
        drawn, view, words = _finding(looking.finding, lay)
    elif looking.tube is not None:
        drawn, words = alone(lay.shown, lay.tubes[looking.tube].name), _about_tube(looking.tube, lay)
    else:
        drawn, words = whole(lay.shown, lay.shown.views[0]), _about_all(lay)
        view = lay.shown.views[0]
    is_the_same = before is not None and _aim(before) == _aim(looking)
    if is_the_same:
        view = None  # pressing, or asking for help, leaves the eye where the mouse has put it
    if looking.pressed:
        words += f"\nall that moves is pressed {100 * looking.pressed // PRESSES} % of its travel"
    return Scene(drawn=_pressed(drawn, looking.pressed / PRESSES, lay.cabinet), view=view, words=words)


def _aim(looking: Looking) -> tuple[int | None, int | None, int]:
    return looking.tube, looking.finding, looking.resets


def _next(index: int | None, count: int, step: int) -> int | None:
    if not count:
        return None
    if index is None:
        return 0 if step > 0 else count - 1
    return (index + step) % count


def _finding(index: int, lay: Lay) -> tuple[tuple[Drawn, ...], View | None, str]:
    finding, number = lay.findings[index], index + 1
    words = f"{finding.severity} {number} of {len(lay.findings)}: {briefly(finding)}"
    words += f"\n{finding.says}"
    words += f"\nremedy: {finding.remedy}" if finding.remedy else ""
    seen = closeup(number, finding, lay.cabinet, lay.tubes, lay.measured)
    if seen is None:
        return whole(lay.shown, lay.shown.views[0]), None, words
    return near(lay.shown, seen, lay.cabinet), seen.view, words


def _about_tube(index: int, lay: Lay) -> str:
    tube = lay.tubes[index]
    words = f"tube {index + 1} of {len(lay.tubes)}: {tube.name}, tag {tube.tag}\n{tube.kind.describes}"
    words += f"; {tube.carries}; through {', '.join(tube.through)}" if tube.through else f"; {tube.carries}"
    words += f"; {tube.status}" if tube.status in MANNERS else ""
    if tube.curve is None:
        return words + "\nnot drawn"
    return words + f"\n{float(lay.measured.lengths_mm[index]):.0f} mm long"


def _about_all(lay: Lay) -> str:
    faults = sum(f.severity == "fault" for f in lay.findings)
    words = "\n".join(wrap(doubtful_words(lay.cabinet, lay.tubes), WIDE, max_lines=3, placeholder=" …"))
    return (
        f"{lay.shown.title}\n{len(lay.tubes)} tubes, {len(lay.findings)} findings, {faults} of them faults"
        + (f"\nbroken lines: {words}" if words else "")
    )


def _pressed(drawn: Sequence[Drawn], travel: float, cabinet: Cabinet) -> tuple[Drawn, ...]:
    """Return everything with what moves so far on in its travel; what is shown there already stays."""
    if travel == 0.0:
        return tuple(drawn)
    moving = {s.name: i for i, s in enumerate(cabinet.solids) if not isinstance(s.movement, Fixed)}
    return tuple(
        replace(one, frame=pose(cabinet.bodies, moving[one.item.name], travel))
        if one.item.kind == "solid" and one.item.name in moving and np.array_equal(one.frame, np.eye(4))
        else one
        for one in drawn
    )
