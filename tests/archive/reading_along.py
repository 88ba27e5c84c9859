"""A reading guide as its reader takes it: section by section, table by table, sum by sum on a calculator."""

import math
import re

SECTION = re.compile(r"^\d+\. [A-Z ,]+$")
TABLE = re.compile(r"^tables/([a-z0-9-]+)\.csv: ")
SUM = re.compile(r"^    (?P<sum>[-0-9.()x^+/ sqrtincopi]+) = (?P<result>-?[0-9.]+)$")
COLUMN = re.compile(r"^  ([a-z][a-z0-9_/, ]*?)( [*+])?(?: \((number|whole|true or false)(?:, ([^)]*))?\))?: ")
BY_NAME = re.compile(r"_(mm|deg)$")


def sections_of(text):
    """Lines by the title of their section."""
    found, title = {}, ""
    for line in text.splitlines():
        if SECTION.match(line):
            title = line.partition(". ")[2]
        found.setdefault(title, []).append(line)
    return found


def columns_of(text):
    """By table, by column: whether it may be empty, whether it is of the key, its kind, its unit."""
    tables, columns = {}, None
    joined = re.sub(r"\n {6}(?=\S)", " ", text)
    for line in joined.splitlines():
        if table := TABLE.match(line):
            columns = tables.setdefault(table[1], {})
        elif (column := COLUMN.match(line)) and columns is not None:
            for name in _each(column[1]):
                unit = BY_NAME.search(name)
                kind = column[3] or ("number" if unit else "text")
                columns[name] = (
                    column[2] == " *",
                    column[2] == " +",
                    kind,
                    unit[1] if unit else column[4] or "",
                )
    return tables


def _each(names):
    """Names of columns: x/y/z stands for three of them."""
    for name in names.split(", "):
        yield from (name.replace("x/y/z", axis) for axis in (("x", "y", "z") if "x/y/z" in name else ("",)))


def sums_of(lines):
    """Each sum with what a calculator makes of it and what is printed."""
    found = []
    for line in lines:
        if match := SUM.match(line):
            found.append((match["sum"], calculated(match["sum"]), float(match["result"])))
    return found


def calculated(text):
    """What a calculator that counts angles in degrees makes of a sum."""
    names = {
        "sqrt": math.sqrt,
        "pi": math.pi,
        "sin": lambda angle: math.sin(math.radians(angle)),
        "cos": lambda angle: math.cos(math.radians(angle)),
    }
    return eval(text.replace(" x ", " * ").replace("^", "**"), {"__builtins__": {}}, names)
