"""Which names does the scene use that nothing in it bears? And what does one entry say against another?

Ends of tubes are understood in wiring.py; what needs geometry is found in cabinet/.
"""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from routeviz.errors import Problem
from routeviz.scene.description import Scene
from routeviz.scene.parts import JoinPart, Part
from routeviz.scene.positions import Key, Positions, problem_at
from routeviz.scene.quantities import CASE, Entry, Position
from routeviz.scene.spelling import likeliest, nearest_first
from routeviz.scene.wiring import Wire, copies_of

BUNDLE = "bundle"  # what a tie holds to that holds tubes to each other
MOST_NAMED = 8  # names in a message


@dataclass(frozen=True, slots=True, kw_only=True)
class Known:
    """What the scene names, also where something else is wrong with it, so that one slip is told once.

    Parameters
    ----------
    scene : Scene
        What could be read.
    entries : tuple of int
        For each of the scene's tubes its place in the file's list.
    names : mapping
        By group (``zero``, ``part`` and so on) every name in the file.
    at : Positions
        Of the scene.
    """

    scene: Scene
    entries: tuple[int, ...]
    names: Mapping[str, tuple[str, ...]]
    at: Positions


def problems_of_references(known: Known) -> tuple[Problem, ...]:
    """Return the names that nothing bears, apart from those at the ends of tubes.

    Parameters
    ----------
    known : Known
        The scene, and what is in it.

    Returns
    -------
    problems : tuple of Problem
        Zeros, passages, tubing, stages, carriers, ties.
    """
    return (
        *_unknown_zeros(known),
        *_circular_zeros(known),
        *_unknown_in_tubes(known),
        *_unknown_in_parts(known),
        *_moving_nipples(known),
    )


def problems_of_wires(wires: tuple[Wire, ...], known: Known) -> tuple[Problem, ...]:
    """Return what single tubes say against each other.

    Parameters
    ----------
    wires : tuple of Wire
        All tubes of the scene.
    known : Known
        The scene.

    Returns
    -------
    problems : tuple of Problem
        Names and tags given twice, tubes to themselves, expected findings on tubes that are not there.
    """
    problems: list[Problem] = []
    for word in ("name", "tag"):
        first: dict[str, Wire] = {}
        for wire in wires:
            text = getattr(wire, word)
            if text in first:
                found = f"two tubes with the {word} {text!r}"
                remedy = f"give one of them another {word}"
                if word == "name" and wire.entry.name is None:
                    remedy = "give one of them a name; without one a tube is called by its first nipple"
                problems.append(problem_at(known.at, wire.key, found, f"each {word} once", remedy))
            first.setdefault(text, wire)
    problems += _drawn_to_nowhere(wires, known)
    for wire in wires:
        if wire.start.nipple is not None and wire.start.nipple == wire.end.nipple:
            found = f"a tube from {wire.start.nipple!r} to itself"
            remedy = "correct 'from' or 'to'"
            problems.append(problem_at(known.at, (*wire.key, "to"), found, "another nipple", remedy))
    if len(known.entries) == len(known.names["tubes"]):
        problems += _unknown_expected({wire.name for wire in wires}, known)
    return tuple(problems)


def _drawn_to_nowhere(wires: tuple[Wire, ...], known: Known) -> Iterator[Problem]:
    """Yield drawn tubes to a tee or coupler without a place, an entry once."""
    parts, told = known.scene.part, set[Key]()
    for wire in wires:
        word = "corners" if wire.entry.corners is not None else "measured"
        key = (*wire.key, word)
        for name in (wire.start.part, wire.end.part):
            part = parts.get(name or "")
            if getattr(wire.entry, word) is None or key in told or not isinstance(part, JoinPart):
                continue
            if part.at is None:
                told.add(key)
                found = f"{word} of a tube to {name!r}, which has no place yet"
                remedy = f"write at for {name!r}, or leave {word} out and let routeviz plan find both"
                yield problem_at(known.at, key, found, "routes between ends with a place", remedy)


def passages_in(parts: Mapping[str, Part], free: Iterable[str]) -> tuple[str, ...]:
    """Return the names of all passages: ``BOARD OPENING``, ``BOARD 2 OPENING`` in a copy, and free ones."""
    names = list(free)
    for name, part in parts.items():
        if part.kind == "board":
            names += [f"{copy} {opening}" for copy in copies_of(name, part) for opening in part.opening]
    return tuple(names)


def _unknown(known: Known, key: Key, what: str, name: str, names: Iterable[str]) -> Problem:
    names = tuple(names)
    near = nearest_first(name[:60], names)
    meant = likeliest(name[:60], names)
    remedy = f"describe the {what} first" if not near else "correct the name"
    more = ", ..." if len(near) > MOST_NAMED else ""
    return problem_at(
        known.at,
        key,
        f"no {what} {name[:60]!r}",
        ", ".join(near[:MOST_NAMED]) + more or f"a {what}; there is none",
        f"did you mean {meant!r}?" if meant else remedy,
    )


# ── zeros ────────────────────────────────────────────────────────────────────────────────────────
def _unknown_zeros(known: Known) -> Iterator[Problem]:
    names = {CASE, *known.names["zero"]}
    for key, entry in _entries(known):
        zero = getattr(entry, "zero", None)
        if isinstance(zero, str) and zero not in names:
            yield _unknown(known, (*key, "zero"), "zero", zero, names)


def _circular_zeros(known: Known) -> Iterator[Problem]:
    seen_from = {name: zero.at.zero or CASE for name, zero in known.scene.zero.items() if name != CASE}
    for name in seen_from:
        chain = [name]
        while chain[-1] in seen_from and len(chain) <= len(seen_from):
            chain.append(seen_from[chain[-1]])
            if chain[-1] == name:
                said = " from ".join(repr(word) for word in chain)
                allowed = f"a chain of zeros that ends at {CASE!r}"
                remedy = "tape one of them from the case"
                yield problem_at(known.at, ("zero", name, "at", "zero"), f"{said}", allowed, remedy)
                break


def _entries(known: Known) -> Iterator[tuple[Key, Entry]]:
    """Yield every table of the scene that may name a zero, with its key."""
    scene = known.scene
    for group in ("zero", "part", "passage"):
        for name, entry in getattr(scene, group).items():
            yield from _within(entry, (group, name))
    for index, tube in zip(known.entries, scene.tubes, strict=True):
        yield from _within(tube, ("tubes", index))


def _within(entry: Entry, key: Key) -> Iterator[tuple[Key, Entry]]:
    yield key, entry
    if isinstance(entry, Position):
        return
    for name, field in type(entry).model_fields.items():
        word = field.alias or name
        for more, inner in _inner(getattr(entry, name)):
            yield from _within(inner, (*key, word, *more))


def _inner(value: Any) -> Iterator[tuple[Key, Entry]]:
    """Yield the tables in a value: itself, the items of a list, or those of a group."""
    items: Iterable[tuple[Key, Any]] = (((), value),)
    if isinstance(value, tuple):
        items = (((index,), item) for index, item in enumerate(value))
    elif isinstance(value, dict):
        items = (((name,), item) for name, item in value.items())
    return ((key, item) for key, item in items if isinstance(item, Entry))


# ── tubes ────────────────────────────────────────────────────────────────────────────────────────
def _unknown_in_tubes(known: Known) -> Iterator[Problem]:
    scene = known.scene
    passages = frozenset(passages_in(scene.part, known.names["passage"]))
    unread = set(known.names["part"]) - scene.part.keys()
    holders = _holders(known)
    for index, tube in zip(known.entries, scene.tubes, strict=True):
        key: Key = ("tubes", index)
        if tube.tubing not in known.names["tubing"]:
            yield _unknown(known, (*key, "tubing"), "tubing", tube.tubing, known.names["tubing"])
        for i, name in enumerate(tube.through):
            if name not in passages and not any(name.startswith(f"{part} ") for part in unread):
                yield _unknown(known, (*key, "through", i), "passage", name, passages)
        yield from _unknown_stage(known, key, "stage", tube.stage)
        for i, tie in enumerate(tube.ties):
            if tie.to not in holders:
                yield _unknown(known, (*key, "ties", i, "to"), "part", tie.to, holders)


def _holders(known: Known) -> frozenset[str]:
    """Return what a tie may hold a tube to: parts, copies of a part, other tubes."""
    copies = {copy for name, part in known.scene.part.items() for copy in copies_of(name, part)}
    return frozenset({BUNDLE, *known.names["part"], *copies})


def _unknown_stage(known: Known, key: Key, word: str, name: str | None) -> Iterator[Problem]:
    if name is not None and name not in known.names["stages"]:
        yield _unknown(known, (*key, word), "stage", name, known.names["stages"])


def _unknown_expected(tubes: set[str], known: Known) -> Iterator[Problem]:
    for index, expected in enumerate(known.scene.expect):
        if expected.tube is not None and expected.tube not in tubes:
            yield _unknown(known, ("expect", index, "tube"), "tube", expected.tube, tubes)


# ── parts ────────────────────────────────────────────────────────────────────────────────────────
def _unknown_in_parts(known: Known) -> Iterator[Problem]:
    carriers = _holders(known) - {BUNDLE}
    order = [stage.name for stage in known.scene.stages]
    for name, part in known.scene.part.items():
        key: Key = ("part", name)
        for word in ("stage", "until"):
            yield from _unknown_stage(known, key, word, getattr(part, word))
        if part.stage in order and part.until in order and order.index(part.until) < order.index(part.stage):
            found = f"until {part.until!r}, before its first stage {part.stage!r}"
            yield problem_at(
                known.at, (*key, "until"), found, "a stage at or after the first", "swap the two"
            )
        if part.carried_by is not None and part.carried_by not in carriers:
            yield _unknown(known, (*key, "carried_by"), "part", part.carried_by, carriers)


def _moving_nipples(known: Known) -> Iterator[Problem]:
    """Refuse nipples that move with their part."""
    parts = known.scene.part
    for name, part in parts.items():
        carrier = name if part.carried_by is None else part.carried_by
        moves = carrier in parts and (parts[carrier].motion or parts[carrier].kind == "keyboard")
        if (part.rows or isinstance(part, JoinPart)) and moves:
            found = f"nipples on {carrier!r}, which moves"
            remedy = "give the nipples to a part that stands still; a tube to a moving part is not reckoned"
            key: Key = ("part", name, "rows" if carrier == name else "carried_by")
            yield problem_at(known.at, key, found, "nipples on a part that stands still", remedy)
