"""Which older archive does a new one take the place of? One as it was sealed, and what it says of itself."""

import shlex
from hashlib import sha512
from pathlib import Path

from routeviz.archive.bag import MANIFEST
from routeviz.archive.bag_info import DATE, NUMBER, SHOWS
from routeviz.archive.bag_opening import Bag, opened
from routeviz.archive.deposit import Earlier
from routeviz.archive.fixity import fixity, form
from routeviz.errors import RoutevizError


class EarlierError(RoutevizError):
    """An older archive is not as it was sealed, or has no manifest that could stand for it."""


def earlier_in(folder: Path) -> Earlier:
    """Return what an older archive says of itself, after every file of it was held against its sum.

    Parameters
    ----------
    folder : Path
        Of the older archive; nothing in it is changed.

    Returns
    -------
    earlier : Earlier
        With the SHA-512 of its manifest.

    Raises
    ------
    NotABagError
        No folder, or one that is no bag.
    EarlierError
        Something in it is not as it was sealed.
    """
    bag = opened(folder, lambda one: False)
    manifest = bag.kept(MANIFEST)
    problems = [str(problem) for answer in (form(bag), fixity(bag)) for problem in answer.problems]
    if manifest is None:
        problems.append(f"{MANIFEST}: there is no such file")
    if problems or manifest is None:
        told = "\n".join(f"  {line}" for problem in problems for line in problem.splitlines()[:1])
        raise EarlierError(
            f"{folder}: not as it was sealed, so nothing can take its place\n{told}\n"
            "  allowed: an archive that holds what it was sealed with\n"
            f"  remedy: look at it with `routeviz archive --check {shlex.quote(str(folder))}`, or name "
            "another copy of it"
        )
    return Earlier(
        identifier=_fact(bag, NUMBER),
        date=_fact(bag, DATE),
        shows=_fact(bag, SHOWS),
        manifest_sha512=sha512(manifest).hexdigest(),
    )


def _fact(bag: Bag, label: str) -> str:
    return "; ".join(bag.facts.get(label, ()))
