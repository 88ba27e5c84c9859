"""Which dimensions to tape, from which zero, for the parts of a scene: blanks named as the scene names them.

What is filled in goes into the scene as it stands, without arithmetic: the same keys, and where the scene
counts from a far end, so does the form.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from routeviz.lay import Lay
from routeviz.records.flow import Flow
from routeviz.records.paper import Page, line, sized
from routeviz.records.settings import Paper
from routeviz.records.survey_sketches import HIGH as SKETCH_HIGH
from routeviz.records.survey_sketches import WIDE as SKETCH_WIDE
from routeviz.records.survey_sketches import sketch_of
from routeviz.records.typefaces import lines_of, rise_mm, width_mm
from routeviz.scene.positions import Key
from routeviz.scene.quantities import CASE

TITLE = "Survey form"
PLACE = ("right", "back", "up", "right_end", "back_end", "top_end")
LENGTHS = (
    *PLACE,
    "wide",
    "deep",
    "high",
    "diameter",
    "thick",
    "long",
    "pitch",
    "bore",
    "wall",
    "outside",
    "travel",
)
DEFAULTS = ("right", "back", "up")
GROUPS = {"zero": "zero", "passage": "passage", "part": ""}
ROW_HIGH, LABEL_WIDE, BLANK, DOUBT = 7.4, 46.0, 20.0, 22.0
PT = 8.5
HOW = (
    "Tape from the zero that stands with a part: to the right, to the back, upwards; right_end, "
    "back_end and top_end "
    "are taped from the zero's far end. Write the unit with a number that is not in the scene's units.",
    "Read each twice. In ± write how far the two differ, or how far the tape may be off where it "
    "could not lie flat; the "
    "largest of all goes into the scene as [clearance] survey.",
    "Write into the scene as it stands here: at = { right = 590, back = 200, up = 1050 }.",
)
TAKE = {
    "zero": "A mark that a tape can reach. wide, deep and high: its spans, for far ends.",
    "box": "at: left, front, lower corner. size: from left to right, from front to back, from bottom to top.",
    "board": "As a box. An opening: its left, front, lower corner, or its middle, from the board's at.",
    "bar": "at and to: the middle of its two ends. wide: level, across it; thick: square to that.",
    "cylinder": "at and to: the middle of its two ends.",
    "prism": "at: where its outline is taped from. outline: corner after corner; thick: along.",
    "mesh": "at: where the file's own zero lies.",
    "keep_clear": "The space that is wanted free: left, front, lower corner, and size.",
    "nipples": "For each row the tips of its first and last nipple, and the nipples' outside diameter.",
    "tee": "at: where the lines of its nipples meet. long: from tip to tip.",
    "coupler": "at: its middle. long: from tip to tip.",
    "keyboard": "at: left, front, lower corner of the lowest natural's stick, at rest.",
    "passage": "A gap that nothing is cut for: left, front, lower corner, or the middle of a round one.",
    "tubing": "bore: of a cut end, with a plug gauge or drill. outside or wall: without squeezing.",
    "tube": "Points taped on the tube, from end to end, closer where it bends. The old label stays on.",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Blanks:
    """Blanks of one table of a scene: what they are of, and their keys as the scene writes them."""

    of: str
    keys: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """A thing to be taped."""

    kind: str
    name: str
    zero: str
    blanks: tuple[Blanks, ...]


def survey_entries(lay: Lay) -> tuple[Entry, ...]:
    """Return what is to be taped in a scene: zeros, then parts by kind, passages and tubing.

    Parameters
    ----------
    lay : Lay
        Tubes may be missing.

    Returns
    -------
    entries : tuple of Entry
        A length of a model that the scene does not give itself is not asked for.
    """
    places, scene = lay.reading.positions.places, lay.reading.scene
    tables = _tables(places)
    entries = [
        Entry(
            kind="zero",
            name=name,
            zero=one.at.zero or ("" if name == CASE else CASE),
            blanks=_blanks(tables, ("zero", name), {}),
        )
        for name, one in scene.zero.items()
    ]
    parts = []
    for name, part in scene.part.items():
        rows = {k: f"row {row.holes}" for k, row in enumerate(part.rows)}
        found = _blanks(tables, ("part", name), rows) or (Blanks(of="at", keys=DEFAULTS),)
        parts.append(Entry(kind=part.kind, name=name, zero=part.zero, blanks=found))
    kinds = list(dict.fromkeys(entry.kind for entry in parts))
    entries += sorted(parts, key=lambda entry: kinds.index(entry.kind))
    entries += [
        Entry(kind="passage", name=name, zero=one.zero, blanks=_blanks(tables, ("passage", name), {}))
        for name, one in scene.passage.items()
    ]
    entries += [
        Entry(kind="tubing", name=name, zero="", blanks=(Blanks(of="", keys=("bore", "outside")),))
        for name in scene.tubing
    ]
    return tuple(entries)


def survey_pages(lay: Lay, paper: Paper) -> list[Page]:
    """Return the survey form, with room for tubes as they are found at its end."""
    flow = Flow(paper, TITLE)
    flow.paragraph(lay.reading.scene.title, 11.0, bold=True)
    flow.bullets(HOW, PT)
    at = flow.left
    for label, wide in (("taped by", 36.0), ("date", 24.0), ("tape, and how it was checked", 40.0)):
        at = flow.to_fill_in(label, wide, at, PT) + 3.0
    flow.skip(7.0)
    kind = ""
    for entry in survey_entries(lay):
        if entry.kind != kind:
            kind = entry.kind
            _kind_head(flow, kind)
        _put_entry(flow, entry)
    _kind_head(flow, "tube")
    for _ in range(6):
        _put_tube(flow)
    return flow.pages


def _tables(places: Mapping[Key, object]) -> dict[Key, tuple[str, ...]]:
    """Return which lengths each table of a scene says, in its own order."""
    tables: dict[Key, list[str]] = {}
    for key in places:
        if len(key) > 2 and key[-1] in LENGTHS and not _is_table(places, key):
            tables.setdefault(key[:-1], []).append(str(key[-1]))
    return {key: tuple(names) for key, names in tables.items()}


def _is_table(places: Mapping[Key, object], key: Key) -> bool:
    """Return whether a name of a length is that of a table, as of an opening called ``right``."""
    return (
        any(len(other) == len(key) + 1 and other[:-1] == key for other in places)
        if key[-2] in ("opening",)
        else False
    )


def _blanks(tables: Mapping[Key, tuple[str, ...]], root: Key, rows: Mapping[int, str]) -> tuple[Blanks, ...]:
    some = [(key[len(root) :], keys) for key, keys in tables.items() if key[: len(root)] == root]
    return tuple(Blanks(of=_of(path, rows), keys=keys) for path, keys in some)


def _of(path: Key, rows: Mapping[int, str]) -> str:
    """Return what a table within a part is called on the form: ``row 1..61 step 2 first``."""
    if len(path) > 1 and path[0] == "rows":
        return " ".join([rows.get(int(path[1]), f"row {int(path[1]) + 1}"), *map(str, path[2:])])
    return " ".join(str(int(one) + 1) if isinstance(one, int) else str(one) for one in path)


def _kind_head(flow: Flow, kind: str) -> None:
    flow.need(SKETCH_HIGH + 3 * ROW_HIGH + 6.0)
    top = flow.y
    flow.page.draw(line((flow.left, top), (flow.left + flow.wide, top), 0.4))
    for mark in sketch_of(kind, (flow.left, top + 1.5)):
        flow.page.draw(mark)
    left = flow.left + SKETCH_WIDE + 4.0
    name = {"keep_clear": "kept clear", "tube": "tubes as found"}.get(kind, kind)
    flow.page.write((left, top + 6.0), name, 12.0, bold=True)
    lines = lines_of(TAKE.get(kind, ""), PT, flow.left + flow.wide - left)
    for k, text in enumerate(lines):
        flow.page.write((left, top + 11.5 + k * sized(PT)), text, PT)
    flow.y = top + max(SKETCH_HIGH + 3.0, 11.5 + len(lines) * sized(PT))


def _put_entry(flow: Flow, entry: Entry) -> None:
    head = f"{entry.name}{f', from zero {entry.zero}' if entry.zero else ''}"
    lines = lines_of(head, PT, flow.wide, bold=True)
    rows = [row for one in entry.blanks for row in _rows(flow, one)]
    flow.need(len(lines) * sized(PT) + min(len(rows), 4) * ROW_HIGH + 1.0)
    flow.skip(0.8)
    flow.lines(head, PT, bold=True)
    for label, keys in rows:
        _put_blanks(flow, label, keys)


def _rows(flow: Flow, one: Blanks) -> Iterator[tuple[list[str], list[str]]]:
    """Return a table's blanks row by row, as many as have room beside each other."""
    label, left = lines_of(one.of, PT, LABEL_WIDE - 3.0), flow.wide - LABEL_WIDE - DOUBT
    row: list[str] = []
    for key in one.keys:
        wide = width_mm(key, PT) + BLANK + 4.0
        if row and wide > left:
            yield label, row
            label, row, left = [], [], flow.wide - LABEL_WIDE - DOUBT
        row.append(key)
        left -= wide
    yield label, row


def _put_blanks(flow: Flow, label: Sequence[str], keys: Sequence[str]) -> None:
    high = max(ROW_HIGH, len(label) * sized(PT) + 2.0)
    flow.need(high)
    base = flow.y + high - 2.0
    top = base - (len(label) - 1) * sized(PT)
    for k, text in enumerate(label):
        flow.page.write((flow.left + 2.0, top + k * sized(PT)), text, PT)
    at = flow.left + LABEL_WIDE
    for key in keys:
        at = _blank(flow.page, (at, base), key, BLANK) + 2.5
    _blank(flow.page, (flow.left + flow.wide - DOUBT + 4.0, base), "±", DOUBT - 9.0)
    flow.skip(high)


def _blank(page: Page, at: tuple[float, float], label: str, wide: float) -> float:
    page.write(at, label, PT)
    begin = at[0] + width_mm(label, PT) + 1.0
    page.draw(line((begin, at[1] + 0.6), (begin + wide, at[1] + 0.6), 0.18))
    return begin + wide


def _put_tube(flow: Flow) -> None:
    flow.need(5 * ROW_HIGH)
    for labels in (("from", "to", "tubing"), ("old label", "through", "outside")):
        base, at = flow.y + rise_mm(PT) + 3.0, flow.left + 2.0
        for label in labels:
            at = _blank(flow.page, (at, base), label, 42.0) + 3.0
        flow.skip(ROW_HIGH)
    for number in range(1, 4):
        _put_blanks(flow, [f"measured {number}"], DEFAULTS)
    flow.skip(2.0)
