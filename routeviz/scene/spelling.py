"""Which of the known names did the writer mean? The nearest one comes first in a message.

What else a message says is the business of whoever refuses the name.
"""

from collections.abc import Iterable
from difflib import SequenceMatcher


def nearest_first(word: str, known: Iterable[str]) -> tuple[str, ...]:
    """Return the known names, the one most like the word first, the like ones by alphabet."""
    wanted = word.casefold()

    def unlikeness(name: str) -> tuple[float, str]:
        return (-SequenceMatcher(None, wanted, name.casefold(), autojunk=False).ratio(), name)

    return tuple(sorted(known, key=unlikeness))
