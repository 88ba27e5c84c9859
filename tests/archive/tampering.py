"""Every small change to a folder of files, one after the other, each undone before the next."""

import random
from collections.abc import Iterator
from contextlib import contextmanager
from itertools import combinations
from pathlib import Path


@contextmanager
def altered(path: Path, content: bytes) -> Iterator[None]:
    """A file with other bytes, for a while."""
    before = path.read_bytes()
    path.write_bytes(content)
    try:
        yield
    finally:
        path.write_bytes(before)


@contextmanager
def renamed(path: Path, name: str) -> Iterator[None]:
    """A file under another name, for a while."""
    other = path.with_name(name)
    path.rename(other)
    try:
        yield
    finally:
        other.rename(path)


def flips(content: bytes, seed: int) -> Iterator[tuple[str, bytes]]:
    """Some bytes with one of them changed: the first, the last and one between, by a seeded mask."""
    chance = random.Random(seed)
    last = len(content) - 1
    places = {0, last, chance.randrange(len(content))} if content else set()
    for place in sorted(places):
        byte = content[place] ^ chance.randrange(1, 256)
        yield f"byte {place} is {byte}", content[:place] + bytes([byte]) + content[place + 1 :]


def cuts(content: bytes, seed: int) -> Iterator[tuple[str, bytes]]:
    """Some bytes with one of them taken out, or one more put in: anywhere and at the end."""
    chance = random.Random(seed)
    for place in sorted({chance.randrange(len(content) + 1), len(content)}):
        more = bytes([chance.choice((*b"\n\r \t", chance.randrange(256)))])
        yield f"{more!r} put in at {place}", content[:place] + more + content[place:]
        if place < len(content):
            yield f"byte {place} taken out", content[:place] + content[place + 1 :]
    if content:
        yield "last byte taken out", content[:-1]


def swaps(files: list[Path], count: int, seed: int) -> list[tuple[Path, Path]]:
    """Pairs of files with different bytes, so many of them, drawn by a seed."""
    pairs = [(a, b) for a, b in combinations(files, 2) if a.read_bytes() != b.read_bytes()]
    return random.Random(seed).sample(pairs, min(count, len(pairs)))
