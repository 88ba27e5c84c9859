"""Elements of an X3D file as objects of the package x3d, which is made from the standard's own model.

It comes from the Web3D Consortium, knows every node and field, its type and what may stand in it, and refuses
what the standard does not know.
"""

import contextlib
import io

from x3d_reading import numbers, strings

with contextlib.redirect_stdout(io.StringIO()):  # it greets
    from x3d import x3d as standard

FIELDS = {
    "Appearance": "appearance",
    "Material": "material",
    "Coordinate": "coord",
    "MetadataSet": "metadata",
}
FIELDS |= dict.fromkeys(("IndexedFaceSet", "IndexedLineSet", "PointSet", "Cylinder"), "geometry")
FIELDS |= {"head": "head", "Scene": "Scene"}
ROWS = {"MFVec3f": 3, "MFColor": 3}


def made(node):
    """An element and all in it, as objects of the standard."""
    kind = getattr(standard, node.tag)
    types = {name: of.__name__ for name, _, of, *_ in kind.FIELD_DECLARATIONS()}
    given = {
        key: value if key in ("DEF", "USE") else _typed(types[key], value)
        for key, value in node.items()
        if key != "containerField"
    }
    for child in node:
        field = child.get("containerField") or FIELDS.get(child.tag, "children")
        if types[field] == "MFNode":
            given.setdefault(field, []).append(made(child))
        else:
            assert field not in given, f"two of {field} in a {node.tag}"
            given[field] = made(child)
    return kind(**given)


def _typed(kind, value):
    """A value of an attribute, as its field's type is in Python."""
    match kind:
        case "MFString":
            return strings(value)
        case "SFString":
            return value
        case "SFBool":
            return {"true": True, "false": False}[value]
        case "MFInt32":
            return [int(word) for word in value.split()]
    found = numbers(value).tolist()
    if kind in ROWS:
        return [tuple(found[k : k + ROWS[kind]]) for k in range(0, len(found), ROWS[kind])]
    if kind.startswith("MF"):
        return found
    return found[0] if kind in ("SFFloat", "SFDouble", "SFInt32") else tuple(found)
