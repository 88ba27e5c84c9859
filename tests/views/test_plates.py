"""Plates: every tube at its true place and size, seen from the side that is said, whatever its name is."""

import json
import math
import re
from dataclasses import replace
from itertools import pairwise
from pathlib import Path
from xml.etree import ElementTree

import pytest
import shapely
from builders import a_table, corners_of, place, read, with_board, with_nipple, with_row, with_tube
from PIL import ImageFont

from routeviz.pipeline import check_reading
from routeviz.views.plate_text import clean, shortened, wide_em
from routeviz.views.plates import plate

SVG = "{http://www.w3.org/2000/svg}"
RADIUS = 5.56 / 2  # of builders.NOTE
HOSTILE = "</script><img src=x onerror=alert(1)>&\"'"


def an_opening(along="up", name="gap", sides=(40, 30), thick=20, **more):
    """A free-standing passage about the case's zero, 40 by 30 in the order right, back, up."""
    across = [k for k, way in enumerate(("right", "back", "up")) if way != along]
    at, size = [0.0, 0.0, 0.0], {}
    for axis, side in zip(across, sides, strict=True):
        at[axis], size[("wide", "deep", "high")[axis]] = -side / 2, side
    at[({0, 1, 2} - set(across)).pop()] = -thick / 2
    header = f"passage.{json.dumps(name, ensure_ascii=False)}"
    return a_table(header, at=place(*at), size=size, along=along, thick=thick, **more)


def a_tube(number, *points, faces=("up", "down"), through="gap", tag=None, **more):
    """A tube from nipple to nipple by the points between."""
    return (
        with_nipple(f"a{number}", points[0], faces=faces[0]),
        with_nipple(f"b{number}", points[-1], faces=faces[1]),
        with_tube(
            f"a{number} 1", f"b{number} 1", tag=tag or str(number), corners=corners_of(*points[1:-1]),
            through=[through], **more,
        ),
    )  # fmt: skip


def upright(number, x, y, **more):
    """A tube straight up through a level opening."""
    return a_tube(number, (x, y, -60), (x, y, 60), **more)


def a_plate(folder: Path, *pieces: str, name: str = "gap", face: str = "front") -> ElementTree.Element:
    return ElementTree.fromstring(plate(check_reading(read(folder, *pieces)), name, face))


def a_renamed_plate(folder: Path, name: str, tag: str) -> ElementTree.Element:
    """A plate of names that no scene may hold: what draws them must not count on that."""
    lay = check_reading(read(folder, an_opening(), *upright(1, 0, 0)))
    passage = replace(lay.cabinet.passages["gap"], name=name)
    cabinet = replace(lay.cabinet, passages={name: passage})
    tubes = (replace(lay.tubes[0], tag=tag, through=(name,)),)
    return ElementTree.fromstring(plate(replace(lay, cabinet=cabinet, tubes=tubes), name))


def drawn(svg, kind):
    return [one for one in svg.iter() if one.get("class") == f"plate-{kind}"]


def numbers(svg, kind, *names):
    return [[float(one.get(name)) for name in names] for one in drawn(svg, kind)]


def texts(svg):
    return [one.text for one in svg.iter(f"{SVG}text")]


def loop(path):
    return [tuple(map(float, pair.split())) for pair in re.split("[MLZ]", path.get("d")) if pair]


def test_a_tube_is_drawn_where_it_goes_through_at_its_true_size(tmp_path):
    (section,) = numbers(a_plate(tmp_path, an_opening(), *upright(1, 6, -4)), "section", "cx", "cy", "r")
    assert section == pytest.approx([6, 4, RADIUS], abs=1e-3)  # 4 to the front of the middle lies below it


@pytest.mark.parametrize(
    ("along", "start", "end", "faces", "front", "back"),
    [
        ("up", (6, -4, -60), (6, -4, 60), ("up", "down"), (6, 4), (6, -4)),
        ("back", (6, -60, -4), (6, 60, -4), ("back", "front"), (6, 4), (-6, 4)),
        ("right", (-60, 6, -4), (60, 6, -4), ("right", "left"), (6, 4), (-6, 4)),
    ],
)
def test_the_other_face_is_the_mirror_image(tmp_path, along, start, end, faces, front, back):
    pieces = (an_opening(along), *a_tube(1, start, end, faces=faces))
    for face, spot in (("front", front), ("back", back)):
        (section,) = numbers(a_plate(tmp_path, *pieces, face=face), "section", "cx", "cy")
        assert section == pytest.approx(spot, abs=1e-3)


@pytest.mark.parametrize(
    ("along", "face", "seen", "ways"),
    [
        ("up", "front", "from above, the front edge below", "left right back front"),
        ("up", "back", "from below, the front edge above", "left right front back"),
        ("back", "front", "from the player's side", "left right above below"),
        ("back", "back", "from behind, the player's right at the left", "right left above below"),
        ("right", "front", "from the player's right, the back at the right", "front back above below"),
        ("right", "back", "from the player's left, the back at the left", "back front above below"),
    ],
)
def test_from_where_a_plate_is_seen_and_what_lies_where_is_said(tmp_path, along, face, seen, ways):
    svg = a_plate(tmp_path, an_opening(along), face=face)
    assert f"Seen {seen}." in texts(svg)
    assert [one.text.split()[-1] for one in drawn(svg, "way")] == ways.split()
    left, right, up, down = ((float(one.get("x")), float(one.get("y"))) for one in drawn(svg, "way"))
    assert left[0] < -20
    assert right[0] > 20
    assert up[1] < -15
    assert down[1] > 15


def test_a_slanting_tube_is_cut_to_an_ellipse(tmp_path):
    # To the right and up at 45 degrees through the middle: r over the cosine along, r across.
    pieces = a_tube(1, (-60, 0, -120), (-60, 0, -60), (60, 0, 60), (60, 0, 120))
    svg = a_plate(tmp_path, an_opening(), *pieces)
    (section,) = numbers(svg, "section", "cx", "cy", "rx", "ry")
    assert section == pytest.approx([0, 0, RADIUS * math.sqrt(2), RADIUS], abs=1e-3)
    (turned,) = re.findall(r"rotate\(([-0-9.]+) ", drawn(svg, "section")[0].get("transform"))
    assert float(turned) % 180 == pytest.approx(0)


def test_an_ellipse_is_turned_the_way_the_tube_leans(tmp_path):
    # It leans as much to the right as to the back: on the plate, seen from above, up to the right.
    pieces = a_tube(1, (-40, -40, -140), (-40, -40, -80), (40, 40, 80), (40, 40, 140))
    svg = a_plate(tmp_path, an_opening(), *pieces)
    (turned,) = re.findall(r"rotate\(([-0-9.]+) ", drawn(svg, "section")[0].get("transform"))
    assert float(turned) % 180 == pytest.approx(135)  # clockwise from the right, with y downwards
    lean = math.hypot(1, 1) / 2
    (longer,) = numbers(svg, "section", "rx")
    assert longer == pytest.approx([RADIUS * math.hypot(1, lean)], abs=1e-3)


def test_a_unit_is_a_millimetre_and_the_rim_is_at_true_size(tmp_path):
    svg = a_plate(tmp_path, an_opening())
    wide, high = svg.get("width"), svg.get("height")
    assert wide.endswith("mm")
    assert high.endswith("mm")
    assert svg.get("viewBox") == f"0 0 {wide[:-2]} {high[:-2]}"
    (rim,), (clear,) = drawn(svg, "rim"), drawn(svg, "clear")
    assert sorted(loop(rim)) == [(-20, -15), (-20, 15), (20, -15), (20, 15)]
    assert sorted(loop(clear)) == [(-18, -13), (-18, 13), (18, -13), (18, 13)]  # builders: 2 mm, the default


def test_the_check_line_is_100_mm_long(tmp_path):
    (line,) = drawn(a_plate(tmp_path, an_opening(sides=(8, 8))), "check")
    ends = [float(pair.split()[0]) for pair in re.split("[ML]", line.get("d")) if pair]
    assert max(ends) - min(ends) == pytest.approx(100, abs=1e-6)


def test_everything_lies_on_the_paper(tmp_path):
    svg = a_plate(tmp_path, an_opening(sides=(300, 40)), *upright(1, 140, 12))
    wide, high = (float(svg.get(side)[:-2]) for side in ("width", "height"))
    (moved,) = re.findall(r"translate\(([0-9.]+) ([0-9.]+)\)", drawn(svg, "opening")[0].get("transform"))
    middle = [float(part) for part in moved]
    assert 150 < middle[0] < wide - 150
    assert 20 < middle[1] < high - 20
    assert all(
        0 < float(one.get("y")) < high for one in svg.iter(f"{SVG}text") if one.get("class") == "plate-text"
    )


def test_what_goes_through_and_what_it_holds_is_told(tmp_path):
    # Two of 5.56 that keep 2 off the rim need 2 * 5.56 + 4 = 15.12 in a slot in which they lie side by side:
    # 9.6 wide leaves each 0.04 across, 15.2 long leaves both 0.08; three would need 20.68.
    slot = an_opening(sides=(15.2, 9.6), most=5)
    svg = a_plate(tmp_path, slot, *upright(1, -2.8, 0), *upright(2, 2.8, 0))
    told = " ".join(texts(svg))
    assert "2 tubes go through." in told
    assert "It holds exactly 2 of 5.6 mm outside." in told
    assert "At most 5 are wanted in it." in told
    assert "15.2 mm left to right, 9.6 mm front to back, 20.0 mm thick" in told


def test_a_range_is_told_as_a_range(tmp_path):
    svg = a_plate(
        tmp_path, an_opening(sides=(120, 90)), *(p for k in range(3) for p in upright(k, 10 * k, 0))
    )
    (low, high) = re.search(r"at least (\d+), never more than (\d+) of 5.6 mm", " ".join(texts(svg))).groups()
    # Between a square grid, a tube's diameter apart, and what the area of their hexagons allows with the rim.
    inner = (120 - 4 - 5.56, 90 - 4 - 5.56)
    grid = math.prod(int(side / 5.56) + 1 for side in inner)
    assert 3 <= int(low) <= int(high)
    assert int(high) >= grid


def test_tubes_without_a_way_are_told_and_not_drawn(tmp_path):
    waiting = (
        with_nipple("a2", (0, 0, -60)),
        with_nipple("b2", (0, 0, 60), faces="down"),
        with_tube("a2 1", "b2 1", through=["gap"]),
    )
    svg = a_plate(tmp_path, an_opening(), *upright(1, 6, -4), *waiting)
    assert len(drawn(svg, "tube")) == 1
    assert "1 tube goes through; 1 tube more not laid yet." in " ".join(texts(svg))


def test_an_empty_passage_has_a_plate(tmp_path):
    svg = a_plate(tmp_path, an_opening())
    assert not drawn(svg, "tube")
    assert "No tubes go through." in " ".join(texts(svg))


def test_a_short_number_stands_in_the_middle_of_its_tube_and_inside_it(tmp_path):
    svg = a_plate(tmp_path, an_opening(), *upright(1, 6, -4, tag="104"))
    (tag,) = drawn(svg, "tag")
    size = float(tag.get("font-size"))
    assert tag.text == "104"
    assert tag.get("text-anchor") == "middle"
    assert float(tag.get("x")) == 6
    low, high, wide = _ink("104", size)
    assert math.hypot(wide / 2, (high - low) / 2) < RADIUS
    assert float(tag.get("y")) - (low + high) / 2 == pytest.approx(4, abs=0.3)
    assert size >= 2.0  # 5.7 points: what is printed in railway timetables


def test_a_long_tag_stands_in_the_margin_with_a_leader_to_its_tube(tmp_path):
    svg = a_plate(tmp_path, an_opening(), *upright(1, 6, -4, tag="hammer rail lift"))
    (tag,), (leader,) = drawn(svg, "tag"), drawn(svg, "leader")
    begin, end = loop(leader)
    assert tag.text == "hammer rail lift"
    assert end == (6, 4)
    assert begin[0] > 20
    assert float(tag.get("x")) > 20
    assert numbers(svg, "dot", "cx", "cy") == [[6, 4]]


def test_leaders_on_one_side_never_cross(tmp_path):
    spots = [(x, y) for x in (-24, -14, -4, 6, 16, 26) for y in (-11, -2, 8)]
    tubes = (p for k, (x, y) in enumerate(spots) for p in upright(k, x + 0.3 * y, y, tag=f"effect {k}"))
    svg = a_plate(tmp_path, an_opening(sides=(70, 40)), *tubes)
    leaders = [loop(one) for one in drawn(svg, "leader")]
    assert len(leaders) == len(spots)
    for side in (-1, 1):
        lines = [shapely.LineString(line) for line in leaders if line[0][0] * side > 0]
        assert len(lines) == len(spots) / 2
        assert not any(a.crosses(b) for k, a in enumerate(lines) for b in lines[:k])
    heights = sorted(float(one.get("y")) for one in drawn(svg, "tag") if float(one.get("x")) > 0)
    assert min(b - a for a, b in pairwise(heights)) > 3.0  # no tag on another


def test_names_are_text_and_nothing_else(tmp_path):
    name = HOSTILE.replace('"', "")
    svg = a_plate(tmp_path, an_opening(name=name), *upright(1, 0, 0, tag=HOSTILE, through=name), name=name)
    assert {one.tag.removeprefix(SVG) for one in svg.iter()} <= {
        "svg", "title", "g", "path", "circle", "ellipse", "text",
    }  # fmt: skip
    assert drawn(svg, "title")[0].text == name
    assert drawn(svg, "tag")[0].text.startswith("</script><img")


def test_a_name_of_a_thousand_letters_is_cut_off_so_that_it_fits(tmp_path):
    svg = a_renamed_plate(tmp_path, ("WMW " * 250).strip(), "W" * 1000)
    (title,), (tag,) = drawn(svg, "title"), drawn(svg, "tag")
    wide = float(svg.get("width")[:-2])
    assert title.text.endswith("…")
    assert tag.text.endswith("…")
    assert float(title.get("x")) + _ink(title.text, float(title.get("font-size")))[2] < wide
    (word,) = [one for one in drawn(svg, "way") if one.text == "player's right"]
    reach = float(tag.get("x")) + _ink(tag.text, float(tag.get("font-size")))[2]
    assert reach < float(word.get("x"))


def test_a_name_from_right_to_left_stands_in_an_element_of_its_own(tmp_path):
    svg = a_renamed_plate(tmp_path, "\u202eמעבר bass", "ב")
    assert [one.text for one in svg.iter(f"{SVG}text") if "מ" in one.text] == ["\u202eמעבר bass"]
    assert [one.text for one in svg.iter(f"{SVG}text") if "ב" in one.text][1:] == ["ב"]


def test_what_xml_has_no_place_for_is_told_as_such(tmp_path):
    svg = a_renamed_plate(tmp_path, "a\x00b\x1b\ufffec", "\x07")
    assert drawn(svg, "title")[0].text == "a\ufffdb\ufffd\ufffdc"
    assert drawn(svg, "tag")[0].text == "\ufffd"


def test_all_white_space_is_plain():
    assert clean(" key\tbed \n bass ") == "key bed bass"


def test_a_text_that_fits_is_left_whole():
    assert shortened("key bed bass", 40) == "key bed bass"


def test_all_ink_is_the_page_s_own_and_no_meaning_is_in_a_colour(tmp_path):
    svg = a_plate(tmp_path, an_opening(), *upright(1, 6, -4), *upright(2, -6, 4, tag="long enough"))
    colours = {one.get(name) for one in svg.iter() for name in ("fill", "stroke")} - {None}
    assert colours == {"none", "currentColor"}
    assert not any(one.get("id") or one.get("style") for one in svg.iter())


def test_wood_is_hatched_outside_the_rim_only_where_a_board_is_cut(tmp_path):
    opening = {"hole": {"at": place(20, 25, 0), "size": {"wide": 60, "deep": 40}}}
    svg = a_plate(tmp_path, with_board("bed", (0, 0, 0), (100, 90, 20), opening=opening), name="bed hole")
    (wood,) = drawn(svg, "wood")
    rim = shapely.box(-30, -20, 30, 20)
    for stroke in wood.get("d").split("M")[1:]:
        begin, end = ([float(part) for part in pair.split()] for pair in stroke.split("L"))
        assert rim.exterior.distance(shapely.Point(begin)) < 1e-3
        assert not rim.covers(shapely.Point(end))
    assert not drawn(a_plate(tmp_path, an_opening()), "wood")


def test_the_same_lay_has_the_same_bytes(tmp_path):
    lay = check_reading(
        read(tmp_path, an_opening(), *upright(1, 6, -4), *upright(2, -6, 4, tag="a longer tag"))
    )
    assert plate(lay, "gap") == plate(lay, "gap")


def test_tubes_of_a_row_are_told_by_the_index_that_they_have_in_the_lay(tmp_path):
    rows = (
        with_row("a", "1..3", (-10, 0, -60), (10, 0, -60)),
        with_row("b", "1..3", (-10, 0, 60), (10, 0, 60), faces="down"),
        *(with_tube(f"a {k}", f"b {k}", corners=[], through=["gap"]) for k in (3, 1, 2)),
    )
    svg = a_plate(tmp_path, an_opening(), *rows)
    places = {one.get("data-tube"): float(one.find(f"{SVG}circle").get("cx")) for one in drawn(svg, "tube")}
    assert places == pytest.approx({"0": 10.0, "1": -10.0, "2": 0.0})


@pytest.mark.parametrize(
    "letters", ["iiiilljj", "ftr rtf", "key bed bass 104", "ÄÖQ HN", "W@m%…", "a-(b)';:.,"]
)
def test_a_text_is_never_taken_for_narrower_than_a_wide_face_sets_it(letters):
    assert wide_em(letters) >= _ink(letters, 1.0)[2]


def _ink(text, size):
    """How far a text's ink reaches below, above and along the line, in a wide face (DejaVu Sans)."""
    from matplotlib import get_data_path

    face = ImageFont.truetype(str(Path(get_data_path()) / "fonts/ttf/DejaVuSans.ttf"), 200)
    left, top, right, bottom = face.getbbox(text, anchor="ls")
    return -bottom * size / 200, -top * size / 200, max(right - left, face.getlength(text)) * size / 200
