"""How shapes, looks and what is known of a thing are written in X3D: a node each, as short as it can be."""

import math
import re
from collections.abc import Mapping, Sequence
from xml.etree import ElementTree as ET

import numpy as np

from routeviz.geometry.arrays import Floats, Ints
from routeviz.geometry.skins import swept
from routeviz.views.lines import plain
from routeviz.views.shades import Look

PLACES = 3  # of a millimetre: corners of a plan are no finer
SKIN_PLACES = 2  # of what is only looked at
SIDES = 10  # corners of a tube's section: its silhouette is within 5 % of its radius
ROUND = (
    "3.1416"  # rad; the profile knows flat faces, which need no word, and faces that are all one bent face
)
Known = str | Sequence[str] | Floats | Sequence[float]


class Paints:
    """Looks that a file has already: each stands once, and is named where it is used again."""

    def __init__(self) -> None:
        self.told: dict[tuple[str, str, float], str] = {}

    def surface(self, look: Look, colour: str = "") -> ET.Element:
        """Return how faces look, in another colour than the look's if one is given."""
        return self._appearance("surface", colour or look.colour, look.opacity)

    def line(self, colour: str) -> ET.Element:
        """Return how lines and dots look."""
        return self._appearance("line", colour, 1.0)

    def _appearance(self, kind: str, colour: str, opacity: float) -> ET.Element:
        key = kind, colour, opacity
        if key in self.told:
            return ET.Element("Appearance", {"USE": self.told[key]})
        self.told[key] = f"look-{len(self.told) + 1}"
        appearance = ET.Element("Appearance", {"DEF": self.told[key]})
        shares = " ".join(f"{int(colour[k : k + 2], 16) / 255:.3g}" for k in (1, 3, 5))
        material = {"emissiveColor" if kind == "line" else "diffuseColor": shares}
        if opacity < 1.0:
            material["transparency"] = f"{1.0 - opacity:.3g}"
        ET.SubElement(appearance, "Material", material)
        return appearance


def known(kind: str, name: str, about: Mapping[str, Known]) -> ET.Element:
    """Return a group with what is known of a thing; what is empty is left out.

    Parameters
    ----------
    kind, name : str
        What it is, and what it is called.
    about : mapping
        By the name of what is known: words, several, or numbers.

    Returns
    -------
    group : Element
        Whose shapes are to be put in.
    """
    group = ET.Element("Group")
    told = ET.SubElement(group, "MetadataSet", {"name": kind})
    for key, value in {"name": name, **about}.items():
        if len(value) == 0:
            continue
        texts = [value] if isinstance(value, str) else [one for one in value if isinstance(one, str)]
        node, content = (
            ("MetadataString", strings(texts))
            if texts
            else ("MetadataDouble", _numbers(np.asarray(value, dtype=np.float64), 6))
        )
        ET.SubElement(told, node, {"name": key, "value": content, "containerField": "value"})
    return group


def identified(group: ET.Element, kind: str, number: int) -> ET.Element:
    """Return a group under a name that no other node has: its kind and number, and what it is called."""
    name = group.find("MetadataSet/MetadataString")
    spelt = "" if name is None else re.sub(r"[^A-Za-z0-9]+", "-", name.get("value", "")).strip("-")
    group.set("DEF", f"{kind}-{number}-{spelt}".rstrip("-"))
    return group


def faces(corners: Floats, triangles: Ints, appearance: ET.Element) -> ET.Element:
    """Return triangles as a shape; corners in one place are one."""
    rounded = np.round(corners, PLACES) + 0.0
    used, where = np.unique(rounded[triangles.ravel()], axis=0, return_inverse=True)
    rows = where.reshape(-1, 3).tolist()
    return _mesh(_numbers(used, PLACES), rows, appearance)


def tube_skin(centres: Floats, tangents: Floats, radius: float, appearance: ET.Element) -> ET.Element:
    """Return a round tube with flat ends as a shape: rings of corners, and four-sided faces between them."""
    rings = swept(centres, tangents, radius, SIDES).points[: SIDES * len(centres)]
    around = np.arange(SIDES)
    beside = (around + 1) % SIDES
    quads = np.stack([around, beside, beside + SIDES, around + SIDES], axis=-1)
    walls = (np.arange(len(centres) - 1)[:, None, None] * SIDES + quads).reshape(-1, 4)
    last = SIDES * (len(centres) - 1) + around
    rows = [*walls.tolist(), around[::-1].tolist(), last.tolist()]
    shape = _mesh(_numbers(rings, SKIN_PLACES), rows, appearance)
    shape[-1].set("creaseAngle", ROUND)
    return shape


def cylinder(begin: Floats, end: Floats, radius: float, appearance: ET.Element) -> ET.Element:
    """Return a closed cylinder from the middle of one end to that of the other, placed."""
    high = float(np.linalg.norm(end - begin))
    x, y, z = ((end - begin) / high).tolist()
    flat = math.hypot(x, z)
    axis = f"{_one(z / flat)} 0 {_one(-x / flat)}" if flat > 1e-9 else "1 0 0"
    placing = {"translation": _numbers(0.5 * (begin + end), PLACES)}
    if flat > 1e-9 or y < 0.0:
        placing["rotation"] = f"{axis} {_one(math.atan2(flat, y))}"
    placed = ET.Element("Transform", placing)
    shape = _shape(appearance)
    ET.SubElement(shape, "Cylinder", {"radius": _one(radius), "height": _one(high)})
    placed.append(shape)
    return placed


def line_set(corners: Floats, chains: Ints, appearance: ET.Element) -> ET.Element:
    """Return lines as a shape, each a row of numbers of corners."""
    shape = _shape(appearance)
    lines = ET.SubElement(shape, "IndexedLineSet", {"coordIndex": _rows(chains.tolist())})
    ET.SubElement(lines, "Coordinate", {"point": _numbers(corners, PLACES)})
    return shape


def points(places: Floats, appearance: ET.Element) -> ET.Element:
    """Return single points as a shape."""
    shape = _shape(appearance)
    ET.SubElement(ET.SubElement(shape, "PointSet"), "Coordinate", {"point": _numbers(places, PLACES)})
    return shape


def written(text: str) -> str:
    """Return any text as XML may hold it: signs that are no print are spelt out."""
    return " ".join(plain(text).split())


def strings(texts: Sequence[str]) -> str:
    """Return texts as the value of a field of many strings."""
    return " ".join(f'"{_quoted(text)}"' for text in texts)


def _quoted(text: str) -> str:
    return written(text).replace("\\", "\\\\").replace('"', '\\"')


def _shape(appearance: ET.Element) -> ET.Element:
    shape = ET.Element("Shape")
    shape.append(appearance)
    return shape


def _mesh(corners: str, rows: Sequence[Sequence[int]], appearance: ET.Element) -> ET.Element:
    shape = _shape(appearance)
    form = {"solid": "false", "coordIndex": _rows(rows)}
    ET.SubElement(ET.SubElement(shape, "IndexedFaceSet", form), "Coordinate", {"point": corners})
    return shape


def _rows(rows: Sequence[Sequence[int]]) -> str:
    return " ".join(f"{' '.join(map(str, row))} -1" for row in rows)


def _numbers(values: Floats, places: int) -> str:
    return " ".join(f"{value:.10g}" for value in (np.round(values, places) + 0.0).ravel().tolist())


def _one(value: float) -> str:
    return f"{round(value, 6) + 0.0:.10g}"
