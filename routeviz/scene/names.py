"""Which names can be told apart, on paper and in a reference, and which are refused?

A part's name is followed by a number wherever a nipple is named; so it may not end in one itself.
"""

import re
import unicodedata

from routeviz.errors import Problem
from routeviz.scene.positions import Key, Positions, problem_at
from routeviz.scene.references import BUNDLE, Known

LONGEST = 60  # letters; fits a tag and a line of a list
FORMULA = "=+-@"  # a spreadsheet takes what begins so for a formula
RESERVED = {BUNDLE: "a tie to other tubes"}  # a part of this name could not be told from it
ALLOWED = f"1 to {LONGEST} letters, digits and signs on one line, single spaces between words"

_ENDS_IN_NUMBER = re.compile(r"(?:.* )?[0-9][0-9.,]*")


def problems_of_names(known: Known) -> tuple[Problem, ...]:
    """Return the names that cannot be used, and those that are too like each other.

    Parameters
    ----------
    known : Known
        The scene, and every name in it.

    Returns
    -------
    problems : tuple of Problem
        Empty where all names are good.
    """
    at, scene = known.at, known.scene
    problems: list[Problem] = []
    for group in ("zero", "tubing", "part", "passage"):
        problems += _of_one_group([((group, name), name) for name in known.names[group]], group, at)
    for name, part in scene.part.items():
        if part.kind == "board":
            openings: list[tuple[Key, str]] = [(("part", name, "opening", o), o) for o in part.opening]
            problems += _of_one_group(openings, "opening", at)
    stages: list[tuple[Key, str]] = [(("stages", i, "name"), s.name) for i, s in enumerate(scene.stages)]
    problems += _of_one_group(stages, "stage", at)
    for index, tube in zip(known.entries, scene.tubes, strict=True):
        for word in ("name", "tag"):
            given = getattr(tube, word)
            problems += _unfit(("tubes", index, word), given, at) if given is not None else []
    return (*problems, *_parts_like_references(known))


def alike(name: str) -> str:
    """Return what two names share that a reader could take for each other."""
    return unicodedata.normalize("NFC", unicodedata.normalize("NFC", name).casefold())


def _of_one_group(keys: list[tuple[Key, str]], group: str, at: Positions) -> list[Problem]:
    problems: list[Problem] = []
    seen: dict[str, str] = {}
    for key, name in keys:
        problems += _unfit(key, name, at)
        if alike(name) in seen:
            found = f"the {group} {name!r} beside the {group} {seen[alike(name)]!r}"
            allowed = "names that differ in more than capitals"
            problems.append(problem_at(at, key, found, allowed, "rename one of them"))
        seen.setdefault(alike(name), name)
    return problems


def _unfit(key: Key, name: str, at: Positions) -> list[Problem]:
    """Return the problem of a name that cannot be written on a tag, or nothing."""
    if " ".join(name.split()) != name or not 1 <= len(name) <= LONGEST or _unprintable(name):
        shown = ascii(name if len(name) <= LONGEST else name[:LONGEST] + "...")
        return [problem_at(at, key, f"the name {shown}", ALLOWED, "write it so that it fits a tag")]
    if name[0] in FORMULA:
        found = f"the name {name!r} begins with {name[0]!r}"
        return [problem_at(at, key, found, "a letter or a digit first", "rename it")]
    return []


def _unprintable(name: str) -> bool:
    return any(unicodedata.category(letter)[0] == "C" for letter in name)


def _parts_like_references(known: Known) -> list[Problem]:
    problems, at = [], known.at
    for name in known.names["part"]:
        if _ENDS_IN_NUMBER.fullmatch(name):
            found = f"the part {name!r} ends in a number"
            allowed = "a name without a number at its end: numbers name nipples and copies"
            remedy = "use a word, such as 'left', or write it into the word, such as 'pump2'"
            problems.append(problem_at(at, ("part", name), found, allowed, remedy))
        if name in RESERVED:
            found = f"the part {name!r}"
            problems.append(
                problem_at(at, ("part", name), found, f"not {name!r}: it means {RESERVED[name]}", "rename it")
            )
    return problems
