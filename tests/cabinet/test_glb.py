import copy
import struct

import numpy as np
import pytest
from mesh_files import SIDES, box, glb, glb_file, gltf_document, volume
from mesh_reading import surface
from scipy.spatial.transform import Rotation

from routeviz.cabinet.mesh_refusals import MeshError

BOX = box(120, 80, 30)
DOCUMENT, BINARY = gltf_document(BOX, SIDES)


def changed(change) -> bytes:
    """The box's file with its JSON changed in place."""
    document = copy.deepcopy(DOCUMENT)
    change(document)
    return glb_file(document, BINARY)


def read_glb(data: bytes):
    mesh = surface(data, "glb")
    return mesh.vertices_mm, mesh.triangles


def with_nodes(*nodes, roots=(0,)) -> bytes:
    return changed(lambda d: d.update(nodes=list(nodes), scenes=[{"nodes": list(roots)}]))


def refusal(data: bytes) -> MeshError:
    with pytest.raises(MeshError) as caught:
        surface(data, "glb")
    return caught.value


def put(path: str, value):
    """A change of one place in the JSON, named by dots."""
    *steps, last = [int(step) if step.isdigit() else step for step in path.split(".")]

    def change(document):
        place = document
        for step in steps:
            place = place[step]
        place[last] = value

    return change


def test_a_nodes_scale_is_applied():
    points, triangles = read_glb(with_nodes({"mesh": 0, "scale": [2, 3, 4]}))
    assert points.tolist() == (BOX * [2, 3, 4]).tolist()
    assert volume(points, triangles) == pytest.approx(24 * 120 * 80 * 30)


def test_nodes_turn_scale_and_move_in_this_order_and_parents_after_children():
    # Scale x by 2, a quarter turn about z: (x, y, z) -> (-y, 2x, z); move by 1, 2, 3; the parent doubles all.
    half = np.sqrt(0.5)
    child = {"mesh": 0, "scale": [2, 1, 1], "rotation": [0, 0, half, half], "translation": [1, 2, 3]}
    points, triangles = read_glb(with_nodes({"children": [1], "scale": [2, 2, 2]}, child))
    x, y, z = BOX.T
    assert points == pytest.approx(2 * np.stack([1 - y, 2 + 2 * x, 3 + z], axis=1), abs=1e-9)
    assert volume(points, triangles) == pytest.approx(16 * 120 * 80 * 30)


def test_a_matrix_is_read_by_columns():
    matrix = [0, 1, 0, 0, -1, 0, 0, 0, 0, 0, 1, 0, 7, 8, 9, 1]  # quarter turn about z, then a move
    points, _ = read_glb(with_nodes({"mesh": 0, "matrix": matrix}))
    x, y, z = BOX.T
    assert points.tolist() == np.stack([7 - y, 8 + x, 9 + z], axis=1).tolist()


def test_a_mirrored_mesh_keeps_its_outside_out():
    points, triangles = read_glb(with_nodes({"mesh": 0, "scale": [-1, 1, 1]}))
    assert volume(points, triangles) == pytest.approx(120 * 80 * 30)


def test_a_mesh_in_two_places_is_there_twice():
    data = with_nodes({"mesh": 0}, {"mesh": 0, "translation": [500, 0, 0]}, roots=(0, 1))
    points, triangles = read_glb(data)
    assert len(triangles) == 24
    both = np.concatenate([BOX[SIDES], (BOX + np.array([500, 0, 0]))[SIDES]])
    assert sorted(points[triangles].tolist()) == sorted(both.tolist())


@pytest.mark.parametrize("seed", range(5))
def test_random_trees_of_nodes_are_placed_as_scipys_rotations_place_them(seed):
    rng = np.random.default_rng(seed)
    nodes = []
    places = [lambda points: points] * 6
    for k in range(6):
        turn = Rotation.from_quat(rng.normal(size=4))
        scale, move = rng.uniform(0.5, 1.5, 3), rng.uniform(-50, 50, 3)
        children = [child for child in (2 * k + 1, 2 * k + 2) if child < 6]
        node = {"rotation": turn.as_quat().tolist(), "scale": scale.tolist(), "translation": move.tolist()}
        nodes.append({"mesh": 0, "children": children, **node})
        outer = places[k]
        places[k] = lambda points, o=outer, t=turn, s=scale, m=move: o(t.apply(points * s) + m)
        for child in children:
            places[child] = places[k]
    mesh = surface(with_nodes(*nodes), "glb")
    read = mesh.vertices_mm[mesh.triangles].reshape(-1, 9)
    wanted = np.concatenate([place(BOX)[SIDES] for place in places]).reshape(-1, 9)
    assert len(read) == len(wanted) == 72
    distance = np.linalg.norm(read[:, None] - wanted[None], axis=2)
    assert distance.min(axis=1).max() < 1e-4  # positions may be kept in single precision
    assert distance.min(axis=0).max() < 1e-4


def test_interleaved_positions_and_missing_indices_are_read():
    corners = BOX[SIDES].reshape(-1, 3)
    rows = b"".join(struct.pack("<f3fI", 0, *corner, 7) for corner in corners)
    document = copy.deepcopy(DOCUMENT)
    document["buffers"] = [{"byteLength": len(rows)}]
    document["bufferViews"] = [{"buffer": 0, "byteOffset": 4, "byteLength": len(rows) - 4, "byteStride": 20}]
    document["accessors"] = [{"bufferView": 0, "componentType": 5126, "count": 36, "type": "VEC3"}]
    document["meshes"] = [{"primitives": [{"attributes": {"POSITION": 0}}]}]
    points, triangles = read_glb(glb_file(document, rows))
    assert points[triangles].tolist() == BOX[SIDES].tolist()


@pytest.mark.parametrize(("kind", "code"), [("<u1", 5121), ("<u2", 5123), ("<u4", 5125)])
def test_indices_of_every_kind_are_read(kind, code):
    positions = BOX.astype("<f4").tobytes()
    indices = SIDES.astype(kind).tobytes()
    document = copy.deepcopy(DOCUMENT)
    document["buffers"][0]["byteLength"] = len(positions) + len(indices)
    document["bufferViews"][1]["byteLength"] = len(indices)
    document["accessors"][1]["componentType"] = code
    assert read_glb(glb_file(document, positions + indices))[1].tolist() == SIDES.tolist()


@pytest.mark.parametrize(
    ("path", "value", "found"),
    [
        ("buffers.0.uri", "../../etc/passwd", "a buffer in another place than the file's own binary part"),
        (
            "buffers.0.uri",
            "http://127.0.0.1/x.bin",
            "a buffer in another place than the file's own binary part",
        ),
        ("buffers.0.uri", "data:,x", "a buffer in another place than the file's own binary part"),
        ("buffers.0.byteLength", 169, "numbers that reach behind the data's end"),
        ("buffers.0.byteLength", 160, "numbers that reach behind the data's end"),
        (
            "buffers.0.byteLength",
            -1,
            "glTF, buffers.0.byteLength: Input should be greater than or equal to 0",
        ),
        ("buffers", [], "glTF, buffers: List should have at least 1 item"),
        ("bufferViews.0.byteLength", 95, "not understood: ValueError"),
        ("bufferViews.0.byteOffset", 2**31, "numbers that reach behind the data's end"),
        ("bufferViews.0.byteStride", 252, "not understood: AssertionError"),
        ("bufferViews.0.buffer", 1, "numbers that reach behind the data's end"),
        ("accessors.0.count", 9, "not understood: ValueError"),
        ("accessors.0.count", 4_000_000_000, "4,000,000,000 vertices"),
        ("accessors.0.count", 0, "glTF, accessors.0.count: Input should be greater than or equal to 1"),
        ("accessors.0.count", "8", "glTF, accessors.0.count: Input should be a valid integer"),
        ("accessors.0.count", 10**400, "glTF, accessors.0.count: Input should be less than 4294967296"),
        ("accessors.0.byteOffset", 4, "not understood: ValueError"),
        ("accessors.0.bufferView", 7, "a vertex is named that is not in the file"),
        ("accessors.0.bufferView", None, "an accessor without buffer view"),
        ("accessors.0.sparse", {"count": 1}, "numbers of kind 5126, VEC3, sparse"),
        ("accessors.0.componentType", 5123, "numbers of kind 5123, VEC3"),
        ("accessors.1.componentType", 5126, "numbers of kind 5126, SCALAR"),
        ("accessors.1.type", "VEC3", "numbers of kind 5123, VEC3"),
        ("accessors.1.count", 35, "a primitive with 35 corners"),
        ("accessors.1.count", 1_500_003, "500,001 triangles"),
        ("meshes.0.primitives.0.mode", 5, "a primitive of mode 5"),
        ("meshes.0.primitives.0.mode", 1, "a primitive of mode 1"),
        ("meshes.0.primitives.0.indices", 2, "an entry is named that does not exist"),
        ("meshes.0.primitives.0.attributes", {"NORMAL": 0}, "a primitive without POSITION"),
        ("meshes.0.primitives.0.targets", [{"POSITION": 0}], "a mesh with morph targets"),
        ("meshes.0.primitives", [], "glTF, meshes.0.primitives: List should have at least 1 item"),
        ("nodes.0.skin", 0, "a mesh bent by a skin"),
        ("nodes.0.mesh", 1, "an entry is named that does not exist"),
        ("nodes.0.mesh", True, "glTF, nodes.0.mesh: Input should be a valid integer"),
        ("nodes.0.children", [0], "node 0 in two places, or within itself"),
        ("nodes.0.children", [1], "an entry is named that does not exist"),
        ("nodes.0.scale", [1, 1], "glTF, nodes.0.scale: List should have at least 3 items"),
        ("nodes.0.scale", [1, 1, float("nan")], "glTF, nodes.0.scale.2: Input should be a finite number"),
        ("nodes.0.scale", [1, 1, float("inf")], "glTF, nodes.0.scale.2: Input should be a finite number"),
        ("nodes.0.scale", [1, 1, 10**400], "glTF, nodes.0.scale.2: Input should be a"),
        ("nodes.0.rotation", [0, 0, 0, 0], "a node's rotation that is no unit quaternion"),
        ("nodes.0.matrix", [1.0] * 16, "a node with a perspective matrix"),
        ("scenes", [], "glTF, scenes: List should have at least 1 item"),
        ("scenes", [{"nodes": [0]}, {"nodes": []}], "glTF, scenes: List should have at most 1 item"),
        ("nodes.0", {"mesh": 0, "camera": 0}, "a node that is a camera and places a mesh"),
        ("nodes", [{"camera": 0, "children": [1]}, {"mesh": 0}], "a node that is a camera and places a mesh"),
        (
            "nodes.0",
            {"mesh": 0, "matrix": np.eye(4).ravel().tolist(), "scale": [1.0, 1.0, 1.0]},
            "a node with a matrix and",
        ),
        ("scenes.0.nodes", [0, 0], "node 0 in two places, or within itself"),
        ("scenes.0.nodes", [], "1 meshes, of which 0 are in the scene"),
        ("extensionsRequired", ["KHR_draco_mesh_compression"], "the extension KHR_draco_mesh_compression"),
        ("extensionsUsed", ["EXT_mesh_gpu_instancing"], "the extension EXT_mesh_gpu_instancing"),
        ("bufferViews", [], "a vertex is named that is not in the file"),
        ("nodes", [{"mesh": 0}] * 10_001, "glTF, nodes: List should have at most 10000 items"),
    ],
)
def test_what_cannot_be_read_wholly_is_refused(path, value, found):
    error = refusal(changed(put(path, value)))
    assert error.found.startswith(found)
    assert error.allowed
    assert error.remedy


@pytest.mark.parametrize(
    ("path", "value"),
    [
        ("extensionsRequired", ["KHR_materials_unlit", "KHR_texture_transform"]),
        ("extensionsUsed", ["KHR_draco_mesh_compression"]),
        ("images", [{"uri": "../../etc/passwd"}]),
        ("animations", [{"channels": [], "samplers": []}]),
        ("meshes.0.primitives.0.material", 3),
    ],
)
def test_what_carries_no_shape_is_passed_over(path, value):
    assert read_glb(changed(put(path, value)))[1].tolist() == SIDES.tolist()


def test_few_bytes_that_stand_for_many_triangles_are_refused():
    nodes = [{"mesh": 0, "translation": [k, 0, 0]} for k in range(10_000)]
    document = copy.deepcopy(DOCUMENT)
    document.update(nodes=nodes, scenes=[{"nodes": list(range(10_000))}])
    document["accessors"][1]["count"] = 36
    document["meshes"] = [{"primitives": [{"attributes": {"POSITION": 0}, "indices": 1}] * 6}]
    assert refusal(glb_file(document, BINARY)).found == "720,000 triangles"


def test_many_placings_of_one_large_mesh_are_refused_by_their_sum():
    corners = np.random.default_rng(2).random((30_000, 3))
    document, binary = gltf_document(corners, np.arange(30_000).reshape(-1, 3))
    document.update(nodes=[{"mesh": 0}] * 51, scenes=[{"nodes": list(range(51))}])
    assert refusal(glb_file(document, binary)).found == "510,000 triangles"


def test_a_chain_of_growing_nodes_overflows_without_a_warning():
    nodes = [{"scale": [1e300] * 3, "children": [k + 1]} for k in range(5)]
    assert "no finite numbers" in refusal(with_nodes(*nodes, {"mesh": 0})).found


@pytest.mark.parametrize(
    "json", [b"[" * 100_000, b'{"a":' * 5_000, b"{", b"null", b"[]", b"\xff\xfe", b'{"nodes": NaN}', b""]
)
def test_json_that_is_no_gltf_is_refused(json):
    assert refusal(glb_file(json, BINARY)).found.startswith("glTF, ")


@pytest.mark.parametrize(
    ("data", "found"),
    [
        (b"glTF", "no header of a glTF 2 file of this length"),
        (b"glTG" + glb(BOX, SIDES)[4:], "no header of a glTF 2 file of this length"),
        (
            glb(BOX, SIDES)[:4] + struct.pack("<I", 1) + glb(BOX, SIDES)[8:],
            "no header of a glTF 2 file of this length",
        ),
        (glb(BOX, SIDES) + b"\0", "no header of a glTF 2 file of this length"),
        (struct.pack("<IIIII", 0x46546C67, 2, 20, 0, 0x4E4F534A), "other than a JSON and a binary chunk"),
        (
            struct.pack("<IIIII", 0x46546C67, 2, 20, 2**32 - 1, 0x4E4F534A),
            "other than a JSON and a binary chunk",
        ),
        (glb_file(b"{}" + b" " * 8 * 2**20, b""), "8.0 MB of JSON"),
    ],
)
def test_a_damaged_container_is_refused(data, found):
    assert refusal(data).found.startswith(found)
