"""A small sketch for each kind of thing that is taped: without scale."""

from collections.abc import Callable, Iterator

from routeviz.records.paper import Mark, Oval, Path, Point, Writing, line
from routeviz.records.typefaces import MM_PER_PT

WIDE, HIGH = 46.0, 30.0
PT = 6.5
SLANT = (0.45, 0.32)  # across and up on paper for a step to the back
Corner = tuple[float, float, float]


def sketch_of(kind: str, at: Point) -> list[Mark]:
    """Return the sketch of a kind of part, of a zero, passage, tubing or tube, from its upper left corner."""
    return list(SKETCHES.get(kind, _box)((at[0], at[1] + HIGH)))


def _on(at: Point, corner: Corner) -> Point:
    right, back, up = corner
    return at[0] + 4.0 + right + SLANT[0] * back, at[1] - 4.0 - up - SLANT[1] * back


def _strokes(
    at: Point, *chains: tuple[Corner, ...], wide: float = 0.25, dashed: bool = False
) -> Iterator[Mark]:
    for chain in chains:
        points = tuple(_on(at, corner) for corner in chain)
        yield Path(points=points, wide=wide, dashes=(1.0, 0.8) if dashed else ())


def _word(at: Point, corner: Corner, text: str, off: Point = (0.0, 0.0)) -> Writing:
    x, y = _on(at, corner)
    return Writing(text=text, at=(x + off[0], y + off[1]), pt=PT, anchor="middle")


def _dot(at: Point, corner: Corner, text: str = "at") -> Iterator[Mark]:
    yield Oval(centre=_on(at, corner), radii=(0.9, 0.9), filled=True)
    yield _word(at, corner, text, (-2.6, 0.8))


def _block(at: Point, size: Corner, low: Corner = (0.0, 0.0, 0.0), *, dashed: bool = False) -> Iterator[Mark]:
    (x, y, z), (w, d, h) = low, size
    front = ((x, y, z), (x + w, y, z), (x + w, y, z + h), (x, y, z + h), (x, y, z))
    top = ((x, y, z + h), (x, y + d, z + h), (x + w, y + d, z + h), (x + w, y, z + h))
    side = ((x + w, y, z), (x + w, y + d, z), (x + w, y + d, z + h))
    yield from _strokes(at, front, top, side, dashed=dashed)


def _box(at: Point) -> Iterator[Mark]:
    yield from _block(at, (26.0, 20.0, 12.0))
    yield from _dot(at, (0.0, 0.0, 0.0))
    yield from _spans(at, (26.0, 20.0, 12.0))


def _spans(at: Point, size: Corner) -> Iterator[Mark]:
    wide, deep, high = size
    yield _word(at, (wide / 2, 0.0, 0.0), "wide", (0.0, 2.6))
    yield _word(at, (wide, deep / 2, 0.0), "deep", (3.8, 1.2))
    yield _word(at, (0.0, 0.0, high / 2), "high", (4.2, 0.8))


def _keep_clear(at: Point) -> Iterator[Mark]:
    yield from _block(at, (26.0, 20.0, 12.0), dashed=True)
    yield from _dot(at, (0.0, 0.0, 0.0))
    yield from _spans(at, (26.0, 20.0, 12.0))


def _board(at: Point) -> Iterator[Mark]:
    yield from _block(at, (28.0, 26.0, 3.0))
    hole = ((9.0, 8.0, 3.0), (19.0, 8.0, 3.0), (19.0, 18.0, 3.0), (9.0, 18.0, 3.0), (9.0, 8.0, 3.0))
    yield from _strokes(at, hole)
    yield from _dot(at, (0.0, 0.0, 0.0))
    yield Oval(centre=_on(at, (9.0, 8.0, 3.0)), radii=(0.7, 0.7), filled=True)
    yield _word(at, (14.0, 8.0, 3.0), "opening", (0.0, 2.4))


def _bar(at: Point) -> Iterator[Mark]:
    yield from _block(at, (30.0, 5.0, 4.0), (0.0, 0.0, 6.0))
    yield from _strokes(at, ((0.0, 2.5, 8.0), (30.0, 2.5, 8.0)), dashed=True, wide=0.13)
    yield from _dot(at, (0.0, 2.5, 8.0))
    yield Oval(centre=_on(at, (30.0, 2.5, 8.0)), radii=(0.9, 0.9), filled=True)
    yield _word(at, (30.0, 2.5, 8.0), "to", (3.0, 0.8))


def _cylinder(at: Point) -> Iterator[Mark]:
    for x in (0.0, 30.0):
        yield Oval(centre=_on(at, (x, 0.0, 9.0)), radii=(1.6, 4.0))
    yield from _strokes(at, ((0.0, 0.0, 13.0), (30.0, 0.0, 13.0)), ((0.0, 0.0, 5.0), (30.0, 0.0, 5.0)))
    yield from _dot(at, (0.0, 0.0, 9.0))
    yield Oval(centre=_on(at, (30.0, 0.0, 9.0)), radii=(0.9, 0.9), filled=True)
    yield _word(at, (30.0, 0.0, 9.0), "to", (4.0, 0.8))
    yield _word(at, (15.0, 0.0, 13.0), "diameter", (0.0, -1.0))


def _prism(at: Point) -> Iterator[Mark]:
    low = [(0.0, 0.0, 0.0), (20.0, 0.0, 0.0), (28.0, 0.0, 8.0), (10.0, 0.0, 14.0)]
    yield from _strokes(at, (*low, low[0]))
    far = [(x, y + 10.0, z) for x, y, z in low]
    yield from _strokes(
        at, (far[1], far[2], far[3]), *((one, other) for one, other in zip(low[1:], far[1:], strict=True))
    )
    for k, corner in enumerate(low, 1):
        yield _word(at, corner, str(k), (1.6, -0.8))
    yield from _dot(at, (0.0, 0.0, 0.0))


def _nipples(at: Point) -> Iterator[Mark]:
    for x in (0.0, 6.0, 12.0, 18.0, 24.0, 30.0):
        yield Oval(centre=_on(at, (x, 0.0, 8.0)), radii=(1.8, 1.8))
        yield Oval(centre=_on(at, (x, 0.0, 8.0)), radii=(0.4, 0.4), filled=True)
    yield _word(at, (1.0, 0.0, 8.0), "first", (0.0, 4.6))
    yield _word(at, (30.0, 0.0, 8.0), "last", (0.0, 4.6))
    yield _word(at, (16.0, 0.0, 8.0), "middle of each tip", (0.0, -3.6))


def _join(at: Point) -> Iterator[Mark]:
    yield from _strokes(at, ((0.0, 0.0, 6.0), (28.0, 0.0, 6.0)), wide=1.4)
    yield from _strokes(at, ((14.0, 0.0, 6.0), (14.0, 0.0, 16.0)), wide=1.4)
    yield _word(at, (0.0, 0.0, 6.0), "1", (0.0, -1.6))
    yield _word(at, (28.0, 0.0, 6.0), "2", (0.0, -1.6))
    yield _word(at, (14.0, 0.0, 16.0), "3", (2.4, 0.8))
    yield _word(at, (14.0, 0.0, 6.0), "at: where the lines meet", (0.0, 4.0))


def _coupler(at: Point) -> Iterator[Mark]:
    yield from _strokes(at, ((0.0, 0.0, 8.0), (28.0, 0.0, 8.0)), wide=1.4)
    yield _word(at, (0.0, 0.0, 8.0), "1", (0.0, -1.6))
    yield _word(at, (28.0, 0.0, 8.0), "2", (0.0, -1.6))
    yield _word(at, (14.0, 0.0, 8.0), "long", (0.0, -1.6))


def _keyboard(at: Point) -> Iterator[Mark]:
    for k in range(7):
        yield from _block(at, (4.6, 26.0, 3.0), (5.0 * k, 0.0, 4.0))
    for k in (0, 1, 3, 4, 5):
        yield from _block(at, (2.6, 14.0, 2.0), (5.0 * k + 3.4, 11.0, 7.0))
    yield from _dot(at, (0.0, 0.0, 4.0))


def _zero(at: Point) -> Iterator[Mark]:
    ends: tuple[tuple[str, Corner, Point], ...] = (
        ("right", (26.0, 0.0, 0.0), (4.0, 0.8)),
        ("back", (0.0, 30.0, 0.0), (4.0, 0.0)),
        ("up", (0.0, 0.0, 20.0), (2.4, 0.6)),
    )
    for text, end, off in ends:
        yield from _strokes(at, ((0.0, 0.0, 0.0), end), wide=0.35)
        yield _word(at, end, text, off)
    yield Oval(centre=_on(at, (0.0, 0.0, 0.0)), radii=(1.4, 1.4))
    yield _word(at, (0.0, 0.0, 0.0), "0", (-2.4, 0.8))


def _passage(at: Point) -> Iterator[Mark]:
    corners = ((0.0, 0.0, 2.0), (26.0, 0.0, 2.0), (26.0, 0.0, 18.0), (0.0, 0.0, 18.0), (0.0, 0.0, 2.0))
    yield from _strokes(at, corners, dashed=True)
    yield from _strokes(at, ((13.0, -8.0, 8.0), (13.0, 22.0, 8.0)), wide=0.6)
    yield from _dot(at, (0.0, 0.0, 2.0))
    yield _word(at, (13.0, 0.0, 2.0), "wide", (0.0, 2.6))


def _tubing(at: Point) -> Iterator[Mark]:
    middle = _on(at, (15.0, 0.0, 11.0))
    yield Oval(centre=middle, radii=(9.0, 9.0), wide=0.35)
    yield Oval(centre=middle, radii=(5.6, 5.6), wide=0.35)
    x, y = middle
    yield line((x - 5.6, y), (x + 5.6, y), 0.13)
    yield line((x - 9.0, y + 11.0), (x + 9.0, y + 11.0), 0.13)
    yield Writing(text="bore", at=(x, y - 0.8), pt=PT, anchor="middle")
    yield Writing(text="outside", at=(x, y + 11.0 + PT * MM_PER_PT), pt=PT, anchor="middle")


def _tube(at: Point) -> Iterator[Mark]:
    points = (
        (0.0, 0.0, 2.0),
        (10.0, 0.0, 2.0),
        (16.0, 0.0, 6.0),
        (18.0, 0.0, 14.0),
        (24.0, 0.0, 18.0),
        (34.0, 0.0, 18.0),
    )
    yield from _strokes(at, points, wide=1.2)
    for k, corner in enumerate(points[1:-1], 1):
        yield Oval(centre=_on(at, corner), radii=(1.0, 1.0), grey=0.0, filled=True)
        yield _word(at, corner, str(k), (3.2, 1.8))


SKETCHES: dict[str, Callable[[Point], Iterator[Mark]]] = {
    "zero": _zero,
    "box": _box,
    "mesh": _box,
    "board": _board,
    "bar": _bar,
    "cylinder": _cylinder,
    "prism": _prism,
    "keep_clear": _keep_clear,
    "nipples": _nipples,
    "tee": _join,
    "coupler": _coupler,
    "keyboard": _keyboard,
    "passage": _passage,
    "tubing": _tubing,
    "tube": _tube,
}
