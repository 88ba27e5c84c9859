"""What may a scene file say, as JSON Schema, for editors that help while one writes?

What the schema is made from is in description.py.
"""

from typing import Any

from routeviz.scene.description import Scene

DIALECT = "https://json-schema.org/draft/2020-12/schema"
MODELLED = {"part": "a part by the name of its model", "tubing": "tubing by the name of its model"}


def scene_schema() -> dict[str, Any]:
    """Return the JSON Schema of a scene file.

    Lengths are numbers in the scene's units or texts with their own; what a model says need not be said.

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
    return {"$schema": DIALECT, "title": "A scene", **schema}
