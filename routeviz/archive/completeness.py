"""Is a bag an archive as routeviz makes it, and is everything there that one must hold?

What an archive holds is made in contents.py; what of it cannot be missing stands here, once.
"""

from collections.abc import Iterator, Sequence
from importlib.metadata import version
from pathlib import PurePosixPath

from routeviz.archive.answers import Answer, answer, counted, not_too_many
from routeviz.archive.bag import BAGIT, DECLARATION, INFO, MANIFEST, PAYLOAD, TAG_MANIFEST, Sum, manifest_of
from routeviz.archive.bag_info import AGENT
from routeviz.archive.bag_names import READ_FIRST, is_bag_path
from routeviz.archive.bag_opening import Bag
from routeviz.archive.bag_reading import FRESH, INSIDE, Manifest, quoted, shown, wrong
from routeviz.archive.crate import CRATE, PREVIEW
from routeviz.archive.csvw import BESIDE, GROUP
from routeviz.archive.deposit import PROGRAM
from routeviz.archive.fixity import how_to_take_out
from routeviz.archive.sources import FOLDER, MADE
from routeviz.archive.table_files import FOLDER as TABLES
from routeviz.errors import Problem

THIS = f"{PROGRAM} {version(PROGRAM)}"
TAGS = (BAGIT, INFO, MANIFEST, TAG_MANIFEST)
# What an archive of any scene holds, and what a reader would miss.
NEEDED = {
    READ_FIRST: "what explains all the others",
    CRATE: "the description of every file",
    PREVIEW: "the same for people",
    f"{TABLES}/{GROUP}": "the description of all tables",
    f"{TABLES}/files.csv": "the list of all files",
    f"{TABLES}/parts.csv": "the parts",
    f"{TABLES}/tubes.csv": "the tubes",
    **{f"{FOLDER}/{name}": "the scene for readers without routeviz" for name in MADE},
    "models/case.glb": "the case in 3D",
    "models/case.x3d": "the case in 3D, as text",
    "metadata/dc.xml": "the record for catalogues",
    "metadata/lido.xml": "the record for museums",
    "metadata/premis.xml": "the record for repositories",
}
NEEDED_ONE = {  # at least one file of such an ending in such a folder
    (FOLDER, ".toml"): "the scene",
    ("drawings", ".svg"): "drawings",
    ("sheets", ".pdf"): "the sheets for the bench",
    ("page", ".html"): "the page",
}


def made_by(bag: Bag) -> str:
    """Return which program sealed a bag, as it says; empty where it does not say."""
    return ", ".join(bag.facts.get(AGENT, ()))


def is_archive(bag: Bag) -> bool:
    """Return whether a bag says that routeviz made it."""
    return made_by(bag).split(" ")[0] == PROGRAM


def no_archive(bag: Bag) -> Answer:
    """Return the answer for a bag of another program."""
    said = made_by(bag)
    by = f"it says it was made by {quoted(said)}" if said else f"it does not say {AGENT}: routeviz"
    problem = wrong(
        INFO,
        f"not a routeviz archive: {by}",
        "an archive as `routeviz archive` makes it",
        "nothing, if it was meant to be another's; what was looked at is told above",
    )
    return Answer(about="archive", says="a bag, but not a routeviz archive", problems=(problem,))


def completeness(bag: Bag) -> Answer:
    """Return whether a bag is written as routeviz writes it, with everything that an archive must hold.

    Parameters
    ----------
    bag : Bag
        One that says that routeviz made it.

    Returns
    -------
    answer : Answer
        Of the question ``archive``; open where only files are wanting that another version may not make.
    """
    problems, wanting = [*_otherwise_written(bag), *_otherwise_named(bag)], tuple(_wanting(bag))
    if wanting and not problems and made_by(bag) != THIS:
        says = f"made by {shown(made_by(bag))}; this is {THIS}, which makes files that are not in it"
        return Answer(about="archive", says=says, problems=not_too_many(wanting), open=True)
    problems += wanting
    kinds = len(NEEDED) + len(NEEDED_ONE)
    return answer(
        "archive",
        f"made by {shown(made_by(bag))}, with all of the {kinds} kinds of files that one must hold",
        f"made by {shown(made_by(bag))}, but not as it was made: {counted(len(problems), 'thing')}",
        problems,
    )


def _otherwise_written(bag: Bag) -> Iterator[Problem]:
    """Yield what is right for a bag, but is not what routeviz writes."""
    if bag.kept(BAGIT) not in (None, DECLARATION):
        yield wrong(
            BAGIT, f"declares BagIt {bag.version}, or in other words", DECLARATION.decode().rstrip("\n")
        )
    manifests = {one.file: one for one in bag.manifests}
    for name in (MANIFEST, TAG_MANIFEST):
        if name not in manifests:
            yield wrong(name, "there is no such file", "an archive with both lists of sums")
        elif bag.kept(name) != _written(manifests[name]):
            allowed = "lines in the order of paths: sum, two blanks, path"
            yield wrong(name, "not written as routeviz writes it", allowed)
    if TAG_MANIFEST in manifests:
        listed = manifests[TAG_MANIFEST].sums
        for path in bag.lying:
            if not path.startswith(INSIDE) and path not in listed and path != TAG_MANIFEST:
                yield wrong(
                    path, f"added: {TAG_MANIFEST} does not list it", ", ".join(TAGS), how_to_take_out(path)
                )


def _written(manifest: Manifest) -> bytes | None:
    """Return a manifest as it would be written; None for one that would not."""
    try:
        return manifest_of({path: Sum(size=0, sha512=told) for path, told in manifest.sums.items()})
    except ValueError:
        return None


def _otherwise_named(bag: Bag) -> Iterator[Problem]:
    for path in dict.fromkeys(path for manifest in bag.manifests for path in manifest.sums):
        if not is_bag_path(path):
            allowed = "small letters, digits, point, hyphen and underscore, at most 64 a name"
            yield wrong(path, "a name that routeviz does not give", allowed)


def _wanting(bag: Bag) -> Iterator[Problem]:
    """Yield what an archive must hold, and this one does not."""
    inside = [path.removeprefix(INSIDE) for path in bag.lying if path.startswith(INSIDE)]
    there = set(inside)
    for path, what in NEEDED.items():
        if path not in there:
            yield _missing(path, what)
    for (folder, ending), what in NEEDED_ONE.items():
        if not _one(inside, folder, ending):
            yield _missing(f"{folder}/*{ending}", what)
    for path in inside:
        if path.startswith(f"{TABLES}/") and path.endswith(".csv") and f"{path}{BESIDE}" not in there:
            yield _missing(f"{path}{BESIDE}", "what describes the table's columns")


def _one(paths: Sequence[str], folder: str, ending: str) -> bool:
    return any(str(place.parent) == folder and place.suffix == ending for place in map(PurePosixPath, paths))


def _missing(path: str, what: str) -> Problem:
    return wrong(f"{PAYLOAD}/{path}", f"missing: {what}", "everything that an archive must hold", FRESH)
