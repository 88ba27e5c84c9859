"""Which tubes does the scene ask for, one by one? Ranges become single tubes with names and tags.

The grammar of ranges is in ranges.py; where the ends lie is decided in cabinet/.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass

from routeviz.errors import Problem
from routeviz.scene.description import TubeEntry
from routeviz.scene.parts import JoinPart, PartEntry
from routeviz.scene.positions import Key, Positions, problem_at
from routeviz.scene.ranges import ALLOWED, RangeError, in_short, numbers_in
from routeviz.scene.spelling import likeliest, nearest_first

STATES = ("loose", "unknown", "missing", "cut", "blocked")
MOST_WIRES = 2000  # beyond any cabinet; a slip in the ranges stays harmless
END_ALLOWED = "a part and its numbers, such as 'stack 1..61', or one of: " + ", ".join(STATES)

_RUN = r"[0-9]+(?: ?\.\. ?[0-9]+(?: step [0-9]+)?)?"
_END = re.compile(rf"(?P<part>.*?\S) (?P<numbers>{_RUN}(?: ?, ?{_RUN})*)")


@dataclass(frozen=True, slots=True, kw_only=True)
class End:
    """An end of a tube as the scene names it.

    Parameters
    ----------
    part : str or None
        The part with the nipple, or the copy of one that repeats; None for an end without one.
    number : int or None
        The nipple's number in the part.
    state : str
        ``nipple``, or one of ``STATES``.
    """

    part: str | None
    number: int | None
    state: str

    @property
    def nipple(self) -> str | None:
        """The nipple's name, ``stack 12``."""
        return None if self.part is None else f"{self.part} {self.number}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Wire:
    """One tube that the scene asks for.

    Parameters
    ----------
    name : str
        As given; in a run, the name and the number at the start; without a name, the start's nipple, or
        the end's where the start has none.
    tag : str
        What is tied to both ends: as given, counted on in a run; else the next free number, in file order.
    label : str or None
        What was found written on it.
    start, end : End
        What it joins.
    entry : TubeEntry
        The entry of the scene that it comes from.
    index : int
        Which tube of the entry's run it is, from 0.
    key : tuple of str and int
        Where the entry stands in the scene.
    """

    name: str
    tag: str
    label: str | None
    start: End
    end: End
    entry: TubeEntry
    index: int
    key: Key


def numbers_of(part: PartEntry) -> tuple[int, ...]:
    """Return the numbers of a part's nipples, rising; of each copy where it repeats.

    Parameters
    ----------
    part : PartEntry
        A part of a scene that has been read.

    Returns
    -------
    numbers : tuple of int
        Empty for a part without nipples.
    """
    if isinstance(part, JoinPart):
        return (1, 2, 3) if part.kind == "tee" else (1, 2)
    return tuple(sorted({number for row in part.rows for number in numbers_in(row.holes)}))


def copies_of(name: str, part: PartEntry) -> tuple[str, ...]:
    """Return what a part is called where it stands: its name, or ``hammer 1``, ``hammer 2`` and so on."""
    return tuple(f"{name} {i + 1}" for i in range(part.repeat.count)) if part.repeat else (name,)


def wires_of(
    entries: Mapping[int, TubeEntry], parts: Mapping[str, PartEntry], unread: frozenset[str], at: Positions
) -> tuple[tuple[Wire, ...], tuple[Problem, ...]]:
    """Return every single tube, and what is wrong with their ends.

    Parameters
    ----------
    entries : mapping
        The scene's entries by their place in its list.
    parts : mapping
        The scene's parts by name.
    unread : frozenset of str
        Names of parts that something else is wrong with; they may be named here all the same.
    at : Positions
        Of the scene.

    Returns
    -------
    wires : tuple of Wire
        In file order.
    problems : tuple of Problem
        Unknown parts and numbers, ranges of unequal length, too many.
    """
    problems: list[Problem] = []
    nipples = _Nipples(
        by_name={copy: numbers_of(part) for name, part in parts.items() for copy in copies_of(name, part)},
        single={
            name: n[0] for name, part in parts.items() if part.repeat and len(n := numbers_of(part)) == 1
        },
        unread=unread,
    )
    pairs: list[tuple[int, int, End, End]] = []
    for index, entry in entries.items():
        ends = []
        for key, text in (("from", entry.start), ("to", entry.end)):
            found = _ends(text, nipples)
            if isinstance(found, tuple):
                ends.append(found)
            else:
                problems.append(problem_at(at, ("tubes", index, key), *found.message))
        if len(ends) == 2:
            matched = _matched(*ends)
            if matched is None:
                problems.append(problem_at(at, ("tubes", index, "to"), *_unequal(*ends)))
            else:
                pairs += [(index, i, start, end) for i, (start, end) in enumerate(matched)]
    if len(pairs) > MOST_WIRES:
        problems.append(
            problem_at(at, ("tubes",), f"{len(pairs)} tubes", f"at most {MOST_WIRES}", "correct the ranges")
        )
        return (), tuple(problems)
    return _named(pairs, entries), tuple(problems)


# ── ends ─────────────────────────────────────────────────────────────────────────────────────────
@dataclass(frozen=True, slots=True)
class _NoEnd:
    """Why a text names no end: found, allowed, remedy."""

    message: tuple[str, str, str]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Nipples:
    """What can be named: numbers by part or copy; the one number of each copy; parts not understood."""

    by_name: Mapping[str, tuple[int, ...]]
    single: Mapping[str, int]
    unread: frozenset[str]


def _ends(text: str, nipples: _Nipples) -> tuple[End, ...] | _NoEnd:
    """Return the ends that a text names, in its order."""
    words = " ".join(text.split())
    if words in STATES:
        return (End(part=None, number=None, state=words),)
    match = _END.fullmatch(words)
    if match is None:
        return _NoEnd(_no_numbers(words, nipples))
    part = match["part"]
    try:
        numbers = numbers_in(match["numbers"])
    except RangeError as error:
        return _NoEnd((error.found, error.allowed, error.remedy))
    pairs = [(part, number) for number in numbers]
    if part in nipples.single:
        pairs = [(f"{part} {number}", nipples.single[part]) for number in numbers]
    wrong = _wrong(part, pairs, nipples)
    if wrong:
        return _NoEnd(wrong)
    return tuple(End(part=copy, number=number, state="nipple") for copy, number in pairs)


def _wrong(part: str, pairs: list[tuple[str, int]], nipples: _Nipples) -> tuple[str, str, str] | None:
    """Return what is wrong with nipples that were named, or None."""
    if part in nipples.unread or any(part.startswith(f"{name} ") for name in nipples.unread):
        return None
    if part in nipples.single:
        copies = tuple(int(name.rsplit(" ", 1)[1]) for name in nipples.by_name if name.startswith(f"{part} "))
        missing = tuple(int(c.rsplit(" ", 1)[1]) for c, _ in pairs if c not in nipples.by_name)
        return _no_nipple(part, missing, copies) if missing else None
    if part not in nipples.by_name:
        return _no_part(part, nipples)
    known = nipples.by_name[part]
    missing = tuple(number for _, number in pairs if number not in known)
    return _no_nipple(part, missing, known) if missing else None


def _no_numbers(words: str, nipples: _Nipples) -> tuple[str, str, str]:
    known = nipples.by_name.get(words)
    if known is not None:
        if not known:
            return _no_nipple(words, (), known)
        remedy = f"write which of its nipples: '{words} {in_short(known)}'"
        return f"{words!r} without a number", END_ALLOWED, remedy
    near = nearest_first(words, [*STATES, *nipples.by_name])[0]
    if words.startswith(f"{near} "):
        return f"{_shown(words)} holds no row of numbers after {near!r}", ALLOWED, "correct the numbers"
    meant = likeliest(words, [*STATES, *nipples.by_name])
    remedy = f"did you mean {meant!r}?" if meant else "name the part and the number of its nipple"
    return f"{_shown(words)} names no nipple", END_ALLOWED, remedy


def _no_nipple(part: str, missing: tuple[int, ...], known: tuple[int, ...]) -> tuple[str, str, str]:
    if not known:
        return (
            f"the part {part!r} has no nipples",
            "a part with rows, or a tee or coupler",
            f"give {part!r} rows, or name the part that carries the nipple",
        )
    found = f"{part!r} has no nipple {in_short(missing)}"
    return found, f"{part} {in_short(known)}", "correct the number, or the rows of the part"


def _no_part(part: str, nipples: _Nipples) -> tuple[str, str, str]:
    near = nearest_first(part, [*nipples.single, *(name for name, known in nipples.by_name.items() if known)])
    meant = likeliest(part, near)
    remedy = f"did you mean {meant!r}?" if meant else "correct the name, or describe the part first"
    return f"no part {_shown(part)}", ", ".join(near[:6]) or "a part with nipples; there is none", remedy


def _shown(text: str) -> str:
    return repr(text if len(text) <= 60 else text[:59] + "…")


# ── pairs ────────────────────────────────────────────────────────────────────────────────────────
def _matched(starts: tuple[End, ...], ends: tuple[End, ...]) -> list[tuple[End, End]] | None:
    """Return starts and ends in pairs; an end without a nipple serves a whole run."""
    if len(ends) == 1 and ends[0].part is None:
        ends *= len(starts)
    elif len(starts) == 1 and starts[0].part is None:
        starts *= len(ends)
    return list(zip(starts, ends, strict=True)) if len(starts) == len(ends) else None


def _unequal(starts: tuple[End, ...], ends: tuple[End, ...]) -> tuple[str, str, str]:
    return (
        f"{_count(starts)} at the start, {_count(ends)} at the end",
        "as many numbers in 'to' as in 'from'",
        "correct one of the two ranges",
    )


def _count(ends: tuple[End, ...]) -> str:
    return "1 nipple" if len(ends) == 1 else f"{len(ends)} nipples"


# ── names and tags ───────────────────────────────────────────────────────────────────────────────
def _named(pairs: list[tuple[int, int, End, End]], entries: Mapping[int, TubeEntry]) -> tuple[Wire, ...]:
    lengths: dict[int, int] = {}
    for index, *_ in pairs:
        lengths[index] = lengths.get(index, 0) + 1
    given = {(index, i): _tag(entries[index].tag, i) for index, i, _, _ in pairs}
    taken = set(given.values())
    free = (str(number) for number in range(1, 2 * MOST_WIRES + 2) if str(number) not in taken)
    return tuple(
        Wire(
            name=_name(entries[index].name, start, end, i, lengths[index]),
            tag=given[index, i] or next(free),
            label=entries[index].label,
            start=start,
            end=end,
            entry=entries[index],
            index=i,
            key=("tubes", index),
        )
        for index, i, start, end in pairs
    )


def _name(given: str | None, start: End, end: End, index: int, run: int) -> str:
    if given is None:
        return start.nipple or end.nipple or f"tube without ends {index + 1}"
    if run == 1:
        return given
    return f"{given} {start.number or end.number or index + 1}"


def _tag(given: str | None, index: int) -> str | None:
    """Return a run's tag counted on: 101, 102 …, or P1, P2 … from P1; the tag itself for the first."""
    if given is None or index == 0:
        return given
    match = re.fullmatch(r"(?P<stem>.*?)(?P<number>[0-9]{1,9})", given)
    return f"{given} {index + 1}" if match is None else f"{match['stem']}{int(match['number']) + index}"
