"""What does a plan depend on? The scene as read, with models and wiring table in it, and its meshes.

Remarks are left out: a changed comment, title, tag or source makes no other lay.
"""

import hashlib
import json
from typing import Any

from routeviz.cabinet.mesh_paths import mesh_bytes
from routeviz.scene.parts import MeshPart
from routeviz.scene.reading import Reading

KIND = "sha256"
# Lengths are in millimetres and models merged by now, so units and the models' names say nothing more.
REMARKS: Any = {
    **dict.fromkeys(("format", "title", "about", "units", "wiring", "expect", "record", "doubt"), True),
    "zero": {"__all__": {"doubt"}},
    "tubing": {"__all__": {"model", "describes", "source", "doubt"}},
    "part": {
        "__all__": dict.fromkeys(("model", "describes", "source", "why", "doubt"), True)
        | {"opening": {"__all__": {"doubt"}}}
    },
    "passage": {"__all__": {"doubt"}},
    "tubes": {"__all__": {"tag", "label", "note", "waits_for", "doubt"}},
}


def inputs_of(reading: Reading) -> str:
    """Return the hash of everything that a lay of a scene's tubes depends on.

    Parameters
    ----------
    reading : Reading
        A scene that can be placed.

    Returns
    -------
    inputs : str
        ``sha256:`` and 64 digits.

    Raises
    ------
    MeshError
        A mesh file has gone since the scene was placed.
    """
    said = json.dumps(reading.scene.model_dump(exclude=REMARKS), allow_nan=False, ensure_ascii=False)
    parts = [said.encode()]
    for part in reading.scene.part.values():
        if isinstance(part, MeshPart):
            parts.append(mesh_bytes(part.file, reading.folder))
    whole = hashlib.new(KIND)
    for one in parts:
        whole.update(hashlib.new(KIND, one).digest())
    return f"{KIND}:{whole.hexdigest()}"
