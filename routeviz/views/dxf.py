"""A line drawing as DXF, true size in millimetres: a layer a kind of line, circles as such, words as words.

Written by ezdxf. Same drawing, same bytes: what a file says of when it was made is fixed. Places are those of
the case's frame; white paper under words is left out, as many look at DXF on black.
"""

import io
import math
from collections.abc import Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING

import numpy as np

from routeviz.views.drawing import DOUBTFUL, LINES, Anchor, Arc, Drawing, Fill, Kind, Mark, Stroke, Words
from routeviz.views.inking import FACES
from routeviz.views.lines import plain

if TYPE_CHECKING:
    from ezdxf.document import Drawing as Document
    from ezdxf.layouts import Modelspace

MILLIMETRES, METRIC = 4, 1  # $INSUNITS, $MEASUREMENT
VERSION = "R2010"
WEIGHTS = (0, 5, 9, 13, 15, 18, 20, 25, 30, 35, 40, 50, 53, 60, 70, 80, 90, 100)  # that DXF has, 1/100 mm
WORDS_LAYER, ARROWS_LAYER = "WORDS", "ARROWS"
STYLES = {False: "PLAIN", True: "BOLD"}
BLACK, GREY = 7, 8  # colours of the AutoCAD index; 7 is white on black
PLACES: dict[Anchor, str] = {"start": "MIDDLE_LEFT", "middle": "MIDDLE_CENTER", "end": "MIDDLE_RIGHT"}


def dxf_of(drawing: Drawing) -> bytes:
    """Return a drawing as the bytes of a DXF file.

    Parameters
    ----------
    drawing : Drawing
        Any; whatever its words hold is shown as words.

    Returns
    -------
    dxf : bytes
        Of the version R2010, with units set to millimetres.
    """
    import ezdxf  # half a second of loading that only those wait for who want a file

    with _undated():
        document = ezdxf.new(VERSION, units=MILLIMETRES)
        document.header["$MEASUREMENT"] = METRIC
        _set_up(document, drawing)
        space = document.modelspace()
        for mark in drawing.marks:
            _draw(space, mark, 1.0 / drawing.scale.share)
        for kind in sorted(document.entitydb.dxf_types_in_use()):
            document.classes.add_class(kind)  # else they are told in the order of a set, another each time
        stream = io.StringIO()
        document.write(stream)
        return bytes(document.encode(stream.getvalue()))


@contextmanager
def _undated() -> Iterator[None]:
    """Let files be written without the time and without a number of their own."""
    from ezdxf import options

    before = options.write_fixed_meta_data_for_testing
    options.write_fixed_meta_data_for_testing = True
    try:
        yield
    finally:
        options.write_fixed_meta_data_for_testing = before


def layer_of(kind: Kind) -> str:
    """Return the name of the layer that a kind of line is on."""
    return kind.upper().replace(" ", "_")


def _set_up(document: "Document", drawing: Drawing) -> None:
    """Put layers, kinds of line and lettering into a document, and show all of the sheet at first."""
    thing = 1.0 / drawing.scale.share
    for bold, style in STYLES.items():
        document.styles.add(style, font=FACES[bold])
    there = {mark.kind for mark in drawing.marks if isinstance(mark, Stroke | Arc)}
    for kind, line in LINES.items():
        if kind in DOUBTFUL.values() and kind not in there:
            continue
        layer = document.layers.add(layer_of(kind))
        layer.color = BLACK if line.ink == "#000000" else GREY
        layer.description = line.says
        layer.dxf.lineweight = min(WEIGHTS, key=lambda weight: abs(weight - 100.0 * line.width_mm))
        if line.dashes:
            lengths = [dash * line.width_mm * thing for dash in line.dashes]
            pattern = [sum(lengths), *(-d if i % 2 else d for i, d in enumerate(lengths))]
            document.linetypes.add(layer_of(kind), pattern, description=line.says)
            layer.dxf.linetype = layer_of(kind)
    document.layers.add(WORDS_LAYER, color=BLACK)
    document.layers.add(ARROWS_LAYER, color=BLACK)
    low = np.array(drawing.corner)
    high = low + np.array(drawing.sheet_mm) * thing
    document.header["$EXTMIN"], document.header["$EXTMAX"] = (*low.tolist(), 0.0), (*high.tolist(), 0.0)
    document.set_modelspace_vport(float(high[1] - low[1]), tuple((0.5 * (low + high)).tolist()))


def _draw(space: "Modelspace", mark: Mark, thing: float) -> None:
    match mark:
        case Stroke():
            attributes = {"layer": layer_of(mark.kind)}
            space.add_lwpolyline(mark.points.tolist(), close=mark.closed, dxfattribs=attributes)
        case Arc():
            attributes = {"layer": layer_of(mark.kind)}
            if mark.whole:
                space.add_circle(mark.centre, mark.radius, dxfattribs=attributes)
            else:
                space.add_arc(mark.centre, mark.radius, mark.from_deg, mark.to_deg, dxfattribs=attributes)
        case Fill(ink="#ffffff"):
            pass
        case Fill():
            hatch = space.add_hatch(color=BLACK, dxfattribs={"layer": ARROWS_LAYER})
            hatch.paths.add_polyline_path(mark.points.tolist(), is_closed=True)
        case Words():
            _write(space, mark, thing)


def _write(space: "Modelspace", words: Words, thing: float) -> None:
    from ezdxf.enums import TextEntityAlignment

    text = space.add_text(
        _harmless(words.text),
        height=words.height_mm * thing,
        rotation=math.fmod(words.turn_deg, 360.0),
        dxfattribs={"layer": WORDS_LAYER, "style": STYLES[words.bold]},
    )
    text.set_placement(words.at, align=TextEntityAlignment[PLACES[words.anchor]])


def _harmless(text: str) -> str:
    r"""Return words in which no sign commands the drawing: DXF knows ``%%u``, ``^J`` and ``\U+0041``."""
    said = plain(text).replace("\n", " ").replace("^", "^ ")
    while "%%" in said:
        said = said.replace("%%", "% %")
    return said.replace("\\U+", "\\ U+").replace("\\M+", "\\ M+")
