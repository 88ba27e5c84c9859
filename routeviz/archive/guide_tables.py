"""What lies in an archive's folder, and every column of every table, for its reading guide.

Part of the reading guide; see reading_guide.py.
"""

from collections.abc import Iterable, Iterator, Sequence
from typing import Protocol

from routeviz.archive.columns import AXES
from routeviz.archive.plain_text import items, paragraph
from routeviz.archive.registers import Field, Register

TOLD_BY_NAME = ("mm", "deg")  # units of numbers whose names tell them
SOURCE, THING = "_source", "#"  # the end of names of columns that tell of another where it comes from
KINDS = {"number": "number", "whole": "whole", "yes or no": "true or false"}
FOLDERS = {
    "tables": "the figures: one file a table, to be opened in any spreadsheet or editor; first of all, these",
    "drawings": "line drawings, lengths in mm; the scale stands on each; they open in a browser",
    "sheets": "tube list, charts, plates at true size and drawings for the bench, to be printed at 100 %; "
    "PDF/A-2u: declared and structurally checked, not certified",
    "models": "the case with its tubes in 3D, for looking at",
    "pictures": "drawn by program from the record; no photographs",
    "page": "3D, findings, tubes and the work at the bench, for a browser; needs no network",
    "source": "the scene as it was written by hand, what it is made of, and what describes it",
    "evidence": "photos, notes, scans and drawings as they were given, untouched",
    "metadata": "for catalogues and repositories",
}
ALIKE = ("drawings", "page", "pictures", "sheets")  # folders whose files are told of together
TABLES = (
    "NAME.csv: told in the next section",
    "NAME.csv-metadata.json: the same of its columns, for machines (CSV on the Web)",
    "csvw.json: all these together",
)
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
    """Return every file with what it is, folder by folder; of the tables, where they are told."""
    by_folder: dict[str, list[Told]] = {}
    for one in files:
        by_folder.setdefault(one.path.rpartition("/")[0], []).append(one)
    lines = [*paragraph("Beside the folder data:"), *items(BESIDE), "", *paragraph("In data:")]
    lines += items(["README.txt: this text", *_named(by_folder.pop("", []))])
    by_folder["tables"] = []
    told: set[str] = set()
    for folder in sorted(by_folder):
        top = folder.partition("/")[0]
        about = FOLDERS.get(top, "") if top not in told else ""
        told.add(top)
        lines += ["", *paragraph(f"{folder}/{': ' if about else ''}{about}")]
        if folder == "tables":
            lines += items(TABLES)
        else:
            lines += items(_briefly(by_folder[folder]) if top in ALIKE else _named(by_folder[folder]))
    return lines


def about_the_tables(registers: Sequence[Register]) -> list[str]:
    """Return every table that has rows with every column: its kind, its unit, what it says."""
    empty = [one.name for one in registers if not one.rows]
    lines = paragraph(
        "A table is a text file in UTF-8: a line of column names, then one line a row, cells parted by "
        "commas. A "
        'cell with a comma or a quotation mark in it stands in quotation marks ("), and each mark in it is '
        "doubled. A point parts whole millimetres from decimals. A text that begins with = is a text, not a "
        "formula. Below, a column marked * may be empty, and those marked + tell one row from all others. "
        "Behind stands of what kind it is (whole: a whole number); where nothing stands it is a text, or a "
        "number if its name ends in _mm (millimetres) or _deg (degrees). x/y/z in a name stands for three "
        "columns, one with each."
    )
    if empty:
        lines += ["", *paragraph(f"Without a row, and so not told of here: {', '.join(empty)}.")]
    for register in registers:
        if register.rows:
            lines += ["", *_about_the_table(register)]
    return lines


def _about_the_table(register: Register) -> list[str]:
    count = f"{len(register.rows)} row{'' if len(register.rows) == 1 else 's'}"
    lines = paragraph(f"tables/{register.name}.csv: {register.about} {count}.")
    for fields in _told_together(register.fields):
        lines += paragraph(_columns(register, fields), indent=2, hang=6)
    return lines


def _told_together(fields: Sequence[Field]) -> Iterator[Sequence[Field]]:
    """Yield columns, several at once where the same is said of them: x, y and z of one thing, sources."""
    place = 0
    while place < len(fields):
        three = fields[place : place + len(AXES)]
        alike = {_without_axis(one, axis) for one, axis in zip(three, AXES, strict=False)}
        count = len(AXES) if len(three) == len(AXES) and len(alike) == 1 else 1
        while count == 1 or fields[place].name.endswith(SOURCE):
            more = fields[place : place + count + 1]
            if len(more) == count or len({_without_thing(one) for one in more}) > 1:
                break
            count += 1
        yield fields[place : place + count]
        place += count


def _without_axis(field: Field, axis: str) -> tuple[str, str]:
    words = field.name.split("_")
    if axis not in words:
        return field.name, field.about
    words.remove(axis)
    return "_".join(words), field.about.replace(f" {axis}.", " AXIS.")


def _without_thing(field: Field) -> tuple[str, str]:
    """Return what is said of a column of sources, whatever the source is of; of others, what is theirs."""
    thing, is_source, _ = field.name.partition(SOURCE)
    return (SOURCE, field.about.replace(thing.replace("_", " "), THING)) if is_source else (field.name, "")


def _columns(register: Register, fields: Sequence[Field]) -> str:
    field = fields[0]
    mark = " +" if field.name in register.key else "" if field.required else " *"
    words = [f"{_names(fields)}{mark}{_kind(field)}:", _about(fields)]
    if not all(word in field.about for word in field.one_of):
        words.append(f"One of: {', '.join(field.one_of)}.")
    if field.name in register.refers:
        table, column = register.refers[field.name]
        words.append(f"As {'' if column == field.name else f'{column} '}in {table}.")
    return " ".join(words).replace(f": The {field.name}. As ", ": as ")


def _names(fields: Sequence[Field]) -> str:
    """Return the names of columns: of the x, y and z of one thing as if of one column."""
    names = [one.name for one in fields]
    if len(fields) == 1 or names[0].endswith(SOURCE):
        return ", ".join(names)
    words = names[0].split("_")
    words[words.index(AXES[0])] = "/".join(AXES)
    return "_".join(words)


def _about(fields: Sequence[Field]) -> str:
    if len(fields) == 1:
        return fields[0].about
    if fields[0].name.endswith(SOURCE):
        return _without_thing(fields[0])[1].replace(f"its {THING}", "that").replace(THING, "that")
    about = fields[0].about.removesuffix(": x.").removesuffix(": its part along x.")
    return f"{about}." if about != fields[0].about else about.replace(" x.", " x, y and z.")


def _kind(field: Field) -> str:
    """Return what is told of a column's kind: nothing of a text, nor of what its name tells."""
    by_name = field.unit in TOLD_BY_NAME and field.name.endswith(f"_{field.unit}")
    if field.kind == "text" or (by_name and field.kind == "number"):
        return ""
    return f" ({KINDS[field.kind]}{f', {field.unit}' if field.unit and not by_name else ''})"


def _named(files: Iterable[Told]) -> list[str]:
    """Return what each file is; of files of which the same is told, once."""
    alike: dict[str, list[Told]] = {}
    for one in files:
        alike.setdefault(one.about, []).append(one)
    return [_in_words(about, ones) for about, ones in alike.items()]


def _in_words(about: str, ones: Sequence[Told]) -> str:
    """Return what files are called and what they tell, said once where the one is in the other."""
    if len(ones) > 1:
        return f"{', '.join(f'{_name(one)} ({one.title})' for one in ones)}: {about}"
    title, about = ones[0].title.rstrip("."), about.rstrip(".")
    return f"{_name(ones[0])}: {about if title in about else f'{title}; {about}' if about else title}"


def _briefly(files: Iterable[Told]) -> list[str]:
    """Return what files are called of which the folder tells enough."""
    return [
        ", ".join(_name(one) if _name(one) in one.title else f"{_name(one)} ({one.title})" for one in files)
    ]


def _name(one: Told) -> str:
    return one.path.rpartition("/")[2]
