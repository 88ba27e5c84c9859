"""Which passages are full, by how much, and what would free them? In words; the proof is in shortages.py."""

from collections.abc import Sequence

from routeviz.planning.reasons import listed
from routeviz.planning.shortages import Shortage
from routeviz.planning.untangling import Options
from routeviz.tubes.plans import NoWay

MOST_NAMED = 3  # passages that a sentence names one by one


def full(shortage: Shortage, short: Sequence[str], options: Options, beside: Sequence[str]) -> NoWay:
    """Return why tubes were left over: passages that together hold fewer than must go through them.

    Parameters
    ----------
    shortage : Shortage
        The proof.
    short : sequence of str
        The tubes that were left over.
    options : Options
        What was chosen among; of each passage as found what places were found for.
    beside : sequence of str
        What stands in the passage that is blamed, or before or behind it.

    Returns
    -------
    refusal : NoWay
        Numbers are counted in common tubes.
    """
    blamed, room = options.passages[shortage.blamed], options.rooms[shortage.blamed]
    others = [options.passages[p].name for p in shortage.passages if p != shortage.blamed]
    pinned = all(blamed.name in options.stations.pinned[tube] for tube in shortage.tubes)
    marked = room.most is not None and room.most <= room.bound
    over = max(shortage.must - shortage.at_most, len(short))
    unpinned = f"unpin {over}" if pinned else f"open another way for {over}"
    larger = f"raise most of {blamed.name}" if marked else f"make {blamed.name} larger"
    fewer = room.found < room.limit
    found = f", and places for {room.found} were found" + (f" beside {listed(beside)}" if beside else "")
    return NoWay(
        tubes=tuple(short),
        passage=blamed.name,
        point=blamed.origin,
        cause=f"{blamed.name} is full: {_must(shortage, others, pinned=pinned)}; "
        + (f"most = {room.limit}" if marked else f"it holds at most {room.limit}")
        + (found if fewer else ""),
        frees=f"{unpinned}, {f'move {listed(beside)}, ' if fewer and beside else ''}or {larger}",
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
