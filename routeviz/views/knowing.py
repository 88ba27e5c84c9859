"""What was neither measured nor documented, in words: for the names of things, legends and notes."""

from collections.abc import Sequence

from routeviz.cabinet.solids import Cabinet
from routeviz.scene.doubts import Status
from routeviz.tubes.routes import Tube
from routeviz.views.shades import MANNERS


def with_status(name: str, status: Status | None) -> str:
    """Return what a thing is called, with its status where that is told: ``shelf (assumed)``."""
    return f"{name} ({status})" if status in MANNERS else name


def doubtful(cabinet: Cabinet, tubes: Sequence[Tube]) -> dict[Status, tuple[str, ...]]:
    """Return what was neither measured nor documented, by status.

    Parameters
    ----------
    cabinet, tubes : Cabinet, sequence of Tube
        All that there is; of tubes, those that are drawn count.

    Returns
    -------
    names : dict
        Of parts, passages and tubes, each once and in the order of the scene; no status without a name.
    """
    named = [(one.part, one.status) for one in (*cabinet.solids, *cabinet.keep_clear)]
    named += [(one.part, one.status) for one in cabinet.nipples.values() if one.carrier is None]
    named += [(one.name, one.status) for one in cabinet.passages.values()]
    named += [(tube.name, tube.status) for tube in tubes if tube.curve is not None]
    found = {
        status: tuple(dict.fromkeys(name for name, known in named if known == status)) for status in MANNERS
    }
    return {status: names for status, names in found.items() if names}


def doubtful_words(cabinet: Cabinet, tubes: Sequence[Tube]) -> str:
    """Return a sentence a status, with the names of what has it: ``Assumed: bottom board.``"""
    found = doubtful(cabinet, tubes)
    return " ".join(f"{status.capitalize()}: {', '.join(names)}." for status, names in found.items())
