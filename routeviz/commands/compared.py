"""What can be compared: a scene, a plan with its scene, an archive; each is read and checked."""

import os
from typing import TYPE_CHECKING

from routeviz.commands.lays import checked, compiling
from routeviz.commands.saying import stop

if TYPE_CHECKING:
    from routeviz.lay import Lay

ALLOWED = "  allowed: a scene (NAME.toml), a plan (NAME.plan.json) or the folder of an archive"


def state_in(path: str, scene: str | None) -> "Lay":
    """Return what a path holds, checked; leave where it holds nothing that can be compared.

    Parameters
    ----------
    path : str
        Of a scene, a plan or the folder of an archive.
    scene : str or None
        Of the scene that a plan belongs to beside which none lies.

    Returns
    -------
    lay : Lay
        Of an archive, as the scene in it is found today.
    """
    from routeviz.tubes.plan_file import SUFFIX

    if os.path.isdir(path):
        return _archived(path)
    if path.endswith(SUFFIX):
        return _planned(path, path.removesuffix(SUFFIX) + ".toml", scene)
    if not os.path.exists(path):
        stop(f"{path}: there is no such file or folder\n{ALLOWED}\n  remedy: check the name")
    return checked(path)


def _planned(path: str, beside: str, scene: str | None) -> "Lay":
    """Return the scene of a plan with its tubes as that plan lays them."""
    from pathlib import Path

    if not os.path.exists(path):
        stop(f"{path}: there is no such file\n{ALLOWED}\n  remedy: check the name")
    of = beside if os.path.exists(beside) else scene
    if of is None:
        stop(
            f"{path}: its scene {beside} does not lie beside it\n{ALLOWED}\n"
            "  remedy: name the scene that the plan was made for: --scene SCENE"
        )
    with compiling():
        from routeviz.pipeline import check_reading
        from routeviz.scene.reading import read_scene
        from routeviz.tubes.plan_file import read_plan

        return check_reading(read_scene(of), read_plan(Path(path)))


def _archived(folder: str) -> "Lay":
    """Return the scene of an archive, taken out into a folder for the time that it is read."""
    from pathlib import Path
    from tempfile import TemporaryDirectory

    from routeviz.archive.bag import BAGIT

    if not os.path.exists(os.path.join(folder, BAGIT)):
        stop(
            f"{folder}: a folder, but no archive: there is no {BAGIT} in it\n{ALLOWED}\n"
            "  remedy: name the file, or the folder that `routeviz archive` made"
        )
    from routeviz.archive.restoring import restored_scene
    from routeviz.errors import RoutevizError

    with TemporaryDirectory(prefix="routeviz-") as aside:
        try:
            return checked(str(restored_scene(Path(folder), Path(aside))))
        except RoutevizError as error:
            told = str(error).replace(f"{aside}{os.sep}", "")
            stop(f"{folder}: the scene in it cannot be used\n{told}")
