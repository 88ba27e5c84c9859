"""How is a scene written? The whole format in plain words, for those who have a scene and no program.

What may stand under a key is put into words in format_words.py; the tables are those of scene/description.py.
"""

from collections.abc import Iterator
from typing import Any, get_args

from routeviz.archive.format_words import field_words, title_of
from routeviz.archive.plain_text import fixed, heading, items, paragraph
from routeviz.scene.description import Scene
from routeviz.scene.doubts import AngleBeside, LengthBeside, NumberBeside
from routeviz.scene.parts import PartEntry
from routeviz.scene.quantities import Entry
from routeviz.scene.wiring_table import COLUMNS, NEEDED

BESIDE = (LengthBeside, AngleBeside, NumberBeside)  # stand with a value, not under a key of their own
INDENT = 4

FILE = (
    "A scene describes the case of a self-playing piano, or of another instrument of its kind, "
    "what stands in it, and the tubes that carry its vacuum from one part to another. It is a text "
    "file in UTF-8, written by hand, in the notation TOML 1.0.",
    "The notation in short. A line holds a key, the sign = and a value. A value is a number, a "
    "text in quotes, true or false, a day such as 2026-05-14, a list in square brackets with "
    "commas between its items, or a table in braces with commas between its keys. A line with a "
    "name in square brackets begins a table: the keys in the lines that follow are its own. Points "
    'in the name lead into tables within tables: [part."key bed".opening.bass] is the table bass, '
    'in the table opening, in the table "key bed", in the table part. A name in two pairs of '
    "square brackets begins the next item of a list of tables. What follows the sign # up to the "
    "end of its line, outside of quotes, is a remark for people.",
)
EXAMPLE = """
format = 1
title  = "A shelf and one tube"
units  = "mm"

[tubing.note]                  # a kind of tube
bore       = "9/64 in"
wall       = "1/32 in"
least_bend = 21

[part.shelf]
kind = "board"
at   = { right = 0, back = 100, up = 200 }
size = { wide = 400, deep = 300, high = 20 }

[part.shelf.opening.hole]      # the passage "shelf hole"
at   = { right = 180, back = 60 }
size = { wide = 40, deep = 30 }

[part.bar]                     # a nipple
kind = "nipples"
rows = [{ holes = "1", first = { right = 195, back = 175, up = 400 } }]
faces = "down"
outside = "5/32 in"

[[tubes]]                      # straight down, through the hole
from    = "bar 1"
to      = "loose"
tubing  = "note"
through = ["shelf hole"]
corners = []
ends_at = { right = 195, back = 175, up = 60 }
"""
WORDS = (
    'length: a number in the units that the key units names, or a text with its own unit: "12.5 '
    'mm", "3 cm", "1.2 m", "5/32 in", "1 1/4 in", "2 ft 3 1/2 in". An inch is 25.4 mm, a foot '
    "304.8 mm, both exactly.",
    'angle: a number of degrees, or a text such as "70 deg". A turn is positive where it is '
    "right-handed about its axis: to one who looks along the axis it goes clockwise.",
    "numbers: a text that counts nipples or keys: '5'; '1..61'; '61..1'; '1..61 step 2', which is "
    "1, 3, 5 and so on to 61; several of these with commas between them.",
    "direction: one of the words right, left, back, front, up, down, or a table with the keys of "
    '"vector". Right is to the player\'s right, back is away from the player.',
    "frame: right, back and up are x, y and z of all tables and models of this archive: a "
    "right-handed frame in millimetres, whose origin is the zero case.",
    "position: how far a point is from a zero, to the right, to the back and upwards, or from the "
    "zero's far ends; what is not said is 0. The zero is that which the position names, else that "
    "of the part or tube. Within a part (its openings, nipples, outline and hinge) positions count "
    "from the part's own place, at, and turn with the part.",
    "zero: a mark that a tape can reach. The zero case is always there, and is the origin of the "
    "frame; other zeros are placed from it or from each other.",
    "part: one of the tables below whose names end in part; its key kind says which. All parts "
    'have the keys of "part entry" besides their own.',
    "model: a part or a kind of tube may name a model. The model's file, in the folder models "
    "beside the scene, then gives all values that the scene itself does not give; where one thing "
    "can be said in two ways, such as outside and wall, what the scene says takes the place of "
    "both.",
    "end of a tube: the name of a part and the number of one of its nipples, 'stack 12', or one of "
    "the words loose, unknown, missing, cut, blocked. With several numbers, 'stack 1..61', it "
    "stands for a run of tubes; the numbers at from and to are taken in pairs, in order. Of a part "
    "that repeats, the copies are called by its name and a number: 'bell 3'.",
    "passage: an opening of a board, called by the names of board and opening, 'shelf hole', or "
    "one of its own.",
    "doubt: any length, angle or other number may stand in a table, after the key is, with what is "
    'known of it: the keys of "length beside", "angle beside" and "number beside". So high = { is '
    '= 19, status = "measured" } is a height of 19. A table doubt in a part, an opening, a '
    "passage, a zero, a kind of tube or a tube says the same of all its values, and at the top of "
    "the scene of all values there; the nearest counts.",
)
WIRING = (
    "The key wiring names a table of further tubes: CSV as RFC 4180 has it, with commas or semicolons "
    f"between cells, a row a tube or a run of tubes. Its columns are {', '.join(COLUMNS)}, in any order, of "
    f'which {", ".join(NEEDED)} must be there. They mean what the keys of these names mean in "tube entry"; '
    "passages under through stand with semicolons between them, and an empty cell says nothing."
)
PLAN = (
    "Tubes that are given by their ends alone have their routes in a second file, the plan, whose name ends "
    "in .plan.json. It is JSON; all its lengths are millimetres in the frame. Under tubes each route has "
    "its name, its passages (through), its corners from end to end, each with the radius of the arc that "
    "rounds it, and its ties: how far along, and to what. Under places stand tees and couplers that the "
    "scene leaves without a place. The tables of this archive have all of these already."
)


def format_text() -> bytes:
    """Return the description of the format of a scene: ASCII, lines of at most 76 letters.

    Returns
    -------
    content : bytes
        The same for the same version.
    """
    lines = ["THE FORMAT OF A SCENE"]
    lines += [*heading(1, "The file"), *_paragraphs(FILE), "An example:", "", *fixed(EXAMPLE)]
    lines += [*heading(2, "Words of the format"), *items(WORDS)]
    lines += [*heading(3, "Tables and keys"), *_tables()]
    lines += [*heading(4, "Tubes in a table of their own"), *paragraph(WIRING)]
    lines += [*heading(5, "The plan"), *paragraph(PLAN)]
    return "".join(f"{line.rstrip()}\n" for line in lines).encode("ascii")


def tables_of() -> dict[type[Entry], list[str]]:
    """Return every table of the format, and under which keys it stands: ``part entry, rows``."""
    found: dict[type[Entry], list[str]] = {Scene: []}
    waiting: list[type[Entry]] = [Scene]
    while waiting:
        table = waiting.pop(0)
        for name, field in table.model_fields.items():
            if name not in _own(table):
                continue
            for below in _entries(field.annotation):
                for one in (PartEntry, below) if issubclass(below, PartEntry) else (below,):
                    waiting += [one] if one not in found else []
                    found.setdefault(one, [])
                found[below].append(f"{title_of(table)}, {field.alias or name}")
    return found | {table: ["beside any value of its kind"] for table in BESIDE}


def _tables() -> Iterator[str]:
    yield from paragraph(
        "The topmost table is called scene here: it is the file itself. Of each key stands first what may be "
        "its value, then what holds where it is left out, then what it means."
    )
    for table, places in tables_of().items():
        title = title_of(table)
        yield ""
        yield title
        yield "-" * len(title)
        yield from paragraph((table.__doc__ or "").replace("``", '"'))
        if places:
            yield from paragraph(f"Stands under: {'; '.join(places)}.")
        if issubclass(table, PartEntry) and table is not PartEntry:
            yield from paragraph('It has all keys of "part entry", and these.')
        yield ""
        for name, field in table.model_fields.items():
            if name in _own(table):
                means = field.description or "which kind of table this is"
                told = f"{field.alias or name}: {field_words(name, field)}. {means[0].upper()}{means[1:]}."
                yield from paragraph(told, indent=INDENT, hang=2 * INDENT)


def _paragraphs(texts: tuple[str, ...]) -> Iterator[str]:
    for text in texts:
        yield from paragraph(text)
        yield ""


def _own(table: type[Entry]) -> set[str]:
    """Return the fields that a table has by itself; a kind of part, besides those of all parts."""
    if not issubclass(table, PartEntry) or table is PartEntry:
        return set(table.model_fields)
    return {name for name in table.model_fields if name in table.__annotations__}


def _entries(annotation: Any) -> list[type[Entry]]:
    """Return the tables among what may stand somewhere."""
    if isinstance(annotation, type) and issubclass(annotation, Entry):
        return [annotation]
    return [one for inner in get_args(annotation) for one in _entries(inner)]
