"""Is every nipple there as long as the tube on it is?

Which parts are there at a stage is decided in cabinet/stages.py.
"""

from collections.abc import Iterator

from routeviz.errors import Problem
from routeviz.scene.parts import Part
from routeviz.scene.positions import problem_at
from routeviz.scene.references import Known
from routeviz.scene.wiring import Wire, copies_of


def problems_of_stages(wires: tuple[Wire, ...], known: Known) -> Iterator[Problem]:
    """Yield tubes that are there while a part that they join is not: of an entry each part once.

    A tube is there from its stage on, to the last.

    Parameters
    ----------
    wires : tuple of Wire
        All tubes of the scene.
    known : Known
        The scene.

    Yields
    ------
    problem : Problem
        At the end that is named.
    """
    order = {stage.name: number for number, stage in enumerate(known.scene.stages)}
    parts = {copy: (name, part) for name, part in known.scene.part.items() for copy in copies_of(name, part)}
    told = set[tuple[object, ...]]()
    for wire in wires:
        for word, end in (("from", wire.start), ("to", wire.end)):
            if end.part not in parts:
                continue
            name, part = parts[end.part]
            key = (*wire.key, word)
            if (key, name) in told or not {wire.entry.stage, part.stage, part.until} <= {None, *order}:
                continue
            told.add((key, name))
            for found, allowed, remedy in _apart(name, part, wire.entry.stage, order):
                yield problem_at(known.at, key, found, allowed, remedy)


def _apart(name: str, part: Part, stage: str | None, order: dict[str, int]) -> Iterator[tuple[str, str, str]]:
    """Yield that a part comes after its tube, and that it goes before it."""
    names = tuple(order)
    if part.stage is not None and order[part.stage] > (0 if stage is None else order[stage]):
        since = f"from stage {stage or names[0]!r} on"
        yield (
            f"a tube that is there {since}, on {name!r}, which comes in stage {part.stage!r}",
            "a tube that comes with the parts that it joins, or after them",
            f'write stage = "{part.stage}" for the tube, or let the part come earlier',
        )
    if part.until is not None and part.until != names[-1]:
        yield (
            f"a tube on {name!r}, which is gone after stage {part.until!r}",
            "parts that stay as long as the tubes on them: to the last stage",
            f"leave until out for {name!r}, or leave the tube out of the scene",
        )
