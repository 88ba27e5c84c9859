"""The supply diagram on paper: from the pump at the left to what it works."""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

from routeviz.lay import Lay
from routeviz.records.flow import Flow
from routeviz.records.paper import Anchor, Box, Page, Path, Point, Writing, box_of, rectangle, sized
from routeviz.records.settings import Settings
from routeviz.records.supply import Supply, SupplyEdge, SupplyNode, supply_of, supply_table
from routeviz.records.table_pages import put_table
from routeviz.records.typefaces import DESCENT, MM_PER_PT, lines_of, rise_mm, shortened

HEAVY, LIGHT = 1.1, 0.3
GAP = 78.0  # the most between two columns of units
WIDEST = 46.0  # of a unit's box
PTS = (9.0, 8.0, 7.0, 6.0, 5.0)
LABEL = 0.85  # size of a tube's words beside that of units
ABREAST = 4.5  # between tubes that join the same two units
APART = 3.2  # between the upright stretches of tubes
LONGEST = 60.0  # of the words at a tube
SIDES: tuple[tuple[int, Anchor], ...] = ((1, "start"), (-1, "end"))
LEAST_GAP = 2.5  # between two boxes, one above the other
JOINS = ("tee", "coupler")

Way = tuple[Point, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Placed:
    """Where each unit's box is, what stands in it, and in which size."""

    boxes: Mapping[str, Box]
    lines: Mapping[str, Sequence[tuple[str, bool]]]
    pt: float


def supply_pages(lay: Lay, settings: Settings) -> list[Page]:
    """Return the supply diagram with its table; none where no tube carries vacuum alone."""
    supply = supply_of(lay)
    if not supply.edges:
        return []
    flow = Flow(settings.paper, "Supply", lying=True)
    flow.paragraph(
        "Heavy: always on. Light: switched. On each tube its tag and bore. From the pump, left, to "
        "the right.",
        8.5,
    )
    placed = _placed(
        supply, Box(left=flow.left, top=flow.y, right=flow.left + flow.wide, bottom=flow.page.body.bottom)
    )
    if placed is None:
        flow.paragraph("Too many units for one page: the table tells how they are joined.")
    else:
        _put(flow.page, supply, placed, [tube.tag for tube in lay.tubes])
        flow.y = max(box.bottom for box in placed.boxes.values()) + 6.0
    flow.heading("Tubes of the supply", 30.0)
    put_table(flow, supply_table(lay))
    return flow.pages


def _placed(supply: Supply, room: Box) -> _Placed | None:
    """Return where units stand, in the largest letters with which no box lies on another; None in none."""
    layers = max(node.layer for node in supply.nodes) + 1
    wide = min(WIDEST, 0.55 * (room.right - room.left) / layers)
    pitch = (room.right - room.left - wide) / max(layers - 1, 1)
    pitch = min(pitch, wide + GAP)
    for pt in PTS:
        lines = {node.name: _said(node, pt, wide - 3.0) for node in supply.nodes}
        high = max(len(some) for some in lines.values()) * sized(pt) + 2.4
        low, top = min(n.slot for n in supply.nodes), max(n.slot for n in supply.nodes)
        apart = max(high + LEAST_GAP, min((room.bottom - room.top - 60.0 - high) / max(top - low, 1), 34.0))
        if (top - low) * apart + high <= room.bottom - room.top:
            boxes = {
                node.name: _box(
                    room.left + node.layer * pitch,
                    room.top + (node.slot - low) * apart + high / 2,
                    wide,
                    len(lines[node.name]) * sized(pt) + 2.4,
                )
                for node in supply.nodes
            }
            return _Placed(boxes=boxes, lines=lines, pt=pt)
    return None


def _box(left: float, middle: float, wide: float, high: float) -> Box:
    return Box(left=left, top=middle - high / 2, right=left + wide, bottom=middle + high / 2)


def _said(node: SupplyNode, pt: float, room: float) -> list[tuple[str, bool]]:
    kind = f"{node.kind}: " if node.kind in JOINS else ""
    said = [(text, True) for text in lines_of(kind + node.name, pt, room, bold=True)]
    worked = f"worked by {', '.join(node.worked_by)}" if node.worked_by else ""
    return said + [(text, False) for text in lines_of(worked, 0.85 * pt, room)]


def _put(page: Page, supply: Supply, placed: _Placed, tags: Sequence[str]) -> None:
    kinds = {node.name: node.kind for node in supply.nodes}
    ways = _ways(supply.edges, placed)
    taken = [*placed.boxes.values(), *(_about(*pair) for way in ways for pair in pairwise(way))]
    for edge, way in zip(supply.edges, ways, strict=True):
        page.draw(Path(points=way, wide=HEAVY if edge.always_on else LIGHT))
    for edge, way in zip(supply.edges, ways, strict=True):
        _label(page, edge, way, taken, (tags[edge.tube], placed.pt * LABEL))
    for name, box in placed.boxes.items():
        page.draw(rectangle(box, fill=1.0), rectangle(box, 0.6 if kinds[name] == "source" else 0.3))
        y = box.top + 1.2
        for text, bold in placed.lines[name]:
            pt = placed.pt if bold else 0.85 * placed.pt
            page.write((box.left + 1.5, y + rise_mm(pt)), text, pt, bold=bold)
            y += sized(placed.pt)


def _about(one: Point, other: Point) -> Box:
    """Return the room that a straight stretch of a tube takes."""
    (left, right), (top, bottom) = sorted((one[0], other[0])), sorted((one[1], other[1]))
    half = HEAVY / 2
    return Box(left=left - half, top=top - half, right=right + half, bottom=bottom + half)


def _ways(edges: Sequence[SupplyEdge], placed: _Placed) -> list[Way]:
    """Return how tubes are drawn: level out of a unit, upright, level into the next; none shares a stretch.

    Of those that go up from one unit, the one that goes highest leaves highest and turns first; of those that
    go down, the lowest: so tubes of one unit do not cross.

    Returns
    -------
    ways : list of Way
        One a tube.
    """
    middles = {name: (box.top + box.bottom) / 2 for name, box in placed.boxes.items()}
    leaving: dict[str, list[int]] = defaultdict(list)
    for k, edge in enumerate(edges):
        leaving[edge.first].append(k)
    ways: dict[int, Way] = {}
    for name, some in leaving.items():
        rises = {k: middles[edges[k].second] + _off(edges[k]) - middles[name] for k in some}
        box = placed.boxes[name]
        for turn, k in enumerate(sorted(some, key=lambda k: -abs(rises[k]))):
            leaves = middles[name] + _share(
                sorted(some, key=lambda k: (rises[k], k)).index(k), len(some), box
            )
            ways[k] = _way(placed, edges[k], (leaves, turn, len(some)))
    return [ways[k] for k in range(len(edges))]


def _share(place: int, count: int, box: Box) -> float:
    """Return how far from the middle of a unit's side one of so many tubes leaves."""
    apart = min(APART, (box.bottom - box.top - 1.5) / max(count - 1, 1))
    return (place - (count - 1) / 2) * apart


def _off(edge: SupplyEdge) -> float:
    turn, count = edge.abreast
    return (turn - (count - 1) / 2) * ABREAST


def _way(placed: _Placed, edge: SupplyEdge, how: tuple[float, int, int]) -> Way:
    one, other = placed.boxes[edge.first], placed.boxes[edge.second]
    leaves, turn, count = how
    if one.left == other.left:
        upper, lower = (one, other) if one.top < other.top else (other, one)
        x = (one.left + one.right) / 2 + _off(edge)
        return (x, upper.bottom), (x, lower.top)
    arrives = (other.top + other.bottom) / 2 + _off(edge)
    begin, end = (one.right, other.left) if one.left < other.left else (one.left, other.right)
    apart = min(APART, 0.3 * abs(end - begin) / max(count, 1))
    x = begin + (turn + 1) * (apart if end > begin else -apart)
    return (begin, leaves), (x, leaves), (x, arrives), (end, arrives)


def _label(page: Page, edge: SupplyEdge, way: Way, taken: list[Box], how: tuple[str, float]) -> None:
    """Put a tube's words above or below its last stretch; without room, the table has them."""
    tag, pt = how
    text = shortened(f"{tag}: {edge.size}{' ▲' if edge.mark else ''}", pt, LONGEST)
    (x, y), (far_x, far_y) = way[-2:]
    size = pt * MM_PER_PT
    middle = (x + far_x) / 2, (y + far_y) / 2
    off = 0.9 + rise_mm(pt)
    level: list[tuple[Point, Anchor]] = [
        ((middle[0], y - 0.9 - DESCENT * size), "middle"),
        ((middle[0], y + off), "middle"),
    ]
    beside: list[tuple[Point, Anchor]] = [
        ((x + side * 1.5, middle[1] + up * off), anchor) for up in (0, -1, 1) for side, anchor in SIDES
    ]
    for at, anchor in beside if x == far_x else level:
        box = box_of(Writing(text=text, at=at, pt=pt, anchor=anchor))
        if not any(box.overlaps(other) for other in taken):
            taken.append(box)
            page.write(at, text, pt, anchor=anchor)
            return
