"""How are registers described for machines? CSV on the Web: a file beside each table, and one for all.

W3C Recommendations of 17 December 2015, "Metadata Vocabulary for Tabular Data" and "Model for Tabular Data
and Metadata on the Web": the description of ``NAME.csv`` is looked for in ``NAME.csv-metadata.json``.
"""

import json
import re
from collections.abc import Sequence
from typing import Any

from routeviz.archive.registers import Field, Register

CONTEXT = ["http://www.w3.org/ns/csvw", {"@language": "en"}]
BESIDE = "-metadata.json"  # what is added to a table's name
GROUP = "csvw.json"  # describes all tables, and which of their columns refer to which

# As csv_of writes; the two recommendations do not agree whether # begins a comment where nothing is said.
DIALECT = {"encoding": "utf-8", "header": True, "commentPrefix": None}

BASES = {"text": "string", "number": "double", "whole": "integer"}


def csvw_of(register: Register) -> bytes:
    """Return the description of one table, as it stands beside it.

    Parameters
    ----------
    register : Register
        Any; its table is ``NAME.csv`` in the same folder.

    Returns
    -------
    content : bytes
        JSON: columns with what they hold, the key. What refers to other tables stands in the group.
    """
    return _json({"@context": CONTEXT, **_table(register), "dialect": DIALECT})


def csvw_group(registers: Sequence[Register]) -> bytes:
    """Return the description of all tables together, and how they refer to each other.

    Parameters
    ----------
    registers : sequence of Register
        No two of one name.

    Returns
    -------
    content : bytes
        JSON. A column refers by a foreign key where each of its cells is filled, and names the whole key of
        another table: a validator would refuse empty ones. The other references are told in words.
    """
    known = {register.name: register for register in registers}
    tables = [_table(register, _foreign_keys(register, known)) for register in registers]
    return _json({"@context": CONTEXT, "dialect": DIALECT, "tables": tables})


def _json(value: dict[str, Any]) -> bytes:
    return (json.dumps(value, indent=1, allow_nan=False, ensure_ascii=False) + "\n").encode("utf-8")


def _table(register: Register, foreign_keys: Sequence[dict[str, Any]] = ()) -> dict[str, Any]:
    schema = {
        "columns": [_column(one, register.refers.get(one.name)) for one in register.fields],
        "primaryKey": list(register.key),
    }
    return {
        "url": f"{register.name}.csv",
        "dc:title": register.title,
        "dc:description": register.about,
        "tableSchema": {**schema, "foreignKeys": list(foreign_keys)} if foreign_keys else schema,
    }


def _column(one: Field, refers: tuple[str, str] | None) -> dict[str, Any]:
    also = "" if refers is None else f" Stands in {refers[0]}.csv under {refers[1]}."
    return {
        "name": one.name,
        "titles": one.name,  # what the table's first line says
        "dc:description": f"{one.about}{also}",
        **({"schema:unitText": one.unit} if one.unit else {}),
        "datatype": _datatype(one),
        "required": one.required,
    }


def _datatype(one: Field) -> str | dict[str, Any]:
    if one.kind == "yes or no":
        return {"base": "boolean", "format": "true|false"}
    base = BASES[one.kind]
    if one.one_of:
        return {"base": base, "format": "|".join(_plain(word) for word in one.one_of)}
    return base if one.least is None else {"base": base, "minimum": f"{one.least:g}"}


def _plain(word: str) -> str:
    """Return a pattern that only a word itself fits."""
    return re.sub(r"[\\^$.|?*+()\[\]{}]", r"\\\g<0>", word)


def _foreign_keys(register: Register, known: dict[str, Register]) -> list[dict[str, Any]]:
    required = {one.name for one in register.fields if one.required}
    return [
        {"columnReference": column, "reference": {"resource": f"{other}.csv", "columnReference": key}}
        for column, (other, key) in register.refers.items()
        if column in required and other in known and known[other].key == (key,)
    ]
