"""Pictures for those who open an archive: the whole from two sides, as PNG that tells nothing of a machine.

They are for a first look; what they show stands in the drawings, sheets and models as well. So an archive can
be made where no picture can be drawn, and says so.
"""

import struct
from collections.abc import Mapping
from dataclasses import dataclass

from routeviz.lay import Lay
from routeviz.views.display import SIDES, title_of
from routeviz.views.graphics import why_no_picture

SHOWN = ("overview", "front")  # from above and from the side, drawings tell more
SIZE = (1200, 750)
NAMED = {side.name: side.title for side in SIDES}
BARE = (b"IHDR", b"IDAT", b"IEND")  # all that a picture is; texts, times and profiles are left out
SIGNATURE = b"\x89PNG\r\n\x1a\n"


@dataclass(frozen=True, slots=True, kw_only=True)
class Pictures:
    """What was drawn.

    Parameters
    ----------
    files : mapping of bytes
        PNG files by name, such as ``overview.png``.
    captions : mapping of str
        By the same names.
    missing : str
        Why there are none, as a sentence; empty where there are.
    """

    files: Mapping[str, bytes]
    captions: Mapping[str, str]
    missing: str = ""


def pictures_of(lay: Lay) -> Pictures:
    """Return pictures of a lay, or why none can be drawn here.

    Parameters
    ----------
    lay : Lay
        With its findings; what has one is marked and numbered.

    Returns
    -------
    pictures : Pictures
        On one machine the same bytes for the same lay.
    """
    if why_no_picture() is not None:
        reason = (
            "The machine that made this archive could not draw pictures; drawings and models show the same."
        )
        return Pictures(files={}, captions={}, missing=reason)
    from routeviz.views.picture import whole_pictures

    drawn = {name: bared(content) for name, content in whole_pictures(lay, SHOWN, SIZE)}
    return Pictures(
        files={f"{name}.png": content for name, content in drawn.items()},
        captions={f"{name}.png": f"{title_of(lay.cabinet)}. {NAMED[name]}." for name in drawn},
    )


def bared(content: bytes) -> bytes:
    """Return a PNG file without anything but the picture itself."""
    kept, at = [SIGNATURE], len(SIGNATURE)
    while at < len(content):
        (length,) = struct.unpack_from(">I", content, at)
        if content[at + 4 : at + 8] in BARE:
            kept.append(content[at : at + length + 12])
        at += length + 12
    return b"".join(kept)
