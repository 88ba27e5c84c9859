"""DXF of drawings: read back and audited by ezdxf."""

import io

import ezdxf
import numpy as np
import pytest
from ezdxf import recover
from ezdxf.document import Drawing as Document

from routeviz.views.drawing import LINES, Arc, Drawing, Fill, Scale, Stroke, Words
from routeviz.views.dxf import dxf_of

HOSTILE = "%%u100%% ^J \\U+0041 {\\fArial;x}\n\x07 –ü"


def a_drawing(*marks: Stroke | Arc | Fill | Words) -> Drawing:
    return Drawing(
        name="front",
        title="A drawing",
        scale=Scale(sheet=1, thing=10),
        sheet_mm=(200.0, 100.0),
        corner=(-500.0, 300.0),
        marks=marks,
    )


def everything() -> Drawing:
    points = np.array([(0.0, 400.0), (10.0, 400.0), (10.0, 420.0)])
    return a_drawing(
        *(Stroke(kind=kind, points=points, closed=kind == "cut") for kind in LINES),
        Arc(kind="tube", centre=(0.0, 800.0), radius=2.78),
        Arc(kind="tube", centre=(5.0, 800.0), radius=2.78, from_deg=350.0, to_deg=380.0),
        Fill(points=points),
        Fill(points=points, ink="#ffffff"),
        Words(text=HOSTILE, at=(7.0, 500.0), height_mm=1.8, anchor="end", turn_deg=90.0),
        Words(text="Title", at=(7.0, 500.0), height_mm=2.5, bold=True),
    )


def read(drawing: Drawing) -> Document:
    document, auditor = recover.read(io.BytesIO(dxf_of(drawing)))
    assert not auditor.errors
    assert not auditor.fixes
    return document


def test_a_reader_finds_no_errors_in_anything_that_can_be_drawn() -> None:
    audited = read(everything()).audit()
    assert (audited.errors, audited.fixes) == ([], [])


def test_units_are_millimetres() -> None:
    document = read(a_drawing())
    # $INSUNITS 4: millimetres; $MEASUREMENT 1: metric.
    assert (document.header["$INSUNITS"], document.header["$MEASUREMENT"]) == (4, 1)


def test_strokes_are_true_size_on_a_layer_of_their_kind() -> None:
    space = read(everything()).modelspace()
    lines = {line.dxf.layer: line for line in space.query("LWPOLYLINE")}
    assert set(lines) == {kind.upper().replace(" ", "_") for kind in LINES}
    assert [tuple(p) for p in lines["HIDDEN"].get_points("xy")] == [(0, 400), (10, 400), (10, 420)]
    assert [layer for layer, line in lines.items() if line.closed] == ["CUT"]


def test_hidden_lines_are_dashed_by_their_layer_at_the_drawing_s_scale() -> None:
    document = read(everything())
    layer = document.layers.get("HIDDEN")
    pattern = [t.value for t in document.linetypes.get(layer.dxf.linetype).pattern_tags.tags if t.code == 49]
    # Dashes of 12 and gaps of 3 line widths of 0.13 mm on the sheet, ten times as long at 1:10.
    assert pattern == pytest.approx([15.6, -3.9])
    assert layer.dxf.lineweight == 13


def test_circles_are_circles_and_parts_of_them_arcs() -> None:
    space = read(everything()).modelspace()
    (circle,), (arc,) = space.query("CIRCLE"), space.query("ARC")
    assert (*circle.dxf.center, circle.dxf.radius) == (0.0, 800.0, 0.0, 2.78)
    assert (arc.dxf.start_angle, arc.dxf.end_angle % 360.0) == (350.0, 20.0)


def test_words_are_on_their_place_and_hold_no_commands() -> None:
    space = read(everything()).modelspace()
    text = next(one for one in space.query("TEXT") if one.dxf.height == 18.0)  # 1.8 mm at 1:10
    assert tuple(text.get_placement()[1])[:2] == (7.0, 500.0)
    assert text.dxf.rotation == 90.0
    said = text.plain_text()
    for part in ("u100", "^J", "U+0041", "{\\fArial;x}", "\\u0007", "–ü"):
        assert part in said
    assert "A " not in said.split("U+0041")[0]


def test_white_paper_is_left_out_and_arrows_are_filled() -> None:
    assert len(read(everything()).modelspace().query("HATCH")) == 1


def test_the_same_drawing_is_the_same_bytes_and_the_setting_for_it_is_put_back() -> None:
    before = ezdxf.options.write_fixed_meta_data_for_testing
    assert dxf_of(everything()) == dxf_of(everything())
    assert ezdxf.options.write_fixed_meta_data_for_testing == before
