"""How long each tube is when it is laid alone: all others taken out of the scene, its passages pinned.

Slow, a whole planning for each tube; so lengths are kept in the folder for temporary files, by the scene and
every source of the package: after any change they are made anew.
"""

import hashlib
import json
import tempfile
from collections.abc import Mapping
from pathlib import Path

from routeviz.geometry.curves import length
from routeviz.laying import plan_reading
from routeviz.scene.reading import read_scene

PACKAGE = Path(__file__).parents[2] / "routeviz"
KEPT = Path(tempfile.gettempdir()) / "routeviz-tubes-alone"


def lengths_alone(text: str, through: Mapping[str, tuple[str, ...]]) -> dict[str, float]:
    """Lengths by tube, of those that can be laid alone, in mm; ``through`` says which are asked for."""
    KEPT.mkdir(exist_ok=True)
    sources = b"".join(file.read_bytes() for file in sorted(PACKAGE.rglob("*.py")))
    found = {}
    for name, passages in through.items():
        alone = only(text, name, passages)
        kept = KEPT / (hashlib.sha256(sources + alone.encode()).hexdigest() + ".json")
        if not kept.exists():
            kept.write_text(json.dumps(_length(alone)), encoding="utf-8")
        long = json.loads(kept.read_text(encoding="utf-8"))
        if long is not None:
            found[name] = long
    return found


def only(text: str, name: str, passages: tuple[str, ...]) -> str:
    """A scene of an invented cabinet with one of its tubes, led through these passages."""
    head, *tubes = text.split("[[tubes]]\n")
    (own,) = [tube for tube in tubes if tube.startswith(f'name = "{name}"\n')]
    pins = ", ".join(f'"{passage}"' for passage in passages)
    return f"{head}[[tubes]]\n{own.rstrip()}\nthrough = [{pins}]\n"


def _length(text: str) -> float | None:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "alone.toml"
        path.write_text(text, encoding="utf-8")
        lay = plan_reading(read_scene(path), fresh=True).lay
    curve = None if lay is None else lay.tubes[0].curve
    return None if curve is None else length(curve)
