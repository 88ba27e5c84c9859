"""What went wrong with the input, as values; messages are made here and nowhere else.

Faults in a lay of tubes are findings, not errors: see checks/findings.py.
"""

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass


class RoutevizError(Exception):
    """Root of all errors that routeviz raises on purpose; its text is fit for a user."""


class Refusal(RoutevizError):
    """A single value that cannot be used, told in the three parts of a problem; its place is not known here.

    Parameters
    ----------
    found : str
        What stands there, in a few words.
    allowed : str
        What may stand there.
    remedy : str
        What to do.
    """

    def __init__(self, *, found: str, allowed: str, remedy: str) -> None:
        self.found = found
        self.allowed = allowed
        self.remedy = remedy
        super().__init__(f"{found}\n  allowed: {allowed}\n  remedy: {remedy}")


@dataclass(frozen=True, slots=True, kw_only=True)
class Problem:
    """One thing wrong with an input file.

    Parameters
    ----------
    file : str
        The file as the user named it.
    key : str
        Dotted place in the file, e.g. ``part.shelf.size.wide``; empty for the whole file.
    found : str
        What stands there, in a few words.
    allowed : str
        What may stand there.
    remedy : str
        What to do.
    line, column : int
        Where, from 1; 0 where there is no place.
    """

    file: str
    key: str
    found: str
    allowed: str
    remedy: str
    line: int = 0
    column: int = 0

    def __str__(self) -> str:
        """Return the message as the user reads it, three lines."""
        place = f"{self.file}:{self.line}:{self.column}" if self.line else self.file
        key = f" {self.key}:" if self.key else ""
        return f"{place}:{key} {self.found}\n  allowed: {self.allowed}\n  remedy: {self.remedy}"


class SceneError(RoutevizError):
    """The input cannot be used; carries every problem found, in file order."""

    def __init__(self, problems: tuple[Problem, ...]) -> None:
        self.problems = tuple(sorted(problems, key=lambda p: (p.file, p.line, p.column, p.key)))
        super().__init__("\n".join(str(problem) for problem in self.problems))


@contextmanager
def interrupts_laid_bare() -> Iterator[None]:
    """Let an interrupt that fell into machine code leave the block as the interrupt that it is.

    What interrupts a function that compiled code calls, to look up a type, comes out of it as an error of
    the interpreter, with the interrupt as its cause.

    Raises
    ------
    BaseException
        The interrupt.
    SystemError
        Any other error of the interpreter, as it was.
    """
    try:
        yield
    except SystemError as error:
        cause: BaseException | None = error
        while isinstance(cause, Exception):
            cause = cause.__cause__
        if cause is None:
            raise
        raise cause from None
