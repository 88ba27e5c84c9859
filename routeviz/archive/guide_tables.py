"""What lies in an archive's folder, and every column of every table, for its reading guide.

Part of the reading guide; see reading_guide.py.
"""

from collections.abc import Iterable, Iterator, Sequence
from typing import Protocol

from routeviz.archive.columns import AXES
from routeviz.archive.plain_text import items, paragraph
from routeviz.archive.registers import Field, Register

KINDS = {"text": "text", "number": "number", "whole": "whole number", "yes or no": "true or false"}
FOLDERS = {
    "tables": "the figures: one file a table, to be opened in any spreadsheet or editor; first of all, these",
    "drawings": "line drawings to scale, in mm; they open in a browser",
    "sheets": "pages for the bench, to be printed at 100 %",
    "models": "the case with its tubes in 3D, for looking at",
    "pictures": "pictures of it",
    "page": "a page for a browser, which needs no network",
    "source": "what was written by hand, and its description; all else was made from it",
    "evidence": "photos, notes, scans and drawings as they were given, untouched",
    "metadata": "for catalogues and repositories",
}
BESIDE = (
    "bagit.txt, bag-info.txt: that this folder is a bag (BagIt 1.0, RFC 8493), and what it is about",
    "manifest-sha512.txt: a sum of each file in data, by which a change of a single letter is noticed",
    "tagmanifest-sha512.txt: the same of the files beside data",
)


class Told(Protocol):
    """A file of which a reader is told: where it lies in data, what it is called, what it tells."""

    @property
    def path(self) -> str:
        """Return where it lies."""

    @property
    def title(self) -> str:
        """Return what it is called."""

    @property
    def about(self) -> str:
        """Return what it tells."""


def about_the_folder(files: Iterable[Told]) -> list[str]:
    """Return every file with what it is, folder by folder; of the tables, how they are written."""
    by_folder: dict[str, list[Told]] = {}
    for one in files:
        by_folder.setdefault(one.path.rpartition("/")[0], []).append(one)
    lines = [*paragraph("Beside the folder data:"), *items(BESIDE), "", *paragraph("In data:")]
    lines += items(["README.txt: this text", *_named(by_folder.pop("", []))])
    for folder in sorted(by_folder):
        top = FOLDERS.get(folder.partition("/")[0], "")
        lines += ["", *paragraph(f"{folder}/{': ' if top else ''}{top}")]
        if folder != "tables":
            lines += items(_named(by_folder[folder]))
    return lines


def about_the_tables(registers: Sequence[Register]) -> list[str]:
    """Return every table with every column: its kind, its unit, what it says."""
    lines = paragraph(
        "A table is a text file in UTF-8: a line of column names, then one line a row, cells parted by "
        "commas. A "
        'cell with a comma or a quotation mark in it stands in quotation marks ("), and each mark in it is '
        "doubled. A point parts whole millimetres from decimals. Beside NAME.csv, NAME.csv-metadata.json "
        "says the same of its columns as this text, for machines (CSV on the Web). A column marked * may "
        "be empty. A text that begins with = is a text, not a formula."
    )
    for register in registers:
        count = len(register.rows)
        title = f"tables/{register.name}.csv: {register.title}"
        lines += ["", *paragraph(title), "-" * min(len(title), 76)]
        lines += paragraph(f"{register.about} {count} row{'' if count == 1 else 's'}.{_key(register)}")
        for fields in _told_together(register.fields):
            lines += paragraph(_columns(register, fields), indent=2, hang=6)
    return lines


def _key(register: Register) -> str:
    return f" One row is told from the others by {', '.join(register.key)}."


def _told_together(fields: Sequence[Field]) -> Iterator[Sequence[Field]]:
    """Yield columns, three at once where they are the x, y and z of one thing."""
    place = 0
    while place < len(fields):
        three = fields[place : place + len(AXES)]
        alike = {_without_axis(one, axis) for one, axis in zip(three, AXES, strict=False)}
        count = len(AXES) if len(three) == len(AXES) and len(alike) == 1 else 1
        yield three[:count]
        place += count


def _without_axis(field: Field, axis: str) -> tuple[str, str]:
    words = field.name.split("_")
    if axis not in words:
        return field.name, field.about
    words.remove(axis)
    return "_".join(words), field.about.replace(f" {axis}.", " AXIS.")


def _columns(register: Register, fields: Sequence[Field]) -> str:
    field = fields[0]
    words = [f"{', '.join(one.name for one in fields)}{'' if field.required else ' *'}"]
    words.append(f"({KINDS[field.kind]}{f', {field.unit}' if field.unit else ''}):")
    words.append(field.about if len(fields) == 1 else field.about.replace(" x.", " x, y and z."))
    if field.one_of:
        words.append(f"One of: {', '.join(field.one_of)}.")
    if field.name in register.refers:
        table, column = register.refers[field.name]
        words.append(f"As {column} in {table}.")
    return " ".join(words)


def _named(files: Iterable[Told]) -> list[str]:
    return [f"{one.path.rpartition('/')[2]}: {_words_of(one)}" for one in files]


def _words_of(one: Told) -> str:
    """Return what a file is called and what it tells, said once where the one is in the other."""
    title, about = (text.rstrip(".") for text in (one.title, one.about))
    return about if title in about else title if not about else f"{title}; {about}"
