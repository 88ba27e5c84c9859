"""Which stage of the work is looked at, which parts are there in it, and which way is down."""

import math
from collections.abc import Mapping

import numpy as np

from routeviz.cabinet.messages import Where, listed
from routeviz.geometry.arrays import Floats, frozen
from routeviz.scene.lengths import LengthError, angle_deg
from routeviz.scene.parts import PartEntry

UPRIGHT = "upright"
LEANED = "leaned back"
POSES = "'upright', or 'leaned back 70 deg' with an angle from 0 to 90"


def chosen_stage(stage: str | None, order: Mapping[str, int], where: Where) -> str | None:
    """Return the stage to look at: the one asked for, else the last; None in a scene without stages.

    Parameters
    ----------
    stage : str or None
        As asked for.
    order : mapping of int
        The scene's stages.
    where : Where
        The scene.

    Returns
    -------
    stage : str or None
        A stage of the scene.

    Raises
    ------
    SceneError
        The scene has no such stage.
    """
    if stage is None:
        return max(order, key=lambda name: order[name], default=None)
    if stage not in order:
        raise where.at("stages").wrong(
            f"no stage {stage!r}", f"one of {listed(order, stage)}", "ask for one of these stages"
        )
    return stage


def is_there(part: PartEntry, stage: str | None, order: Mapping[str, int]) -> bool:
    """Return whether a part is in the case at a stage; always, unless it says from or until when."""
    if stage is None:
        return True
    first = order[part.stage] if part.stage is not None else -1
    last = order[part.until] if part.until is not None else len(order)
    return first <= order[stage] <= last


def down_in(pose: str, where: Where) -> Floats:
    """Return the direction in which things hang, in the case's frame.

    A case leaned back by an angle a has turned about the player's right, its top away from the player: by
    -a, right-handed about +x. Seen from the case, down has turned the other way, from -z towards +y, its
    back: it is (0, sin a, -cos a). At 90 deg the case lies on its back, and down is +y.

    Parameters
    ----------
    pose : str
        ``upright`` or ``leaned back 70 deg``.
    where : Where
        Its place in the file.

    Returns
    -------
    down : array, shape (3,)
        Unit; read-only.

    Raises
    ------
    SceneError
        Any other words, or an angle that is not from 0 to 90.
    """
    words = " ".join(pose.split())
    leaned = 0.0
    if words != UPRIGHT:
        try:
            leaned = angle_deg(words.removeprefix(LEANED).strip()) if words.startswith(LEANED) else -1.0
        except LengthError as error:
            raise where.wrong(f"{pose!r}: {error.found}", POSES, error.remedy) from None
    if not 0 <= leaned <= 90:
        raise where.wrong(f"the pose {pose!r}", POSES, "say how the case stands while tubes hang in it")
    angle = math.radians(leaned)
    level = leaned == 90
    return frozen(np.array([0.0, math.sin(angle), 0.0 if level else -math.cos(angle)]))
