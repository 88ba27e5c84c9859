"""How hot loops are compiled: scalar code, cached, one code path.

numba keeps what it compiled beside the module, or in the user's cache folder where that is not writable.
"""

import os
import sys
import tempfile
from collections.abc import Callable
from pathlib import Path
from typing import TypeVar, cast

F = TypeVar("F", bound=Callable[..., object])


def cache_folder() -> Path:
    """Return the folder in which compiled code is kept; made when needed.

    Returns
    -------
    folder : Path
        ``NUMBA_CACHE_DIR`` where set, else ``routeviz`` in the user's cache folder, else a temporary one.
    """
    if chosen := os.environ.get("NUMBA_CACHE_DIR"):
        return Path(chosen)
    home = os.environ.get("XDG_CACHE_HOME") or os.path.expanduser("~/.cache")
    for parent in (Path(home), Path(tempfile.gettempdir())):
        folder = parent / "routeviz" / f"py{sys.version_info.major}{sys.version_info.minor}"
        try:
            folder.mkdir(parents=True, exist_ok=True)
        except OSError:
            continue
        if os.access(folder, os.W_OK):
            return folder
    return Path(tempfile.mkdtemp(prefix="routeviz-"))


os.environ.setdefault("NUMBA_CACHE_DIR", str(cache_folder()))

from numba import njit  # noqa: E402  the cache folder must be known before numba is imported


def is_first_run() -> bool:
    """Return whether nothing has been compiled yet, so that the first measuring will take its time."""
    return next(Path(os.environ["NUMBA_CACHE_DIR"]).rglob("*.nbi"), None) is None


def compiled(function: F) -> F:
    """Return the function compiled to machine code on its first call, kept for later runs."""
    return cast("F", njit(cache=True)(function))
