"""What took long to find and is found again from the same input: kept beside the compiled code.

The folder's name changes with the sources here, so nothing outlives the code that found it.
"""

import hashlib
from collections.abc import Callable
from contextlib import suppress

from routeviz.geometry.compiled import cache_folder
from routeviz.writing import WritingError, made_folder, write_whole


def kept(kind: str, about: bytes, found: Callable[[], bytes]) -> bytes:
    """Return what was found from an input before, or find it now and keep it.

    Parameters
    ----------
    kind : str
        What it is; the name of a folder.
    about : bytes
        All that the answer depends on, save the sources here.
    found : callable
        Finds it; whatever it raises is passed on, and nothing is kept.

    Returns
    -------
    content : bytes
        The answer.
    """
    place = cache_folder() / kind / hashlib.sha256(about).hexdigest()
    try:
        return place.read_bytes()
    except OSError:
        content = found()
    with suppress(WritingError):  # where nothing can be kept, finding only takes longer the next time
        write_whole(made_folder(place.parent) / place.name, content)
    return content
