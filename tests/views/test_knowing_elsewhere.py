"""What nobody measured, in drawings, models for other programs and the page's data; the rest is as ever."""

import io
from pathlib import Path
from typing import Any

import pytest
import shapely
from builders import a_scene, a_table, written
from drawn import by_name, of_kind, words_of
from ezdxf import recover
from glb_reading import Parsed, parsed
from half_known import SAID, pieces

from routeviz.lay import Lay
from routeviz.pipeline import check_scene
from routeviz.views.drawings import drawings
from routeviz.views.dxf import dxf_of
from routeviz.views.glb import glb_bytes
from routeviz.views.page_data import page_data
from routeviz.views.shades import SOLIDS
from routeviz.views.svg import svg_of

SCENES = Path(__file__).parents[2] / "scenes"
DOUBTFUL = ("inferred", "analogous", "assumed", "designed")


@pytest.fixture(scope="module")
def lay(tmp_path_factory: pytest.TempPathFactory) -> Lay:
    return check_scene(written(tmp_path_factory.mktemp("said"), a_scene(*pieces(said=True))))


@pytest.fixture(scope="module")
def silent(tmp_path_factory: pytest.TempPathFactory) -> Lay:
    return check_scene(written(tmp_path_factory.mktemp("silent"), a_scene(*pieces(said=False))))


@pytest.fixture(scope="module")
def measured(tmp_path_factory: pytest.TempPathFactory) -> Lay:
    """The silent scene, of which all is said to have been measured."""
    doubt = a_table("doubt", status="measured", by="Ann", spread=1)
    return check_scene(written(tmp_path_factory.mktemp("measured"), a_scene(*pieces(said=False), doubt)))


# ── drawings ─────────────────────────────────────────────────────────────────────────────────────
def on(lines: list[Any]) -> shapely.Geometry:
    return shapely.union_all([shapely.LineString(one.points) for one in lines])


def test_what_is_seen_of_an_assumed_part_is_dotted_on_a_drawing_and_of_a_sure_one_whole(lay: Lay) -> None:
    front = by_name(lay, "front")
    dotted, whole_lines = on(of_kind(front, "assumed")), on(of_kind(front, "outline"))
    guess, sure = shapely.box(300, 20, 360, 120).exterior, shapely.box(0, 0, 60, 100).exterior
    assert guess.difference(dotted.buffer(0.01)).length < 0.1
    assert sure.difference(whole_lines.buffer(0.01)).length < 0.1
    assert dotted.intersection(sure.buffer(0.01)).length < 0.1
    assert whole_lines.intersection(guess.buffer(0.01)).length < 0.1


def test_the_sides_of_an_assumed_tube_are_dotted_on_a_drawing(lay: Lay) -> None:
    dotted = on(of_kind(by_name(lay, "front"), "assumed"))
    beside = shapely.LineString(
        [(130 + 5.56 / 2, 260), (130 + 5.56 / 2, 390)]
    )  # half its outside off its middle
    assert beside.difference(dotted.buffer(0.05)).length < 1.0


def test_the_section_of_an_assumed_board_is_outlined_as_such(lay: Lay, silent: Lay) -> None:
    assert not of_kind(by_name(lay, "section-a"), "cut")
    assert of_kind(by_name(lay, "section-a"), "assumed")
    assert of_kind(by_name(silent, "section-a"), "cut")


def test_the_key_of_a_drawing_explains_the_lines_and_its_notes_name_the_parts(lay: Lay, silent: Lay) -> None:
    said, nothing = (" ".join(words_of(by_name(one, "front"))) for one in (lay, silent))
    assert "assumed: nobody measured it" in said
    assert "Inferred: seen." in said
    assert "Assumed: shelf, guess, like" in said
    assert not any(status in nothing.lower() for status in DOUBTFUL)


def test_a_dxf_file_has_a_layer_and_a_kind_of_line_for_what_is_assumed(lay: Lay, silent: Lay) -> None:
    document, audit = recover.read(io.BytesIO(dxf_of(by_name(lay, "front"))))
    assert not audit.has_errors
    layer = document.layers.get("ASSUMED")
    assert layer.dxf.linetype == "ASSUMED"
    assert "nobody measured it" in layer.description
    drawn = document.modelspace().query('LWPOLYLINE[layer=="ASSUMED"]')
    assert len(drawn) > 0
    plain, _ = recover.read(io.BytesIO(dxf_of(by_name(silent, "front"))))
    assert "ASSUMED" not in plain.layers


def test_drawings_of_what_was_all_measured_are_those_of_a_scene_that_says_nothing(
    silent: Lay, measured: Lay
) -> None:
    assert [svg_of(a) for a in drawings(silent)] == [svg_of(b) for b in drawings(measured)]
    assert [dxf_of(a) for a in drawings(silent)] == [dxf_of(b) for b in drawings(measured)]


# ── models for other programs, and the page ──────────────────────────────────────────────────────
@pytest.fixture(scope="module")
def model(lay: Lay) -> Parsed:
    return parsed(glb_bytes(lay))


def materials(read: Parsed, name: str) -> list[dict[str, Any]]:
    return [read.document["materials"][one["material"]] for one in read.primitives(name)]


def test_a_model_tells_beside_each_thing_how_it_is_known(model: Parsed, silent: Lay) -> None:
    wanted = {
        "sure": "measured",
        "listed": "documented",
        "guess": "assumed",
        "seen": "inferred",
        "low 1": "assumed",
    }
    for name, status in wanted.items():
        assert model.node(name)["extras"]["status"] == status
    assert "status" not in model.node("left 1")["extras"]
    assert not any("status" in node.get("extras", {}) for node in parsed(glb_bytes(silent)).document["nodes"])


def test_paints_of_a_model_are_named_after_what_nobody_measured_and_shine_through_where_it_is_assumed(
    model: Parsed,
) -> None:
    (assumed,), (sure,), (seen,) = (materials(model, name) for name in ("guess", "sure", "seen"))
    assert assumed["name"].startswith("assumed #")
    assert assumed["alphaMode"] == "BLEND"
    assert assumed["pbrMetallicRoughness"]["baseColorFactor"][3] < 0.2
    assert sure["name"] == SOLIDS["wood"].colour
    assert seen["name"].startswith("inferred #")


def test_the_pages_data_tells_of_each_part_what_is_said_of_its_values(lay: Lay) -> None:
    parts = {part["name"]: part for part in page_data(lay)["parts"]}
    assert (parts["shelf"]["status"], parts["sure"]["status"]) == ("assumed", "measured")
    assert parts["shelf"]["known"] == [{**SAID, "values": []}]
    assert parts["listed"]["known"] == [{"status": "documented", "source": "list 3", "values": []}]
    assert parts["like"]["known"] == [{"status": "assumed", "values": ["size high (recorded as “4 cm”)"]}]


def test_what_the_scene_says_of_everything_is_told_once(measured: Lay) -> None:
    data = page_data(measured)
    assert data["known"] == {"status": "measured", "by": "Ann", "spread": 1}
    assert all(part["known"] == [] and part["status"] == "measured" for part in data["parts"])


def test_the_pages_data_tells_it_of_tubes_and_gives_their_look(lay: Lay) -> None:
    data = page_data(lay)
    low, left = data["tubes"]
    assert (low["status"], left["status"]) == ("assumed", None)
    assert (low["known"], left["known"]) == ([{"status": "assumed", "values": []}], [])
    assert data["looks"][low["look"]]["second"]
    assert not data["looks"][left["look"]]["second"]
    assert data["signs"]["doubts"]["assumed"]["says"] == "nobody measured it"


def test_the_pages_looks_of_what_is_assumed_have_broken_lines(lay: Lay) -> None:
    data = page_data(lay)
    looks = {
        one["name"]: data["looks"][one["look"]]
        for one in [*data["solids"], *data["spaces"], *data["passages"]]
    }
    assert looks["sure"]["dashes"] == looks["listed"]["dashes"] == []
    for name in ("guess", "seen", "hand", "shelf hole"):
        assert looks[name]["dashes"], name


def test_a_route_of_a_plan_is_told_to_be_nothing_that_the_scene_knows() -> None:
    lay = check_scene(SCENES / "thistledown.toml")
    assert lay.reading.scene.doubt is not None
    assert {tube.status for tube in lay.tubes if tube.planned} == {None}


def test_the_page_of_what_was_all_measured_differs_only_in_what_says_so(silent: Lay, measured: Lay) -> None:
    def plain(lay: Lay) -> Any:
        # What was proved of tubing says who measured its least bend, where anybody did.
        return without(page_data(lay), {"known", "status", "proved"})

    assert plain(silent) == plain(measured)


def without(value: Any, keys: set[str]) -> Any:
    if isinstance(value, dict):
        return {key: without(one, keys) for key, one in value.items() if key not in keys}
    return [without(one, keys) for one in value] if isinstance(value, list) else value
