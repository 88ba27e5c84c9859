"""The scene in forms that last, beside the scene itself: as JSON, its schema, its format in words.

The files that the scene is made of are in sources.py; the words of its format, in format_text.py.
"""

import json
import tomllib
from datetime import date, time
from pathlib import Path

from routeviz.archive.filing import Filed
from routeviz.archive.format_text import format_text
from routeviz.archive.sources import FOLDER
from routeviz.scene.parsing import text_of
from routeviz.scene.reading import Reading
from routeviz.scene.schema import scene_schema


def source_copies(reading: Reading) -> tuple[Filed, ...]:
    """Return what lies beside a scene so that it can be read without the program and its notation.

    Parameters
    ----------
    reading : Reading
        A scene whose file is still there.

    Returns
    -------
    files : tuple of Filed
        Its twin in JSON, the schema of both, the format in plain words.
    """
    return (
        Filed(
            path=f"{FOLDER}/scene.json",
            title="The scene as JSON",
            about="all keys and values of the scene file as they stand in it; remarks are left out",
            content=scene_twin(text_of(Path(reading.file), reading.file)),
        ),
        Filed(
            path=f"{FOLDER}/scene-schema.json",
            title="Schema of a scene",
            about="what a scene may say, as JSON Schema; scene.json fits it",
            content=_json(scene_schema()),
        ),
        Filed(
            path=f"{FOLDER}/format.txt",
            title="The format of a scene",
            about="every table and key of a scene in plain words",
            content=format_text(),
        ),
    )


def scene_twin(text: str) -> bytes:
    """Return a scene as JSON: the same tables, keys and values.

    Parameters
    ----------
    text : str
        Of a scene file that has been read.

    Returns
    -------
    content : bytes
        Days and times as texts in ISO 8601.
    """
    return _json(tomllib.loads(text))


def _json(value: object) -> bytes:
    text = json.dumps(value, indent=1, allow_nan=False, ensure_ascii=False, default=_as_text)
    return f"{text}\n".encode()


def _as_text(value: object) -> str:
    """Return a day, a time or both, which JSON has no form for, as text."""
    assert isinstance(value, date | time), "TOML has no other values that JSON lacks"
    return value.isoformat()
