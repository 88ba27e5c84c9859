"""SVG of drawings: read back by a general XML reader, and measured in millimetres of the sheet."""

import re
import xml.etree.ElementTree as ET

import numpy as np
import pytest

from routeviz.views.drawing import Arc, Drawing, Fill, Scale, Stroke, Words
from routeviz.views.svg import svg_of

NS = "{http://www.w3.org/2000/svg}"
HOSTILE = "<script>alert('x')</script> & \"quotes\" ]]> \x07\x1b[31m –ü"


def a_drawing(*marks: Stroke | Arc | Fill | Words, title: str = "A drawing") -> Drawing:
    """At 1:10 on a sheet of 200 by 100, whose lower left corner is at (-500, 300)."""
    return Drawing(
        name="front",
        title=title,
        scale=Scale(sheet=1, thing=10),
        sheet_mm=(200.0, 100.0),
        corner=(-500.0, 300.0),
        marks=marks,
    )


def read(drawing: Drawing) -> ET.Element:
    return ET.fromstring(svg_of(drawing))


def numbers(text: str) -> list[float]:
    return [float(n) for n in re.findall(r"-?\d+\.?\d*", text)]


def test_a_millimetre_of_the_picture_is_one_of_the_sheet() -> None:
    root = read(a_drawing())
    assert (root.get("width"), root.get("height"), root.get("viewBox")) == ("200mm", "100mm", "0 0 200 100")


def test_a_stroke_is_where_it_is_on_the_sheet_counted_from_above() -> None:
    root = read(a_drawing(Stroke(kind="outline", points=np.array([(-500.0, 300), (500, 1300)]))))
    (path,) = root.iter(f"{NS}path")
    # 1000 mm to the right at 1:10 are 100 mm; the lower edge is 100 mm from above.
    assert numbers(path.get("d", "")) == [0.0, 100.0, 100.0, 0.0]


def test_a_circle_is_a_circle() -> None:
    root = read(a_drawing(Arc(kind="tube", centre=(0.0, 800.0), radius=25.0)))
    (circle,) = root.iter(f"{NS}circle")
    assert [float(circle.get(k, "")) for k in ("cx", "cy", "r")] == [50.0, 50.0, 2.5]


@pytest.mark.parametrize(("to_deg", "large"), [(90.0, 0), (270.0, 1)])
def test_an_arc_goes_anticlockwise_from_its_first_angle_to_its_last(to_deg: float, large: int) -> None:
    root = read(a_drawing(Arc(kind="tube", centre=(0.0, 800.0), radius=100.0, from_deg=0.0, to_deg=to_deg)))
    (path,) = root.iter(f"{NS}path")
    end = {90.0: [50.0, 40.0], 270.0: [50.0, 60.0]}[to_deg]
    # Flags: large arc, and no sweep: in a picture whose y goes down, anticlockwise is against the sweep.
    assert numbers(path.get("d", "")) == [60.0, 50.0, 10.0, 10.0, 0.0, large, 0.0, *end]


def test_lines_are_grey_or_black_of_a_width_in_millimetres_and_hidden_ones_dashed() -> None:
    points = np.array([(0.0, 400.0), (10.0, 400.0)])
    groups = {
        kind: next(g for g in read(a_drawing(Stroke(kind=kind, points=points))).iter(f"{NS}g"))
        for kind in ("cut", "outline", "hidden", "centre")
    }
    widths = {kind: float(g.get("stroke-width", "")) for kind, g in groups.items()}
    # ISO 128-2: widths from the series 0.13, 0.18, 0.25, 0.35, 0.5 mm; what is cut is twice an outline.
    assert set(widths.values()) <= {0.13, 0.18, 0.25, 0.35, 0.5}
    assert widths["cut"] == 2 * widths["outline"]
    assert [bool(groups[k].get("stroke-dasharray")) for k in groups] == [False, False, True, True]
    # ISO 128-2: dashes of 12 d and gaps of 3 d; chain lines 24 d, 3 d, a dot, 3 d.
    d = widths["hidden"]
    assert numbers(groups["hidden"].get("stroke-dasharray", "")) == pytest.approx([12 * d, 3 * d])
    for group in groups.values():
        red, green, blue = (group.get("stroke", "")[k : k + 2] for k in (1, 3, 5))
        assert red == green == blue


def test_hostile_words_are_words() -> None:
    root = read(a_drawing(Words(text=HOSTILE, at=(0.0, 400.0), height_mm=1.8), title=HOSTILE))
    (text,) = root.iter(f"{NS}text")
    assert text.text is not None
    assert text.text.startswith("<script>alert('x')</script> & \"quotes\" ]]> ")
    assert not [tag for tag in root.iter() if tag.tag.endswith("script")]
    assert "\\u0007" in text.text  # what no XML may hold is spelt out


def test_words_are_as_high_as_they_say_and_turn_anticlockwise() -> None:
    root = read(a_drawing(Words(text="A", at=(0.0, 800.0), height_mm=1.8, anchor="middle", turn_deg=90.0)))
    (text,) = root.iter(f"{NS}text")
    assert float(text.get("font-size", "")) * 0.729 == pytest.approx(1.8, abs=0.001)
    assert text.get("text-anchor") == "middle"
    angle, x, y = numbers(text.get("transform", ""))
    # Upwards writing: its line lies half a capital to the right of the place.
    assert (angle, x, y) == (-90.0, 50.9, 50.0)


def test_what_is_drawn_later_lies_on_what_was_drawn_before() -> None:
    paper = Fill(points=np.array([(0.0, 400), (10, 400), (10, 410)]), ink="#ffffff")
    line = Stroke(kind="thin", points=np.array([(0.0, 400.0), (10.0, 400.0)]))
    words = Words(text="A", at=(0.0, 400.0), height_mm=1.8)
    root = read(a_drawing(line, paper, words))
    assert [child.get("class") for child in root][2:] == ["thin", "fill", "words"]


def test_the_same_drawing_is_the_same_text() -> None:
    marks = [Stroke(kind="tube", points=np.array([(k, 400.0), (k + 1 / 3, 410.0)])) for k in range(9)]
    assert svg_of(a_drawing(*marks)) == svg_of(a_drawing(*marks))
