"""Is a bag as it was sealed? Every file that lies in it is held against every sum that its manifests give.

What lies in it and what its tag files say was read in bag_opening.py.
"""

from collections.abc import Iterator, Mapping, Set
from pathlib import PurePosixPath

from routeviz.archive.answers import Answer, answer, counted
from routeviz.archive.bag import INFO, PAYLOAD
from routeviz.archive.bag_opening import Bag
from routeviz.archive.bag_reading import (
    ALGORITHMS,
    FETCH,
    FRESH,
    INSIDE,
    OXUM,
    Manifest,
    quoted,
    wrong,
)
from routeviz.archive.bag_walking import LEFT_BY_DESKTOPS, TAKE_OUT
from routeviz.errors import Problem


def form(bag: Bag) -> Answer:
    """Return whether a folder is a bag by its form: its tag files can be read, nothing lies in it but files.

    Parameters
    ----------
    bag : Bag
        As it was opened.

    Returns
    -------
    answer : Answer
        Of the question ``bag``.
    """
    problems = [*bag.problems]
    if FETCH in bag.lying:
        problems.append(
            wrong(
                FETCH,
                "a list of files to be fetched from elsewhere; nothing was fetched",
                "an archive with all its files in it",
                "have the files put in, and the archive sealed anew, by whoever made it",
            )
        )
    return answer(
        "bag",
        f"BagIt {bag.version}, its tag files can be read",
        f"{counted(len(problems), 'thing')} wrong with the folder or its tag files",
        problems,
    )


def fixity(bag: Bag) -> Answer:
    """Return whether every file of a bag is as it was sealed, none is missing and none was added.

    Parameters
    ----------
    bag : Bag
        As it was opened.

    Returns
    -------
    answer : Answer
        Of the question ``fixity``; open where the bag has no sums that could be held against its files.
    """
    manifests = [one for one in bag.manifests if one.algorithm in ALGORITHMS]
    lists = [one for one in manifests if not one.of_tags]
    if not lists:
        return Answer(about="fixity", says="no list of sums, so nothing can be told", open=True)
    problems = {path: one for manifest in manifests for path, one in _broken(bag, manifest)}
    problems |= {path: one for path, one in _unlisted(bag, lists) if path not in problems}
    listed = {path for manifest in manifests for path in manifest.sums}
    size = _size(bag)
    return answer(
        "fixity",
        f"{counted(len(listed), 'file')}, all as they were sealed",
        _told(problems.keys(), listed),
        [*size, *(problems[path] for path in sorted(problems))],
    )


def _told(paths: Set[str], listed: Set[str]) -> str:
    """Return how many files are not as sealed, of how many, and how many were added."""
    lost, added = len(paths & listed), len(paths - listed)
    told = [f"{lost:,} of {counted(len(listed), 'file')} not as sealed"] if lost else []
    told += [f"{counted(added, 'file')} added"] if added else []
    return "; ".join(told) or "not as large as sealed"


def _broken(bag: Bag, manifest: Manifest) -> Iterator[tuple[str, Problem]]:
    """Yield the files of a manifest that are missing, that were not read, or that have changed."""
    sealed = {digest: path for path, digest in manifest.sums.items()}
    for path, digest in manifest.sums.items():
        listed = f"listed in {manifest.file}, line {manifest.lines[path]}"
        if path not in bag.lying:
            yield path, wrong(path, f"missing; it is {listed}", "every file that was sealed")
        elif path in bag.unread:
            yield path, bag.unread[path]
        elif (told := bag.contents[path].sums[manifest.algorithm]) != digest:
            found = f"not as it was sealed: its {manifest.algorithm} is not the one {listed}"
            whose = sealed.get(told)
            remedy = (
                FRESH if whose is None else f"it holds what was sealed as {quoted(whose)}: name it so again"
            )
            yield path, wrong(path, found, "the bytes that were sealed, each of them", remedy)


def _unlisted(bag: Bag, lists: list[Manifest]) -> Iterator[tuple[str, Problem]]:
    """Yield the files in the payload that a manifest does not list."""
    for manifest in lists:
        missing = {digest: path for path, digest in manifest.sums.items() if path not in bag.lying}
        for path in bag.lying:
            if path.startswith(INSIDE) and path not in manifest.sums:
                yield path, _added(bag, manifest, path, missing)


def _added(bag: Bag, manifest: Manifest, path: str, missing: Mapping[str, str]) -> Problem:
    content = bag.contents.get(path)
    whose = None if content is None else missing.get(content.sums[manifest.algorithm])
    if whose is not None:
        remedy = f"it holds what was sealed as {quoted(whose)}: name it so again"
    else:
        remedy = how_to_take_out(path)
    return wrong(
        path, f"added: {manifest.file} does not list it", "the files that were sealed, no others", remedy
    )


def how_to_take_out(path: str) -> str:
    """Return what to do with a file that was added."""
    if PurePosixPath(path).name in LEFT_BY_DESKTOPS:
        return "a desktop program has left it there: take it out of the folder"
    return TAKE_OUT


def _size(bag: Bag) -> tuple[Problem, ...]:
    """Return what is wrong with the size of the payload, where the bag says one."""
    sizes = [one.size for path, one in bag.lying.items() if path.startswith(INSIDE)]
    if bag.oxum is None or (bag.oxum.octets, bag.oxum.files) == (sum(sizes), len(sizes)):
        return ()
    said = f"{OXUM} {bag.oxum.octets}.{bag.oxum.files}"
    found = f"{said}, but {PAYLOAD}/ holds {sum(sizes):,} bytes in {counted(len(sizes), 'file')}"
    return (wrong(INFO, found, "as many bytes and files as were sealed"),)
