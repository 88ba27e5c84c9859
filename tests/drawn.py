"""Words to look at a drawing: one of a lay by its name, strokes of a kind, what is written."""

from routeviz.lay import Lay
from routeviz.views.drawing import Drawing, Stroke, Words, on_sheet
from routeviz.views.drawings import drawings


def by_name(lay: Lay, name: str, **more: object) -> Drawing:
    (found,) = [one for one in drawings(lay, **more) if one.name == name]  # type: ignore[arg-type]
    return found


def of_kind(drawing: Drawing, kind: str) -> list[Stroke]:
    """The strokes of a kind in the drawing itself, left of the column in which kinds are explained."""
    strokes = [m for m in drawing.marks if isinstance(m, Stroke) and m.kind == kind]
    return [m for m in strokes if on_sheet(drawing, m.points)[:, 0].max() < drawing.sheet_mm[0] - 10 - 56]


def words_of(drawing: Drawing) -> list[str]:
    return [mark.text for mark in drawing.marks if isinstance(mark, Words)]
