"""Which of the known names did the writer mean? The nearest one comes first in a message.

What else a message says is the business of whoever refuses the name.
"""

from collections.abc import Iterable
from difflib import SequenceMatcher, get_close_matches

LIKE = 0.6  # of the letters in common: "bord" is like "board", "air" is not like "wire"


def nearest_first(word: str, known: Iterable[str]) -> tuple[str, ...]:
    """Return the known names, the one most like the word first, the like ones by alphabet."""
    wanted = word.casefold()

    def unlikeness(name: str) -> tuple[float, str]:
        return (-SequenceMatcher(None, wanted, name.casefold(), autojunk=False).ratio(), name)

    return tuple(sorted(known, key=unlikeness))


def likeliest(word: str, known: Iterable[str]) -> str | None:
    """Return the known name that was probably meant, or None where none is like the word."""
    by_letters = {name.casefold(): name for name in known}
    close = get_close_matches(word.casefold(), sorted(by_letters), n=1, cutoff=LIKE)
    return by_letters[close[0]] if close else None
