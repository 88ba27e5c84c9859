"""How hot loops are compiled: scalar code, cached, one code path.

What was compiled is kept in the user's cache folder, under a stamp of all sources here: numba looks only at
the file of the function that Python calls, and would go on with old code of what that function calls.
"""

import hashlib
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
        ``NUMBA_CACHE_DIR`` where set, else in ``routeviz`` in the user's cache folder, else a temporary one.
    """
    if chosen := os.environ.get("NUMBA_CACHE_DIR"):
        return Path(chosen)
    home = os.environ.get("XDG_CACHE_HOME") or os.path.expanduser("~/.cache")
    for parent in (Path(home), Path(tempfile.gettempdir())):
        folder = parent / "routeviz" / stamp()
        try:
            folder.mkdir(parents=True, exist_ok=True)
        except OSError:
            continue
        if os.access(folder, os.W_OK):
            return folder
    return Path(tempfile.mkdtemp(prefix="routeviz-"))


def stamp() -> str:
    """Return a name that changes with the Python version and with every source file of this folder."""
    sources = hashlib.sha256()
    for file in sorted(Path(__file__).parent.glob("*.py")):
        sources.update(file.read_bytes())
    return f"py{sys.version_info.major}{sys.version_info.minor}-{sources.hexdigest()[:12]}"


os.environ.setdefault("NUMBA_CACHE_DIR", str(cache_folder()))

from numba import njit  # noqa: E402  the cache folder must be known before numba is imported


def is_first_run() -> bool:
    """Return whether nothing has been compiled yet, so that the first measuring will take its time."""
    return next(Path(os.environ["NUMBA_CACHE_DIR"]).rglob("*.nbi"), None) is None


def compiled(function: F) -> F:
    """Return the function compiled to machine code on its first call, kept for later runs."""
    return cast("F", njit(cache=True)(function))


def inner(function: F) -> F:
    """Return the function compiled into its callers: no way in from Python, which costs most of compiling.

    A division by zero gives inf or nan, as in arrays.

    Parameters
    ----------
    function : callable
        Called by other compiled functions only.

    Returns
    -------
    function : callable
        The same, compiled.
    """
    made = njit(cache=True, error_model="numpy", no_cpython_wrapper=True, no_cfunc_wrapper=True)
    return cast("F", made(function))
