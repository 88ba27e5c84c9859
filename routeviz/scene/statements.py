"""How is read what a person states about a record: words, names, days, licences, files beside the scene?

Which of these a record holds is in record.py, which of them stand beside a value in doubts.py.
"""

import re
import unicodedata
from datetime import date, datetime, time
from pathlib import PurePosixPath
from typing import Annotated, Any

from pydantic import AfterValidator, BeforeValidator, Field, WithJsonSchema

from routeviz.scene.quantities import refusal

LONGEST_NAME = 200  # letters on one line: a name, a caption's heading, an address
LONGEST_SHOWN = 60  # letters of a value in a message
LONGEST_TEXT = 4000  # letters; two pages
NAMES_ALLOWED = "a name, or a list of names"
DAY_ALLOWED = "a day such as 2026-05-14, a month such as '2026-05', or a year such as 1926"
LICENCE_ALLOWED = "an address, 'https://...', or an SPDX identifier, such as 'CC-BY-4.0'"
LANGUAGE_ALLOWED = "the code of a language, such as 'en' or 'de-CH'"
FILE_ALLOWED = "a file in the scene's folder or below, such as 'photos/bar.jpg'"

_DAY = re.compile(r"(?P<year>[0-9]{4})(?:-(?P<month>[0-9]{2})(?:-(?P<day>[0-9]{2}))?)?")
_LICENCE = re.compile(r"https?://[^\s\"<>]+|[A-Za-z0-9][A-Za-z0-9.+-]*")
_LANGUAGE = re.compile(r"[a-z]{2,3}(?:-[A-Za-z0-9]{2,8})*")
_ODD = ("Cc", "Cn", "Co", "Cs", "Zl", "Zp")  # controls, signs without a meaning, breaks that no file has
_TURNED = "\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069"  # signs that turn the way of reading about


def _text(value: str) -> str:
    text = value.strip()
    odd = next((letter for letter in text if _is_odd(letter)), None)
    if odd is not None:
        found = f"the sign {odd!a} in a text"
        raise refusal(found, "letters and signs that can be printed", "take it out")
    if not text:
        raise refusal("an empty text", "words", "write what is known, or leave the key out")
    return text


def _is_odd(letter: str) -> bool:
    return (unicodedata.category(letter) in _ODD and letter not in "\n\t") or letter in _TURNED


def _one_line(value: str) -> str:
    text = _text(value)
    if "\n" in text or "\t" in text:
        raise refusal("a text of more than one line", "one line", "write it on one line")
    return text


def _names(value: Any) -> Any:
    if not isinstance(value, str | list | tuple):
        raise refusal(_shown(value), NAMES_ALLOWED, f"write {NAMES_ALLOWED}")
    return [value] if isinstance(value, str) else value


def _day(value: Any) -> str:
    """Return a day, month or year as ISO 8601 writes it."""
    if isinstance(value, datetime | bool) or not isinstance(value, date | int | str):
        raise refusal(f"{_shown(value)}, which is no day", DAY_ALLOWED, "write the day alone")
    text = str(value).strip()
    match = _DAY.fullmatch(text)
    if match is None:
        raise refusal(
            f"{_shown(value)}, which is no day", DAY_ALLOWED, "write year, month and day in this order"
        )
    try:
        date(int(match["year"]), int(match["month"] or 1), int(match["day"] or 1))
    except ValueError:
        raise refusal(f"{_shown(value)}, which is in no calendar", DAY_ALLOWED, "correct the day") from None
    return text


def _time_made(value: Any) -> Any:
    """Return when an instrument was made: a day, or words such as ``about 1926``."""
    return _day(value) if isinstance(value, date | int) else value


def _licence(value: str) -> str:
    if not _LICENCE.fullmatch(value):
        raise refusal(
            _shown(value), LICENCE_ALLOWED, "write one of these; words of your own belong in rights"
        )
    return value


def _language(value: str) -> str:
    if not _LANGUAGE.fullmatch(value):
        raise refusal(_shown(value), LANGUAGE_ALLOWED, "write the code of the language")
    return value


def _file(value: str) -> str:
    """Return a path below the scene's folder; whether a file is there, nobody looks."""
    path = PurePosixPath(value)
    if "\\" in value:
        raise refusal(
            f"{_shown(value)}, with a backslash", FILE_ALLOWED, "write forward slashes: they do everywhere"
        )
    if path.is_absolute() or ".." in path.parts or ":" in value or value.startswith("~"):
        found = f"{_shown(value)}, outside of the scene's folder"
        raise refusal(found, FILE_ALLOWED, "put the file beside the scene")
    if not path.parts or value.endswith("/"):
        raise refusal(f"{_shown(value)}, which names no file", FILE_ALLOWED, "name the file itself")
    return str(path)


def _shown(value: object) -> str:
    match value:
        case str():
            text = value if len(value) <= LONGEST_SHOWN else value[: LONGEST_SHOWN - 1] + "…"
            return repr(text) if text.isprintable() else ascii(text)
        case bool():
            return str(value).lower()
        case int() | float():
            return str(value) if not isinstance(value, int) or value.bit_length() <= 64 else "a huge number"
        case date() if not isinstance(value, datetime):
            return value.isoformat()
        case date() | time():
            return "a time of day"
        case _:
            return "a table" if isinstance(value, dict) else "a list"


Text = Annotated[str, Field(max_length=LONGEST_TEXT), AfterValidator(_text)]
OneLine = Annotated[str, Field(max_length=LONGEST_NAME), AfterValidator(_one_line)]
Names = Annotated[
    tuple[OneLine, ...],
    Field(min_length=1),
    BeforeValidator(_names),
    WithJsonSchema(
        {"anyOf": [{"type": "string"}, {"type": "array", "items": {"type": "string"}, "minItems": 1}]}
    ),
]
Day = Annotated[
    str,
    BeforeValidator(_day),
    WithJsonSchema({"type": ["string", "integer"], "description": "2026-05-14, '2026-05' or 1926"}),
]
TimeMade = Annotated[
    OneLine,
    BeforeValidator(_time_made),
    WithJsonSchema({"type": ["string", "integer"], "description": "a day, a year, or words: 'about 1926'"}),
]
Licence = Annotated[OneLine, AfterValidator(_licence)]
Language = Annotated[OneLine, AfterValidator(_language)]
FileBeside = Annotated[OneLine, AfterValidator(_file)]
