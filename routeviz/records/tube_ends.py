"""What is each end of a tube on, and what does a tube join through tees and couplers?"""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from routeviz.lay import Lay
from routeviz.scene.parts import JoinPart
from routeviz.scene.wiring import End, copies_of


@dataclass(frozen=True, slots=True, kw_only=True)
class Net:
    """Tubes that are one to the air in them: a single tube, or several that meet in tees and couplers.

    Parameters
    ----------
    tubes : tuple of int
        Indices, in the scene's order.
    joins : tuple of str
        Tees and couplers in which they meet.
    begins, ends : tuple of str
        Where they begin and end outside of these, as the scene says ``from`` and ``to``.
    """

    tubes: tuple[int, ...]
    joins: tuple[str, ...]
    begins: tuple[str, ...]
    ends: tuple[str, ...]


def told_ends(lay: Lay) -> tuple[tuple[str, str], ...]:
    """Return for each tube what its ends are on: a nipple, be it of a tee without a place, or ``loose``."""
    return tuple((start.nipple or start.state, end.nipple or end.state) for start, end in wired_ends(lay))


def wired_ends(lay: Lay) -> list[tuple[End, End]]:
    """Return the ends of each tube as the scene wires them."""
    wires = {wire.name: wire for wire in lay.reading.wires}
    return [(wires[tube.name].start, wires[tube.name].end) for tube in lay.tubes]


def joins_of(lay: Lay) -> Mapping[str, str]:
    """Return ``tee`` or ``coupler`` by the name of each of them in a scene."""
    return {
        copy: part.kind
        for name, part in lay.reading.scene.part.items()
        if isinstance(part, JoinPart)
        for copy in copies_of(name, part)
    }


def nets_of(lay: Lay) -> tuple[Net, ...]:
    """Return the nets of a lay, each tube in just one, in the order of their first tubes.

    Parameters
    ----------
    lay : Lay
        As checked.

    Returns
    -------
    nets : tuple of Net
        A part that is neither tee nor coupler parts nets: the air does not pass through it unchanged.
    """
    joins, ends = joins_of(lay), told_ends(lay)
    parts = [[end.part for end in pair] for pair in wired_ends(lay)]
    at: dict[str, list[int]] = defaultdict(list)
    for index, pair in enumerate(parts):
        for part in {part for part in pair if part in joins}:
            at[str(part)].append(index)
    seen: set[int] = set()
    nets = []
    for index in range(len(lay.tubes)):
        if index not in seen:
            net = _reached(index, parts, at)
            seen |= net
            nets.append(_net(sorted(net), ends, parts, joins))
    return tuple(nets)


def _reached(first: int, parts: list[list[str | None]], at: Mapping[str, list[int]]) -> set[int]:
    found, waiting = {first}, [first]
    while waiting:
        for part in parts[waiting.pop()]:
            new = [other for other in at.get(part or "", []) if other not in found]
            found.update(new)
            waiting += new
    return found


def _net(
    tubes: list[int], ends: Sequence[tuple[str, str]], parts: list[list[str | None]], joins: Mapping[str, str]
) -> Net:
    outer = [[ends[k][side] for k in tubes if parts[k][side] not in joins] for side in (0, 1)]
    met = dict.fromkeys(part for k in tubes for part in parts[k] if part in joins)
    return Net(
        tubes=tuple(tubes),
        joins=tuple(str(part) for part in met),
        begins=tuple(outer[0]),
        ends=tuple(outer[1]),
    )
