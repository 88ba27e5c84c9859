"""What a check of an archive answers: question by question, what holds, what does not, what nobody can tell.

The questions are asked in verifying.py; how the answers are printed is the business of a command.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from routeviz.archive.bag_reading import wrong
from routeviz.errors import Problem

MOST_TOLD = 20  # problems of one question; who has more has one cause


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """The answer to one question about an archive.

    Parameters
    ----------
    about : str
        What was looked at: ``fixity``.
    says : str
        The answer in a sentence without its full stop: ``143 files, all as they were sealed``.
    problems : tuple of Problem
        Everything that does not hold, as far as it is told one by one.
    open : bool
        Whether it could not be decided; then ``says`` tells why.
    """

    about: str
    says: str
    problems: tuple[Problem, ...] = ()
    open: bool = False

    @property
    def holds(self) -> bool:
        """Whether nothing was found against it, and it was looked at."""
        return not self.problems and not self.open


def answer(about: str, good: str, bad: str, problems: Sequence[Problem]) -> Answer:
    """Return the answer for some problems, or for none.

    Parameters
    ----------
    about : str
        The question.
    good, bad : str
        What it says without problems, and with some.
    problems : sequence of Problem
        All of them; a long list is cut short.

    Returns
    -------
    answer : Answer
        Decided.
    """
    return Answer(about=about, says=bad if problems else good, problems=not_too_many(problems))


def not_too_many(problems: Sequence[Problem]) -> tuple[Problem, ...]:
    """Return problems as they can be read: the first ones, and how many more there are."""
    more = len(problems) - MOST_TOLD
    if more <= 1:
        return tuple(problems)
    rest = wrong(problems[MOST_TOLD].file, f"{more:,} more problems like these", "none", "mend these first")
    return (*problems[:MOST_TOLD], rest)


def counted(number: int, noun: str) -> str:
    """Return a number with its noun: ``1 file``, ``2,000 files``."""
    return f"{number:,} {noun}" if number == 1 else f"{number:,} {noun}s"
