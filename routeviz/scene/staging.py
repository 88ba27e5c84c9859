"""Is every part that a tube joins or goes through there as long as the tube is?

Which parts are there at a stage is decided in cabinet/stages.py.
"""

from collections.abc import Iterator, Mapping

from routeviz.errors import Problem
from routeviz.scene.parts import Part
from routeviz.scene.positions import Key, problem_at
from routeviz.scene.references import Known
from routeviz.scene.wiring import Wire, copies_of


def problems_of_stages(wires: tuple[Wire, ...], known: Known) -> Iterator[Problem]:
    """Yield tubes that are there while a part that they join or go through is not, each part once an entry.

    A tube is there from its stage on, to the last. A board cannot be put over it, nor taken off.

    Parameters
    ----------
    wires : tuple of Wire
        All tubes of the scene.
    known : Known
        The scene.

    Yields
    ------
    problem : Problem
        Where the part is named.
    """
    order = {stage.name: number for number, stage in enumerate(known.scene.stages)}
    parts, told = _parts_by_name(known), set[tuple[Key, str]]()
    for wire in wires:
        for key, named in _named(wire):
            if named not in parts:
                continue
            name, part = parts[named]
            if (key, name) in told or not {wire.entry.stage, part.stage, part.until} <= {None, *order}:
                continue
            told.add((key, name))
            what = "through" if "through" in key else "on"
            for found, allowed, remedy in _apart(f"{what} {name!r}", part, wire.entry.stage, order):
                yield problem_at(known.at, key, found, allowed, remedy)


def _parts_by_name(known: Known) -> Mapping[str, tuple[str, Part]]:
    """Return parts by the names of their copies, and of the passages in these."""
    found: dict[str, tuple[str, Part]] = {}
    for name, part in known.scene.part.items():
        for copy in copies_of(name, part):
            openings = part.opening if part.kind == "board" else ()
            found |= dict.fromkeys([copy, *(f"{copy} {opening}" for opening in openings)], (name, part))
    return found


def _named(wire: Wire) -> Iterator[tuple[Key, str]]:
    """Yield what a tube joins and goes through, with the keys."""
    for word, end in (("from", wire.start), ("to", wire.end)):
        if end.part is not None:
            yield (*wire.key, word), end.part
    for index, passage in enumerate(wire.entry.through):
        yield (*wire.key, "through", index), passage


def _apart(
    which: str, part: Part, stage: str | None, order: Mapping[str, int]
) -> Iterator[tuple[str, str, str]]:
    """Yield that a part comes after its tube, and that it goes before it."""
    names = tuple(order)
    if part.stage is not None and order[part.stage] > (0 if stage is None else order[stage]):
        since = f"from stage {stage or names[0]!r} on"
        yield (
            f"a tube that is there {since}, {which}, which comes in stage {part.stage!r}",
            "a tube that comes with the parts that it joins and goes through, or after them",
            f'write stage = "{part.stage}" for the tube, or let the part come earlier',
        )
    if part.until is not None and part.until != names[-1]:
        yield (
            f"a tube {which}, which is gone after stage {part.until!r}",
            "parts that stay as long as the tubes on and through them: to the last stage",
            "leave until out for the part, or leave the tube out of the scene",
        )
