"""How hot loops are compiled: scalar code, cached, one code path.

What was compiled is kept in the user's cache folder, under a stamp of all sources in the folders that have
hot loops: numba looks only at the file of the function that Python calls, and would go on with old code of
what that function calls.
"""

import hashlib
import os
import sys
import tempfile
from collections.abc import Callable, Iterable
from pathlib import Path
from typing import TypeVar, cast

F = TypeVar("F", bound=Callable[..., object])

PACKAGE = Path(__file__).parents[1]
LOOPING = ("geometry", "planning")  # folders of the package in which something is compiled


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
    """Return a name that changes with the Python version and with every source file that may be compiled."""
    sources = hashlib.sha256()
    for folder in LOOPING:
        for file in sorted((PACKAGE / folder).glob("*.py")):
            sources.update(file.read_bytes())
    return f"py{sys.version_info.major}{sys.version_info.minor}-{sources.hexdigest()[:12]}"


os.environ.setdefault("NUMBA_CACHE_DIR", str(cache_folder()))

from numba import njit  # noqa: E402  the cache folder must be known before numba is imported
from numba.core.types.misc import unliteral  # noqa: E402

from routeviz.geometry.machine_code import EnteredCompiler, InlaidCompiler  # noqa: E402


def is_first_run(module: str) -> bool:
    """Return whether nothing of a module has been compiled yet, so that calling it will take its time."""
    kept = Path(os.environ["NUMBA_CACHE_DIR"]).rglob(f"{module}.*.nbi")
    return next(kept, None) is None


def compiled(function: F) -> F:
    """Return the function compiled to machine code on its first call, kept for later runs.

    A division by zero gives inf or nan, as in arrays.

    Parameters
    ----------
    function : callable
        Called from Python, and by other compiled functions if need be.

    Returns
    -------
    function : callable
        The same, compiled.
    """
    options = {"error_model": "numpy", "no_cfunc_wrapper": True, "pipeline_class": EnteredCompiler}
    return cast("F", njit(cache=True, **options)(function))


def inner(function: F) -> F:
    """Return the function compiled into its callers: no way in from Python, which costs most of compiling.

    A division by zero gives inf or nan, as in arrays. It is not kept by itself, as its callers are, and not
    compiled once more for a number that is written out where it is called.

    Parameters
    ----------
    function : callable
        Called by other compiled functions only.

    Returns
    -------
    function : callable
        The same, compiled.
    """
    options = {"error_model": "numpy", "no_cfunc_wrapper": True, "pipeline_class": InlaidCompiler}
    made = njit(no_cpython_wrapper=True, **options)(function)
    template = made.get_call_template

    def of_any_number(kinds: Iterable[object], named: object) -> object:
        return template(tuple(unliteral(kind) for kind in kinds), named)

    made.get_call_template = of_any_number
    return cast("F", made)
