"""An X3D file taken apart in tests, from its standard: shapes, placed in metres, and what is known.

References
----------
ISO/IEC 19775-1:2013, 10.4.4 (Transform), 13.3.3 (Cylinder), 13.3.6 (IndexedFaceSet), 11.4.10
(IndexedLineSet), 7.4 (metadata), 5.3 (fields); from memory.
"""

import re
from dataclasses import dataclass, field

import numpy as np
from lxml import etree
from scipy.spatial.transform import Rotation

PARSER = etree.XMLParser(resolve_entities=False, no_network=True, load_dtd=False, huge_tree=True)


@dataclass
class Thing:
    """A group of the file: what is known of it, and its shapes in metres."""

    kind: str
    known: dict
    meshes: list = field(default_factory=list)  # (corners, faces as lists of numbers)
    lines: list = field(default_factory=list)  # corners of each
    dots: list = field(default_factory=list)
    cylinders: list = field(default_factory=list)  # (one end, other end, radius)

    @property
    def corners(self):
        """All corners of the meshes that a face uses."""
        used = [points[sorted({k for face in faces for k in face})] for points, faces in self.meshes]
        return np.concatenate(used)

    @property
    def triangles(self):
        """How many triangles the faces come to."""
        return sum(len(face) - 2 for _, faces in self.meshes for face in faces)


def tree_of(content):
    """The elements of a file."""
    return etree.fromstring(content, PARSER)


def things_of(root):
    """The groups within the case, by kind and name."""
    (case,) = root.findall("Scene/Transform")
    found = {}
    for group in case.findall("Group"):
        (told,) = group.findall("MetadataSet")
        known = {one.get("name"): _value(one) for one in told}
        thing = Thing(kind=told.get("name"), known=known)
        for child in group:
            _walk(child, _matrix(case), thing)
        found[thing.kind, known["name"]] = thing
    return found


def _value(node):
    if node.tag == "MetadataDouble":
        return numbers(node.get("value"))
    texts = strings(node.get("value"))
    return texts[0] if len(texts) == 1 else texts


def strings(value):
    """The texts of a field of many strings."""
    found = re.findall(r'"((?:[^"\\]|\\.)*)"', value)
    return [re.sub(r"\\(.)", r"\1", text) for text in found]


def numbers(value):
    """The numbers of a field."""
    return np.array([float(word) for word in value.replace(",", " ").split()])


def _matrix(node):
    """What a Transform does, without centre and scale orientation."""
    assert set(node.keys()) <= {"DEF", "translation", "rotation", "scale"}
    turn = numbers(node.get("rotation", "0 0 1 0"))
    matrix = np.eye(4)
    axis = turn[:3] / np.linalg.norm(turn[:3])
    matrix[:3, :3] = Rotation.from_rotvec(axis * turn[3]).as_matrix() @ np.diag(
        numbers(node.get("scale", "1 1 1"))
    )
    matrix[:3, 3] = numbers(node.get("translation", "0 0 0"))
    return matrix


def _walk(node, matrix, thing):
    if node.tag == "Transform":
        for child in node:
            _walk(child, matrix @ _matrix(node), thing)
    elif node.tag == "Shape":
        (geometry,) = [child for child in node if child.tag != "Appearance"]
        _take(geometry, matrix, thing)
    else:
        assert node.tag == "MetadataSet", node.tag


def _take(geometry, matrix, thing):
    def put(points):
        return points @ matrix[:3, :3].T + matrix[:3, 3]

    if geometry.tag == "Cylinder":
        half = float(geometry.get("height")) / 2
        ends = put(np.array([[0.0, -half, 0.0], [0.0, half, 0.0]]))
        shrink = np.linalg.norm(matrix[:3, 0])
        thing.cylinders.append((*ends, shrink * float(geometry.get("radius"))))
        return
    points = put(numbers(geometry.find("Coordinate").get("point")).reshape(-1, 3))
    if geometry.tag == "PointSet":
        thing.dots.append(points)
        return
    rows = [[]]
    for word in geometry.get("coordIndex").split():
        if word == "-1":
            rows.append([])
        else:
            rows[-1].append(int(word))
    rows = [row for row in rows if row]
    if geometry.tag == "IndexedFaceSet":
        thing.meshes.append((points, rows))
    else:
        assert geometry.tag == "IndexedLineSet"
        thing.lines += [points[row] for row in rows]
