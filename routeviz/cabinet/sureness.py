"""How is what stands in the case known? Each thing takes the status of its value that is least sure.

Nothing is measured or checked by it; views show it.
"""

from dataclasses import replace

from routeviz.cabinet.making import Made
from routeviz.cabinet.passages import Passage
from routeviz.scene.positions import Key
from routeviz.scene.reading import Reading, least_sure, status_of_part, values_at


def part_as_known(reading: Reading, name: str, made: Made) -> Made:
    """Return what a part has become, with how it is known.

    Parameters
    ----------
    reading : Reading
        The scene.
    name : str
        Of the part in it.
    made : Made
        The part, or one copy of it.

    Returns
    -------
    made : Made
        With a status throughout; as it was where the scene says of nothing how sure it is.
    """
    if not reading.doubts:
        return made
    status = status_of_part(reading, name)
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
