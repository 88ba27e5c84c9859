"""What this machine has of what routeviz needs, for the command doctor."""

import os
import sys
from collections.abc import Callable
from dataclasses import dataclass
from importlib.metadata import PackageNotFoundError, version

from routeviz.geometry.compiled import cache_folder
from routeviz.scene.catalogue import models_of
from routeviz.views.graphics import has_screen, why_no_picture

PACKAGES = ("numpy", "scipy", "shapely", "numba", "trimesh", "pyvista", "pydantic", "tomlkit", "click")


@dataclass(frozen=True, slots=True, kw_only=True)
class Health:
    """One thing looked at: how it is, whether that is well, whether it is needed, and the remedy."""

    what: str
    state: str
    well: bool
    needed: bool = True
    remedy: str = ""


def examine() -> tuple[Health, ...]:
    """Return what was looked at on this machine, in the order of importance."""
    looks: tuple[Callable[[], Health], ...] = (_python, _packages, _models, _cache, _pictures, _screen)
    return tuple(look() for look in looks)


def _python() -> Health:
    state = ".".join(str(n) for n in sys.version_info[:3])
    return Health(what="Python", state=state, well=sys.version_info >= (3, 11), remedy="")


def _packages() -> Health:
    found, missing = [], []
    for name in PACKAGES:
        try:
            found.append(f"{name} {version(name)}")
        except PackageNotFoundError:
            missing.append(name)
    if missing:
        remedy = f"pip install {' '.join(missing)}"
        return Health(what="packages", state=f"without {', '.join(missing)}", well=False, remedy=remedy)
    return Health(what="packages", state=", ".join(found), well=True)


def _models() -> Health:
    count = sum(len(models_of(kind)) for kind in ("parts", "tubing"))
    return Health(
        what="models",
        state=f"{count} found",
        well=count > 0,
        remedy="" if count else "install routeviz again: its models are missing",
    )


def _cache() -> Health:
    folder = cache_folder()
    well = os.access(folder, os.W_OK)
    remedy = "" if well else "set NUMBA_CACHE_DIR to a folder that you may write to"
    return Health(what="compiled code", state=f"kept in {folder}", well=well, needed=False, remedy=remedy)


def _pictures() -> Health:
    reason = why_no_picture()
    if reason is None:
        return Health(what="pictures", state="can be drawn", well=True)
    state, _, remedy = reason.partition("\n  remedy: ")
    return Health(what="pictures", state=state, well=False, needed=False, remedy=remedy)


def _screen() -> Health:
    well = has_screen()
    remedy = "" if well else "none needed for check and picture; window wants a screen"
    return Health(
        what="screen",
        state="there is one" if well else "there is none",
        well=well,
        needed=False,
        remedy=remedy,
    )
