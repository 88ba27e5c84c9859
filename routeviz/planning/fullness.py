"""Which passages are full, by how much, and what would free them? In words; the proof is in shortages.py."""

from collections.abc import Sequence
from dataclasses import replace

from routeviz.planning.shortages import Shortage
from routeviz.planning.untangling import Options
from routeviz.tubes.plans import NoWay


def full(shortage: Shortage, short: Sequence[str], options: Options) -> NoWay:
    """Return why tubes were left over: passages that together hold fewer than must go through them.

    Parameters
    ----------
    shortage : Shortage
        The proof.
    short : sequence of str
        The tubes that were left over.
    options : Options
        What was chosen among.

    Returns
    -------
    refusal : NoWay
        Numbers are counted in common tubes.
    """
    order = [shortage.blamed, *(p for p in shortage.passages if p != shortage.blamed)]
    names = [options.passages[p].name for p in order]
    beside = sum(options.rooms[p].limit for p in order[1:])
    wanted, there = shortage.must + beside, shortage.at_most + beside
    blamed, room = options.passages[shortage.blamed], options.rooms[shortage.blamed]
    together = f"together they hold at most {there}" if len(names) > 1 else f"it holds at most {there}"
    pinned = all(blamed.name in options.stations.pinned[tube] for tube in shortage.tubes)
    must = "are pinned to" if pinned and len(names) == 1 else "must go through"
    marked = room.most is not None and room.most <= room.bound
    if marked and len(names) == 1:
        together = f"most = {there}"
    over = wanted - there
    unpinned = f"unpin {over}" if pinned else f"open another way for {over}"
    return NoWay(
        tubes=tuple(short),
        passage=blamed.name,
        point=blamed.origin,
        cause=f"{listed(names)} {'is' if len(names) == 1 else 'are'} full: {wanted} tubes {must} "
        f"{'it' if len(names) == 1 else 'them'}, {together}",
        frees=f"{unpinned}, or {f'raise most of {blamed.name}' if marked else f'make {blamed.name} larger'}",
        wanted=float(wanted),
        there=float(there),
        unit="tubes",
    )


def taken(options: Options, tube: int) -> NoWay:
    """Return why a tube was left over that has ways: what is left of their passages is less than it takes."""
    through = sorted({p for way in options.candidates.ways[tube] for p in way.passages})
    names = [options.passages[p].name for p in through]
    return NoWay(
        tubes=(options.stations.names[tube],),
        passage=names[0] if names else None,
        point=options.passages[through[0]].origin if through else options.stations.tips[tube, 0],
        cause=f"what others leave free of {listed(names)} is too little for it",
        frees=f"make {listed(names)} larger, or let fewer tubes go that way",
    )


def joined(told: Sequence[NoWay]) -> tuple[NoWay, ...]:
    """Return reasons, those of one cause once, with all their tubes."""
    found: dict[tuple[str, str], NoWay] = {}
    for one in told:
        key = one.cause, one.frees
        known = found.get(key)
        found[key] = one if known is None else replace(known, tubes=(*known.tubes, *one.tubes))
    return tuple(found.values())


def listed(names: Sequence[str]) -> str:
    """Return names as a row of words."""
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"
