"""How are two works done at once? One in a child process, where the system can; else one after the other."""

import os
import pickle
import select
import signal
import warnings
from collections.abc import Callable
from typing import Any, NoReturn, TypeVar

PATIENCE_S = 120.0  # a child has some seconds of work, and begins before the rest
One = TypeVar("One")
Other = TypeVar("Other")


def both(beside: Callable[[], One], here: Callable[[], Other]) -> tuple[One, Other]:
    """Return what two works give that know nothing of each other.

    Parameters
    ----------
    beside : function
        Done in a child process; it changes nothing, and what it gives can be pickled. Where there is no
        second processor or no child, or the child fails, it is done here afterwards, where its errors tell.
    here : function
        Done in this process meanwhile.

    Returns
    -------
    one, other : values
        Of the two.
    """
    child = _child(beside) if _can_part() else None
    try:
        other = here()
    except BaseException:
        if child is not None:
            child.end()
        raise
    answer = None if child is None else child.answer()
    return (beside() if answer is None else answer[0]), other


class _Child:
    """A child at work: its number, and where what it gives comes out."""

    def __init__(self, number: int, reading: int) -> None:
        self.number, self.reading = number, reading

    def answer(self) -> tuple[Any] | None:
        """Return what it gives; None where it failed, or is not done long after everything else."""
        if not select.select([self.reading], [], [], PATIENCE_S)[0]:
            self.end()
            return None
        try:
            with os.fdopen(self.reading, "rb") as file:
                given = file.read()
        finally:
            _, status = os.waitpid(self.number, 0)
        return (pickle.loads(given),) if status == 0 else None

    def end(self) -> None:
        """End it, whatever it does."""
        os.kill(self.number, signal.SIGKILL)
        os.waitpid(self.number, 0)
        os.close(self.reading)


def _can_part() -> bool:
    return hasattr(os, "fork") and (os.cpu_count() or 1) > 1


def _child(work: Callable[[], Any]) -> _Child | None:
    reading, writing = os.pipe()
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore", DeprecationWarning)  # no thread of ours runs meanwhile
            number = os.fork()
    except OSError:  # too many processes
        os.close(reading)
        os.close(writing)
        return None
    if number == 0:
        os.close(reading)
        _work(work, writing)
    os.close(writing)
    return _Child(number, reading)


def _work(work: Callable[[], Any], writing: int) -> NoReturn:
    """Do what a child is there for, and leave without a word: who asked for it tells what goes wrong."""
    status = 1
    try:
        given = pickle.dumps(work(), pickle.HIGHEST_PROTOCOL)
        with os.fdopen(writing, "wb") as file:
            file.write(given)
        status = 0
    finally:
        os._exit(status)
