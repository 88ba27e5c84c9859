"""Drawings on their sheets: words that lie on no others, figures by arithmetic, what is cut."""

from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np
import pytest
import shapely
from builders import (
    a_scene,
    with_board,
    with_box,
    with_nipple,
    with_row,
    with_tube,
    with_zero,
    written,
)
from builders import place as at
from drawn import by_name, of_kind, words_of
from matplotlib.font_manager import FontProperties
from matplotlib.textpath import TextPath

from routeviz.lay import Lay
from routeviz.pipeline import check_scene
from routeviz.views.drawing import Arc, Drawing, Stroke, Words, on_sheet
from routeviz.views.drawings import drawings

SCENES = Path(__file__).parents[2] / "scenes"
A4, LETTER = (297.0, 210.0), (279.4, 215.9)
CAPITALS = 0.729  # of DejaVu Sans: from the font's own table


@pytest.fixture(scope="module")
def thistledown() -> Lay:
    return check_scene(SCENES / "thistledown.toml")


@pytest.fixture(scope="module")
def as_found() -> Lay:
    return check_scene(SCENES / "as_found.toml")


def a_small_case(folder: Path, title: str = "A small case") -> Lay:
    """A shelf 300 above the floor with an opening; a straight tube through it at 137 right, 86 back."""
    scene = a_scene(
        with_zero("shelf end", (20, 10, 280)),
        with_box("left side", (0, 0, 0), (10, 200, 500)),
        with_box("right side", (390, 0, 0), (10, 200, 500)),
        with_board(
            "shelf",
            (10, 0, 300),
            (380, 200, 20),
            opening={"hole": {"at": at(100, 60, 0), "size": {"wide": 60, "deep": 40}}},
        ),
        with_nipple("low", (137, 86, 100), "up"),
        with_nipple("high", (137, 86, 450), "down"),
        with_row("bar", "1..9", (200, 50, 450), (280, 50, 450), "down"),
        with_tube("low 1", "high 1", through=["shelf hole"], corners=[]),
        title=title,
    )
    return check_scene(written(folder, scene))


@cache
def wide_of(text: str, bold: bool) -> float:
    """How wide letters of size 1 are, by matplotlib's own outlines."""
    font = FontProperties(family="DejaVu Sans", weight="bold" if bold else "normal")
    low, high = TextPath((0, 0), text, size=100, prop=font).get_extents().get_points()
    return float(high[0] - low[0]) / 100


def boxes(drawing: Drawing) -> list[tuple[str, shapely.Polygon]]:
    """Where words are on the sheet: by matplotlib's own outlines of the letters, turned as they stand."""
    found = []
    for mark in drawing.marks:
        if isinstance(mark, Words) and mark.text.strip():
            wide = wide_of(mark.text, mark.bold) * mark.height_mm / CAPITALS
            left = {"start": 0.0, "middle": -0.5 * wide, "end": -wide}[mark.anchor]
            # What stands on the line alone: tails of letters may come near the row below.
            box = shapely.box(left, -0.5 * mark.height_mm, left + wide, 0.5 * mark.height_mm)
            turned = shapely.affinity.rotate(box, -mark.turn_deg, origin=(0, 0))
            x, y = on_sheet(drawing, np.array(mark.at))[0]
            found.append((mark.text, shapely.affinity.translate(turned, x, y)))
    return found


@pytest.mark.parametrize("sheet", [A4, LETTER])
@pytest.mark.parametrize("name", ["thistledown", "as_found"])
def test_no_words_lie_on_others_or_beyond_the_frame(
    name: str, sheet: tuple[float, float], request: pytest.FixtureRequest
) -> None:
    lay = request.getfixturevalue(name)
    for inches in (False, True):
        for drawing in drawings(lay, sheet_mm=sheet, inches=inches):
            placed = boxes(drawing)
            frame = shapely.box(10, 10, sheet[0] - 10, sheet[1] - 10)
            outside = [text for text, box in placed if not frame.contains(box)]
            assert not outside, drawing.name
            tree = shapely.STRtree([box for _, box in placed])
            pairs = tree.query([box for _, box in placed], predicate="intersects").T
            over = [(placed[a][0], placed[b][0]) for a, b in pairs if a < b]
            assert not over, drawing.name


def test_there_is_a_sheet_a_side_and_one_a_passage_and_each_says_how_many(thistledown: Lay) -> None:
    some = drawings(thistledown)
    assert [one.name for one in some] == ["front", "top", "side", *(f"section-{c}" for c in "abcd")]
    assert [dict(one.fields)["Sheet"] for one in some] == [f"{n} / 7" for n in range(1, 8)]


def test_everything_drawn_stays_on_the_sheet(thistledown: Lay) -> None:
    for drawing in drawings(thistledown):
        for mark in drawing.marks:
            if isinstance(mark, Stroke):
                places = on_sheet(drawing, mark.points)
                assert (places >= 10.0 - 1e-6).all(), (drawing.name, mark)
                assert (places <= np.array(drawing.sheet_mm) - 10.0 + 1e-6).all(), (drawing.name, mark)


def test_the_block_names_title_scale_program_and_what_the_drawing_is_not(thistledown: Lay) -> None:
    front = by_name(thistledown, "front", date="2031-02-03")
    said = " ".join(words_of(front))
    for words in (
        "Thistledown cabinet piano",
        "1:10",
        "millimetres",
        "2031-02-03",
        "routeviz",
        "third angle",
    ):
        assert words in said
    assert "as drawn, not as it hangs" in said


def test_the_section_of_a_tube_is_a_circle_where_the_tube_is_with_its_tag_in_it(tmp_path: Path) -> None:
    section = by_name(a_small_case(tmp_path), "section-a")
    # The opening is 60 by 40, its corner 110 right and 60 back: its middle at 140, 80; the tube at 137, 86.
    rings = [m for m in section.marks if isinstance(m, Arc) and m.kind == "outline" and m.radius > 2]
    (ring,) = [ring for ring in rings if abs(ring.radius - 5.56 / 2) < 1e-6]
    assert ring.centre == pytest.approx((137 - 140, 86 - 80), abs=1e-6)
    (tag,) = [m for m in section.marks if isinstance(m, Words) and m.text == "1" and m.anchor == "middle"]
    assert tag.at == pytest.approx(ring.centre)


def test_hatching_lies_in_the_wood_and_not_in_the_opening(tmp_path: Path) -> None:
    section = by_name(a_small_case(tmp_path), "section-a")
    strokes = [m.points for m in of_kind(section, "hatch")]
    hole, shelf = shapely.box(-30, -20, 30, 20), shapely.box(10 - 140, -80, 390 - 140, 120)
    lines = [shapely.LineString(p) for p in strokes]
    assert len(lines) > 20
    assert all(shelf.buffer(1e-6).contains(line) for line in lines)
    assert max(line.intersection(hole).length for line in lines) < 1e-6


def test_dimensions_are_what_the_scene_says(tmp_path: Path) -> None:
    some = {one.name: set(words_of(one)) for one in drawings(a_small_case(tmp_path))}
    # Two sides of 10 and a shelf of 380 between them, 500 high and 200 deep; an opening of 60 by 40.
    assert {"400", "500"} <= some["front"]
    assert {"400", "200"} <= some["top"]
    assert {"200", "500"} <= some["side"]
    assert {"60", "40"} <= some["section-a"]


def test_running_dimensions_are_from_the_zero_that_is_named(tmp_path: Path) -> None:
    said = words_of(by_name(a_small_case(tmp_path), "front"))
    for words in ("20 zero shelf end", "280 zero shelf end", "200 bar", "280 bar", "450 bar"):
        assert words in said


def test_inches_are_to_the_nearest_sixteenth(tmp_path: Path) -> None:
    front = by_name(a_small_case(tmp_path), "front", inches=True)
    # 400 mm are 15.748 in, 15 and 11.97 sixteenths; 500 mm are 19.685 in, 19 and 10.96 sixteenths.
    assert {"15 3/4", "19 11/16"} <= set(words_of(front))
    assert "inches, to 1/16" in words_of(front)


def test_a_scene_in_inches_is_dimensioned_in_inches(tmp_path: Path) -> None:
    lay = a_small_case(tmp_path)
    reading = replace(lay.reading, scene=lay.reading.scene.model_copy(update={"units": "in"}))
    front = by_name(replace(lay, reading=reading), "front")
    assert {"15 3/4", "19 11/16"} <= set(words_of(front))


def test_the_scale_bar_is_as_long_as_it_says(thistledown: Lay) -> None:
    front = by_name(thistledown, "front")
    share = {"1:10": 0.1}[str(front.scale)]
    (words,) = [m for m in front.marks if isinstance(m, Words) and m.text == "200 mm"]
    (zero,) = [m for m in front.marks if isinstance(m, Words) and m.text == "0" and m.height_mm == 1.8]
    (first, last) = on_sheet(front, np.array([zero.at, words.at]))
    assert last[0] - first[0] == pytest.approx(200 * share)


def test_a_lay_without_tubes_and_passages_has_its_three_views(tmp_path: Path) -> None:
    lay = check_scene(written(tmp_path, a_scene(with_box("box", (0, 0, 0), (100, 50, 30)))))
    some = drawings(lay)
    assert [one.name for one in some] == ["front", "top", "side"]
    assert {"100", "30"} <= set(words_of(some[0]))


def test_an_empty_scene_can_be_drawn(tmp_path: Path) -> None:
    assert len(drawings(check_scene(written(tmp_path, a_scene())))) == 3


def test_tubes_without_a_route_are_told_of(as_found: Lay) -> None:
    missing = sum(1 for tube in as_found.tubes if tube.curve is None)
    assert missing > 0
    assert f"{missing} of {len(as_found.tubes)} tubes have no route" in " ".join(
        words_of(by_name(as_found, "front"))
    )


def test_names_of_any_length_stay_on_the_sheet_and_off_each_other(tmp_path: Path) -> None:
    holes = {
        f"{chr(97 + k)} hole of a very long name indeed": {"at": at(10 + 12 * k, 20, 0), "diameter": 8}
        for k in range(24)
    }
    scene = a_scene(with_board("b", (0, 0, 0), (320, 200, 20), opening=holes), title="W" * 300)
    for drawing in drawings(check_scene(written(tmp_path, scene)))[:4]:
        placed = boxes(drawing)
        frame = shapely.box(10, 10, 287, 200)
        assert not [text for text, box in placed if not frame.contains(box)], drawing.name
        tree = shapely.STRtree([box for _, box in placed])
        pairs = tree.query([box for _, box in placed], predicate="intersects").T
        assert not [(placed[a][0], placed[b][0]) for a, b in pairs if a < b], drawing.name


def test_a_tube_that_goes_through_aslant_is_cut_to_an_ellipse(tmp_path: Path) -> None:
    """At 45 degrees in the plane of right and up: longer by the root of two along right."""
    scene = a_scene(
        with_board(
            "shelf",
            (0, 0, 300),
            (400, 200, 20),
            opening={"hole": {"at": at(150, 60, 0), "size": {"wide": 100, "deep": 40}}},
        ),
        with_nipple("low", (100, 80, 210), {"right": 1, "back": 0, "up": 1}),
        with_tube("low 1", "loose", ends_at=at(300, 80, 410), waits_for="later", corners=[]),
    )
    section = by_name(check_scene(written(tmp_path, scene)), "section-a")
    (oval,) = [m.points for m in of_kind(section, "outline") if m.closed]
    # The middle of the opening is at 200, 80, 310; the tube is there, too.
    assert oval.mean(axis=0) == pytest.approx((0.0, 0.0), abs=1e-6)
    assert np.ptp(oval, axis=0) == pytest.approx((5.56 * np.sqrt(2), 5.56), abs=0.02)
