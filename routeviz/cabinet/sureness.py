"""How is what stands in the case known? Each thing takes the status of its value that is least sure.

Nothing is measured or checked by it; views show it.
"""

from collections.abc import Sequence
from dataclasses import replace

from routeviz.cabinet.making import Made
from routeviz.cabinet.passages import Passage
from routeviz.scene.doubts import Status
from routeviz.scene.positions import Key
from routeviz.scene.reading import Reading, least_sure, status_of_part, values_at


def part_as_known(reading: Reading, name: str, copies: Sequence[Made]) -> Sequence[Made]:
    """Return what a part has become, with how it is known.

    Parameters
    ----------
    reading : Reading
        The scene.
    name : str
        Of the part in it.
    copies : sequence of Made
        The part, or each copy of one that repeats.

    Returns
    -------
    copies : sequence of Made
        With a status throughout; as they were where the scene says of nothing how sure it is.
    """
    if not reading.doubts:
        return copies
    status = status_of_part(reading, name)
    return [_copy_as_known(reading, name, made, status) for made in copies]


def _copy_as_known(reading: Reading, name: str, made: Made, status: Status | None) -> Made:
    holes = [("part", name, "opening", one.name.removeprefix(f"{made.name} ")) for one in made.passages]
    return replace(
        made,
        solids=tuple(replace(one, status=status) for one in made.solids),
        nipples=tuple(replace(one, status=status) for one in made.nipples),
        passages=tuple(_known(reading, one, key) for one, key in zip(made.passages, holes, strict=True)),
    )


def passage_as_known(reading: Reading, passage: Passage) -> Passage:
    """Return a passage that stands free, with how it is known."""
    return _known(reading, passage, ("passage", passage.name)) if reading.doubts else passage


def _known(reading: Reading, passage: Passage, key: Key) -> Passage:
    return replace(passage, status=least_sure(reading, values_at(reading, key) or (key,)))
