"""Tables that are printed line by line, as their rows come, so that a long run shows how it fares."""

from collections.abc import Iterable, Iterator, Sequence

LEAST = 6  # letters of a column


def lines(heads: Sequence[str], rows: Iterable[Sequence[str]], wide: dict[str, int]) -> Iterator[str]:
    """The heads, then a line a row; ``wide`` has how many letters a column needs, where its head is shorter.

    A row of one word is a remark on the row before, and stands as it is.
    """
    widths = [max(len(head), wide.get(head, LEAST)) for head in heads]
    yield _line(heads, widths)
    for row in rows:
        yield f"      {row[0]}\n" if len(row) == 1 else _line(row, widths)


def _line(words: Sequence[str], widths: Sequence[int]) -> str:
    return "  ".join(word.rjust(width) for word, width in zip(words, widths, strict=True)) + "\n"
