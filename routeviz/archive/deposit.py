"""What is given into an archive? A lay with its record, its evidence, the moment, what it takes the place of.

All who write something for an archive are handed this one value.
"""

from dataclasses import dataclass
from datetime import datetime
from importlib.metadata import version
from pathlib import PurePath

from routeviz.archive.evidence import Exhibit
from routeviz.archive.filing import Listed, form_of_evidence
from routeviz.errors import Problem, SceneError
from routeviz.lay import Lay
from routeviz.scene.reading import Reading, problem
from routeviz.scene.record import Record

PROGRAM = "routeviz"
# What an archive cannot do without, in words for those who have to write it.
NEEDED = {
    "shows": "as found, as restored, proposed or hypothetical",
    "on": "the day on which it was so, or was measured, such as 2026-05-14",
    "by": "who measured or designed",
    "why": "what the record is made for",
    "object": "the owner's number for the instrument",
    "rights": "who may do what with this record",
}
UNSAID = "..."  # stands in a line that is to be filled in, and says nothing


@dataclass(frozen=True, slots=True, kw_only=True)
class Earlier:
    """An older record that this one takes the place of.

    Parameters
    ----------
    says : str
        As the scene names it; empty where it does not.
    identifier, date, shows : str
        As that record says of itself; empty where nobody gave it.
    manifest_sha512 : str
        Of its manifest, which stands for all its files; empty where nobody gave it.
    """

    says: str = ""
    identifier: str = ""
    date: str = ""
    shows: str = ""
    manifest_sha512: str = ""

    def __str__(self) -> str:
        """Return it in a sentence without its full stop."""
        known = [self.says, self.identifier, self.shows, self.date and f"bagged {self.date}"]
        if self.manifest_sha512:
            known.append(f"SHA-512 of its manifest-sha512.txt {self.manifest_sha512}")
        return ", ".join(one for one in known if one)


@dataclass(frozen=True, kw_only=True, eq=False)
class Deposit:
    """What is given into an archive.

    Parameters
    ----------
    lay : Lay
        The scene with all that is known of it.
    record : Record
        Of what it is one; with everything that is ``NEEDED``.
    when : datetime
        The moment of archiving, with its time zone.
    exhibits : tuple of Exhibit
        Files that go in untouched.
    earlier : Earlier or None
        What it takes the place of.
    """

    lay: Lay
    record: Record
    when: datetime
    exhibits: tuple[Exhibit, ...] = ()
    earlier: Earlier | None = None

    @property
    def object_number(self) -> str:
        """Return the owner's number for the instrument."""
        return self.record.object or ""

    @property
    def shows(self) -> str:
        """Return the state that is shown, such as ``as found``."""
        return self.record.shows or ""

    @property
    def measured_on(self) -> str:
        """Return the day on which the instrument was so, as ISO 8601 writes it."""
        return self.record.on or ""

    @property
    def by(self) -> tuple[str, ...]:
        """Return who measured or designed it."""
        return self.record.by or ()

    @property
    def title(self) -> str:
        """Return what the record is called: the instrument's name, and the state that is shown."""
        name = self.instrument
        return name if name.casefold().endswith(self.shows) else f"{name}, {self.shows}"

    @property
    def instrument(self) -> str:
        """Return what the instrument is called; else the scene's title."""
        return self.record.name or self.lay.reading.scene.title

    @property
    def about(self) -> str:
        """Return in sentences what the record tells and what for."""
        count = len(self.lay.tubes)
        tubes = f"{count} vacuum tube{'' if count == 1 else 's'}"
        says = f"How the {tubes} of {self.instrument} ({self.object_number}) lie in its case: {self.shows}"
        return f"{says}, {self.measured_on}. Why: {_sentence(self.record.why or '')}"

    @property
    def moment(self) -> str:
        """Return the moment of archiving as ISO 8601 writes it."""
        return self.when.isoformat(timespec="seconds")

    @property
    def program(self) -> str:
        """Return which program made it, with its version."""
        return f"{PROGRAM} {version(PROGRAM)}"


def deposited(
    lay: Lay, when: datetime, exhibits: tuple[Exhibit, ...], earlier: Earlier | None = None
) -> Deposit:
    """Return what is given into an archive.

    Parameters
    ----------
    lay : Lay
        A scene whose record is complete.
    when : datetime
        The moment, with its time zone.
    exhibits : tuple of Exhibit
        The files of its evidence.
    earlier : Earlier or None
        An older archive, as it says of itself; what the scene says of an older one is taken up.

    Returns
    -------
    deposit : Deposit
        For all who write something for the archive.

    Raises
    ------
    SceneError
        The record lacks something that an archive needs.
    """
    record = lay.reading.scene.record
    refuse_what_is_not_said(lay.reading)
    assert record is not None
    if record.supersedes:
        known = earlier or Earlier()
        earlier = Earlier(
            says=record.supersedes,
            identifier=known.identifier,
            date=known.date,
            shows=known.shows,
            manifest_sha512=known.manifest_sha512,
        )
    return Deposit(lay=lay, record=record, when=when, exhibits=exhibits, earlier=earlier)


def refuse_what_is_not_said(reading: Reading) -> None:
    """Refuse a scene whose record lacks what an archive needs.

    Parameters
    ----------
    reading : Reading
        The scene.

    Raises
    ------
    SceneError
        In one problem: all that is missing, and the lines to be added. Or the file's name cannot be told.
    """
    name = PurePath(reading.file).name
    if not name.isprintable():
        found = f"the file's name {name!a} has signs that cannot be printed, and no table could hold it"
        allowed = "a name that can be printed"
        raise SceneError((problem(reading, (), found, allowed, "rename the file"),))
    record = reading.scene.record
    missing = [name for name in NEEDED if record is None or not _says(getattr(record, name))]
    if not missing:
        return
    lines = [f'{name:6} = "{UNSAID}"  # {NEEDED[name]}' for name in missing]
    if record is None:
        where, lines = "above its first table, or at its end", ["[record]", *lines]
    else:
        where = "under [record]"
    said = "\n".join(f"    {line}" for line in lines)
    found = (
        f"the record does not say {', '.join(missing)}"
        if record
        else "no [record]: nobody says what it shows"
    )
    told: Problem = problem(
        reading,
        ("record",),
        found,
        f"a record that says {', '.join(NEEDED)}; what is missing is never made up",
        f"write {where}, in your own words:\n{said}",
    )
    raise SceneError((told,))


def listed_exhibit(exhibit: Exhibit, record: Record) -> Listed:
    """Return what is told of a file of the evidence."""
    said = exhibit.said
    return Listed(
        path=exhibit.path,
        title=said.caption.splitlines()[0],
        about=f"{said.kind.capitalize()}: {said.caption}",
        sum=exhibit.sum,
        form=form_of_evidence(exhibit.path),
        was=said.file,
        by=said.by or (),
        on=said.on or "",
        rights=said.rights or record.rights or "",
    )


def _says(value: str | tuple[str, ...] | None) -> bool:
    told = value if isinstance(value, tuple) else (value,)
    return all(told) and UNSAID not in told


def _sentence(text: str) -> str:
    text = " ".join(text.split())
    return text if text.endswith((".", "!", "?")) else f"{text}."
