"""Where does the vacuum come from, and how does it get to where it works? Pump, regulators, motors, stack.

Tubes that carry signals are not drawn; what a unit is worked by is told at it. The layout is layered: how
many tubes away from the pump a unit is decides its column; crossings are then taken out by exchanges.
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations

from routeviz.lay import Lay
from routeviz.records.marks import marks_of
from routeviz.records.tables import Column, Table, size_text
from routeviz.records.tube_ends import joins_of, nets_of, wired_ends
from routeviz.records.wall import tags_in_short
from routeviz.scene.wiring import copies_of

SUPPLIES = ("always-on vacuum", "switched vacuum")
ALWAYS = SUPPLIES[0]
SOURCE = "pump"  # in the name or the model of where vacuum comes from
VALVE = "valve"  # in the name of one
MOST_SWEEPS = 50  # exchanges end long before; two that undo each other cannot go on for ever
COLUMNS = (
    Column(name="tag", title="tag", share=0.6),
    Column(name="tube", title="tube", share=1.4),
    Column(name="from", title="from, nearer to the pump", share=1.6),
    Column(name="to", title="to", share=1.6),
    Column(name="bore", title="bore", share=1.2),
    Column(name="tubing", title="tubing", share=1.2),
    Column(name="carries", title="carries", share=1.2),
    Column(name="worked_by", title="what it goes to is worked by", share=1.8),
    Column(name="mark", title="marked because", share=1.4),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class SupplyNode:
    """A unit, a tee, a coupler or a loose end.

    Parameters
    ----------
    name : str
        The part that carries the nipples; of an end on no nipple, what it is.
    kind : str
        ``source``, ``unit``, ``valve``, ``tee``, ``coupler`` or ``end``.
    layer : int
        How many tubes it is away from the pump.
    slot : float
        Where in its layer; the middle is 0, neighbours are 1 apart.
    worked_by : tuple of str
        Signals that end on it: ``tracker bar 4..64``.
    """

    name: str
    kind: str
    layer: int
    slot: float
    worked_by: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class SupplyEdge:
    """A tube that carries vacuum.

    Parameters
    ----------
    tube : int
        Index.
    first, second : str
        Names of its nodes, the one nearer to the pump first.
    size : str
        Its bore.
    always_on : bool
        Drawn heavy; a switched one is drawn light.
    abreast : tuple of int
        Which of how many tubes between the same two nodes: ``(0, 2)``.
    mark : str
        Why it is marked; else empty.
    """

    tube: int
    first: str
    second: str
    size: str
    always_on: bool
    abreast: tuple[int, int]
    mark: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Supply:
    """The diagram's values; ``crossings`` are those that are left."""

    nodes: tuple[SupplyNode, ...]
    edges: tuple[SupplyEdge, ...]
    crossings: int


def supply_of(lay: Lay) -> Supply:
    """Return the supply diagram of a lay.

    Parameters
    ----------
    lay : Lay
        As checked.

    Returns
    -------
    supply : Supply
        Each tube that carries vacuum is one edge; units without such a tube are left out.
    """
    tubes, kinds = _tubes(lay)
    near = _near(tubes.values())
    layers = _layers(kinds, near)
    between = {tuple(sorted(pair)) for pair in tubes.values() if pair[0] != pair[1]}
    order = untangled(_in_layers(kinds, layers, near), sorted(between))
    slot = {name: k - (len(row) - 1) / 2 for row in order for k, name in enumerate(row)}
    worked = _worked_by(lay)
    nodes = tuple(
        SupplyNode(
            name=name,
            kind=kinds[name],
            layer=layer,
            slot=slot[name],
            worked_by=worked.get(name, ()),
        )
        for layer, row in enumerate(order)
        for name in row
    )
    return Supply(nodes=nodes, edges=_edges(lay, tubes, layers), crossings=crossings(order, sorted(between)))


def supply_table(lay: Lay) -> Table:
    """Return the tubes of the supply diagram, a row each, the nearest to the pump first."""
    supply = supply_of(lay)
    nodes = {node.name: node for node in supply.nodes}
    rows = tuple(
        (
            lay.tubes[edge.tube].tag,
            lay.tubes[edge.tube].name,
            edge.first,
            edge.second,
            edge.size,
            lay.tubes[edge.tube].kind.name,
            lay.tubes[edge.tube].carries,
            ", ".join(nodes[edge.second].worked_by),
            edge.mark,
        )
        for edge in sorted(supply.edges, key=lambda edge: (nodes[edge.first].layer, edge.tube))
    )
    notes = (
        "Always-on tubes are drawn heavy, switched ones light. Mains and motor wiring are not in it: "
        "they are for licensed hands.",
    )
    return Table(name="supply", title="Supply", columns=COLUMNS, rows=rows, notes=notes)


def untangled(order: Sequence[Sequence[str]], edges: Sequence[tuple[str, ...]]) -> list[list[str]]:
    """Return nodes layer by layer so that few edges cross: neighbours are exchanged while that helps.

    Parameters
    ----------
    order : sequence of sequence of str
        Nodes, layer by layer.
    edges : sequence of tuple of str
        Pairs of nodes in one layer or in two next to each other.

    Returns
    -------
    order : list of list of str
        The same nodes in the same layers, with no more crossings.
    """
    best = [list(row) for row in order]
    least = crossings(best, edges)
    for _ in range(MOST_SWEEPS):
        before = least
        for row in best:
            for i, j in combinations(range(len(row)), 2):
                row[i], row[j] = row[j], row[i]
                now = crossings(best, edges)
                if now < least:
                    least = now
                else:
                    row[i], row[j] = row[j], row[i]
        if least == before:
            break
    return best


def crossings(order: Sequence[Sequence[str]], edges: Sequence[tuple[str, ...]]) -> int:
    """Return how many edges cross, and how many nodes an edge within a layer passes over.

    Parameters
    ----------
    order : sequence of sequence of str
        Nodes, layer by layer.
    edges : sequence of tuple of str
        Pairs of nodes in one layer or in two next to each other.

    Returns
    -------
    count : int
        Of straight edges between layers, and of edges within a layer that run along it.
    """
    at = {name: (layer, k) for layer, row in enumerate(order) for k, name in enumerate(row)}
    placed = [sorted((at[one], at[other])) for one, other in edges]
    count = sum(high[1] - low[1] - 1 for low, high in placed if low[0] == high[0])
    between = [(low, high) for low, high in placed if low[0] != high[0]]
    for (low, high), (other_low, other_high) in combinations(between, 2):
        if low[0] == other_low[0]:
            count += (low[1] - other_low[1]) * (high[1] - other_high[1]) < 0
    return count


def _tubes(lay: Lay) -> tuple[dict[int, tuple[str, str]], dict[str, str]]:
    """Return between which nodes each tube with vacuum runs, and the kind of each node."""
    joins, carriers = joins_of(lay), _carriers(lay)
    sources = _sources(lay)
    tubes: dict[int, tuple[str, str]] = {}
    kinds: dict[str, str] = {}
    for k, (tube, ends) in enumerate(zip(lay.tubes, wired_ends(lay), strict=True)):
        if tube.carries not in SUPPLIES:
            continue
        names = []
        for end in ends:
            name = f"{end.state} end of {tube.tag}" if end.part is None else carriers.get(end.part, end.part)
            if end.part is None and tube.waits_for and end.state == "loose":
                name = f"{name}, for {tube.waits_for}"
            kinds[name] = _kind(name, joins, sources) if end.part is not None else "end"
            names.append(name)
        tubes[k] = names[0], names[1]
    return tubes, kinds


def _kind(name: str, joins: Mapping[str, str], sources: frozenset[str]) -> str:
    if name in sources:
        return "source"
    return joins.get(name, "valve" if VALVE in name.casefold() else "unit")


def _carriers(lay: Lay) -> Mapping[str, str]:
    """Return by part whose nipples another one carries, that one."""
    return {
        copy: part.carried_by
        for name, part in lay.reading.scene.part.items()
        if part.carried_by is not None
        for copy in copies_of(name, part)
    }


def _sources(lay: Lay) -> frozenset[str]:
    return frozenset(
        copy
        for name, part in lay.reading.scene.part.items()
        if SOURCE in f"{name} {part.model or ''}".casefold()
        for copy in copies_of(name, part)
    )


def _near(pairs: Iterable[tuple[str, str]]) -> Mapping[str, Sequence[str]]:
    """Return what each node is joined to."""
    near: dict[str, list[str]] = defaultdict(list)
    for one, other in pairs:
        near[one].append(other)
        near[other].append(one)
    return near


def _layers(kinds: Mapping[str, str], near: Mapping[str, Sequence[str]]) -> dict[str, int]:
    """Return how many tubes each node is away from a source; without one, from the best joined node."""
    sources = [name for name, kind in kinds.items() if kind == "source"]
    layers: dict[str, int] = _spread(sources, near, {})
    while len(layers) < len(kinds):
        rest = [name for name in kinds if name not in layers]
        layers = _spread([max(rest, key=lambda name: len(near[name]))], near, layers)
    return layers


def _spread(
    firsts: Sequence[str], near: Mapping[str, Sequence[str]], known: dict[str, int]
) -> dict[str, int]:
    layers, rim, layer = {**known, **dict.fromkeys(firsts, 0)}, list(firsts), 0
    while rim:
        layer += 1
        rim = [name for name in dict.fromkeys(n for one in rim for n in near[one]) if name not in layers]
        layers |= dict.fromkeys(rim, layer)
    return layers


def _in_layers(
    kinds: Mapping[str, str], layers: Mapping[str, int], near: Mapping[str, Sequence[str]]
) -> list[list[str]]:
    """Return nodes layer by layer, those with one parent beside each other: a tree then has no crossings."""
    order = [[name for name in kinds if layers[name] == 0]] if kinds else []
    for layer in range(1, max(layers.values(), default=0) + 1):
        nexts = dict.fromkeys(n for one in order[-1] for n in near[one] if layers[n] == layer)
        order.append(list(nexts))
    return order


def _edges(
    lay: Lay, tubes: Mapping[int, tuple[str, str]], layers: Mapping[str, int]
) -> tuple[SupplyEdge, ...]:
    marks = marks_of(lay)
    ordered = {k: sorted(pair, key=lambda name: layers[name]) for k, pair in tubes.items()}
    groups: dict[tuple[str, ...], list[int]] = defaultdict(list)
    for k, pair in tubes.items():
        groups[tuple(sorted(pair))].append(k)
    return tuple(
        SupplyEdge(
            tube=k,
            first=first,
            second=second,
            size=size_text(lay.tubes[k].kind.bore_mm),
            always_on=lay.tubes[k].carries == ALWAYS,
            abreast=(group.index(k), len(group)),
            mark=marks[k],
        )
        for k, (first, second) in ordered.items()
        if (group := groups[tuple(sorted((first, second)))])
    )


def _worked_by(lay: Lay) -> Mapping[str, tuple[str, ...]]:
    """Return for each unit from which nipples signals come to it, tees passed over, in short."""
    carriers, nipples = _carriers(lay), lay.cabinet.nipples
    found: dict[str, dict[str, list[str]]] = defaultdict(lambda: defaultdict(list))
    for net in nets_of(lay):
        if lay.tubes[net.tubes[0]].carries != "signal":
            continue
        begins = [nipples[name] for name in net.begins if name in nipples]
        units = {nipples[name].part for name in net.ends if name in nipples}
        for unit in sorted(units):
            for begin in begins:
                found[carriers.get(unit, unit)][begin.part].append(str(begin.number))
    return {
        unit: tuple(f"{part} {tags_in_short(numbers)}" for part, numbers in parts.items())
        for unit, parts in found.items()
    }
