"""What holds of an archive? All questions that can be asked of one, in order, each with its answer.

Whether it is as it was sealed (fixity.py), whole (completeness.py), can be understood (legibility.py), and
whether what it says follows from the scene in it (recomputing.py).
"""

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from routeviz.archive.answers import Answer
from routeviz.archive.bag_opening import opened
from routeviz.archive.completeness import completeness, is_archive, no_archive
from routeviz.archive.fixity import fixity, form
from routeviz.archive.legibility import legibility, wanted
from routeviz.archive.recomputing import recomputation
from routeviz.lay import Lay


@dataclass(frozen=True, slots=True, kw_only=True)
class Verification:
    """What a check of an archive found.

    Parameters
    ----------
    folder : str
        As the user named it.
    answers : tuple of Answer
        In the order in which the questions were asked.
    """

    folder: str
    answers: tuple[Answer, ...]

    @property
    def fails(self) -> bool:
        """Whether something does not hold; what could not be decided is no failure."""
        return any(one.problems and not one.open for one in self.answers)


def verified(folder: Path, check: Callable[[Path], Lay]) -> Verification:
    """Return what holds of an archive, and everything that does not.

    Parameters
    ----------
    folder : Path
        Of the archive; nothing in it is changed.
    check : function
        Reads a scene file, and measures and checks what it describes.

    Returns
    -------
    verification : Verification
        All answers.

    Raises
    ------
    NotABagError
        No folder, or one that is no bag.
    """
    bag = opened(folder, wanted)
    answers = [form(bag), fixity(bag)]
    if is_archive(bag):
        about_texts, understood = legibility(bag)
        answers += [completeness(bag), *about_texts, recomputation(bag, understood, check)]
    else:
        answers.append(no_archive(bag))
    return Verification(folder=str(folder), answers=tuple(answers))
