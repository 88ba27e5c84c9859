"""What this machine has of what routeviz needs, for the command doctor.

Whatever may be missing is imported only where it is looked at, so that this answers on a broken machine too.
"""

import os
import re
import sys
from collections.abc import Callable
from dataclasses import dataclass
from importlib.metadata import PackageNotFoundError, requires, version

from routeviz.views.graphics import has_screen, why_no_picture

OLDEST_PYTHON = (3, 11)


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


def packages_needed() -> tuple[str, ...]:
    """Return the packages that routeviz asks for itself, by name; without those that only tests need."""
    asked = [text for text in requires("routeviz") or () if "extra ==" not in text]
    return tuple(re.split(r"[^A-Za-z0-9._-]", text, maxsplit=1)[0] for text in asked)


def _python() -> Health:
    state = ".".join(str(n) for n in sys.version_info[:3])
    well = sys.version_info >= OLDEST_PYTHON
    oldest = ".".join(str(n) for n in OLDEST_PYTHON)
    return Health(
        what="Python", state=state, well=well, remedy="" if well else f"install Python {oldest} or newer"
    )


def _packages() -> Health:
    found, missing = [], []
    for name in packages_needed():
        try:
            found.append(f"{name} {version(name)}")
        except PackageNotFoundError:
            missing.append(name)
    if missing:
        remedy = f"{sys.executable} -m pip install {' '.join(missing)}"
        return Health(what="packages", state=f"without {', '.join(missing)}", well=False, remedy=remedy)
    return Health(what="packages", state=", ".join(found), well=True)


def _models() -> Health:
    from routeviz.errors import RoutevizError
    from routeviz.scene.catalogue import models_of

    try:
        count = sum(len(models_of(group)) for group in ("parts", "tubing"))
    except (RoutevizError, OSError):
        count = 0
    return Health(
        what="models of parts and tubing",
        state=f"{count} found" if count else "none found",
        well=count > 0,
        remedy="" if count else "install routeviz again: its models are missing",
    )


def _cache() -> Health:
    what = "measuring code"
    try:
        from routeviz.geometry.compiled import cache_folder
    except ImportError as error:
        remedy = "install what is missing above"
        return Health(what=what, state=f"cannot be loaded ({error})", well=False, remedy=remedy)
    folder = cache_folder()
    well = os.access(folder, os.W_OK)
    state = f"is kept in {folder}" if well else f"cannot be kept in {folder}: every run compiles it again"
    remedy = "" if well else "set NUMBA_CACHE_DIR to a folder that you may write to"
    return Health(what=what, state=state, well=well, needed=False, remedy=remedy)


def _pictures() -> Health:
    reason = why_no_picture()
    if reason is None:
        return Health(what="pictures", state="can be drawn", well=True)
    state, _, remedy = reason.partition("\n  remedy: ")
    state = f"{state}; sheets, page and archive are made without"
    return Health(what="pictures", state=state, well=False, needed=False, remedy=remedy)


def _screen() -> Health:
    well = has_screen()
    return Health(
        what="screen",
        state="there is one" if well else "there is none: `routeviz window` cannot be used",
        well=well,
        needed=False,
        remedy="" if well else "use `routeviz picture`, or call from a desktop; the rest needs no screen",
    )
