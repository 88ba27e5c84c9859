"""From a file to tables: size, encoding and nesting are bounded first, then TOML is read.

What the tables may hold is in description.py.
"""

import re
import stat
import tomllib
import unicodedata
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from routeviz.errors import Problem, SceneError

MOST_BYTES = 5_000_000  # a scene of 150 tubes has about 100 kB
MOST_VALUES = 100_000  # a scene of 150 tubes has about 10,000; the parser needs seconds beyond
MOST_BACKSLASHES = 10_000  # a scene needs none; the parser's time can grow with the square of their number
DEEPEST = 32  # lists and tables in one another; a scene needs 5, and the parser's own limit is not reached
MOST_WORDS = 16  # of a dotted key; a scene needs 5, and the parser's time grows with their square
MOST_DIGITS = 1000  # of one number; the language refuses 4,300

_WORD = r"(?:[A-Za-z0-9_-]+|\"(?:[^\"\\\n]|\\.)*\"|'[^'\n]*')"
_POINT = r"[ \t]*\.[ \t]*"
# One pass, each letter looked at a bounded number of times, whatever the text.
_TOKEN = re.compile(
    r'"""(?:\\[\s\S]|(?!""")[\s\S])*(?:""")?'
    r"|'''(?:(?!''')[\s\S])*(?:''')?"
    rf"|(?P<dotted>{_WORD}(?:{_POINT}{_WORD}){{{MOST_WORDS},}})"
    rf"|(?P<digits>[0-9_]{{{MOST_DIGITS},}})"
    rf"|{_WORD}(?:{_POINT}{_WORD})*"
    r"|\"(?:[^\"\\\n]|\\.)*|'[^'\n]*"
    r"|#[^\n]*|(?P<opens>[\[{])|(?P<closes>[\]}])"
)
_TOO_LONG = {
    "dotted": (f"a key of more than {MOST_WORDS} words", f"at most {MOST_WORDS} words with points between"),
    "digits": (f"a number of {MOST_DIGITS} digits or more", "numbers that a tape shows"),
}
_WINDOW = 40  # letters before and after a place in which a number is looked for
_DECIMAL_COMMA = re.compile(r"(?P<whole>[+-]?[0-9]+),(?P<part>[0-9]+)")
_FRACTION = r"(?: *[0-9]+/[0-9]+|/[0-9]+)"
_LENGTH = re.compile(rf"[+-]?[0-9]+(?:\.[0-9]+)?{_FRACTION}?(?: *(?:mm|cm|m|in|ft|\"|')(?!\w))?")
_PLACE = re.compile(r" \(at (?:line (?P<line>[0-9]+), column (?P<column>[0-9]+)|end of document)\)$")

# What the parser says of a text, and what a person can do about it; the first that fits.
_SYNTAX = (
    (r"overwrite a value|Cannot mutate|Cannot declare|twice", "this name was given before", "once each",
     "keep one of the two, or give the second another name"),
    (r"Invalid value", "no value that can be read", "a number, a text in quotes, a list or a table",
     'put quotes around what is not a plain number, such as "5/32 in"'),
    (r"Expected newline", "something more after the value", "one value a line",
     "start a new line, or put quotes around the whole value"),
    (r"Unclosed", "a list or a table that is not closed, or lacks a comma",
     "commas between the items, ] or } at the end", "add the comma, or close it"),
    (r"Illegal character '.n'|Unterminated|Expected .['\"]", "a text that is not closed",
     "a text in quotes, on one line", "close the quotes on the same line"),
    (r"declaration", "a header that is not closed", "[table] or [[list]]", "close the brackets"),
    (r"key part|Invalid statement", "no name where a name is expected",
     "letters, digits, - and _, or any name in quotes; a table in { } on one line",
     "put quotes around a name with other signs"),
    (r"Expected '='", "no '=' after a key", "key = value", "write the '=' and the value"),
    (r"escape|backslash|hex", "a backslash that means nothing", r"\\, \" or \n after a backslash",
     "write the text in single quotes, where a backslash stands for itself"),
    (r"character", "a sign that cannot be printed", "printable signs", "take it out"),
)  # fmt: skip


def text_of(path: Path, file: str) -> str:
    """Return a file's text, its letters in one form (NFC), so that equal names are equal.

    Parameters
    ----------
    path : Path
        Where it is.
    file : str
        As the user named it.

    Returns
    -------
    text : str
        Without a byte order mark, lines ended by newlines.

    Raises
    ------
    SceneError
        Missing, unreadable, too large, not UTF-8.
    """
    try:
        facts = path.stat()
        data = path.read_bytes() if stat.S_ISREG(facts.st_mode) and facts.st_size <= MOST_BYTES else b""
    except (OSError, ValueError) as error:
        said = getattr(error, "strerror", None) or "the name cannot be used"
        raise SceneError(
            _wrong(file, f"the file cannot be read: {said}", "a file that is there", "correct the name")
        ) from None
    if not stat.S_ISREG(facts.st_mode):
        raise SceneError(_wrong(file, "not a file", "a file", "name the file itself"))
    if facts.st_size > MOST_BYTES:
        raise SceneError(
            _wrong(
                file,
                f"{facts.st_size / 1e6:.1f} MB",
                f"at most {MOST_BYTES / 1e6:.0f} MB",
                "keep the scene to what was measured; meshes lie in files of their own",
            )
        )
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        column = error.start - (data.rfind(b"\n", 0, error.start) + 1) + 1
        raise SceneError(
            _wrong(
                file, "letters that are not UTF-8", "text in UTF-8", "save the file as UTF-8", (line, column)
            )
        ) from None
    return unicodedata.normalize("NFC", text.replace("\r\n", "\n"))


def tables_of(text: str, file: str) -> dict[str, Any]:
    """Return the tables of a TOML text.

    Parameters
    ----------
    text : str
        From ``text_of``.
    file : str
        As the user named it.

    Returns
    -------
    tables : dict
        As the language has them.

    Raises
    ------
    SceneError
        Empty, too deep, too many values, or not TOML; with line and column.
    """
    if not text.strip():
        raise SceneError(_wrong(file, "an empty file", "a scene", "begin with format = 1, title and units"))
    _refuse_what_overburdens(text, file)
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise SceneError(_syntax(str(error), text, file)) from None


def _refuse_what_overburdens(text: str, file: str) -> None:
    """Refuse, after one look at the brackets and dots, what would cost the parser its stack or its time."""
    if text.count("=") + text.count(",") + text.count("[") > MOST_VALUES:
        raise SceneError(
            _wrong(file, f"more than {MOST_VALUES:,} values", "fewer", "keep to what was measured")
        )
    if text.count("\\") > MOST_BACKSLASHES:
        found, remedy = (
            f"more than {MOST_BACKSLASHES:,} backslashes",
            "take them out",
        )
        raise SceneError(_wrong(file, found, "fewer", remedy))
    depth = 0
    for match in _TOKEN.finditer(text):
        place = match.start()
        if match.lastgroup in _TOO_LONG:
            found, allowed = _TOO_LONG[match.lastgroup]
            raise SceneError(_wrong(file, found, allowed, "write it shorter", _line_and_column(text, place)))
        depth += (match.lastgroup == "opens") - (match.lastgroup == "closes")
        if depth > DEEPEST:
            found = f"lists and tables in one another, more than {DEEPEST} deep"
            allowed = f"at most {DEEPEST} deep"
            remedy = "close a bracket that was left open"
            raise SceneError(_wrong(file, found, allowed, remedy, _line_and_column(text, place)))


def _syntax(said: str, text: str, file: str) -> tuple[Problem, ...]:
    match = _PLACE.search(said)
    if match and match["line"]:
        place = int(match["line"]), int(match["column"])
    else:
        place = _line_and_column(text, len(text.rstrip()))
    for pattern, found, allowed, remedy in (*_about_number(text, place), *_SYNTAX):
        if re.search(pattern, said):
            return _wrong(file, found, allowed, remedy, place)
    return _wrong(
        file, "what is no TOML", "key = value, [table] or [[list]]", "mend the line, or the one before", place
    )


def _about_number(text: str, place: tuple[int, int]) -> Iterator[tuple[str, str, str, str]]:
    """Yield what to say, as in ``_SYNTAX``, of a number at a place that has a comma, a fraction or a unit."""
    line, column = place
    first = max(0, column - 1 - _WINDOW)
    window = text.split("\n")[line - 1][first : column + _WINDOW]
    at = column - 1 - first
    for match in _DECIMAL_COMMA.finditer(window):
        if match.start() < at <= match.end() + 1:
            remedy = f"write {match['whole']}.{match['part']}"
            yield "Expected", "a comma within a number", "a point before decimals", remedy
    for match in _LENGTH.finditer(window):
        if match.start() < at < match.end():
            allowed = 'a plain number, or a length in quotes, such as "5/32 in"'
            yield "Unclosed", f"a length without quotes: {match[0]}", allowed, "put quotes around it"


def _line_and_column(text: str, at: int) -> tuple[int, int]:
    return text.count("\n", 0, at) + 1, at - (text.rfind("\n", 0, at) + 1) + 1


def _wrong(
    file: str, found: str, allowed: str, remedy: str, place: tuple[int, int] = (0, 0)
) -> tuple[Problem, ...]:
    line, column = place
    problem = Problem(
        file=file, key="", found=found, allowed=allowed, remedy=remedy, line=line, column=column
    )
    return (problem,)
