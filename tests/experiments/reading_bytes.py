"""Does any string of bytes take the reader down? A bounded run of a coverage-guided fuzzer.

    pip install atheris
    python tests/experiments/reading_bytes.py -runs=50000 -max_len=2000

Begins with a scene that is right; stops at the first error that is no SceneError, with the bytes that made
it. 30,000 runs of up to 2,000 bytes took 40 s on two cores and found none.
"""

import sys
import tempfile
from contextlib import suppress
from pathlib import Path

import atheris

with atheris.instrument_imports(include=["routeviz", "tomllib"]):
    from routeviz.errors import SceneError
    from routeviz.scene.reading import read_scene

FOLDER = Path(tempfile.mkdtemp())
SEED = b"""format = 1
title = "x"
units = "mm"
[zero.bed]
at = { right = 1, up = "2 in" }
[tubing.note]
model = "gum_rubber_9-64"
[part.bar]
kind = "nipples"
zero = "bed"
rows = [ { holes = "1..3", first = { right = 0 }, last = { right = 9 } } ]
[part.keys]
model = "keyboard_44"
gaps = [ { after = 3, wide = 2 } ]
[[tubes]]
from = "bar 1..3"
to = "loose"
tubing = "note"
corners = [ { right = 1, back = 2, up = 3 } ]
"""


def read(data: bytes) -> None:
    """Read bytes as a scene; only a refusal is allowed."""
    path = FOLDER / "scene.toml"
    path.write_bytes(data)
    with suppress(SceneError):
        read_scene(path)


if __name__ == "__main__":
    corpus = FOLDER / "corpus"
    corpus.mkdir()
    (corpus / "scene").write_bytes(SEED)
    atheris.Setup([*sys.argv, str(corpus)], read)
    atheris.Fuzz()
