"""From the eye that the page is given for a finding, its place can be seen: by rays through what is drawn.

The rays know the page's data alone: its triangles, its rounded polylines and bars, what it says is faded.
"""

import shutil
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from builders import a_scene, with_row, written
from paged import SCENES, Data, Floats, corners_at, data_of, faces_at, line_of
from trimesh.triangles import closest_point

LEAST_TURN = 0.2  # between the way up and the way of looking, as a sine
TIP_MM = 0.5  # by which a nipple is drawn too short
Bar = tuple[str, Floats, float]
SKIN_MM = (
    0.25  # of a tube that a ray may graze: arcs are bars here and there, with half a millimetre of sagitta
)


@pytest.fixture(scope="module")
def asked_for_more(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Thistledown as it was planned, but with more room asked for than its tubes have."""
    folder = tmp_path_factory.mktemp("more")
    text = (SCENES / "thistledown.toml").read_text(encoding="utf-8")
    more = text.replace("fixed  = 2\nmoving = 3\n", "fixed  = 6\nmoving = 8\n")
    assert more != text
    (folder / "thistledown.toml").write_text(more, encoding="utf-8")
    shutil.copy(SCENES / "thistledown.plan.json", folder)
    return folder / "thistledown.toml"


@pytest.fixture(scope="module", params=["as_found", "asked for more"])
def data(request: pytest.FixtureRequest, asked_for_more: Path) -> Data:
    return data_of(asked_for_more if request.param == "asked for more" else request.param)


def seen(data: Data) -> list[Any]:
    """The findings that are looked at."""
    return [finding for finding in data["findings"] if finding["eye"] is not None]


def met(data: Data, finding: Any, resting: list[Floats], bars: list[Bar]) -> set[str]:
    """What stands between a finding's eye and its place, as it is then drawn, faded or not."""
    eye, point = np.array(finding["eye"]), np.array(finding["point"])
    index, share = finding["moved"] or (None, 0.0)
    names = set()
    for number, (solid, at_rest) in enumerate(zip(data["solids"], resting, strict=True)):
        faces = faces_at(data, solid, share) if number == index else at_rest
        if boxes_meet(eye, point, faces.reshape(-1, 3), 0.0) and crosses(eye, point, faces):
            names.add(solid["name"])
    for name, line, radius in bars:
        is_there = np.linalg.norm(line[-1] - point) < TIP_MM  # a nipple that is itself looked at
        if name not in finding["about"] and not is_there and boxes_meet(eye, point, line, radius):
            names |= {name} if apart(eye, point, line) < radius - SKIN_MM else set()
    return names


def boxes_meet(eye: Floats, point: Floats, places: Floats, by: float) -> bool:
    """Whether the upright box about a straight piece meets that about places: else they are apart."""
    low, high = np.minimum(eye, point) - by, np.maximum(eye, point) + by
    return bool((places.min(axis=0) <= high).all() and (places.max(axis=0) >= low).all())


def bars_of(data: Data) -> list[Bar]:
    """All that is round: tubes, what of them is over nipples, and bare nipples; with places along each."""
    laid = [tube for tube in data["tubes"] if tube["corners"] is not None]
    bars = [(tube["name"], line_of(tube), tube["outside"] / 2) for tube in laid]
    bars += [(t["name"], filled(s["from"], s["to"]), s["radius"]) for t in laid for s in t["sleeves"]]
    taken = {tube[end] for tube in laid for end in ("from", "to")}
    bare = [nipple for nipple in data["nipples"] if nipple["name"] not in taken]
    return bars + [(n["name"], filled(n["from"], n["to"]), n["radius"]) for n in bare]


def crosses(eye: Floats, point: Floats, faces: Floats) -> bool:
    """Whether a straight piece goes through any triangle (Möller and Trumbore's test, from memory)."""
    way = point - eye
    one, other = faces[:, 1] - faces[:, 0], faces[:, 2] - faces[:, 0]
    across = np.cross(way, other)
    size = np.einsum("ij,ij->i", one, across)
    with np.errstate(divide="ignore", invalid="ignore"):
        from_corner = eye - faces[:, 0]
        u = np.einsum("ij,ij->i", from_corner, across) / size
        along = np.cross(from_corner, one)
        v = along @ way / size
        share = np.einsum("ij,ij->i", other, along) / size
    inside = (u > 0.0) & (v > 0.0) & (u + v < 1.0)
    return bool((inside & (share > 0.0) & (share < 1.0) & (np.abs(size) > 1e-9)).any())


def apart(eye: Floats, point: Floats, places: Floats) -> float:
    """How near places come to a straight piece."""
    way = point - eye
    share = np.clip((places - eye) @ way / (way @ way), 0.0, 1.0)
    return float(np.linalg.norm(eye + share[:, None] * way - places, axis=1).min())


def filled(one: list[float], other: list[float]) -> Floats:
    return np.linspace(one, other, 60)


def test_every_way_to_hide_a_place_is_among_what_is_looked_at(asked_for_more: Path) -> None:
    """Solids and tubes that fade, parts that move: else the tests below would show little."""
    data = data_of(asked_for_more)
    faded = {name for finding in seen(data) for name in finding["faded"]}
    assert len(seen(data)) > 100
    for group in ("solids", "tubes"):
        assert faded & {thing["name"] for thing in data[group]}
    assert sum(finding["moved"] is not None for finding in seen(data)) > 20
    assert sum(solid["least"] is not None for solid in data["solids"]) > 20


def test_every_finding_with_a_place_has_an_eye_and_no_other_has(data: Data) -> None:
    assert seen(data)
    for finding in data["findings"]:
        assert (finding["eye"] is None) == (finding["point"] is None)
        assert (finding["target"] is None) == (finding["point"] is None)


def test_from_its_eye_a_place_is_seen_past_all_that_is_not_faded(data: Data) -> None:
    drawn = [faces_at(data, solid) for solid in data["solids"]], bars_of(data)
    hidden = {f["number"]: met(data, f, *drawn) - set(f["faded"]) for f in seen(data)}
    assert not {number: names for number, names in hidden.items() if names}


def test_a_place_stands_inside_the_picture_and_the_picture_the_right_way_up(data: Data) -> None:
    for finding in seen(data):
        eye, target, up = (np.array(finding[key]) for key in ("eye", "target", "up"))
        out = (eye - target) / np.linalg.norm(eye - target)
        right = np.cross(up, out)
        assert np.linalg.norm(right) > LEAST_TURN
        off = np.array(finding["point"]) - target
        assert abs(off @ right / np.linalg.norm(right)) < 0.45 * finding["height"]
        assert abs(off @ np.cross(out, right / np.linalg.norm(right))) < 0.45 * finding["height"]
        # 24 degrees from the lower to the upper rim, as every view of the case has.
        assert np.linalg.norm(eye - target) == pytest.approx(
            finding["height"] / 2 / np.tan(np.radians(12)), abs=1e-2
        )


def test_where_a_part_is_moved_the_gap_that_was_measured_is_there(data: Data) -> None:
    rubs = [f for f in seen(data) if f["moved"] is not None and f["rule"] == "rub"]
    assert rubs
    for finding in rubs:
        index, share = finding["moved"]
        assert data["solids"][index]["name"] == finding["other"]
        tube = data["tubes"][finding["tubes"][0]]
        free = nearest(np.array(finding["point"]), faces_at(data, data["solids"][index], share))
        radii = [tube["outside"] / 2, *(sleeve["radius"] for sleeve in tube["sleeves"])]
        assert min(abs(free - radius - finding["measured"]) for radius in radii) < 0.06


def test_a_nipple_without_a_tube_is_not_faded_where_it_is_looked_at(tmp_path: Path) -> None:
    scene = a_scene(with_row("bar", "1..5", (0, 0, 0), (40, 0, 0)))
    data = data_of(written(tmp_path, scene))
    (finding,) = data["findings"]
    assert finding["point"] == [0, 0, 0]  # the first of those that lack a tube
    assert finding["eye"] is not None
    assert finding["faded"] == []


def nearest(point: Floats, faces: Floats) -> float:
    """How far a point is from the nearest of some triangles, by trimesh."""
    places = closest_point(faces, np.broadcast_to(point, (len(faces), 3)))
    return float(np.linalg.norm(places - point, axis=1).min())


def test_the_least_clearance_of_a_moving_part_is_where_in_its_travel_it_is_said_to_be(data: Data) -> None:
    moving = [solid for solid in data["solids"] if solid["least"] is not None]
    laid = [tube for tube in data["tubes"] if tube["corners"] is not None]
    lines = [line_of(tube, 4.0) for tube in laid]
    places = np.concatenate(lines)
    radii = np.repeat([tube["outside"] / 2 for tube in laid], [len(line) for line in lines])
    for solid in moving[:: max(1, len(moving) // 12)]:
        least = solid["least"]
        tube = data["tubes"][least["tube"]]
        walls = [tube["outside"] / 2, *(sleeve["radius"] for sleeve in tube["sleeves"])]
        there = nearest(np.array(least["point"]), faces_at(data, solid, least["travel"]))
        assert min(abs(there - wall - least["mm"]) for wall in walls) < 0.06
        for travel in (0.0, 0.25, 0.5, 0.75, 1.0):
            box = corners_at(data, solid, travel)
            near = ((places > box.min(axis=0) - 20) & (places < box.max(axis=0) + 20)).all(axis=1)
            faces = faces_at(data, solid, travel)
            for place, radius in zip(places[near], radii[near], strict=True):
                assert nearest(place, faces) - radius > least["mm"] - 0.06
