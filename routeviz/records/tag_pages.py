"""Tags to be cut out: a flag for each end of each tube, labels for ends that wait and effects.

The same number at both ends.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from routeviz.lay import Lay
from routeviz.records.flow import Flow
from routeviz.records.paper import Box, Oval, Page, line, rectangle, sized
from routeviz.records.settings import Settings
from routeviz.records.tags import Tag, tags_of
from routeviz.records.typefaces import CAPITALS, MM_PER_PT, lines_of, rise_mm, width_mm

ACROSS, LABELS_ACROSS = 3, 2
FOLD = 6.0  # about the tube, between the two faces of a flag
FLAG_HIGH, LABEL_HIGH = 11.0, 32.0
NUMBER_PT, SMALL_PT, LABEL_PT, LABEL_NUMBER_PT = 15.0, 5.5, 9.0, 26.0
HOLE = 2.0
TALLEST = 100.0  # of the words on a tag: some 1,500 letters, which is more than any tag can bear
CUT = "… (list of tags)"
FLAG_WORDS = (
    "Cut along the lines, fold round the tube at the dashes, glue face on face. The upper line says "
    "what this end is "
    "on, the lower where the other end is."
)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Made:
    """A tag with its words in lines."""

    tag: Tag
    number: list[str]
    pt: float
    words: list[str]


def tag_pages(lay: Lay, settings: Settings) -> list[Page]:
    """Return labels for what waits, is an effect or is not laid, then a flag for every end of every tube."""
    tags = tags_of(lay)
    if not tags:
        return []
    named = {wire.name for wire in lay.reading.wires if wire.entry.name is not None}
    labelled = [tag for tag in tags if tag.loose or tag.meant_for or tag.left or tag.tube in named]
    pages: list[Page] = []
    if labelled:
        flow = Flow(settings.paper, "Tie-on labels: loose ends and effects")
        _labels(flow, labelled)
        pages += flow.pages
    flow = Flow(settings.paper, "Wrap flags")
    flow.paragraph(FLAG_WORDS, 8.0)
    _flags(flow, tags)
    return pages + flow.pages


def _flags(flow: Flow, tags: Sequence[Tag]) -> None:
    wide = flow.wide / ACROSS
    face = (wide - FOLD) / 2
    made = [_flag(tag, face - 2.4) for tag in tags]
    for k in range(0, len(made), ACROSS):
        row = made[k : k + ACROSS]
        high = max(
            FLAG_HIGH,
            *(max(_high(one.number, one.pt), len(one.words) * sized(SMALL_PT)) + 2.0 for one in row),
        )
        flow.need(high)
        for column, one in enumerate(row):
            left = flow.left + column * wide
            _put_flag(flow.page, one, Box(left=left, top=flow.y, right=left + wide, bottom=flow.y + high))
        flow.skip(high)


def _flag(tag: Tag, room: float) -> _Made:
    pt = NUMBER_PT
    while pt > 7.0 and width_mm(tag.number, pt, bold=True) > room:
        pt -= 0.5
    words = _at_most([tag.here, f"to {tag.there}"], SMALL_PT, room)
    return _Made(tag=tag, number=_at_most([tag.number], pt, room, bold=True), pt=pt, words=words)


def _at_most(texts: Sequence[str], pt: float, room: float, *, bold: bool = False) -> list[str]:
    """Return texts in lines; of one that is endless the last line says that the list of tags has the rest."""
    lines = [line for text in texts for line in lines_of(text, pt, room, bold=bold)]
    most = int(TALLEST / sized(pt))
    return lines if len(lines) <= most else [*lines[: most - 1], CUT]


def _high(lines: Sequence[str], pt: float) -> float:
    return len(lines) * sized(pt)


def _put_flag(page: Page, one: _Made, box: Box) -> None:
    face = (box.right - box.left - FOLD) / 2
    page.draw(rectangle(box, 0.13, grey=0.5))
    for x in (box.left + face, box.left + face + FOLD):
        page.draw(
            line((x, box.top), (x, box.top + 1.5), 0.13), line((x, box.bottom - 1.5), (x, box.bottom), 0.13)
        )
    middle = (box.top + box.bottom) / 2
    _stack(page, (box.left + face / 2, middle), one.number, one.pt, bold=True)
    _stack(page, (box.right - face / 2, middle), one.words, SMALL_PT)


def _stack(
    page: Page, middle: tuple[float, float], lines: Sequence[str], pt: float, *, bold: bool = False
) -> None:
    top = middle[1] - _high(lines, pt) / 2 + (sized(pt) - pt * MM_PER_PT) / 2
    for k, text in enumerate(lines):
        base = top + k * sized(pt) + rise_mm(pt)
        page.write((middle[0], base), text, pt, bold=bold, anchor="middle")


def _labels(flow: Flow, tags: Sequence[Tag]) -> None:
    wide = flow.wide / LABELS_ACROSS
    for k in range(0, len(tags), LABELS_ACROSS):
        row = [_label(tag, wide - 14.0) for tag in tags[k : k + LABELS_ACROSS]]
        high = max(
            LABEL_HIGH, *(_high(one.number, one.pt) + len(one.words) * sized(LABEL_PT) + 6.5 for one in row)
        )
        flow.need(high)
        for column, one in enumerate(row):
            left = flow.left + column * wide
            _put_label(flow.page, one, Box(left=left, top=flow.y, right=left + wide, bottom=flow.y + high))
        flow.skip(high)


def _label(tag: Tag, room: float) -> _Made:
    pt = LABEL_NUMBER_PT
    while pt > 9.0 and width_mm(tag.number, pt, bold=True) > room:
        pt -= 1.0
    says = [tag.tube, f"this end: {tag.here}", f"other end: {tag.there}"]
    says += [f"for {tag.meant_for}"] if tag.meant_for else []
    says += [tag.left] if tag.left else []
    words = _at_most(tuple(dict.fromkeys(says)), LABEL_PT, room)
    return _Made(tag=tag, number=_at_most([tag.number], pt, room, bold=True), pt=pt, words=words)


def _put_label(page: Page, one: _Made, box: Box) -> None:
    page.draw(rectangle(box, 0.13, grey=0.5))
    page.draw(Oval(centre=(box.left + 5.5, (box.top + box.bottom) / 2), radii=(HOLE, HOLE), wide=0.18))
    left, y = box.left + 11.0, box.top + 2.5
    for text in one.number:
        page.write((left, y + 0.5 + CAPITALS * one.pt * MM_PER_PT), text, one.pt, bold=True)
        y += sized(one.pt)
    for text in one.words:
        page.write((left, y + rise_mm(LABEL_PT)), text, LABEL_PT)
        y += sized(LABEL_PT)
