"""What may a scene file say, as JSON Schema, for editors that help while one writes?

What the schema is made from is in description.py.
"""

from typing import Any

from routeviz.scene.description import Scene
from routeviz.scene.doubts import DoubtEntry, LengthBeside, NumberBeside, Sureness

DIALECT = "https://json-schema.org/draft/2020-12/schema"
MODELLED = {"part": "a part by the name of its model", "tubing": "tubing by the name of its model"}
# By the types of a value: what a table with it is called, and what stands beside it. Angles are as lengths.
_TABLES: dict[tuple[str, ...], tuple[str, type[Sureness]]] = {
    ("number", "string"): ("LengthWithDoubt", LengthBeside),
    ("number",): ("NumberWithDoubt", NumberBeside),
    ("integer",): ("WholeWithDoubt", NumberBeside),
}


def scene_schema() -> dict[str, Any]:
    """Return the JSON Schema of a scene file.

    Lengths are numbers in the scene's units or texts with their own; each may stand after ``is`` in a table
    that says how sure it is. What a model says need not be said.

    Returns
    -------
    schema : dict
        Draft 2020-12.
    """
    schema = Scene.model_json_schema(by_alias=True)
    for group, title in MODELLED.items():
        entries = schema["properties"][group]
        modelled = {"type": "object", "title": title, "required": ["model"]}
        entries["additionalProperties"] = {"anyOf": [entries["additionalProperties"], modelled]}
    described = schema.pop("$defs")
    kept = {DoubtEntry.__name__: described.pop(DoubtEntry.__name__)}
    tables = {name: _table(types, entry) for types, (name, entry) in _TABLES.items()}
    return {
        "$schema": DIALECT,
        "title": "A scene",
        **_with_tables(schema),
        "$defs": _with_tables(described) | kept | tables,
    }


def _with_tables(schema: Any) -> Any:
    """Return a schema in which a table with ``is`` may stand wherever a number may."""
    if isinstance(schema, list):
        return [_with_tables(one) for one in schema]
    if not isinstance(schema, dict):
        return schema
    types = _types(schema)
    if types not in _TABLES or "const" in schema:
        return {word: _with_tables(value) for word, value in schema.items()}
    about = {word: schema[word] for word in ("title", "description", "default") if word in schema}
    plain = {word: value for word, value in schema.items() if word not in about}
    return {"anyOf": [plain, {"$ref": f"#/$defs/{_TABLES[types][0]}"}], **about}


def _types(schema: dict[str, Any]) -> tuple[str, ...]:
    types = schema.get("type")
    return tuple(types) if isinstance(types, list) else (str(types),)


def _table(types: tuple[str, ...], entry: type[Sureness]) -> dict[str, Any]:
    """Return the schema of a table with a value of such types after ``is``."""
    table = entry.model_json_schema(by_alias=True)
    value = {"type": [*types], "description": "the value itself"}
    return {**table, "properties": {"is": value, **table["properties"]}, "required": ["is"]}
