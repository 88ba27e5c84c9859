"""Which passages are full, by how much, and what would free them? In words; the proof is in shortages.py."""

from collections.abc import Sequence
from dataclasses import replace

from routeviz.planning.shortages import Shortage
from routeviz.planning.untangling import Options
from routeviz.tubes.plans import NoWay

MOST_NAMED = 3  # passages that a sentence names one by one


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
    blamed, room = options.passages[shortage.blamed], options.rooms[shortage.blamed]
    others = [options.passages[p].name for p in shortage.passages if p != shortage.blamed]
    pinned = all(blamed.name in options.stations.pinned[tube] for tube in shortage.tubes)
    marked = room.most is not None and room.most <= room.bound
    over = shortage.must - shortage.at_most
    unpinned = f"unpin {over}" if pinned else f"open another way for {over}"
    return NoWay(
        tubes=tuple(short),
        passage=blamed.name,
        point=blamed.origin,
        cause=f"{blamed.name} is full: {_must(shortage, others, pinned=pinned)}; "
        + (f"most = {shortage.at_most}" if marked else f"it holds at most {shortage.at_most}")
        + (f", and places for {room.found} were found" if len(short) > over and not marked else ""),
        frees=f"{unpinned}, or {f'raise most of {blamed.name}' if marked else f'make {blamed.name} larger'}",
        wanted=float(shortage.must),
        there=float(shortage.at_most),
        unit="tubes",
    )


def _must(shortage: Shortage, others: Sequence[str], *, pinned: bool) -> str:
    """Say how many must go through a passage, with those full that could help it."""
    if not others:
        return f"{shortage.must} tubes {'are pinned to' if pinned else 'must go through'} it"
    beside = listed(others) if len(others) <= MOST_NAMED else f"{len(others)} others"
    return f"with {beside} full too, {shortage.must} of {len(shortage.tubes)} tubes must go through it"


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
